"""Reckon what wheels would cost: hours by the shop's usual times, material by its lists, and the prices of a day."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from fractions import Fraction

from jobs.measures import Unit
from jobs.models import Lot, Operation
from jobs.models.operations import Trade
from jobs.words import in_words
from shop.days import day_in_words
from shop.models import Material, QuoteItem, Shop
from shop.money import format_pence
from shop.quoting.hours import HourCost, Hours
from shop.quoting.iron import Irons, refused_by_iron
from shop.quoting.pricing import HIGH, LIKELY, LOW, Cost, Spread
from shop.quoting.rows import MaterialRow, WorkRow
from shop.quoting.taken_off import Instead, TakenOff, material_left, taken_off_in_words, work_left
from shop.quoting.timber import timber_rows
from shop.rates import RateBook
from shop.timber_stock import Timbers
from timing.forecast import Forecast, Lines, forecast_lines
from timing.usual import Usual, WorkLine, as_lines, the_usual, work_of

# With fewer timings than this an operation's range is wide, and is said to be.
FEW_TIMINGS = 10


@dataclass(frozen=True, slots=True)
class Wanted:
    """What is to be reckoned: lots (saved or not) with their numbers of wheels, and what the person said of them.

    `own_for` tells by the same key what a figure in `own_pence` was written for: see `MaterialRow.wanted`. `instead`
    are wheels of an order that some of these replace: what is not yet spent on them comes off; `gone` are sentences on
    those that are not there to be replaced.
    """

    lots: Sequence[tuple[Lot, int]]
    items: Sequence[QuoteItem] = ()
    outside: Sequence[str] = ()
    own_pence: Mapping[str, int] = field(default_factory=dict)
    own_for: Mapping[str, str] = field(default_factory=dict)
    instead: Sequence[Instead] = ()
    gone: Sequence[str] = ()

    def with_own(self, rows: Sequence[MaterialRow]) -> list[MaterialRow]:
        """Rows at the figures of one's own that there are."""
        return [row.with_own(self.own_pence.get(row.key), self.own_for.get(row.key)) for row in rows]


@dataclass(frozen=True, slots=True)
class Reckoned:
    """What they cost, by parts. `missing` are sentences on what must be known before it is sent; `notes` may stay.

    `taken_off_pence` is in the cost, and in none of its parts: see `shop.quoting.taken_off`. Of it `taken_off_work` is
    work; its likely minutes are in no other figure, in all and by the keys of their operations.
    """

    work: tuple[WorkRow, ...]
    minutes: Forecast | None
    labour: Spread
    overhead: Spread
    timber: tuple[MaterialRow, ...]
    iron: tuple[MaterialRow, ...]
    outwork_pence: int
    goods_pence: int
    cost: Cost
    missing: tuple[str, ...]
    notes: tuple[str, ...]
    made_from: str
    on: date
    taken_off_pence: int = 0
    taken_off_work: int = 0
    taken_off_minutes: float = 0.0
    taken_off_of: tuple[tuple[str, float], ...] = ()

    @property
    def timber_pence(self) -> int:
        return sum(row.pence or 0 for row in self.timber)

    @property
    def iron_pence(self) -> int:
        return sum(row.pence or 0 for row in self.iron)

    @property
    def hours(self) -> Spread:
        """Minutes of all the work that the shop's own hands do."""
        return Spread.of(self.minutes)


