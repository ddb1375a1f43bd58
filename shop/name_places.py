"""Where the name of somebody stands beside their rows, found and replaced: lines and sheets that the program wrote, and
notes that people did.

The program wrote it in places that are known by their form (`shop.name_lines`). In what people wrote a name may be
another word as well (Will, May), so that every text is shown first, as it stands and as it would read, and chosen.
"""

import hashlib
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from functools import cached_property

from django.db.models import Manager, Model, Q, TextField
from django.db.models.functions import Cast

from jobs.models import Customer, LibraryMakeUp
from shop.models import Attendance, AuditLine, Bonus, Hand, Material, PaySheet
from shop.name_columns import LINE, LINES, OF_THINGS, PLACES, Place
from shop.name_lines import put_in_its_form, subject_of, words_of
from shop.name_words import Sought, fold
from shop.names_had import Called, given_up_by_others, names_of
from shop.pay.retention import Record
from shop.pay.sheet import BONUS
from shop.records_kept import Keeping
from timing.models import Move, Stretch, Tally
from timing.notes import rewrite_note, rewrite_old_book, rewrite_reason

# So many texts of one place have a tick each; more are ticked together. A form has a thousand fields at most.
MOST_TICKS = 20
# What takes the place of a name where the number would push other words out of a column: no longer than any name.
GAP = "…"
BATCH = 500


# What is told of one hand, and is kept as it was while that hand's term runs.
OF_HANDS: Mapping[type[Model], Record] = {
    Stretch: Record.PIECES,
    Move: Record.PIECES,
    Attendance: Record.ATTENDANCE,
    Bonus: Record.BONUSES,
    PaySheet: Record.SHEETS,
}


class WrittenMeanwhile(ValueError):
    """What stands of somebody is not what was seen; the message is one sentence for the person who asked."""


class How(StrEnum):
    """How sure it is that a text means somebody, and that it may be changed."""

    SURE = "sure"
    KEPT = "kept"
    NEARLY = "nearly"
    LONG = "long"


@dataclass(frozen=True, slots=True)
class Text:
    """One text in a place, as it is and as it would be, however often it stands there."""

    place: Place
    how: How
    before: str
    after: str

    @property
    def key(self) -> str:
        """Names the text as it was seen: what was changed since has another."""
        return _digest([self.place.key, self.how, self.before, self.after])


@dataclass(frozen=True)
class Found:
    """The texts of a place that are alike sure, and how often they stand there."""

    place: Place
    how: How
    texts: tuple[Text, ...]
    count: int

    @cached_property
    def key(self) -> str:
        """Names all of them as they were seen."""
        return _digest([text.key for text in self.texts])

    @property
    def is_one_by_one(self) -> bool:
        """Whether each has a tick of its own."""
        return len(self.texts) <= MOST_TICKS

    @property
    def ticks(self) -> list[str]:
        return [text.key for text in self.texts] if self.is_one_by_one else [self.key]


def _digest(parts: Iterable[str]) -> str:
    return hashlib.sha256("\0".join(parts).encode()).hexdigest()[:12]


def seen_of(found: Sequence[Found]) -> str:
    """Names all that was found, as it was seen; empty where nothing was."""
    return _digest([one.key for one in found]) if found else ""


