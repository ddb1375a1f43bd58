"""Taking orders, their life, their promises and holds."""

import uuid
from datetime import date, timedelta

import pytest
from pytest_django import DjangoAssertNumQueries

from jobs.makeup import MakeUp
from jobs.models import Customer, Hold, Order, Promise, Task
from jobs.models.operations import Work
from jobs.orders import (
    OrderRefused,
    WheelRow,
    add_lot,
    customer_named,
    lift_hold,
    next_wheel_number,
    place_hold,
    promise,
    set_state,
)
from shop.models import Shop
from tests.factories import IN, NOW, makeup, take_pair

TODAY = NOW.date()


def row(made: MakeUp, *places: str, **others: object) -> WheelRow:
    return WheelRow(made, "pair", places or ("near", "off"), **others)  # type: ignore[arg-type]


def test_it_works(order: Order) -> None:
    lot = order.lots.get()
    assert (order.number, order.customer.name, order.state) == (1, "Corbel Hall stables", Order.State.TAKEN)
    assert [(wheel.number, wheel.label) for wheel in lot.wheels.all()] == [(1, "near hind"), (2, "off hind")]
    assert lot.makeup == makeup()
    assert order.promises.get().promised_on == date(2026, 3, 20)


def test_sent_twice_is_one_order(shop: Shop) -> None:
    token = uuid.uuid4()
    assert take_pair(token=token) == take_pair(token=token, carriage="Another")
    assert Order.objects.count() == 1


def test_numbers_follow_the_highest(shop: Shop) -> None:
    take_pair(number=212)
    assert take_pair().number == 213


def test_wheels_are_numbered_through_the_order(shop: Shop) -> None:
    order = take_pair(rows=[row(makeup(), "near_fore", "off_fore"), row(makeup(), "near_hind", "off_hind")])
    assert [wheel.number for lot in order.lots.all() for wheel in lot.wheels.all()] == [1, 2, 3, 4]


def test_a_customer_is_known_again_whatever_the_capitals(shop: Shop) -> None:
    take_pair(customer="Lettice Orme")
    order = take_pair(customer="lettice orme", contact="by the mill")
    assert order.customer == Customer.objects.get()
    assert order.customer.contact == "by the mill"


@pytest.mark.parametrize(
    ("known", "typed"),
    [
        ("Ömer Åkesson", "ömer åkesson"),
        ("ömer", "ÖMER"),
        ("Zoë", "ZOE\N{COMBINING DIAERESIS}"),
        ("Łukasz Źdźbło", "łUKASZ źdźbło"),
    ],
)
def test_so_is_one_whose_letters_go_beyond_a_to_z(shop: Shop, known: str, typed: str) -> None:
    take_pair(customer=known)
    assert take_pair(customer=typed).customer == Customer.objects.get()


def test_another_letter_is_another_customer(shop: Shop) -> None:
    take_pair(customer="Omer")
    assert take_pair(customer="Ömer").customer.name == "Ömer"
    assert Customer.objects.count() == 2


def test_a_name_of_plain_letters_reads_no_other_names(
    shop: Shop, django_assert_num_queries: DjangoAssertNumQueries
) -> None:
    with django_assert_num_queries(2):
        customer_named("Hob Larkin")


def test_two_customers_of_one_name_are_no_hindrance(shop: Shop) -> None:
    first, _ = Customer.objects.create(name="J. Ash"), Customer.objects.create(name="J. Ash")
    assert take_pair(customer="J. Ash").customer == first


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"spokes": 13}, "13 spokes is odd"),
        ({"spokes": 300, "felloes": 150}, "from 4 to 40 spokes"),
        ({"hub_diameter_nm": 60 * IN}, "through and the wheel only"),
        ({"tyre_thickness_nm": 3 * IN}, "thick, and the rim it goes on"),
    ],
)
def test_what_cannot_be_made_is_refused_whole(shop: Shop, changes: dict[str, int], said: str) -> None:
    with pytest.raises(OrderRefused, match=said):
        take_pair(rows=[row(makeup()), row(makeup(**changes))])
    assert not Order.objects.exists()
    assert not Customer.objects.exists()


