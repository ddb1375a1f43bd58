"""Taking an order: rows, sets, new measures, and what is wrong said with every answer kept."""

from datetime import date

import pytest
from django.test import Client
from django.urls import reverse

from jobs.models import Order, Task
from jobs.starting import start_library
from shop.models import Hand
from tests.factories import IN, take_pair
from tests.shop.order_forms import in_library, measures, order, row

URL = reverse("shop:order-new")


@pytest.fixture
def desk(client: Client, tamsin: Hand) -> Client:
    client.force_login(tamsin.user)
    return client


def test_it_works(desk: Client) -> None:
    hind, fore = in_library(), in_library("Fore", spokes=12, felloes=6)
    answer = desk.post(URL, order(row(0, fore, "fore_pair"), row(1, hind, "hind_pair", spare_spokes="2")))
    taken = Order.objects.get()
    assert answer.headers["Location"] == reverse("shop:order", args=[taken.number])
    assert [(lot.name, lot.spokes, lot.library_id) for lot in taken.lots.all()] == [
        ("fore pair", 12, fore.pk),
        ("hind pair", 14, hind.pk),
    ]
    assert (taken.due_on, taken.state, taken.promises.get().recorded_by_id is not None) == (
        date(2027, 3, 20),
        "taken",
        True,
    )
    assert Task.objects.get(lot__name="hind pair", operation__key="rough-spoke").wanted == 30


def test_the_page_offers_known_customers_and_make_ups(desk: Client) -> None:
    take_pair(customer="Fennimore Pike")
    in_library("Gig wheel")
    page = desk.get(URL).content.decode()
    assert '<option value="Fennimore Pike">' in page
    assert "Gig wheel" in page


def test_sent_twice_is_one_order(desk: Client) -> None:
    told = order(row(0, in_library()))
    assert [desk.post(URL, told).status_code for _ in range(2)] == [302, 302]
    assert Order.objects.count() == 1


def test_half_filled_keeps_every_answer(desk: Client) -> None:
    answer = desk.post(URL, order(row(0, in_library(), name="best pair"), customer="", note="by rail"))
    page = answer.content.decode()
    assert answer.status_code == 422
    assert not Order.objects.exists()
    for kept in (
        'value="wagonette"',
        'value="best pair"',
        "by rail",
        'value="March"',
        "Customer: Fill this in.",
        "Not kept yet: 1",
    ):
        assert kept in page


@pytest.mark.parametrize(
    ("told", "is_open"),
    [({}, False), ({"name": "best pair"}, True), ({"spare_spokes": "2"}, True), ({"spare_felloes": "x"}, True)],
)
def test_what_is_seldom_filled_in_is_folded_until_it_is(desk: Client, told: dict[str, str], is_open: bool) -> None:
    page = desk.post(URL, order(row(0, in_library(), **told), customer="")).content.decode()
    fold = page.partition('<fieldset class="field"><legend>Row')[2].partition("<details")[2].partition("</details>")[0]
    assert "What it is called, and spares" in fold
    assert 'name="row-0-name"' in fold
    assert 'name="row-0-spare_spokes"' in fold
    assert fold.partition(">")[0].endswith(" open") is is_open


def test_another_row_keeps_the_answers_and_saves_nothing(desk: Client) -> None:
    answer = desk.post(URL, order(row(0, in_library(), name="best pair"), customer="", add_row="1"))
    page = answer.content.decode()
    assert answer.status_code == 200
    assert 'value="best pair"' in page
    assert 'name="rows" value="2"' in page
    assert "Not kept yet" not in page
    assert not Order.objects.exists()


def test_the_last_row_may_be_taken_out(desk: Client) -> None:
    hind = in_library()
    answer = desk.post(URL, order(row(0, hind), row(1, hind), fewer_rows="1"))
    assert 'name="rows" value="1"' in answer.content.decode()
    again = desk.post(URL, order(row(0, hind), fewer_rows="1"))
    assert 'name="rows" value="1"' in again.content.decode()


def test_a_set_of_four_is_filled_in_one_touch(desk: Client) -> None:
    start_library()
    rows = desk.post(URL, order(carriage="Wagonette", set="four")).context["entry"].rows
    assert [each.form["where"].value() for each in rows] == ["fore_pair", "hind_pair"]
    assert [each.form.chosen.name for each in rows] == ["Wagonette, fore", "Wagonette, hind"]


