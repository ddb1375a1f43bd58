"""A quotation on paper, as the customer gets it."""

from fractions import Fraction

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404

from shop.access import may
from shop.asked import Asked, asked
from shop.file_answers import as_paper
from shop.models import Quote, Revision
from shop.quote_paper import Price, quote_paper
from shop.quote_standing import how_it_stands
from shop.quoting.actions import price_of, wanted_of
from shop.quoting.pricing import PriceRefused, deposit_on, tax_on
from shop.quoting.reckoning import Reckoner


@may("desk")
def quote_on_paper(request: HttpRequest, number: int, paper: str) -> HttpResponse:
    """The last revision, or the one that is asked for by its number."""
    quote = get_object_or_404(Quote.objects.select_related("customer", "order", "alters"), number=number)
    revision, here = _revision(quote, request.GET.get("revision", "")), asked(request)
    stands = how_it_stands(revision, today=here.today)
    document = quote_paper(revision, _price(revision, here), stands, here)
    return as_paper(document, paper, name=f"Quotation {number}, revision {revision.number}")


def _revision(quote: Quote, number: str) -> Revision:
    revisions = quote.revisions.order_by("-number")
    if not number:
        last = revisions.first()
    else:
        last = revisions.filter(number=int(number)).first() if number.isdecimal() and len(number) < 5 else None
    if last is None:
        raise Http404("There is no such revision.")
    last.quote = quote
    return last


def _price(revision: Revision, here: Asked) -> Price | None:
    """As it was sent; of a draft, as it would be sent today."""
    if revision.price_pence is not None:
        return Price(revision.price_pence, revision.tax_pence or 0, revision.deposit_pence or 0)
    reckoner = Reckoner(here.shop, on=here.today, words=here.words, unit=here.unit)
    reckoned = reckoner.reckon(wanted_of(revision))
    if reckoned.missing:
        return None
    try:
        pence = price_of(revision, reckoned)
    except PriceRefused:
        return None
    tax = tax_on(pence, Fraction(revision.tax_bp, 10_000))
    return Price(pence, tax, deposit_on(pence + tax, Fraction(revision.deposit_bp, 10_000)))
