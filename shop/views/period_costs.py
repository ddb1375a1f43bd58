"""What the shop's work has cost as a whole: over a period, and what is in the shop on a day; overhead written down."""

from collections.abc import Sequence
from datetime import timedelta

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, HttpResponseBase, StreamingHttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse

from shop.access import may
from shop.amounts import ChargeRefused
from shop.asked import Asked, asked, signed_in
from shop.conditional import conditional
from shop.cost_facts import names_of
from shop.cost_notes import left_out, unpriced_material
from shop.cost_sums import Gap
from shop.csv_safe import csv_lines
from shop.days import day_in_words
from shop.forms.charges import TakeBackForm
from shop.forms.period_costs import OnForm, OverheadForm, PeriodCostsForm
from shop.models import OverheadSpent
from shop.money import format_pence
from shop.overheads import Overhead, add_overhead, take_back_overhead
from shop.period_costs import Period, month_of, read_period
from shop.period_page import PeriodPage
from shop.work_in_progress import HEADER, file_rows, work_in_progress


@may("owner")
@conditional("day")
def costs(request: HttpRequest) -> HttpResponse:
    """A period: work on wheels, overhead absorbed and spent, what is in no wheel, and spoiled work. The last whole
    month unless asked."""
    here = asked(request)
    usual = month_of(here.today.replace(day=1) - timedelta(days=1))
    ends = {"from": usual.first.isoformat(), "to": usual.last.isoformat()}
    form = PeriodCostsForm({name: request.GET.get(name, day) for name, day in ends.items()})
    context: dict[str, object] = {"form": form}
    if form.is_valid():
        found = read_period(Period(form.cleaned_data["first"], form.cleaned_data["last"]))
        context |= {
            "page": PeriodPage(found, here.shop.normal_spoiled_percent, here.shop.currency),
            "found": found,
            "notes": _left_out(found.gaps, found.unpriced, here),
        }
    return render(request, "shop/books/period_costs.html", context, status=422 if form.errors else 200)


@may("owner")
def overhead_new(request: HttpRequest) -> HttpResponse:
    """Write down overhead that was spent."""
    here = asked(request)
    form = OverheadForm(request.POST or None, currency=here.shop.currency, today=here.today, initial={"on": here.today})
    if form.is_valid():
        told = form.cleaned_data
        overhead = Overhead(told["token"], told["what"], told["amount"], told["on"])
        try:
            add_overhead(overhead, by=signed_in(request), at=here.now)
        except ChargeRefused as refused:
            form.add_error(None, str(refused))
        else:
            messages.success(request, "Written down.")
            return redirect(_costs_url(month_of(told["on"])))
    context = {
        "form": form,
        "title": "Overhead spent",
        "sentence": "What the shop paid for that no wheel is charged with.",
        "act_label": "Write it down",
        "leave_url": reverse("shop:costs"),
    }
    return render(request, "shop/books/overhead.html", context, status=422 if form.errors else 200)


@may("owner")
def overhead_take_back(request: HttpRequest, pk: int) -> HttpResponse:
    """Take back an amount that was wrong, and say why."""
    here, row = asked(request), get_object_or_404(OverheadSpent, pk=pk)
    form = TakeBackForm(request.POST or None)
    leave_url = _costs_url(month_of(row.on))
    if form.is_valid():
        told = form.cleaned_data
        try:
            take_back_overhead(row, token=told["token"], reason=told["reason"], by=signed_in(request), at=here.now)
        except ChargeRefused as refused:
            form.add_error(None, str(refused))
        else:
            messages.success(request, "Taken back.")
            return redirect(leave_url)
    context = {
        "form": form,
        "title": f"Take back {format_pence(row.amount_pence, here.shop.currency)}",
        "sentence": f"{row.what}, {day_in_words(row.on)}. Both rows stay readable, and come to nothing.",
        "act_label": "Take it back",
        "leave_url": leave_url,
    }
    return render(request, "shop/books/overhead.html", context, status=422 if form.errors else 200)


def _costs_url(period: Period) -> str:
    return f"{reverse('shop:costs')}?from={period.first.isoformat()}&to={period.last.isoformat()}"


@may("owner")
@conditional("day")
def in_progress(request: HttpRequest) -> HttpResponse:
    """The value of what was in the shop at the end of a day, order by order."""
    here = asked(request)
    form = _on_form(request, here)
    context: dict[str, object] = {"form": form}
    if form.is_valid():
        found = work_in_progress(form.cleaned_data["on"], here.zone)
        context |= {
            "found": found,
            "notes": _left_out(found.gaps, found.unpriced, here),
            "file_url": f"{reverse('shop:work-in-progress-csv')}?on={found.on.isoformat()}",
        }
    return render(request, "shop/books/work_in_progress.html", context, status=422 if form.errors else 200)


@may("owner")
def in_progress_csv(request: HttpRequest) -> HttpResponseBase:
    """The same as a file, in whole pence."""
    here = asked(request)
    form = _on_form(request, here)
    if not form.is_valid():
        return HttpResponse(form.errors["on"][0], status=422, content_type="text/plain; charset=utf-8")
    found = work_in_progress(form.cleaned_data["on"], here.zone)
    lines = csv_lines(HEADER, file_rows(found))
    response = StreamingHttpResponse((line.encode() for line in lines), content_type="text/csv; charset=utf-8")
    response["Content-Disposition"] = f'attachment; filename="work-in-progress-{found.on}.csv"'
    return response


def _on_form(request: HttpRequest, here: Asked) -> OnForm:
    return OnForm({"on": request.GET.get("on", here.today.isoformat())}, today=here.today)


def _left_out(gaps: Sequence[Gap], unpriced: Sequence[str], here: Asked) -> tuple[str, ...]:
    names = names_of(gap.person_id for gap in gaps if gap.person_id is not None) if gaps else {}
    return (*left_out([], gaps, names, here.words), *unpriced_material(unpriced))
