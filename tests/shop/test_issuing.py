"""Issuing what a plan takes: once, of the plan as it is, with the offcuts that are kept."""

import html
import uuid

import pytest
from django.test import Client
from django.urls import reverse

from jobs.changes import drop_wheel
from jobs.models import Lot, Order
from shop.charges import take_back
from shop.models import Hand, Issue, Material, Offcut
from tests.factories import IN, NOW, MaterialFactory, take_pair
from tests.shop.plan_asked import plan_asked

MILLION = 1_000_000
FLAT = {"kind": "bar", "timber": "iron", "unit": "kg", "thickness_nm": IN // 2, "width_nm": 3 * IN // 2}


@pytest.fixture
def ash(shop: object) -> Material:
    """Planks of 20 board feet each."""
    return MaterialFactory.create()


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
    """By another device that issued the same, by a wheel that was dropped, by a material that was retired."""
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
