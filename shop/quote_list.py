"""The list of quotations: those that are open first, then the others, the newest first; paged by key."""

from collections.abc import Sequence
from dataclasses import dataclass

from django.db.models import Exists, OuterRef, Prefetch, Q, QuerySet
from django.utils.safestring import SafeString

from shop.asked import Asked
from shop.drawings import BOOK_WHEELS, small_finished_wheel
from shop.models import Quote, QuoteLot, Revision
from shop.money import format_pence
from shop.quote_words import is_expired, price_choice, state_in_words

A_PAGE = 40


@dataclass(frozen=True, slots=True)
class QuoteRow:
    """One quotation as its row shows it. `is_open`: it is a draft, or out and may still be taken."""

    quote: Quote
    wheels: list[SafeString]
    more_wheels: int
    state: str
    beside: str
    price: str
    follows: str
    is_open: bool
    is_expired: bool


@dataclass(frozen=True, slots=True)
class QuotePageOfList:
    rows: list[QuoteRow]
    next_key: str

    @property
    def open(self) -> list[QuoteRow]:
        return [row for row in self.rows if row.is_open]

    @property
    def others(self) -> list[QuoteRow]:
        return [row for row in self.rows if not row.is_open]


def find_quotes(text: str) -> QuerySet[Quote]:
    """Quotations by number, customer or carriage; each word must be found somewhere."""
    quotes = Quote.objects.all()
    for word in text.split():
        asked = Q(carriage__icontains=word) | Q(customer__name__icontains=word)
        if word.isdecimal() and len(word) <= 9:
            asked |= Q(number=int(word))
        quotes = quotes.filter(asked)
    return quotes


def list_quotes(text: str, here: Asked, *, after: str = "") -> QuotePageOfList:
    """A page of the list. A key is "open.12" or "other.12": the last one shown, by its number."""
    mine = Revision.objects.filter(quote=OuterRef("pk"))
    stands = Q(state=Revision.State.DRAFT) | Q(state=Revision.State.SENT, last_on__gte=here.today)
    quotes = find_quotes(text).annotate(is_open=Exists(mine.filter(stands)))
    kind, _, number = after.partition(".")
    if number.isdecimal() and len(number) <= 9:
        later = Q(is_open=False) if kind == "open" else Q(pk=None)
        quotes = quotes.filter(later | Q(is_open=kind == "open", number__lt=int(number)))
    page = list(
        quotes.select_related("customer", "order", "alters")
        .prefetch_related(Prefetch("revisions", Revision.objects.defer("frozen").order_by("number")))
        .order_by("-is_open", "-number")[: A_PAGE + 1]
    )
    shown = page[:A_PAGE]
    last = shown[-1] if len(page) > A_PAGE else None
    key = f"{'open' if _is_open(last, here) else 'other'}.{last.number}" if last else ""
    return QuotePageOfList(_rows(shown, here), key)


def standing(revisions: Sequence[Revision]) -> Revision:
    """The revision by which a quotation is known: what was accepted, else what is out, else the last."""
    for state in (Revision.State.ACCEPTED, Revision.State.SENT):
        for revision in revisions:
            if revision.state == state:
                return revision
    return revisions[-1]


def _is_open(quote: Quote, here: Asked) -> bool:
    """As the list is ordered: a draft stands, or an offer that may still be accepted."""
    return any(
        one.is_draft or (one.state == Revision.State.SENT and not is_expired(one, here.today))
        for one in quote.revisions.all()
    )


def _rows(quotes: Sequence[Quote], here: Asked) -> list[QuoteRow]:
    by = {quote.pk: standing(list(quote.revisions.all())) for quote in quotes}
    lots: dict[int, list[QuoteLot]] = {revision.pk: [] for revision in by.values()}
    for lot in QuoteLot.objects.filter(revision__in=list(lots)):
        lots[lot.revision_id].append(lot)
    return [_row(quote, by[quote.pk], lots[by[quote.pk].pk], here) for quote in quotes]


def _row(quote: Quote, revision: Revision, lots: Sequence[QuoteLot], here: Asked) -> QuoteRow:
    wheels, more = _drawn(lots)
    draft = next((one for one in quote.revisions.all() if one.is_draft and one != revision), None)
    currency = revision.currency or here.shop.currency
    priced = revision.price_pence
    if priced is None and revision.price_by == Revision.PriceBy.PRICE:
        priced = revision.price_figure
    return QuoteRow(
        quote=quote,
        wheels=wheels,
        more_wheels=more,
        state=state_in_words(revision, quote, today=here.today, zone=here.zone),
        beside=f"revision {draft.number} is being written" if draft else revision.answer_note,
        price=format_pence(priced, currency) if priced is not None else "",
        follows="" if priced is not None else f"at {price_choice(revision, currency)}",
        is_open=_is_open(quote, here),
        is_expired=is_expired(revision, here.today),
    )


def _drawn(lots: Sequence[QuoteLot]) -> tuple[list[SafeString], int]:
    """The first few wheels, small, as they would stand; and how many more there are."""
    drawn: list[SafeString] = []
    for lot in lots:
        for number in range(min(lot.wheels, BOOK_WHEELS - len(drawn))):
            drawn.append(small_finished_wheel(lot.makeup, title=lot.name, ident=f"quoted-{lot.pk}-{number}"))
    return drawn, sum(lot.wheels for lot in lots) - len(drawn)
