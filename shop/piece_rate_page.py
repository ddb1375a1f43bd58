"""The page of what rate a piece of an operation should have: the sum, what stands now, and a month tried by it."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from fractions import Fraction
from functools import cached_property
from urllib.parse import urlencode

from django.urls import reverse

from jobs.measures import exact_length
from jobs.models import Operation
from jobs.words import in_words
from shop.asked import Asked
from shop.days import day_in_words
from shop.models import Hand, Rate
from shop.money import MILLI, format_millipence, format_pence, plain_pence, round_half_up
from shop.pay import great_britain
from shop.pay.great_britain import NoRate, OutputTried
from shop.pay.periods import MONTH, period_of
from shop.pay.piece_rates import MINUTES_IN_AN_HOUR, Advised, Sum, asked_by_law, lowest_wage, rate_of
from shop.pay.piece_rates import Asked as AskedByLaw
from shop.pay.terms import DatedTerms
from shop.pay_facts import Scheme
from shop.piece_rate_facts import HandMonth, Tried, month_of_hands
from shop.rates import Dated
from shop.shop_rule import Kind, ShopRule, Wedge, number_rule
from shop.times_list import UsualOf, known_hands, piece_of, size_shown, usual_of_all, usual_of_hands
from shop.times_words import counted, pieces_shown
from timing.usual import Usual

HUNDREDTHS = 100


@dataclass(frozen=True, slots=True)
class Standing:
    """A rate that stands or is to come: in millipence, from what day, for which wheels ("" for every one)."""

    amount: int
    from_on: date
    wheels: str
    is_to_come: bool


@dataclass(frozen=True, slots=True)
class TriedRow:
    """A hand's month: what its work earned and would have, in all and an hour (minor units).

    With `by_hour` what was not timed earned nobody knows how much.
    """

    name: str
    notes: tuple[str, ...]
    sum: Sum
    under: tuple[str, ...] = ()
    by_hour: bool = False

    @property
    def earned(self) -> int | None:
        return None if self.by_hour and not self.sum.seconds else round_half_up(self.sum.earned)

    @property
    def would_earn(self) -> int:
        return round_half_up(self.sum.would_earn)

    @property
    def earned_an_hour(self) -> int | None:
        return _rounded(self.sum.earned_an_hour)

    @property
    def would_earn_an_hour(self) -> int | None:
        return _rounded(self.sum.would_earn_an_hour)


def _rounded(amount: Fraction | None) -> int | None:
    return None if amount is None else round_half_up(amount)


def minutes_of_sum(minutes: float) -> Fraction:
    """Minutes to the hundredth, as the page shows them: its sum can be done again on paper."""
    return Fraction(max(round(minutes * HUNDREDTHS), 1), HUNDREDTHS)


class PieceRatePage:
    """Read with a constant number of queries. `hour` is what an hour is to earn in millipence, None for the mean wage
    of those who do it; `month` the first day of the month that is tried."""

    def __init__(
        self,
        operation: Operation,
        usual: Usual,
        here: Asked,
        scheme: Scheme,
        *,
        left_out: frozenset[int],
        hour: int | None,
        month: date,
    ) -> None:
        self.operation, self.usual, self.here, self.scheme = operation, usual, here, scheme
        self.month, self._asked_hour = month, hour
        self.name = in_words(operation.name, here.words)
        self.piece = piece_of(operation, here.words)
        self.told: UsualOf | None = usual_of_all(usual, [operation.key]).get(operation.key)
        self._hands = {one.user_id: one for one in Hand.objects.all()}
        known = known_hands(usual, operation.key) if self.told else []
        self._who = [pk for pk in known if pk not in left_out and pk in self._hands and not self._hands[pk].left_on]

    @cached_property
    def minutes(self) -> Fraction | None:
        """Usual minutes a piece, by anybody's hands."""
        return minutes_of_sum(self.told.each) if self.told else None

    @property
    def minutes_shown(self) -> str:
        return "" if self.minutes is None else f"{float(self.minutes):,.2f}"

    @property
    def run(self) -> str:
        """What the usual minutes are of: "a run of 24, the wheel 1219 mm high"."""
        if self.told is None:
            return ""
        return (
            f"a run of {pieces_shown(self.told.pair.pieces)}, the wheel {size_shown(self.usual, self.here.unit)} high"
        )

    @cached_property
    def wages(self) -> list[int]:
        """Today's wages of those who do it, in millipence; of all hands where nobody has done it yet."""
        who = self._who or [pk for pk, one in self._hands.items() if not one.left_on]
        told = [self.scheme.book.wage(pk, self.here.today) for pk in who]
        return [wage for wage in told if wage]

    @cached_property
    def hour(self) -> Fraction | None:
        """What an hour is to earn, in minor units; None where that is not asked and no wage is written down."""
        if self._asked_hour is not None:
            return Fraction(self._asked_hour, MILLI)
        # To a whole minor unit: it is a figure to begin with, and a person would write such a one.
        return Fraction(round_half_up(Fraction(sum(self.wages), len(self.wages) * MILLI))) if self.wages else None

    @property
    def hour_millipence(self) -> int | None:
        return None if self.hour is None else int(self.hour * MILLI)

    @property
    def hour_typed(self) -> str:
        """As the field takes it."""
        return "" if self.hour is None else plain_pence(int(self.hour), self.here.shop.currency)

    @property
    def hour_from(self) -> str:
        """Where what an hour is to earn comes from, if it was not asked."""
        if self._asked_hour is not None:
            return ""
        whose = "who do it" if self._who else "in the shop, since nobody who works here was timed at it"
        return f"The mean wage of the {counted(len(self.wages), 'hand')} {whose}."

    @cached_property
    def tried(self) -> list[OutputTried]:
        """The usual hourly output of each hand who does it, by the run of a pair."""
        runs = usual_of_hands(self.usual, self.operation.key, self._who)
        return [OutputTried(MINUTES_IN_AN_HOUR / minutes_of_sum(run.each), Fraction(1)) for run in runs.values()]

    @cached_property
    def law(self) -> AskedByLaw | None:
        """What the chosen rules ask, where they ask it in the shop's own money."""
        if self.minutes is None or self.no_law:
            return None
        return asked_by_law(self.here.shop.pay_rules, self.here.today, minutes=self.minutes, tried=self.tried)

    @cached_property
    def no_law(self) -> str:
        """Why nothing is compared with what the chosen rules ask, in one sentence."""
        rules, currency = self.here.shop.pay_rules, self.here.shop.currency
        try:
            lowest_wage(rules, self.here.today, band="adult")
        except NoRate as unknown:
            return str(unknown)
        if currency != {"gb": "GBP", "us": "USD"}.get(rules, currency):
            return f"The lowest wage of the chosen rules is not in {currency}, and is not compared."
        return ""

    @property
    def law_hour(self) -> int | None:
        """What the law asks of an hour, in minor units."""
        return round_half_up(self.law.hour) if self.law else None

    @property
    def output(self) -> str:
        """The mean hourly output, to the hundredth."""
        return f"{float(self.law.output):,.2f}" if self.law and self.law.output is not None else ""

    @cached_property
    def advised(self) -> Advised | None:
        if self.minutes is None or self.hour is None:
            return None
        return Advised(rate_of(self.minutes, self.hour), self.law.piece if self.law else None)

    @property
    def in_full(self) -> str:
        """The rate by the hour before it was rounded up: "£2.1875"."""
        return self._exact(self.advised.by_hour) if self.advised else ""

    @property
    def law_in_full(self) -> str:
        return self._exact(self.law.piece) if self.law else ""

    def _exact(self, amount: Fraction) -> str:
        return format_millipence(round_half_up(amount * MILLI), self.here.shop.currency)

    @cached_property
    def rule(self) -> ShopRule | None:
        """The rate beside that of today and what the law asks; the band goes from the quickest hand to the slowest."""
        if self.advised is None or self.hour is None:
            return None
        rate, law = self.advised.pence, self.advised.law_pence
        said: list[tuple[str, Fraction, Kind]] = [
            ("as the law asks" if law == rate else "this", Fraction(rate), "likely")
        ]
        if self.now is not None and self.now != rate * MILLI:
            said.append(("now", Fraction(self.now, MILLI), "now"))
        if law is not None and law != rate:
            said.append(("the law", Fraction(law), "due"))
        said.sort(key=lambda one: one[1])
        by_hand = [float(rate_of(MINUTES_IN_AN_HOUR / one.pieces, self.hour)) for one in self.tried]
        told = ", ".join(f"{words} {self._exact(at)}" for words, at, _ in said)
        return number_rule(
            title=f"What a {self.piece} earns: {told}.",
            wedges=[Wedge(at=float(at), words=f"{words} {self._exact(at)}", kind=kind) for words, at, kind in said],
            band=(min(by_hand), max(by_hand)) if len(by_hand) > 1 else None,
            label=lambda at: self._exact(Fraction(at)),
            reach=(rate * 0.7, rate * 1.3),
        )

    @cached_property
    def standing(self) -> list[Standing]:
        """The plain rate and those of high wheels: what stands today, and what is to come."""
        book, pk = self.scheme.book, self.operation.pk
        plain = book.dated.get((Rate.Kind.PIECE, pk))
        told = list(self._stand(plain, "")) if plain else []
        for height, dated in reversed(book.sized.get(pk, ())):
            told += self._stand(dated, f"wheels from {exact_length(height, unit=self.here.unit)}")
        return told

    def _stand(self, dated: Dated, wheels: str) -> Iterator[Standing]:
        today = self.here.today
        for day, amount in zip(dated.days, dated.amounts, strict=True):
            if day > today or day == dated.since(today):
                yield Standing(amount, day, wheels, day > today)

    @property
    def now(self) -> int | None:
        """The plain rate of today, in millipence."""
        return self.scheme.book.amount((Rate.Kind.PIECE, self.operation.pk), self.here.today)

    @property
    def has_sized(self) -> bool:
        return any(one.wheels for one in self.standing)

    @property
    def difference(self) -> str:
        """How the rate differs from that of today: "£0.13 more a spoke than now"."""
        if self.now is None or self.advised is None:
            return ""
        more = self.advised.pence * MILLI - self.now
        if not more:
            return "The rate of today is just that."
        amount = format_millipence(abs(more), self.here.shop.currency)
        return f"{amount} {'more' if more > 0 else 'less'} a {self.piece} than now."

    @property
    def is_standing(self) -> bool:
        """Whether the rate is that of today already."""
        return self.advised is not None and self.now == self.advised.pence * MILLI

    @property
    def outdated(self) -> str:
        """That the rate of today is older than the lowest wage (NMWM03140), in one sentence."""
        plain = self.scheme.book.dated.get((Rate.Kind.PIECE, self.operation.pk))
        since = plain.since(self.here.today) if plain else None
        if self.law is None or self.law.output is None or since is None:
            return ""
        if not great_britain.is_outdated(since, self.here.today):
            return ""
        changed = day_in_words(great_britain.rates_on(self.here.today).from_on)
        return f"It was written down before the lowest wage changed on {changed}: a fair rate is worked out anew then."

    @property
    def write_from(self) -> date:
        """The first day of the next pay period: a notice has to be given before one begins."""
        shop = self.here.shop
        return period_of(self.here.today, length=shop.pay_period, first_on=shop.pay_first_on)[1] + timedelta(days=1)

    @property
    def write_url(self) -> str:
        """The form of the rate, with this rate and day in it."""
        assert self.advised is not None  # noqa: S101 - the page asks only where there is a rate
        asked = {"amount": plain_pence(self.advised.pence, self.here.shop.currency), "from": self.write_from}
        return f"{reverse('shop:rate', args=['piece', self.operation.pk])}?{urlencode(asked)}"

    @cached_property
    def rows(self) -> list[TriedRow]:
        """Each hand who made some in the month, in the order of their names."""
        if self.advised is None:
            return []
        last = min(period_of(self.month, length=MONTH, first_on=self.month)[1], self.here.today)
        tried = Tried(self.operation, self.advised.pence * MILLI, self.here.today)
        found = month_of_hands(tried, self.month, last, self.scheme, self.here.shop.pays_spoiled)
        return [self._row(pk, found[pk]) for pk in self._hands if pk in found]

    def _row(self, pk: int, month: HandMonth) -> TriedRow:
        notes = ["paid by the hour"] if month.by_hour else []
        notes += [f"{month.waiting:,} not passed, and not in it"] if month.waiting else []
        notes += [f"{month.sum.untimed:,} not timed, and in no hour"] if month.sum.untimed else []
        under = tuple(self._under(pk, month.sum))
        return TriedRow(self._hands[pk].name, tuple(notes), month.sum, under, by_hour=month.by_hour)

    def _under(self, pk: int, made: Sum) -> Iterable[str]:
        """Which of today's floors an hour would come under."""
        hourly, today = made.would_earn_an_hour, self.here.today
        if hourly is None:
            return
        terms = self.scheme.terms.get(pk, DatedTerms()).on(today)
        guarantee = self.scheme.book.guarantee(pk, today)
        if terms.by_pieces and guarantee is not None and hourly * MILLI < guarantee:
            yield f"under the guarantee of {format_millipence(guarantee, self.here.shop.currency)}"
        lowest = None if self.no_law else lowest_wage(self.here.shop.pay_rules, today, band=terms.band)
        if lowest is not None and hourly < lowest:
            yield f"under the lowest wage of {format_pence(lowest, self.here.shop.currency)}"

    @property
    def under(self) -> list[str]:
        """Who would come under what, in words."""
        return [f"{row.name}: {' and '.join(row.under)}" for row in self.rows if row.under]

    @property
    def all_hands(self) -> TriedRow:
        """All rows together."""
        return TriedRow("All hands", (), Sum(tuple(one for row in self.rows for one in row.sum.shares)))
