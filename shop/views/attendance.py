"""Attendance at the desk: who was there when, what is missing, and putting it right."""

from datetime import timedelta
from typing import Any
from uuid import uuid5

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.http import urlencode
from django.views.decorators.http import require_POST

from jobs.writing import writing
from shop.access import may, roles_of
from shop.asked import Asked, asked, signed_in
from shop.attendance import Told, event_of, keep, put_right, take_back
from shop.attendance_page import hand_days
from shop.forms.attendance import AttendanceForm, DayThereForm, TouchForm, moment
from shop.models import Attendance, Hand
from shop.pay_runs import period_in_words
from timing.facts import FactRefused
from timing.posted import read_token

USUAL_DAYS, MOST_DAYS = 14, 93


@may("desk")
def attendance(request: HttpRequest) -> HttpResponse:
    """Each day of each hand, newest first; the last fortnight unless asked."""
    ask = asked(request)
    usual = {"first": (ask.today - timedelta(days=USUAL_DAYS - 1)).isoformat(), "last": ask.today.isoformat()}
    form = AttendanceForm(
        {name: text for name, text in request.GET.items() if name in AttendanceForm.base_fields} or usual
    )
    context: dict[str, Any] = {"form": form, "is_owner": "owner" in roles_of(request)}
    if not form.is_valid():
        return render(request, "shop/pay/attendance.html", context, status=422)
    last = min(form.cleaned_data["last"] or ask.today, ask.today)
    first = max(form.cleaned_data["first"] or last - timedelta(days=USUAL_DAYS - 1), last - timedelta(days=MOST_DAYS))
    days = hand_days(ask.shop, first=first, last=last, now=ask.now, hand_id=form.cleaned_data["hand"])
    missing = [day for day in days if day.said]
    context |= {
        "days": missing if form.cleaned_data["show"] else days,
        "missing": len(missing),
        "missing_url": f"?{urlencode({'first': str(first), 'last': str(last), 'show': 'missing'})}",
        "period": period_in_words(first, last),
    }
    return render(request, "shop/pay/attendance.html", context)


@may("desk")
def attendance_new(request: HttpRequest) -> HttpResponse:
    """Enter a day of a hand: up to four touches in one write."""
    ask = asked(request)
    initial = {"on": ask.today, "hand": request.GET.get("hand", "")}
    form = DayThereForm(request.POST or None, today=ask.today, zone=ask.zone, initial=initial)
    if form.is_valid():
        try:
            with writing():
                for kind, at in form.moments:
                    keep(_told(request, form, kind, at), ask.shop, now=ask.now)
        except FactRefused as refused:
            form.add_error(None, str(refused))
        else:
            messages.success(request, "Entered.")
            return redirect("shop:attendance")
    context = {"form": form, "leave_url": reverse("shop:attendance")}
    return render(request, "shop/pay/attendance_new.html", context, status=422 if form.errors else 200)


def _told(request: HttpRequest, form: DayThereForm, kind: str, at: Any) -> Told:
    answers = form.cleaned_data
    return Told(
        token=uuid5(answers["token"], kind),
        hand_id=answers["hand"],
        kind=kind,
        done_at=at,
        source=Attendance.Source.DESK,
        entered_by_id=signed_in(request).pk,
        note=answers["note"],
    )


@may("desk")
def attendance_right(request: HttpRequest, pk: int) -> HttpResponse:
    """Put one touch right: the old one is taken back and a new one stands beside it."""
    ask = asked(request)
    row = _touch(pk)
    there = timezone.localtime(event_of(row).at, ask.zone)
    initial = {"kind": row.kind, "on": row.done_on, "at": there.time().replace(second=0, microsecond=0)}
    form = TouchForm(request.POST or None, today=ask.today, initial=initial | {"note": row.note})
    if form.is_valid():
        try:
            put_right(row, _as_it_was(request, row, form, ask), ask.shop, now=ask.now)
        except FactRefused as refused:
            form.add_error(None, str(refused))
        else:
            messages.success(request, "Put right. The old entry stays readable, struck out.")
            return redirect("shop:attendance")
    hand = Hand.objects.filter(user=row.hand_id).first()
    context = {"form": form, "row": row, "hand": hand, "there": there, "leave_url": reverse("shop:attendance")}
    return render(request, "shop/pay/attendance_right.html", context, status=422 if form.errors else 200)


def _as_it_was(request: HttpRequest, row: Attendance, form: TouchForm, ask: Asked) -> Told:
    answers = form.cleaned_data
    return Told(
        token=answers["token"],
        hand_id=row.hand_id,
        kind=answers["kind"],
        done_at=moment(answers["on"], answers["at"], ask.zone),
        source=Attendance.Source.DESK,
        entered_by_id=signed_in(request).pk,
        note=answers["note"],
    )


@may("desk")
@require_POST
def attendance_undo(request: HttpRequest, pk: int) -> HttpResponse:
    """Take one touch back, and enter nothing; twice changes nothing."""
    row = _touch(pk)
    try:
        token = read_token(request.POST)
        take_back(row, token=token, by_id=signed_in(request).pk, now=timezone.now())
    except FactRefused as refused:
        messages.warning(request, str(refused))
    else:
        messages.success(request, "Taken back. It stays readable, struck out.")
    return redirect("shop:attendance")


def _touch(pk: int) -> Attendance:
    """A touch that stands for itself; what takes another back is not there to be put right."""
    return get_object_or_404(Attendance, pk=pk, cancels_token=None)
