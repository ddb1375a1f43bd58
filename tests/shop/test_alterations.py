"""Alterations of an order: what they take off, what they do when they are accepted, and when they are refused."""

import uuid
from datetime import date
from fractions import Fraction

import pytest
from django.test import Client
from django.urls import reverse

from jobs.changes import change_makeup
from jobs.models import Order, Wheel
from jobs.orders import WheelRow
from shop.models import Hand, Quote, QuoteLot, Revision
from shop.quoting.actions import accept, price_of, revise, send
from shop.quoting.alterations import add_to_alteration, take_out
from shop.quoting.altering import QuoteRefused
from shop.quoting.frozen import freeze, thaw
from shop.quoting.pricing import PriceRefused
from shop.quoting.reckoning import Wanted
from shop.quoting.taken_off import material_left, share_of
from tests.factories import IN, NOW, fact, makeup, take_pair, task
from tests.shop.test_quoting import BOXED, TODAY, quote, reckoned, reckoner, wren
from timing.record import record

__all__ = ["wren"]

SIXTEEN = makeup(**BOXED, spokes=16, felloes=8)
FORE = WheelRow(makeup(**BOXED, height_nm=36 * IN), "fore pair", ["near_fore", "off_fore"])


@pytest.fixture
def order(wren: Hand) -> Order:
    """A hind pair of the make-up that the shop has everything for."""
    return take_pair(rows=[WheelRow(makeup(**BOXED), "hind pair", ["near_hind", "off_hind"])])


def changed(order: Order, by: Hand, *places: str, token: uuid.UUID | None = None) -> Quote:
    lot = order.lots.get(name="hind pair")
    row = WheelRow(SIXTEEN, "hind pair", places or ("near_hind", "off_hind"))
    wheels = lot.wheels.filter(place__in=row.places)
    token = token or uuid.uuid4()
    return add_to_alteration(order, row, token=token, by=by.user, at=NOW, instead_of=lot, wheels=wheels)


def sent(quote: Quote, by: Hand) -> Revision:
    draft = quote.revisions.get(state="draft")
    return send(quote, reckoned(draft), seen=draft.token, by=by.user, at=NOW, on=TODAY)


@pytest.mark.django_db
def test_what_is_not_spent_on_the_old_make_up_comes_off(wren: Hand, order: Order) -> None:
    one = changed(order, wren)
    now = reckoned(one.revisions.get())
    ask = reckoner()
    old = ask.reckon(Wanted([(order.lots.get(), 2)]))
    new = ask.reckon(Wanted([(order.lots.get().__class__.from_makeup(SIXTEEN, name="x", work="new"), 2)]))
    # Nothing is begun: all of the old comes off, at likely hours, and the difference is left.
    assert now.taken_off_pence == pytest.approx(old.cost.spread.likely, abs=2)
    assert now.cost.spread.likely == pytest.approx(new.cost.spread.likely - now.taken_off_pence, abs=2)
    assert now.labour == new.labour
    assert any("Taken off for the hind pair as agreed" in note for note in now.notes)
    assert thaw(freeze(now)) == now
    shaving = task(order, "rough-spoke")
    record(fact(shaving, wren, made=28, minutes=200), now=NOW)
    begun = reckoned(one.revisions.get())
    assert begun.taken_off_pence < now.taken_off_pence - old.timber_pence
    assert any("since it is begun" in note for note in begun.notes)
    # One wheel of two saves less than half: the other is set up for all the same.
    half = reckoned(changed_one(order, wren).revisions.get())
    assert begun.taken_off_pence * 0.3 < half.taken_off_pence < begun.taken_off_pence * 0.5


def changed_one(order: Order, by: Hand) -> Quote:
    Quote.objects.filter(alters=order).delete()
    return changed(order, by, "near_hind")


