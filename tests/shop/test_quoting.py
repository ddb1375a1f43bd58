"""Quotations: what wheels would cost, and what becomes of a quotation from draft to order."""

import json
import uuid
from datetime import date, timedelta
from fractions import Fraction

import pytest
from django.db import IntegrityError, transaction

from jobs.models import Lot, Operation, Order
from jobs.orders import WheelRow
from jobs.starting import start_operations
from shop.models import Hand, Material, Quote, Rate, Revision, Shop
from shop.quoting.actions import (
    Item,
    QuoteRefused,
    accept,
    price_of,
    put_items,
    refuse,
    revise,
    send,
    start_quote,
    wanted_of,
)
from shop.quoting.frozen import freeze, thaw
from shop.quoting.pricing import (
    Cost,
    PriceRefused,
    Spread,
    price_by_margin,
    price_by_markup,
)
from shop.quoting.reckoning import Reckoned, Reckoner, Wanted
from tests.factories import IN, NOW, HandFactory, MaterialFactory, ShopFactory, makeup, take_away
from timing.forecast import Forecast

TODAY = date(2026, 3, 2)
WORDS = Shop().words


@pytest.fixture
def wren() -> Hand:
    """The owner, in a shop with rates and prices for all that a pair of wheels wants."""
    start_operations()
    ShopFactory()
    wren = HandFactory(name="Wren", role=Hand.Role.OWNER)
    osk, bram = HandFactory(name="Osk"), HandFactory(name="Bram", trade=Hand.Trade.SMITH)
    ann = HandFactory(name="Ann", trade=Hand.Trade.PAINTER)
    for hand, pence in ((wren, 3000), (osk, 2000), (bram, 2800), (ann, 2200)):
        rate("cost", pence, hand=hand.user)
    rate("overhead", 900)
    each = {"kind": "blank", "unit": "each", "length_nm": 30 * IN, "thickness_nm": 3 * IN, "width_nm": 3 * IN}
    for row in (
        {"name": "Oak billets", "timber": "oak", **each},
        {"name": "Ash boards", "timber": "ash"},
        {"name": "Elm", "timber": "elm", "kind": "log", "unit": "each", "girth_nm": 50 * IN, **SAWN_NONE},
        {"name": "Bar for tyres", "timber": "iron", "kind": "bar", "unit": "kg", **bar(3 * IN // 2, IN // 2)},
        {"name": "Bar for bands", "timber": "iron", "kind": "bar", "unit": "metre", **bar(IN, IN // 4)},
    ):
        rate("material", 400, material=MaterialFactory(**row))
    return wren


BOXED = {"box_large_nm": 3 * IN, "box_small_nm": 5 * IN // 2, "box_length_nm": 9 * IN}
SAWN_NONE = {"thickness_nm": None, "width_nm": None}


def bar(width: int, thickness: int) -> dict[str, int]:
    return {"width_nm": width, "thickness_nm": thickness, "length_nm": 240 * IN}


def rate(kind: str, pence: int, **subject: object) -> Rate:
    return Rate.objects.create(
        kind=kind, amount_millipence=pence * 1000, from_on=date(2026, 1, 1), recorded_at=NOW, **subject
    )


def reckoner(on: date = TODAY) -> Reckoner:
    return Reckoner(Shop.objects.get(), on=on, words=WORDS, unit="mm")


def lot(**changes: object) -> Lot:
    return Lot.from_makeup(makeup(**(BOXED | changes)), name="hind pair", work="new")


def quote(by: Hand, **changes: object) -> Quote:
    row = WheelRow(makeup(**BOXED), "hind pair", ["near_hind", "off_hind"])
    told = {
        "token": uuid.uuid4(),
        "customer": "Corbel Hall stables",
        "carriage": "Wagonette",
        "rows": [row],
        "by": by.user,
        "at": NOW,
    }
    return start_quote(**(told | changes))  # type: ignore[arg-type]


def sent(one: Quote, by: Hand) -> Revision:
    draft = one.revisions.get()
    return send(one, reckoned(draft), seen=draft.token, by=by.user, at=NOW, on=TODAY)


def reckoned(draft: Revision) -> Reckoned:
    return reckoner().reckon(wanted_of(draft))


@pytest.mark.django_db
def test_a_pair_is_reckoned_by_hours_and_by_what_it_is_made_of(wren: Hand) -> None:
    one = reckoner().reckon(Wanted([(lot(), 2)]))
    assert one.missing == ()
    assert one.notes == ("Nothing was timed yet: the hours rest on book times alone, with a wide range.",)
    shaving = next(row for row in one.work if row.key == "shave-spoke")
    # Two wheels of 14: the book's 11 minutes a spoke, at the mean of Wren's £30 and Osk's £20 an hour.
    assert shaving.units == 28
    assert shaving.likely == pytest.approx(28 * 11, rel=0.05)
    assert shaving.pence == pytest.approx(shaving.likely * 2500 / 60, abs=1)
    assert shaving.low < shaving.likely < shaving.high
    driving = next(row for row in one.work if row.key == "drive-spoke")
    # Two together: the second hand is paid too.
    assert driving.pence == pytest.approx(driving.likely * 2 * 2500 / 60, abs=1)
    forging = next(row for row in one.work if row.key == "weld-tyre")
    assert forging.pence == pytest.approx(forging.likely * 2800 / 60, abs=1)
    tyre, band = one.iron[1], one.iron[0]
    # 46 in of wood, one thickness to bend and one to weld, by the kilogram: steel of 7850 kg/m³.
    cut = (46 * 3.14159265 + 3.14159265 * 0.5 + 0.5) * 25.4
    assert tyre.pence == pytest.approx(2 * cut * 38.1 * 12.7 * 7850e-9 * 400, rel=1e-3)
    assert band.pence == pytest.approx(4 * (8 * 3.14159265 + 3.14159265 / 4 + 0.25) * 0.0254 * 400, rel=1e-3)
    assert one.timber_pence == sum(row.pence for row in one.timber)
    assert {row.rests_on for row in one.timber} >= {"“Oak billets” at £4.00 each"}
    assert one.cost.sure == one.timber_pence + one.iron_pence
    # Labour and overhead go up and down together, so that their ranges add up.
    for part in ("low", "likely", "high"):
        whole = getattr(one.labour, part) + getattr(one.overhead, part) + one.cost.sure
        assert getattr(one.cost.spread, part) == pytest.approx(whole, rel=0.01)


@pytest.mark.django_db
def test_what_if_tells_the_same_as_asking_anew(wren: Hand) -> None:
    ask = reckoner()
    fourteen, sixteen = (ask.reckon(Wanted([(lot(spokes=n, felloes=n // 2), 2)])) for n in (14, 16))
    assert sixteen.cost.spread.likely > fourteen.cost.spread.likely
    assert reckoner().reckon(Wanted([(lot(spokes=16, felloes=8), 2)])) == sixteen
    assert ask.reckon(Wanted([(lot(), 1)])).timber[0].amount == "1 blank from 1 log"
    four = ask.reckon(Wanted([(lot(), 4)]))
    # Setting-up comes once and runs go quicker: four wheels are less than twice two.
    assert four.labour.likely < 2 * fourteen.labour.likely


@pytest.mark.django_db
def test_what_is_not_known_is_named_and_stops_nothing_but_the_sending(wren: Hand) -> None:
    take_away(Rate.objects.filter(hand__username="Bram"))
    take_away(Rate.objects.filter(material__timber="ash"))
    take_away(Rate.objects.filter(kind="overhead"))
    one = reckoner().reckon(Wanted([(lot(), 2)]))
    assert one.missing == (
        "No cost of an hour is kept for a smith hand on 2 March 2026: write it down in Rates.",
        "No price kept for “Ash boards”: set it in Materials.",
    )
    assert "No overhead of an hour is kept for 2 March 2026: it counts as nothing." in one.notes
    ash = next(row.key for row in one.timber if row.pence is None)
    own_for = {row.key: row.wanted for row in one.timber}
    own = reckoner().reckon(Wanted([(lot(), 2)], own_pence={ash: 5000}, own_for=own_for, outside=["smith"]))
    assert own.missing == ()
    assert "The smith’s work is done outside, and no price of it stands here yet." in own.notes
    assert own.timber_pence == one.timber_pence + 5000
    assert not any(row.key == "weld-tyre" for row in own.work)
    bare = reckoner().reckon(Wanted([(lot(box_large_nm=None, box_small_nm=None, box_length_nm=None), 2)]))
    assert any("until the make-up tells the box" in sentence for sentence in bare.missing)
    # Rates of a later day are none today.
    assert reckoner(on=date(2025, 1, 1)).reckon(Wanted([(lot(), 2)])).minutes is None


@pytest.mark.django_db
def test_a_sent_quotation_stays_as_it_was_and_makes_its_order_once(wren: Hand) -> None:
    one = quote(wren)
    draft = one.revisions.get()
    put_items(draft, [Item("outwork", "Boxes turned", 4500), Item("rate", "A spoke found shaken", 2600, per="spoke")])
    Revision.objects.update(price_by="chance", price_figure=8000, tax_bp=2000, deposit_bp=3000, weeks=6)
    draft.refresh_from_db()
    before = reckoned(draft)
    assert before.outwork_pence == 4500
    out = send(one, before, seen=draft.token, by=wren.user, at=NOW, on=TODAY)
    assert out.price_pence == before.cost.at(0.8)
    assert before.cost.chance_within(out.price_pence) == pytest.approx(0.8, abs=1e-4)
    assert out.tax_pence == round(out.price_pence * 0.2)
    assert out.deposit_pence == round((out.price_pence + out.tax_pence) * 0.3)
    assert out.last_on == TODAY + timedelta(days=30)
    rate("overhead", 2000)
    out.refresh_from_db()
    assert thaw(out.frozen) == before
    assert send(one, before, seen=draft.token, by=wren.user, at=NOW, on=TODAY + timedelta(9)).last_on == out.last_on
    order = accept(one, out, by=wren.user, at=NOW, on=out.last_on)
    assert accept(one, out, by=wren.user, at=NOW, on=out.last_on + timedelta(1)) == order
    assert Order.objects.get() == order
    assert (order.state, order.due_on) == ("taken", out.last_on + timedelta(weeks=6))
    assert order.lots.get().makeup == makeup(**BOXED)
    assert order.lots.get().tasks.count() > 30
    assert Quote.objects.get().order == order
    with pytest.raises(QuoteRefused, match="alteration"):
        revise(one, at=NOW)


@pytest.mark.django_db
def test_an_expired_offer_is_renewed_before_it_is_accepted(wren: Hand) -> None:
    one = quote(wren)
    out = sent(one, wren)
    late = out.last_on + timedelta(days=1)
    with pytest.raises(QuoteRefused, match="It was valid until 1 April 2026: renew it"):
        accept(one, out, by=wren.user, at=NOW, on=late)
    assert not Order.objects.exists()
    again = revise(one, at=NOW)
    assert revise(one, at=NOW) == again
    assert (again.number, again.lots.get().makeup) == (2, makeup(**BOXED))
    renewed = send(one, reckoned(again), seen=again.token, by=wren.user, at=NOW, on=late)
    with pytest.raises(QuoteRefused, match="A later revision was sent"):
        accept(one, out, by=wren.user, at=NOW, on=TODAY)
    assert accept(one, renewed, by=wren.user, at=NOW, on=late).lots.count() == 1


@pytest.mark.django_db
def test_what_can_not_be_sent_or_answered_says_why(wren: Hand) -> None:
    one = quote(wren)
    draft = one.revisions.get()
    with pytest.raises(QuoteRefused, match="send it first"):
        accept(one, draft, by=wren.user, at=NOW, on=TODAY)
    Material.objects.filter(timber="ash").update(retired_at=NOW)
    with pytest.raises(QuoteRefused, match="No price kept for ash"):
        send(one, reckoned(draft), seen=draft.token, by=wren.user, at=NOW, on=TODAY)
    Material.objects.update(retired_at=None)
    Revision.objects.update(price_by="chance", price_figure=0)
    draft.refresh_from_db()
    with pytest.raises(PriceRefused, match="nothing is quite sure"):
        send(one, reckoned(draft), seen=draft.token, by=wren.user, at=NOW, on=TODAY)
    Revision.objects.update(price_by="margin", price_figure=2000)
    out = sent(one, wren)
    assert refuse(one, out, note="too dear", by=wren.user, at=NOW).state == "refused"
    assert refuse(one, out, note="", by=wren.user, at=NOW).answer_note == "too dear"
    with pytest.raises(QuoteRefused, match="did not want it"):
        accept(one, out, by=wren.user, at=NOW, on=TODAY)
    with pytest.raises(IntegrityError), transaction.atomic():
        Revision.objects.update(price_figure=10_000)


@pytest.mark.django_db
def test_a_new_quotation_goes_on_as_the_last_was_written(wren: Hand) -> None:
    token = uuid.uuid4()
    first = quote(wren, token=token)
    assert quote(wren, token=token) == first
    Revision.objects.update(
        tax_bp=2000, terms="Deposit with the order.", price_by="price", price_figure=99, outside=["smith"]
    )
    later = quote(wren).revisions.get()
    assert (later.quote.number, later.tax_bp, later.terms, later.outside) == (
        2,
        2000,
        "Deposit with the order.",
        ["smith"],
    )
    # A price was for those wheels alone.
    assert (later.price_by, later.price_figure) == ("margin", 2000)


def test_frozen_figures_read_back_as_they_were() -> None:
    work = Forecast(8.0, 0.15, 12.5)
    one = Reckoned(
        (), work, Spread(1, 2, 3), Spread(4, 5, 6), (), (), 7, 8, Cost(work, Fraction(9)), ("a",), ("b",), "c", TODAY
    )
    kept = freeze(one)
    assert thaw(json.loads(json.dumps(kept))) == one
    with pytest.raises(ValueError, match="version 0"):
        thaw(kept | {"version": 0})


def test_a_cost_that_is_sure_has_no_range() -> None:
    known = Cost(None, Fraction(1200))
    assert known.spread == Spread(1200, 1200, 1200)
    assert (known.chance_within(1199), known.chance_within(1200)) == (0.0, 1.0)
    assert Cost(Forecast(5.0, 0.2, 9), Fraction(100)).chance_within(100) == 0.0


def test_no_price_follows_from_a_margin_of_all_or_a_markup_below_nothing() -> None:
    with pytest.raises(PriceRefused, match="less than 100 %"):
        price_by_margin(100, Fraction(1))
    with pytest.raises(PriceRefused, match="0 % or more"):
        price_by_markup(100, Fraction(-1, 100))


@pytest.mark.django_db
def test_an_operation_that_the_times_do_not_know_is_named(wren: Hand) -> None:
    from timing.usual import work_out

    work_out(at=NOW)
    ask = reckoner()
    Operation.objects.create(
        key="burnish", name="Burnish {spoke}", part="spoke", per="spoke", position=999, works=["new"], for_lot=True
    )
    again = reckoner().reckon(Wanted([(lot(), 2)]))
    assert [one for one in again.missing if "Burnish" in one]
    assert ask.reckon(Wanted([(lot(), 2)])).missing == ()
    work_out(at=NOW)
    said = reckoner().reckon(Wanted([(lot(), 2)]))
    assert said.missing == ()
    assert any("has neither a book time nor a timing" in note for note in said.notes)
    assert price_of(Revision(price_by="price", price_figure=5), said) == 5
