"""Issuing what a plan takes: once, of the plan as it is, with the offcuts that are kept."""

import html
import uuid
from dataclasses import replace

import pytest
from django.test import Client
from django.urls import reverse

from jobs.changes import drop_wheel
from jobs.models import Lot, Order
from jobs.orders import WheelRow
from shop.charges import take_back
from shop.forms.cutting import OffcutsField
from shop.models import AuditLine, Hand, Issue, Material, Offcut, Shop
from shop.stores.actions import Entry, Much, Place, bring_back, buy, issue
from shop.stores.book import Stores
from shop.stores.offcuts import Offered, kept_of, note_offcuts, offer_longest, without_noted
from shop.stores.plans import Planned, to_issue
from tests.factories import IN, NOW, MaterialFactory, makeup, take_pair
from tests.shop.plan_asked import fields_of, plan_asked

MILLION = 1_000_000
FLAT = {"kind": "bar", "timber": "iron", "unit": "kg", "thickness_nm": IN // 2, "width_nm": 3 * IN // 2}


@pytest.fixture
def ash(shop: object) -> Material:
    """Planks of 20 board feet each."""
    return MaterialFactory.create()


def entry(by: Hand) -> Entry:
    return Entry(uuid.uuid4(), NOW.date(), by.user, NOW)


@pytest.fixture
def bar(shop: object) -> Material:
    return MaterialFactory.create(name="Tyre bar", length_nm=240 * IN, **FLAT)


def address(name: str, order: Order) -> str:
    return reverse(f"shop:{name}", args=[order.number])


def test_a_plan_is_issued_once(owner: Client, order: Order, ash: Material) -> None:
    """The felloes of a pair from ash boards; the same form again adds nothing, and the page then says so."""
    timber, issues = reverse("shop:order-timber", args=[order.number]), reverse("shop:issue-plan", args=[order.number])
    page = owner.get(timber).content.decode().replace("\xa0", " ")
    asked_for = plan_asked(page)
    assert f"<b>{asked_for[f'much-{ash.pk}']} plank</b> of Ash boards" in page
    assert owner.post(issues, asked_for | {f"much-{ash.pk}": "0"}).status_code == 422
    assert not Issue.objects.exists()
    said = owner.post(issues, asked_for, follow=True).content.decode()
    assert "more of Ash boards went out than came in" in said
    owner.post(issues, asked_for)
    row = Issue.objects.get()
    assert (row.material, row.pieces) == (ash, int(asked_for[f"much-{ash.pk}"]))
    assert "This order was issued all of it." in owner.get(timber).content.decode()
    assert (
        "issue-these"
        not in owner.get(reverse("shop:order-timber", args=[take_pair().number]) + "?kerf=x").content.decode()
    )


def test_a_plan_that_is_not_as_it_was_seen_is_refused(owner: Client, order: Order, ash: Material) -> None:
    """By another device that issued the same, by a wheel that was dropped, by what the shop leaves on its blanks, by a
    material that was retired."""
    timber, issues = address("order-timber", order), address("issue-plan", order)
    first, second = (plan_asked(owner.get(timber + "?kerf=4+mm").content.decode()) for _ in range(2))
    assert owner.post(issues, first).status_code == 302
    refused = owner.post(issues, second)
    assert refused.status_code == 422
    assert f"Order {order.number} was issued some of this since you opened the plan." in refused.content.decode()
    assert f'href="{timber}?kerf=4+mm#issue-these"' in refused.content.decode()
    assert Issue.objects.count() == 1
    # Sent again by a poor network, the first is answered as it was.
    assert owner.post(issues, first).status_code == 302

    other = take_pair()
    seen = plan_asked(owner.get(address("order-timber", other)).content.decode())
    drop_wheel(other.lots.get().wheels.all()[0], at=NOW)
    said = owner.post(address("issue-plan", other), seen).content.decode()
    assert f"Order {other.number} was changed since you opened the plan." in said
    seen = plan_asked(owner.get(address("order-timber", other)).content.decode())
    Shop.objects.update(allow_felloe_end_nm=2 * IN)
    said = owner.post(address("issue-plan", other), seen).content.decode()
    assert "What the shop leaves on blanks, or the spares that it adds, was changed since you opened the plan." in said
    Material.objects.filter(pk=ash.pk).update(retired_at=NOW)
    assert "was retired since you opened the plan" in owner.post(address("issue-plan", other), seen).content.decode()
    assert Issue.objects.count() == 1


def test_one_form_issues_no_more_when_it_is_sent_with_more(owner: Client, order: Order, ash: Material) -> None:
    oak = MaterialFactory.create(name="Oak", timber="oak")
    issues = address("issue-plan", order)
    few = plan_asked(owner.get(address("order-timber", order)).content.decode()) | {f"much-{ash.pk}": "3"}
    assert owner.post(issues, few).status_code == 302
    for other in ({f"much-{oak.pk}": "5"}, {f"much-{ash.pk}": "2"}):
        assert "sent before with other content" in owner.post(issues, few | other).content.decode()
    assert [(row.material, row.pieces) for row in Issue.objects.all()] == [(ash, 3)]


def cut(owner: Client, order: Order, kerf: str = "1/8 in") -> str:
    """The page of an order's cutting, from bars of 20 ft."""
    Lot.objects.filter(order=order).update(draw_nm=0)
    return owner.get(address("order-cutting", order), {"bar": "20 ft", "kerf": kerf}).content.decode()


def test_offcuts_of_bars_are_kept_and_used_first(owner: Client, order: Order) -> None:
    size = {"thickness_nm": IN // 2, "width_nm": 3 * IN // 2, "length_nm": 240 * IN}
    bar = MaterialFactory.create(name="Tyre bar", kind="bar", timber="iron", unit="kg", **size)
    cutting, issues = (
        reverse("shop:order-cutting", args=[order.number]),
        reverse("shop:issue-plan", args=[order.number]),
    )
    Lot.objects.filter(order=order).update(draw_nm=0)
    asked_for = plan_asked(owner.get(cutting, {"bar": "20 ft", "kerf": "1/8 in"}).content.decode())
    left = asked_for[f"left-{bar.pk}"]
    # Two tyres of a 46 in wheel are some 24 ft of bar, at 2.55 lb a foot.
    assert float(asked_for[f"much-{bar.pk}"]) / 0.45359237 / 2.55 == pytest.approx(25, abs=1)
    assert owner.post(issues, asked_for).status_code == 302
    owner.post(issues, asked_for)
    assert Offcut.objects.count() == len(left.split(";")) > 0
    other = take_pair()
    Lot.objects.filter(order=other).update(draw_nm=0)
    page = owner.get(reverse("shop:order-cutting", args=[other.number]), {"bar": "20 ft"}).content.decode()
    assert html.escape(left) in page
    assert "Those kept in the stores." in page
    shown = owner.get(reverse("shop:material-stock", args=[bar.pk])).content.decode()
    assert html.escape(left) in shown.replace("\xa0", " ")
    take_back(Issue.objects.get(), token=uuid.uuid4(), reason="x", by=Hand.objects.get(name="Wren").user, at=NOW)
    page = owner.get(reverse("shop:order-cutting", args=[other.number]), {"bar": "20 ft"}).content.decode()
    assert "Those kept in the stores." not in page


def test_a_remainder_notes_no_offcut_twice(owner: Client, order: Order, bar: Material) -> None:
    """What is issued of a plan with a wider cut leaves other lengths of the same two bars."""
    owner.post(address("issue-plan", order), plan_asked(cut(owner, order)))
    assert sum(row.pieces for row in Offcut.objects.all()) == 2
    asked_for = plan_asked(cut(owner, order, kerf="1/4 in"))
    assert 0 < float(asked_for[f"much-{bar.pk}"]) < 0.1
    assert asked_for[f"left-{bar.pk}"] == ""
    one, other, third = 2 * MILLION, 5 * MILLION, 9 * MILLION
    assert without_noted({one: 1, other: 2, third: 1}, {other: 1, one + 1: 1}) == {other: 1, third: 1}
    assert without_noted({one: 1}, {third: 3}) == {}


def test_what_a_plan_of_many_wheels_leaves_is_taken_as_it_is_offered(owner: Client, shop: Shop, bar: Material) -> None:
    order = take_pair(rows=[WheelRow(makeup(), "wheels", ["loose"] * 70)])
    asked_for = plan_asked(cut(owner, order))
    assert "× 70" in asked_for[f"left-{bar.pk}"]
    assert owner.post(address("issue-plan", order), asked_for).status_code == 302
    assert Offcut.objects.get().pieces == 70
    # The next is offered as many as its field takes.
    page = cut(owner, take_pair())
    assert "× 60" in page
    assert "The longest of those kept in the stores; 10 shorter are left out." in page
    assert "issue-these" in page


def test_the_longest_offcuts_are_offered() -> None:
    kept = {(600 + number) * MILLION + 1_587_500: 1 for number in range(61)}
    offered = offer_longest(kept, "in")
    assert len(offered.told) <= 400
    lengths = [each.length_nm for each in OffcutsField(unit="in").clean(offered.told)]
    assert lengths == sorted(kept, reverse=True)[: len(lengths)]
    assert len(lengths) + offered.left_out == 61
    assert offer_longest({MILLION: 2}, "mm") == Offered("1 mm × 2", 0)


def test_an_offcut_that_was_used_hides_none_that_comes_later(order: Order, wren: Hand, bar: Material) -> None:
    """It was left by an issue that is taken back; nor does one that was not there."""
    metre = 1_000 * MILLION
    rows = [issue(Much(bar, 10 * MILLION), entry(wren), place=Place(order)) for _ in range(3)]
    assert note_offcuts(rows[0], bar, left={metre: 1}, used={}) == {}
    assert note_offcuts(rows[1], bar, left={}, used={metre: 2}) == {metre: 1}
    assert kept_of(bar) == {}
    take_back(rows[0], token=uuid.uuid4(), reason="x", by=wren.user, at=NOW)
    note_offcuts(rows[2], bar, left={metre: 1}, used={})
    assert kept_of(bar) == {metre: 1}


def test_the_desk_puts_right_which_offcuts_lie_there(owner: Client, order: Order, wren: Hand, bar: Material) -> None:
    row = issue(Much(bar, 10 * MILLION), entry(wren), place=Place(order))
    note_offcuts(row, bar, left={1_200 * MILLION: 2, 800 * MILLION: 1}, used={})
    url, page = (reverse(f"shop:{name}", args=[bar.pk]) for name in ("material-offcuts", "material-stock"))
    assert url in owner.get(page).content.decode()
    seen = fields_of(owner.get(url).content.decode())
    assert owner.post(url, seen | {"lengths": "nothing"}).status_code == 422
    assert owner.post(url, seen | {"lengths": "1200 mm; 1500 mm"}).status_code == 302
    assert kept_of(bar) == {1_200 * MILLION: 1, 1_500 * MILLION: 1}
    assert AuditLine.objects.latest("id").before == "1200 mm × 2; 800 mm"
    # Sent again it is as it was; who saw it before and writes other lengths is told.
    assert owner.post(url, seen | {"lengths": "1500 mm; 1200 mm"}).status_code == 302
    assert Offcut.objects.count() == 5
    assert owner.post(url, seen | {"lengths": "900 mm"}).status_code == 409
    wood = MaterialFactory.create()
    assert owner.get(reverse("shop:material-offcuts", args=[wood.pk])).status_code == 404


def test_an_offcut_is_struck_off_and_charged_where_it_is_kept(
    owner: Client, order: Order, wren: Hand, bar: Material
) -> None:
    """Two offcuts of another bar of the section serve for both tyres: no more is taken of the bar that lies there."""
    other = MaterialFactory.create(name="Another bar", length_nm=120 * IN, **FLAT)
    row = issue(Much(other, 90 * MILLION), entry(wren), place=Place(take_pair()))
    note_offcuts(row, other, left={160 * IN: 2}, used={})
    Material.objects.filter(pk=other.pk).update(retired_at=NOW)
    buy(Much(bar, 100 * MILLION), entry(wren), paid_pence=1000)
    page = cut(owner, order)
    asked_for = plan_asked(page)
    assert f"much-{bar.pk}" not in asked_for
    assert "Offcuts of it that are used, 4064 mm × 2, are charged as this bar is." in page
    said = owner.post(address("issue-plan", order), asked_for, follow=True).content.decode()
    assert "not kept" not in said
    assert (Issue.objects.latest("id").material, Stores().rack(bar.pk).amount) == (other, 100 * MILLION)
    # What is left of them is of that bar, too; the next order is offered that, and this one nothing more.
    assert [kept_of(other).total(), max(kept_of(other)) < 20 * IN, kept_of(bar)] == [2, True, {}]
    assert "4064 mm" not in cut(owner, take_pair())
    assert "This order was issued all of it." in cut(owner, order)
    assert "as they were before this order was issued any" in cut(owner, order)


def test_what_was_given_of_another_bar_serves_once(order: Order, wren: Hand, bar: Material) -> None:
    """Of two bars that a plan takes from, ten kilograms of a third stand for ten, not for ten of each."""
    second, third = (MaterialFactory.create(name=name, length_nm=240 * IN, **FLAT) for name in ("Second", "Third"))
    issue(Much(third, 10 * MILLION), entry(wren), place=Place(order))
    rows = to_issue([Planned(bar, 10 * MILLION), Planned(second, 12 * MILLION)], order)
    assert [row.amount for row in rows] == [0, 12 * MILLION]
    rows = to_issue([Planned(bar, 8 * MILLION), Planned(second, 12 * MILLION)], order)
    assert [row.amount for row in rows] == [0, 10 * MILLION]


def test_offcuts_of_bars_that_are_bought_whole_cost_no_more(
    owner: Client, order: Order, wren: Hand, bar: Material
) -> None:
    """They are struck off with what is issued of another bar; where nothing else is, the page says so."""
    whole = MaterialFactory.create(name="Whole bar", length_nm=120 * IN, **FLAT | {"unit": "each"})
    row = issue(Much(whole, MILLION), entry(wren), place=Place(take_pair()))
    note_offcuts(row, whole, left={160 * IN: 1}, used={})
    buy(Much(bar, 100 * MILLION), entry(wren), paid_pence=1000)
    page = cut(owner, order)
    assert "4064 mm, cost nothing more: the whole bar was charged." in page
    assert owner.post(address("issue-plan", order), plan_asked(page)).status_code == 302
    assert [one.material for one in Issue.objects.filter(order=order)] == [bar]
    assert max(kept_of(whole)) < 20 * IN
    note_offcuts(row, whole, left={160 * IN: 2}, used={})
    page = cut(owner, take_pair())
    assert "All of it is cut from offcuts, which cost nothing more" in page
    assert reverse("shop:material-offcuts", args=[whole.pk]) in page


def test_what_comes_back_whole_was_never_cut(owner: Client, order: Order, wren: Hand, bar: Material) -> None:
    """Its offcuts are none, and those it used are kept again; until it turns out that it did not come back."""
    row = issue(Much(bar, 10 * MILLION), entry(wren), place=Place(take_pair()))
    note_offcuts(row, bar, left={160 * IN: 1}, used={})
    asked_for = plan_asked(cut(owner, order))
    owner.post(address("issue-plan", order), asked_for)
    row, kept = Issue.objects.latest("id"), kept_of(bar)
    assert 160 * IN not in kept
    url = reverse("shop:back-to-rack", args=[row.pk])
    assert "If all of it comes back, nothing was cut" in owner.get(url).content.decode()
    some = 5 * MILLION
    bring_back(row, Much(bar, some), replace(entry(wren), on=row.on))
    assert kept_of(bar) == kept
    rest = bring_back(row, Much(bar, (row.amount_millionths or 0) - some), replace(entry(wren), on=row.on))
    assert kept_of(bar) == {160 * IN: 1}
    again = plan_asked(cut(owner, order))
    assert {name: again[name] for name in again if name[:4] in ("much", "left", "used")} == {
        name: asked_for[name] for name in asked_for if name[:4] in ("much", "left", "used")
    }
    owner.post(address("issue-plan", order), again)
    assert kept_of(bar) == kept
    take_back(rest, token=uuid.uuid4(), reason="it did not", by=wren.user, at=NOW)
    assert kept_of(bar) == kept + kept
