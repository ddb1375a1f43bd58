"""The pages of timber: what stands on them, from what it is cut, what it costs, and how they refuse."""

import re
from datetime import date
from decimal import Decimal
from fractions import Fraction

import pytest
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse
from hypothesis import given
from hypothesis import strategies as st

from jobs.changes import drop_wheel
from jobs.models import LibraryMakeUp, Lot, Order, Wheel
from jobs.models.operations import Work
from shop.models import Hand, Material, Rate
from shop.rates_written import record_rate
from shop.spoilt import read_spoilt
from shop.timber_stock import price_of
from tests import factories
from tests.factories import IN, NOW, MaterialFactory, fact, makeup, task
from tests.shop.test_order_iron import words_of
from timing.facts import Yield
from timing.record import record

BOXED = {"box_large_nm": 3 * IN, "box_small_nm": 3 * IN, "box_length_nm": 10 * IN}


def answer(client: Client, order: Order, *, status: int = 200, **asked: str) -> str:
    answered = client.get(reverse("shop:order-timber", args=[order.number]), asked)
    assert answered.status_code == status
    return str(answered.content.decode())


def look(client: Client, order: Order, *, status: int = 200, **asked: str) -> str:
    # Figures that are set apart from what follows them leave a blank before its point.
    return re.sub(r" ([,.]) ", r"\1 ", words_of(answer(client, order, status=status, **asked)))


def priced(material: Material, millipence: int, by: User) -> Material:
    kind = Rate.Kind.MATERIAL
    record_rate(kind=kind, material=material, amount_millipence=millipence, from_on=date(2026, 1, 1), at=NOW, by=by)
    return material


@pytest.fixture
def ash(wren: Hand) -> Material:
    """Boards of 20 board feet each, at £4.35 a board foot."""
    return priced(MaterialFactory.create(), 435_000, wren.user)


@given(st.fractions(0, 500), st.integers(0, 10_000_000))
def test_a_price_is_amount_by_price_to_the_nearest_penny(amount: Fraction, millipence: int) -> None:
    assert abs(price_of(amount, millipence) - amount * millipence / 1000) <= Fraction(1, 2)


def test_an_order_tells_its_blanks_its_planks_and_its_price(owner: Client, order: Order, ash: Material) -> None:
    order.lots.update(**BOXED, spare_felloes=1)
    page = look(owner, order)
    # Two wheels of 7 felloes and one that stays with the set; 1 1/2 in wide and 1/4 in over are 44.45 mm, told up.
    felloes = page[page.index("Felloe blanks, ash, 45 mm thick For Size") :]
    assert "Hind pair 1 of them stays with the set" in felloes
    assert re.search(r"mm long 15 0 15 ", felloes)
    planks = int(re.search(r"(\d+) planks? of Ash boards", felloes)[1])  # type: ignore[index]
    cost = f"{planks * 20 * Decimal('4.35'):.2f}"
    assert f"of Ash boards, 50.8 × 304.8 mm, 3048 mm long: {planks * 20} board feet at £4.35 a board foot, " in felloes
    assert f", £{cost}. " in felloes
    assert f"Timber together £{cost}, without hub blanks, elm; spoke blanks, oak, 45 mm thick" in page
    assert "Hub blanks, elm" in page
    assert "229 mm through, 280 mm long 2 0 2" in page
    assert "No price kept for elm: set it in Materials." in page
    assert "No price kept for oak: set it in Materials." in page
    assert "No spares are added: the shop has no facts of felloes yet." in page


def test_planks_are_drawn_with_every_felloe(owner: Client, order: Order, ash: Material) -> None:
    page = answer(owner, order)
    drawings = re.findall(r'<svg class="w-bar".*?</svg>', page, re.DOTALL)
    assert sum(drawing.count("w-felloe w-done") for drawing in drawings) == 14
    assert sum(int(each) for each in re.findall(r'aria-label="(\d+) felloes?, hind pair"', page)) == 14


