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
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from fractions import Fraction

from shop.stores.ledger import NOTHING, Bought, Counted, Ledger, ListPrice, Out


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


def work_out(bought: Iterable[Bought], outs: Sequence[Out], counts: Iterable[Counted], list_price: ListPrice) -> Rack:
    """The rack of one material by all its facts. ValueError where more came back of an issue than was issued."""
    day_of_key = _days_of(outs)
    ledger = Ledger(list_price)
    for came in bought:
        ledger.add_bought(came)
    for out in outs:
        ledger.add_out(out, day_of_key[out.of])
    for count in counts:
        ledger.add_count(count)
    lots = tuple(_lots(ledger))
    days = tuple(_day_out(ledger, place, lots, list_price) for place in range(len(ledger.wants)))
    issued_on = {day.on: day for day in days if not day.missing}
    prices = {on: day.pence / day.amount for on, day in issued_on.items()}
    costs = {out.key: out.amount * prices.get(day_of_key[out.of], NOTHING) for out in outs}
    day_of = {out.key: issued_on[day_of_key[out.of]] for out in outs if day_of_key[out.of] in issued_on}
    return Rack(lots, days, ledger.amount, costs, day_of)


def _days_of(outs: Iterable[Out]) -> dict[int, date]:
    """The day of each issue by its id."""
    net: dict[int, int] = defaultdict(int)
    found = {}
    for out in outs:
        net[out.of] += out.amount
        if out.of == out.key:
            found[out.key] = out.on
    if any(amount < 0 for amount in net.values()):
        raise ValueError("More came back of an issue than was issued.")
    return found


def _lots(ledger: Ledger) -> Iterable[Lot]:
    """With what is left of each: what all wants together don't reach."""
    wanted = sum(want.amount for want in ledger.wants)
    for came in ledger.lots:
        left = max(0, came.amount - wanted)
        wanted = max(0, wanted - came.amount)
        yield Lot(came.on, came.amount, Fraction(came.pence), came.found, left, came.priced)


def _day_out(ledger: Ledger, place: int, lots: Sequence[Lot], price: ListPrice) -> DayOut:
    want = ledger.wants[place]
    parts, short = ledger.taken(place)
    came = ledger.lots
    taken = [Taken(part, Fraction(part * came[lot].pence, came[lot].amount), lots[lot]) for part, lot in parts]
    priced = all(lots[lot].priced for _, lot in parts)
    if short:
        each = lots[-1].price if lots else price(want.on)
        priced = priced and (lots[-1].priced if lots else each is not None)
        taken.append(Taken(short, short * (each or NOTHING), None))
    return DayOut(want.on, want.amount, want.missing, tuple(taken), priced)
