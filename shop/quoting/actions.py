"""What is done with quotations: begun, changed, sent, answered, revised. Each is one short write."""

import uuid
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from fractions import Fraction
from typing import Any

from django.contrib.auth.models import User
from django.db.models import Max

from jobs.models import Lot, Order
from jobs.orders import WheelRow, check_row, customer_named, hold_order, take_order
from jobs.turns import take_turns
from jobs.writing import writing
from shop.days import day_in_words
from shop.models import Quote, QuoteItem, QuoteLot, Revision, Shop
from shop.quoting.altering import QuoteRefused, alter, rows_gone, wheel_row, wheels_replaced
from shop.quoting.frozen import freeze
from shop.quoting.pricing import PriceRefused, deposit_on, price_by_margin, price_by_markup, tax_on
from shop.quoting.reckoning import Reckoned, Wanted

# What a new quotation takes over from the last that was written.
CUSTOMARY = (
    *("price_by", "price_figure", "tax_bp", "deposit_bp", "valid_days", "weeks"),
    *("boxes", "excluded", "terms", "outside"),
)
# What a further revision takes over beside those.
ASKED = (*CUSTOMARY, "own_pence", "own_for", "customer", "carriage")
MOST_PENCE = 10**12


@dataclass(frozen=True, slots=True)
class Item:
    """What is asked beside wheels: see `QuoteItem`."""

    kind: str
    what: str
    amount_pence: int
    trade: str = ""
    per: str = ""


def start_quote(
    *,
    token: uuid.UUID,
    customer: str,
    carriage: str,
    rows: Sequence[WheelRow],
    by: User,
    at: datetime,
    contact: str = "",
    alters: Order | None = None,
) -> Quote:
    """Begin a quotation with a draft. The same token again gives the quotation of the first time.

    Raises OrderRefused where a make-up can't be built, with nothing saved.
    """
    for row in rows:
        check_row(row)
    with writing():
        take_turns("quote number")
        before = Quote.objects.filter(token=token).first()
        if before:
            return before
        last = Revision.objects.order_by("-pk").first()
        customary: dict[str, Any] = {name: getattr(last, name) for name in CUSTOMARY} if last else {}
        if customary.get("price_by") == Revision.PriceBy.PRICE or (
            alters and customary.get("price_by") == Revision.PriceBy.CHANCE
        ):
            # A price was for those wheels alone, and of what comes off nobody has a chance: see `price_of`.
            customary.pop("price_by")
            customary.pop("price_figure")
        if alters:
            # Its order has its day.
            customary["weeks"] = None
        highest: int | None = Quote.objects.aggregate(highest=Max("number"))["highest"]
        customary |= {"customer": customer_named(customer, contact=contact), "carriage": carriage}
        quote = Quote.objects.create(
            number=(highest or 0) + 1,
            customer=customary["customer"],
            carriage=carriage,
            token=token,
            created_at=at,
            created_by=by,
            alters=alters,
        )
        draft = Revision.objects.create(quote=quote, number=1, token=uuid.uuid4(), changed_at=at, **customary)
        put_lots(draft, rows)
    return quote


def put_lots(draft: Revision, rows: Sequence[WheelRow]) -> None:
    """Give a draft these wheels in place of those it had. Call it inside the write."""
    draft.lots.all().delete()
    for row in rows:
        quote_lot(draft, row).save()


def quote_lot(draft: Revision, row: WheelRow, **others: Any) -> QuoteLot:
    """These wheels as an unsaved row of a draft; `others` are what an alteration keeps beside."""
    return QuoteLot.from_makeup(
        row.makeup,
        revision=draft,
        name=row.name,
        places=list(row.places),
        work=row.work,
        spare_spokes=row.spare_spokes,
        spare_felloes=row.spare_felloes,
        library=row.library,
        **others,
    )


def put_items(draft: Revision, items: Sequence[Item]) -> None:
    """Give a draft these items in place of those it had. Call it inside the write."""
    draft.items.all().delete()
    QuoteItem.objects.bulk_create(
        QuoteItem(
            revision=draft, kind=one.kind, what=one.what, amount_pence=one.amount_pence, trade=one.trade, per=one.per
        )
        for one in items
    )


def hold_quote(quote_id: int) -> Quote:
    """Let changes to one quotation wait for each other; call it first inside the write."""
    return Quote.objects.select_for_update().get(pk=quote_id)


