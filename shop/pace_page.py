"""The page of pace: the work in so many wheels of a make-up, in hours, in days of a hand, in wheels a week."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

from jobs.models import Lot, Operation
from jobs.models.operations import Trade
from jobs.words import in_words
from shop.models import Hand, Shop
from shop.shop_rule import ShopRule, Wedge, number_rule
from shop.times_list import piece_of
from shop.times_words import counted, hours_shown, hours_span, minutes_shown
from timing.forecast import Forecast, Lines, forecast_lines
from timing.pace import Week, days_of, hands_for_a_wheel_a_day, slowest, wheels_a_week
from timing.usual import Usual, WorkLine, as_lines, work_of

LOW, MIDDLE, HIGH = 0.1, 0.5, 0.9
USUAL_HOURS, USUAL_DAYS = 8, 5
HOLDS = {Trade.BENCH: "the bench", Trade.SMITH: "the forge", Trade.PAINTER: "the painting"}
AT_WORK = {Trade.BENCH: "bench", Trade.SMITH: "smith’s work", Trade.PAINTER: "painting"}


@dataclass(frozen=True, slots=True)
class Asked:
    """So many wheels, a shop's week, and hands by trade."""

    wheels: int
    week: Week
    hands: Mapping[str, float]


@dataclass(frozen=True, slots=True)
class TradeRow:
    """What one trade has to do, and what its hands get through. `pace` is (low, likely, high) wheels a week."""

    trade: str
    name: str
    hours: str
    likely: str
    days: str
    days_span: str
    hands: float
    pace: tuple[float, float, float] | None
    wanted: str

    @property
    def in_words(self) -> str:
        return f"{self.pace[1]:.1f}" if self.pace else ""

    @property
    def pace_span(self) -> str:
        return f"{self.pace[0]:.1f} to {self.pace[2]:.1f}" if self.pace else ""


@dataclass(frozen=True, slots=True)
class WorkRow:
    """One operation, with its share of all hours."""

    operation: Operation
    name: str
    pieces: str
    each: str
    hours: str
    likely: str
    percent: float

    @property
    def share(self) -> str:
        return f"{self.percent:.0f} %" if self.percent >= 1 else "under 1 %"


