"""Hands who left: until when their names must stand, and putting a number in the name's place once they need not.

What was done, counted and paid stays as it was. Only what says who it was goes: for good, and in one write.
"""

from collections import defaultdict
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from datetime import date, datetime

from django.contrib.auth.hashers import make_password
from django.contrib.auth.models import User
from django.db.models import Max

from jobs.turns import take_turns
from jobs.writing import writing
from shop.audit import Kind, note_change
from shop.days import day_in_words
from shop.models import Attendance, Bonus, Hand, PaySheet, PinTry, Shop
from shop.name_places import Named, replace_where_it_is_kept, replace_where_people_wrote_it
from shop.pay.retention import Kept, Record
from shop.people import HANDS, PersonRefused
from shop.records_kept import Keeping, latest
from timing.models import Clock, Helper, Stretch

Entries = list[tuple[Record, date, date]]


def number_of(hand: Hand) -> str:
    """What stands in the place of a hand's name: "Hand 17"."""
    return f"Hand {hand.pk}"


@dataclass(frozen=True, slots=True)
class Leaver:
    """A hand who left, the last day of any record of theirs, and until when the name must stand."""

    hand: Hand
    last_on: date
    kept: Kept

    def may_be_replaced(self, today: date) -> bool:
        return today > self.kept.until

    @property
    def refusal(self) -> str:
        return (
            f"The records of {self.hand.name} must be kept with the name until {day_in_words(self.kept.until)} "
            f"({self.kept.source}): from {day_in_words(self.kept.free_from)} on it may be replaced."
        )


def leavers(shop: Shop, *, only: Hand | None = None) -> list[Leaver]:
    """Every hand who left and still has a name, by name; or `only` one of them. Seven queries, however many."""
    rows = Hand.objects.filter(left_on__isnull=False, replaced_at=None).select_related("user")
    hands = list(rows.filter(pk=only.pk) if only else rows)
    keeping = Keeping.of(shop)
    entries = _last_entries([hand.user_id for hand in hands], shop)
    return [_leaver(hand, hand.left_on, entries.get(hand.user_id, []), keeping) for hand in hands if hand.left_on]


def _leaver(hand: Hand, left_on: date, entries: Entries, keeping: Keeping) -> Leaver:
    # Wage and terms stood until the hand left.
    told = [(Record.RATES, left_on, left_on), *entries]
    kept = latest(keeping.until(record, on, last_entry_on=entered_on) for record, on, entered_on in told)
    return Leaver(hand, max(on for _, on, _ in told), kept)


def _last_entries(hand_ids: Collection[int], shop: Shop) -> Mapping[int, Entries]:
    """The last record of each kind, by hand: its day, and the day of the last entry in it."""
    found: dict[int, Entries] = defaultdict(list)
    worked = Stretch.objects.filter(hand__in=hand_ids).order_by().values_list("hand").annotate(Max("done_on"))
    helped = Helper.objects.filter(hand__in=hand_ids).order_by().values_list("hand").annotate(Max("stretch__done_on"))
    came = Attendance.objects.filter(hand__in=hand_ids).order_by().values_list("hand").annotate(Max("done_on"))
    for record, rows in ((Record.PIECES, worked), (Record.PIECES, helped), (Record.ATTENDANCE, came)):
        for hand_id, on in rows:
            found[hand_id].append((record, on, on))
    given = Bonus.objects.filter(hand__in=hand_ids).order_by().values_list("hand")
    paid = PaySheet.objects.filter(hand__in=hand_ids).order_by().values_list("hand")
    for record, written in (
        (Record.BONUSES, given.annotate(Max("on"), Max("recorded_at"))),
        (Record.SHEETS, paid.annotate(Max("run__last_on"), Max("run__closed_at"))),
    ):
        for hand_id, on, entered_at in written:
            found[hand_id].append((record, on, entered_at.astimezone(shop.zone).date()))
    return found


def replace_by_number(hand: Hand, *, places: Collection[str], at: datetime, shop: Shop, by: User) -> str:
    """Put a number in the place of the name of a hand who left, everywhere the program wrote it, and in the `places`
    that are named of those where people did (`shop.name_places`). Returns what stands there now.

    It is done whole or not at all, and twice is as once. Raises PersonRefused for a hand at work, before the day on
    which it may be, or where another is called so.
    """
    with writing():
        take_turns(HANDS)
        now = Hand.objects.select_for_update().get(pk=hand.pk)
        if now.replaced_at:
            return now.name
        number = number_of(now)
        kept = _check_may_be_replaced(now, number, shop, today=at.astimezone(shop.zone).date())
        replace_where_people_wrote_it(Named.of_hand(now), number, places)
        replace_where_it_is_kept(now, number)
        _forget_the_account(now, number)
        Hand.objects.filter(pk=now.pk).update(name=number, pin_hash="", replaced_at=at)
        after = f"the name was replaced by this number; it had to stand until {day_in_words(kept.until)}"
        note_change(Kind.PERSON, number, by=by, after=after, at=at)
    return number


def _check_may_be_replaced(hand: Hand, number: str, shop: Shop, *, today: date) -> Kept:
    if hand.left_on is None:
        raise PersonRefused(f"{hand.name} is at work here: only the name of a hand who left is replaced by a number.")
    (leaver,) = leavers(shop, only=hand)
    if not leaver.may_be_replaced(today):
        raise PersonRefused(leaver.refusal)
    taken = Hand.objects.exclude(pk=hand.pk).filter(name__iexact=number).exists()
    if taken or User.objects.exclude(pk=hand.user_id).filter(username__iexact=number).exists():
        raise PersonRefused(f"Another hand is called {number}: give that one another name first.")
    return leaver.kept


def _forget_the_account(hand: Hand, number: str) -> None:
    """What the door knows of the hand; who left can't come in by any of it."""
    PinTry.objects.filter(hand=hand).delete()
    Clock.objects.filter(hand=hand.user_id).delete()
    User.objects.filter(pk=hand.user_id).update(
        **{"username": number, "first_name": "", "last_name": "", "email": "", "last_login": None, "is_active": False},
        password=make_password(None),
    )
