"""What goes on at the bench without the network: the pages that a device keeps, and the script that opens them."""

from pathlib import Path
from typing import Any
from uuid import uuid4

from django.contrib.staticfiles import finders
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from shop.access import may, open_to_all
from shop.attendance_page import Here
from shop.bench_context import at_work, place_at_work
from shop.bench_kept import keep_for
from shop.conditional import conditional
from shop.views.bench_clock import OTHER_KINDS
from timing.clock import clock_of


@may("bench")
@conditional("minute")
def kept(request: HttpRequest) -> HttpResponse:
    """Each page as a template, for a device to show when the shop does not answer; opened by itself it says so.

    Where the hand is stands in none of them: the device knows, and what it keeps stays the same while nothing is saved.
    """
    me = at_work(request)
    clock = clock_of(me.user.pk)
    there = keep_for(me, clock.task if clock else None)
    context: dict[str, Any] = {
        "at_work": place_at_work(request),
        "kept": there.jobs,
        "found": there.found,
        "other_kinds": [(kind.value, kind.label) for kind in OTHER_KINDS],
        "here": Here.of(me.user.pk, me.shop, now=me.now),
        "token": uuid4(),
        "now": me.now,
        "zone": me.shop.zone,
    }
    return render(request, "shop/bench/kept.html", context)


@open_to_all
def worker(request: HttpRequest) -> HttpResponse:
    """The service worker, from an address under which it may answer for the bench's pages."""
    path = finders.find("timing/worker.js")
    if not isinstance(path, str):
        raise FileNotFoundError("timing/worker.js is not among the static files.")
    return HttpResponse(Path(path).read_bytes(), content_type="text/javascript", headers={"Cache-Control": "no-cache"})
