"""Settings: the hands, their PINs and passwords."""

from collections.abc import Iterator
from contextlib import contextmanager, suppress
from datetime import date
from typing import Any

from django import forms
from django.contrib import messages
from django.contrib.auth import update_session_auth_hash
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_POST

from jobs.turns import take_turns
from jobs.writing import writing
from shop.access import may
from shop.asked import signed_in
from shop.context import current_shop
from shop.forms.people import HandForm, LeftForm, PasswordForm, PinForm
from shop.forms.seen import STATE, Overtaken, status_of
from shop.models import Hand, Shop
from shop.people import HANDS, PersonRefused, add_hand, edit_hand, set_left, set_password
from shop.pins import set_pin


@may("owner")
def hands(request: HttpRequest) -> HttpResponse:
    """Everyone at work, and those who left."""
    everyone = list(Hand.objects.select_related("user"))
    context = {
        "working": [one for one in everyone if one.left_on is None],
        "left": [one for one in everyone if one.left_on is not None],
    }
    return render(request, "shop/settings/hands.html", context)


@may("owner")
def hand_new(request: HttpRequest) -> HttpResponse:
    form = HandForm(request.POST or None)
    if form.is_valid():
        try:
            hand = add_hand(**form.answers, by=signed_in(request))
        except PersonRefused as refused:
            form.add_error("name", str(refused))
        else:
            messages.success(request, f"{hand.name} is on the list. A PIN or a password is set here.")
            return redirect("shop:hand", hand.pk)
    return render(request, "shop/settings/hand_new.html", {"form": form}, status=422 if form.errors else 200)


@may("owner")
def hand(request: HttpRequest, pk: int) -> HttpResponse:
    """One hand: what they may use, PIN, password, and the day they left."""
    person = _person(pk)
    if request.method != "POST":
        return _page(request, person)
    form = HandForm(request.POST)
    if form.is_valid():
        try:
            with suppress(Overtaken), writing():
                take_turns(HANDS)
                now = _person(pk)
                form.meet(_known(now))
                edit_hand(now, **form.answers, by=signed_in(request))
                messages.success(request, form.told(f"Kept what is known of {now.name}."))
                return redirect("shop:hands")
        except PersonRefused as refused:
            form.add_error(None, str(refused))
    return _page(request, person, wrong="form", form=form)


@may("owner")
@require_POST
@sensitive_post_parameters("pin")
def hand_pin(request: HttpRequest, pk: int) -> HttpResponse:
    """Give a PIN; or take it away, by the button of that name."""
    person, away = _named(pk), "away" in request.POST
    form = PinForm(request.POST)
    if not (away or form.is_valid()):
        return _page(request, person, wrong="pin_form", pin_form=form)
    with _named_still():
        set_pin(person, "" if away else form.cleaned_data["pin"], by=signed_in(request))
    if away:
        return _done(request, person, f"{person.name} has no PIN any more: a tap on the name is enough at the bench.")
    return _done(request, person, f"{person.name} has a new PIN.")


@may("owner")
@require_POST
@sensitive_post_parameters("password", "again")
def hand_password(request: HttpRequest, pk: int) -> HttpResponse:
    """Give a password for the desk; or take it away, by the button of that name."""
    person = _named(pk)
    away = "away" in request.POST
    form = PasswordForm(request.POST, hand=person, away=away)
    if form.is_valid():
        try:
            set_password(person, "" if away else form.cleaned_data["password"], by=signed_in(request))
        except PersonRefused as refused:
            form.add_error(None, str(refused))
    if form.errors:
        return _page(request, person, wrong="password_form", password_form=form)
    if person.user_id == request.user.pk:
        update_session_auth_hash(request, person.user)
    has = "can't sign in at the desk any more" if away else "has a new password, and was signed out elsewhere"
    return _done(request, person, f"{person.name} {has}.")


@may("owner")
@require_POST
def hand_left(request: HttpRequest, pk: int) -> HttpResponse:
    """Say on which day a hand left; or that they are back, by the button of that name."""
    person = _named(pk)
    if "back" in request.POST:
        with _named_still():
            set_left(person, None, by=signed_in(request))
        return _done(request, person, f"{person.name} is back at work.")
    form = LeftForm(request.POST, today=_today(request))
    if form.is_valid():
        try:
            with suppress(Overtaken), writing():
                take_turns(HANDS)
                now = Hand.objects.select_for_update().get(pk=pk)
                form.meet({"left_on": now.left_on})
                set_left(now, form.cleaned_data["left_on"], by=signed_in(request))
        except PersonRefused as refused:
            form.add_error(None, str(refused))
    if form.errors:
        return _page(request, person, wrong="left_form", left_form=form)
    messages.success(
        request, f"{person.name} has left, and is signed out everywhere. What was done stays in the books."
    )
    return redirect("shop:hands")


def _person(pk: int) -> Hand:
    return get_object_or_404(Hand.objects.select_related("user"), pk=pk)


def _named(pk: int) -> Hand:
    """A hand who is no number by now: there is nothing to be set for those."""
    return get_object_or_404(Hand.objects.select_related("user"), pk=pk, replaced_at=None)


@contextmanager
def _named_still() -> Iterator[None]:
    """404, as from `_named`, where the name went in this very moment."""
    try:
        yield
    except PersonRefused as refused:
        raise Http404(str(refused)) from refused


def _done(request: HttpRequest, person: Hand, sentence: str) -> HttpResponse:
    messages.success(request, sentence)
    return redirect("shop:hand", person.pk)


def _page(request: HttpRequest, person: Hand, *, wrong: str = "", **given: forms.Form) -> HttpResponse:
    """The page of a hand; of its four forms those given, one of them with what is wrong."""
    fresh: dict[str, Any] = {
        "form": HandForm(initial=_known(person)),
        "pin_form": PinForm(),
        "password_form": PasswordForm(hand=person),
        "left_form": LeftForm(today=_today(request)),
    }
    context = {
        **fresh,
        **given,
        "person": person,
        "has_password": person.user.has_usable_password(),
        "wrong": bool(wrong),
        "wrong_form": given.get(wrong),
    }
    return render(request, "shop/settings/hand.html", context, status=status_of(given[wrong]) if wrong else 200)


def _known(person: Hand) -> dict[str, Any]:
    known = {name: getattr(person, name) for name in ("name", "role", "trade", "apprentice")}
    return known | {STATE: f"{person.name} was put down as having left" if person.left_on else ""}


def _today(request: HttpRequest) -> date:
    return timezone.localdate(timezone=(current_shop(request) or Shop()).zone)
