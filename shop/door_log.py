"""What is logged of the door: a line an event, with who, on what and from where as far as is known, never a secret."""

import logging
from typing import Any

from django.contrib.auth.models import User
from django.http import HttpRequest

from shop.context import BENCH_SESSION
from shop.models import Device, Hand

LOG = logging.getLogger("shop.door")


def note_let_in(request: HttpRequest, hand: Hand, device: Device | None = None) -> None:
    """Somebody signed in: at the desk, or by name or PIN on a device."""
    _write(logging.INFO, "signed in", hand, device, request)


def note_wrong(request: HttpRequest, hand: Hand | None, device: Device | None = None, *, looked: bool) -> None:
    """A try that let nobody in: wrong, or (not `looked`) held up since too many before it were."""
    _write(logging.WARNING, "wrong try" if looked else "too many tries, not looked at", hand, device, request)


def note_signed_out(sender: type, request: HttpRequest, user: User | None, **given: Any) -> None:
    """Somebody signed out, or was since their device was ended. A receiver of Django's own signal."""
    if user is None:
        return
    # By the session, which is still there: the device itself may have been ended.
    device_id = request.session.get(BENCH_SESSION)
    device = Device.objects.filter(pk=device_id).first() if device_id else None
    _write(logging.INFO, "signed out", getattr(user, "shop_hand", None), device, request)


def note_device(event: str, device: Device, by: Hand | None, request: HttpRequest) -> None:
    """A device was enrolled, or ended, by an owner."""
    _write(logging.INFO, event, by, device, request)


def _write(level: int, event: str, hand: Hand | None, device: Device | None, request: HttpRequest) -> None:
    # Names as Python writes them: what would break the line is escaped. One that is not known is left out, for some
    # type their password in its place.
    who = f"{hand.name!r} (hand {hand.pk})" if hand else "a name that is not known"
    on = f" on {device.name!r} (device {device.pk})" if device else ""
    address = "".join(one for one in str(request.META.get("REMOTE_ADDR", "")) if one.isprintable())
    LOG.log(level, "%s: %s%s from %s", event, who, on, address or "an address that is not known")
