"""Backups of a shop on PostgreSQL, with PostgreSQL's own pg_dump and pg_restore.

A dump is read to its end. Where the account may make databases it is also restored into one of its own and recounted
there; and only there can `restore` put one back, since what stood before is kept as a database of another name.
"""

import hashlib
import os
import secrets
import shutil
import subprocess
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import ClassVar
from urllib.parse import urlsplit

import psycopg
from django.conf import settings
from django.db import connection
from django.db.backends.postgresql.client import DatabaseClient
from psycopg import sql

from shop.backup import APPLIED, BRING_UP, Backup, BackupRefused, check_is_shop, manage, named_once_whole

# Of a name in PostgreSQL so many bytes count.
LONGEST_NAME = 63


@dataclass(frozen=True, slots=True)
class PostgresSource:
    """The PostgreSQL database of the settings."""

    suffix: ClassVar[str] = "dump"
    proof: ClassVar[str] = "read to its end and, where the account may make databases, restored and counted again"

    @property
    def identity(self) -> str:
        shops = settings.DATABASES["default"]
        return f"{shops['HOST']}:{shops['PORT']}/{shops['NAME']}"

    def back_up(self, folder: Path, *, now: datetime, name: str) -> Backup:
        return back_up(folder, now=now, name=name)

    def back_up_changed(self, folder: Path, *, now: datetime, name: str, held: str) -> Backup | None:
        if held and changes_so_far() == held:
            return None
        return self.back_up(folder, now=now, name=name)

    def content_of(self, file: Path) -> str:
        return ""

    def clear_up(self) -> None:
        clear_up()

    def is_on_disk_of(self, folder: Path) -> bool:
        return False


def back_up(folder: Path, *, now: datetime, name: str = "shop") -> Backup:
    """Dump the shop's database into `folder`, under a name and the moment, once the dump is proved.

    Raises BackupRefused, OSError.
    """
    folder.mkdir(parents=True, exist_ok=True)
    content = changes_so_far()
    with named_once_whole(folder / f"{name}-{now:%Y-%m-%d-%H%M%S}.dump") as (part, final):
        # Restored by whichever account puts it back: the server's roles are no part of the shop.
        _run("pg_dump", "--format=custom", "--no-owner", "--no-privileges", f"--file={part}")
        said = prove(part)
    return Backup(final, said, content)


def changes_so_far() -> str:
    """How many rows were ever written, as the server counts them: equal while nothing is changed."""
    with connection.cursor() as cursor:
        cursor.execute("SELECT coalesce(sum(n_tup_ins + n_tup_upd + n_tup_del), 0) FROM pg_stat_user_tables")
        return str(cursor.fetchone()[0])


def prove(dump: Path) -> str:
    """Read a dump to its end and, where that is allowed, restore and recount it elsewhere; returns what was found.

    Raises BackupRefused with the first thing that is wrong.
    """
    _run("pg_restore", f"--file={os.devnull}", str(dump))
    if not may_make_databases():
        return "Read to its end, and not recounted: this account may not make the database that it wants for that."
    with _restored(dump) as name:
        return manage(_url(name), name, "recount")


def restore(file: Path, *, now: datetime) -> str | None:
    """Put a dump in the place of the shop's database; returns the name under which that is kept, or None.

    It is proved first, in the database that then takes the name. Raises BackupRefused, with nothing changed.
    """
    if not file.is_file():
        raise BackupRefused(f"There is no file {file}.")
    if not may_make_databases():
        raise BackupRefused(
            "This account may not make databases, so what stands can't be kept: have one that may, or put the dump "
            f'into an empty database yourself: pg_restore --no-owner --dbname="$DATABASE_URL" {file}'
        )
    own = _own_name()
    kept = f"{own[: LONGEST_NAME - 25]}_replaced_{now:%Y%m%d_%H%M%S}"
    with _restored(file) as incoming:
        manage(_url(incoming), incoming, "recount")
        connection.close()
        # Both or neither take their new names; neither can while someone has the database open.
        try:
            with _server() as server, server.transaction():
                stands = server.execute("SELECT 1 FROM pg_database WHERE datname = %s", [own]).fetchone()
                if stands:
                    _rename(server, own, kept)
                _rename(server, incoming, own)
        except psycopg.errors.ObjectInUse as error:
            raise BackupRefused(f"Something still has the database {own} open: stop it first.") from error
        except psycopg.Error as error:
            raise BackupRefused(f"The database {own} can't be replaced: {_one_line(error)}") from error
    return kept if stands else None


def may_make_databases() -> bool:
    """Whether the shop's account may make databases on its server. Raises BackupRefused where it can't be asked."""
    asking = "SELECT rolcreatedb OR rolsuper FROM pg_roles WHERE rolname = current_user"
    with _server() as server:
        return bool((server.execute(asking).fetchone() or [False])[0])


