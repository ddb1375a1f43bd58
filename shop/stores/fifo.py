"""What was taken from the rack costs what was bought first: sums of one material, without a database.

The rules, for amounts in millionths of the unit that the material is bought by, and exact pence:

1. In the rack is what was bought, less what was issued and more what came back, day by day, and on one day in the order
   of writing; what takes a row back has the place of that row. A count says otherwise: what is more than that was
   found, what is less is missing, and the rack is as counted. One of the day on which it is written stands where it was
   written: what is written later that day comes after it, but what is written of that day on a later day comes before
   it, since what was there, or gone, was counted so. One that is told of an earlier day stands at the end of that day,
   whatever is written of it later. Of several counts of one day together: what they found, less what they missed, so
   that the last puts the others right.
2. What is bought on one day is one lot at one price: its pence over its amount. What a count finds is a lot of that day
   at the price of the newest lot bought up to then, else at the list price of the day, else at nothing, and named.
3. What came back was never needed: it comes off its issue, on the issue's own day. What is issued on one day has one
   price: the cost of that day's issues together, over their amount together.
4. Lots are used up in the order of their days, by issues and then by what is missing in the order of theirs. An issue
   may be written before the bill it was bought by: what the rack did not hold is taken from the next lot that comes.
5. What no lot covers yet costs what the newest lot did, else the list price of its day, else nothing; that is told.

So the sum follows from the facts alone: a bill that comes late for timber that is used up already corrects what was
reckoned without it, and prices do not heed the order of writing.

First in, first out is one of the two formulas of IAS 2, Inventories (paragraphs 25 and 27, from memory): what was
bought first is taken first, so that what remains was bought most recently.
"""

from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from fractions import Fraction

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


@dataclass(frozen=True, slots=True)
class Lot:
    """What came in on one day, at one price; `left` of it is in the rack. `found`: by a count, not bought."""

    on: date
    amount: int
    pence: Fraction
    found: bool
    left: int
    priced: bool = True

    @property
    def price(self) -> Fraction:
        """Pence of one millionth."""
        return self.pence / self.amount


@dataclass(frozen=True, slots=True)
class Taken:
    """So much of one lot; of none where no lot covers it."""

    amount: int
    pence: Fraction
    lot: Lot | None


@dataclass(frozen=True, slots=True)
class DayOut:
    """All that left on one day, and the lots that it is taken from; `missing` was found missing by a count."""

    on: date
    amount: int
    missing: bool
    taken: tuple[Taken, ...]
    priced: bool = True

    @property
    def pence(self) -> Fraction:
        return sum((one.pence for one in self.taken), NOTHING)

    @property
    def short(self) -> int:
        """How much of it no lot covers."""
        return sum(one.amount for one in self.taken if one.lot is None)


@dataclass(frozen=True)
class Rack:
    """One material worked out. `amount` may be less than nothing: more was issued than is known to have come in."""

    lots: tuple[Lot, ...]
    days: tuple[DayOut, ...]
    amount: int
    costs: Mapping[int, Fraction]
    day_of: Mapping[int, DayOut]

    @property
    def pence(self) -> Fraction:
        """What is in the rack, at what it cost."""
        return sum((lot.price * lot.left for lot in self.lots), NOTHING)

    @property
    def missing_pence(self) -> Fraction:
        """What counts found missing, at what it cost."""
        return sum((day.pence for day in self.days if day.missing), NOTHING)

    @property
    def found_pence(self) -> Fraction:
        """What counts found, at what it is reckoned at."""
        return sum((lot.pence for lot in self.lots if lot.found), NOTHING)

    @property
    def short(self) -> int:
        return sum(day.short for day in self.days)


@dataclass(frozen=True, slots=True)
class Facts:
    """All that was written down of one material."""

    bought: Sequence[Bought]
    outs: Sequence[Out]
    counts: Sequence[Counted] = ()


def work_out(bought: Sequence[Bought], outs: Sequence[Out], counts: Sequence[Counted], list_price: ListPrice) -> Rack:
    """The rack of one material by all its facts. ValueError where more came back of an issue than was issued."""
    match = _match(Facts(bought, outs, counts), list_price)
    days = tuple(_day_out(took, match.lots, list_price) for took in match.took)
    prices = {day.on: day.pence / day.amount for day in days if not day.missing}
    issued_on = {day.on: day for day in days if not day.missing}
    day_of_key = match.day_of_key
    costs = {out.key: out.amount * prices.get(day_of_key[out.of], NOTHING) for out in outs}
    day_of = {out.key: issued_on[day_of_key[out.of]] for out in outs if day_of_key[out.of] in issued_on}
    return Rack(match.lots, days, match.amount, costs, day_of)


def dearer_by(before: Facts, after: Facts, list_price: ListPrice) -> dict[date, Fraction]:
    """How many pence of one millionth that was issued cost more by some facts than by others of the same issues, by the
    day of the issue; days that took the same of the same lots are passed over."""
    found = {}
    matches = [_match(facts, list_price) for facts in (before, after)]
    took = [{one.on: one for one in match.took if not one.missing} for match in matches]
    for on, one in took[0].items():
        if _what(one, matches[0].lots) != _what(took[1][on], matches[1].lots):
            was, now = (_day_out(each[on], match.lots, list_price) for each, match in zip(took, matches, strict=True))
            if now.pence != was.pence:
                found[on] = (now.pence - was.pence) / was.amount
    return found


