"""The page of an operation's rated output work: its mean, the fair rate, who was told, and how the means were found."""

from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from functools import cached_property

from jobs.durations import hours_and_minutes
from jobs.models import Operation
from jobs.words import in_words
from shop.agreeing import hourly_of, hourly_shown, next_period_after
from shop.agreements import Agreements, rates_of
from shop.asked import Asked
from shop.days import day_in_words
from shop.models import Hand, OutputMean, OutputNotice, Rate
from shop.money import MILLI, format_millipence, round_half_up
from shop.pay import great_britain
from shop.pay.great_britain import NoRate
from shop.pay.minimum_wage import CONTROLLED
from shop.pay.output_work import rated_on
from shop.pay.terms import BANDS, DatedTerms
from shop.pay_facts import Scheme
from shop.times_list import piece_of


@dataclass(frozen=True, slots=True)
class MeanTold:
    """One test or estimate: what it says in words, and what each hand made."""

    row: OutputMean
    hourly: Fraction | None
    made: tuple[str, ...]

    @property
    def shown(self) -> str:
        return "not rated" if self.hourly is None else f"{hourly_shown(self.hourly)} an hour"


@dataclass(frozen=True, slots=True)
class HandTold:
    """How a hand's pieces count in the period that is next, or why not."""

    hand: Hand
    counts: str
    is_rated: bool


class OutputPage:
    """Read with a constant number of queries."""

    def __init__(self, operation: Operation, here: Asked, scheme: Scheme, agreed: Agreements) -> None:
        self.operation, self.here, self.scheme, self.agreed = operation, here, scheme, agreed
        self.name = in_words(operation.name, here.words)
        self.piece = piece_of(operation, here.words)
        self._names = dict(Hand.objects.values_list("user_id", "name"))

    @cached_property
    def history(self) -> list[MeanTold]:
        """Every test and estimate, the latest first."""
        rows = OutputMean.objects.filter(operation=self.operation).select_related("recorded_by__shop_hand", "rests_on")
        return [self._told(row) for row in rows.prefetch_related("tried").order_by("-from_on", "-id")]

    def _told(self, row: OutputMean) -> MeanTold:
        tried = list(row.tried.all())
        made = tuple(
            f"{self._names.get(one.hand_id or 0, 'a hand')} {one.pieces} in {hours_and_minutes(one.seconds)}"
            for one in tried
        )
        return MeanTold(row, hourly_of(row) if tried else None, made)

    @cached_property
    def standing(self) -> MeanTold | None:
        """What stands today; None where nothing does, or the work is not rated."""
        told = next((one for one in self.history if one.row.from_on <= self.here.today), None)
        return told if told and told.hourly is not None else None

    @cached_property
    def ahead(self) -> MeanTold | None:
        """What will stand when the next pay period begins, where that is another than today's; None where nothing."""
        told = next((one for one in self.history if one.row.from_on <= self.begins), None)
        if told is None or (self.standing and told.row == self.standing.row):
            return None
        return told

    @property
    def is_to_be_told(self) -> bool:
        """Whether a mean will stand then: a notice of it is given now."""
        told = self.ahead or self.standing
        return told is not None and told.hourly is not None

    @cached_property
    def minimum(self) -> int | None:
        """A grown hand's minimum wage of today, in pence; None where it is not known."""
        try:
            return great_britain.minimum_on(self.here.today, age=BANDS["adult"])
        except NoRate:
            return None

    @property
    def fair(self) -> Fraction | None:
        if self.standing is None or self.standing.hourly is None or self.minimum is None:
            return None
        return great_britain.fair_rate(self.minimum, self.standing.hourly)

    @property
    def fair_pence(self) -> int | None:
        if self.standing is None or self.standing.hourly is None or self.minimum is None:
            return None
        return great_britain.fair_rate_pence(self.minimum, self.standing.hourly)

    @property
    def fair_in_full(self) -> str:
        return "" if self.fair is None else format_millipence(round_half_up(self.fair * MILLI), self.here.shop.currency)

    @property
    def hourly(self) -> str:
        return "" if self.standing is None or self.standing.hourly is None else hourly_shown(self.standing.hourly)

    @property
    def rate_now(self) -> int | None:
        """The plain rate of today, in millipence."""
        return self.scheme.book.amount((Rate.Kind.PIECE, self.operation.pk), self.here.today) or None

    @property
    def wants(self) -> list[str]:
        """What is amiss with the rate of today, in sentences."""
        said = []
        fair, now = self.fair_pence, self.rate_now
        if fair is not None and now is not None and now < fair * MILLI:
            said.append(
                "The rate of today is under the fair rate: at the mean speed it earns less than the lowest wage, and "
                "the pay is made up."
            )
        dated = self.scheme.book.dated.get((Rate.Kind.PIECE, self.operation.pk))
        since = dated.since(self.here.today) if dated else None
        if self.standing and since and self.minimum and great_britain.is_outdated(since, self.here.today):
            changed = day_in_words(great_britain.rates_on(self.here.today).from_on)
            said.append(
                f"It is older than the lowest wage, which changed on {changed}: a fair rate is worked out anew."
            )
        return said

    @cached_property
    def begins(self) -> date:
        """The first day of the next pay period: what is told by the day before counts for it."""
        return next_period_after(self.here.today, self.here.shop)

    @cached_property
    def hands(self) -> list[HandTold]:
        """Each hand who will be paid by the piece then, and how its pieces of this work will count."""
        means = self.agreed.means.get(self.operation.pk, ())
        rates = rates_of(self.scheme.book, self.operation.pk, self.begins)
        told = []
        for hand in Hand.objects.working():
            terms = self.scheme.terms.get(hand.user_id, DatedTerms()).on(self.begins)
            if not terms.by_pieces:
                continue
            notices = self.agreed.notices.get((hand.user_id, self.operation.pk), ())
            rated = rated_on(self.begins, means=means, notices=notices, rates=rates)
            if rated is None:
                told.append(HandTold(hand, "as worked: no mean output stands then", is_rated=False))
            elif terms.hours_are_controlled:
                told.append(HandTold(hand, f"as worked: {CONTROLLED}", is_rated=False))
            elif rated.notice_on is None:
                told.append(HandTold(hand, f"as worked: {rated.why_not}", is_rated=False))
            else:
                told.append(HandTold(hand, f"rated, by the notice of {day_in_words(rated.notice_on)}", is_rated=True))
        return told

    @cached_property
    def notices(self) -> list[OutputNotice]:
        """Every notice that was given of this work, the latest first."""
        rows = OutputNotice.objects.filter(mean__operation=self.operation).select_related("hand__shop_hand")
        return list(rows.order_by("-given_on", "-id"))
