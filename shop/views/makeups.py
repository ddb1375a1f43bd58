"""The library of make-ups: the list, one of them, a new one, a copy, a change, and retiring."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.safestring import SafeString
from django.views.decorators.http import require_POST

from jobs.library import (
    PUBLISHED,
    LibraryRefused,
    add_to_library,
    bring_back_to_library,
    by_name,
    change_in_library,
    retire_from_library,
)
from jobs.models import LibraryMakeUp
from jobs.writing import writing
from shop.access import may
from shop.asked import asked
from shop.drawings import finished_wheel, small_finished_wheel
from shop.forms.makeups import KnownMakeUpForm, LibraryForm, MakeUpForm, measures_now
from shop.forms.seen import STATE, Overtaken, meet_together
from shop.forms.together import Together
from shop.makeup_page import MakeUpPage

A_PAGE = 40


@may("desk", "bench")
def makeups(request: HttpRequest) -> HttpResponse:
    """The library by name, those in use or the retired ones."""
    retired = "retired" in request.GET
    after = request.GET.get("after", "").replace("\0", "")
    page = list(by_name(retired=retired, after=after)[: A_PAGE + 1])
    context = {
        "rows": [_row(row) for row in page[:A_PAGE]],
        "next_after": page[A_PAGE - 1].name if len(page) > A_PAGE else "",
        "begins_later": bool(after),
        "retired": retired,
        "may_change": asked(request).is_desk,
        "unit": asked(request).unit,
    }
    return render(request, "shop/orders/makeups.html", context)


def _row(row: LibraryMakeUp) -> tuple[LibraryMakeUp, SafeString]:
    return row, small_finished_wheel(row.makeup, title=f"{row.name}, finished", ident=f"make-up-{row.pk}")


@may("desk", "bench")
def makeup(request: HttpRequest, pk: int) -> HttpResponse:
    """One make-up, drawn large with all its measures."""
    row = get_object_or_404(LibraryMakeUp, pk=pk)
    here = asked(request)
    context = {
        "row": row,
        "drawing": finished_wheel(row.makeup, words=here.words, unit=here.unit, ident=f"make-up-{row.pk}"),
        "sheet": MakeUpPage(row.makeup, words=here.words, unit=here.unit, new_work=False),
        "is_published": row.status == PUBLISHED,
        "may_change": here.is_desk,
    }
    return render(request, "shop/orders/makeup.html", context)


@may("desk")
def makeup_new(request: HttpRequest) -> HttpResponse:
    """A new make-up, empty or begun as a copy of another (`?copy=` its number)."""
    before = None
    copied = request.GET.get("copy", "")
    if copied.isdecimal() and len(copied) < 16:
        before = get_object_or_404(LibraryMakeUp, pk=int(copied))
    about = LibraryForm(request.POST or None, initial=_copied(before))
    return _edit(request, about, before, title="New make-up", act_label="Put it in the library")


@may("desk")
def makeup_change(request: HttpRequest, pk: int) -> HttpResponse:
    """Change one of the shop's own; orders keep the copy that they have."""
    row = get_object_or_404(LibraryMakeUp, pk=pk)
    if row.status == PUBLISHED:
        messages.warning(request, "A published make-up stays as it was printed: change this copy of it.")
        return redirect(reverse("shop:makeup-new") + f"?copy={row.pk}")
    about = LibraryForm(request.POST or None, row=row, initial=_about(row))
    return _edit(request, about, row, title=f"Change “{row.name}”", act_label="Keep the change", row=row)


def _about(row: LibraryMakeUp) -> dict[str, str]:
    told = {name: getattr(row, name) for name in ("name", "carriage", "place", "source")}
    return told | {STATE: "This make-up was retired" if row.retired_at else ""}


def _copied(before: LibraryMakeUp | None) -> dict[str, str]:
    if before is None:
        return {}
    return {
        "name": f"{before.name}, our own"[:80],
        "carriage": before.carriage,
        "place": before.place,
        "source": f"After “{before.name}”.",
    }


def _edit(
    request: HttpRequest,
    about: LibraryForm,
    before: LibraryMakeUp | None,
    *,
    title: str,
    act_label: str,
    row: LibraryMakeUp | None = None,
) -> HttpResponse:
    here = asked(request)
    measures = (MakeUpForm if row is None else KnownMakeUpForm)(
        request.POST or None,
        words=here.words,
        unit=here.unit,
        makeup=before.makeup if before else None,
    )
    status = 200
    if request.method == "POST":
        status = 422
        if all([about.is_valid(), measures.is_valid()]) and measures.is_accepted and measures.makeup:
            try:
                if row is None:
                    row = add_to_library(measures.makeup, **about.answers)
                else:
                    _change(row.pk, about, measures)
                messages.success(request, about.told(f"“{about.answers['name']}” is in the library."))
                return redirect("shop:makeup", row.pk)
            except LibraryRefused as refused:
                about.add_error("name", str(refused))
            except Overtaken:
                status = 409
    context = {"form": Together(about, measures), "about": about, "measures": measures, "title": title}
    return render(
        request,
        "shop/orders/makeup_form.html",
        context | {"act_label": act_label, "before": before, "row": row},
        status=status,
    )


def _change(pk: int, about: LibraryForm, measures: MakeUpForm) -> None:
    """Raises Overtaken where the make-up was changed by another meanwhile."""
    with writing():
        now = LibraryMakeUp.objects.select_for_update().get(pk=pk)
        if isinstance(measures, KnownMakeUpForm):
            meet_together((about, _about(now)), (measures, measures_now(now.makeup)))
        if measures.makeup is None or not measures.is_accepted:
            raise Overtaken
        change_in_library(now, measures.makeup, **about.answers)
    about.meets += getattr(measures, "meets", [])


@may("desk")
@require_POST
def makeup_retire(request: HttpRequest, pk: int) -> HttpResponse:
    """Offer a make-up no longer, or again."""
    row = get_object_or_404(LibraryMakeUp, pk=pk)
    if request.POST.get("back"):
        bring_back_to_library(row)
        messages.success(request, f"“{row.name}” is offered again.")
    else:
        retire_from_library(row, at=timezone.now())
        messages.success(request, f"“{row.name}” is offered no longer; orders that use it keep their copy.")
    return redirect("shop:makeup", row.pk)
