"""The ledger of timings that stray, and of those of which a person said whether they count."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, tzinfo

from shop.bench_page import place_of
from shop.day_book_page import Names
from shop.days import day_in_words
from shop.times_words import counted, minutes_shown
from timing.models import Tally
from timing.models.facts import Source
from timing.usual import Stray, Timing


@dataclass(frozen=True, slots=True)
class StrayRow:
    """A timing that strays, or of which a person said something. `expected` is empty where it was not judged one."""

    tally: Tally
    who: str
    where: str
    minutes: str
    pieces: str
    expected: str
    said: str
    is_counted: bool
    is_left_out: bool

    @property
    def day(self) -> date:
        return self.tally.stretch.done_on

    @property
    def order_number(self) -> int | None:
        return self.tally.task.lot.order.number if self.tally.task else None

    @property
    def is_old(self) -> bool:
        """From an old book, which is kept as it came: nothing in it can be put right."""
        return self.tally.stretch.source == Source.OLD_BOOK


def stray_rows(
    timings: Sequence[Timing], strays: Mapping[int, Stray], names: Names, zone: tzinfo, *, piece: str
) -> list[StrayRow]:
    """Of these timings, newest first, those that stray or were judged by a person: one query."""
    found = {
        one.row.tally_id: one for one in reversed(timings) if one.row.tally_id in strays or one.row.counts is not None
    }
    joined = ("stretch", "verdict", "task__lot__order", "task__wheel")
    tallies = {one.pk: one for one in Tally.objects.filter(pk__in=found).select_related(*joined)}
    return [
        StrayRow(
            tally=tallies[pk],
            who=names.of(one.row.hand_id),
            where=_where(tallies[pk]),
            minutes=minutes_shown(one.minutes),
            pieces=counted(one.row.pieces, piece),
            expected=minutes_shown(one.minutes / strays[pk].ratio) if pk in strays else "",
            said=_said(tallies[pk], names, zone),
            is_counted=one.row.counts is True,
            is_left_out=one.row.counts is False,
        )
        for pk, one in found.items()
    ]


def _where(tally: Tally) -> str:
    if tally.task is None:
        wheel = f"{tally.old_wheel}, " if tally.old_wheel else ""
        return f"{wheel}order {tally.old_order} of an old book"
    return place_of(tally.task.lot, tally.task.wheel)


def _said(tally: Tally, names: Names, zone: tzinfo) -> str:
    verdict = getattr(tally, "verdict", None)
    if verdict is None:
        return "strays, and hardly counts"
    day = day_in_words(verdict.said_at.astimezone(zone).date())
    return f"{'counted' if verdict.counts else 'left out'} by {names.of(verdict.said_by_id)}, {day}"
