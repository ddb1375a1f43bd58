"""The iron of an order: which measures are taken, what is cut, what heat puts it on, and what is missing."""

import re
from html import unescape

import pytest
from django.test import Client
from django.urls import reverse

from jobs.changes import drop_wheel
from jobs.models import Lot, Measure, Order, Wheel
from jobs.models.operations import Work
from shop.models import Hand, Shop
from tests.factories import NOW, WheelRow, makeup, take_pair, task
from tests.shop.test_trades import finish_up_to

IN = 25_400_000
MM = 1_000_000


def words_of(page: str) -> str:
    """What a person reads of the page's own part, on one line."""
    main = page.split("<main")[1].split("</main>")[0]
    return " ".join(unescape(re.sub(r"<[^>]*>", " ", main)).replace("\N{NO-BREAK SPACE}", " ").split())


def look(client: Client, order: Order, *, status: int = 200, **asked: str) -> str:
    answer = client.get(reverse("shop:order-iron", args=[order.number]), asked)
    assert answer.status_code == status
    return words_of(answer.content.decode())


def give_draw(order: Order, draw_nm: int = IN // 2) -> Lot:
    lot = order.lots.get()
    lot.draw_nm = draw_nm
    lot.save(update_fields=["draw_nm"])
    return lot


def measure(order: Order, hand: Hand, number: int = 1, **values_nm: int) -> Wheel:
    wheel = Wheel.objects.get(lot__order=order, number=number)
    for kind, value in values_nm.items():
        Measure.objects.create(wheel=wheel, kind=kind, value_nm=value, taken_at=NOW, taken_by=hand.user)
    return wheel


def test_a_pair_by_the_make_up_is_one_row(owner: Client, order: Order) -> None:
    # 46 in over the wood, bar 1 1/2 × 1/2 in, draw 1/2 in, worked by hand: π × 46 = 144.513; less 0.5; round the middle
    # π × 0.5 more; one thickness for the weld: 146.084 in. To pass with 3 mm to spare it grows by 6.048 in a
    # thousand: 455 °C by EN 1993-1-2. Bar 3710.5 mm of 38.1 × 12.7 mm: 14.09 kg.
    give_draw(order)
    page = look(owner, order)
    assert page.count("Tyre, 2 alike near hind, off hind") == 1
    assert "run 3670.6 mm by the make-up" in page
    assert "less 12.7 mm draw by the make-up; 4 mm on the diameter" in page
    assert "inside 3657.9 mm" in page
    assert "3711 mm 3698 mm round its middle, 13 mm for the weld 14.1 kg each" in page
    assert "Black heat, no red but in the dark about 455 °C; 524 °C by one coefficient" in page
    assert "2 wanted: 7.42 m of bar, 28.2 kg" in page


def test_a_shop_of_inches_reads_inches_pounds_and_fahrenheit(owner: Client, order: Order, shop: Shop) -> None:
    # The same by hand: with 1/8 in to spare 6.199 in a thousand from 68 °F, 464.7 °C or 868 °F; 31.1 lb, and by the
    # rule of 3.40, 31.0.
    shop.units = "in"
    shop.save(update_fields=["units"])
    give_draw(order)
    page = look(owner, order)
    assert "run 144 1/2 in by the make-up" in page
    assert "146 1/16 in 145 9/16 in round its middle, 1/2 in for the weld 31.1 lb (31.0 by the inch rule) each" in page
    assert "about 868 °F" in page
    assert "from 68 °F cold" in page
    assert " mm" not in page.split("Draw in print")[0]


def test_what_was_measured_goes_before_the_make_up(owner: Client, order: Order, osk: Hand) -> None:
    give_draw(order)
    measure(order, osk, run=3680 * MM, draw=9 * MM)
    page = look(owner, order)
    assert "Tyre near hind, hind pair run 3680 mm as made less 9 mm draw as made" in page
    assert "Tyre off hind, hind pair run 3670.6 mm by the make-up less 12.7 mm draw by the make-up" in page


def test_a_hoop_that_is_made_goes_by_its_inside_run(owner: Client, order: Order, osk: Hand) -> None:
    # 3680 − 3669 = 11 mm of draw, whatever was set.
    give_draw(order)
    measure(order, osk, run=3680 * MM, draw=9 * MM, inside_run=3669 * MM)
    page = look(owner, order)
    assert "less 11 mm draw, by both runs; 3.5 mm on the diameter inside 3669 mm as made" in page


def test_a_hoop_larger_than_its_wheel_is_told(owner: Client, order: Order, osk: Hand) -> None:
    measure(order, osk, run=3680 * MM, inside_run=3681 * MM)
    assert "Inside, the hoop runs longer than the wood: it would lie loose on it." in look(owner, order)


def test_the_newest_measure_stands(owner: Client, order: Order, osk: Hand) -> None:
    give_draw(order)
    measure(order, osk, run=3680 * MM)
    measure(order, osk, run=3682 * MM)
    page = look(owner, order)
    assert "run 3682 mm as made" in page
    assert "3680 mm" not in page


def test_without_a_draw_nothing_is_cut_and_the_books_are_shown(owner: Client, order: Order) -> None:
    page = look(owner, order)
    assert "run 3670.6 mm by the make-up" in page
    assert "No draw is told. Give it in the make-up" in page
    assert "for the weld 14" not in page
    assert "Holmstrom, Modern Blacksmithing, 1901" in page
    answer = owner.get(reverse("shop:order-iron", args=[order.number])).content.decode()
    assert reverse("shop:lot-change", args=[order.number, order.lots.get().pk]) in answer


def test_the_smith_is_led_to_the_measures_as_made(client: Client, order: Order, bram: Hand) -> None:
    client.force_login(bram.user)
    answer = client.get(reverse("shop:order-iron", args=[order.number])).content.decode()
    wheel = Wheel.objects.filter(lot__order=order).order_by("number")[0]
    assert reverse("shop:as-made", args=[order.number, wheel.pk]) in answer
    assert reverse("shop:order", args=[order.number]) + '"' not in answer
    assert "lot-change" not in answer
    assert "/change/" not in answer


def test_the_painter_has_no_iron(client: Client, order: Order, bram: Hand) -> None:
    bram.trade = Hand.Trade.PAINTER
    bram.save(update_fields=["trade"])
    client.force_login(bram.user)
    assert client.get(reverse("shop:order-iron", args=[order.number])).status_code == 403
    assert client.get(reverse("shop:hot-day")).status_code == 403


def test_an_order_that_is_not_there(owner: Client, order: Order) -> None:
    assert owner.get(reverse("shop:order-iron", args=[order.number + 1])).status_code == 404


def test_bands_want_their_own_draw(owner: Client, order: Order) -> None:
    give_draw(order)
    page = look(owner, order)
    # The hub is 8 in through: 638.4 mm round.
    assert "Front, 2 alike near hind, off hind, hind pair run 638.4 mm by the hub’s diameter: measure its seat" in page
    assert page.count("No draw is given for the bands.") == 1


def test_bands_go_by_the_seat_as_made(owner: Client, order: Order, osk: Hand) -> None:
    # 150 mm through is 471.2 mm round; less 2; bar of 1/4 in: π × 6.35 more, and 6.35 for the weld: 495.5 mm.
    measure(order, osk, front_seat=150 * MM)
    page = look(owner, order, band_draw="2 mm")
    assert "Front near hind, hind pair run 471.2 mm as made less 2 mm draw as given for all bands" in page
    assert "496 mm 489 mm round its middle, 6 mm for the weld" in page


def test_a_band_that_cannot_grow_so_much_is_told_what_it_can(owner: Client, order: Order) -> None:
    page = look(owner, order, band_draw="2 mm", band_clearance="3 mm")
    assert "No heat will do." in page
    # 8 in through, draw 2 mm: (638.35 − 2) × 1.0110084 − 638.35 = 5.005 round, 1.59 through.
    assert "It can have at most 1.5 mm to spare." in page


def test_a_draw_past_all_heat_sticks(owner: Client, order: Order) -> None:
    give_draw(order, 60 * MM)
    page = look(owner, order)
    assert "It would stick at any heat." in page
    assert "More draw than the 31.75 mm that is the most in print (Hasluck" in page


def test_a_price_by_the_kilogram(owner: Client, order: Order) -> None:
    # 14.094 kg at £2 is £28.19.
    give_draw(order)
    assert "14.1 kg, £28.19 each" in look(owner, order, price="2")


def test_a_price_by_the_pound(owner: Client, order: Order, shop: Shop) -> None:
    # 31.07 lb at £1 is £31.07.
    shop.units = "in"
    shop.save(update_fields=["units"])
    give_draw(order)
    assert "£31.07 each" in look(owner, order, price="1")


def test_turns_of_the_traveller(owner: Client, order: Order) -> None:
    # 3670.64 mm over 600: 6 turns and 70.6. Half a millimetre wrong on it is 3.06 mm round the wheel.
    give_draw(order)
    page = look(owner, order, traveller="600 mm")
    assert "6 turns and 70.6 mm of the traveller" in page
    assert "6 turns and 57.9 mm of the traveller" in page
    assert "is 3.1 mm on the wheel" in page


def test_turns_of_a_traveller_by_its_diameter(owner: Client, order: Order) -> None:
    # 46 in over 8 in is 5 3/4 turns: three quarters of 638.4 mm are 478.8.
    give_draw(order)
    assert "5 turns and 478.8 mm of the traveller" in look(owner, order, across="8 in")


def test_a_rule_for_the_weld_by_name(owner: Client, order: Order) -> None:
    # 5/8 in: 15.9 mm.
    give_draw(order)
    page = look(owner, order, weld="hasluck")
    assert "For the weld: 5/8 in, upset and weld of ordinary bar (Hasluck" in page
    assert "16 mm for the weld" in page


def test_a_coned_sole_runs_longer_behind(owner: Client, order: Order, osk: Hand) -> None:
    # Dish 1/2 in on a spoke of 23 − 4 − 2 1/2 in: 2 π × 1 1/2 in × sin δ is 7.3 mm. As measured, 1 in: 14.5 mm.
    give_draw(order)
    # The bar's own curve: 23 in over sin δ is 19.29 m.
    page = look(owner, order)
    assert "coned sole: back edge 7.3 mm longer than the front; bar curved edgeways to 19.29 m" in page
    measure(order, osk, dish_before=IN)
    assert "back edge 14.5 mm longer than the front" in look(owner, order)


@pytest.mark.parametrize(
    ("asked", "says"),
    [
        ({"clearance": "wide"}, "Clearance on the diameter: “wide” cannot be read as a length"),
        ({"clearance": "60 mm"}, "Write 50 mm or less"),
        ({"clearance": ""}, "Clearance on the diameter: Fill this in."),
        ({"band_clearance": "60 mm"}, "Clearance of the bands: Write 50 mm or less"),
        ({"cold": "300"}, "Cold iron, °C: Write 60 or less."),
        ({"cold": "warm"}, "Cold iron, °C: Write a whole number"),
        ({"weld": "glue"}, "For the weld: That is not offered here"),
        ({"coefficient": "94"}, "millionths a °C: Write 16 or less."),
        ({"coefficient": "nan"}, "millionths a °C: Write a number"),
        ({"traveller": "1 mm"}, "Traveller’s own run: This is too short for a traveller."),
        ({"across": "0 mm"}, "Or the traveller’s diameter: This is too short for a traveller."),
        ({"across": "1 ft", "traveller": "600 mm"}, "Give the traveller’s run or its diameter, not both."),
        ({"price": "dear"}, "is not an amount of money"),
        ({"band_draw": "-1"}, "less than nothing"),
    ],
)
def test_what_cannot_be_read_is_said(owner: Client, order: Order, asked: dict[str, str], says: str) -> None:
    give_draw(order)
    page = look(owner, order, status=422, **asked)
    assert says in page
    assert "round its middle" not in page


def test_wheels_left_out_want_no_iron(owner: Client, order: Order) -> None:
    give_draw(order)
    drop_wheel(Wheel.objects.select_related("lot__order").get(lot__order=order, number=1), at=NOW)
    page = look(owner, order)
    assert "Tyre off hind, hind pair" in page
    assert "near hind" not in page


def test_old_wheels_that_keep_their_tyres_want_none(owner: Client, shop: Shop) -> None:
    old = WheelRow(makeup(), "old pair", ["near", "off"], work=Work.NEW_BOX)
    page = look(owner, take_pair(rows=[old]))
    assert "Nothing of bar is wanted of the smith for this order." in page


def test_rubber_in_a_channel_has_no_bar(owner: Client, shop: Shop) -> None:
    gig = WheelRow(makeup(tyre="rubber", fastening="plain"), "gig pair", ["near", "off"])
    page = look(owner, take_pair(rows=[gig]), band_draw="2 mm")
    assert "Gig pair: a rubber tyre" in page
    assert "Front, 2 alike" in page


def test_many_wheels_alike_are_one_row_by_their_numbers(owner: Client, shop: Shop) -> None:
    order = take_pair(rows=[WheelRow(makeup(), "loose wheels", ["loose"] * 40)])
    give_draw(order)
    assert "Tyre, 40 alike 40 wheels, numbers 1 to 40" in look(owner, order)


def test_of_very_many_wheels_each_measured_a_page_is_spelled_out(owner: Client, shop: Shop, osk: Hand) -> None:
    order = take_pair(rows=[WheelRow(makeup(bands=()), "loose wheels", ["loose"] * 60)])
    give_draw(order)
    for place, wheel in enumerate(Wheel.objects.filter(lot__order=order)):
        measure(order, osk, wheel.number, run=(3670 + place) * MM)
    page = look(owner, order, clearance="2 mm")
    assert page.count("as made less") == 48
    assert "And 12 more all of them" in page
    assert "60 wanted" in page
    shown = owner.get(reverse("shop:order-iron", args=[order.number]), {"clearance": "2 mm"}).content.decode()
    assert "?clearance=2+mm&amp;all=1" in shown
    assert look(owner, order, clearance="2 mm", all="1").count("as made less") == 60


def test_the_smith_s_list_and_its_pieces_lead_to_it(client: Client, order: Order, osk: Hand, bram: Hand) -> None:
    finish_up_to(order, "weld-tyre", osk)
    client.force_login(bram.user)
    hoop = task(order, "weld-tyre", Wheel.objects.filter(lot__order=order)[0])
    for url in (reverse("shop:smith"), reverse("shop:trade-piece", args=[hoop.pk])):
        assert reverse("shop:order-iron", args=[order.number]) in client.get(url).content.decode()


@pytest.mark.parametrize("name", ["order", "wheel"])
def test_it_is_linked(owner: Client, order: Order, name: str) -> None:
    wheel = Wheel.objects.filter(lot__order=order)[0]
    args = [order.number] if name == "order" else [order.number, wheel.pk]
    page = owner.get(reverse(f"shop:{name}", args=args)).content.decode()
    assert reverse("shop:order-iron", args=[order.number]) in page
