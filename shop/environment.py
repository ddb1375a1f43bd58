"""Strict readers of the environment: a typo stops the program instead of quietly running it open."""

import os
import re
import secrets
from datetime import timedelta
from pathlib import Path
from urllib.parse import quote

from django.core.exceptions import ImproperlyConfigured

SHORTEST_KEY = 50


def env_bool(name: str, *, default: bool) -> bool:
    """True or False from the environment; anything but "True", "False" or nothing is refused."""
    value = os.environ.get(name, "")
    if value == "":
        return default
    if value not in ("True", "False"):
        raise ImproperlyConfigured(f"{name} must be True or False, not {value!r}.")
    return value == "True"


def env_list(name: str) -> list[str]:
    """Words between commas, with blanks taken off; an empty variable is an empty list."""
    return [word.strip() for word in os.environ.get(name, "").split(",") if word.strip()]


def env_number(name: str, *, default: int, most: int) -> int:
    """A whole number from the environment, from 0 to `most`; anything else but nothing is refused."""
    value = os.environ.get(name, "")
    if value == "":
        return default
    if not (value.isascii() and value.isdigit() and len(value) <= 9 and int(value) <= most):
        raise ImproperlyConfigured(f"{name} must be a whole number from 0 to {most}, not {value!r}.")
    return int(value)


def env_hours(name: str, *, default: tuple[int, int]) -> tuple[timedelta, timedelta]:
    """Two lengths from “idle/whole” in hours, such as 4/12: the first at most the second, and that at most 30 days."""
    value = os.environ.get(name, "")
    found = re.fullmatch(r"([1-9]\d{0,2})/([1-9]\d{0,2})", value, re.ASCII)
    idle, whole = (int(found[1]), int(found[2])) if found else default
    if (value and not found) or not idle <= whole <= 30 * 24:
        raise ImproperlyConfigured(f"{name} must be two numbers of hours such as 4/12, not {value!r}.")
    return timedelta(hours=idle), timedelta(hours=whole)


def sqlite_url(path: Path) -> str:
    """The DATABASE_URL of an SQLite file, whatever characters its folders have in their names."""
    return f"sqlite:///{quote(path.absolute().as_posix(), safe='/:')}"


def make_folder(path: Path) -> None:
    """Make a folder and those above it where they are missing."""
    try:
        path.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise ImproperlyConfigured(f"The folder {path} can't be made: {error.strerror}.") from error


def secret_key(path: Path) -> str:
    """The key in SHOP_SECRET_KEY, else the one kept in `path`, which is made on first use.

    Two processes that start together end with the same key: the file is written whole beside its place and
    linked into it, which succeeds only once.
    """
    given = os.environ.get("SHOP_SECRET_KEY", "")
    if given:
        if len(given) < SHORTEST_KEY:
            raise ImproperlyConfigured(f"SHOP_SECRET_KEY must be at least {SHORTEST_KEY} characters long.")
        return given
    try:
        if not path.exists():
            _make_key(path)
        kept = path.read_text().strip()
    except OSError as error:
        raise ImproperlyConfigured(f"The secret key {path} can't be kept: {error.strerror}.") from error
    if len(kept) < SHORTEST_KEY:
        raise ImproperlyConfigured(
            f"The secret key {path} is not whole: delete the file, and start makes another; all must sign in again."
        )
    return kept


def _make_key(path: Path) -> None:
    make_folder(path.parent)
    fresh = path.with_name(f".{path.name}.{os.getpid()}")
    fresh.touch(mode=0o600)
    with fresh.open("w") as file:
        file.write(secrets.token_urlsafe(64))
        file.flush()
        # Else a power cut can leave the name with nothing in it, and the shop would not start.
        os.fsync(file.fileno())
    try:
        os.link(fresh, path)
    except FileExistsError:
        pass  # another process was first: its key is the one
    finally:
        fresh.unlink()
