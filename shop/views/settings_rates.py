"""Settings: rates from a day on, a page for each thing that has one."""

from contextlib import suppress
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import pairwise
from typing import Any

from django.contrib import messages
from django.contrib.auth.models import User
from django.db.models import QuerySet
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone

from jobs.measures import Unit
from jobs.models import Operation
from jobs.turns import take_turns
from jobs.words import in_words
from jobs.writing import writing
from shop.access import may
from shop.context import current_shop
from shop.forms.rates import RateForm
from shop.forms.seen import STATE, Overtaken, status_of
from shop.forms.shown import ask_again
from shop.models import Hand, Material, Rate, Shop
from shop.money import MoneyError, format_millipence, parse_millipence, plain_rate
from shop.pay.terms import DatedTerms
from shop.pay_seen import OF_PAY
from shop.pay_terms import all_terms
from shop.rates import RateBook
from shop.rates_written import RateRefused, RateTold, look_at_rate, write_rate

OF_A_HAND: dict[str, str] = {
    Rate.Kind.COST: "cost to the shop",
    Rate.Kind.WAGE: "wage",
    Rate.Kind.GUARANTEE: "guarantee at pieces",
}


@dataclass(frozen=True, slots=True)
class Subject:
    """What a rate is about; `hand`, `operation` and `material` go with its kind. `up` is the page it is reached by."""

    kind: str
    title: str
    each: str
    url: str
    hand: User | None = None
    operation: Operation | None = None
    material: Material | None = None
    up: tuple[str, str] = ("Rates", "shop:rates")

    @property
    def key(self) -> tuple[str, int | None]:
        about = self.hand or self.operation or self.material
        return self.kind, about.pk if about else None

    @property
    def rates(self) -> QuerySet[Rate]:
        """All that was ever written down of it."""
        about = {"hand": self.hand, "operation": self.operation, "material": self.material}
        return Rate.objects.filter(kind=self.kind, **about).select_related("recorded_by")


@dataclass(frozen=True, slots=True)
class HandRates:
    """What stands today for one hand: millipence an hour, None where nothing is written down."""

    hand: Hand
    cost: int | None
    wage: int | None
    guarantee: int | None
    by_pieces: bool


@may("owner")
def rates(request: HttpRequest) -> HttpResponse:
    """What stands today, for the hour and for the piece."""
    shop = current_shop(request) or Shop()
    today = timezone.localdate(timezone=shop.zone)
    book = RateBook.load()
    terms = all_terms()
    hands = [
        HandRates(
            hand,
            book.cost(hand.user_id, today),
            book.wage(hand.user_id, today),
            book.guarantee(hand.user_id, today),
            terms.get(hand.user_id, DatedTerms()).on(today).by_pieces,
        )
        for hand in Hand.objects.working()
    ]
    operations = [
        (in_words(operation.name, shop.words), operation.pk, book.piece(operation.pk, today), operation.key)
        for operation in Operation.objects.in_use()
    ]
    context = {
        "today": today,
        "overhead": book.overhead(today),
        "hands": hands,
        "pieces": [row for row in operations if row[2] is not None],
        "others": [row for row in operations if row[2] is None],
    }
    return render(request, "shop/settings/rates.html", context)


@may("owner")
def rate_overhead(request: HttpRequest) -> HttpResponse:
    return _rate(request, Subject("overhead", "Overhead", "an hour worked", reverse("shop:rate-overhead")))


@may("owner")
def rate(request: HttpRequest, kind: str, pk: int) -> HttpResponse:
    """The rates of one hand (`kind` cost, wage, guarantee), of one operation (`piece`) or material (`material`)."""
    url = reverse("shop:rate", args=[kind, pk])
    if kind == Rate.Kind.PIECE:
        operation = get_object_or_404(Operation, pk=pk)
        name = in_words(operation.name, (current_shop(request) or Shop()).words)
        return _rate(request, Subject(kind, f"{name}: piece rate", "a unit", url, operation=operation))
    if kind == Rate.Kind.MATERIAL:
        material = get_object_or_404(Material, pk=pk)
        up = ("Materials", "shop:materials")
        return _rate(request, Subject(kind, f"{material.name}: price", material.per, url, material=material, up=up))
    if kind not in OF_A_HAND:
        raise Http404
    hand = get_object_or_404(Hand.objects.select_related("user"), pk=pk)
    what = OF_A_HAND[kind]
    return _rate(request, Subject(kind, f"{hand.name}: {what}", "an hour", url, hand=hand.user))


