"""Settings: the list of operations, and what each waits on."""

from collections.abc import Mapping
from contextlib import suppress
from typing import Any

from django.contrib import messages
from django.db.models import Prefetch
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST

from jobs.models import Operation, Wait
from jobs.operations import OperationRefused
from jobs.words import in_words
from jobs.writing import writing
from shop.access import may
from shop.asked import signed_in
from shop.context import current_shop
from shop.forms.operations import OperationForm, WaitForm, operation_now, waits_now
from shop.forms.seen import Overtaken, status_of
from shop.models import Shop
from shop.operations import (
    add_operation,
    drop_wait,
    edit_operation,
    is_worked,
    restore_operation,
    retire_operation,
    set_wait,
)
from shop.order_page import HEADINGS


@may("owner")
def operations(request: HttpRequest) -> HttpResponse:
    """The list by part of the wheel, each in its order, and what was retired from it."""
    waits = Prefetch("waits", Wait.objects.select_related("on_operation").order_by("on_operation__position"))
    everything = list(Operation.objects.prefetch_related(waits))
    words = _words(request)
    by_part: dict[str, list[Operation]] = {}
    for one in everything:
        if one.retired_at is None:
            by_part.setdefault(one.part, []).append(one)
    context = {
        "parts": [(in_words(HEADINGS[part], words), by_part[part]) for part in HEADINGS if part in by_part],
        "retired": [one for one in everything if one.retired_at is not None],
    }
    return render(request, "shop/settings/operations.html", context)


@may("owner")
def operation_new(request: HttpRequest) -> HttpResponse:
    last = Operation.objects.in_use().last()
    initial = {"works": ["new"], "after": last.pk if last else None}
    words = _words(request)
    form = OperationForm(request.POST or None, words=words, initial=initial)
    if form.is_valid():
        try:
            operation = add_operation(**form.asked, by=signed_in(request))
        except OperationRefused as refused:
            form.add_error("name", in_words(str(refused), words))
        else:
            messages.success(request, "Added. Orders taken from now on have it: say here what it waits on.")
            return redirect("shop:operation", operation.pk)
    return render(request, "shop/settings/operation_new.html", {"form": form}, status=422 if form.errors else 200)


@may("owner")
def operation(request: HttpRequest, pk: int) -> HttpResponse:
    """One operation, and what it waits on."""
    one = get_object_or_404(Operation, pk=pk)
    if request.method != "POST":
        return _page(request, one, OperationForm(words=_words(request), operation=one))
    words = _words(request)
    form = OperationForm(request.POST, words=words, operation=one)
    if form.is_valid():
        try:
            with suppress(Overtaken), writing():
                now = Operation.objects.select_for_update().get(pk=pk)
                form.meet(operation_now(now, words))
                edit_operation(now, **form.asked, by=signed_in(request))
                messages.success(request, form.told(f"Kept “{in_words(now.name, words)}”."))
                return redirect("shop:operations")
        except OperationRefused as refused:
            form.add_error(None, in_words(str(refused), words))
    return _page(request, one, form, wrong=form)


@may("owner")
@require_POST
def operation_retire(request: HttpRequest, pk: int) -> HttpResponse:
    one = get_object_or_404(Operation, pk=pk)
    retire_operation(one, at=timezone.now(), by=signed_in(request))
    name = in_words(one.name, _words(request))
    messages.success(request, f"“{name}” is retired: orders taken from now on go without it, others keep theirs.")
    return redirect("shop:operations")


@may("owner")
@require_POST
def operation_restore(request: HttpRequest, pk: int) -> HttpResponse:
    one = get_object_or_404(Operation, pk=pk)
    restore_operation(one, by=signed_in(request))
    messages.success(request, f"“{in_words(one.name, _words(request))}” is in use again, for orders taken from now on.")
    return redirect("shop:operations")


@may("owner")
@require_POST
def wait_add(request: HttpRequest, pk: int) -> HttpResponse:
    """Have the operation wait on another; for one that it waits on already, change how."""
    one = get_object_or_404(Operation, pk=pk)
    words = _words(request)
    form = WaitForm(request.POST, words=words, operation=one)
    if form.is_valid():
        try:
            with suppress(Overtaken), writing():
                now = Operation.objects.select_for_update().get(pk=pk)
                if not _has_wait(now, **form.answers):
                    form.meet(waits_now(now, words))
                set_wait(now, **form.answers, by=signed_in(request))
                messages.success(request, "The wait is kept. It holds for all orders from now on.")
                return redirect(f"{reverse('shop:operation', args=[pk])}#waits")
        except OperationRefused as refused:
            form.add_error("on", in_words(str(refused), words))
    return _page(request, one, OperationForm(words=words, operation=one), wait_form=form, wrong=form)


def _has_wait(operation: Operation, on: Operation, how: str, standing_minutes: int) -> bool:
    """Whether it waits so already: the same form sent twice overtakes nobody."""
    return operation.waits.filter(on_operation=on, how=how, standing_minutes=standing_minutes).exists()


@may("owner")
@require_POST
def wait_drop(request: HttpRequest, pk: int) -> HttpResponse:
    wait = get_object_or_404(Wait.objects.select_related("operation", "on_operation"), pk=pk)
    drop_wait(wait, by=signed_in(request))
    messages.success(request, "It no longer waits on that.")
    return redirect(f"{reverse('shop:operation', args=[wait.operation_id])}#waits")


def _page(
    request: HttpRequest,
    one: Operation,
    form: OperationForm,
    *,
    wait_form: WaitForm | None = None,
    wrong: OperationForm | WaitForm | None = None,
) -> HttpResponse:
    context: dict[str, Any] = {
        "operation": one,
        "form": form,
        "wait_form": wait_form or WaitForm(words=_words(request), operation=one),
        "waits": one.waits.select_related("on_operation").order_by("on_operation__position"),
        "has_work": is_worked(one),
        "wrong": wrong is not None,
        "wrong_form": wrong,
    }
    return render(request, "shop/settings/operation.html", context, status=status_of(wrong) if wrong else 200)


def _words(request: HttpRequest) -> Mapping[str, str]:
    return (current_shop(request) or Shop()).words
