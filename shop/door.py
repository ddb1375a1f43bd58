"""The way in: opening a new shop, and signing in at the desk."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime

from django.contrib.auth import authenticate, login
from django.contrib.auth.hashers import make_password
from django.contrib.auth.models import User
from django.http import HttpRequest

from jobs.starting import start_library, start_operations
from jobs.writing import writing
from shop.audit import Kind, note_change
from shop.door_log import note_let_in, note_wrong
from shop.models import Hand, Shop
from shop.throttle import count_try, forget, forgive


class AlreadyOpen(Exception):
    """The shop was opened before, from here or from another device."""


def open_shop(*, owner: str, password: str, shop: Mapping[str, str | int]) -> Hand:
    """Open a new shop, with its starting lists and its owner. Of two at once one wins; AlreadyOpen for the other.

    `shop` are fields of Shop by name, checked by the form.
    """
    password_hash = make_password(password)  # slow: worked out before anything is locked
    with writing():
        opened, fresh = Shop.objects.get_or_create(id=1, defaults=dict(shop))
        if not fresh:
            raise AlreadyOpen
        start_operations()
        start_library()
        hand = _enter_owner(owner, password_hash)
        told = f"opened, {hand.name} its owner"
        note_change(Kind.SHOP, opened.name, by=hand.user, after=told)
        return hand


def _enter_owner(name: str, password_hash: str) -> Hand:
    """The owner; a hand of that name is there already where old timings were read in before the shop was opened."""
    hand = Hand.objects.filter(name__iexact=name).select_related("user").first()
    if hand is None:
        user = User.objects.create(username=name, password=password_hash)
        return Hand.objects.create(user=user, name=name, role=Hand.Role.OWNER)
    hand.role, hand.left_on = Hand.Role.OWNER, None
    hand.save(update_fields=["role", "left_on"])
    hand.user.password, hand.user.is_active = password_hash, True
    hand.user.save(update_fields=["password", "is_active"])
    return hand


@dataclass(frozen=True, slots=True)
class Answer:
    """Who may come in, or None; and the moment before which no other password is looked at, if there is one."""

    user: User | None
    wait_until: datetime | None = None


def try_password(request: HttpRequest, *, name: str, password: str, now: datetime) -> Answer:
    """Try a password for a hand's name, in any capitals; as slow for a name that is not known as for one that is.

    Wrong tries are slowed as `shop.throttle` says. A new password begins its row of tries anew.
    """
    name = " ".join(name.split())
    hand = Hand.objects.working().filter(name__iexact=name).select_related("user").first()
    account = _account_of(hand) if hand else _account_named(name)
    address = str(request.META.get("REMOTE_ADDR", ""))
    look, wait_until = count_try(account, address, now)
    if not look:
        note_wrong(request, hand, looked=False)
        return Answer(None, wait_until)
    user = authenticate(request, username=hand.user.get_username() if hand else name, password=password)
    # A user who is no hand of the shop has no page to go to.
    if hand is None or not isinstance(user, User) or user.pk != hand.user_id:
        note_wrong(request, hand, looked=True)
        return Answer(None, wait_until)
    forgive(account, address, now)
    return Answer(user)


def forget_tries(hand: Hand, names: Iterable[str]) -> None:
    """Take away wrong passwords that were counted for a hand, and for the names of one who left. Call it in a write."""
    forget([_account_of(hand), *map(_account_named, names)])


def _account_of(hand: Hand) -> str:
    return f"hand {hand.pk} {hand.user.password}"


def _account_named(name: str) -> str:
    return f"name {name.casefold()}"


def let_in(request: HttpRequest, user: User) -> None:
    """Sign somebody in at the desk; the session gets a new key."""
    login(request, user)
    note_let_in(request, user.shop_hand)