@contextmanager
def _restored(dump: Path) -> Iterator[str]:
    """The name of a database into which a dump was restored, with this program's tables; it is dropped again."""
    name = f"{_proving()}{secrets.token_hex(6)}"
    # Held for as long as this process lives, whatever becomes of it: what nobody holds may be cleared up.
    with _server() as holder, _dropped(name):
        holder.execute("SELECT pg_advisory_lock(hashtext(%s))", [name])
        _create_like_own(holder, name)
        _run("pg_restore", "--no-owner", "--no-privileges", "--exit-on-error", f"--dbname={name}", str(dump))
        with psycopg.connect(_url(name)) as copy:
            tables = copy.execute("SELECT tablename FROM pg_tables WHERE schemaname = ANY(current_schemas(false))")
            is_older = check_is_shop(dump, {row[0] for row in tables}, lambda: copy.execute(APPLIED))
        if is_older:
            manage(_url(name), name, *BRING_UP)
        yield name


@contextmanager
def _dropped(name: str) -> Iterator[None]:
    """Drop a database afterwards, if it is there."""
    try:
        yield
    finally:
        with _server() as server:
            _drop(server, name)


def clear_up() -> None:
    """Drop what proofs of this shop left that were broken off; one that is still at work is let be.

    Raises BackupRefused.
    """
    asking = "SELECT datname FROM pg_database WHERE starts_with(datname, %s) AND pg_has_role(datdba, 'MEMBER')"
    try:
        with _server() as server:
            for (name,) in server.execute(asking, [_proving()]).fetchall():
                locked = server.execute("SELECT pg_try_advisory_lock(hashtext(%s))", [name]).fetchone()
                if locked == (True,):
                    _drop(server, name)
    except psycopg.Error as error:
        raise BackupRefused(f"What a broken proof left can't be dropped: {_one_line(error)}") from error


def _proving() -> str:
    """How the names of this shop's proofs begin: two shops may share a server."""
    return f"shop_proving_{hashlib.sha256(_own_name().encode()).hexdigest()[:6]}_"


def _drop(server: "psycopg.Connection", name: str) -> None:
    server.execute(sql.SQL("DROP DATABASE IF EXISTS {}").format(sql.Identifier(name)))


def _create_like_own(server: "psycopg.Connection", name: str) -> None:
    """An empty database that sorts its words as the shop's own does, or as the server's first where there is none."""
    asking = "SELECT pg_encoding_to_char(encoding), datcollate, datctype FROM pg_database WHERE datname = ANY(%s)"
    own, first = _own_name(), "template0"
    row = server.execute(f"{asking} ORDER BY datname = %s DESC", [[own, first], own]).fetchone()
    assert row is not None  # noqa: S101 - the server's first is always there
    server.execute(
        sql.SQL("CREATE DATABASE {} TEMPLATE template0 ENCODING {} LC_COLLATE {} LC_CTYPE {}").format(
            sql.Identifier(name), *map(sql.Literal, row)
        )
    )


def _rename(server: "psycopg.Connection", name: str, other: str) -> None:
    server.execute(sql.SQL("ALTER DATABASE {} RENAME TO {}").format(sql.Identifier(name), sql.Identifier(other)))


def _own_name() -> str:
    return str(settings.DATABASES["default"]["NAME"])


def _url(name: str) -> str:
    """The shop's DATABASE_URL with another database's name."""
    return urlsplit(settings.DATABASE_URL)._replace(path=f"/{name}").geturl()


@contextmanager
def _server() -> "Iterator[psycopg.Connection]":
    """A connection to the server itself, outside the shop's database."""
    try:
        server = psycopg.connect(_url("postgres"), autocommit=True)
    except psycopg.OperationalError as error:
        raise BackupRefused(f"The PostgreSQL server can't be reached: {_one_line(error)}") from error
    with server:
        yield server


def _run(program: str, *words: str) -> None:
    """Run one of PostgreSQL's programs on the shop's database. Raises BackupRefused with what it said."""
    found = shutil.which(program)
    if found is None:
        raise BackupRefused(f"{program} is not on the path: install PostgreSQL's client programs.")
    shops = settings.DATABASES["default"]
    # The password goes by the environment: the words of a command can be read by every account of the machine.
    _, secret = DatabaseClient.settings_to_cmd_args_env(shops, [])
    told = {"PGHOST": shops["HOST"], "PGPORT": shops["PORT"], "PGUSER": shops["USER"], "PGDATABASE": _own_name()}
    surroundings = os.environ | {name: str(value) for name, value in told.items() if value} | (secret or {})
    command = [found, *words]
    done = subprocess.run(command, env=surroundings, capture_output=True, text=True, errors="replace", check=False)  # noqa: S603
    if done.returncode:
        lines = done.stderr.strip().splitlines() or [f"{program} failed and said nothing"]
        raise BackupRefused(f"{lines[0]}.")


def _one_line(error: psycopg.Error) -> str:
    return f"{str(error).strip().splitlines()[0]}."