class Reckoner:
    """Reads the shop once, and reckons any number of questions about the same day: what if it were fourteen spokes?"""

    def __init__(self, shop: Shop, *, on: date, words: Mapping[str, str], unit: Unit) -> None:
        self.shop, self.on, self.words, self.unit = shop, on, words, unit
        self.usual: Usual = the_usual()
        book = RateBook.load()
        self.hours = Hours(book, self.usual, on=on)
        self.operations = list(Operation.objects.in_use())
        self.timbers = Timbers(on=on, unit=unit, currency=shop.currency)
        bars = Material.objects.in_use().filter(kind=Material.Kind.BAR)
        self.irons = Irons(book, bars, on=on, unit=unit, currency=shop.currency)

    def reckon(self, wanted: Wanted) -> Reckoned:
        """Never refuses: what can't be known stands in `missing`, and counts as nothing."""
        done = [one for one in work_of(wanted.lots, self.operations) if one.operation.trade not in wanted.outside]
        asked = [one for one in done if self.usual.knows(one.operation.key)]
        costs = {one.operation.pk: self.hours.of(one.operation) for one in asked}
        paid = [one for one in asked if costs[one.operation.pk]]
        lines = forecast_lines(self.usual.fit, as_lines(paid)) if paid else None
        labour, overhead, both = self._money(lines, paid, costs)
        timber, told = timber_rows(wanted.lots, self.timbers, self.shop.allowances, words=self.words, unit=self.unit)
        timber = wanted.with_own(timber)
        refused = refused_by_iron(wanted.lots)
        iron = [] if refused else wanted.with_own(self.irons.rows(wanted.lots))
        outwork = sum(item.amount_pence for item in wanted.items if item.kind == QuoteItem.Kind.OUTWORK)
        goods = sum(item.amount_pence for item in wanted.items if item.kind == QuoteItem.Kind.GOODS)
        off = [self._taken_off(one, wanted.outside) for one in wanted.instead]
        sure = sum(row.pence or 0 for row in (*timber, *iron)) + outwork + goods - sum(one.pence for one in off)
        return Reckoned(
            work=self._work_rows(lines, paid, costs),
            minutes=lines.of() if lines else None,
            labour=labour,
            overhead=overhead,
            timber=tuple(timber),
            iron=tuple(iron),
            outwork_pence=outwork,
            goods_pence=goods,
            cost=Cost(both, Fraction(sure)),
            missing=tuple(
                dict.fromkeys([*wanted.gone, *self._missing(done, costs), *refused, *_unpriced([*timber, *iron])])
            ),
            notes=tuple(dict.fromkeys([*self._notes(wanted, paid, costs), *told.left_out, *map(self._said_of, off)])),
            made_from=self.usual.made_from,
            on=self.on,
            taken_off_pence=sum(one.pence for one in off),
            taken_off_work=sum(one.work for one in off),
            taken_off_minutes=sum(one.minutes for one in off),
            taken_off_of=_added_up(one.of for one in off),
        )

    def _taken_off(self, one: Instead, outside: Sequence[str]) -> TakenOff:
        """What is not yet spent on wheels that get another make-up, at likely hours and today's prices."""
        left = work_left(one, self.operations, words=self.words)
        before, after = self._likely(left.all_work, outside), self._likely(left.staying_work, outside)
        whole = self._material(one.lot, left.all_wheels) - self._material(one.lot, left.staying_wheels)
        return TakenOff(
            name=one.lot.name,
            work=max(0, before.pence - after.pence),
            material=material_left(whole, left.issued, is_begun=left.is_begun),
            is_begun=left.is_begun,
            minutes=max(0.0, before.minutes - after.minutes),
            of={key: max(0.0, minutes - after.of.get(key, 0.0)) for key, minutes in before.of.items()},
        )

    def _likely(self, work: Sequence[WorkLine], outside: Sequence[str]) -> "_Likely":
        """Likely pence of labour and overhead of some lines of work, and their likely minutes."""
        asked = [one for one in work if one.operation.trade not in outside and self.usual.knows(one.operation.key)]
        costs = {one.operation.pk: self.hours.of(one.operation) for one in asked}
        paid = [one for one in asked if costs[one.operation.pk]]
        lines = forecast_lines(self.usual.fit, as_lines(paid)) if paid else None
        if lines is None:
            return _Likely(0, 0.0, {})
        pence = Spread.of(self._money(lines, paid, costs)[2]).likely
        rows = self._work_rows(lines, paid, costs)
        return _Likely(pence, lines.of().quantile(LIKELY), {row.key: row.likely for row in rows})

    def _material(self, lot: Lot, wheels: int) -> int:
        """Pence of the timber and iron of so many wheels, as far as they have a price."""
        if not wheels:
            return 0
        lots = [(lot, wheels)]
        timber, _ = timber_rows(lots, self.timbers, self.shop.allowances, words=self.words, unit=self.unit)
        iron = [] if refused_by_iron(lots) else self.irons.rows(lots)
        return sum(row.pence or 0 for row in (*timber, *iron))

    def _said_of(self, off: TakenOff) -> str:
        sums = {"pence": off.pence, "work": off.work, "material": off.material}
        return taken_off_in_words(off, {name: format_pence(sum_, self.shop.currency) for name, sum_ in sums.items()})

    def cost_of(self, work: Sequence[WorkLine]) -> Forecast | None:
        """Labour and overhead of some work together, in pence; None where any of it can't be reckoned."""
        costs = {one.operation.pk: self.hours.of(one.operation) for one in work}
        if not work or not all(self.usual.knows(one.operation.key) and costs[one.operation.pk] for one in work):
            return None
        return self._money(forecast_lines(self.usual.fit, as_lines(work)), work, costs)[2]

    def _money(
        self, lines: Lines | None, paid: Sequence[WorkLine], costs: Mapping[int, HourCost | None]
    ) -> tuple[Spread, Spread, Forecast | None]:
        """Labour and overhead apart, and the forecast of their sum, in pence."""
        if lines is None:
            return Spread.sure(0), Spread.sure(0), None
        known = [costs[one.operation.pk] for one in paid]
        labour, overhead = zip(*(one.pence_a_minute if one else (0.0, 0.0) for one in known), strict=True)
        return (
            Spread.of(money_of(lines, range(len(paid)), labour)),
            Spread.of(money_of(lines, range(len(paid)), overhead)),
            money_of(lines, range(len(paid)), [each + other for each, other in zip(labour, overhead, strict=True)]),
        )

    def _work_rows(
        self, lines: Lines | None, paid: Sequence[WorkLine], costs: Mapping[int, HourCost | None]
    ) -> tuple[WorkRow, ...]:
        if lines is None:
            return ()
        places: dict[int, list[int]] = defaultdict(list)
        for place, one in enumerate(paid):
            places[one.operation.pk].append(place)
        rows = []
        for alike in places.values():
            operation = paid[alike[0]].operation
            low, likely, high = (lines.of(alike).quantile(chance) for chance in (LOW, LIKELY, HIGH))
            cost = costs[operation.pk]
            timings = self.usual.timed(operation.key)
            rows.append(
                WorkRow(
                    key=operation.key,
                    name=in_words(operation.name, self.words),
                    units=sum(paid[place].pieces for place in alike),
                    low=low,
                    likely=likely,
                    high=high,
                    pence=round(likely * cost.pence_a_minute[0]) if cost else 0,
                    timings=timings,
                    rests_on=_rests_on(operation, timings),
                    is_weak=timings < FEW_TIMINGS,
                )
            )
        return tuple(rows)

    def _missing(self, done: Sequence[WorkLine], costs: Mapping[int, HourCost | None]) -> list[str]:
        said = []
        for one in done:
            operation = one.operation
            if not self.usual.knows(operation.key):
                said.append(unknown_yet(in_words(operation.name, self.words)))
                continue
            cost = costs[operation.pk]
            if cost is None:
                said.append(self.hours.missing_of(operation))
            else:
                said += self.hours.lacking_of(cost)
        return said

    def _notes(self, wanted: Wanted, paid: Sequence[WorkLine], costs: Mapping[int, HourCost | None]) -> list[str]:
        said = []
        if self.usual.fit.rests_on_book_times_alone:
            said.append("Nothing was timed yet: the hours rest on book times alone, with a wide range.")
        if paid and not self.hours.has_overhead:
            said.append(f"No overhead of an hour is kept for {day_in_words(self.on)}: it counts as nothing.")
        guessed = [
            in_words(one.operation.name, self.words)
            for one in paid
            if not one.operation.book_seconds and not self.usual.timed(one.operation.key)
        ]
        said += [
            f"“{name}” has neither a book time nor a timing: its hours are those of like work." for name in guessed
        ]
        priced = {item.trade for item in wanted.items if item.kind == QuoteItem.Kind.OUTWORK}
        said += [
            f"The {Trade(trade).label}’s work is done outside, and no price of it stands here yet."
            for trade in wanted.outside
            if trade not in priced
        ]
        if any(lot.tyre == "rubber" for lot, _ in wanted.lots):
            said.append("Rubber and its channels are not in these sums: put what they cost among the goods.")
        return said


