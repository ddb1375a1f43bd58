"""What an order will have cost when it is done, as the cost page shows it: rows, a sentence and a rule."""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property

from jobs.models import Lot
from shop.cost_ahead import Ahead, Quoted
from shop.costing import OrderCost, WheelCost
from shop.many_wheels import MOST_SHOWN
from shop.money import format_pence, round_half_up
from shop.quoting.pricing import Cost, Spread
from shop.shop_rule import ShopRule, Wedge, number_rule


@dataclass(frozen=True, slots=True)
class PartRow:
    """One part of the cost in pence: so far, likely to come, and as it was quoted (None without a quotation)."""

    name: str
    so_far: int
    to_come: Spread
    quoted: int | None = None

    @property
    def likely(self) -> int:
        return self.so_far + self.to_come.likely


@dataclass(frozen=True, slots=True)
class ShareRow:
    """One wheel, or all of a lot of many: its cost so far, and its likely part of the work to come."""

    name: str
    wheels: int
    so_far: int
    work: int

    @property
    def both(self) -> int:
        return self.so_far + self.work


@dataclass(frozen=True)
class AheadPage:
    """`whole` is the cost at completion with its range."""

    cost: OrderCost
    ahead: Ahead
    lots: Sequence[Lot]
    currency: str

    @cached_property
    def whole(self) -> Cost:
        return self.ahead.to_come.at_completion(self.cost.set.total)

    @property
    def spread(self) -> Spread:
        return self.whole.spread

    @property
    def quoted(self) -> Quoted | None:
        return self.ahead.quoted

    @property
    def parts(self) -> list[PartRow]:
        come, so_far = self.ahead.to_come, self.cost.set
        told = self.quoted.told if self.quoted else ()
        quoted = [
            sum(one.labour.likely for one in told),
            sum(one.overhead.likely for one in told),
            sum(one.timber_pence + one.iron_pence + one.goods_pence for one in told),
            sum(one.outwork_pence for one in told),
        ]
        rows = [
            ("Labour", so_far.labour_pence, come.labour),
            ("Overhead", so_far.overhead_pence, come.overhead),
            ("Timber, iron, goods", so_far.materials_pence, Spread.sure(come.material)),
            ("Outwork", so_far.outwork_pence, Spread.sure(come.outwork)),
        ]
        parts = [PartRow(*row, quoted=pence if told else None) for row, pence in zip(rows, quoted, strict=True)]
        off = sum(one.taken_off_pence for one in told)
        return [*parts, PartRow("Not spent, by alterations", 0, Spread.sure(0), -off)] if off else parts

    @property
    def whole_quoted(self) -> int | None:
        """Likely pence as quoted, alterations in them."""
        return sum(one.cost.spread.likely for one in self.quoted.told) if self.quoted else None

    @property
    def shares(self) -> list[ShareRow]:
        """A row a wheel; of a lot of many one for all of them."""
        return [row for lot in self.lots for row in self._of_lot(lot)]

    def _of_lot(self, lot: Lot) -> list[ShareRow]:
        live = [one for one in self.cost.wheels if one.wheel.lot_id == lot.pk and not one.is_dropped]
        if len(live) > MOST_SHOWN:
            return [self._row(f"{lot.name}, {len(live)} wheels", live)]
        return [self._row(one.wheel.label, [one]) for one in live]

    def _row(self, name: str, wheels: Sequence[WheelCost]) -> ShareRow:
        exact = sum((one.cost.total for one in wheels), Fraction(0))
        work = sum(self.ahead.by_wheel.get(one.wheel.pk, 0) for one in wheels)
        return ShareRow(name, len(wheels), round_half_up(exact), work)

    @property
    def sentence(self) -> str:
        if self.whole.work is None:
            return f"When it is done it will have cost {self._money(self.spread.likely)}: no work is left to forecast."
        return (
            f"When it is done it will likely have cost {self._money(self.spread.likely)}; in 8 of 10 such orders "
            f"between {self._money(self.spread.low)} and {self._money(self.spread.high)}."
        )

    @property
    def against_price(self) -> str:
        """What of the price is likely left, and how likely the cost is to stay within it."""
        if not self.quoted:
            return ""
        price = self.quoted.price
        left = price - self.spread.likely
        kept = f"{self._money(left)} of it likely left" if left >= 0 else f"likely {self._money(-left)} too little"
        return f"The price is {self._money(price)} before tax: {kept}. {self._chance(price)}"

    def _chance(self, price: int) -> str:
        chance = self.whole.chance_within(price)
        if chance >= 0.995:
            return "That it holds the cost is as good as sure."
        if chance < 0.005:
            return "That it holds the cost is as good as ruled out."
        return f"That it holds the cost has a chance of {100 * chance:.0f} in 100."

    @property
    def rule(self) -> ShopRule:
        """The likely range, what was spent so far, what is likely, and the price."""
        spread, so_far = self.spread, self.cost.set.pence
        wedges = [
            Wedge(at=so_far, words=f"So far {self._money(so_far)}", kind="now"),
            Wedge(at=spread.likely, words=f"Likely {self._money(spread.likely)}", kind="likely"),
        ]
        if self.quoted:
            price = self.quoted.price
            wedges.append(Wedge(at=price, words=f"Price {self._money(price)}", kind="due"))
        title = " ".join(filter(None, [f"So far {self._money(so_far)}.", self.sentence, self.against_price]))
        return number_rule(
            title=title,
            wedges=wedges,
            band=(float(spread.low), float(spread.high)),
            label=lambda at: self._money(round_half_up(round(at))),
        )

    def _money(self, pence: int) -> str:
        return format_pence(pence, self.currency)
