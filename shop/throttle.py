"""How wrong passwords are slowed, in every web process alike: rows in the database, counted before the look."""

from collections.abc import Iterable
from datetime import datetime, timedelta
from typing import Final
from zoneinfo import ZoneInfo

from django.utils import timezone
from django.utils.crypto import salted_hmac

from jobs.writing import writing
from shop.models import SignInTry

FIRST_WAIT = timedelta(seconds=30)
LONGEST_WAIT = timedelta(minutes=15)
# NIST SP 800-63B, 5.2.2: no more than 100 failures in a row on one account.
MOST_IN_A_ROW: Final = 100
AFTER_THE_MOST = timedelta(days=1)

FREE_HERE = 8
FREE_EVERYWHERE = 50
FORGOTTEN_AFTER = timedelta(days=30)
# Rows cleared at one sign-in: a flood of made-up names must not make somebody wait for its clearing.
CLEARED_AT_ONCE = 1000


def wait_after(wrong: int, *, free: int) -> timedelta:
    """How long to wait after so many wrong tries in a row.

    The first `free` cost nothing, then 30 s, doubling to 15 min; from the hundredth on a day each.
    """
    if wrong >= MOST_IN_A_ROW:
        return AFTER_THE_MOST
    if wrong <= free:
        return timedelta(0)
    return min(FIRST_WAIT * (1 << min(wrong - free - 1, 10)), LONGEST_WAIT)


def count_try(account: str, address: str, now: datetime) -> tuple[bool, datetime | None]:
    """Count a try as wrong before it is looked at: whether it may be, and the end of the wait that stands or follows.

    Of many sent at once only the free ones and the one that sets the wait are looked at. Two rows are counted: the
    account's from this address, and the account's from every address at which it never came in. So guessing from many
    addresses is slowed as a whole, and yet whoever does it keeps nobody from coming in where they did before.
    """
    with writing():
        here = _locked(_key(account, address), now)
        rows = [(here, FREE_HERE)]
        if here.right_at is None:
            rows.append((_locked(_key(account), now), FREE_EVERYWHERE))
        standing = [row.wait_until for row, _ in rows if row.wait_until and now < row.wait_until]
        if standing:
            return False, max(standing)
        for row, free in rows:
            row.wrong += 1
            wait = wait_after(row.wrong, free=free)
            row.wait_until = now + wait if wait else None
            row.last_at = now
            row.save(update_fields=["wrong", "wait_until", "last_at"])
    return True, max((row.wait_until for row, _ in rows if row.wait_until), default=None)


def forgive(account: str, address: str, now: datetime) -> None:
    """The password was right: begin the rows anew, and know the address from now on. Clears what is forgotten."""
    with writing():
        SignInTry.objects.filter(key_hash=_key(account, address)).update(
            wrong=0, wait_until=None, right_at=now, last_at=now
        )
        SignInTry.objects.filter(key_hash=_key(account)).delete()
    with writing():
        # Rows that another sign-in holds at this moment are left to the next clearing.
        old = SignInTry.objects.filter(last_at__lt=now - FORGOTTEN_AFTER).select_for_update(skip_locked=True)
        SignInTry.objects.filter(pk__in=[row.pk for row in old[:CLEARED_AT_ONCE]]).delete()


def forget(accounts: Iterable[str]) -> None:
    """Take away what accounts counted from everywhere. Call it inside a write.

    What they counted from one address is under a keyed hash of both, which is found by nobody, and is cleared when it
    is forgotten.
    """
    SignInTry.objects.filter(key_hash__in=[_key(account) for account in accounts]).delete()


def told_until(until: datetime, now: datetime, zone: ZoneInfo) -> str:
    """The end of a wait as the shop's clock has it, with the day where it is another: “9.30.00 on 3 March”."""
    local = timezone.localtime(until, zone)
    day = "" if local.date() == timezone.localtime(now, zone).date() else f" on {local.day} {local:%B}"
    return f"{local:%H.%M.%S}{day}"


def _locked(key_hash: str, now: datetime) -> SignInTry:
    SignInTry.objects.get_or_create(key_hash=key_hash, defaults={"last_at": now})
    return SignInTry.objects.select_for_update().get(key_hash=key_hash)


def _key(account: str, address: str = "") -> str:
    """No name is kept as typed: some type their password into the wrong field."""
    return salted_hmac("shop.throttle", f"{account}\n{address}", algorithm="sha256").hexdigest()