def wanted_of(revision: Revision) -> Wanted:
    """What a revision asks to be reckoned. Of an alteration, with what it takes off: see `alterations.py`."""
    return Wanted(
        lots=[(as_lot(lot), lot.wheels) for lot in revision.lots.all()],
        items=list(revision.items.all()),
        outside=revision.outside,
        own_pence=revision.own_pence,
        own_for=revision.own_for,
        instead=wheels_replaced(revision),
        gone=rows_gone(revision),
    )


def as_lot(row: QuoteLot | WheelRow) -> Lot:
    """The unsaved lot of an order that these wheels would make."""
    return Lot.from_makeup(
        row.makeup,
        name=row.name,
        work=row.work,
        spare_spokes=row.spare_spokes,
        spare_felloes=row.spare_felloes,
    )


def price_of(revision: Revision, reckoned: Reckoned) -> int:
    """Pence before tax, as the draft asks. PriceRefused where none follows."""
    figure, likely = revision.price_figure, reckoned.cost.spread.likely
    share = Fraction(figure, 10_000)
    if revision.price_by == Revision.PriceBy.PRICE:
        price = figure
    elif revision.price_by == Revision.PriceBy.MARGIN:
        price = price_by_margin(likely, share)
    elif revision.price_by == Revision.PriceBy.MARKUP:
        price = price_by_markup(likely, share)
    elif reckoned.taken_off_pence:
        # The range is of the new wheels whole: against a sure saving it would ask for risk that is there already.
        raise PriceRefused(
            "Where wheels are replaced, a chance gives no price: choose a margin, a markup or a price of your own."
        )
    elif 0 < figure < 10_000:
        price = reckoned.cost.at(float(share))
    else:
        raise PriceRefused("A chance is more than 0 % and less than 100 %: nothing is quite sure.")
    if price < 0:
        raise PriceRefused(
            "It comes to less than nothing, since more comes off than is added: set a price of your own."
        )
    if price > MOST_PENCE:
        raise PriceRefused("That price can't be right: look at the figures again.")
    return price


def send(
    quote: Quote,
    reckoned: Reckoned,
    *,
    seen: uuid.UUID,
    by: User,
    at: datetime,
    on: date,
    as_of: datetime | None = None,
) -> Revision:
    """Freeze the draft with all that it rests on; a revision that was sent before is replaced by it.

    `seen` is the token of the draft that the person looked at: sent twice it is sent once. `as_of` is when it had last
    been changed when it was reckoned. Raises QuoteRefused where it was changed since, or something must be known
    first, PriceRefused where no price follows.
    """
    with writing():
        hold_quote(quote.pk)
        draft = quote.revisions.get(token=seen)
        if not draft.is_draft:
            return draft
        check_not_accepted(quote)
        if as_of is not None and draft.changed_at != as_of:
            raise QuoteRefused("It was changed meanwhile: look at it now, and write it out once more.")
        if reckoned.missing:
            raise QuoteRefused(reckoned.missing[0])
        if not draft.lots.exists() and not draft.items.exists():
            raise QuoteRefused("There is nothing in this quotation yet: add wheels to it first.")
        price = price_of(draft, reckoned)
        quote.revisions.sent().update(state=Revision.State.REPLACED)
        draft.state = Revision.State.SENT
        draft.sent_at, draft.sent_by, draft.changed_at = at, by, at
        draft.priced_on = reckoned.on
        draft.last_on = on + timedelta(days=draft.valid_days)
        draft.price_pence = price
        draft.tax_pence = tax_on(price, Fraction(draft.tax_bp, 10_000))
        draft.deposit_pence = deposit_on(price + draft.tax_pence, Fraction(draft.deposit_bp, 10_000))
        draft.frozen = freeze(reckoned)
        shop = Shop.objects.get()
        draft.currency, draft.tax_name = shop.currency, shop.tax_name
        draft.save()
    return draft


def revise(quote: Quote, *, at: datetime) -> Revision:
    """A draft to go on from the last revision; the one that is there already, if there is one.

    An expired offer is renewed so: by a revision that is priced anew. Raises QuoteRefused after acceptance.
    """
    with writing():
        hold_quote(quote.pk)
        last = quote.revisions.order_by("-number").first()
        if last is None:
            raise QuoteRefused("This quotation has no revision.")
        check_not_accepted(quote)
        if last.is_draft:
            return last
        draft = Revision.objects.create(
            quote=quote,
            number=last.number + 1,
            token=uuid.uuid4(),
            changed_at=at,
            **{name: getattr(last, name) for name in ASKED},
        )
        for lot in last.lots.all():
            lot.pk, lot.revision, lot.made = None, draft, None
            lot.save(force_insert=True)
        for item in last.items.all():
            item.pk, item.revision = None, draft
            item.save(force_insert=True)
    return draft


