"""What pay by a country's law rests on, read for all hands at once: mean outputs, notices, overtime agreed."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from fractions import Fraction

from shop.models import OutputMean, OutputNotice, OutputTried, OvertimeAgreement, Rate
from shop.pay.great_britain import OutputTried as Tried
from shop.pay.hours import in_hours
from shop.pay.output_work import Mean, Notice, PieceRates, Standing, mean_on, notice_before, read_rates
from shop.pay.united_states import Agreement
from shop.rates import RateBook


@dataclass(frozen=True, slots=True)
class Agreements:
    """By operation its means, by hand and operation the notices, by hand what was agreed on overtime."""

    means: Mapping[int, tuple[Mean, ...]] = field(default_factory=dict)
    notices: Mapping[tuple[int, int], tuple[Notice, ...]] = field(default_factory=dict)
    overtime: Mapping[int, tuple[Agreement, ...]] = field(default_factory=dict)

    @classmethod
    def load(cls) -> "Agreements":
        """Four queries."""
        tried: dict[int, list[Tried]] = {}
        for mean_id, pieces, seconds in OutputTried.objects.order_by("id").values_list("mean", "pieces", "seconds"):
            tried.setdefault(mean_id, []).append(Tried(Fraction(pieces), in_hours(seconds)))
        means: dict[int, list[Mean]] = {}
        by_id: dict[int, tuple[int, Mean]] = {}
        for pk, operation_id, from_on in OutputMean.objects.order_by("id").values_list("pk", "operation", "from_on"):
            mean = Mean(from_on, tuple(tried.get(pk, ())))
            means.setdefault(operation_id, []).append(mean)
            by_id[pk] = operation_id, mean
        notices: dict[tuple[int, int], list[Notice]] = {}
        rows = OutputNotice.objects.order_by("id").values_list("hand", "mean", "given_on", "rates")
        for hand_id, mean_id, given_on, rates in rows:
            operation_id, mean = by_id[mean_id]
            if mean.hourly is not None:
                told = Notice(given_on, mean.hourly, read_rates(rates))
                notices.setdefault((hand_id, operation_id), []).append(told)
        return cls(
            {pk: tuple(rows) for pk, rows in means.items()},
            {key: tuple(told) for key, told in notices.items()},
            _overtime(),
        )

    def standing(self, first: date, last: date, book: RateBook) -> Standing:
        """What stands of rated output work in the period of these days."""
        means: dict[int, Fraction] = {}
        for pk, rows in self.means.items():
            mean = mean_on(rows, first)
            if mean is not None and mean.hourly is not None:
                means[pk] = mean.hourly
        notices: dict[int, dict[int, Notice]] = {}
        for (hand_id, pk), told in self.notices.items():
            newest = notice_before(told, first)
            if pk in means and newest is not None:
                notices.setdefault(hand_id, {})[pk] = newest
        return Standing(means, notices, {pk: _rates_within(book, pk, first, last) for pk in means})


def _rates_within(book: RateBook, operation_id: int, first: date, last: date) -> tuple[tuple[date, PieceRates], ...]:
    """What a unit earns on the first day, and from each later one on which that changes."""
    dated = [dated for _, dated in book.sized.get(operation_id, ())]
    plain = book.dated.get((Rate.Kind.PIECE, operation_id))
    changes = {day for one in ([plain] if plain else []) + dated for day in one.days if first < day <= last}
    return tuple((day, rates_of(book, operation_id, day)) for day in sorted({first, *changes}))


def rates_of(book: RateBook, operation_id: int, on: date) -> PieceRates:
    """What a unit earns on a day: the plain rate first, then those of higher and higher wheels."""
    told: list[tuple[int | None, int]] = []
    plain = book.amount((Rate.Kind.PIECE, operation_id), on)
    if plain:
        told.append((None, plain))
    for height, dated in reversed(book.sized.get(operation_id, ())):
        amount = dated.on(on)
        if amount:
            told.append((height, amount))
    return tuple(told)


def _overtime() -> dict[int, tuple[Agreement, ...]]:
    """Of the rows that begin on one day, the newest stands."""
    standing: dict[tuple[int, date], Agreement] = {}
    rows = OvertimeAgreement.objects.order_by("id").values_list("hand", "agreed_on", "begins_on", "ends_on")
    for hand_id, agreed_on, begins_on, ends_on in rows:
        standing[hand_id, begins_on] = Agreement(agreed_on, begins_on, ends_on)
    found: dict[int, list[Agreement]] = {}
    for (hand_id, _), one in sorted(standing.items()):
        found.setdefault(hand_id, []).append(one)
    return {hand_id: tuple(told) for hand_id, told in found.items()}
