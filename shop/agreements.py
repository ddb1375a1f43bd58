"""What pay by a country's law rests on, read for all hands at once: mean outputs, notices, overtime agreed."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from fractions import Fraction

from shop.models import OutputMean, OutputNotice, OutputTried, OvertimeAgreement, Rate
from shop.pay.great_britain import OutputTried as Tried
from shop.pay.great_britain import Rated
from shop.pay.hours import in_hours
from shop.pay.output_work import Mean, Notice, PieceRates, rated_on
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
                told = Notice(given_on, mean.hourly, tuple((height, amount) for height, amount in rates))
                notices.setdefault((hand_id, operation_id), []).append(told)
        return cls(
            {pk: tuple(rows) for pk, rows in means.items()},
            {key: tuple(told) for key, told in notices.items()},
            _overtime(),
        )

    def rated(self, hand_id: int, first: date, book: RateBook, names: Mapping[int, str]) -> dict[str, Rated]:
        """How each operation's pieces count for a hand in the period that begins on `first`, by the names of them.

        Operations of one name are told as one on a sheet: where they differ, none of them is rated.
        """
        found: dict[str, Rated | None] = {}
        for pk, means in self.means.items():
            notices = self.notices.get((hand_id, pk), ())
            told = rated_on(first, means=means, notices=notices, rates=rates_of(book, pk, first))
            if told is not None:
                found[names[pk]] = told
        many = [name for name in found if list(names.values()).count(name) > 1]
        for name in many:
            found[name] = Rated(Fraction(1), None, "more than one operation has this name")
        return {name: told for name, told in found.items() if told is not None}


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
