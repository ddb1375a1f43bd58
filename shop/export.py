"""Writes every table that a person would want as CSV, all as they are at one moment."""

import json
import shutil
import tempfile
from collections.abc import Generator, Iterator, Sequence
from contextlib import closing
from datetime import time
from pathlib import Path
from typing import Any, cast

from django.apps import apps
from django.contrib.auth.models import User
from django.db import models

from jobs.writing import one_snapshot
from shop.csv_safe import Cell, csv_lines
from shop.models import Device, Hand, PinTry, SignInTry
from timing.models import Clock

ROOMS = ("jobs", "timing", "shop")
# Wrong PINs and passwords in a row and what a clock shows at this moment are nobody's records.
LEFT_OUT = (PinTry, SignInTry, Clock)
SECRETS = {Hand: {"pin_hash"}, Device: {"secret_hash"}}
BATCH = 2000
Rows = Generator[tuple[Any, ...], None, None]


class ExportRefused(RuntimeError):
    """The files can't be written there; the message is one sentence."""


def write_export(folder: Path) -> dict[str, int]:
    """Write the files into a new or empty folder, all or none; returns the number of rows of each file.

    Raises ExportRefused, OSError.
    """
    if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
        raise ExportRefused(f"{folder} is not empty: name a new folder.")
    made_here = not folder.exists()
    folder.mkdir(parents=True, exist_ok=True)
    part = Path(tempfile.mkdtemp(dir=folder, prefix=".part-"))
    try:
        with one_snapshot():
            rows = {name: write_table(part / name, *table) for name, table in _tables()}
        for name in rows:
            (part / name).rename(folder / name)
    except BaseException:
        shutil.rmtree(folder if made_here else part)
        raise
    part.rmdir()
    return rows


def write_table(path: Path, header: Sequence[str], rows: Rows) -> int:
    """Write one file, row by row; returns how many there were. No row is read any more after it."""
    count = -1  # the first line is the header
    # Rows left half read by an error would else be given up after the database is closed, with a trace.
    with closing(rows), path.open("w", newline="", encoding="utf-8") as file:
        for line in csv_lines(header, ([_cell(value) for value in row] for row in rows)):
            file.write(line)
            count += 1
    return count


def _cell(value: object) -> Cell:
    """What the file shall hold of a column's value: lists as JSON, times of day as in ISO 8601."""
    if isinstance(value, list | dict):
        return json.dumps(value, ensure_ascii=False)
    if isinstance(value, time):
        return value.isoformat()
    return cast(Cell, value)


def _tables() -> Iterator[tuple[str, tuple[list[str], Rows]]]:
    for room in ROOMS:
        for model in apps.get_app_config(room).get_models():
            if model not in LEFT_OUT:
                yield f"{model._meta.label_lower.replace('.', '_')}.csv", _table(model)
    yield "auth_user.csv", (["id", "name"], _people())


def _table(model: type[models.Model]) -> tuple[list[str], Rows]:
    secret = SECRETS.get(model, set())
    columns = [field.attname for field in model._meta.concrete_fields if field.attname not in secret]
    return columns, _rows(model, columns)


def _rows(model: type[models.Model], columns: list[str]) -> Rows:
    yield from model._default_manager.order_by("pk").values_list(*columns).iterator(chunk_size=BATCH)


def _people() -> Rows:
    """A hand's name, else that of the account: the other files name people by this id."""
    names = dict(Hand.objects.values_list("user_id", "name"))
    for pk, username in User.objects.order_by("pk").values_list("pk", "username"):
        yield pk, names.get(pk, username)
