"""What every page of the bench needs: whose hands, the hour, the helpers, and how it asks and refuses."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, datetime
from functools import wraps
from typing import Any

from django.contrib.auth.models import User
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.utils.cache import patch_cache_control

from shop.access import BENCH_SESSION
from shop.bench_questions import Question
from shop.context import current_hand, current_shop
from shop.models import Hand, Shop
from shop.people import device_of
from timing.models import Clock

HELPERS, NOTE = "bench_helpers", "bench_note"
NOT_CARRIED = frozenset({"csrfmiddlewaretoken", "minutes", "confirmed", "seconds", "break_from", "break_to", "sent_at"})


@dataclass(frozen=True, slots=True)
class AtWork:
    """The hand who asks, in which shop and when."""

    user: User
    hand: Hand
    shop: Shop
    now: datetime

    @property
    def today(self) -> date:
        return timezone.localtime(self.now, self.shop.zone).date()


def at_work(request: HttpRequest) -> AtWork:
    """Who asks; only behind `may("bench")`."""
    hand, shop = current_hand(request), current_shop(request)
    if hand is None or shop is None or not isinstance(request.user, User):
        raise RuntimeError("A bench page was opened by nobody: its view lacks its guard.")
    return AtWork(request.user, hand, shop, timezone.now())


def check_hand(request: HttpRequest, me: AtWork) -> None:
    """A form names the hand it was made for: one kept from before must not count for whoever came in since.

    Raises PermissionDenied.
    """
    if request.POST.get("hand") not in (None, "", str(me.user.pk)):
        raise PermissionDenied(f"This was tapped by someone else, and {me.hand} is signed in now.")


def fresh_but_kept(view: Callable[..., HttpResponse]) -> Callable[..., HttpResponse]:
    """Have a page asked for anew each time, and yet kept by the browser: going back to it needs no network."""

    @wraps(view)
    def kept(request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        response = view(request, *args, **kwargs)
        patch_cache_control(response, private=True, no_cache=True, max_age=0)
        return response

    return kept


def clock_context(request: HttpRequest, me: AtWork, clock: Clock | None) -> dict[str, Any] | None:
    """Where the hand is and since how many seconds, for the device to go on from without the network."""
    if clock is None:
        return None
    return {
        "clock": clock,
        "elapsed": max(0, round((me.now - clock.started_at).total_seconds())) if clock.started_at else None,
        "helper_ids": helpers_of(request, clock.task_id),
        "note": request.session.get(NOTE, "") if clock.task_id is None else "",
    }


def place_at_work(request: HttpRequest) -> str:
    """For the band: "Wren, bench 2"."""
    hand, device = current_hand(request), device_of(request) if BENCH_SESSION in request.session else None
    return f"{hand}, {device}" if device else str(hand)


def helpers_of(request: HttpRequest, task_id: int | None) -> tuple[int, ...]:
    """The users who help with a job, as they were ticked; forgotten when the job is changed."""
    kept = request.session.get(HELPERS) or {}
    return tuple(kept.get("users", ())) if task_id is not None and kept.get("task") == task_id else ()


def keep_helpers(request: HttpRequest, task_id: int, user_ids: list[int]) -> None:
    request.session[HELPERS] = {"task": task_id, "users": sorted(user_ids)}


def ask(request: HttpRequest, question: Question) -> HttpResponse:
    """Put a question: as a page, or in place of the controls. The form that raised it is carried in its answers."""
    carried = [
        (name, value)
        for name, values in request.POST.lists()
        if name not in NOT_CARRIED and name not in question.moments
        for value in values
    ]
    context: dict[str, Any] = {
        "question": question,
        "carried": [*carried, *question.moments.items()],
        "action": request.path,
    }
    if getattr(request, "htmx", False):
        return render(request, "shop/bench/_question.html", context | {"in_page": True}, status=422)
    context |= {"at_work": place_at_work(request)}
    return render(request, "shop/bench/question.html", context, status=422)
