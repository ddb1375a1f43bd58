"""Drafts of quotations: beside what was accepted, given up, and changed by two at once."""

from dataclasses import replace
from datetime import timedelta
from typing import Any

import pytest
from django.core import signing
from django.test import Client
from django.utils import timezone

import shop.timber_stock
from jobs.models import Order
from jobs.orders import WheelRow
from shop.forms.shop import _money_is_written
from shop.models import Hand, Quote, QuoteItem, Rate, Revision, Shop
from shop.quoting.actions import QuoteRefused, accept, revise, send
from shop.quoting.drafts import held_draft
from shop.quoting.frozen import thaw
from shop.quoting.shown import SALT, as_shown, sign_timber
from tests.factories import NOW, makeup, take_away
from tests.shop.quote_forms import form_of
from tests.shop.test_quote_pages import post, text, wrongs
from tests.shop.test_quoting import BOXED, TODAY, quote, reckoned, sent
from tests.shop.test_quoting import wren as wren

pytestmark = pytest.mark.django_db
PAGE, WHEELS, BESIDE = "/quotes/1/", "/quotes/1/wheels/", "/quotes/1/beside/"


@pytest.fixture(autouse=True)
def one_day(monkeypatch: pytest.MonkeyPatch) -> None:
    """The moment on which the prices of `wren`'s shop stand."""
    monkeypatch.setattr(timezone, "now", lambda: NOW)


def keep_wheels(client: Client, **changes: str) -> Any:
    """Change the wheels' form and send it, a second time where something unusual is meant."""
    answer = client.post(WHEELS, form_of(client.get(WHEELS)) | changes)
    if answer.status_code == 422:
        answer = client.post(WHEELS, form_of(answer))
    assert answer.status_code == 302, wrongs(answer)
    return answer


def test_what_was_accepted_is_whose_it_was_and_leaves_no_draft_to_be_signed(owner: Client, wren: Hand) -> None:
    one = quote(wren, customer="Lettice Orme", carriage="Gig")
    first = sent(one, wren)
    draft = revise(one, at=NOW)
    keep_wheels(owner, customer="Tom Rudd", carriage="Landau")
    assert "Gig, for Lettice Orme" in text(owner.get(PAGE + "?revision=1"))
    assert "Landau, for Tom Rudd" in text(owner.get(PAGE))
    assert "Revision 2, which is being written, is given up with that." in text(owner.get(PAGE + "?revision=1"))
    owner.post("/quotes/1/accept/", {"revision": "1"})
    order = Order.objects.get()
    assert (order.customer.name, order.carriage) == ("Lettice Orme", "Gig")
    assert not Revision.objects.filter(pk=draft.pk).exists()
    one.refresh_from_db()
    assert one.customer.name == "Lettice Orme"
    assert "0 open" in text(owner.get("/quotes/"))
    with pytest.raises(QuoteRefused, match="Revision 1 was accepted"):
        held_draft(one)
    # Even if one had stayed, neither is it offered nor signed.
    stray = Revision.objects.create(
        quote=one, number=2, token=draft.token, changed_at=NOW, customer=first.customer, carriage="Gig"
    )
    for attempt in (
        lambda: send(one, reckoned(stray), seen=stray.token, by=wren.user, at=NOW, on=TODAY),
        lambda: revise(one, at=NOW),
        lambda: accept(one, stray, by=wren.user, at=NOW, on=TODAY),
    ):
        with pytest.raises(QuoteRefused, match="Revision 1 was accepted: what changes now is an alteration"):
            attempt()


def test_a_draft_is_given_up_as_it_was_seen(owner: Client, wren: Hand) -> None:
    one = quote(wren, customer="Lettice Orme")
    sent(one, wren)
    revise(one, at=NOW)
    old = form_of(owner.get(PAGE), "/quotes/1/give-up/")
    Revision.objects.filter(state="draft").update(changed_at=NOW + timedelta(minutes=1))
    late = owner.post("/quotes/1/give-up/", old)
    assert (late.status_code, "It was changed meanwhile" in text(late)) == (409, True)
    assert post(owner, "/quotes/1/give-up/").headers["Location"] == PAGE
    assert [row.state for row in one.revisions.all()] == ["sent"]
    again = owner.post("/quotes/1/give-up/", old, follow=True)
    assert "There is no draft any more" in text(again)
    quote(wren)
    form = form_of(owner.get("/quotes/2/"), "/quotes/2/give-up/")
    assert owner.post("/quotes/2/give-up/", form).headers["Location"] == "/quotes/"
    assert Quote.objects.get() == one


def test_what_was_seen_stays_what_was_seen_until_it_is_shown_anew(owner: Client, wren: Hand) -> None:
    quote(wren)
    mine, beside = form_of(owner.get(WHEELS)), form_of(owner.get(BESIDE))
    keep_wheels(owner, **{"row-0-where": "loose", "row-0-how_many": "5"})
    for odd in ({"row-0-spare_spokes": "x"}, {"add_row": "1"}):
        again = form_of(owner.post(WHEELS, mine | odd)) | {"row-0-spare_spokes": "0", "rows": "1"}
        assert owner.post(WHEELS, again).status_code == 409
    assert Revision.objects.get().lots.get().wheels == 5
    post(owner, BESIDE, BESIDE, **{"goods-0-what": "Axle boxes", "goods-0-amount": "45"})
    wrong = owner.post(BESIDE, beside | {"goods-0-what": "Paint", "goods-0-amount": "nine"})
    late = owner.post(BESIDE, form_of(wrong) | {"goods-0-amount": "9"})
    assert late.status_code == 409
    assert [item.what for item in QuoteItem.objects.all()] == ["Axle boxes"]
    # Now it has been told, and is meant.
    assert owner.post(BESIDE, form_of(late)).status_code == 302
    assert [item.what for item in QuoteItem.objects.all()] == ["Paint"]


