"""What if a draft's wheels were made otherwise? Asked in the address, so that nothing is saved by looking."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from jobs.writing import writing
from shop.access import may
from shop.asked import asked
from shop.forms.together import Together
from shop.models import Quote
from shop.quote_what_if import WhatIf
from shop.quoting.actions import put_lots
from shop.quoting.altering import QuoteRefused
from shop.quoting.drafts import ChangedMeanwhile, change_draft, check_seen, held_draft, rows_of, wheels_mark
from shop.views.quotes import find_quote, reckoner_for


@may("desk")
def quote_what_if(request: HttpRequest, number: int) -> HttpResponse:
    """A GET compares, a POST puts what was compared into the draft."""
    one, here = find_quote(number), asked(request)
    draft = one.revisions.drafts().first()
    if draft is None or one.alters_id:
        messages.warning(request, "What if is asked of a draft: revise it first.")
        return redirect("shop:quote", number)
    data = request.POST if request.method == "POST" else request.GET
    what_if = WhatIf(draft, here, reckoner_for(here), data)
    status, told = 200, ""
    if request.method == "POST":
        status = 422
        if what_if.is_valid:
            try:
                _put_into(one, what_if, request)
            except ChangedMeanwhile as changed:
                status, told = 409, str(changed)
            except QuoteRefused as refused:
                messages.warning(request, str(refused))
                return redirect("shop:quote", number)
            else:
                messages.success(request, "The draft has these wheels now.")
                return redirect("shop:quote", number)
    elif what_if.is_asked and not what_if.is_valid:
        status = 422
    context = {
        "quote": one,
        "asked": what_if,
        "compared": what_if.compared if what_if.is_valid else [],
        "mark": request.POST["saw"] if status == 422 and "saw" in request.POST else wheels_mark(rows_of(draft)),
        "told": told,
        "form": Together(*what_if.forms),
    }
    return render(request, "shop/quotes/what_if.html", context, status=status)


def _put_into(quote: Quote, what_if: WhatIf, request: HttpRequest) -> None:
    with writing():
        now = held_draft(quote)
        check_seen(request.POST.get("saw", ""), wheels_mark(rows_of(now)), "The wheels")
        put_lots(now, what_if.other_rows)
        change_draft(now, at=asked(request).now)