class PacePage:
    """Of wheels that stand nowhere yet, or of a lot. What the usual times do not know yet is told and left out."""

    def __init__(
        self, lot: Lot, asked: Asked, usual: Usual, operations: Sequence[Operation], words: Mapping[str, str]
    ) -> None:
        self.asked, self.usual, self.words = asked, usual, words
        laid_out = work_of([(lot, asked.wheels)], operations)
        self.work = [one for one in laid_out if usual.knows(one.operation.key)]
        self.unknown = [in_words(one.operation.name, words) for one in laid_out if not usual.knows(one.operation.key)]
        self._lines: Lines | None = forecast_lines(usual.fit, as_lines(self.work)) if self.work else None

    def _of(self, places: Sequence[int]) -> Forecast:
        """Minutes of hands: two who work together at a piece take its minutes twice."""
        assert self._lines is not None  # noqa: S101 - asked of work that there is
        return self._lines.of(places, worth=[self.work[place].operation.hands for place in places])

    @property
    def has_together(self) -> bool:
        return any(one.operation.hands > 1 for one in self.work)

    @cached_property
    def _by_trade(self) -> dict[str, Forecast]:
        found: dict[str, list[int]] = {}
        for place, one in enumerate(self.work):
            found.setdefault(one.operation.trade, []).append(place)
        return {trade: self._of(found[trade]) for trade in AT_WORK if trade in found}

    @cached_property
    def whole(self) -> Forecast:
        return self._of(range(len(self.work)))

    @property
    def whole_hours(self) -> str:
        return hours_shown(self.whole.quantile(MIDDLE))

    @property
    def whole_span(self) -> str:
        return hours_span(self.whole.quantile(LOW), self.whole.quantile(HIGH))

    @property
    def whole_days(self) -> str:
        return _days(self.whole, self.asked.week)

    @property
    def whole_days_span(self) -> str:
        return _days_span(self.whole, self.asked.week)

    @cached_property
    def trades(self) -> list[TradeRow]:
        return [self._trade_row(trade, minutes) for trade, minutes in self._by_trade.items()]

    def _trade_row(self, trade: str, minutes: Forecast) -> TradeRow:
        asked, hands = self.asked, self.asked.hands.get(trade, 0)
        a_wheel = [minutes.quantile(chance) / asked.wheels for chance in (HIGH, MIDDLE, LOW)]
        low, likely, high = (wheels_a_week(one, hands, asked.week) for one in a_wheel)
        return TradeRow(
            trade=trade,
            name=AT_WORK[Trade(trade)].capitalize(),
            hours=hours_shown(minutes.quantile(MIDDLE)),
            likely=hours_span(minutes.quantile(LOW), minutes.quantile(HIGH)),
            days=_days(minutes, asked.week),
            days_span=_days_span(minutes, asked.week),
            hands=hands,
            pace=(low, likely, high) if hands else None,
            wanted=f"{hands_for_a_wheel_a_day(a_wheel[1], asked.week):.1f}",
        )

    @cached_property
    def slowest(self) -> TradeRow | None:
        """The trade that holds the shop's pace."""
        a_wheel = {trade: one.quantile(MIDDLE) / self.asked.wheels for trade, one in self._by_trade.items()}
        found = slowest(a_wheel, self.asked.hands, self.asked.week)
        return next((row for row in self.trades if row.trade == found), None)

    @property
    def sentence(self) -> str:
        """How many wheels a week the shop gets through, and which trade holds it up."""
        row = self.slowest
        if row is None or row.pace is None:
            return "Say how many hands there are, and the pace follows."
        return (
            f"About {row.in_words} wheels a week ({row.pace_span}), held by "
            f"{HOLDS[Trade(row.trade)]}, with {row.hands:g} hand{'' if row.hands == 1 else 's'}."
        )

    @property
    def against_a_day(self) -> str:
        row, days = self.slowest, self.asked.week.days
        if row is None or row.pace is None:
            return ""
        over = row.pace[1] - days
        told = f"{abs(over):.1f} {'more' if over > 0 else 'short'}" if abs(over) >= 0.05 else "just that"
        return f"A wheel a day is {days:g} a week: {told}. It wants {row.wanted} hands there."

    @property
    def rule(self) -> ShopRule | None:
        row, days = self.slowest, self.asked.week.days
        if row is None or row.pace is None:
            return None
        low, likely, high = row.pace
        return number_rule(
            title=f"Wheels a week: {likely:.1f}, likely {row.pace_span}; a wheel a day is {days:g}.",
            band=(low, high),
            wedges=[
                Wedge(at=likely, words=f"likely {likely:.1f}", kind="likely"),
                Wedge(at=days, words="a wheel a day", kind="due"),
            ],
        )

    @cached_property
    def rows(self) -> list[WorkRow]:
        """Largest first. Shares are of mean minutes, which add up; each range is of the operation by itself."""
        if self._lines is None:
            return []
        means = [float(mean) * one.operation.hands for mean, one in zip(self._lines.means, self.work, strict=True)]
        total = sum(means)
        places = sorted(range(len(means)), key=lambda place: -means[place])
        return [self._work_row(self.work[place], self._of([place]), means[place] / total * 100) for place in places]

    def _work_row(self, one: WorkLine, minutes: Forecast, percent: float) -> WorkRow:
        operation = one.operation
        middle = minutes.quantile(MIDDLE)
        piece = piece_of(operation, self.words)
        return WorkRow(
            operation=operation,
            name=in_words(operation.name, self.words),
            pieces=counted(one.pieces, piece),
            each=minutes_shown(middle / operation.hands / one.pieces),
            hours=hours_shown(middle),
            likely=hours_span(minutes.quantile(LOW), minutes.quantile(HIGH)),
            percent=percent,
        )


def _days(minutes: Forecast, week: Week) -> str:
    return f"{days_of(minutes.quantile(MIDDLE), week):.1f}"


def _days_span(minutes: Forecast, week: Week) -> str:
    return f"{days_of(minutes.quantile(LOW), week):.1f} to {days_of(minutes.quantile(HIGH), week):.1f}"


def usual_hands(shop: Shop, days: int = USUAL_DAYS) -> dict[str, float]:
    """Hands of each trade who work in the shop by now; who only keeps the desk is none of them.

    A smith who comes on some days of the week counts for that part of a hand.
    """
    working = list(Hand.objects.working().exclude(role=Hand.Role.DESK).values_list("trade", flat=True))
    found = {str(trade): float(working.count(trade)) for trade in AT_WORK}
    if shop.smith_days:
        found[Trade.SMITH] = round(found[Trade.SMITH] * min(len(shop.smith_days) / days, 1), 2)
    return found
