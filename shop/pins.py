"""PINs at the bench: hashed, and slower to try the more often they were wrong."""

from dataclasses import dataclass
from datetime import datetime

from django.contrib.auth.hashers import check_password, make_password
from django.contrib.auth.models import User
from django.db.models import F

from jobs.writing import writing
from shop.audit import Kind, note_change
from shop.models import Device, Hand, PinTry
from shop.people import hold_named
from shop.throttle import wait_after

FREE_TRIES = 4
SHORTEST, LONGEST = 4, 8


@dataclass(frozen=True, slots=True)
class PinAnswer:
    """Whether the PIN was right and, if not, the moment before which no other is looked at (None: now).

    `looked`: whether this one was looked at.
    """

    right: bool
    wait_until: datetime | None = None
    looked: bool = True


def read_pin(text: str) -> str:
    """A PIN as typed, blanks taken off. ValueError, with a sentence, unless it is 4 to 8 digits."""
    pin = text.strip()
    if not (pin.isascii() and pin.isdigit() and SHORTEST <= len(pin) <= LONGEST):
        raise ValueError(f"A PIN is {SHORTEST} to {LONGEST} digits.")
    return pin


def check_pin(device: Device, hand: Hand, pin: str, now: datetime) -> PinAnswer:
    """Try a PIN for a hand on a device. A hand without a PIN needs none.

    The try is counted as wrong before it is looked at and forgiven if it was right, so that many sent at once
    get no more looks than one after another. The slow hash is worked out between the two short writes.
    """
    if not hand.pin_hash:
        return PinAnswer(right=True)
    with writing():
        PinTry.objects.get_or_create(hand=hand, device=device)
        tries = PinTry.objects.select_for_update().get(hand=hand, device=device)
        if tries.wait_until and now < tries.wait_until:
            return PinAnswer(right=False, wait_until=tries.wait_until, looked=False)
        wait = wait_after(tries.wrong + 1, free=FREE_TRIES)
        wait_until = now + wait if wait else None
        PinTry.objects.filter(pk=tries.pk).update(wrong=F("wrong") + 1, wait_until=wait_until)
    if not check_password(pin.strip(), hand.pin_hash):
        return PinAnswer(right=False, wait_until=wait_until)
    with writing():
        PinTry.objects.filter(pk=tries.pk).delete()
    return PinAnswer(right=True)


def set_pin(hand: Hand, pin: str, *, by: User | None = None) -> None:
    """Give a hand a PIN, or take it away with ""; wrong tries at the old one are forgotten. Errors as `read_pin`, and
    PersonRefused for one whose name was replaced by a number.

    `by` is the owner who asked for it; None for a command.
    """
    pin_hash = make_password(read_pin(pin)) if pin else ""
    with writing():
        was = hold_named(hand)
        before = "has one" if was.pin_hash else "none"
        Hand.objects.filter(pk=hand.pk).update(pin_hash=pin_hash)
        if pin or before != "none":
            after = "a new one" if pin else "none"
            note_change(Kind.PERSON, f"{was.name}: PIN", by=by, before=before, after=after)
        PinTry.objects.filter(hand=hand).delete()
    hand.pin_hash = pin_hash