@pytest.mark.django_db
def test_accepted_it_is_done_to_the_order_once_and_as_a_whole(wren: Hand, order: Order) -> None:
    token = uuid.uuid4()
    one = changed(order, wren, "off_hind", token=token)
    assert changed(order, wren, "off_hind", token=token) == one
    with pytest.raises(QuoteRefused, match="these wheels are in this alteration already"):
        changed(order, wren, "off_hind")
    assert add_to_alteration(order, FORE, token=uuid.uuid4(), by=wren.user, at=NOW) == one
    assert one.revisions.get().lots.count() == 2
    out = sent(one, wren)
    assert Wheel.objects.count() == 2
    assert accept(one, out, by=wren.user, at=NOW, on=TODAY) == order
    assert accept(one, out, by=wren.user, at=NOW, on=TODAY) == order
    live = Wheel.objects.filter(dropped_at=None).order_by("number", "pk")
    assert [(wheel.place, wheel.lot.spokes) for wheel in live] == [
        ("near_hind", 14),
        ("off_hind", 16),
        ("near_fore", 14),
        ("off_fore", 14),
    ]
    assert Order.objects.count() == 1
    one.refresh_from_db()
    assert (one.order, one.alters) == (None, order)


@pytest.mark.django_db
def test_it_is_refused_where_the_order_is_no_more_what_it_was(wren: Hand, order: Order) -> None:
    one = changed(order, wren)
    add_to_alteration(order, FORE, token=uuid.uuid4(), by=wren.user, at=NOW)
    out = sent(one, wren)
    wheels = list(order.lots.get().wheels.all())
    other = change_makeup(wheels[:1], makeup(**BOXED, coats=5), name="near hind", at=NOW)
    with pytest.raises(QuoteRefused, match="The hind pair was changed meanwhile: price the alteration anew"):
        accept(one, out, by=wren.user, at=NOW, on=TODAY)
    # Nothing of it was done, the wheels to be added neither.
    out.refresh_from_db()
    assert (out.state, order.lots.filter(name="fore pair").count(), other.spokes) == ("sent", 0, 14)
    again = revise(one, at=NOW)
    gone = "The hind pair was changed meanwhile: take “hind pair” out, and put in what is meant now."
    assert gone in reckoned(again).missing
    assert QuoteLot.objects.get(revision=again, name="hind pair").instead_of == order.lots.get(name="hind pair")
    row = again.lots.get(name="hind pair")
    assert [take_out(one, row.pk, at=NOW) for _ in range(2)] == [True, False]
    assert (reckoned(again).missing, reckoned(again).taken_off_pence) == ((), 0)
    Order.objects.update(state="fetched", ended_on=date(2026, 3, 1))
    with pytest.raises(QuoteRefused, match="is fetched: it can’t be altered"):
        changed(order, wren)
    with pytest.raises(QuoteRefused, match="is fetched: it can’t be altered"):
        accept(one, out, by=wren.user, at=NOW, on=TODAY)


@pytest.mark.django_db
def test_the_pages_price_add_change_and_lead_on(wren: Hand, order: Order, client: Client) -> None:
    client.force_login(wren.user)
    home = reverse("shop:alterations", args=[order.number])
    assert "Nothing was altered by a quotation yet" in client.get(home).text
    lot = order.lots.get()
    url = reverse("shop:alteration-change", args=[order.number, lot.pk])
    page = client.get(url)
    fields = {field.html_name: field.value() for field in page.context["measures"]}
    answers = {name: value for name, value in fields.items() if value not in (None, False)}
    answers |= {"wheels": [], "name": "hind pair", "token": str(uuid.uuid4()), "spokes": "16", "felloes": "8"}
    assert client.post(url, answers).status_code == 422
    assert not Quote.objects.exists()
    answers["wheels"] = [str(wheel.pk) for wheel in lot.wheels.all()]
    answer = client.post(url, answers)
    assert answer.status_code == 302
    add = reverse("shop:alteration-add", args=[order.number])
    assert client.post(add, {"row-0-where": "loose"}).status_code == 422
    one = Quote.objects.get()
    said = client.get(home).text
    assert "Hind pair, near hind, off hind: another make-up than the hind pair’s" in said
    assert reverse("shop:quote-paper", args=[one.number, "a4"]) in said
    out = sent(one, wren)
    accept(one, out, by=wren.user, at=NOW, on=TODAY)
    said = client.get(home).text
    assert "Accepted 2" in said
    new = order.lots.get(dropped_at=None)
    assert reverse("shop:lot-pieces", args=[order.number, new.pk]) in said


