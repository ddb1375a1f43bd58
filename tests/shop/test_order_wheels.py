"""The page of a wheel, and listing what a repair was found to need."""

import re

import pytest
from django.test import Client
from django.urls import reverse

from jobs.found import found_so_far
from jobs.models import Hold, Measure, Order, Task, Wheel
from jobs.models.operations import Work
from jobs.orders import WheelRow
from shop.models import Hand, Shop
from tests.conftest import operation
from tests.factories import NOW, fact, makeup, take_pair, task
from timing.record import record


@pytest.fixture
def desk(client: Client, tamsin: Hand) -> Client:
    client.force_login(tamsin.user)
    return client


@pytest.fixture
def repair(shop: Shop) -> Wheel:
    """The near wheel of an old pair that needs felloes."""
    row = WheelRow(makeup(spokes=13, felloes=7), "old pair", ["near", "off"], work=Work.NEW_FELLOES)
    return take_pair(rows=[row]).lots.get().wheels.select_related("lot__order").all()[0]


def url(name: str, wheel: Wheel) -> str:
    return reverse(f"shop:{name}", args=[wheel.lot.order.number, wheel.pk])


def near(order: Order) -> Wheel:
    return Wheel.objects.select_related("lot__order").get(lot__order=order, number=1)


def test_it_works(desk: Client, order: Order, osk: Hand) -> None:
    wheel = near(order)
    record(fact(task(order, "chop-mortise", wheel), osk, made=9, minutes=81), now=NOW)
    record(fact(task(order, "rough-spoke"), osk, made=5), now=NOW)
    page = desk.get(url("wheel", wheel)).content.decode()
    for said in ("Near hind, wheel 1", "9 of 14", "1 h 21", "5 of 28", "loose, for the whole hind pair", "Tyres"):
        assert said in page
    assert "Cost of this wheel so far" in page


def has_row(page: str, kind: str, name: str) -> bool:
    """Whether a table of the page has a row of this class with this name."""
    return re.search(rf'<tr[^>]* class="{kind}">\s*<th scope="row">{name}', page) is not None


def test_a_phone_folds_what_is_done_and_what_waits(desk: Client, order: Order, osk: Hand) -> None:
    wheel = near(order)
    record(fact(task(order, "get-out-hub"), osk, made=2), now=NOW)
    record(fact(task(order, "turn-hub", wheel), osk), now=NOW)
    page = desk.get(url("wheel", wheel)).content.decode()
    whole, _, folded = page.partition('<details class="more rows-folded">')
    waiting, _, done = folded.partition('<details class="more rows-folded">')
    assert has_row(whole, "", "Strike out hub, stagger")
    for name, where in (("Chop mortise", waiting), ("Turn hub", done)):
        assert has_row(whole, "folded-row", name)
        assert has_row(where, "", name)
    assert "2 operations done</summary>" in done
    assert "Strike out hub" not in folded.replace("“strike out hub, stagger”", "")


def test_measures_as_made_are_shown_and_the_older_stay(desk: Client, order: Order, osk: Hand) -> None:
    wheel = near(order)
    for value in (3_671_000_000, 3_669_000_000):
        Measure.objects.create(wheel=wheel, kind="run", value_nm=value, taken_at=NOW, taken_by=osk.user)
    page = desk.get(url("wheel", wheel)).content.decode()
    assert "<b>Run of the rim, 3669 mm</b>" in page
    assert "<s>Run of the rim, 3671 mm</s>" in page
    assert "Osk, 2 March 2026" in page


def test_a_hand_sees_no_cost_and_changes_nothing(client: Client, osk: Hand, order: Order) -> None:
    client.force_login(osk.user)
    page = client.get(url("wheel", near(order))).content.decode()
    assert "Chop mortise" in page
    for hidden in ("Cost of this wheel", "Leave this wheel out", "£"):
        assert hidden not in page
    assert client.get(url("wheel-drop", near(order))).status_code == 403


def test_a_wheel_of_another_order_is_not_found(desk: Client, order: Order) -> None:
    other = near(take_pair())
    assert desk.get(reverse("shop:wheel", args=[order.number, other.pk])).status_code == 404


def listed(desk: Client, wheel: Wheel, **told: object) -> dict[str, object]:
    """Answers: two felloes to saw, and one box to draw from among the other operations."""
    saw, draw = operation("saw-felloe"), operation("draw-box")
    return {
        "seen": found_so_far(wheel.lot),
        f"op_{saw.pk}": "2",
        "more_0": draw.pk,
        "more_0_number": "1",
        "said": "rot behind the joints",
        **told,
    }


