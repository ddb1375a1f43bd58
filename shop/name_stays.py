"""Where the name of somebody stays when a number takes its place: records that were frozen, and what the shop says of
itself. Nothing of it is changed; it is shown, so that nobody takes it to be gone."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from django.db.models import JSONField, Model, TextField
from django.db.models.functions import Cast

from jobs.models import LibraryMakeUp, Lot, Operation
from shop.days import day_in_words
from shop.models import Material, OutputNotice, PaySheet, Shop
from shop.models.quotes import QuoteLot, Revision
from shop.name_columns import STAYING
from shop.name_places import Named, holding, holding_in_json
from shop.pay.sheet import BONUS

BATCH = 500
# What in frozen records the program says by itself, whoever is called what.
OWN = frozenset({"key", "wanted", "made_from", "version", "on", "currency", "rules", "caution"})


@dataclass(frozen=True, slots=True)
class Stays:
    """Texts of one kind in which a name stays, why, and of each the first place in which it stands and how many there
    are besides."""

    label: str
    why: str
    texts: tuple[tuple[str, str, int], ...]


def what_stays(named: Named) -> list[Stays]:
    """Kinds of texts with the name in them that no number is put into; those without it are left out."""
    found = []
    for staying in STAYING:
        where: dict[str, list[str]] = {}
        for model, column in staying.columns:
            for text, row in _texts(named, model, column):
                where.setdefault(text, []).append(_told(row))
        if where:
            texts = tuple((text, rows[0], len(rows) - 1) for text, rows in where.items())
            found.append(Stays(staying.label, staying.why, texts))
    return found


def _texts(named: Named, model: type[Model], column: str) -> Iterator[tuple[str, Any]]:
    """Texts with the name, each once a row."""
    rows = model._default_manager.order_by("pk").select_related(*_RELATED.get(model, ()))
    if isinstance(model._meta.get_field(column), JSONField):
        rows = rows.annotate(as_text=Cast(column, TextField())).filter(holding_in_json(named.sought, "as_text"))
    else:
        rows = rows.filter(holding(named.sought, column))
    for row in rows.iterator(chunk_size=BATCH):
        for text in dict.fromkeys(_words_in(_looked_at(row, column))):
            if named.names(text):
                yield text, row


_RELATED: dict[type[Model], tuple[str, ...]] = {
    Revision: ("quote",),
    PaySheet: ("run",),
    Lot: ("order",),
    QuoteLot: ("revision__quote",),
}


def _looked_at(row: Model, column: str) -> Any:
    """What stands in a column; of a sheet without what is replaced there."""
    held = getattr(row, column)
    if isinstance(row, PaySheet):
        lines = [line for line in held.get("lines", []) if line[0] != BONUS]
        return {**held, "hand": "", "lines": lines}
    return held


def _words_in(held: Any) -> Iterator[str]:
    """The texts in plain JSON, however deep, but for the program's own."""
    if isinstance(held, str):
        yield held
    elif isinstance(held, dict):
        for name, one in held.items():
            if name not in OWN:
                yield from _words_in(one)
    elif isinstance(held, list):
        for one in held:
            yield from _words_in(one)


def _told(row: Any) -> str:
    """A row as the page says where a text stands, without words in which a name may be replaced."""
    match row:
        case Revision():
            return f"quotation {row.quote.number}, revision {row.number}"
        case QuoteLot():
            return f"quotation {row.revision.quote.number}, revision {row.revision.number}"
        case PaySheet():
            return f"pay up to {day_in_words(row.run.last_on)}"
        case OutputNotice():
            return f"given on {day_in_words(row.given_on)}"
        case Lot():
            return f"order {row.order.number}"
        case LibraryMakeUp() | Material() | Operation():
            return row.name
        case Shop():
            return "The shop"
    raise TypeError(f"Nobody said where a text of {type(row).__name__} stands.")
