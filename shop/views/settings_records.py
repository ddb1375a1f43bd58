"""Settings: how long records must be kept, and the names of hands who left."""

from collections.abc import Iterable
from contextlib import suppress
from dataclasses import dataclass
from datetime import date
from functools import partial
from itertools import groupby

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render

from jobs.writing import writing
from shop.access import may
from shop.asked import asked, signed_in
from shop.days import day_in_words
from shop.forms.records import YearsForm
from shop.forms.seen import Overtaken, status_of
from shop.leavers import leaver_of, leavers, named_leaver, replace_by_number
from shop.models import Hand, Shop
from shop.pay.retention import OF_WAGES, Record
from shop.pay.rules import RULES
from shop.people import PersonRefused
from shop.records_kept import Keeping, Oldest, oldest_records, set_own_years, told_term
from shop.views.replacing import replacing

LABELS = {
    Record.SHEETS: "Pay runs and their sheets",
    Record.ATTENDANCE: "Coming, going and breaks",
    Record.PIECES: "Work: pieces, minutes, what was passed",
    Record.BONUSES: "Bonuses",
    Record.RATES: "Wages, piece rates and how hands are paid",
    Record.AGREEMENTS: "Tests of output, notices of it, and agreements on overtime",
    Record.ORDERS: "Orders that have ended, and what was laid out on them",
    Record.STORES: "What was bought for the rack, and counts of it",
}


@dataclass(frozen=True, slots=True)
class Row:
    """One kind of record, in words."""

    label: str
    oldest: str
    until: str
    law: str
    now: str


@may("owner")
def records(request: HttpRequest) -> HttpResponse:
    """Each kind of record with its term, and those who left; posted to, the shop's own years."""
    shop = Shop.objects.get(id=1)
    form = YearsForm(request.POST or None, rules=shop.pay_rules, initial={"years": shop.records_years})
    if form.is_valid():
        with suppress(Overtaken), writing():
            form.meet({"years": Shop.objects.select_for_update().get(id=1).records_years})
            set_own_years(shop, form.cleaned_data["years"], by=signed_in(request))
            messages.success(request, form.told("Kept: records stay for so long, or longer where the law says so."))
            return redirect("shop:records")
    ask, keeping = asked(request), Keeping.of(shop)
    found = leavers(shop)
    context = {
        "form": form,
        "rules": RULES[shop.pay_rules],
        "laws": _by_law([_row(one, keeping, ask.today) for one in oldest_records(shop, keeping)]),
        "leavers": [(one, one.may_be_replaced(ask.today)) for one in found],
        "replaced": Hand.objects.filter(replaced_at__isnull=False).count(),
    }
    return render(request, "shop/settings/records.html", context, status=status_of(form))


def _by_law(rows: Iterable[Row]) -> list[tuple[str, list[Row]]]:
    """Rows under what their term follows from, said once."""
    return [(law, list(same)) for law, same in groupby(rows, key=lambda row: row.law)]


def _row(oldest: Oldest, keeping: Keeping, today: date) -> Row:
    record = oldest.record
    until = "its years begin when it ends" if oldest.stands else day_in_words(oldest.kept.until) if oldest.kept else ""
    return Row(
        LABELS[record],
        day_in_words(oldest.on) if oldest.on else "none yet",
        until,
        told_term(record, keeping),
        _now(oldest, today),
    )


def _now(oldest: Oldest, today: date) -> str:
    """What may be done with the oldest records of a kind today."""
    if oldest.on is None:
        return "Nothing is there."
    if oldest.kept is None or today <= oldest.kept.until:
        return "Nothing: the oldest must be kept."
    if oldest.record is Record.STORES:
        return "The oldest are past their term. They name nobody but suppliers, and stay."
    whose = "hands who left" if oldest.record in OF_WAGES else "customers of long ago"
    return f"The oldest are past their term: the names of {whose} may go, the figures stay."


@may("owner")
def records_hand(request: HttpRequest, pk: int) -> HttpResponse:
    """One hand who left: what would be replaced by a number, and from which day; posted to, it is done."""
    person = get_object_or_404(Hand.objects.select_related("user"), pk=pk)
    if person.replaced_at:
        messages.success(request, f"{person.name} is a number already: the name was replaced.")
        return redirect("shop:hand", person.pk)
    ask = asked(request)
    leaver = leaver_of(person, ask.shop, now=ask.now)
    is_open = leaver is not None and leaver.may_be_replaced(ask.today)
    told = replacing(
        request,
        named_leaver(person, ask.shop, today=ask.today),
        is_open=is_open,
        act=partial(replace_by_number, person, at=ask.now, shop=ask.shop, by=signed_in(request)),
        refused=PersonRefused,
    )
    if told.name:
        messages.success(request, f"Replaced: it says {told.name} from now on. What was done and paid is as it was.")
        return redirect("shop:hand", person.pk)
    context = told.context | {
        "person": person,
        "leaver": leaver,
        "is_open": is_open,
        "why_not": "" if is_open or leaver is None else leaver.refusal(ask.today),
    }
    return render(request, "shop/settings/records_hand.html", context, status=told.status)