@dataclass(frozen=True, slots=True)
class Named:
    """Somebody by all the names they had, and what of others must be told apart from them.

    `called` says when a hand was called what; `keeping` and `today` tell which records of others must stay as they are.
    """

    called: tuple[Called, ...]
    sought: Sought
    number: str
    keeping: Keeping
    today: date
    hand_id: int | None = None

    @classmethod
    def of_hand(cls, hand: Hand, number: str, keeping: Keeping, today: date) -> "Named":
        """A name that was given up and is another hand's by now is not looked for: that one may be meant."""
        called = tuple(names_of(hand))
        hands = set(Hand.objects.exclude(pk=hand.pk).values_list("name", flat=True))
        names = {hand.name} | ({one.name for one in called} - hands)
        others = hands | given_up_by_others(called) | _names_of_customers() | _timbers_called(names)
        sought = Sought.of(names, others)
        return cls(called, sought, number, keeping, today, hand.user_id)

    @classmethod
    def of_customer(cls, customer: Customer, number: str, keeping: Keeping, today: date) -> "Named":
        hands = set(Hand.objects.values_list("name", flat=True)) | given_up_by_others([])
        others = hands | _names_of_customers(but=customer.pk) | _timbers_called([customer.name])
        return cls((Called(customer.name),), Sought.of([customer.name], others), number, keeping, today)

    def texts(
        self, place: Place, row: Model, before: str, base: str, *, most: int | None = None, is_thing: bool = False
    ) -> list[Text]:
        """What a text may become: `base` is what it is without the words of people that are looked at. `most` letters
        fit there: a text is never cut to them. What `is_thing` tells of a thing, which may be called as they are."""
        found, last = [], base
        is_kept = self._is_kept(row)
        hows = (How.NEARLY if is_thing else How.SURE, How.NEARLY)
        for how, after, short in zip(hows, self._put(base, self.number), self._put(base, GAP), strict=True):
            if after == last:
                continue
            last, is_long = after, most is not None and len(after) > most
            says = How.KEPT if is_kept else How.LONG if is_long else how
            found.append(Text(place, says, before, short if is_long else after))
        return found

    def names(self, text: str) -> bool:
        """Whether a text names them, surely or nearly."""
        return self._put(text, self.number)[1] != text

    def _put(self, text: str, number: str) -> tuple[str, str]:
        """A text with a number where it surely means somebody, and where it may besides."""
        sure = self.sought.put(text, number)
        return sure, self.sought.put_nearly(sure, number)

    def _is_kept(self, row: Model) -> bool:
        record = OF_HANDS.get(type(row))
        if record is None or getattr(row, "hand_id", None) == self.hand_id:
            return False
        day = (
            row.run.last_on if isinstance(row, PaySheet) else getattr(row, "on", None) or getattr(row, "done_on", None)
        )
        return day is not None and self.keeping.until(record, day).until >= self.today


def _names_of_customers(*, but: int = 0) -> set[str]:
    return set(Customer.objects.filter(replaced_at=None).exclude(pk=but).values_list("name", flat=True))


def _timbers_called(names: Iterable[str]) -> set[str]:
    """The timbers of this shop that are called as somebody is, but for capitals: Ash, Rose."""
    wanted = {fold(name) for name in names}
    makeups = LibraryMakeUp.objects.values_list("hub_timber", "spoke_timber", "felloe_timber").distinct()
    words = {word for row in makeups for word in row} | set(Material.objects.values_list("timber", flat=True))
    return {word for word in words if fold(word) in wanted}


# A text that was found, its row and column, and of a pay sheet the line in it.
Change = tuple[Text, Model, str, int]


def where_people_wrote_it(named: Named) -> list[Found]:
    """The places of `PLACES` in which a name stands, with every text: the sure ones first in each."""
    return _found(_changes(named))


def _found(changes: Iterable[Change]) -> list[Found]:
    counted: dict[tuple[str, How], dict[Text, int]] = {}
    for text, *_ in changes:
        held = counted.setdefault((text.place.key, text.how), {})
        held[text] = held.get(text, 0) + 1
    groups = ((place, how, counted.get((place.key, how), {})) for place in PLACES for how in How)
    return [Found(place, how, tuple(held), sum(held.values())) for place, how, held in groups if held]


def replace_where_people_wrote_it(named: Named, chosen: Collection[str], *, seen: str | None = None) -> None:
    """Replace the name in the texts that are chosen, by the ticks of what was found. Call it inside the write.

    WrittenMeanwhile where what was `seen` is not all that there is; None asks for no such look.
    """
    changes = list(_changes(named))
    found = _found(changes)
    if seen is not None and seen != seen_of(found):
        raise WrittenMeanwhile(
            "Something was written or changed while you looked at this: look at all of it once more."
        )
    ticked = {text for one in found if not one.is_one_by_one and one.key in chosen for text in one.texts}
    # Of one text, what is nearly the name comes after what is surely it, and holds that too.
    for text, row, column, line in changes:
        if text in ticked or text.key in chosen:
            _write(row, column, text.after, line)


def replace_where_it_is_kept(named: Named) -> None:
    """In what the program itself wrote: lines of who changed what, and pay sheets. Notes of the hand's own coming and
    going are emptied, since they tell why somebody was late or away."""
    for line in list(_lines_of(named)):
        put = {name: _formal(named, line, name) for name in LINE}
        changes = {name: text for name, text in put.items() if text != getattr(line, name)}
        if changes:
            AuditLine.objects.filter(pk=line.pk).put_number(**changes)
    for sheet in PaySheet.objects.filter(hand=named.hand_id):
        PaySheet.objects.filter(pk=sheet.pk).update(told=sheet.told | {"hand": named.number})
    Attendance.objects.filter(hand=named.hand_id).exclude(note="").update(note="")


