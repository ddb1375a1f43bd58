"""The costs of a period as their page shows them: sentences, a rule, and where figures lead."""

from dataclasses import dataclass

from shop.absorption import Spoilage
from shop.days import day_in_words
from shop.money import format_pence, round_half_up
from shop.period_costs import Period, PeriodCosts, month_of, months_about
from shop.shop_rule import ShopRule, Wedge, number_rule


@dataclass(frozen=True)
class PeriodPage:
    """`percent` is what of the work may be spoiled and is normal still."""

    found: PeriodCosts
    percent: int
    currency: str

    @property
    def heading(self) -> str:
        """The month by its name, where the period is one."""
        period = self.found.period
        if period == month_of(period.first):
            return f"{period.first:%B %Y}"
        return f"{day_in_words(period.first)} to {day_in_words(period.last)}"

    @property
    def about(self) -> list[tuple[str, Period]]:
        """The months before and after."""
        return [(f"{one.first:%B %Y}", one) for one in months_about(self.found.period)]

    @property
    def over_pence(self) -> int:
        return abs(round_half_up(self.found.absorbed.over))

    @property
    def absorption(self) -> str:
        """What became of the overhead, in a sentence."""
        told = self.found.absorbed
        absorbed = self._money(round_half_up(told.absorbed))
        if not self.found.written:
            return f"Work absorbed {absorbed} of overhead; what was spent is not written down for these days."
        which = f"{self._money(self.over_pence)} {told.name}" if self.over_pence else told.name
        return f"Work absorbed {absorbed} of overhead, {self._money(told.spent)} was spent: {which}."

    @property
    def an_hour(self) -> str:
        """What each hour bore, and what it would have had to."""
        bore, would = self.found.bore, self.found.would_bear
        if bore is None or would is None or not self.found.written:
            return ""
        return (
            f"An hour on wheels bore {self._money(round_half_up(bore))}; all that was spent comes to "
            f"{self._money(round_half_up(would))} an hour."
        )

    @property
    def rule(self) -> ShopRule | None:
        """Absorbed beside spent; None where nothing was written down."""
        told = self.found.absorbed
        absorbed = round_half_up(told.absorbed)
        if not self.found.written or not (absorbed or told.spent):
            return None
        return number_rule(
            title=self.absorption,
            wedges=[
                Wedge(at=absorbed, words=f"Absorbed {self._money(absorbed)}", kind="likely"),
                Wedge(at=told.spent, words=f"Spent {self._money(told.spent)}", kind="due"),
            ],
            label=lambda at: self._money(round_half_up(round(at))),
            reach=(0.0, 0.0),
        )

    @property
    def share(self) -> int:
        """Of all the time that was told, breaks apart, the hundredths that went into wheels."""
        on, apart = self.found.work.seconds, self.found.other.seconds
        return round(100 * on / (on + apart)) if on + apart else 0

    @property
    def spoilage(self) -> Spoilage:
        return self.found.spoilage(self.percent)

    @property
    def spoiled_pence(self) -> int:
        return round_half_up(self.found.spoiled)

    @property
    def normal_pence(self) -> int:
        return round_half_up(self.spoilage.normal)

    @property
    def abnormal_pence(self) -> int:
        return round_half_up(self.spoilage.abnormal)

    @property
    def missing(self) -> str:
        """What counts of the rack found missing, and what they found; nothing where they did neither."""
        missing, found = round_half_up(self.found.missing), round_half_up(self.found.found)
        if not (missing or found):
            return ""
        if not found:
            return f"Counts of the rack found {self._money(missing)} of material missing, at cost: it is in no wheel."
        more = f"{self._money(found)} that was not written down"
        if not missing:
            return f"Counts of the rack found {more}, at the price of what was bought last."
        net = missing - found
        sum_of_both = f"{self._money(abs(net))} {'missing' if net > 0 else 'more'}" if net else "nothing"
        return (
            f"Counts of the rack found {self._money(missing)} of material missing, at cost, which is in no wheel, and "
            f"{more}: {sum_of_both} on the whole."
        )

    @property
    def whole_pence(self) -> int:
        return round_half_up(self.found.whole)

    @property
    def good_pence(self) -> int:
        """What went into wheels, without what was spoiled beyond what is normal."""
        return round_half_up(self.found.whole - self.spoilage.abnormal)

    def _money(self, pence: int) -> str:
        return format_pence(pence, self.currency)
