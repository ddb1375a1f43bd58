"""Changing an order from its pages: details, promises, holds, wheels added, changed and dropped, pieces moved."""

import uuid
from datetime import UTC

import pytest
from django.test import Client
from django.urls import reverse

from jobs.found import Found, found_so_far, list_found
from jobs.models import Hold, Lot, Order, Task, Wheel
from jobs.models.operations import Work as KindOfWork
from jobs.orders import WheelRow, place_hold
from shop.models import Hand, Shop
from shop.order_changes import answer_hold
from tests.conftest import operation
from tests.factories import NOW, fact, makeup, take_pair, task
from tests.shop.order_forms import in_library, measures, row
from tests.shop.typed import as_sent
from timing.models import Move
from timing.record import record
from timing.recount import find_faults


@pytest.fixture
def desk(client: Client, tamsin: Hand) -> Client:
    client.force_login(tamsin.user)
    return client


def url(name: str, order: Order, **others: object) -> str:
    return reverse(f"shop:{name}", kwargs={"number": order.number, **others})


def loose(order: Order, osk: Hand, **made: int) -> None:
    """Loose spokes and felloes made: rough=9, foot=5, saw=3."""
    keys = {"rough": "rough-spoke", "foot": "cut-foot", "shave": "shave-spoke", "saw": "saw-felloe"}
    for name, number in made.items():
        record(fact(task(order, keys[name]), osk, made=number), now=NOW)


def test_details_are_put_right(desk: Client, order: Order) -> None:
    told = {"customer": "Hob Larkin", "contact": "", "carriage": "Gig", "note": "by rail"}
    assert desk.post(url("order-details", order), told).status_code == 302
    order.refresh_from_db()
    assert (order.customer.name, order.carriage, order.note) == ("Hob Larkin", "Gig", "by rail")


def test_a_note_changed_meanwhile_is_shown_beside_what_was_typed(desk: Client, order: Order) -> None:
    """A page opened before the customer answered doesn't write over what was said."""
    path = url("order-details", order)
    sent = as_sent(desk.get(path).text, path, carriage="Gig", note="goes by rail")
    hold = place_hold(order, kind="customer", what="colour", at=NOW)
    desk.post(url("hold-lift", order, pk=hold.pk), {"said": "blue"})
    page = desk.post(path, sent)
    assert page.status_code == 409
    assert "colour: blue</p>" in page.text
    assert ("goes by rail</textarea>" in page.text, 'value="Gig"' in page.text) == (True, True)
    assert Order.objects.get().note.endswith("colour: blue")
    assert desk.post(path, as_sent(page.text, path, note="blue; goes by rail")).status_code == 302
    assert Order.objects.get().note == "blue; goes by rail"


def test_half_filled_details_keep_the_answers(desk: Client, order: Order) -> None:
    answer = desk.post(url("order-details", order), {"customer": "", "carriage": "Gig", "note": "by rail"})
    assert answer.status_code == 422
    assert "by rail" in answer.content.decode()
    assert Order.objects.get().carriage == "Wagonette"


def test_another_day_is_promised_with_its_reason(desk: Client, order: Order) -> None:
    day = {"promised_on_day": "3", "promised_on_month": "4", "promised_on_year": "2026"}
    assert desk.post(url("order-promise", order), day | {"reason": ""}).status_code == 422
    for _ in range(2):
        desk.post(url("order-promise", order), day | {"reason": "the elm was wet"})
    page = desk.get(url("order", order)).content.decode()
    assert order.promises.count() == 2
    assert "the elm was wet; not told yet" in page
    assert "Friday 20 March 2026" in page


def test_a_hold_is_placed_on_a_wheel_and_lifted(desk: Client, order: Order) -> None:
    near = Wheel.objects.get(number=1)
    told = {"kind": "timber", "what": "elm for the hub", "where": f"wheel-{near.pk}"}
    for _ in range(2):
        assert desk.post(url("order-hold", order), told).status_code == 302
    hold = Hold.objects.get()
    assert (hold.wheel, hold.lot) == (near, near.lot)
    assert "elm for the hub" in desk.get(url("order", order)).content.decode()
    assert desk.post(url("hold-lift", order, pk=hold.pk), {"said": "it came by cart"}).status_code == 302
    hold.refresh_from_db()
    order.refresh_from_db()
    assert hold.lifted_at is not None
    assert "elm for the hub: it came by cart" in order.note


