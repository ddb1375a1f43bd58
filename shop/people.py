"""What is done with people and the devices they work from."""

import hashlib
import secrets
from datetime import date, datetime

from django.conf import settings
from django.contrib.auth import login
from django.contrib.auth.models import User
from django.http import HttpRequest, HttpResponse

from jobs.turns import take_turns
from jobs.writing import writing
from shop.audit import Kind, note_change, note_differences
from shop.context import BENCH_SESSION as BENCH_SESSION
from shop.days import day_in_words
from shop.door_log import note_let_in
from shop.models import Device, Hand

DEVICE_COOKIE = f"{settings.COOKIE_PREFIX}bench-device"
# Browsers keep no cookie longer than 400 days; `keep_device` begins them anew.
COOKIE_SECONDS = 400 * 24 * 3600
# Two forms that give the same name wait for each other.
HANDS = "names of hands"


class PersonRefused(ValueError):
    """What was asked can't be done; the message is one sentence for the person who asked."""


def add_hand(*, name: str, role: str, trade: str, apprentice: bool, by: User | None = None) -> Hand:
    """Take on a hand, who can't sign in at the desk before a password is set. PersonRefused if the name is taken.

    `by`, here and below, is the owner who asked for it; None for a command.
    """
    with writing():
        take_turns(HANDS)
        _check_name(name)
        user = User(username=name)
        user.set_unusable_password()
        user.save()
        hand = Hand.objects.create(user=user, name=name, role=role, trade=trade, apprentice=apprentice)
        told = f"{hand.get_role_display()}, {hand.get_trade_display()}" + (", apprentice" if apprentice else "")
        note_change(Kind.PERSON, name, by=by, after=f"taken on: {told}")
        return hand


def add_hand_who_left(*, name: str, left_on: date) -> Hand:
    """Put down a hand of whom only an old book tells, as one who left on a day and can't sign in.

    One of that name, in whatever capitals, is given back as it is: another import may have been first.
    """
    with writing():
        take_turns(HANDS)
        there = Hand.objects.filter(name__iexact=name).first()
        if there:
            return there
        user = User(username=name, is_active=False)
        user.set_unusable_password()
        user.save()
        hand = Hand.objects.create(user=user, name=name, left_on=left_on)
        note_change(Kind.PERSON, name, by=None, after=f"told of by an old book: left on {day_in_words(left_on)}")
        return hand


def edit_hand(hand: Hand, *, name: str, role: str, trade: str, apprentice: bool, by: User | None = None) -> None:
    """Change what is known of a hand. PersonRefused if the name is taken, or if no owner would be left."""
    with writing():
        was = hold_named(hand)
        _check_name(name, but=hand)
        if role != Hand.Role.OWNER:
            _check_an_owner_is_left(without=hand)
        hand.name, hand.role, hand.trade, hand.apprentice = name, role, trade, apprentice
        hand.save(update_fields=["name", "role", "trade", "apprentice"])
        User.objects.filter(pk=hand.user_id).update(username=name)
        note_differences(Kind.PERSON, was.name, _known(was), _known(hand), by=by)


def set_left(hand: Hand, left_on: date | None, *, by: User | None = None) -> None:
    """Say on which day a hand left, or (None) that they are back. One that has left is signed out everywhere.

    PersonRefused if no owner would be left, or, here and below, for one whose name was replaced by a number.
    """
    with writing():
        was = hold_named(hand)
        if left_on is not None:
            _check_an_owner_is_left(without=was)
        hand.left_on = left_on
        hand.save(update_fields=["left_on"])
        User.objects.filter(pk=hand.user_id).update(is_active=left_on is None)
        if was.left_on != left_on:
            note_change(Kind.PERSON, was.name, by=by, before=_at_work(was.left_on), after=_at_work(left_on))


def set_password(hand: Hand, password: str, *, by: User | None = None) -> None:
    """Give a hand a password for the desk, or take it away with "". It signs them out wherever they were."""
    user = hand.user
    if password:
        user.set_password(password)
    else:
        user.set_unusable_password()
    with writing():
        name = hold_named(hand).name
        if not password:
            _check_an_owner_is_left(without=hand)
        had_one = User.objects.get(pk=user.pk).has_usable_password()
        user.save(update_fields=["password"])
        if had_one or password:
            before = "has one" if had_one else "none"
            note_change(
                Kind.PERSON, f"{name}: password", by=by, before=before, after="a new one" if password else "none"
            )


def hold_named(hand: Hand) -> Hand:
    """The hand as saved, whom nobody else changes before this write ends, and whose name nobody replaces meanwhile.

    Call it first inside the write. PersonRefused for one who is a number by now, and stays one: nobody knows who that
    was.
    """
    take_turns(HANDS)
    now = Hand.objects.select_for_update().get(pk=hand.pk)
    if now.replaced_at:
        raise PersonRefused(f"{now.name} is a number for good: add whoever comes back as a new hand.")
    return now


