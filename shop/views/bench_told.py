"""What a hand was told in writing of its pay, and what it agreed to, at the bench: its own alone, and to be read."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters

from shop.access import may
from shop.agreeing import standing_overtime
from shop.asked import asked
from shop.bench_context import at_work, place_at_work
from shop.file_answers import as_paper, paper_links
from shop.models import OutputNotice
from shop.older import page_of
from shop.output_paper import notice_paper
from shop.views.bench_pay import behind_the_pin

MOST = 60


@may("bench")
@never_cache
@sensitive_post_parameters("pin")
@behind_the_pin
def told(request: HttpRequest) -> HttpResponse:
    """Notices of rated output work, the newest first, and what stands of agreements on overtime."""
    me = at_work(request)
    notices = OutputNotice.objects.filter(hand=me.user).select_related("mean__operation")
    page = page_of(request, notices, day="given_on", most=MOST)
    context = {"at_work": place_at_work(request), "page": page, "agreed": standing_overtime(me.hand)[::-1]}
    return render(request, "shop/bench/told.html", context)


@may("bench")
@never_cache
@sensitive_post_parameters("pin")
@behind_the_pin
def notice(request: HttpRequest, pk: int) -> HttpResponse:
    """One's own notice, as it was given; another's is not there."""
    row = _own_notice(request, pk)
    papers = paper_links("bench-notice-paper", row.pk, asked={})
    context = {"at_work": place_at_work(request), "row": row, "papers": papers}
    return render(request, "shop/bench/notice.html", context)


@may("bench")
@never_cache
@sensitive_post_parameters("pin")
@behind_the_pin
def notice_on_paper(request: HttpRequest, pk: int, paper: str) -> HttpResponse:
    """The same on paper."""
    document = notice_paper(_own_notice(request, pk), asked(request))
    return as_paper(document, paper, name=document.title)


def _own_notice(request: HttpRequest, pk: int) -> OutputNotice:
    rows = OutputNotice.objects.select_related("hand__shop_hand", "mean__operation")
    return get_object_or_404(rows, pk=pk, hand=at_work(request).user)
