"""Outwork and materials: entered, and taken back."""

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone

from jobs.models import Order
from shop.access import may
from shop.amounts import ChargeRefused
from shop.charges import Charge, Row, add_issue, add_outwork, take_back
from shop.context import current_shop
from shop.forms.charges import ChargeForm, OutworkForm, TakeBackForm
from shop.models import Issue, Outwork, Shop
from shop.stores.actions import much_of


@may("desk")
def outwork_new(request: HttpRequest, number: int) -> HttpResponse:
    """Enter work done outside on an order."""
    return _new(request, number, OutworkForm, "Outwork", "Enter what was done outside, and its price.")


@may("desk")
def issue_new(request: HttpRequest, number: int) -> HttpResponse:
    """Enter material bought for an order, or issued to it."""
    return _new(request, number, ChargeForm, "Materials", "Enter what was bought for the work, or taken for it.")


def _new(request: HttpRequest, number: int, kind: type[ChargeForm], title: str, sentence: str) -> HttpResponse:
    order = get_object_or_404(Order.objects.select_related("customer"), number=number)
    shop = current_shop(request) or Shop()
    today = timezone.now().astimezone(shop.zone).date()
    initial = {"on": today, "place": request.GET.get("place", "order"), "to_whom": shop.smith_name}
    form = kind(request.POST or None, order=order, currency=shop.currency, today=today, initial=initial)
    leave_url = reverse("shop:cost", args=[order.number])
    if form.is_valid():
        try:
            _enter(form, order, request)
        except ChargeRefused as refused:
            form.add_error(None, str(refused))
        else:
            messages.success(request, "Entered.")
            return redirect(leave_url)
    context = {"form": form, "order": order, "title": title, "sentence": sentence, "leave_url": leave_url}
    return render(request, "shop/books/charge.html", context, status=422 if form.errors else 200)


def _enter(form: ChargeForm, order: Order, request: HttpRequest) -> None:
    answers: dict[str, Any] = form.cleaned_data
    lot, wheel = answers["place"]
    charge = Charge(
        token=answers["token"],
        order=order,
        what=answers["what"],
        amount_pence=answers["amount"],
        on=answers["on"],
        by=request.user,  # type: ignore[arg-type]
        at=timezone.now(),
        lot=lot,
        wheel=wheel,
    )
    if isinstance(form, OutworkForm):
        add_outwork(charge, trade=answers["trade"], to_whom=answers["to_whom"])
    else:
        add_issue(charge)


@may("desk")
def outwork_take_back(request: HttpRequest, pk: int) -> HttpResponse:
    """Take back a row of outwork that was wrong, and say why."""
    return _take_back(request, get_object_or_404(Outwork.objects.select_related("order__customer"), pk=pk))


@may("desk")
def issue_take_back(request: HttpRequest, pk: int) -> HttpResponse:
    """Take back a row of materials that was wrong, and say why."""
    return _take_back(request, get_object_or_404(Issue.objects.select_related("order__customer", "material"), pk=pk))


def _take_back(request: HttpRequest, row: Row) -> HttpResponse:
    form = TakeBackForm(request.POST or None)
    leave_url = reverse("shop:cost", args=[row.order.number])
    if form.is_valid():
        answers = form.cleaned_data
        try:
            take_back(
                row,
                token=answers["token"],
                reason=answers["reason"],
                by=request.user,  # type: ignore[arg-type]
                at=timezone.now(),
            )
        except ChargeRefused as refused:
            form.add_error(None, str(refused))
        else:
            messages.success(request, "Taken back.")
            return redirect(leave_url)
    amount = much_of(row).words if isinstance(row, Issue) and row.material_id else ""
    context = {"form": form, "order": row.order, "row": row, "amount": amount, "leave_url": leave_url}
    return render(request, "shop/books/take_back.html", context, status=422 if form.errors else 200)
