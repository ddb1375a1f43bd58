"""Rows put into a table at once, made ready before the write begins: for many thousands of them. Only `timing.bulk`
uses this; what Django checks of a row on saving is not checked here."""

from collections.abc import Callable, Iterable, Sequence
from typing import Any

from django.db import connection, models

Values = tuple[Any, ...]


def prepare_rows(model: type[models.Model], rows: Iterable[models.Model]) -> list[Values]:
    """The columns of unsaved rows but their ids, as this database takes them."""
    columns = [(field.attname, _reader(field)) for field in _columns(model)]
    return [tuple(read(getattr(row, name)) for name, read in columns) for row in rows]


def insert_rows(model: type[models.Model], rows: Sequence[Values], **columns: Sequence[Any]) -> None:
    """Insert rows that `prepare_rows` made, in their order; `columns` go in place of what those have of that name."""
    if not rows:
        return
    fields = _columns(model)
    for name, values in columns.items():
        at = [field.attname for field in fields].index(name)
        rows = [(*row[:at], value, *row[at + 1 :]) for row, value in zip(rows, values, strict=True)]
    quote = connection.ops.quote_name
    table, names = quote(model._meta.db_table), ", ".join(quote(str(field.column)) for field in fields)
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            with cursor.copy(f"COPY {table} ({names}) FROM STDIN") as copy:
                for row in rows:
                    copy.write_row(row)
        else:
            places = ", ".join(["%s"] * len(fields))
            # Names of our own tables and columns, and places for values.
            cursor.executemany(f"INSERT INTO {table} ({names}) VALUES ({places})", rows)  # noqa: S608


def _columns(model: type[models.Model]) -> "list[models.Field[Any, Any]]":
    return [field for field in model._meta.local_concrete_fields if not field.primary_key]


def _reader(field: "models.Field[Any, Any]") -> Callable[[Any], Any]:
    """What makes a value ready. One that many rows have is made ready once."""
    if field.unique:
        return lambda value: field.get_db_prep_save(value, connection)
    known: dict[Any, Any] = {}

    def read(value: Any) -> Any:
        if value not in known:
            known[value] = field.get_db_prep_save(value, connection)
        return known[value]

    return read