def test_sizes_are_asked_by_plain_fields(owner: Client, order: Order, ash: Material) -> None:
    key = f"felloe-ash-{7 * IN // 4}"
    assert f'name="{key}-width"' in answer(owner, order)
    # One felloe of 526 mm to a plank of 600 mm by 160 mm, which is 1 square foot of face: 14 planks of 2 board feet.
    page = look(owner, order, **{f"{key}-width": "6 1/4 in", f"{key}-length": "24 in"})
    assert "14 planks of Ash boards, 50.8 × 158.75 mm, 609.6 mm long: 28 board feet" in page
    # Nothing is kept of elm, and a log is asked for all the same: by the piece, without a price.
    page = look(owner, order, **{"hub-elm-girth": "30 in", "hub-elm-length": "4 ft"})
    assert "1 log 762 mm round, 1219.2 mm long. 46 % of the length ends in blanks." in page


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        ({"kerf": "wide"}, "Width of a cut: “wide” cannot be read as a length"),
        ({"kerf": "60 mm"}, "Write 50 mm or less: no saw cuts so wide."),
        ({"hub-elm-girth": "0"}, "Girth of a log: Write a length of more than nothing."),
        ({"hub-elm-girth": "900 mm"}, "Length of a log: Write this too: nothing of that timber is kept."),
        (
            {"hub-elm-girth": "600 mm", "hub-elm-length": "2 m"},
            "Length of a log: The blanks are 228.6 mm through, and the log only about 190.99 mm.",
        ),
        (
            {f"felloe-ash-{7 * IN // 4}-length": "400 mm"},
            "Length of a plank: The blanks are about 521.12 mm long, and the timber only 400 mm.",
        ),
    ],
)
def test_what_cannot_be_planned_is_told_in_one_sentence(
    owner: Client, order: Order, ash: Material, asked: dict[str, str], said: str
) -> None:
    page = answer(owner, order, status=422, **asked)
    assert said in words_of(page)
    assert "<title>Error: " in page
    assert "Felloe blanks, ash" in words_of(page)


def test_the_nearest_name_and_the_thinnest_that_will_do_come_first(owner: Client, order: Order, ash: Material) -> None:
    thin = MaterialFactory.create(name="Thin ash", thickness_nm=IN)
    thick = priced(MaterialFactory.create(name="Thick ash", thickness_nm=3 * IN), 500_000, owner_user())
    page = answer(owner, order)
    assert "of Ash boards, " in words_of(page)
    offered = re.findall(r'<option value="(\d+)"', page)
    assert offered == [str(ash.pk), str(thick.pk)]
    key = f"felloe-ash-{7 * IN // 4}"
    assert "of Thick ash, 76.2 × 304.8 mm" in look(owner, order, **{f"{key}-from": str(thick.pk)})
    assert "That is not offered here" in look(owner, order, status=422, **{f"{key}-from": str(thin.pk)})
    Material.objects.exclude(pk=thin.pk).update(retired_at=NOW)
    assert "No ash is kept that is thick enough for these" in look(owner, order)


def owner_user() -> User:
    return User.objects.get(username="Wren")


def test_spares_go_by_what_the_shop_has_spoiled(owner: Client, order: Order, osk: Hand, ash: Material) -> None:
    saw = task(order, "saw-felloe")
    told = fact(saw, osk, yields=(Yield(made=18, lot_id=saw.lot_id, spoiled=2, lost=0, reason="timber"),))
    record(told, now=NOW)
    assert (read_spoilt()["felloe"].begun, read_spoilt()["felloe"].spoiled) == (20, 2)
    page = look(owner, order)
    # A tenth is spoiled: of 17 at most 3 are, with a chance of 0.917; of 16 at most 2, with one of 0.789.
    assert "mm long 14 3 17 " in page
    assert "The shop has spoiled 2 of 20 felloes begun, 10 %." in page


def test_a_price_of_a_piece_is_not_that_of_another_size(owner: Client, order: Order, wren: Hand) -> None:
    priced(MaterialFactory.create(unit="each"), 2_000_000, wren.user)
    page = look(owner, order)
    assert "at £20.00 each" in page
    key = re.search(r'name="(felloe-ash-\d+)-length"', answer(owner, order))
    assert key
    other = look(owner, order, **{f"{key[1]}-length": "20 ft"})
    assert "£20.00" not in other
    assert "The price of “Ash boards” is each of the size that is stocked." in other
    assert "at £20.00 each" in look(owner, order, **{f"{key[1]}-length": "10 ft"})


