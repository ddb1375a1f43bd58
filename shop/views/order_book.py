"""The order book and its closed pages."""

from urllib.parse import urlencode

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse

from jobs.models import Order
from shop.access import may
from shop.asked import asked
from shop.backup_words import late_backup
from shop.conditional import conditional
from shop.forms.search import FindForm
from shop.order_book import book_rows, closed_orders, find, open_orders


@may("desk", "bench")
@conditional("minute")
def order_book(request: HttpRequest) -> HttpResponse:
    """Open orders, most urgent first. A number typed in full goes straight to its order."""
    form = FindForm.asking(request.GET.get("q", ""))
    text = form.text
    if text.isdecimal() and len(text) <= 9 and Order.objects.filter(number=int(text)).exists():
        return redirect("shop:order", int(text))
    here = asked(request)
    orders, next_key = open_orders(text, after=request.GET.get("after", ""))
    rows = book_rows(orders, here)
    is_empty = not (rows or text or "after" in request.GET)
    context = {
        "form": form,
        "rows": rows,
        "text": text,
        "late": sum(bool(row.late) for row in rows),
        "today": here.today,
        "next_url": _url("order-book", q=text, after=next_key) if next_key else "",
        "begins_later": "after" in request.GET,
        "is_desk": here.is_desk,
        "closed": Order.objects.closed().count() if is_empty else 0,
        "closed_url": _url("orders-closed", q=text),
        "late_backup": late_backup(request, here),
        "closed_too": bool(text) and find(Order.objects.closed(), text).exists(),
    }
    return render(request, "shop/orders/book.html", context)


@may("desk", "bench")
@conditional("day")
def closed(request: HttpRequest) -> HttpResponse:
    """Orders fetched, paid or dropped, the newest first."""
    form = FindForm.asking(request.GET.get("q", ""))
    text = form.text
    page = closed_orders(text, before=_number(request, "before"), after=_number(request, "after"))
    context = {
        "form": form,
        "page": page,
        "text": text,
        "older_url": _url("orders-closed", q=text, before=page.older_than) if page.older_than else "",
        "newer_url": _url("orders-closed", q=text, after=page.newer_than) if page.newer_than else "",
    }
    return render(request, "shop/orders/closed.html", context)


def _number(request: HttpRequest, name: str) -> int:
    text = request.GET.get(name, "")
    return int(text) if text.isdecimal() and len(text) <= 9 else 0


def _url(name: str, **query: object) -> str:
    asked_for = urlencode({key: value for key, value in query.items() if value})
    return reverse(f"shop:{name}") + (f"?{asked_for}" if asked_for else "")
