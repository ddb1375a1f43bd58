"""Hands who left: until when their names must stand, and putting a number in the name's place once they need not.

What was done, counted and paid stays as it was. Only what says who it was goes: for good, and in one write.
"""

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime

from django.contrib.auth.hashers import make_password
from django.contrib.auth.models import User
from django.db.models import Max, Min, Q

from jobs.turns import take_turns
from jobs.writing import writing
from shop.audit import Kind, note_change
from shop.days import day_in_words
from shop.door import forget_tries
from shop.models import (
    Attendance,
    Bonus,
    Hand,
    OutputNotice,
    OutputTried,
    OvertimeAgreement,
    Passed,
    PayAdjustment,
    PaySheet,
    PayTerms,
    PinTry,
    Rate,
    Shop,
)
from shop.name_places import Named, replace_where_it_is_kept, replace_where_people_wrote_it
from shop.pay.retention import Kept, Record
from shop.pay_runs import draft, next_period
from shop.pay_seen import OF_PAY
from shop.people import HANDS, PersonRefused
from shop.records_kept import EVER, Days, Keeping, latest
from timing.models import Clock, Helper, Stretch

# A kind of record, its day, and the last moment at which something was written into it.
Entries = list[tuple[Record, date, datetime | None]]


def number_of(hand: Hand) -> str:
    """What stands in the place of a hand's name: "Hand 17"."""
    return f"Hand {hand.pk}"


@dataclass(frozen=True, slots=True)
class Leaver:
    """A hand who left, the last day of any record of theirs, and until when the name must stand.

    `open_pay` says what of their pay is still open, in a sentence; empty where nothing is.
    """

    hand: Hand
    last_on: date
    kept: Kept
    open_pay: str = ""

    def may_be_replaced(self, today: date) -> bool:
        return today > self.kept.until and not self.open_pay

    @property
    def term(self) -> str:
        return (
            f"The records of {self.hand.name} must be kept with the name until {day_in_words(self.kept.until)} "
            f"({self.kept.source}): from {day_in_words(self.kept.free_from)} on it may be replaced."
        )

    def refusal(self, today: date) -> str:
        """Why the name must stand today: its term, or pay that is open."""
        return self.term if today <= self.kept.until else self.open_pay


def leavers(shop: Shop, *, only: Hand | None = None) -> list[Leaver]:
    """Every hand who left and still has a name, by name; or `only` one of them. A constant number of queries.

    Whether late facts are owed is not looked at here: see `leaver_of`.
    """
    rows = Hand.objects.filter(left_on__isnull=False, replaced_at=None).select_related("user")
    hands = list(rows.filter(pk=only.pk) if only else rows)
    keeping = Keeping.of(shop)
    left = {hand.user_id: hand.left_on for hand in hands if hand.left_on}
    entries = last_entries(left, keeping)
    standing = _standing_of(left, keeping)
    first_open = next_period(shop).first
    return [
        _leaver(hand, entries.get(hand.user_id, []), standing.get(hand.user_id, []), keeping, shop, first_open)
        for hand in hands
    ]


def leaver_of(hand: Hand, shop: Shop, *, now: datetime) -> Leaver | None:
    """One hand who left, with late facts that are owed; None for one who is at work, or is a number."""
    leaver = next(iter(leavers(shop, only=hand)), None)
    if leaver is None or leaver.open_pay:
        return leaver
    return replace(leaver, open_pay=_owed_late(hand, shop, now))


def _leaver(hand: Hand, entries: Entries, standing: Entries, keeping: Keeping, shop: Shop, first_open: date) -> Leaver:
    left_on = hand.left_on or date.min
    # Wage and terms stood until the hand left.
    told: Entries = [(Record.RATES, left_on, None), *standing, *entries]
    kept = latest(
        keeping.until(record, on, last_entry_on=at.astimezone(shop.zone).date() if at else None)
        for record, on, at in told
    )
    last_on = max((on for _, on, _ in entries), default=date.min)
    # Of whom no pay was ever agreed, none is ever closed.
    is_paid = any(record in (Record.RATES, Record.BONUSES) for record, _, _ in (*standing, *entries))
    open_pay = ""
    if is_paid and last_on >= first_open:
        open_pay = (
            f"Pay is not closed yet for all days of {hand.name}, the last of them {day_in_words(last_on)}: close those "
            "periods first."
        )
    return Leaver(hand, max(last_on, left_on), kept, open_pay)


def _owed_late(hand: Hand, shop: Shop, now: datetime) -> str:
    """What the next run would pay or take off for late facts; what is only owed back may stay so."""
    sheet = next((one for one in draft(shop, now=now).sheets if one.hand_id == hand.user_id), None)
    late = next((one for one in sheet.late if one.pence != -one.carried_pence), None) if sheet else None
    return f"{late.name} change the pay of {hand.name}: close the next pay run first." if late else ""