def test_a_figure_of_ones_own_is_for_what_the_wheels_wanted(owner: Client, wren: Hand) -> None:
    quote(wren)
    path = "/quotes/1/figures/"
    page = owner.get(PAGE)
    old = form_of(page, path)
    (ash,) = [name for name in old if "ash" in name]
    (hub,) = [name for name in old if "hub" in name]
    post(owner, path, **{ash: "50"})
    keep_wheels(owner, **{"row-0-where": "loose", "row-0-how_many": "20"})
    draft = Revision.objects.get()
    assert [one for one in reckoned(draft).missing if "your own figure was for another amount" in one]
    # A form that was opened before that says so, and takes nobody's figure away.
    late = owner.post(path, old | {hub: "12"})
    assert late.status_code == 409
    assert "What the wheels want was changed to" in text(late)
    post(owner, path, **{ash: "480"})
    draft.refresh_from_db()
    assert reckoned(draft).missing == ()
    other = "spoke-of-another-timber"
    Revision.objects.update(own_pence=draft.own_pence | {other: 7700}, own_for=draft.own_for | {other: "it"})
    post(owner, path, **{hub: "12"})
    draft.refresh_from_db()
    assert draft.own_pence == {ash.removeprefix("own-"): 48_000, hub.removeprefix("own-"): 1200, other: 7700}


def test_what_the_person_saw_is_sent_whatever_plan_is_found_then(
    owner: Client, wren: Hand, monkeypatch: pytest.MonkeyPatch
) -> None:
    one = quote(wren)
    before = reckoned(one.revisions.get())
    form = form_of(owner.get(PAGE), "/quotes/1/send/")
    price_of = shop.timber_stock.price_of
    monkeypatch.setattr(shop.timber_stock, "price_of", lambda amount, millipence: price_of(amount + 1, millipence))
    busy = reckoned(one.revisions.get())
    assert busy.timber_pence > before.timber_pence
    assert as_shown(busy, sign_timber(before)) == before
    forged = {row.key: [[row.wanted, row.amount.partition(" from ")[0], row.rests_on], "", 1] for row in before.timber}
    assert as_shown(busy, signing.dumps(forged, salt="another")) == busy
    assert as_shown(busy, signing.dumps(forged, salt=SALT)).timber_pence == len(before.timber)
    dearer = replace(before, timber=tuple(replace(row, rests_on="at £9.00 each") for row in before.timber))
    assert as_shown(busy, sign_timber(dearer)) == busy
    assert owner.post("/quotes/1/send/", form | {"timber": ""}).status_code == 409
    assert owner.post("/quotes/1/send/", form).status_code == 302
    assert thaw(Revision.objects.get().frozen) == before


def test_nothing_is_shown_that_the_form_would_refuse_nor_a_share_of_no_cost(owner: Client, wren: Hand) -> None:
    quote(wren, rows=[WheelRow(makeup(**BOXED), "hind pair", ["near", "off"], work="new_spokes")])
    Revision.objects.update(outside=["smith", "bench", "painter"], price_by="price", price_figure=50_000)
    page = owner.get(PAGE)
    assert "a margin of" not in text(page)
    assert form_of(page, "/quotes/1/price/")["markup"] == ""
    # Rates are suggested all the same.
    assert "suggest" not in form_of(owner.get(BESIDE))
    assert owner.post(BESIDE, form_of(owner.get(BESIDE)) | {"suggest": "1"}).status_code == 200
    post(owner, BESIDE, BESIDE, **{"goods-0-what": "Paint", "goods-0-amount": "20"})
    post(owner, "/quotes/1/price/", price="510")
    assert Revision.objects.get().price_figure == 51_000


def test_enter_makes_no_order_and_suggests_nothing(owner: Client, wren: Hand) -> None:
    quote(wren, rows=[WheelRow(makeup(**BOXED), "hind pair", ["near", "off"], work="new_spokes")])
    # The first button of a form is what Enter presses.
    keep = text(owner.get(BESIDE)).partition('name="saw"')[2].partition("</button>")[0]
    assert keep.endswith("<button hidden>Keep them")
    post(owner, BESIDE, BESIDE, **{"goods-0-what": "Paint", "goods-0-amount": "20"})
    post(owner, "/quotes/1/send/")
    taken = text(owner.get(PAGE)).partition('action="/quotes/1/accept/"')[2].partition("</form>")[0]
    assert taken.partition("<button ")[2].startswith("hidden disabled>")
    assert "/quotes/1/refuse/" not in taken


def test_wheels_that_find_no_room_are_counted(owner: Client, wren: Hand) -> None:
    quote(wren, rows=[WheelRow(makeup(**BOXED), "truck wheels", ["loose"] * (12 * 60 + 10))])
    assert "There is no room here for 10 of the truck wheels:" in text(owner.get(WHEELS))


def test_a_second_refusal_keeps_the_first_note_and_says_so(owner: Client, wren: Hand) -> None:
    sent(quote(wren), wren)
    take_away(Rate.objects.all())
    assert _money_is_written()
    Shop.objects.update(currency="EUR", tax_name="VAT")
    assert "Price <b>£" in text(owner.get(PAGE))
    assert text(owner.get(PAGE)).count("€") == 0
    post(owner, "/quotes/1/refuse/", note="too dear")
    told = text(owner.post("/quotes/1/refuse/", {"revision": "1", "note": "another"}, follow=True))
    assert "It was noted before that it is not wanted with “too dear”, which stays." in told
    assert Revision.objects.get().answer_note == "too dear"