@dataclass(frozen=True, slots=True)
class _Likely:
    """Likely pence and minutes of some work, and the minutes of each operation by its key."""

    pence: int
    minutes: float
    of: Mapping[str, float]


def _added_up(parts: Iterable[Mapping[str, float]]) -> tuple[tuple[str, float], ...]:
    whole: dict[str, float] = defaultdict(float)
    for part in parts:
        for key, minutes in part.items():
            whole[key] += minutes
    return tuple(sorted(whole.items()))


def unknown_yet(name: str) -> str:
    """What is said of an operation that the usual times do not know."""
    return f"“{name}” was added after the usual times were worked out: work them out anew first."


def money_of(lines: Lines, places: Sequence[int], worth: Sequence[float]) -> Forecast | None:
    """The forecast of pence of those lines that cost anything; `worth` is what a minute of each of them costs."""
    paid = [(place, pence) for place, pence in zip(places, worth, strict=True) if pence > 0]
    return lines.of([place for place, _ in paid], worth=[pence for _, pence in paid]) if paid else None


def _rests_on(operation: Operation, timings: int) -> str:
    if timings >= FEW_TIMINGS:
        return f"from {timings:,} timings"
    if timings:
        return f"only {timings} timing{'' if timings == 1 else 's'}, so a wide range"
    return "book time alone, so a wide range" if operation.book_seconds else "like work, so a very wide range"


def _unpriced(rows: Sequence[MaterialRow]) -> list[str]:
    return [row.missing for row in rows if row.pence is None and row.missing]
