"""Bonuses: entered for a hand and a day, and taken back."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse

from shop.access import may
from shop.amounts import ChargeRefused
from shop.asked import asked, signed_in
from shop.forms.charges import TakeBackForm
from shop.forms.pay import BonusForm
from shop.models import Bonus, Hand
from shop.older import page_of
from shop.pay_runs import pay_begins
from shop.pay_terms import add_bonus, take_back_bonus

MOST = 60


@may("owner")
def bonuses(request: HttpRequest) -> HttpResponse:
    """The newest, each with what became of it; and a form for another."""
    ask = asked(request)
    initial = {"on": ask.today, "hand": request.GET.get("hand", "")}
    begins = pay_begins(ask.shop)
    form = BonusForm(request.POST or None, currency=ask.shop.currency, today=ask.today, begins=begins, initial=initial)
    if form.is_valid():
        answers = form.cleaned_data
        try:
            add_bonus(
                token=answers["token"],
                hand=Hand.objects.get(user=answers["hand"]),
                what=answers["what"],
                amount_pence=answers["amount"],
                on=answers["on"],
                by=signed_in(request),
                at=ask.now,
            )
        except ChargeRefused as refused:
            form.add_error(None, str(refused))
        else:
            messages.success(request, "Entered.")
            return redirect("shop:bonuses")
    rows = Bonus.objects.select_related("hand__shop_hand", "cancelled_by").filter(cancels=None)
    page = page_of(request, rows, day="on", most=MOST)
    context = {"form": form, "page": page, "leave_url": reverse("shop:rates")}
    return render(request, "shop/pay/bonuses.html", context, status=422 if form.errors else 200)


@may("owner")
def bonus_take_back(request: HttpRequest, pk: int) -> HttpResponse:
    """Take a bonus back, and say why."""
    row = get_object_or_404(Bonus.objects.select_related("hand__shop_hand"), pk=pk, cancels=None)
    ask = asked(request)
    form = TakeBackForm(request.POST or None)
    if form.is_valid():
        answers = form.cleaned_data
        take_back_bonus(row, token=answers["token"], reason=answers["reason"], by=signed_in(request), at=ask.now)
        messages.success(request, "Taken back.")
        return redirect("shop:bonuses")
    context = {"form": form, "row": row, "leave_url": reverse("shop:bonuses")}
    return render(request, "shop/pay/bonus_take_back.html", context, status=422 if form.errors else 200)