@pytest.fixture
def asked_for(shop: Shop) -> Hold:
    """The customer is asked for two felloes of an old pair."""
    rows = [WheelRow(makeup(), "old pair", ["near", "off"], work=KindOfWork.NEW_FELLOES)]
    wheel = Wheel.objects.select_related("lot__order").get(lot__order=take_pair(rows=rows), number=1)
    return list_found(Found(wheel, {operation("saw-felloe"): 2}, "near wheel: 2 felloes"), seen=0, at=NOW)


def found_live(hold: Hold) -> list[int]:
    return list(Task.objects.live().filter(lot__order=hold.order_id, origin="found").values_list("wanted", flat=True))


def test_a_no_that_comes_after_a_yes_changes_nothing(asked_for: Hold) -> None:
    """From a second device, on which the page still asked."""
    stale = Hold.objects.get(pk=asked_for.pk)
    assert answer_hold(asked_for, said="by letter", yes=True, at=NOW, zone=UTC)
    assert not answer_hold(stale, said="too dear", yes=False, at=NOW, zone=UTC)
    assert found_live(asked_for) == [2]
    assert Order.objects.get().note == "2 March 2026, near wheel: 2 felloes: by letter"


def test_a_no_leaves_alone_what_was_agreed_before(desk: Client, asked_for: Hold) -> None:
    order = asked_for.order
    off = Wheel.objects.select_related("lot__order").get(number=2)
    desk.post(url("hold-lift", order, pk=asked_for.pk))
    told = {operation("saw-felloe"): 3, operation("offer-up-felloe"): 3}
    later = list_found(Found(off, told, "off wheel: 3 felloes"), seen=found_so_far(off.lot), at=NOW)
    desk.post(url("hold-lift", order, pk=later.pk), {"no": "1"})
    assert found_live(asked_for) == [2]
    own = place_hold(order, kind="customer", what="colour", at=NOW, lot=off.lot)
    desk.post(url("hold-lift", order, pk=own.pk), {"no": "1"})
    assert found_live(asked_for) == [2]


@pytest.mark.parametrize("kind", ["timber", "goods", "other"])
def test_only_a_customer_says_no(desk: Client, asked_for: Hold, kind: str) -> None:
    hold = place_hold(asked_for.order, kind=kind, what="ash", at=NOW, lot=asked_for.lot)
    answer = desk.post(url("hold-lift", asked_for.order, pk=hold.pk), {"no": "1", "said": "none at the mill"})
    assert answer.status_code == 422
    assert "Only the customer may say no" in answer.content.decode()
    assert 'value="none at the mill"' in answer.content.decode()
    assert Hold.objects.get(pk=hold.pk).lifted_at is None
    assert found_live(asked_for) == [2]


def test_a_hold_of_another_order_is_not_found(desk: Client, order: Order) -> None:
    hold = place_hold(take_pair(), kind="timber", what="elm", at=NOW)
    assert desk.post(url("hold-lift", order, pk=hold.pk)).status_code == 404


def test_wheels_are_added_once(desk: Client, order: Order) -> None:
    told = row(0, in_library(spokes=12, felloes=6), "fore_pair") | {"first_number": "3"}
    assert [desk.post(url("order-add", order), told).status_code for _ in range(2)] == [302, 302]
    assert [lot.name for lot in order.lots.all()] == ["hind pair", "fore pair"]


def test_a_wheel_is_dropped_after_asking(desk: Client, order: Order, osk: Hand) -> None:
    off = Wheel.objects.get(number=2)
    record(fact(task(order, "turn-hub", off), osk, minutes=60), now=NOW)
    assert "1 h on this wheel" in desk.get(url("wheel-drop", order, pk=off.pk)).content.decode()
    for _ in range(2):
        assert desk.post(url("wheel-drop", order, pk=off.pk)).status_code == 302
    assert [wheel.label for wheel in Wheel.objects.filter(dropped_at=None)] == ["near hind"]
    assert "Left out." in desk.get(url("wheel", order, pk=off.pk)).content.decode()