def test_two_timbers_stay_two_whatever_letters_they_have(owner: Client, order: Order) -> None:
    made = factories.WheelRow(makeup(felloe_timber="ясень", hub_timber=""), "other pair", ["near", "off"])
    other = factories.take_pair(rows=[factories.WheelRow(makeup(felloe_timber="дуб"), "pair", ["near"]), made])
    page = answer(owner, other)
    assert "Felloe blanks, ясень" in page
    assert "Felloe blanks, дуб" in page
    # A hub of no timber is told by its own fields alone.
    assert page.count('name="hub-elm-length"') == 1
    names = re.findall(r'name="([^"]+-length)"', page)
    assert len(names) == len(set(names))


@pytest.mark.parametrize("typed", ["12", " 12 ", "0012"])
def test_so_many_wheels_are_listed_as_the_form_reads(owner: Client, typed: str) -> None:
    row = LibraryMakeUp.from_makeup(makeup(), name="Wagonette hind")
    row.save()
    page = owner.get(reverse("shop:makeup-timber", args=[row.pk]), {"wheels": typed}).content.decode()
    assert "The blanks of 12 wheels" in page


def test_dropped_wheels_and_repairs_want_no_blanks(owner: Client, order: Order, ash: Material) -> None:
    drop_wheel(Wheel.objects.filter(lot__order=order)[0], at=NOW)
    assert "mm long 7 0 7 " in look(owner, order)
    Lot.objects.update(work=Work.NEW_FELLOES)
    page = look(owner, order)
    assert "Hind pair: a repair, whose timber is told by what is found in each wheel." in page
    assert "Felloe blanks" not in page


def test_a_hand_reads_the_list_without_its_prices(client: Client, order: Order, osk: Hand, ash: Material) -> None:
    client.force_login(osk.user)
    page = look(client, order)
    assert "Felloe blanks, ash" in page
    assert "£" not in page
    assert "Materials" not in page.split("How that is worked out")[0]


def test_a_make_up_is_listed_for_as_many_wheels_as_are_asked(owner: Client, ash: Material) -> None:
    made = makeup(**BOXED, rim="bent", felloes=2, hub="bolted")
    row = LibraryMakeUp.from_makeup(made, name="Artillery wheel")
    row.save()
    url = reverse("shop:makeup-timber", args=[row.pk])
    for leads in (reverse("shop:makeup", args=[row.pk]), reverse("shop:makeup-sizes", args=[row.pk])):
        assert url in owner.get(leads).content.decode()
    page = words_of(owner.get(url, {"wheels": "4"}).content.decode())
    assert "The blanks of 4 wheels" in page
    assert re.search(r"Strips for bent rims, ash, 42 mm thick .* mm long 8 0 8 ", page)
    assert "Two-piece bolted hubs are of metal and want no blanks." in page
    wrong = owner.get(url, {"wheels": "many"})
    assert wrong.status_code == 422
    assert "Wheels: Write a whole number, like 12." in words_of(wrong.content.decode())


def test_what_is_left_on_blanks_is_the_shops_own(owner: Client, order: Order, ash: Material) -> None:
    order.lots.update(**BOXED)
    url = reverse("shop:allowances")
    answers = {f"allow_{name}_nm": "0" for name in ("hub_length", "spoke_section", "felloe_thickness", "felloe_depth")}
    answers |= {f"allow_{name}_nm": "0" for name in ("hub_diameter", "felloe_end", "strip_section", "strip_length")}
    assert owner.post(url, answers | {"allow_spoke_length_nm": "2 in"}).status_code == 302
    page = look(owner, order)
    assert "204 mm through, 254 mm long" in page
    assert "Felloe blanks, ash, 39 mm thick" in page
    sizes = words_of(owner.get(reverse("shop:lot-sizes", args=[order.number, order.lots.get().pk])).content.decode())
    assert "Blank, with 50.8 mm to spare" in sizes
    refused = owner.post(url, answers | {"allow_spoke_length_nm": "2 m"})
    assert refused.status_code == 422
    assert "Spokes’ length: Write 304.8 mm or less." in words_of(refused.content.decode())