def test_odd_spokes_are_taken_in_a_repair(shop: Shop) -> None:
    order = take_pair(rows=[row(makeup(spokes=13, felloes=7), work=Work.NEW_SPOKES)])
    assert order.lots.get().spokes == 13


def test_odd_spokes_are_taken_with_a_bent_rim(shop: Shop) -> None:
    assert take_pair(rows=[row(makeup(spokes=15, rim="bent", felloes=2))]).lots.get().spokes == 15


def test_a_row_without_wheels_is_refused(shop: Shop) -> None:
    with pytest.raises(OrderRefused, match="say how many wheels"):
        take_pair(rows=[WheelRow(makeup(), "hind pair", [])])


def test_added_wheels_are_numbered_on_and_have_their_tasks(order: Order) -> None:
    lot = add_lot(order, row(makeup(), "near_fore", "off_fore"))
    assert [wheel.number for wheel in lot.wheels.all()] == [3, 4]
    assert Task.objects.filter(lot=lot, operation__key="rough-spoke").get().wanted == 28


def test_wheels_sent_twice_are_added_once(order: Order) -> None:
    first = next_wheel_number(order)
    added = [add_lot(order, row(makeup(), "near_fore"), first_number=first) for _ in range(2)]
    assert added[0] == added[1]
    assert order.lots.count() == 2


def test_wheels_added_meanwhile_are_told(order: Order) -> None:
    first = next_wheel_number(order)
    add_lot(order, row(makeup(), "near_fore"), first_number=first)
    with pytest.raises(OrderRefused, match="meanwhile"):
        add_lot(order, row(makeup(), "off_fore"), first_number=first)


def test_states_keep_their_days(shop: Shop) -> None:
    order = take_pair(state=Order.State.ENQUIRY, taken_on=None)
    set_state(order, Order.State.TAKEN, on=TODAY)
    set_state(order, Order.State.FETCHED, on=TODAY + timedelta(days=9))
    assert (order.taken_on, order.ended_on) == (TODAY, TODAY + timedelta(days=9))
    set_state(order, Order.State.IN_HAND, on=TODAY + timedelta(days=10))
    assert (order.taken_on, order.ended_on) == (TODAY, None)


def test_paid_later_it_ended_when_it_was_fetched(order: Order) -> None:
    set_state(order, Order.State.FETCHED, on=TODAY)
    set_state(order, Order.State.PAID, on=TODAY + timedelta(days=30))
    there = Order.objects.get()
    assert (there.ended_on, there.paid_on) == (TODAY, TODAY + timedelta(days=30))
    set_state(there, Order.State.FETCHED, on=TODAY + timedelta(days=31))
    assert Order.objects.get().paid_on is None


def test_the_first_promise_stays_readable(order: Order) -> None:
    for _ in range(2):
        promise(order, date(2026, 4, 3), reason="elm was wet", told_on=TODAY, by=None)
    assert [one.promised_on for one in Promise.objects.filter(order=order)] == [date(2026, 3, 20), date(2026, 4, 3)]
    assert order.due_on == date(2026, 4, 3)


def test_a_hold_is_placed_once_and_lifted_once(order: Order) -> None:
    first, again = (place_hold(order, kind=Hold.Kind.TIMBER, what="elm", at=NOW) for _ in range(2))
    assert first == again
    lift_hold(first, at=NOW + timedelta(hours=1))
    lift_hold(first, at=NOW + timedelta(hours=5))
    assert Hold.objects.get().lifted_at == NOW + timedelta(hours=1)


def test_a_hold_placed_while_the_lifting_is_on_its_way_is_lifted(order: Order) -> None:
    placed_at = NOW + timedelta(milliseconds=5)
    lift_hold(place_hold(order, kind=Hold.Kind.TIMBER, what="elm", at=placed_at), at=NOW)
    assert Hold.objects.get().lifted_at == placed_at


def test_the_same_may_be_waited_for_again_once_it_came(order: Order) -> None:
    lift_hold(place_hold(order, kind=Hold.Kind.TIMBER, what="elm", at=NOW), at=NOW)
    place_hold(order, kind=Hold.Kind.TIMBER, what="elm", at=NOW + timedelta(days=1))
    assert Hold.objects.count() == 2
