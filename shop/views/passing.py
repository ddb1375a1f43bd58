"""Passing: pieces made and spoiled, by day and hand, before they are paid."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from shop.access import may
from shop.asked import asked, signed_in
from shop.passing import by_day, ids_read, ids_written, pass_stretches
from shop.pay_facts import Scheme, waiting_to_be_passed

MOST = 1000


@may("owner")
def passing(request: HttpRequest) -> HttpResponse:
    """What waits, the oldest first; one touch passes a hand's day, or all that is shown."""
    ask = asked(request)
    trouble = ""
    if request.method == "POST":
        try:
            ids = ids_read(request.POST.get("stretches", ""))
        except ValueError as error:
            trouble = str(error)
        else:
            count = pass_stretches(ids, by=signed_in(request), at=ask.now)
            messages.success(request, f"Passed: {count} entr{'y' if count == 1 else 'ies'}.")
            return redirect("shop:passing")
    waiting = waiting_to_be_passed(Scheme.load(ask.words), most=MOST)
    days = by_day(waiting.rows)
    context = {
        "days": days,
        "pieces": sum(one.made for one in waiting.rows),
        "spoiled": sum(one.spoiled for one in waiting.rows),
        "all_key": ids_written(pk for day in days for pk in day.stretch_ids),
        "is_cut": waiting.is_cut,
        "trouble": trouble,
    }
    return render(request, "shop/pay/passing.html", context, status=422 if trouble else 200)