def test_an_order_without_rows_is_told(desk: Client) -> None:
    answer = desk.post(URL, order())
    assert answer.status_code == 422
    assert "at least one row of wheels" in answer.content.decode()


def test_loose_wheels_need_their_number(desk: Client) -> None:
    answer = desk.post(URL, order(row(0, in_library(), "loose")))
    assert "Say how many loose wheels." in answer.content.decode()
    desk.post(URL, order(row(0, in_library("B"), "loose", how_many="5")))
    assert [wheel.label for wheel in Order.objects.get().lots.get().wheels.all()][-1] == "loose 5"


@pytest.mark.parametrize(
    ("where", "number", "said"),
    [
        ("loose", "10000", "One row holds 1 to 60 loose wheels"),
        ("loose", "-1", "One row holds 1 to 60 loose wheels"),
        ("hind_pair", "3", "The hind pair is 2, not 3"),
    ],
)
def test_absurd_numbers_are_told(desk: Client, where: str, number: str, said: str) -> None:
    answer = desk.post(URL, order(row(0, in_library(), where, how_many=number)))
    assert answer.status_code == 422
    assert said in answer.content.decode()


def test_new_measures_are_asked_for_and_then_taken(desk: Client) -> None:
    first = desk.post(URL, order(row(0, None)))
    assert first.status_code == 422
    assert "Now the measures of these wheels." in first.content.decode()
    told = order(row(0, None)) | measures("row-0-measures", height_nm="3' 10 1/2\"")
    assert desk.post(URL, told).status_code == 302
    assert Order.objects.get().lots.get().height_nm == 93 * IN // 2


def test_other_measures_begin_with_the_make_up_chosen(desk: Client) -> None:
    answer = desk.post(URL, order(row(0, in_library(), own="on")))
    assert 'name="row-0-measures-spokes" value="14"' in answer.content.decode()


def test_odd_spokes_are_refused_in_new_work_and_warned_of_in_a_repair(desk: Client) -> None:
    odd = measures("row-0-measures", spokes="13", felloes="7")
    refused = desk.post(URL, order(row(0, None)) | odd)
    assert "13 spokes is odd, and each felloe takes two: a new wheel" in refused.content.decode()
    told = order(row(0, None, work="new_spokes")) | odd
    warned = desk.post(URL, told)
    assert warned.status_code == 422
    assert "count them again on the old wheel" in warned.content.decode()
    mark = warned.context["entry"].rows[0].measures.warning_mark
    assert desk.post(URL, told | {"row-0-measures-taken": mark}).status_code == 302
    assert Order.objects.get().lots.get().spokes == 13


def test_what_is_taken_is_only_what_was_warned_of(desk: Client) -> None:
    told = order(row(0, None, work="new_spokes")) | measures("row-0-measures", spokes="13", felloes="7")
    mark = desk.post(URL, told).context["entry"].rows[0].measures.warning_mark
    other = told | {"row-0-measures-taken": mark, "row-0-measures-dish_nm": "4 in"}
    assert desk.post(URL, other).status_code == 422
    assert not Order.objects.exists()


def test_a_library_make_up_that_cannot_be_new_is_refused(desk: Client) -> None:
    answer = desk.post(URL, order(row(0, in_library(spokes=13, felloes=7))))
    assert "13 spokes is odd" in answer.content.decode()


def test_a_number_of_rows_that_is_none_is_refused(desk: Client) -> None:
    for rows in ("9" * 5000, "many"):
        assert desk.post(URL, order() | {"rows": rows}).status_code == 422
    assert Order.objects.count() == 0


def test_what_is_left_open_is_said_with_its_row(desk: Client) -> None:
    told = order(row(0, in_library()), row(1, None, "", makeup=""))
    page = desk.post(URL, told).content.decode()
    assert "Make-up: Choose the make-up of row 2." in page
    assert "Wheels: Choose which wheels row 2 is." in page


@pytest.mark.parametrize("typed", ["0", "200"])
def test_too_many_loose_wheels_are_told_where_to_go(desk: Client, typed: str) -> None:
    answer = desk.post(URL, order(row(0, in_library(), "loose", how_many=typed)))
    assert answer.status_code == 422
    assert "One row holds 1 to 60 loose wheels: put more into another row." in answer.content.decode()