def refuse(quote: Quote, revision: Revision, *, note: str, by: User, at: datetime) -> Revision:
    """The customer does not want it. Twice changes nothing, and keeps the first note.

    Raises QuoteRefused where it is not out.
    """
    with writing():
        hold_quote(quote.pk)
        now = quote.revisions.get(pk=revision.pk)
        if now.state == Revision.State.REFUSED:
            return now
        _check_is_out(now)
        _answer(now, Revision.State.REFUSED, note=note, by=by, at=at)
    return now


def accept(quote: Quote, revision: Revision, *, by: User, at: datetime, on: date, note: str = "") -> Order:
    """The customer takes it: the order is made with its wheels and tasks, or altered, in one step and once.

    Again, or from another device, it gives the order of the first time. A draft that was begun beside it is given up.
    Raises QuoteRefused where it is not out, or has expired, or where what it alters was changed meanwhile.
    """
    with writing():
        if quote.alters_id:
            # The order first, as whoever adds to an alteration holds them.
            hold_order(quote.alters_id)
        now_quote = hold_quote(quote.pk)
        now = quote.revisions.get(pk=revision.pk)
        if now.state == Revision.State.ACCEPTED and (now_quote.order or now_quote.alters):
            return now_quote.order or now_quote.alters  # type: ignore[return-value]
        check_not_accepted(quote)
        _check_is_out(now)
        if now.last_on is not None and now.last_on < on:
            raise QuoteRefused(f"It was valid until {day_in_words(now.last_on)}: renew it before it is accepted.")
        _answer(now, Revision.State.ACCEPTED, note=note, by=by, at=at)
        quote.revisions.drafts().delete()
        Quote.objects.filter(pk=quote.pk).update(customer=now.customer, carriage=now.carriage)
        if now_quote.alters:
            return alter(now_quote.alters, now, at=at)
        order = take_order(
            token=uuid.uuid5(now.token, "accepted"),
            customer=now.customer.name,
            carriage=now.carriage,
            rows=[wheel_row(lot) for lot in now.lots.all()],
            taken_on=on,
            due_on=on + timedelta(weeks=now.weeks) if now.weeks else None,
            by=by,
        )
        Quote.objects.filter(pk=quote.pk).update(order=order)
    return order


def give_up(quote: Quote, *, seen: str) -> bool:
    """Leave the draft; one that was never sent goes with its quotation. Says whether there was a draft.

    `seen` is the `changed_at` that the person saw, in ISO form: QuoteRefused where it was changed since.
    """
    with writing():
        if not Quote.objects.select_for_update().filter(pk=quote.pk).exists():
            return False
        draft = quote.revisions.drafts().first()
        if draft is None:
            return False
        if draft.changed_at.isoformat() != seen:
            raise QuoteRefused("It was changed meanwhile: look at it now, and give it up once more.")
        draft.delete()
        last = quote.revisions.order_by("-number").first()
        if last is None:
            quote.delete()
        else:
            Quote.objects.filter(pk=quote.pk).update(customer=last.customer, carriage=last.carriage)
    return True


def check_not_accepted(quote: Quote) -> None:
    """QuoteRefused once a revision was accepted: nothing beside it may be written, offered or signed."""
    taken = quote.revisions.filter(state=Revision.State.ACCEPTED).first()
    if taken:
        raise QuoteRefused(f"Revision {taken.number} was accepted: what changes now is an alteration of its order.")


def _check_is_out(revision: Revision) -> None:
    said = {
        Revision.State.DRAFT: "It was not sent yet: send it first.",
        Revision.State.ACCEPTED: "It was accepted already.",
        Revision.State.REFUSED: "The customer did not want it: revise it to offer it again.",
        Revision.State.REPLACED: "A later revision was sent in its place: look at that one.",
    }
    if revision.state in said:
        raise QuoteRefused(said[Revision.State(revision.state)])


def _answer(revision: Revision, state: str, *, note: str, by: User, at: datetime) -> None:
    revision.state, revision.answer_note = state, note
    revision.answered_at = revision.changed_at = at
    revision.answered_by = by
    revision.save(update_fields=["state", "answer_note", "answered_at", "answered_by", "changed_at"])
