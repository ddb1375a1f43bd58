"""What hands made of one operation in a month, what they earned by it, and what another rate would have earned."""

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from fractions import Fraction

from jobs.models import Operation
from shop.money import MILLI
from shop.pay.hours import in_hours
from shop.pay.piece_rates import Share, Sum
from shop.pay.terms import PaysSpoiled
from shop.pay_facts import Scheme, passed_tokens, tallies_of

COLUMNS = (
    *("stretch__token", "stretch__cancels_token", "stretch__hand_id", "stretch__done_on", "task__lot__height_nm"),
    *("made", "spoiled", "lost", "reason", "seconds"),
)


@dataclass(frozen=True, slots=True)
class Tried:
    """A new plain rate (millipence) for an operation, with today's rates of high wheels, which go before it."""

    operation: Operation
    rate: int
    today: date

    def of(self, scheme: Scheme, height_nm: int | None) -> int:
        """Millipence that a unit on a wheel so high would earn."""
        own = scheme.book.piece_by_height(self.operation.pk, self.today, height_nm)
        return self.rate if own is None else own


@dataclass(frozen=True, slots=True)
class HandMonth:
    """What one hand made in the month. `waiting` units are not passed, and so in no sum; `by_hour`: some of the rest
    was paid by the hour."""

    sum: Sum
    waiting: int
    by_hour: bool


def month_of_hands(tried: Tried, first: date, last: date, scheme: Scheme, pays: PaysSpoiled) -> Mapping[int, HandMonth]:
    """What stands of some days by user id: work paid by the piece as far as it is passed, all of what is paid by the
    hour. Two queries."""
    passed = passed_tokens(first, last)
    shares: dict[int, list[Share]] = defaultdict(list)
    waiting: dict[int, int] = defaultdict(int)
    by_hour: dict[int, int] = defaultdict(int)
    rows = tallies_of(first, last).filter(stretch__operation=tried.operation)
    for token, cancels, hand_id, on, height, made, spoiled, lost, reason, seconds in rows.values_list(*COLUMNS):
        units = pays.paid_units(made=made, spoiled=spoiled, lost=lost, reason=reason)
        rate = scheme.rate(hand_id, tried.operation.pk, on, height)
        # Time with nothing made yet is never passed, and belongs to the pieces that it led to.
        if rate is not None and (made or spoiled) and (cancels or token) not in passed:
            waiting[hand_id] += units
            continue
        if rate is None:
            by_hour[hand_id] += units
            earned = in_hours(seconds or 0) * Fraction(scheme.book.wage(hand_id, on) or 0, MILLI)
        else:
            earned = Fraction(units * rate, MILLI)
        shares[hand_id].append(Share(units, seconds, earned, Fraction(units * tried.of(scheme, height), MILLI)))
    return {
        hand_id: HandMonth(Sum(tuple(shares[hand_id])), waiting[hand_id], by_hour[hand_id] != 0)
        for hand_id in {*shares, *waiting}
        if any(one.units for one in shares[hand_id]) or waiting[hand_id]
    }
