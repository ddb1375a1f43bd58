"""What an hour of work at an operation costs the shop, as such work was shared among its hands."""

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from fractions import Fraction

from jobs.models import Operation
from shop.days import day_in_words
from shop.models import Hand
from shop.rates import RateBook
from timing.forecast import Fit
from timing.forecast.who import who_works
from timing.usual import Usual

# Millipence an hour to a penny a minute.
MILLIPENCE_AN_HOUR = 60_000


@dataclass(frozen=True, slots=True)
class HourCost:
    """Millipence an hour of one operation, helpers included; `lacking` are the hands whose rate is missing."""

    labour: Fraction
    overhead: Fraction
    lacking: tuple[str, ...] = ()

    @property
    def pence_a_minute(self) -> tuple[float, float]:
        """Of labour, and of overhead."""
        return float(self.labour / MILLIPENCE_AN_HOUR), float(self.overhead / MILLIPENCE_AN_HOUR)


class Hours:
    """The cost of an hour at each operation on a day, from the rates and from who did such work."""

    def __init__(self, book: RateBook, usual: Usual, *, on: date) -> None:
        self.book, self.usual, self.on = book, usual, on
        self._hands: Mapping[int, Hand] = {hand.user_id: hand for hand in Hand.objects.working()}
        self._by_trade: dict[str, list[Hand]] = defaultdict(list)
        for hand in self._hands.values():
            self._by_trade[hand.trade].append(hand)
        self.overhead = Fraction(book.overhead(on) or 0)
        self.has_overhead = book.overhead(on) is not None

    def of(self, operation: Operation) -> HourCost | None:
        """None where no hand of that trade, and nobody who did such work, has a cost of an hour on the day."""
        shares = self._shares(operation)
        known = {hand_id: share for hand_id, share in shares.items() if self.book.cost(hand_id, self.on) is not None}
        lacking = tuple(sorted(self._hands[hand_id].name for hand_id in shares if hand_id not in known))
        if not known:
            return None
        labour = self._mean(known) + (operation.hands - 1) * self._mean_of_trade("bench", otherwise=self._mean(known))
        return HourCost(labour, self.overhead * operation.hands, lacking)

    def of_trade(self, trade: str) -> Fraction | None:
        """Millipence an hour of one hand of a trade, overhead included; None where no such hand has a cost."""
        rates = [self.book.cost(hand.user_id, self.on) for hand in self._by_trade[trade]]
        known = [rate for rate in rates if rate is not None]
        return Fraction(sum(known), len(known)) + self.overhead if known else None

    def lacking_of(self, cost: HourCost) -> list[str]:
        """What is said of hands whose rate is missing."""
        return [
            f"No cost of an hour is kept for {name} on {day_in_words(self.on)}: write it down in Rates."
            for name in cost.lacking
        ]

    def missing_of(self, operation: Operation) -> str:
        """What is said where there is no such cost."""
        trade = operation.get_trade_display()
        return f"No cost of an hour is kept for a {trade} hand on {day_in_words(self.on)}: write it down in Rates."

    def _shares(self, operation: Operation) -> dict[int, float]:
        """Hands who work here still, by the part of such work that they did; else those of the trade alike."""
        fit: Fit = self.usual.fit
        did: dict[int, float] = {}
        if self.usual.knows(operation.key) and self.usual.timed(operation.key):
            shares = who_works(fit, fit.place_of(operation.key), None).hands
            did = {int(fit.hands[place]): share for place, share in shares.items()}
        here = {hand_id: share for hand_id, share in did.items() if hand_id in self._hands}
        return here or {hand.user_id: 1.0 for hand in self._by_trade[operation.trade]}

    def _mean(self, shares: Mapping[int, float]) -> Fraction:
        whole = Fraction(sum(shares.values()))
        return sum(
            (Fraction(share) * (self.book.cost(hand_id, self.on) or 0) for hand_id, share in shares.items()),
            Fraction(0),
        ) / (whole or 1)

    def _mean_of_trade(self, trade: str, *, otherwise: Fraction) -> Fraction:
        rates = [self.book.cost(hand.user_id, self.on) for hand in self._by_trade[trade]]
        known = [rate for rate in rates if rate is not None]
        return Fraction(sum(known), len(known)) if known else otherwise