def _rate(request: HttpRequest, subject: Subject) -> HttpResponse:
    shop = current_shop(request) or Shop()
    unit: Unit | None = ("in" if shop.units == "in" else "mm") if subject.operation else None
    initial = {STATE: _newest(subject, shop), **_prefilled(request, shop)}
    form = RateForm(request.POST or None, currency=shop.currency, unit=unit, initial=initial)
    if form.is_valid() and isinstance(request.user, User):
        told, now = _told(form, subject), timezone.now()
        # Reckoned before others wait for it.
        looked = look_at_rate(told, at=now)
        with suppress(Overtaken), writing():
            take_turns("rates")
            last = _last(subject)
            mine = (told.amount_millipence, told.from_on, told.from_height_nm)
            if last is None or (last.amount_millipence, last.from_on, last.from_height_nm) != mine:
                form.meet({STATE: _newest(subject, shop)})
            try:
                write_rate(told, at=now, by=request.user, confirmed=form.answers["confirmed"], looked=looked)
            except RateRefused as refused:
                ask_again(form, "confirmed", refused)
                form.add_error("from_on", str(refused))
            else:
                messages.success(request, "The rate is written down.")
                return redirect(subject.url)
    rows = list(subject.rates)
    today = timezone.localdate(timezone=shop.zone)
    context = {
        "form": form,
        "subject": subject,
        "is_pay": subject.kind in OF_PAY,
        "up_label": subject.up[0],
        "up_url": reverse(subject.up[1]),
        "standing": RateBook.load().amount(subject.key, today),
        "history": _history(rows, today),
    }
    return render(request, "shop/settings/rate.html", context, status=status_of(form))


def _told(form: RateForm, subject: Subject) -> RateTold:
    """What a valid form says of a subject."""
    answers = form.answers
    return RateTold(
        subject.kind,
        answers["amount"],
        answers["from_on"],
        hand=subject.hand,
        operation=subject.operation,
        material=subject.material,
        from_height_nm=answers.get("from_height_nm"),
    )


def _prefilled(request: HttpRequest, shop: Shop) -> dict[str, Any]:
    """An amount and a day that another page has put into the address, to be looked at and sent; no others."""
    told: dict[str, Any] = {}
    with suppress(MoneyError):
        told["amount"] = plain_rate(parse_millipence(request.GET.get("amount", ""), shop.currency), shop.currency)
    with suppress(ValueError):
        told["from_on"] = date.fromisoformat(request.GET.get("from", ""))
    return told


def _history(rows: list[Rate], today: date) -> list[tuple[Rate, str]]:
    """Each rate with how long it stands, the latest first; those of every height by themselves, the lowest first."""
    heights = sorted({row.from_height_nm for row in rows}, key=lambda height: height or 0)
    told: list[tuple[Rate, str]] = []
    for height in heights:
        own = [row for row in rows if row.from_height_nm == height]
        told += list(zip(own, how_they_stand(own, today), strict=True))[::-1]
    return told


def _last(subject: Subject) -> Rate | None:
    return subject.rates.order_by("pk").last()


def _newest(subject: Subject, shop: Shop) -> str:
    """The rate that was written down last, as a sentence; before the first, what it will be for, which may change."""
    last = _last(subject)
    if last is None:
        material = subject.material and Material.objects.get(pk=subject.material.pk)
        return f"The price is {material.per}" if material else ""
    amount = format_millipence(last.amount_millipence, shop.currency)
    by = f" by {last.recorded_by.get_username()}" if last.recorded_by else ""
    return f"A rate of {amount} from {last.from_on.day} {last.from_on:%B %Y} was written down{by}"


def how_they_stand(rows: list[Rate], today: date) -> list[str]:
    """How long each rate of one subject stands, in words; `rows` in order of their day, then as written down."""
    last_of_day = {row.from_on: row.pk for row in rows}
    ends = dict(pairwise(last_of_day))
    told = []
    for row in rows:
        end = ends.get(row.from_on)
        if last_of_day[row.from_on] != row.pk:
            told.append("put right by a later entry")
        elif row.from_on > today:
            told.append("to come")
        elif end is None or end > today:
            told.append("stands today")
        else:
            last = end - timedelta(days=1)
            told.append(f"stood until {last.day} {last:%B %Y}")
    return told