def _known(hand: Hand) -> dict[str, str]:
    """What is known of a hand, in words."""
    return {
        "name": hand.name,
        "may use": hand.get_role_display(),
        "works as": hand.get_trade_display(),
        "apprentice": "yes" if hand.apprentice else "no",
    }


def _at_work(left_on: date | None) -> str:
    return f"left on {day_in_words(left_on)}" if left_on else "at work"


def _check_name(name: str, *, but: Hand | None = None) -> None:
    others = Hand.objects.exclude(pk=but.pk) if but else Hand.objects.all()
    if others.filter(name__iexact=name).exists():
        raise PersonRefused(f"There is a {name} already: tell the two apart, for example by a second name.")


def _check_an_owner_is_left(*, without: Hand) -> None:
    """An owner who can sign in must remain, or nobody could open these pages again."""
    if without.role != Hand.Role.OWNER:
        return
    # Locked together, so that two owners can't each let the other go at once.
    owners = (
        Hand.objects.working().filter(role=Hand.Role.OWNER).select_related("user").select_for_update().order_by("pk")
    )
    if not any(owner.user.has_usable_password() for owner in owners if owner.pk != without.pk):
        raise PersonRefused(
            f"{without.name} is the only owner who can sign in: make someone else an owner with a password first."
        )


def enrol_device(*, name: str, by: User, at: datetime, instead_of: Device | None = None) -> tuple[Device, str]:
    """Enrol a device; its secret is given here once, for the device's cookie, and only its hash is kept.

    `instead_of` is what the same device was enrolled as till now: that ends.
    """
    secret = secrets.token_urlsafe(32)
    with writing():
        device = Device.objects.create(name=name, secret_hash=_hash(secret), enrolled_at=at, enrolled_by=by)
        before = ""
        if instead_of:
            Device.objects.filter(pk=instead_of.pk, revoked_at=None).update(revoked_at=at)
            before = f"enrolled as “{instead_of.name}”"
        note_change(Kind.DEVICE, f"“{name}”", by=by, before=before, after="enrolled", at=at)
    return device, secret


def revoke_device(device: Device, *, at: datetime, by: User | None = None) -> None:
    """End a device and every bench session on it. Twice changes nothing."""
    with writing():
        if Device.objects.filter(pk=device.pk, revoked_at=None).update(revoked_at=at):
            note_change(Kind.DEVICE, f"“{device.name}”", by=by, before="enrolled", after="ended", at=at)


def device_of(request: HttpRequest) -> Device | None:
    """The enrolled device that asks, or None if it isn't enrolled or was revoked. Read once a request."""
    if not hasattr(request, "_device"):
        secret = request.COOKIES.get(DEVICE_COOKIE, "")
        enrolled = (
            Device.objects.filter(secret_hash=_hash(secret), revoked_at=None) if secret else Device.objects.none()
        )
        request._device = enrolled.first()  # type: ignore[attr-defined]
    device: Device | None = request._device  # type: ignore[attr-defined]
    return device


def ended_device_of(request: HttpRequest) -> Device | None:
    """The device that asks, where it was enrolled once and an owner took it off the list."""
    secret = request.COOKIES.get(DEVICE_COOKIE, "")
    return Device.objects.filter(secret_hash=_hash(secret)).exclude(revoked_at=None).first() if secret else None


def keep_device(response: HttpResponse, secret: str) -> None:
    """Have the device keep its secret for as long as browsers allow; scripts can't read it."""
    response.set_cookie(
        DEVICE_COOKIE,
        secret,
        max_age=COOKIE_SECONDS,
        secure=settings.HTTPS,
        httponly=True,
        samesite="Strict",
    )


def bench_sign_in(request: HttpRequest, hand: Hand) -> None:
    """Sign a hand in at the bench, on the enrolled device that asks; the session gets a new key.

    The caller has checked the PIN. PersonRefused if the device isn't enrolled or the hand has left.
    """
    device = device_of(request)
    if device is None:
        raise PersonRefused(
            "This device isn't enrolled for the bench: ask an owner to enrol it under Settings, Devices."
        )
    if hand.left_on is not None:
        raise PersonRefused(f"{hand.name} has left the shop.")
    login(request, hand.user)
    request.session[BENCH_SESSION] = device.pk
    request._hand = hand  # type: ignore[attr-defined]
    note_let_in(request, hand, device)


def bench_session_stands(request: HttpRequest) -> bool:
    """Whether a bench session is on the device it began on, and that device is still enrolled."""
    device = device_of(request)
    return device is not None and device.pk == request.session.get(BENCH_SESSION)


def _hash(secret: str) -> str:
    return hashlib.sha256(secret.encode()).hexdigest()
