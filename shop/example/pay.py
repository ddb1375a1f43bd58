"""Hours and pay of the example's last two months. All of it is invented, and follows from the work that was told."""

import uuid
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from random import Random
from typing import Any
from zoneinfo import ZoneInfo

from django.contrib.auth.models import User

from jobs.models import Operation
from shop.agreeing import Made, Tried, give_notices, record_mean
from shop.attendance import Told, row_of
from shop.example.money import WAGE
from shop.example.taking import TOKENS
from shop.models import Attendance, Hand, OutputMean, PayTerms, Rate, Shop
from shop.money import MILLI
from shop.passing import pass_stretches
from shop.pay.periods import LAST_OF_EVERY_MONTH, MONTH, period_of
from shop.pay.terms import Terms
from shop.pay_facts import Scheme, waiting_to_be_passed
from shop.pay_runs import close_run, draft
from shop.pay_terms import add_bonus
from shop.rates_written import record_rate
from shop.terms_written import record_terms

WEEKS = 8
BY_PIECES = ("Osk", "Idris")
GUARANTEE_PENCE = 1350
APPRENTICE = "Pip"
MOST = 100_000
# Pence a unit, from the first of these days on; and what a spoke of a high wheel earns.
PRICES = {
    **{"shave-spoke": 185, "rough-spoke": 85, "cut-foot": 100, "drive-spoke": 135},
    **{"chop-mortise": 140, "trim-mortise": 100, "saw-felloe": 115},
}
# Whose output at what was tested a week before, in minutes; and who keeps its own hours.
RATED, RATED_HAND = "trim-mortise", "Idris"
TESTED = {"Idris": (17, 60), "Osk": (34, 125)}
HIGH_NM, HIGH_PENCE = 1_200_000_000, 215


@dataclass(frozen=True, slots=True)
class Days:
    """The days that matter: the first of the period that is closed, its last, and now."""

    first: date
    last: date
    until: datetime
    zone: ZoneInfo

    def at(self, day: date, hour: float) -> datetime:
        return datetime.combine(day, time(), tzinfo=self.zone) + timedelta(hours=hour)


def enter_pay(hands: Mapping[str, Hand], *, monday: date, until: datetime, by: User, zone: ZoneInfo) -> None:
    """How two hands are paid by the piece, everyone's coming and going, what was passed, and one closed month."""
    first = monday - timedelta(weeks=WEEKS)
    first = first.replace(day=min(first.day, LAST_OF_EVERY_MONTH))
    days = Days(first, period_of(first, length=MONTH, first_on=first)[1], until.replace(tzinfo=zone), zone)
    Shop.objects.update(pay_rules="gb", pay_period=MONTH, pay_first_on=first)
    _enter_terms(hands, days, by)
    shop = Shop.objects.get()
    _rate_output(hands, shop, days, by)
    touches = [told for name in WAGE for told in _touches(hands[name], name, days)]
    Attendance.objects.bulk_create(row_of(told, shop, told.done_at) for told in touches if told.done_at < days.until)
    on = first + timedelta(days=10)
    at = days.at(on + timedelta(days=1), 10)
    _enter_bonus(hands["Idris"], "Two hot days on end", 2500, on=on, at=at, by=by)
    _pass_and_close(hands, shop, days, by)