def last_entries(hand_ids: Collection[int], keeping: Keeping) -> Mapping[int, Entries]:
    """By hand, the last record of each kind under each rules that bound one: a later one may bind for less long."""
    found: dict[int, Entries] = defaultdict(list)
    # An old book's rows were entered when it was written, not when it was brought in.
    told_here = ~Q(source=Stretch.Source.OLD_BOOK)
    for record, rows, whose, on, entered_at, counts in (
        (Record.PIECES, Stretch.objects.all(), "hand", "done_on", "received_at", told_here),
        (Record.PIECES, Helper.objects.all(), "hand", "stretch__done_on", "stretch__received_at", Q()),
        (Record.PIECES, Passed.objects.all(), "stretch__hand", "stretch__done_on", "passed_at", Q()),
        (Record.ATTENDANCE, Attendance.objects.all(), "hand", "done_on", "received_at", Q()),
        (Record.BONUSES, Bonus.objects.all(), "hand", "on", "recorded_at", Q()),
        (Record.SHEETS, PaySheet.objects.all(), "hand", "run__last_on", "run__closed_at", Q()),
        (Record.SHEETS, PayAdjustment.objects.all(), "sheet__hand", "of_run__last_on", "sheet__run__closed_at", Q()),
    ):
        newest: dict[str, Max] = {}
        for place, days in enumerate(keeping.bound.values()):
            bound = _within(on, days)
            newest[f"on_{place}"] = Max(on, filter=bound or None)
            newest[f"at_{place}"] = Max(entered_at, filter=(bound & counts) or None)
        own = rows.filter(**{f"{whose}__in": list(hand_ids)}).order_by()
        for hand_id, *told in own.values(whose).annotate(**newest).values_list(whose, *newest):
            pairs = zip(told[::2], told[1::2], strict=True)
            found[hand_id].extend((record, day, at) for day, at in pairs if day)
    return found


def _within(column: str, bound: Iterable[Days]) -> Q:
    """Days that rules bind; nothing to ask where they bind all."""
    asked = Q()
    for first, last in bound:
        if (first, last) == EVER:
            return Q()
        asked |= Q(**{f"{column}__gte": first, f"{column}__lte": last})
    return asked


def _standing_of(left: Mapping[int, date], keeping: Keeping) -> Mapping[int, Entries]:
    """By hand, the last day on which a wage, terms of pay or an agreement stood under each rules: till the hand left.

    Of a test of output it is the same: that others are still paid by it needs the figures, and not the name.
    """
    found: dict[int, Entries] = defaultdict(list)
    for record, rows, since, entered_at in (
        (Record.RATES, Rate.objects.filter(kind__in=OF_PAY), "from_on", "recorded_at"),
        (Record.RATES, PayTerms.objects.all(), "from_on", "recorded_at"),
        (Record.AGREEMENTS, OutputTried.objects.all(), "mean__from_on", "mean__recorded_at"),
        (Record.AGREEMENTS, OutputNotice.objects.all(), "given_on", "recorded_at"),
        (Record.AGREEMENTS, OvertimeAgreement.objects.all(), "begins_on", "recorded_at"),
    ):
        told = rows.filter(hand__in=list(left)).order_by().values_list("hand")
        for hand_id, first_on, recorded_at in told.annotate(Min(since), Max(entered_at)):
            for bound in keeping.bound.values():
                stood = [
                    min(ends, left[hand_id]) for begins, ends in bound if begins <= left[hand_id] and first_on <= ends
                ]
                if stood:
                    found[hand_id].append((record, max(stood), recorded_at))
    return found


def replace_by_number(
    hand: Hand, *, texts: Collection[str], at: datetime, shop: Shop, by: User, seen: str | None = None
) -> str:
    """Put a number in the place of the name of a hand who left, everywhere the program wrote it, and in the `texts`
    that are ticked of those where people did (`shop.name_places`). Returns what stands there now.

    It is done whole or not at all, and twice is as once. Raises PersonRefused for a hand at work, before the day on
    which it may be, or where another is called so; WrittenMeanwhile where what was `seen` is not all there is.
    """
    with writing():
        take_turns(HANDS)
        now = Hand.objects.select_for_update().get(pk=hand.pk)
        if now.replaced_at:
            return now.name
        number = number_of(now)
        kept = _check_may_be_replaced(now, number, shop, at=at)
        named = named_leaver(now, shop, today=at.astimezone(shop.zone).date())
        replace_where_people_wrote_it(named, texts, seen=seen)
        replace_where_it_is_kept(named)
        _forget_the_account(now, [one.name for one in named.called], number)
        Hand.objects.filter(pk=now.pk).update(name=number, pin_hash="", replaced_at=at)
        after = f"the name was replaced by this number; it had to stand until {day_in_words(kept.until)}"
        note_change(Kind.PERSON, number, by=by, after=after, at=at)
    return number


def named_leaver(hand: Hand, shop: Shop, *, today: date) -> Named:
    """The hand as it is looked for wherever people wrote of it."""
    return Named.of_hand(hand, number_of(hand), Keeping.of(shop), today)


def _check_may_be_replaced(hand: Hand, number: str, shop: Shop, *, at: datetime) -> Kept:
    leaver = leaver_of(hand, shop, now=at)
    if leaver is None:
        raise PersonRefused(f"{hand.name} is at work here: only the name of a hand who left is replaced by a number.")
    today = at.astimezone(shop.zone).date()
    if not leaver.may_be_replaced(today):
        raise PersonRefused(leaver.refusal(today))
    taken = Hand.objects.exclude(pk=hand.pk).filter(name__iexact=number).exists()
    if taken or User.objects.exclude(pk=hand.user_id).filter(username__iexact=number).exists():
        raise PersonRefused(f"Another hand is called {number}: give that one another name first.")
    return leaver.kept


def _forget_the_account(hand: Hand, names: Collection[str], number: str) -> None:
    """What the door knows of the hand; who left can't come in by any of it."""
    PinTry.objects.filter(hand=hand).delete()
    forget_tries(hand, names)
    Clock.objects.filter(hand=hand.user_id).delete()
    User.objects.filter(pk=hand.user_id).update(
        **{"username": number, "first_name": "", "last_name": "", "email": "", "last_login": None, "is_active": False},
        password=make_password(None),
    )
