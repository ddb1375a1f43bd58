"""The facts of one material day by day, without a database: by the rules of `fifo`, which lots came in, and what each
day wants of them.

Both lie on a line of their own, in the order of their days: what lies beside a day's issues is what these cost. Facts
may be added in any order. The days before the earliest that is touched by one stay as they were worked out, so that a
book is replayed as it was written, and each fact costs about as much as there came after its day.
"""

from bisect import bisect_left, bisect_right, insort
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from datetime import date
from fractions import Fraction
from typing import NamedTuple

# Pence of one millionth on a day by the price list, or None where no price stands.
ListPrice = Callable[[date], Fraction | None]
NOTHING = Fraction(0)
# Before all that is written.
FIRST = -1


@dataclass(frozen=True, slots=True)
class Bought:
    """Of one day, with what was paid for all of it; what takes another back has both negated, and its place. `at` is
    any number from nothing on that is higher for what was written later; `late` where that was on a later day."""

    on: date
    amount: int
    pence: int
    at: int = 0
    late: bool = False


@dataclass(frozen=True, slots=True)
class Out:
    """A row of issues by its id: less than nothing where it takes `of` back, or brings some of it back later. `at` and
    `late` as of what is bought."""

    key: int
    of: int
    on: date
    amount: int
    at: int = 0
    late: bool = False


@dataclass(frozen=True, slots=True)
class Counted:
    """What lay in the rack: at the end of a day, or where it was written. Of one place the one given last stands."""

    on: date
    amount: int
    at: int = 0
    at_day_end: bool = True


class Came(NamedTuple):
    """A lot as it came in, of one price; `found` by a count."""

    on: date
    amount: int
    pence: int | Fraction
    found: bool
    priced: bool


class Want(NamedTuple):
    """All that was issued on a day, or what is `missing` by its counts."""

    on: date
    missing: bool
    amount: int


@dataclass(slots=True)
class _Day:
    bought: int = 0
    pence: int = 0
    issued: int = 0
    # By how much what is written of the day changes the rack, and each of it: whether late, when written, how much.
    change: int = 0
    changes: list[tuple[bool, int, int]] = field(default_factory=list)
    counts: list[Counted] = field(default_factory=list)

    def move(self, row: Bought | Out, amount: int) -> None:
        self.change += amount
        self.changes.append((row.late, row.at, amount))


class _Mark(NamedTuple):
    """Where a day begins: in the rack, on both lines, and what the newest lot was."""

    rack: int
    lots: int
    wants: int
    newest: tuple[int, int] | None


# So much of a lot, of which so much was bought for so much pence.
_Part = tuple[int, int | Fraction, int]