def _enter_terms(hands: Mapping[str, Hand], days: Days, by: User) -> None:
    # Agreed before the first day that is paid: no work is under other terms.
    at = days.at(days.first - timedelta(days=1), 17)
    for name in (*BY_PIECES, APPRENTICE):
        is_apprentice = name == APPRENTICE
        band = PayTerms.Band.APPRENTICE if is_apprentice else PayTerms.Band.ADULT
        terms = Terms(not is_apprentice, band, hours_are_controlled=name != RATED_HAND)
        record_terms(hands[name], terms, from_on=days.first, at=at, by=by)
    common: dict[str, Any] = {"from_on": days.first, "at": at, "by": by}
    operations = {row.key: row for row in Operation.objects.filter(key__in=PRICES)}
    for key, pence in PRICES.items():
        record_rate(kind=Rate.Kind.PIECE, operation=operations[key], amount_millipence=pence * MILLI, **common)
    high: dict[str, Any] = {
        "operation": operations["shave-spoke"],
        "from_height_nm": HIGH_NM,
        "amount_millipence": HIGH_PENCE * MILLI,
    }
    record_rate(kind=Rate.Kind.PIECE, **high, **common)
    for name in BY_PIECES:
        record_rate(
            kind=Rate.Kind.GUARANTEE,
            hand=hands[name].user,
            amount_millipence=GUARANTEE_PENCE * MILLI,
            **common,
        )


def _rate_output(hands: Mapping[str, Hand], shop: Shop, days: Days, by: User) -> None:
    """One operation is rated output work: its output was tested, and both hands at it were given notice."""
    tested, given = days.first - timedelta(days=7), days.first - timedelta(days=3)
    made = tuple(Made(hands[name].user_id, pieces, minutes * 60) for name, (pieces, minutes) in TESTED.items())
    told = Tried(OutputMean.Basis.ALL, tested, tested, made)
    token, at = uuid.uuid5(TOKENS, "output tested"), days.at(tested, 17)
    mean = record_mean(Operation.objects.get(key=RATED), told, token=token, by=by, at=at)
    token, at = uuid.uuid5(TOKENS, "notices given"), days.at(given, 17)
    give_notices(mean, [hands[name] for name in TESTED], given_on=given, shop=shop, token=token, by=by, at=at)


def _enter_bonus(hand: Hand, what: str, pence: int, *, on: date, at: datetime, by: User) -> None:
    add_bonus(token=uuid.uuid5(TOKENS, what), hand=hand, what=what, amount_pence=pence, on=on, by=by, at=at)


def _touches(hand: Hand, name: str, days: Days) -> Iterator[Told]:
    """A working day of five in the week: coming, dinner, going. One going was forgotten, and Fridays of the apprentice
    were never told."""
    chance = Random(name)  # noqa: S311 - an invented shop
    forgotten = _next(days.last + timedelta(days=8), weekday=1)
    on = days.first
    while on < days.until.date():
        came, went = chance.randrange(7 * 60 + 20, 7 * 60 + 45, 5), chance.randrange(16 * 60 + 30, 17 * 60 + 10, 5)
        told = {"came": came, "break": 12 * 60, "back": 12 * 60 + 45, "went": went}
        if name == "Maud" and on == forgotten:
            del told["went"]
        if on.weekday() < (4 if name == APPRENTICE else 5):
            for kind, minutes in told.items():
                token = uuid.uuid5(TOKENS, f"{name} {kind} {on}")
                yield Told(token, hand.user_id, kind, days.at(on, 0) + timedelta(minutes=minutes))
        on += timedelta(days=1)


def _next(day: date, *, weekday: int) -> date:
    return day + timedelta(days=(weekday - day.weekday()) % 7)


def _pass_and_close(hands: Mapping[str, Hand], shop: Shop, days: Days, by: User) -> None:
    """The first month is passed and closed on the day after; then a bonus of it is told late. What follows waits."""
    closed_at = days.at(days.last + timedelta(days=1), 9)
    waiting = waiting_to_be_passed(Scheme.load(shop.words), most=MOST).rows
    pass_stretches({one.stretch_id for one in waiting if one.on <= days.last}, by=by, at=closed_at)
    digest = draft(shop, now=closed_at).digest
    close_run(token=uuid.uuid5(TOKENS, "pay run"), digest=digest, shop=shop, by=by, now=closed_at)
    on, late = days.first + timedelta(days=2), closed_at + timedelta(days=1)
    _enter_bonus(hands["Osk"], "Early start for the forge", 1200, on=on, at=late, by=by)
