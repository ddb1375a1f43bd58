"""What the shop's work has cost as a whole: what is in the shop on a day."""

from django.http import HttpRequest, HttpResponse, HttpResponseBase, StreamingHttpResponse
from django.shortcuts import render
from django.urls import reverse

from shop.access import may
from shop.asked import Asked, asked
from shop.conditional import conditional
from shop.cost_facts import names_of
from shop.cost_notes import left_out
from shop.csv_safe import csv_lines
from shop.forms.period_costs import OnForm
from shop.work_in_progress import HEADER, WorkInProgress, file_rows, work_in_progress


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
            "notes": _left_out(found, here),
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


def _left_out(found: WorkInProgress, here: Asked) -> tuple[str, ...]:
    names = names_of(gap.person_id for gap in found.gaps if gap.person_id is not None) if found.gaps else {}
    return left_out([], found.gaps, names, here.words)
