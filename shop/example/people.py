"""The people of the example shop. All of them are invented."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from typing import NamedTuple

from django.contrib.auth.hashers import make_password
from django.contrib.auth.models import User

from jobs.models import Customer
from shop.models import Hand

SHOP_NAME = "Withy Ford Wheel Shop"
SMITH = "Bram"
WHO_LEFT = "Jory"
WHO_ASKED = "Captain Fosdyke"


class SignIn(NamedTuple):
    """How one person of the example signs in: at a desk with a password, at the bench with a PIN or without."""

    name: str
    secret: str
    role: str

    def __str__(self) -> str:
        if self.role == Hand.Role.HAND:
            return f"{self.name} ({self.role}): at the bench, " + (f"PIN {self.secret}" if self.secret else "no PIN")
        return f"{self.name} ({self.role}): password {self.secret}"


SIGN_IN: tuple[SignIn, ...] = (
    SignIn("Wren", "example-owner", Hand.Role.OWNER),
    SignIn("Tamsin", "example-desk", Hand.Role.DESK),
    SignIn("Bram", "example-smith", Hand.Role.SMITH),
    SignIn("Osk", "4071", Hand.Role.HAND),
    SignIn("Idris", "", Hand.Role.HAND),
    SignIn("Maud", "2618", Hand.Role.HAND),
    SignIn("Nell", "", Hand.Role.HAND),
    SignIn("Pip", "", Hand.Role.HAND),
)


@dataclass(frozen=True, slots=True)
class Manner:
    """How a hand works and tells of it: all of it invented, and known to nothing that reads the facts.

    `pace` multiplies the minutes of a piece; `single`, `wheel` and `lump` are the shares of jobs that the hand
    counts piece by piece, a wheel at a time, or all in one; `days` are the days of the week at the wheels.
    """

    trades: tuple[str, ...]
    pace: float
    single: float
    wheel: float
    lump: float
    days: tuple[int, ...]
    spoils: float = 1.0
    tells_of_tea: bool = False
    apprentice: bool = False


MANNERS: Mapping[str, Manner] = {
    "Osk": Manner(("bench",), 0.92, 0.85, 0.10, 0.05, (0, 1, 2, 3, 4), tells_of_tea=True),
    "Idris": Manner(("bench",), 1.05, 0.25, 0.60, 0.15, (0, 1, 2, 4, 5)),
    "Maud": Manner(("bench",), 0.98, 0.55, 0.15, 0.30, (1, 2, 3, 4), spoils=0.7, tells_of_tea=True),
    "Nell": Manner(("painter",), 1.0, 0.3, 0.3, 0.4, (0, 2, 3, 4)),
    "Pip": Manner(("bench",), 1.5, 0.9, 0.1, 0.0, (0, 1, 2, 3, 4), spoils=2.2, apprentice=True),
    SMITH: Manner(("smith",), 1.0, 0.4, 0.4, 0.2, (3,)),
}


def hashed_secrets() -> dict[str, str]:
    """The slow hashes of the passwords and PINs, by name: worked out before anything is locked."""
    return {one.name: make_password(one.secret or None) for one in SIGN_IN}


def enter_people(hashes: Mapping[str, str], *, since: date) -> dict[str, Hand]:
    """Make the users and hands; gives the hands by name."""
    hands = {}
    for one in SIGN_IN:
        at_bench = one.role == Hand.Role.HAND
        user = User.objects.create(
            username=one.name,
            password=make_password(None) if at_bench else hashes[one.name],
        )
        manner = MANNERS.get(one.name)
        hands[one.name] = Hand.objects.create(
            user=user,
            name=one.name,
            role=one.role,
            trade=manner.trades[0] if manner else Hand.Trade.BENCH,
            apprentice=bool(manner and manner.apprentice),
            pin_hash=hashes[one.name] if at_bench and one.secret else "",
        )
    _enter_who_is_gone(since)
    User.objects.update(date_joined=f"{since}T08:00:00+00:00")
    return hands


def _enter_who_is_gone(since: date) -> None:
    """A hand who left before the rest of it begins, and somebody who only asked once: both have a name here still."""
    user = User.objects.create(username=WHO_LEFT, password=make_password(None), is_active=False)
    Hand.objects.create(user=user, name=WHO_LEFT, left_on=since - timedelta(weeks=30))
    Customer.objects.create(name=WHO_ASKED, contact="asked for a price at the spring show, and never wrote")
