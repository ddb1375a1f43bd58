"""The Fair Labor Standards Act on a workweek: regular rate, overtime, and piece rates of one and a half agreed to.

Money is cents as exact fractions, to be rounded once, at the amount paid. Hours are exact fractions; all hours under
the employer's control are worked, whether or not they yield pieces (29 CFR 778.223), and what a time study credits for
a piece is not hours (29 CFR 778.312). State law may ask for more.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from fractions import Fraction

OVERTIME_AFTER = Fraction(40)
# 29 U.S.C. 206(a)(1)(C), from 24 July 2009; from memory.
FEDERAL_MINIMUM_CENTS = Fraction(725)


@dataclass(frozen=True, slots=True)
class Week:
    """One workweek of one hand, in cents and hours.

    `piece` is earned by pieces in `piece_hours`, which `guarantee` makes good to so much an hour. `hourly` is straight
    time for the other hours, `bonus` what the week's production earned beside.
    """

    hours: Fraction
    piece: Fraction = Fraction(0)
    piece_hours: Fraction = Fraction(0)
    guarantee: Fraction | None = None
    hourly: Fraction = Fraction(0)
    bonus: Fraction = Fraction(0)

    def __post_init__(self) -> None:
        if min(self.hours, self.piece, self.piece_hours, self.hourly, self.bonus) < 0:
            raise ValueError("Hours and pay of a week are nothing or more.")
        if self.piece_hours > self.hours:
            raise ValueError("More hours at pieces than hours worked.")


@dataclass(frozen=True, slots=True)
class WeekPay:
    """Cents: straight time, the regular rate an hour, the overtime premium; `method` names the rule."""

    straight: Fraction
    regular_rate: Fraction
    overtime_hours: Fraction
    premium: Fraction
    method: str

    @property
    def total(self) -> Fraction:
        return self.straight + self.premium


def straight_time(week: Week) -> Fraction:
    """What the week earned before overtime, piece earnings made good to their guarantee (29 CFR 778.111(b))."""
    pieces = week.piece
    if week.guarantee is not None:
        pieces = max(pieces, week.guarantee * week.piece_hours)
    return pieces + week.hourly + week.bonus


def pay_by_regular_rate(week: Week) -> WeekPay:
    """Half of the regular rate for each hour over 40, beside straight time (29 CFR 778.110, 778.111, 778.115).

    The regular rate is all pay of the week by all its hours. Two hourly rates make their weighted mean so.
    """
    straight = straight_time(week)
    rate = straight / week.hours if week.hours else Fraction(0)
    over = max(week.hours - OVERTIME_AFTER, Fraction(0))
    return WeekPay(straight, rate, over, rate * over / 2, "29 CFR 778.111" if week.piece else "29 CFR 778.110")


@dataclass(frozen=True, slots=True)
class AgreedPieces:
    """Pieces at one rate (cents) in a week under an agreement on overtime at piece rates of one and a half.

    `made` is all of them, `made_over` those of the overtime hours.
    """

    rate: Fraction
    made: int
    made_over: int


@dataclass(frozen=True, slots=True)
class Agreement:
    """An agreement before the work that pieces of overtime hours earn one and a half times their rate.

    29 CFR 516.25 wants its date and period kept beside each rate, the pieces made in overtime and what they earned.
    """

    agreed_on: date
    begins_on: date
    ends_on: date | None = None

    def covers(self, first_day: date, last_day: date) -> bool:
        """Whether the whole week is under it."""
        begins = max(self.agreed_on, self.begins_on)
        return begins <= first_day and (self.ends_on is None or last_day <= self.ends_on)


def why_not_agreed(
    week: Week,
    pieces: Sequence[AgreedPieces],
    *,
    hours_over: Fraction,
    agreement: Agreement | None,
    first_day: date,
    last_day: date,
    minimum: Fraction = FEDERAL_MINIMUM_CENTS,
) -> str:
    """Why a week may not be paid with pieces of overtime hours at one and a half times their rate; "" where it may.

    29 CFR 778.418 asks that it was agreed before the work; that the piece rates are those really paid in other hours
    and yield the minimum wage there; that no fewer hours are paid so than are over 40; and that those earn at least one
    and a half times the minimum wage. `hours_over` are the hours paid so.
    """
    over = max(week.hours - OVERTIME_AFTER, Fraction(0))
    if not over:
        return "no hour is over 40"
    if agreement is None or not agreement.covers(first_day, last_day):
        return "no agreement made before the work covers the whole week"
    if hours_over < over:
        return "fewer hours would be paid so than are over 40"
    if _in_overtime(pieces) < Fraction(3, 2) * minimum * hours_over:
        return "pieces of overtime hours would earn less than one and a half times the minimum wage"
    before = sum((one.rate * (one.made - one.made_over) for one in pieces), Fraction(0))
    if before < minimum * max(week.piece_hours - hours_over, Fraction(0)):
        return "pieces of other hours earn less than the minimum wage"
    return ""


def _in_overtime(pieces: Sequence[AgreedPieces]) -> Fraction:
    return sum((Fraction(3, 2) * one.rate * one.made_over for one in pieces), Fraction(0))


def pay_by_agreed_pieces(
    week: Week,
    pieces: Sequence[AgreedPieces],
    *,
    hours_over: Fraction,
    agreement: Agreement | None,
    first_day: date,
    last_day: date,
    minimum: Fraction = FEDERAL_MINIMUM_CENTS,
) -> WeekPay | None:
    """Pay with pieces of overtime hours at one and a half times their rate; None where that may not be used."""
    if why_not_agreed(
        week,
        pieces,
        hours_over=hours_over,
        agreement=agreement,
        first_day=first_day,
        last_day=last_day,
        minimum=minimum,
    ):
        return None
    straight, over = straight_time(week), week.hours - OVERTIME_AFTER
    return WeekPay(straight, straight / week.hours, over, _in_overtime(pieces) / 3, "29 CFR 778.418")


def pay_of(
    week: Week,
    *,
    pieces: Sequence[AgreedPieces] = (),
    hours_over: Fraction = Fraction(0),
    agreement: Agreement | None = None,
    first_day: date | None = None,
    last_day: date | None = None,
    minimum: Fraction = FEDERAL_MINIMUM_CENTS,
) -> WeekPay:
    """Pay of a week: as agreed where all conditions of that hold, else by the regular rate."""
    if first_day is not None and last_day is not None:
        agreed = pay_by_agreed_pieces(
            week,
            pieces,
            hours_over=hours_over,
            agreement=agreement,
            first_day=first_day,
            last_day=last_day,
            minimum=minimum,
        )
        if agreed is not None:
            return agreed
    return pay_by_regular_rate(week)


def shortfall(week: Week, *, minimum: Fraction = FEDERAL_MINIMUM_CENTS) -> Fraction:
    """Cents by which straight time is short of the minimum wage for all hours of the week."""
    return max(minimum * week.hours - straight_time(week), Fraction(0))
