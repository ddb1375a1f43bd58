"""An order set beside what was quoted for it: part by part, operation by operation, and what was kept of the price."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from django.db.models import Q, Sum

from jobs.models import Order
from jobs.words import in_words
from shop.costing import OrderCost, order_cost
from shop.models import Revision
from shop.money import format_pence
from shop.quote_words import about
from shop.quoting.frozen import thaw
from shop.quoting.outcome import Quoted, fell_in_words
from shop.quoting.pricing import Spread
from shop.quoting.reckoning import Reckoned
from shop.shop_rule import ShopRule, Wedge, number_rule
from timing.models import Tally

FIRST_MISSES = 6


@dataclass(frozen=True, slots=True)
class PartRow:
    """One part of the cost: pence as quoted and as it came, and how much more or less that is than likely."""

    name: str
    quoted: Spread
    actual: int

    @property
    def more(self) -> int:
        return self.actual - self.quoted.likely


@dataclass(frozen=True, slots=True)
class OperationRow:
    """One operation: minutes that were likely, and that it took. None of them quoted: it was not thought of."""

    name: str
    likely: float
    actual: float

    @property
    def likely_seconds(self) -> int:
        return round(self.likely * 60)

    @property
    def actual_seconds(self) -> int:
        return round(self.actual * 60)

    @property
    def more_seconds(self) -> int:
        return abs(self.actual_seconds - self.likely_seconds)

    @property
    def is_over(self) -> bool:
        return self.actual > self.likely


def accepted_of(order_ids: Sequence[int]) -> list[Revision]:
    """What was accepted for these orders: the quotations that made them, then their alterations."""
    of_them = Q(quote__order__in=order_ids) | Q(quote__alters__in=order_ids)
    rows = Revision.objects.filter(of_them, state=Revision.State.ACCEPTED).select_related("quote")
    return list(rows.order_by("quote__number"))


def order_of(revision: Revision) -> int:
    """The id of the order that a revision made or altered."""
    return revision.quote.order_id or revision.quote.alters_id or 0


def quoted_cost(told: Sequence[Reckoned]) -> Quoted:
    """Pence quoted in all, in the order in which they were: what an alteration takes off comes out of those before."""
    whole = Quoted(())
    for one in told:
        off = one.taken_off_work
        # What is sure of an alteration has the likely work taken off it: that goes out of the parts instead.
        whole = whole.without(off).and_also(one.cost.work, one.cost.sure + off)
    return whole


def quoted_minutes(told: Sequence[Reckoned]) -> Quoted:
    """The same of minutes."""
    whole = Quoted(())
    for one in told:
        whole = whole.without(one.taken_off_minutes).and_also(one.minutes)
    return whole


@dataclass(frozen=True)
class Outcome:
    """All that the page shows. `is_closed`: it is how the order ended, not how it stands so far."""

    order: Order
    revisions: list[Revision]
    told: list[Reckoned]
    cost: OrderCost
    by_operation: dict[str, tuple[str, float]]
    currency: str

    @property
    def is_closed(self) -> bool:
        return not self.order.is_open

    @property
    def price(self) -> int:
        return sum(revision.price_pence or 0 for revision in self.revisions)

    @property
    def actual(self) -> int:
        return self.cost.set.pence

    @property
    def left(self) -> int:
        """Pence of the price, before tax, that the cost leaves."""
        return self.price - self.actual

    @property
    def money_over(self) -> str:
        """By how much the cost is above the price."""
        return self.money(-self.left)

    @property
    def quoted(self) -> Quoted:
        return quoted_cost(self.told)

    @property
    def likely_left(self) -> int:
        return self.price - self.quoted.spread.likely

    @property
    def parts(self) -> list[PartRow]:
        spent, told = self.cost.set, self.told
        rows = [
            PartRow("Labour", _summed([one.labour for one in told]), spent.labour_pence),
            PartRow("Overhead", _summed([one.overhead for one in told]), spent.overhead_pence),
            PartRow(
                "Timber, iron, goods",
                _sure(one.timber_pence + one.iron_pence + one.goods_pence for one in told),
                spent.materials_pence,
            ),
            PartRow("Outwork", _sure(one.outwork_pence for one in told), spent.outwork_pence),
        ]
        off = sum(one.taken_off_pence for one in told)
        if off:
            rows.append(PartRow("Not spent, by alterations", Spread.sure(-off), 0))
        return rows

    @property
    def whole(self) -> PartRow:
        return PartRow("Cost", self.quoted.spread, self.actual)

    @property
    def hours(self) -> Spread:
        """Seconds of work that were quoted."""
        quoted = quoted_minutes(self.told)
        return Spread(*(max(0, round(quoted.at(chance) * 60)) for chance in (0.1, 0.5, 0.9)))

    @property
    def worked_seconds(self) -> int:
        return round(sum(minutes for _, minutes in self.by_operation.values()) * 60)

    @property
    def hours_more(self) -> int:
        """Seconds more, or less than nothing, than were likely."""
        return self.worked_seconds - self.hours.likely

    @property
    def hours_off(self) -> int:
        return abs(self.hours_more)

    @property
    def fell(self) -> str:
        if self.quoted.parts:
            return fell_in_words(self.quoted.chance_within(self.actual))
        more = self.whole.more
        return f"{self.money(abs(more))} {'more' if more > 0 else 'less'} than was known" if more else "as was known"

    @property
    def operations(self) -> list[OperationRow]:
        """Largest misses first."""
        likely: dict[str, float] = defaultdict(float)
        names = {key: name for key, (name, _) in self.by_operation.items()}
        for one in self.told:
            for key, minutes in one.taken_off_of:
                likely[key] = max(0.0, likely[key] - minutes)
            for row in one.work:
                likely[row.key] += row.likely
                names.setdefault(row.key, row.name)
        rows = [
            OperationRow(name, likely[key], self.by_operation.get(key, ("", 0.0))[1]) for key, name in names.items()
        ]
        return sorted(rows, key=lambda row: -row.more_seconds)

    @property
    def first_operations(self) -> list[OperationRow]:
        return self.operations[:FIRST_MISSES]

    @property
    def other_operations(self) -> list[OperationRow]:
        return self.operations[FIRST_MISSES:]

    @property
    def rule(self) -> ShopRule:
        """The cost as quoted, what it came to, and the price, on one rule."""
        spread = self.quoted.spread
        marks = [("likely", spread.likely, "likely"), ("price", self.price, "due"), ("actual", self.actual, "now")]
        wedges = [
            # In whole pounds: shorter words stand by their own wedges. The table has the pennies.
            Wedge(at=at, words=f"{_word(name, closed=self.is_closed)} {about(at, self.currency)}", kind=kind)  # type: ignore[arg-type]
            for name, at, kind in sorted(marks, key=lambda mark: mark[1])
        ]
        title = (
            f"Cost quoted between {self.money(spread.low)} and {self.money(spread.high)}, likely "
            f"{self.money(spread.likely)}; {_word('actual', closed=self.is_closed).lower()} {self.money(self.actual)}; "
            f"price {self.money(self.price)}"
        )
        band = (float(spread.low), float(spread.high))
        return number_rule(title=title, wedges=wedges, band=band, label=self._plain)

    def _plain(self, at: float) -> str:
        return self.money(round(at)).removesuffix(".00")

    def money(self, pence: int) -> str:
        return format_pence(pence, self.currency)


def _word(name: str, *, closed: bool) -> str:
    return {"likely": "Likely", "price": "Price", "actual": "Came to" if closed else "So far"}[name]


def outcome_of(order: Order, *, words: Mapping[str, str], currency: str) -> Outcome | None:
    """An order beside what was quoted for it; None where it came from no quotation."""
    revisions = accepted_of([order.pk])
    if not any(revision.quote.order_id for revision in revisions):
        return None
    return Outcome(
        order=order,
        revisions=revisions,
        told=[thaw(revision.frozen or {}) for revision in revisions],
        cost=order_cost(order, words=words),
        by_operation=_worked(order, words),
        currency=currency,
    )


def _worked(order: Order, words: Mapping[str, str]) -> dict[str, tuple[str, float]]:
    """Minutes at work by operation, with its name."""
    rows = Tally.objects.filter(task__lot__order=order).order_by()
    sums = rows.values_list("task__operation__key", "task__operation__name").annotate(Sum("seconds"))
    return {key: (in_words(name, words), (seconds or 0) / 60) for key, name, seconds in sums}


def _summed(spreads: Sequence[Spread]) -> Spread:
    low, likely, high = (sum(getattr(one, part) for one in spreads) for part in ("low", "likely", "high"))
    return Spread(low, likely, high)


def _sure(pence: object) -> Spread:
    return Spread.sure(sum(pence))  # type: ignore[call-overload]
