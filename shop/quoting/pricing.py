"""From a cost that is not sure to a price: margin, markup, chance, tax and deposit. No database.

Money is pence. Percentages are fractions of one: a margin of 20 % is 1/5. Margin is profit as a part of the price,
markup as a part of the cost: m = u / (1 + u).
"""

from dataclasses import dataclass
from fractions import Fraction

from shop.money import round_half_up
from timing.forecast import Forecast

LOW, LIKELY, HIGH = 0.1, 0.5, 0.9


class PriceRefused(ValueError):
    """No price follows from what was asked; the message is one sentence."""


@dataclass(frozen=True, slots=True)
class Spread:
    """A sum of pence: what it stays within one time in ten, one in two, and nine in ten."""

    low: int
    likely: int
    high: int

    @classmethod
    def sure(cls, pence: Fraction | int) -> "Spread":
        whole = round_half_up(pence)
        return cls(whole, whole, whole)

    @classmethod
    def of(cls, forecast: Forecast | None, *, sure: Fraction | int = 0) -> "Spread":
        """Of pence that are forecast, and others that are known; each figure is rounded once."""
        if forecast is None:
            return cls.sure(sure)
        low, likely, high = (
            round_half_up(Fraction(forecast.quantile(chance)) + sure) for chance in (LOW, LIKELY, HIGH)
        )
        return cls(low, likely, high)


@dataclass(frozen=True, slots=True)
class Cost:
    """What the work to come costs: labour and overhead by forecast, in pence, and what is known (`sure`)."""

    work: Forecast | None
    sure: Fraction = Fraction(0)

    @property
    def spread(self) -> Spread:
        return Spread.of(self.work, sure=self.sure)

    def at(self, chance: float) -> int:
        """Pence that the cost stays within with that chance."""
        return round_half_up((Fraction(self.work.quantile(chance)) if self.work else 0) + self.sure)

    def chance_within(self, pence: int) -> float:
        """The chance that the cost is no more than so many pence: 0 or 1 where all of it is known."""
        if self.work is None:
            return float(pence >= self.sure)
        return self.work.chance_within(float(pence - self.sure))


def price_by_margin(cost: Fraction | int, margin: Fraction) -> int:
    """The price of which `margin` is profit. PriceRefused from 100 % up: no price would do."""
    if not 0 <= margin < 1:
        raise PriceRefused("A margin is less than 100 %: it is the part of the price that is profit.")
    return round_half_up(Fraction(cost) / (1 - margin))


def price_by_markup(cost: Fraction | int, markup: Fraction) -> int:
    """The cost and `markup` of it more. PriceRefused below nothing."""
    if markup < 0:
        raise PriceRefused("A markup is 0 % or more.")
    return round_half_up(Fraction(cost) * (1 + markup))


def margin_of(price: int, cost: int) -> Fraction | None:
    """Profit as a part of the price; None where the price is nothing."""
    return Fraction(price - cost, price) if price else None


def markup_of(price: int, cost: int) -> Fraction | None:
    """Profit as a part of the cost; None where the cost is nothing."""
    return Fraction(price - cost, cost) if cost else None


def tax_on(price: int, rate: Fraction) -> int:
    """Tax on the whole price, once, a half penny up."""
    return round_half_up(price * rate)


def deposit_on(total: int, share: Fraction) -> int:
    """The part of price and tax that is asked beforehand, a half penny up."""
    return round_half_up(total * share)
