"""A hand at the bench: an enrolled device with its own browser, and a clock on the wall that tests set."""

import re
import uuid
from datetime import datetime, timedelta
from html import unescape

import pytest
from django.http import HttpResponse
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from django.utils.html import strip_tags

from jobs.models import Task
from shop.models import Hand
from shop.people import DEVICE_COOKIE, enrol_device
from tests.factories import NOW
from timing.models import Clock

FRAGMENT = {"HX-Request": "true"}


class Wall:
    """The clock on the wall: every `timezone.now()` asks it."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch) -> None:
        self.now = NOW
        monkeypatch.setattr(timezone, "now", lambda: self.now)

    def on(self, **ahead: float) -> datetime:
        """Go on by so many minutes, hours …"""
        self.now += timedelta(**ahead)
        return self.now


class Bench:
    """One hand on one device."""

    def __init__(self, hand: Hand, device: str = "bench 2") -> None:
        self.hand = hand
        self.client = Client()
        _, secret = enrol_device(name=device, by=hand.user, at=timezone.now())
        self.client.cookies[DEVICE_COOKIE] = secret

    def come_in(self, pin: str = "") -> "Bench":
        response = self.client.post(reverse("shop:bench-come-in", args=[self.hand.pk]), {"pin": pin})
        assert response.status_code == 302
        return self

    def post(self, page: str, **fields: object) -> HttpResponse:
        """A plain form, as without JavaScript."""
        return self.client.post(reverse(f"shop:{page}"), fields)  # type: ignore[return-value]

    def start(self, task: Task) -> HttpResponse:
        return self.post("bench-start", task=task.pk, token=uuid.uuid4())

    def job(self) -> str:
        return self.client.get(reverse("shop:bench-job")).content.decode()

    def fact(self, task: Task, **changes: object) -> dict[str, object]:
        """A fact as the page would post it now, the clock's start with it."""
        clock = Clock.objects.filter(hand=self.hand.user).first()
        told: dict[str, object] = {"token": uuid.uuid4(), "operation": task.operation_id, "made": 1}
        told |= {"wheel": task.wheel_id} if task.wheel_id else {"lot": task.lot_id}
        told |= {"done_at": timezone.now().isoformat(), "sent_at": timezone.now().isoformat()}
        if clock and clock.started_at:
            told["started_at"] = clock.started_at.isoformat()
        return {name: value for name, value in (told | changes).items() if value is not None}

    def send(self, told: dict[str, object], page: str = "bench-fact") -> HttpResponse:
        """A fact as the script sends it."""
        return self.client.post(reverse(f"shop:{page}"), told, headers=FRAGMENT)  # type: ignore[return-value]

    def tap(self, task: Task, **changes: object) -> HttpResponse:
        return self.send(self.fact(task, **changes))


def text_of(response: HttpResponse) -> str:
    """What an answer says, without its tags."""
    spaced = response.content.decode().replace("<", " <")
    return " ".join(unescape(strip_tags(spaced)).split())


def ticked(asked: object) -> dict[str, str]:
    """What a page sends that has asked for a tick, once that is set."""
    (found,) = re.findall(r'type="checkbox" name="(confirmed|was_mistake)" value="(\w+)"', asked.text)  # type: ignore[attr-defined]
    return dict([found])
