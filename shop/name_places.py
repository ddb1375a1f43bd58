"""Where the name of a hand stands beside its rows, found and replaced: lines and sheets that the program wrote, and
notes that people did.

The program wrote it in places that are known by their form. In what people wrote a name may be another word as well
(Will, May), so that each kind of note is shown first, as it stands and as it would read, and chosen.
"""

import json
import re
from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from django.db.models import Model, Q, TextField
from django.db.models.functions import Cast

from jobs.models import Hold, Order, Promise, Trip
from shop.models import (
    Attendance,
    AuditLine,
    Bonus,
    Device,
    Hand,
    Issue,
    OutputMean,
    Outwork,
    OverheadSpent,
    PaySheet,
    Purchase,
    Shop,
)
from shop.models.quotes import Quote, QuoteItem, Revision
from timing.models import Move, Stretch
from timing.notes import rewrite_note, rewrite_reason

MOST_SHOWN = 12
BATCH = 500
Kind = AuditLine.Kind
Texts = dict[str, Any]
# A row, what its columns would be, and its texts before and after, for the page.
Change = tuple[Model, Texts, list[tuple[str, str]]]


@dataclass(frozen=True, slots=True)
class Place:
    """Columns in which people write what they like, under one name on the page."""

    key: str
    label: str
    columns: tuple[tuple[type[Model], str], ...]


LINE = ("what", "before", "after")
LINES = Place("lines", "Other words in Who changed what", tuple((AuditLine, name) for name in LINE))
PLACES = (
    Place("work", "Notes of work", ((Stretch, "note"), (Move, "reason"))),
    Place("hours", "Notes of coming and going", ((Attendance, "note"),)),
    Place("outputs", "How mean outputs were estimated", ((OutputMean, "why"),)),
    Place("bonuses", "Bonuses, on pay sheets too", ((Bonus, "what"), (PaySheet, "told"))),
    Place(
        "orders",
        "Orders: carriages, notes, holds and promises",
        ((Order, "carriage"), (Order, "note"), (Hold, "what"), (Promise, "reason")),
    ),
    Place(
        "quotes",
        "Quotations: carriages, terms and notes",
        (
            *((Quote, "carriage"), (Revision, "carriage"), (Revision, "excluded"), (Revision, "terms")),
            *((Revision, "answer_note"), (QuoteItem, "what")),
        ),
    ),
    Place(
        "money",
        "Outwork, material and overheads",
        (
            *((Outwork, "what"), (Outwork, "to_whom"), (Trip, "to_whom"), (Issue, "what"), (OverheadSpent, "what")),
            *((Purchase, "supplier"), (Purchase, "note")),
        ),
    ),
    Place("devices", "Names of devices, and of the smith", ((Device, "name"), (Shop, "smith_name"))),
    LINES,
)


@dataclass(frozen=True, slots=True)
class Found:
    """How often a name stands in a place, the first few texts, as they are and as they would be, and how many more."""

    place: Place
    count: int
    examples: tuple[tuple[str, str], ...]
    more: int


@dataclass(frozen=True, slots=True)
class Called:
    """A name that a hand had, and which lines of who changed what tell of it: from after one id up to another."""

    name: str
    after_id: int = 0
    upto_id: int | None = None

    def tells(self, line_id: int) -> bool:
        """Whether the line of an id was written while the hand was called so."""
        return self.after_id < line_id and (self.upto_id is None or line_id <= self.upto_id)


@dataclass(frozen=True, slots=True)
class Named:
    """Somebody by all the names they had; `alone` are those that are nobody else's, the longest first."""

    called: tuple[Called, ...]
    alone: tuple[str, ...]

    @classmethod
    def of_hand(cls, hand: Hand) -> "Named":
        """A name that was given up and is another hand's by now is not looked for: that one may be meant."""
        called = tuple(names_of(hand))
        others = set(Hand.objects.exclude(pk=hand.pk).values_list("name", flat=True))
        alone = {hand.name} | ({one.name for one in called} - others)
        return cls(called, tuple(sorted(alone, key=len, reverse=True)))

    @classmethod
    def of_customer(cls, name: str) -> "Named":
        return cls((Called(name),), (name,))


def names_of(hand: Hand) -> list[Called]:
    """The names that a hand has had, the newest first, as far as the lines of who changed what tell.

    A name may have been another's before, or after: the lines between tell of this hand alone.
    """
    found: list[Called] = []
    name, upto = hand.name, None
    while True:
        lines = AuditLine.objects.filter(kind=Kind.PERSON)
        if upto is not None:
            lines = lines.filter(pk__lt=upto)
        became = lines.filter(_is_renamed_to(name)).order_by("-pk").first()
        # Another's leaving of the name begins this hand's time with it, where nothing else does.
        left = lines.filter(what=name, after__startswith="name: ").order_by("-pk").first()
        begins = max(became.pk if became else 0, left.pk if left else 0)
        found.append(Called(name, begins - 1 if became and became.pk == begins else begins, upto))
        if became is None or became.pk < begins:
            return found
        name, upto = became.what, became.pk


def _is_renamed_to(name: str) -> Q:
    return Q(after=f"name: {name}") | Q(after__startswith=f"name: {name}; ")