def test_what_was_found_is_listed_once_and_waits_for_the_customer(desk: Client, repair: Wheel) -> None:
    told = listed(desk, repair)
    assert [desk.post(url("wheel-found", repair), told).status_code for _ in range(2)] == [302, 302]
    found = Task.objects.filter(lot=repair.lot, origin=Task.Origin.FOUND).values_list("operation__key", "wanted")
    assert set(found) == {("saw-felloe", 2), ("draw-box", 1)}
    hold = Hold.objects.get()
    assert hold.what == "near wheel, rot behind the joints: 2 × saw felloe, 1 × draw old box"
    page = desk.get(reverse("shop:order", args=[repair.lot.order.number])).content.decode()
    assert "The customer’s word" in page
    assert "found" in page


def test_the_usual_work_of_the_repair_is_offered(desk: Client, repair: Wheel) -> None:
    form = desk.get(url("wheel-found", repair)).context["form"]
    assert [row.key for row in form.usual][:3] == ["knock-off-felloe", "make-good-tongue", "saw-felloe"]


@pytest.mark.parametrize(
    ("told", "said"),
    [
        ({"more_0_number": ""}, "Write how many, or choose nothing more."),
        ({"more_0": ""}, "Choose what these are."),
        ({"more_0_number": "10000"}, "Write 200 or less."),
        ({"more_0_number": "-2"}, "Write 0 or more."),
    ],
)
def test_what_is_wrong_is_told(desk: Client, repair: Wheel, told: dict[str, str], said: str) -> None:
    answer = desk.post(url("wheel-found", repair), listed(desk, repair, **told))
    assert answer.status_code == 422
    assert said in answer.content.decode()
    assert "rot behind the joints" in answer.content.decode()
    assert not Hold.objects.exists()


def test_an_empty_list_is_told(desk: Client, repair: Wheel) -> None:
    answer = desk.post(url("wheel-found", repair), {"seen": "0"})
    assert answer.status_code == 422
    assert "Nothing is listed yet" in answer.content.decode()


def test_new_wheels_are_not_looked_over(desk: Client, order: Order) -> None:
    assert desk.get(url("wheel-found", near(order))).headers["Location"] == url("wheel", near(order))


@pytest.mark.parametrize(("answer", "live"), [({}, 2), ({"no": "1"}, 0)])
def test_the_customer_answers(desk: Client, repair: Wheel, answer: dict[str, str], live: int) -> None:
    desk.post(url("wheel-found", repair), listed(desk, repair))
    hold = Hold.objects.get()
    told = {"said": "by letter"} | answer
    desk.post(reverse("shop:hold-lift", args=[repair.lot.order.number, hold.pk]), told)
    assert Task.objects.live().filter(lot=repair.lot, origin=Task.Origin.FOUND).count() == live
    hold.refresh_from_db()
    assert hold.lifted_at is not None
    assert "by letter" in Order.objects.get().note


def test_the_kinds_of_repair_are_in_the_shops_own_words(desk: Client, repair: Wheel) -> None:
    Shop.objects.update(word_felloe="felly", word_felloes="fellies", word_tyre="tire", word_tyres="tires")
    lot = repair.lot
    there = [
        (reverse("shop:order-new"), "cut and shut the tire"),
        (reverse("shop:order", args=[lot.order.number]), "7 fellies: new fellies"),
        (reverse("shop:lot", args=[lot.order.number, lot.pk]), "New fellies."),
        (url("wheel-found", repair), "New fellies: usually needed"),
    ]
    for address, said in there:
        assert said in desk.get(address).content.decode(), address


def test_a_wheel_that_was_looked_over_is_named_as_it_is_called(desk: Client, repair: Wheel) -> None:
    Wheel.objects.filter(pk=repair.pk).update(place=Wheel.Place.LOOSE)
    page = desk.get(url("wheel-found", repair)).content.decode()
    assert "What was found on this wheel: loose 1</h1>" in page


def test_the_order_leads_to_what_each_wheel_was_found_to_need(desk: Client, repair: Wheel, order: Order) -> None:
    page = desk.get(reverse("shop:order", args=[repair.lot.order.number])).content.decode()
    for wheel in repair.lot.wheels.all():
        assert f'href="{url("wheel-found", wheel)}"' in page
    assert "List what was found" not in desk.get(reverse("shop:order", args=[order.number])).content.decode()