@pytest.mark.django_db
def test_of_loose_wheels_those_that_were_chosen_are_changed_and_spares_go_with_the_last(wren: Hand) -> None:
    with_spares = WheelRow(makeup(**BOXED), "truck wheels", ["loose"] * 4, spare_spokes=6, spare_felloes=2)
    order = take_pair(rows=[with_spares])
    lot = order.lots.get()
    wheels = list(lot.wheels.order_by("number"))

    def change(some: list[Wheel], name: str) -> Quote:
        row = WheelRow(SIXTEEN, name, ["loose", "loose"])
        return add_to_alteration(order, row, token=uuid.uuid4(), by=wren.user, at=NOW, instead_of=lot, wheels=some)

    one = change(wheels[2:], "those behind")
    half = reckoned(one.revisions.get())
    change(wheels[:2], "those before")
    draft = one.revisions.get()
    rows = list(draft.lots.all())
    assert [(row.spare_spokes, row.spare_felloes) for row in rows] == [(0, 0), (6, 2)]
    # With the last wheels all comes off, spares and setting-up too; and the new ones are charged with theirs.
    ask = reckoner()
    assert reckoned(draft).taken_off_pence == pytest.approx(ask.reckon(Wanted([(lot, 4)])).cost.spread.likely, abs=2)
    assert sum(row.units for row in reckoned(draft).work if row.key == "shave-spoke") == 4 * 16 + 6
    assert take_out(one, rows[1].pk, at=NOW)
    assert reckoned(draft) == half
    out = sent(one, wren)
    accept(one, out, by=wren.user, at=NOW, on=TODAY)
    assert [wheel.number for wheel in lot.wheels.filter(dropped_at=None)] == [1, 2]
    made = out.lots.get().made
    assert made is not None
    assert (made.name, made.spokes, made.spare_spokes) == ("those behind", 16, 0)


@pytest.mark.django_db
def test_a_form_puts_its_wheels_in_once_and_like_wheels_of_another_form_too(
    wren: Hand, order: Order, client: Client
) -> None:
    Revision.objects.update(price_by="chance", price_figure=9000, weeks=6)
    token = uuid.uuid4()
    one = add_to_alteration(order, FORE, token=token, by=wren.user, at=NOW)
    add_to_alteration(order, FORE, token=uuid.uuid4(), by=wren.user, at=NOW)
    add_to_alteration(order, FORE, token=token, by=wren.user, at=NOW)
    assert one.revisions.get().lots.count() == 2
    sent(one, wren)
    # Sent once more after it was written out, it is told where it is.
    assert add_to_alteration(order, FORE, token=token, by=wren.user, at=NOW) == one
    assert Quote.objects.count() == 1
    later = add_to_alteration(order, FORE, token=uuid.uuid4(), by=wren.user, at=NOW)
    row = later.revisions.get().lots.get()
    assert take_out(later, row.pk, at=NOW)
    client.force_login(wren.user)
    page = client.get(f"/quotes/{later.number}/").text
    assert "Give up the draft" in page


@pytest.mark.django_db
def test_where_something_comes_off_no_chance_gives_a_price_and_no_weeks_are_promised(wren: Hand, order: Order) -> None:
    before = quote(wren)
    Revision.objects.update(price_by="chance", price_figure=9000, weeks=6)
    one = changed(order, wren)
    draft = one.revisions.get()
    assert (draft.price_by, draft.price_figure, draft.weeks) == ("margin", 2000, None)
    now = reckoned(draft)
    draft.price_by, draft.price_figure = "chance", 9000
    with pytest.raises(PriceRefused, match="Where wheels are replaced, a chance gives no price"):
        price_of(draft, now)
    assert price_of(before.revisions.get(), reckoned(before.revisions.get())) > 0


def test_shares_and_material_left() -> None:
    assert [share_of(28, 1, of=2), share_of(7, 1, of=2), share_of(9, 2, of=2), share_of(3, 1, of=0)] == [14, 4, 9, 0]
    assert material_left(5000, Fraction(1200), is_begun=False) == 3800
    assert material_left(5000, Fraction(9000), is_begun=False) == 0
    assert material_left(5000, Fraction(0), is_begun=True) == 0