def _write(row: Model, column: str, text: str, line: int) -> None:
    if isinstance(row, AuditLine):
        AuditLine.objects.filter(pk=row.pk).put_number(**{column: text})
    elif isinstance(row, Stretch):
        rewrite_note(row.pk, text)
    elif isinstance(row, Move):
        rewrite_reason(row.pk, text)
    elif isinstance(row, Tally):
        rewrite_old_book(row.pk, **{column: text})
    elif isinstance(row, PaySheet):
        row.told["lines"][line][1] = text
        PaySheet.objects.filter(pk=row.pk).update(told=row.told)
    else:
        rows = type(row)._default_manager
        if isinstance(row, LibraryMakeUp | Material) and column == "name" and _is_taken(rows, row, text):
            kind = "make-up" if isinstance(row, LibraryMakeUp) else "material"
            raise WrittenMeanwhile(f"There is a {kind} called “{text}” already: give that one another name first.")
        rows.filter(pk=row.pk).update(**{column: text})


def _is_taken(rows: Manager[Model], row: Model, name: str) -> bool:
    return rows.filter(name=name).exclude(pk=row.pk).exists()


def _changes(named: Named) -> Iterator[Change]:
    """Each text that holds a name."""
    for place in PLACES:
        if place is LINES:
            yield from _in_lines(named)
            continue
        for model, column in place.columns:
            yield from _in_sheets(named, place) if model is PaySheet else _in_column(named, place, model, column)


def _in_column(named: Named, place: Place, model: type[Model], column: str) -> Iterator[Change]:
    rows = model._default_manager.filter(holding(named.sought, column)).order_by("pk")
    if model is Attendance:
        # Those of the hand's own are emptied.
        rows = rows.exclude(hand=named.hand_id)
    most = model._meta.get_field(column).max_length  # type: ignore[union-attr]
    for row in rows.iterator(chunk_size=BATCH):
        before = getattr(row, column)
        for text in named.texts(place, row, before, before, most=most, is_thing=(model, column) in OF_THINGS):
            yield text, row, column, 0


def _in_sheets(named: Named, place: Place) -> Iterator[Change]:
    """Pay sheets in whose lines a bonus names somebody."""
    rows = PaySheet.objects.select_related("run").annotate(as_text=Cast("told", TextField()))
    for sheet in rows.filter(holding_in_json(named.sought, "as_text")).order_by("pk").iterator(chunk_size=BATCH):
        for place_of, (kind, name, *_rest) in enumerate(sheet.told.get("lines", [])):
            for text in named.texts(place, sheet, name, name) if kind == BONUS else ():
                yield text, sheet, "told", place_of


def _in_lines(named: Named) -> Iterator[Change]:
    """Lines of who changed what in whose words somebody stands, beside where the program puts a name."""
    for line in _lines_of(named):
        for column in LINE:
            formal = _formal(named, line, column)
            head, words = words_of(line.kind, column, formal)
            is_thing = not words and subject_of(line.kind, column, formal) is None
            if is_thing:
                head, words = "", head
            for text in named.texts(LINES, line, words, words, is_thing=is_thing):
                whole = Text(LINES, text.how, getattr(line, column), head + text.after)
                yield whole, line, column, 0


def _lines_of(named: Named) -> Iterator[AuditLine]:
    sought = Sought(tuple({one.name for one in named.called} | set(named.sought.names)))
    yield from AuditLine.objects.filter(holding(sought, *LINE)).order_by("pk").iterator(chunk_size=BATCH)


def _formal(named: Named, line: AuditLine, column: str) -> str:
    """A column with a number where the program put the name that somebody had when the line was written."""
    names = [one.name for one in named.called if one.tells(line.pk)]
    return put_in_its_form(line.kind, column, getattr(line, column), names, named.number)


def holding(sought: Sought, *columns: str) -> Q:
    """What the database is asked for: rows of which some have a name in these columns, and no other has."""
    asked = Q()
    for column in columns:
        for stem in sought.stems:
            asked |= Q(**{f"{column}__icontains": stem})
        for spelled in sought.spelled:
            asked |= Q(**{f"{column}__regex": spelled})
    return asked


def holding_in_json(sought: Sought, column: str) -> Q:
    """Letters that are not plain are written as codes there, in some databases: then all of it is looked at."""
    return Q() if sought.spelled else holding(sought, column)
