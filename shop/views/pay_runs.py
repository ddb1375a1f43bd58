"""Pay runs: the next one as it would be, closing it, and the closed ones with their sheets and files."""

from typing import Any
from uuid import uuid4

from django.contrib import messages
from django.db.models import Count, QuerySet, Sum
from django.http import HttpRequest, HttpResponse, HttpResponseBase, StreamingHttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST

from shop.access import may
from shop.asked import asked, signed_in
from shop.csv_safe import csv_lines
from shop.file_answers import as_paper, paper_links
from shop.models import PayRun, PaySheet
from shop.older import page_of
from shop.pay_paper import sheet_paper
from shop.pay_runs import RunRefused, close_run, draft, period_in_words
from shop.pay_sheet import HEADER, SheetTold, file_rows, of_closed, of_draft
from timing.facts import FactRefused
from timing.posted import read_token

MOST_RUNS = 60


@may("owner")
def pay_runs(request: HttpRequest) -> HttpResponse:
    """The next period as it would be paid now, and the runs that are closed."""
    return _show(request)


@may("owner")
@require_POST
def pay_close(request: HttpRequest) -> HttpResponse:
    """Close the next period as it was seen: once, however often the form is sent."""
    ask = asked(request)
    try:
        run = close_run(
            token=read_token(request.POST),
            digest=request.POST.get("digest", ""),
            shop=ask.shop,
            by=signed_in(request),
            now=ask.now,
        )
    except FactRefused as refused:
        return _show(request, trouble=str(refused), status=422)
    except RunRefused as refused:
        return _show(request, trouble=str(refused), status=409)
    messages.success(request, "Closed. Facts that come late are paid with the next run.")
    return redirect("shop:pay-run", run.pk)


def _show(request: HttpRequest, *, trouble: str = "", status: int = 200) -> HttpResponse:
    ask = asked(request)
    found = draft(ask.shop, now=ask.now)
    runs = PayRun.objects.annotate(hands=Count("sheets"), gross=Sum("sheets__gross_pence"))
    page = page_of(request, runs, day="first_on", most=MOST_RUNS)
    context: dict[str, Any] = {
        "draft": found,
        "sheets": [of_draft(sheet, found.period, ask.shop) for sheet in found.sheets],
        "period": period_in_words(found.period.first, found.period.last),
        "has_ended": found.period.last < ask.today,
        "rules": found.period.settings.by_rules,
        "runs": [(run, period_in_words(run.first_on, run.last_on)) for run in page.rows],
        "page": page,
        "token": uuid4(),
        "trouble": trouble,
    }
    return render(request, "shop/pay/runs.html", context, status=status)


@may("owner")
def pay_run(request: HttpRequest, pk: int) -> HttpResponse:
    """One closed run: every hand's sheet, and the file for the payroll."""
    run = get_object_or_404(PayRun.objects.select_related("closed_by__shop_hand"), pk=pk)
    rows = [(row, of_closed(row)) for row in _sheets(run)]
    context = {
        "run": run,
        "period": period_in_words(run.first_on, run.last_on),
        "rows": rows,
        "gross_pence": sum(row.gross_pence for row, _ in rows),
        "currency": rows[0][1].currency if rows else asked(request).shop.currency,
    }
    return render(request, "shop/pay/run.html", context)


def _sheets(run: PayRun) -> "QuerySet[PaySheet]":
    return PaySheet.objects.filter(run=run).select_related("run").prefetch_related("adjustments__of_run")


@may("owner")
def pay_run_csv(request: HttpRequest, pk: int) -> HttpResponseBase:
    """Every line of a run, for the payroll that follows: tax and stoppages are its business."""
    run = get_object_or_404(PayRun, pk=pk)
    lines = csv_lines(HEADER, file_rows(_sheets(run)))
    response = StreamingHttpResponse((line.encode() for line in lines), content_type="text/csv; charset=utf-8")
    response["Content-Disposition"] = f'attachment; filename="pay-{run.first_on}-{run.last_on}.csv"'
    return response


@may("owner")
def pay_sheet(request: HttpRequest, pk: int) -> HttpResponse:
    """One hand's closed sheet."""
    row = _closed(pk)
    context = {"row": row, "sheet": of_closed(row), "papers": paper_links("pay-sheet-paper", row.pk, asked={})}
    return render(request, "shop/pay/sheet.html", context)


@may("owner")
def pay_sheet_paper(request: HttpRequest, pk: int, paper: str) -> HttpResponse:
    """The same on paper."""
    row = _closed(pk)
    sheet: SheetTold = of_closed(row)
    document = sheet_paper(sheet, shop=row.told["shop"], today=asked(request).today)
    return as_paper(document, paper, name=f"Pay of {sheet.hand}, {sheet.period}")


def _closed(pk: int) -> PaySheet:
    rows = PaySheet.objects.select_related("run").prefetch_related("adjustments__of_run")
    return get_object_or_404(rows, pk=pk)