@pytest.mark.parametrize(
    ("spokes", "felloes", "said"),
    [(1, 0, "Spares: 1 spoke."), (0, 1, "Spares: 1 felloe."), (2, 3, "Spares: 2 spokes, 3 felloes."), (0, 0, "")],
)
def test_spares_are_told_by_their_number(desk: Client, order: Order, spokes: int, felloes: int, said: str) -> None:
    lot = order.lots.get()
    Lot.objects.update(spare_spokes=spokes, spare_felloes=felloes)
    page = desk.get(url("lot", order, pk=lot.pk)).content.decode()
    assert said in page
    assert ("Spares:" in page) == bool(said)


def test_a_wheel_to_be_left_out_is_named_as_it_is_called(desk: Client) -> None:
    order = take_pair(rows=[WheelRow(makeup(), "loose wheels", ["loose"])])
    page = desk.get(url("wheel-drop", order, pk=order.lots.get().wheels.get().pk)).content.decode()
    assert "Leave out this wheel: loose 1?" in page


def change(desk: Client, order: Order, **told: object) -> Lot:
    """Give both wheels 12 spokes; answers with the new lot."""
    lot = order.lots.get()
    sent: dict[str, object] = {"wheels": [wheel.pk for wheel in lot.wheels.all()], "name": "lighter pair"}
    sent |= measures(made=makeup(spokes=12, felloes=6))
    answer = desk.post(url("lot-change", order, pk=lot.pk), sent | told)
    assert answer.status_code == 302, answer.content.decode()
    return Lot.objects.get(replaces=lot)


def test_pieces_that_fit_go_with_a_changed_make_up(desk: Client, order: Order, osk: Hand) -> None:
    loose(order, osk, rough=9, foot=5, saw=3)
    lot = change(desk, order)
    page = desk.get(url("lot-pieces", order, pk=lot.pk))
    names = [each.name for each in page.context["form"].rows]
    assert names == [
        "4 spokes as far as “rough out spoke”",
        "5 spokes as far as “cut foot”",
        "3 felloes as far as “saw felloe”",
    ]
    rough, foot, saw = (task(order, key) for key in ("rough-spoke", "cut-foot", "saw-felloe"))
    old = {key: Task.objects.get(lot=lot.replaces, operation__key=key) for key in ("rough-spoke", "cut-foot")}
    told = {
        "token": str(uuid.uuid4()),
        f"fits_{old['rough-spoke'].pk}": "4",
        f"fits_{old['cut-foot'].pk}": "2",
        f"again_{old['cut-foot'].pk}": "1",
        f"from_{old['cut-foot'].pk}": str(rough.operation_id),
    }
    for _ in range(2):
        assert desk.post(url("lot-pieces", order, pk=lot.pk), told).status_code == 302
    for each in (rough, foot, saw):
        each.refresh_from_db()
    assert (rough.lot, rough.made, foot.made, saw.made) == (lot, 4 + 2 + 1, 2, 0)
    for each in old.values():
        each.refresh_from_db()
    # What was done on the one that is cut again after its roughing is lost, and no longer counted on.
    assert (old["rough-spoke"].made, old["cut-foot"].made, old["cut-foot"].lost) == (2, 3, 1)
    assert find_faults() == []
    there = [each.name for each in desk.get(url("lot-pieces", order, pk=lot.pk)).context["form"].rows]
    assert there == ["2 spokes as far as “cut foot”", "3 felloes as far as “saw felloe”"]


def test_pieces_are_cut_again_only_from_what_was_written_down(desk: Client, order: Order, osk: Hand) -> None:
    loose(order, osk, rough=2, foot=6, shave=5)
    lot = change(desk, order)
    form = desk.get(url("lot-pieces", order, pk=lot.pk)).context["form"]
    shave = Task.objects.get(lot=lot.replaces, operation__key="shave-spoke")
    assert [words for _, words in form.fields[f"from_{shave.pk}"].choices] == ["after “Cut foot”"]


def test_pieces_of_no_more_use_are_counted_as_lost(desk: Client, order: Order, osk: Hand) -> None:
    loose(order, osk, rough=9, foot=5)
    lot = change(desk, order)
    foot = Task.objects.get(lot=lot.replaces, operation__key="cut-foot")
    told = {"token": str(uuid.uuid4()), f"lost_{foot.pk}": "3", f"fits_{foot.pk}": "2"}
    too_many = desk.post(url("lot-pieces", order, pk=lot.pk), told | {f"again_{foot.pk}": "1"})
    assert "There are 5 of these, and 6 are accounted for." in too_many.content.decode()
    for _ in range(2):
        assert desk.post(url("lot-pieces", order, pk=lot.pk), told).status_code == 302
    foot.refresh_from_db()
    assert (foot.made, foot.spoiled, foot.lost) == (3, 3, 3)
    page = desk.get(url("lot-pieces", order, pk=lot.pk))
    assert [each.name for each in page.context["form"].rows] == ["4 spokes as far as “rough out spoke”"]
    assert find_faults() == []