@dataclass(frozen=True, slots=True)
class _Took:
    """What a day took: so much of each lot by its place, and what no lot covers."""

    on: date
    missing: bool
    parts: list[tuple[int, int]]
    short: int


@dataclass(frozen=True, slots=True)
class _Match:
    """Lots, what each day took of them, what is in the rack, and the day of each issue by its id."""

    lots: tuple[Lot, ...]
    took: list[_Took]
    amount: int
    day_of_key: Mapping[int, date]


def _match(facts: Facts, list_price: ListPrice) -> _Match:
    by_day = _bought_by_day(facts.bought)
    found, missing, amount = _counted(facts)
    lots = _lots(by_day, found, list_price)
    wanted, day_of_key = _wanted(facts.outs, missing)
    left = [lot.amount for lot in lots]
    took: list[_Took] = []
    place = 0
    for on, is_missing, need in wanted:
        parts: list[tuple[int, int]] = []
        while need and place < len(lots):
            part = min(need, left[place])
            if part:
                parts.append((part, place))
            left[place] -= part
            need -= part
            place += not left[place]
        took.append(_Took(on, is_missing, parts, need))
    whole = tuple(
        Lot(lot.on, lot.amount, lot.pence, lot.found, rest, lot.priced) for lot, rest in zip(lots, left, strict=True)
    )
    return _Match(whole, took, amount, day_of_key)


def _what(took: _Took, lots: Sequence[Lot]) -> list[tuple[int, int, Fraction]]:
    """So much of lots of which so much was bought for so much: what has the same has the same price."""
    told = [(amount, lots[place].amount, lots[place].pence) for amount, place in took.parts]
    beyond = [(took.short, lots[-1].amount, lots[-1].pence)] if took.short and lots else [(took.short, 0, NOTHING)]
    return told + beyond


def _bought_by_day(bought: Iterable[Bought]) -> dict[date, tuple[int, int]]:
    sums: dict[date, tuple[int, int]] = {}
    for row in bought:
        amount, pence = sums.get(row.on, (0, 0))
        sums[row.on] = amount + row.amount, pence + row.pence
    # A day on which all was taken back again has no lot.
    return {on: both for on, both in sums.items() if both[0]}


def _counted(facts: Facts) -> tuple[dict[date, int], dict[date, int], int]:
    """What counts found, what they found missing, and what is in the rack after all."""
    within = {one.on for one in facts.counts if not one.at_day_end}
    change: dict[date, int] = defaultdict(int)
    # In the order in which it came about: (day, at its end, when it was written, whether it is a count, how much). Only
    # where a count stands within a day does it matter when the rest of that day was written, and only on that day.
    events = [(one.on, one.at_day_end, one.at, True, one.amount) for one in facts.counts]
    changes = [(row.on, row.late, row.at, row.amount) for row in facts.bought]
    changes += [(out.on, out.late, out.at, -out.amount) for out in facts.outs]
    for on, late, at, amount in changes:
        if on in within and not late:
            events.append((on, False, at, False, amount))
        else:
            change[on] += amount
    events += [(on, False, FIRST, False, amount) for on, amount in change.items()]
    net: dict[date, int] = defaultdict(int)
    rack = 0
    for on, _, _, is_count, amount in sorted(events, key=lambda event: event[:4]):
        if is_count:
            net[on] += amount - rack
            rack = amount
        else:
            rack += amount
    found = {on: more for on, more in net.items() if more > 0}
    return found, {on: -more for on, more in net.items() if more < 0}, rack


def _lots(by_day: Mapping[date, tuple[int, int]], found: Mapping[date, int], list_price: ListPrice) -> list[Lot]:
    lots: list[Lot] = []
    price: Fraction | None = None
    for on in sorted(by_day.keys() | found.keys()):
        if on in by_day:
            amount, pence = by_day[on]
            price = Fraction(pence, amount)
            lots.append(Lot(on, amount, Fraction(pence), found=False, left=amount))
        if on in found:
            of_day = list_price(on) if price is None else price
            pence_found = found[on] * (of_day or NOTHING)
            lots.append(Lot(on, found[on], pence_found, found=True, left=found[on], priced=of_day is not None))
    return lots


def _wanted(outs: Iterable[Out], missing: Mapping[date, int]) -> tuple[list[tuple[date, bool, int]], dict[int, date]]:
    """What each day takes from the lots, in order: (day, whether it is missing, how much)."""
    outs = list(outs)
    day_of_key = {out.key: out.on for out in outs if out.of == out.key}
    net: dict[int, int] = defaultdict(int)
    for out in outs:
        net[out.of] += out.amount
    if any(amount < 0 for amount in net.values()):
        raise ValueError("More came back of an issue than was issued.")
    issued: dict[date, int] = defaultdict(int)
    for key, amount in net.items():
        issued[day_of_key[key]] += amount
    wanted = [(on, False, amount) for on, amount in issued.items() if amount]
    return sorted([*wanted, *((on, True, amount) for on, amount in missing.items())]), day_of_key


def _day_out(took: _Took, lots: Sequence[Lot], price: ListPrice) -> DayOut:
    parts = [Taken(amount, amount * lots[place].price, lots[place]) for amount, place in took.parts]
    priced = all(lots[place].priced for _, place in took.parts)
    if took.short:
        each = lots[-1].price if lots else price(took.on)
        priced = priced and (lots[-1].priced if lots else each is not None)
        parts.append(Taken(took.short, took.short * (each or NOTHING), None))
    return DayOut(took.on, sum(part.amount for part in parts), took.missing, tuple(parts), priced)
