"""The day book as its page and its file show it."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import tzinfo
from itertools import groupby, islice
from uuid import UUID

from jobs.words import in_words
from shop.csv_safe import Cell
from shop.models import Hand
from timing.corrections import DISPUTED
from timing.day_book import CHUNK, HandSum
from timing.facts import device_error
from timing.models import Stretch, Tally
from timing.models.facts import Kind, Source
from timing.overlap_facts import overlaps_of
from timing.overlaps import Overlap

HEADER = (
    *("stretch", "undoes", "undone", "day", "started_at", "done_at", "received_at", "kind", "hand", "helpers"),
    *("operation", "order", "lot", "wheel", "made", "spoiled", "lost", "reason", "seconds", "told_at", "entered_by"),
    *("note", "overlap_seconds", "overlaps_with"),
)


@dataclass(frozen=True, slots=True)
class Line:
    """What a stretch did for one task."""

    where: str
    order_number: int | None
    task_id: int | None
    made: int
    spoiled: int
    lost: int
    reason: str


@dataclass(frozen=True, slots=True)
class Row:
    """One stretch in words. `undoes` marks a contra; `is_undone` what one has undone."""

    stretch: Stretch
    what: str
    who: str
    at: str
    lines: list[Line]
    undoes: bool
    is_undone: bool
    to_place: bool
    disputed: str
    note: str
    entered_by: str
    overlaps: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class HandTotals:
    """One hand's seconds by kind, as hand and helper together; stretches that stand, and those not timed."""

    name: str
    seconds: dict[str, int]
    stretches: int
    untimed: int

    @property
    def whole(self) -> int:
        return sum(self.seconds.values())

    @property
    def columns(self) -> list[tuple[str, int]]:
        """Each kind's name, and its seconds."""
        return [(label, self.seconds.get(kind, 0)) for kind, label in Kind.choices]


class Names:
    """The names of hands by their user ids, read once."""

    def __init__(self) -> None:
        self._names = dict(Hand.objects.values_list("user_id", "name"))

    def of(self, user_id: int | None) -> str:
        return "" if user_id is None else self._names.get(user_id, "no hand now")


def by_day(
    rows: list[Stretch],
    names: Names,
    words: Mapping[str, str],
    zone: tzinfo,
    overlaps: Mapping[int, tuple[str, ...]],
) -> list[tuple[object, list[Row]]]:
    """Rows under their days, newest first; `overlaps` are sentences by a stretch's id."""
    made = [_row(stretch, names, words, zone, overlaps.get(stretch.pk, ())) for stretch in rows]
    return [(day, list(group)) for day, group in groupby(made, key=lambda row: row.stretch.done_on)]


def totals(sums: list[HandSum], names: Names) -> list[HandTotals]:
    """The sums by hand, in the order of their names."""
    by_hand: dict[int, list[HandSum]] = {}
    for one in sums:
        by_hand.setdefault(one.hand_id, []).append(one)
    rows = [
        HandTotals(
            name=names.of(hand_id),
            seconds={one.kind: one.seconds + one.helped_seconds for one in group},
            stretches=sum(one.stretches for one in group),
            untimed=sum(one.untimed for one in group),
        )
        for hand_id, group in by_hand.items()
    ]
    return sorted(rows, key=lambda row: row.name)


def whole_of(rows: list[HandTotals]) -> HandTotals:
    """All hands together."""
    seconds = {kind: sum(row.seconds.get(kind, 0) for row in rows) for kind in Kind.values}
    return HandTotals("All", seconds, sum(row.stretches for row in rows), sum(row.untimed for row in rows))


def file_rows(rows: Iterator[Stretch], words: Mapping[str, str]) -> Iterator[list[Cell]]:
    """A row for each tally, or one for a stretch that has none, as `HEADER` names them. Contra rows carry minus.

    What overlaps is on the first row of its stretch alone, so that a sum holds it once.
    """
    names = Names()
    while chunk := list(islice(rows, CHUNK)):
        overlaps = overlaps_of(chunk)
        ids = {pk for found in overlaps.values() for one in found for pk in (one.first_id, one.second_id)}
        tokens = dict(Stretch.objects.filter(pk__in=ids).values_list("pk", "token")) if ids else {}
        for stretch in chunk:
            tallies: list[Tally | None] = [*stretch.tallies.all()]
            told = _told_twice(stretch, overlaps.get(stretch.pk, []), tokens)
            for number, tally in enumerate(tallies or [None]):
                yield [*_file_row(stretch, tally, names, words), *(("", "") if number else told)]


def _told_twice(stretch: Stretch, overlaps: list[Overlap], tokens: Mapping[int, UUID]) -> tuple[Cell, Cell]:
    """Seconds that other stretches tell too, and the tokens of those."""
    others = {one.second_id if one.first_id == stretch.pk else one.first_id for one in overlaps}
    return sum(one.seconds for one in overlaps), ", ".join(str(tokens[pk]) for pk in sorted(others))


def _row(stretch: Stretch, names: Names, words: Mapping[str, str], zone: tzinfo, overlaps: tuple[str, ...]) -> Row:
    operation = stretch.operation
    people = [stretch.hand_id, *(helper.hand_id for helper in stretch.helpers.all())]
    note = stretch.note
    done_at = stretch.done_at + device_error(stretch.sent_at, stretch.received_at)
    return Row(
        stretch=stretch,
        what=in_words(operation.name, words) if operation else stretch.get_kind_display().capitalize(),
        who=" with ".join([names.of(people[0]), *filter(None, [" and ".join(names.of(one) for one in people[1:])])]),
        # An old book knows no hour.
        at="" if stretch.source == Source.OLD_BOOK else f"{done_at.astimezone(zone):%H.%M}",
        lines=[_line(tally) for tally in stretch.tallies.all()],
        undoes=stretch.cancels_token is not None,
        is_undone=stretch.is_undone,  # type: ignore[attr-defined]
        to_place=stretch.to_place,  # type: ignore[attr-defined]
        disputed=note.removeprefix(DISPUTED) if note.startswith(DISPUTED) else "",
        note="" if note.startswith(DISPUTED) else note,
        entered_by=names.of(stretch.entered_by_id),
        overlaps=overlaps,
    )


def _line(tally: Tally) -> Line:
    task = tally.task
    if task is None:
        where, number = f"order {tally.old_order} of the old book", None
    else:
        where = f"{task.lot.order}, {task.wheel.label if task.wheel else task.lot.name}"
        number = task.lot.order.number
    reason = tally.get_reason_display() if tally.reason else ""
    return Line(where, number, tally.task_id, tally.made, tally.spoiled, tally.lost, reason)


def _file_row(stretch: Stretch, tally: Tally | None, names: Names, words: Mapping[str, str]) -> list[Cell]:
    task = tally.task if tally else None
    return [
        stretch.token,
        stretch.cancels_token,
        stretch.is_undone,  # type: ignore[attr-defined]
        stretch.done_on,
        stretch.started_at,
        stretch.done_at,
        stretch.received_at,
        stretch.kind,
        names.of(stretch.hand_id),
        ", ".join(names.of(helper.hand_id) for helper in stretch.helpers.all()),
        in_words(stretch.operation.name, words) if stretch.operation else "",
        task.lot.order.number if task else tally.old_order if tally else "",
        task.lot.name if task else "",
        task.wheel.label if task and task.wheel else "",
        tally.made if tally else None,
        tally.spoiled if tally else None,
        tally.lost if tally else None,
        tally.reason if tally else "",
        tally.seconds if tally else stretch.seconds,
        stretch.source,
        names.of(stretch.entered_by_id),
        stretch.note,
    ]