class Ledger:
    """Lots and wants of a material, and how far along its line each reaches."""

    def __init__(self, list_price: ListPrice) -> None:
        self._list_price = list_price
        self._of: dict[date, _Day] = {}
        self._days: list[date] = []
        # Of each day that is worked out, and of the one after.
        self._marks = [_Mark(0, 0, 0, None)]
        self._lots: list[Came] = []
        self._lots_end: list[int] = []
        self._wants: list[Want] = []
        self._wants_end: list[int] = []

    def add_bought(self, row: Bought) -> None:
        day = self._day(row.on)
        day.bought += row.amount
        day.pence += row.pence
        day.move(row, row.amount)

    def add_out(self, row: Out, issued_on: date) -> None:
        """A row of issues; what it cost is of the day of its issue."""
        day = self._day(issued_on)
        day.issued += row.amount
        (day if row.on == issued_on else self._day(row.on)).move(row, -row.amount)

    def add_count(self, row: Counted) -> None:
        self._day(row.on).counts.append(row)

    def drop_count(self, row: Counted) -> None:
        """One that was taken back never was."""
        self._day(row.on).counts.remove(row)

    @property
    def lots(self) -> Sequence[Came]:
        self._work()
        return self._lots

    @property
    def wants(self) -> Sequence[Want]:
        self._work()
        return self._wants

    @property
    def amount(self) -> int:
        """What is in the rack after all; less than nothing where more went out than came in."""
        self._work()
        return self._marks[-1].rack

    def taken(self, place: int) -> tuple[list[tuple[int, int]], int]:
        """Of the want in a place on its line: so much of each lot by that one's place, and how much no lot covers."""
        end = self._wants_end[place]
        start = end - self._wants[place].amount
        lot = bisect_right(self._lots_end, start)
        parts = []
        while start < end and lot < len(self._lots):
            part = min(end, self._lots_end[lot]) - start
            parts.append((part, lot))
            start += part
            lot += 1
        return parts, end - start

    def dearer_by(self, change: Callable[[], None], on: date) -> dict[date, Fraction]:
        """Makes a change to what came in or was counted on a day, and tells how many pence of one millionth that was
        issued cost more by it, by the day of the issue."""
        self._work()
        mark = self._marks[bisect_left(self._days, on)]
        # What takes from lots of this day and later ones, and what is of these days: a count may have moved it.
        first = min(mark.wants, bisect_right(self._wants_end, self._lots_end[mark.lots - 1] if mark.lots else 0))
        was = dict(self._costs(first))
        change()
        self._work()
        found = {}
        for want, parts in self._costs(first):
            # What has the same of the same lots has the same price.
            pence = self._pence(want, parts) - self._pence(want, was[want]) if parts != was[want] else NOTHING
            if pence:
                found[want.on] = pence / want.amount
        return found

    def _costs(self, first: int) -> Iterator[tuple[Want, list[_Part]]]:
        """Of what was issued, from a place on."""
        for place, want in enumerate(self._wants[first:], first):
            if not want.missing:
                taken, short = self.taken(place)
                parts = [(part, self._lots[lot].pence, self._lots[lot].amount) for part, lot in taken]
                if short:
                    newest = self._lots[-1] if self._lots else None
                    parts.append((short, newest.pence, newest.amount) if newest else (short, 0, 0))
                yield want, parts

    def _pence(self, want: Want, parts: list[_Part]) -> Fraction:
        """With no lot at all the price list's."""
        listed = self._list_price(want.on) or NOTHING
        return sum((part * (Fraction(pence) / of if of else listed) for part, pence, of in parts), NOTHING)

    def _day(self, on: date) -> _Day:
        """To be changed: it is worked out anew, and so are those after it."""
        day = self._of.get(on)
        if day is None:
            day = self._of[on] = _Day()
            insort(self._days, on)
        if len(self._marks) > 1:
            del self._marks[bisect_left(self._days, on) + 1 :]
        return day

    def _work(self) -> None:
        mark = self._marks[-1]
        del self._lots[mark.lots :], self._lots_end[mark.lots :]
        del self._wants[mark.wants :], self._wants_end[mark.wants :]
        for on in self._days[len(self._marks) - 1 :]:
            mark = self._work_day(on, self._of[on], mark)
            self._marks.append(mark)

    def _work_day(self, on: date, day: _Day, before: _Mark) -> _Mark:
        more, rack = _counted(day, before.rack) if day.counts else (0, before.rack + day.change)
        newest = before.newest
        # A day on which all was taken back again has no lot.
        if day.bought:
            newest = day.pence, day.bought
            self._came(Came(on, day.bought, day.pence, found=False, priced=True))
        if more > 0:
            price = self._list_price(on) if newest is None else Fraction(*newest)
            self._came(Came(on, more, more * (price or NOTHING), found=True, priced=price is not None))
        if day.issued:
            self._want(Want(on, missing=False, amount=day.issued))
        if more < 0:
            self._want(Want(on, missing=True, amount=-more))
        return _Mark(rack, len(self._lots), len(self._wants), newest)

    def _came(self, lot: Came) -> None:
        self._lots.append(lot)
        self._lots_end.append(lot.amount + (self._lots_end[-1] if self._lots_end else 0))

    def _want(self, want: Want) -> None:
        self._wants.append(want)
        self._wants_end.append(want.amount + (self._wants_end[-1] if self._wants_end else 0))


def _counted(day: _Day, rack: int) -> tuple[int, int]:
    """How much more the counts of a day found than there should be, and what is in the rack after it."""
    # In the order in which it came about: (at its end, when it was written, whether it is a count, how much). When the
    # rest of it was written matters only where a count stands within the day.
    events = [(one.at_day_end, one.at, True, one.amount) for one in day.counts]
    if all(one.at_day_end for one in day.counts):
        events.append((False, FIRST, False, day.change))
    else:
        events += [(False, FIRST if late else at, False, amount) for late, at, amount in day.changes]
    more = 0
    for _, _, is_count, amount in sorted(events, key=lambda event: event[:3]):
        if is_count:
            more += amount - rack
            rack = amount
        else:
            rack += amount
    return more, rack
