"""Quotations of the example beside those of its closed orders: of one in hand, not wanted, expired, out, a draft."""

import uuid
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from django.contrib.auth.models import User

from jobs.models import LibraryMakeUp, Order
from jobs.models.operations import Work
from jobs.orders import WheelRow
from shop.example.orders import FORE, HIND, PAIR
from shop.example.taking import TOKENS
from shop.models import Quote, QuoteItem, Revision, Shop
from shop.quoting.actions import Item, put_items, refuse, send, start_quote, wanted_of
from shop.quoting.drafts import change_draft, rows_like
from shop.quoting.reckoning import Reckoner

# What this shop asks of everybody; each further quotation begins with it.
USUAL = {
    "tax_bp": 2000,
    "deposit_bp": 3000,
    "weeks": 8,
    "excluded": "Work on the carriage itself; fetching and bringing.",
    "terms": "Deposit with the order, the rest when the wheels are fetched.",
}
DAYS_TO_DECIDE = 6
BOXES = Item(QuoteItem.Kind.GOODS, "Axle boxes, the customer’s pattern", 6800)
RATES = (
    Item(QuoteItem.Kind.RATE, "A new spoke, with its timber", 5200, per=QuoteItem.Per.SPOKE),
    Item(QuoteItem.Kind.RATE, "A new felloe, with its timber", 9400, per=QuoteItem.Per.FELLOE),
    Item(QuoteItem.Kind.RATE, "Other work that is found", 4100, per=QuoteItem.Per.HOUR),
)


@dataclass(frozen=True, slots=True)
class Told:
    """One quotation: written out so many days ago (None: it is a draft), at what price, and what was answered."""

    customer: str
    carriage: str
    rows: Sequence[WheelRow]
    days_ago: int | None
    price_by: str = Revision.PriceBy.MARGIN
    figure: int = 2000
    items: Sequence[Item] = ()
    not_wanted: str = ""
    order: Order | None = None


def enter_quotes(*, today: date, by: User, zone: ZoneInfo) -> None:
    """Enter them in the order of their days, each reckoned by the rates and prices of its day."""
    # The draft comes last.
    told = sorted([_accepted(today), *_others()], key=lambda one: -1 if one.days_ago is None else one.days_ago)
    told.reverse()
    for place, one in enumerate(told):
        day = today - timedelta(days=one.days_ago or 0)
        _enter(one, place, day, datetime.combine(day, time(9), tzinfo=zone), by)


def _accepted(today: date) -> Told:
    """What an order in hand began with."""
    order = Order.objects.filter(carriage="Wagonette", customer__name="Lady Harcombe").first()
    if order is None or order.taken_on is None:
        raise ValueError("The example has no wagonette for Lady Harcombe.")
    days_ago = (today - order.taken_on).days + DAYS_TO_DECIDE
    return Told(order.customer.name, order.carriage, rows_like(order), days_ago, order=order)


def _others() -> list[Told]:
    by = Revision.PriceBy
    return [
        Told(
            "Mr Quill",
            "Gig",
            [_row("Gig", "pair", PAIR)],
            75,
            price_by=by.PRICE,
            figure=265_000,
            not_wanted="Keeps the old wheels another year",
        ),
        Told("The Lantern brewery", "Two-wheeled cart", [_row("Farm cart", "pair", PAIR)], 48),
        Told(
            "Ashcombe driving club",
            "Wagonette",
            [_row("Wagonette, fore", "fore pair", FORE), _row("Wagonette, hind", "hind pair", HIND, spare_spokes=2)],
            5,
            price_by=by.CHANCE,
            figure=8000,
            items=[BOXES],
        ),
        Told(
            "Corbel Hall stables",
            "Wagonette",
            [_row("Wagonette, hind", "hind pair", HIND, work=Work.NEW_SPOKES)],
            None,
            items=RATES,
        ),
    ]


def _row(library: str, name: str, places: Sequence[str], **others: object) -> WheelRow:
    row = LibraryMakeUp.objects.get(name=library)
    return WheelRow(row.makeup, name, list(places), library=row, **others)  # type: ignore[arg-type]


def _enter(told: Told, place: int, day: date, at: datetime, by: User) -> None:
    quote = start_quote(
        token=uuid.uuid5(TOKENS, f"quote {place}"),
        customer=told.customer,
        carriage=told.carriage,
        rows=told.rows,
        by=by,
        at=at,
    )
    draft = quote.revisions.get()
    put_items(draft, told.items)
    change_draft(draft, at=at, price_by=told.price_by, price_figure=told.figure, **USUAL)
    if told.days_ago is None:
        return
    shop = Shop.objects.get()
    reckoner = Reckoner(shop, on=day, words=shop.words, unit="mm")
    sent = send(quote, reckoner.reckon(wanted_of(draft)), seen=draft.token, by=by, at=at, on=day)
    answered_at = at + timedelta(days=DAYS_TO_DECIDE)
    if told.not_wanted:
        refuse(quote, sent, note=told.not_wanted, by=by, at=answered_at)
    elif told.order:
        _link(quote, sent, told.order, by, answered_at)


def _link(quote: Quote, sent: Revision, order: Order, by: User, at: datetime) -> None:
    """The order is in the book already: it is what accepting this made."""
    Revision.objects.filter(pk=sent.pk).update(
        state=Revision.State.ACCEPTED, answered_at=at, changed_at=at, answered_by=by
    )
    Quote.objects.filter(pk=quote.pk).update(order=order)