def pattern_of(name: str) -> re.Pattern[str]:
    """A name as a word by itself, in its own capitals; not as a month between a day and its year."""
    return re.compile(rf"(?<![\w'’-])(?!(?<=\d\s){re.escape(name)}\s\d{{4}}){re.escape(name)}(?![\w-])")


def replace_where_it_is_kept(hand: Hand, number: str) -> None:
    """In what the program itself wrote: lines of who changed what, and pay sheets. Notes of the hand's own coming and
    going are emptied, since they tell why somebody was late or away."""
    for line, changes, _ in list(_lines(Named.of_hand(hand), number, with_words=False)):
        AuditLine.objects.filter(pk=line.pk).put_number(**changes)
    for sheet in PaySheet.objects.filter(hand=hand.user_id):
        PaySheet.objects.filter(pk=sheet.pk).update(told=sheet.told | {"hand": number})
    Attendance.objects.filter(hand=hand.user_id).exclude(note="").update(note="")


def where_people_wrote_it(named: Named, number: str) -> list[Found]:
    """The places of `PLACES` in which a name stands, each with its first few texts."""
    found = []
    for place in PLACES:
        pairs = [pair for _, _, pairs in _changes(place, named, number) for pair in pairs]
        if pairs:
            others = list(dict.fromkeys(pairs))
            found.append(Found(place, len(pairs), tuple(others[:MOST_SHOWN]), len(others[MOST_SHOWN:])))
    return found


def replace_where_people_wrote_it(named: Named, number: str, keys: Collection[str]) -> None:
    """Replace the name in the places that are named."""
    for place in PLACES:
        if place.key in keys:
            for row, changes, _ in list(_changes(place, named, number)):
                _write(row, changes)


def _write(row: Model, changes: Texts) -> None:
    if isinstance(row, AuditLine):
        AuditLine.objects.filter(pk=row.pk).put_number(**changes)
    elif isinstance(row, Stretch):
        rewrite_note(row.pk, changes["note"])
    elif isinstance(row, Move):
        rewrite_reason(row.pk, changes["reason"])
    else:
        type(row)._default_manager.filter(pk=row.pk).update(**changes)


def _changes(place: Place, named: Named, number: str) -> Iterator[Change]:
    """Each row that holds a name in a place: what its columns would be, and the texts before and after."""
    if place is LINES:
        yield from _lines(named, number, with_words=True)
        return
    names = named.alone
    for model, column in place.columns:
        if model is PaySheet:
            yield from _sheets(names, number)
            continue
        rows = model._default_manager.filter(_holding(names, column)).order_by("pk")
        for row in rows.iterator(chunk_size=BATCH):
            before = getattr(row, column)
            after = _put(before, names, number)
            if after != before:
                yield row, {column: after}, [(before, after)]


def _holding(names: Iterable[str], *columns: str) -> Q:
    asked = Q()
    for name in names:
        for column in columns:
            asked |= Q(**{f"{column}__contains": name})
    return asked


def _put(text: str, names: Iterable[str], number: str) -> str:
    for name in names:
        text = pattern_of(name).sub(number, text)
    return text


def _sheets(names: Sequence[str], number: str) -> Iterator[Change]:
    """Pay sheets in whose lines a bonus names the hand."""
    # As JSON writes a name: in some databases with other letters than ASCII's escaped.
    written = [*names, *(json.dumps(name)[1:-1] for name in names)]
    rows = PaySheet.objects.annotate(as_text=Cast("told", TextField())).filter(_holding(written, "as_text"))
    for sheet in rows.order_by("pk").iterator(chunk_size=BATCH):
        lines = sheet.told.get("lines", [])
        put = [[kind, _put(name, names, number), *rest] for kind, name, *rest in lines]
        pairs = [(one[1], other[1]) for one, other in zip(lines, put, strict=True) if one[1] != other[1]]
        if pairs:
            yield sheet, {"told": sheet.told | {"lines": put}}, pairs


def _lines(named: Named, number: str, *, with_words: bool) -> Iterator[Change]:
    """Lines of who changed what that tell of somebody, each by the name that stood when it was written.

    Without words: only where the program puts a name. With them: where people wrote it too, and those lines alone.
    """
    rows = AuditLine.objects.filter(_holding({one.name for one in named.called}, *LINE)).order_by("pk")
    for line in rows.iterator(chunk_size=BATCH):
        names = [one.name for one in named.called if one.tells(line.pk)]
        before = {name: getattr(line, name) for name in LINE}
        formal = {name: _in_its_form(text, names, number) for name, text in before.items()}
        after = {name: _put(text, names, number) for name, text in formal.items()} if with_words else formal
        seen = formal if with_words else before
        changes = {name: text for name, text in after.items() if text != before[name]}
        pairs = [(before[name], text) for name, text in after.items() if text != seen[name]]
        if pairs:
            yield line, changes, pairs


def _in_its_form(text: str, names: Iterable[str], number: str) -> str:
    """A text with a name replaced where the program puts it: alone, before a colon, as a field, as a shop's owner."""
    for name in names:
        whole = re.escape(name)
        text = re.sub(rf"^{whole}(?=: |$)", number, text)
        text = re.sub(rf"^name: {whole}(?=; |$)", f"name: {number}", text)
        text = re.sub(rf"^opened, {whole} its owner$", f"opened, {number} its owner", text)
    return text