def test_more_pieces_than_there_are_is_told(desk: Client, order: Order, osk: Hand) -> None:
    loose(order, osk, rough=3)
    lot = change(desk, order)
    key = Task.objects.get(lot=lot.replaces, operation__key="rough-spoke").pk
    told = {"token": str(uuid.uuid4()), f"fits_{key}": "4"}
    answer = desk.post(url("lot-pieces", order, pk=lot.pk), told)
    assert answer.status_code == 422
    assert not Move.objects.exists()


def test_a_make_up_that_cannot_be_made_changes_nothing(desk: Client, order: Order) -> None:
    lot = order.lots.get()
    sent = {"wheels": [wheel.pk for wheel in lot.wheels.all()], "name": "odd"} | measures(spokes="13")
    answer = desk.post(url("lot-change", order, pk=lot.pk), sent)
    assert answer.status_code == 422
    assert "13 spokes is odd" in answer.content.decode()
    assert Lot.objects.count() == 1


def test_spares_are_changed(desk: Client, order: Order) -> None:
    lot = order.lots.get()
    assert desk.post(url("lot-spares", order, pk=lot.pk), {"spokes": "2", "felloes": "1"}).status_code == 302
    assert task(order, "rough-spoke").wanted == 30
    refused = desk.post(url("lot-spares", order, pk=lot.pk), {"spokes": "10000", "felloes": "1"})
    assert refused.status_code == 422


def moving(order: Order, to: Order, pieces: int) -> dict[str, str]:
    key = task(order, "rough-spoke").pk
    lot = to.lots.get().pk
    return {
        "token": str(uuid.uuid4()),
        "pieces_from": str(key),
        "to_lot": str(lot),
        "pieces": str(pieces),
        "reason": "spares",
    }


def test_pieces_are_moved_once_and_back(desk: Client, order: Order, osk: Hand) -> None:
    loose(order, osk, rough=6)
    other = take_pair()
    told = moving(order, other, 4)
    for _ in range(2):
        assert desk.post(url("order-move", order), told).status_code == 302
    assert (task(order, "rough-spoke").made, task(other, "rough-spoke").made) == (2, 4)
    assert "4 × rough out spoke, done: hind pair" in desk.get(url("order-move", order)).content.decode()
    for _ in range(2):
        desk.post(url("move-undo", order, token=told["token"]))
    assert (task(order, "rough-spoke").made, task(other, "rough-spoke").made) == (6, 0)
    assert find_faults() == []


def test_pieces_driven_into_a_wheel_are_not_there_to_move(desk: Client, order: Order, osk: Hand) -> None:
    loose(order, osk, rough=6, foot=6, shave=6)
    near = Wheel.objects.get(number=1)
    record(fact(task(order, "drive-spoke", near), osk, made=5), now=NOW)
    key = task(order, "shave-spoke").pk
    told = moving(order, take_pair(), 2) | {"pieces_from": str(key)}
    answer = desk.post(url("order-move", order), told)
    assert answer.status_code == 422
    assert "There are only 1 of these to move." in answer.content.decode()
    assert not Move.objects.exists()


def test_a_lot_without_that_work_takes_no_pieces(desk: Client, order: Order, osk: Hand) -> None:
    loose(order, osk, saw=2)
    bent = take_pair(rows=[])
    desk.post(url("order-add", bent), row(0, in_library(rim="bent", felloes=2), "pair") | {"first_number": "1"})
    told = moving(order, bent, 1) | {"pieces_from": str(task(order, "saw-felloe").pk)}
    answer = desk.post(url("order-move", order), told)
    assert answer.status_code == 422
    assert "has no such work" in answer.content.decode()


def test_with_nothing_loose_the_page_says_so(desk: Client, order: Order) -> None:
    assert "No loose pieces are made" in desk.get(url("order-move", order)).content.decode()
