"""A lot of two hundred wheels: its pages stay short, and every wheel is reached."""

import re
import uuid
from datetime import date
from typing import Any

import pytest
from django.db.models import F
from django.test import Client

from jobs.changes import drop_wheel
from jobs.models import Order, Task, Trip, Wheel
from jobs.models.operations import Work
from jobs.writing import tell_sizes
from shop.many_wheels import Stage, rest_in_words, spell_out
from shop.models import Hand, Rate
from tests import factories
from tests.factories import NOW, fact, makeup
from timing.clock import set_clock
from timing.record import record


def take_lot(count: int, **changes: Any) -> Order:
    order = factories.take_pair(rows=[factories.WheelRow(makeup(), "loose wheels", ["loose"] * count, **changes)])
    tell_sizes()
    return order


def wheels_of(order: Order) -> list[Wheel]:
    return list(order.lots.get().wheels.all())


def finish(*wheels: Wheel) -> None:
    """As if every task of these had been recorded."""
    Task.objects.filter(wheel__in=wheels).update(made=F("wanted"))


def page_of(client: Client, path: str) -> str:
    answer = client.get(path)
    assert answer.status_code == 200
    return answer.content.decode()


def drawn(page: str) -> list[int]:
    """The numbers of the loose wheels that stand on a page of an order."""
    return [int(number) for number in re.findall(r"<figcaption><b>loose (\d+)</b>", page)]


def links(page: str, label: str = r"\d+ to \d+") -> list[str]:
    """Where the links go that have this label."""
    return [href.replace("&amp;", "&") for href in re.findall(rf'href="([^"]+)"[^>]*>{label}</a>', page)]


def test_twelve_wheels_are_all_drawn(owner: Client) -> None:
    page = page_of(owner, f"/orders/{take_lot(12).number}/")
    assert drawn(page) == list(range(1, 13))
    assert "more:" not in page
    assert links(page) == []


def test_of_two_hundred_the_twelve_that_want_a_person_are_drawn(owner: Client, osk: Hand) -> None:
    order = take_lot(200)
    wheels = wheels_of(order)
    finish(*wheels[:38])
    record(fact(factories.task(order, "turn-hub", wheels[149]), osk), now=NOW)
    set_clock(osk.user_id, now=NOW, started_at=NOW, task=factories.task(order, "turn-hub", wheels[179]), kind="work")
    page = page_of(owner, f"/orders/{order.number}/")
    assert drawn(page) == [*range(39, 49), 150, 180]
    assert "And 188 more: 150 not begun, 38 done." in page
    assert "Loose wheels, 200 wheels," in page


def test_every_wheel_is_reached_from_the_page(owner: Client) -> None:
    order = take_lot(100)
    first = page_of(
        owner, f"/orders/{order.number}/" + links(page_of(owner, f"/orders/{order.number}/"), "All 100 wheels")[0]
    )
    pages = links(first)
    assert len(pages) == 3
    assert [n for url in pages for n in drawn(page_of(owner, f"/orders/{order.number}/{url}"))] == list(range(1, 101))
    assert drawn(first) == list(range(1, 49))


def test_the_way_between_pages_is_on_a_short_last_page_beside_a_pair(owner: Client) -> None:
    rows = [
        factories.WheelRow(makeup(), "hind pair", ["near_hind", "off_hind"]),
        factories.WheelRow(makeup(), "loose wheels", ["loose"] * 98),
    ]
    order = factories.take_pair(rows=rows)
    lot = order.lots.get(name="loose wheels")
    page = page_of(owner, f"/orders/{order.number}/?lot={lot.pk}&after={lot.wheels.order_by('-number')[2].number}")
    assert len(drawn(page)) == 2
    assert len(links(page)) == 3
    assert f'id="lot-{lot.pk}"' in page
    assert "stands-together" not in page


@pytest.mark.parametrize("query", ["lot=x", "lot=99999999999999999999", "lot=0&after=²", "after=-1", "left_out=x"])
def test_what_names_no_lot_shows_the_page_as_it_is(owner: Client, query: str) -> None:
    order = take_lot(13)
    assert len(drawn(page_of(owner, f"/orders/{order.number}/?{query}"))) == 12


def test_loose_pieces_of_many_wheels_are_told_in_words(owner: Client) -> None:
    few, many = (page_of(owner, f"/orders/{take_lot(count).number}/") for count in (12, 13))
    assert "w-rack" in few
    assert "0 of 168 spokes ready" in few
    assert "w-rack" not in many
    assert "0 of 182 spokes ready" in many


def test_of_several_large_lots_fewer_wheels_each_are_drawn(owner: Client) -> None:
    rows = [factories.WheelRow(makeup(), f"lot {number}", ["loose"] * 13) for number in range(3)]
    page = page_of(owner, f"/orders/{factories.take_pair(rows=rows).number}/")
    assert drawn(page) == [*range(1, 7), *range(14, 20), *range(27, 33)]


def test_many_wheels_left_out_are_counted_and_reached(owner: Client, osk: Hand) -> None:
    order = take_lot(52)
    wheels = wheels_of(order)
    record(fact(factories.task(order, "turn-hub", wheels[49]), osk, minutes=60), now=NOW)
    for wheel in wheels[:50]:
        drop_wheel(wheel, at=NOW)
    page = page_of(owner, f"/orders/{order.number}/")
    listed = re.findall(r"<b>Loose (\d+)</b>", page)
    assert len(listed) == 12
    assert listed[0] == "50"
    assert "And 38 more" in page
    whole = page_of(owner, f"/orders/{order.number}/" + links(page, "All of them")[0])
    found = [
        n
        for url in links(whole)
        for n in re.findall(r"<b>Loose (\d+)</b>", page_of(owner, f"/orders/{order.number}/{url}"))
    ]
    assert found == [str(number) for number in range(1, 51)]


def test_a_repair_of_many_wheels_lists_what_was_found_for_those_drawn(owner: Client) -> None:
    order = take_lot(60, work=Work.RETYRE)
    page = page_of(owner, f"/orders/{order.number}/")
    assert page.count("/found/") == 12


def test_the_order_page_weighs_the_same_for_many_wheels_as_for_few(owner: Client) -> None:
    few, many = (len(owner.get(f"/orders/{take_lot(count).number}/").content) for count in (12, 200))
    assert many <= 2 * few


def test_the_rest_is_told_by_its_stages() -> None:
    assert rest_in_words([Stage.DONE, Stage.NOT_BEGUN, Stage.DONE]) == "And 3 more: 1 not begun, 2 done."
    assert rest_in_words([Stage.UNDER_WAY]) == "And 1 more: 1 under way."


def test_room_is_shared_out_among_kinds() -> None:
    rows = [(1, kind) for kind in "ab" for _ in range(20)] + [(2, "a")] * 12 + [(3, kind) for kind in "abcdef" * 5]
    listed, more = spell_out(rows, lot=lambda row: row[0], kind=lambda row: row[1])
    assert listed == [(1, "a")] * 6 + [(1, "b")] * 6 + [(2, "a")] * 12 + [(3, kind) for kind in "abcdef" * 3]
    assert more == {5: 14, 11: 14} | dict.fromkeys(range(36, 42), 2)


def take_rims_ready(count: int) -> Order:
    """An order whose wheels wait for their tyres and for nothing else."""
    order = take_lot(count)
    Task.objects.filter(lot__order=order).exclude(operation__part__in=("tyre", "box", "finish")).update(
        made=F("wanted")
    )
    return order


def listed_by_smith(page: str) -> list[int]:
    return [int(number) for number in re.findall(r"</a>, loose (\d+),", page)]


def test_the_smith_has_twelve_tyres_of_a_large_lot_listed(owner: Client) -> None:
    take_rims_ready(60)
    page = page_of(owner, "/smith/")
    assert "60 pieces wanted for 1 order." in page
    assert listed_by_smith(page) == list(range(1, 13))
    assert "And 48 more wheels" in page


def test_every_tyre_is_reached_from_the_smiths_list(owner: Client) -> None:
    take_rims_ready(60)
    whole = page_of(owner, "/smith/" + links(page_of(owner, "/smith/"), "all of them by number")[0])
    found = [number for url in links(whole) for number in listed_by_smith(page_of(owner, f"/smith/{url}"))]
    assert found == list(range(1, 61))


def test_the_tyres_that_are_ready_are_reached_apart_from_those_further_off(owner: Client) -> None:
    order = take_rims_ready(60)
    Task.objects.filter(wheel__in=wheels_of(order)[:40], operation__key="run-wheel").update(made=0)
    ready, later = links(page_of(owner, "/smith/"), "all of them by number")
    assert listed_by_smith(page_of(owner, f"/smith/{ready}")) == list(range(41, 61))
    assert listed_by_smith(page_of(owner, f"/smith/{later}")) == list(range(1, 41))
    finish(*wheels_of(order))
    assert "None of these is wanted any longer." in page_of(owner, f"/smith/{ready}")


@pytest.mark.parametrize(("url", "ledgers"), [("/smith/", 2), ("/trades/other/", 1)])
def test_rows_of_a_trades_list_are_as_wide_as_its_heads(owner: Client, url: str, ledgers: int) -> None:
    order = take_rims_ready(60)
    Task.objects.filter(wheel__in=wheels_of(order)[:40], operation__key="run-wheel").update(made=0)
    Trip.objects.bulk_create(
        Trip(task=box, to_whom="Corner foundry", sent_at=NOW, pieces=1, token=uuid.uuid4())
        for box in Task.objects.filter(lot__order=order, operation__key="fit-box")
    )
    tables = [table for table in page_of(owner, url).split("<table")[1:] if "more wheels" in table]
    assert len(tables) == ledgers
    for table in tables:
        heads = re.findall(r'<th scope="col"[^>]*>', table)
        wide = sum(int((re.findall(r'colspan="(\d)"', head) or ["1"])[0]) for head in heads)
        assert re.findall(r'<th scope="row" colspan="(\d)">And', table) == [str(wide)] * table.count("more wheels")


def test_what_the_smith_says_of_a_wheel_leads_back_to_its_page(owner: Client) -> None:
    order = take_rims_ready(60)
    weld = factories.task(order, "weld-tyre", wheels_of(order)[55])
    here = f"?lot={weld.lot_id}&operation={weld.operation_id}&after=48"
    page = page_of(owner, f"/smith/{here}")
    act = re.findall(rf'action="(/[^"]*{weld.pk}/made/[^"]*)"', page)[0].replace("&amp;", "&")
    token = re.findall(r'name="token" value="([^"]+)"', page)[0]
    answer = owner.post(act, {"token": token, "units": "1"})
    assert answer.headers["Location"] == f"/smith/{here}"
    weld.refresh_from_db()
    assert weld.made == 1


def test_the_smiths_list_weighs_the_same_for_many_wheels_as_for_few(owner: Client) -> None:
    order = take_rims_ready(12)
    few = len(owner.get("/smith/").content)
    order.state = Order.State.PAID
    order.save(update_fields=["state"])
    take_rims_ready(200)
    assert len(owner.get("/smith/").content) <= 1.2 * few


def started(page: str) -> list[int]:
    """The tasks that a page of the bench offers to start, in their order."""
    return [int(pk) for pk in re.findall(r'<button class="act-(?:outline|quiet)" name="task" value="(\d+)"', page)]


def tasks_of(order: Order, key: str) -> list[int]:
    rows = Task.objects.filter(lot__order=order, operation__key=key).order_by("wheel__number")
    return list(rows.values_list("pk", flat=True))


def take_hubs_ready(count: int) -> Order:
    """An order whose hubs are to be turned; nothing else of it is ready."""
    order = take_lot(count)
    Task.objects.filter(lot__order=order, wheel=None).update(made=F("wanted"))
    return order


def test_the_bench_has_twelve_wheels_of_a_large_lot_listed(owner: Client) -> None:
    order = take_hubs_ready(200)
    page = page_of(owner, "/bench/jobs/")
    shown, _, folded = page.partition("Not ready yet")
    assert started(shown) == tasks_of(order, "turn-hub")[:12]
    assert "And 188 more wheels" in shown
    waiting = Task.objects.filter(lot__order=order, operation__trade="bench", wanted__gt=F("made")).count() - 200
    assert folded.startswith(f" ({waiting})")


def test_any_wheel_is_chosen_at_the_bench_in_three_touches(owner: Client) -> None:
    order = take_hubs_ready(200)
    choose = links(page_of(owner, "/bench/jobs/"), "Choose<span.*?</span>")[0]
    page = page_of(owner, choose)
    assert "200 wheels ready" in page
    found = [pk for url in links(page) for pk in started(page_of(owner, f"/bench/jobs/{url}"))]
    assert found == tasks_of(order, "turn-hub")
    answer = owner.post("/bench/start/", {"task": found[150], "token": "6a4cbd62-1a3a-4d3f-9c39-3f1e8f6a5a10"})
    assert answer.status_code == 302
    assert "loose 151" in page_of(owner, "/bench/job/")


def test_wheels_that_are_not_ready_are_reached_too(owner: Client) -> None:
    order = take_hubs_ready(60)
    Task.objects.filter(pk__in=tasks_of(order, "turn-hub")[:20]).update(made=1)
    strike = factories.task(order, "strike-out-hub")
    here = f"/bench/jobs/?lot={strike.lot_id}&operation={strike.operation_id}"
    ready = page_of(owner, here)
    assert started(ready) == tasks_of(order, "strike-out-hub")[:20]
    waiting = page_of(owner, "/bench/jobs/" + links(ready, r"Not ready yet \(40\)")[0])
    assert started(waiting) == tasks_of(order, "strike-out-hub")[20:]
    assert links(waiting, r"Those that are ready \(20\)")


@pytest.mark.parametrize("query", ["lot=999999&operation=1", "lot={lot}&operation=999999"])
def test_a_choice_of_what_is_not_there_is_not_found(owner: Client, query: str) -> None:
    lot = take_hubs_ready(13).lots.get()
    assert owner.get(f"/bench/jobs/?{query.format(lot=lot.pk)}").status_code == 404


def test_the_bench_weighs_the_same_for_many_wheels_as_for_few(owner: Client) -> None:
    order = take_hubs_ready(12)
    few = len(owner.get("/bench/jobs/").content)
    order.state = Order.State.PAID
    order.save(update_fields=["state"])
    take_hubs_ready(200)
    assert len(owner.get("/bench/jobs/").content) <= 2 * few


def in_the_sums(page: str) -> list[str]:
    """The rows in the ledger of the set, by their names."""
    return re.findall(r'<th scope="row"><a class="title" href="[^"]*">([^<]+)</a>', page.partition("The set</th>")[0])


def test_the_dearest_wheels_have_their_cost_listed_and_the_others_are_summed(owner: Client, osk: Hand) -> None:
    order = take_lot(200)
    Rate.objects.create(
        kind="cost", hand=osk.user, amount_millipence=2_400_000, from_on=date(2026, 1, 1), recorded_at=NOW
    )
    for place, minutes in [*((place, 10) for place in range(20)), (149, 60)]:
        wheel = wheels_of(order)[place]
        record(fact(factories.task(order, "turn-hub", wheel), osk, minutes=minutes), now=NOW)
    page = page_of(owner, f"/orders/{order.number}/cost/")
    assert in_the_sums(page) == [f"loose {number}" for number in (*range(1, 12), 150)] + ["188 more wheels"]
    row = page.partition("188 more wheels")[2].partition("</tr>")[0]
    assert "£36.00" in row  # nine wheels of 10 minutes at £24 an hour
    assert 'id="wheel-' not in page


def test_the_cost_of_every_wheel_is_reached(owner: Client, osk: Hand) -> None:
    order = take_lot(60)
    wheel = wheels_of(order)[54]
    record(fact(factories.task(order, "turn-hub", wheel), osk), now=NOW)
    here = f"/orders/{order.number}/cost/"
    whole = page_of(owner, here + links(page_of(owner, here), "48 more wheels")[0])
    pages = [page_of(owner, here + url) for url in links(whole)]
    assert [name for page in pages for name in in_the_sums(page)] == [f"loose {number}" for number in range(1, 61)]
    opened = page_of(owner, here + links(pages[1], "loose 55")[0])
    assert f'<section id="wheel-{wheel.pk}">' in opened
    assert "loose 60" in in_the_sums(opened)


def test_the_cost_page_weighs_the_same_for_many_wheels_as_for_few(owner: Client) -> None:
    few, many = (len(owner.get(f"/orders/{take_lot(count).number}/cost/").content) for count in (12, 200))
    assert many <= 1.2 * few


def test_what_is_away_of_many_wheels_is_summed_and_a_few_are_named(owner: Client) -> None:
    order = take_rims_ready(60)
    tasks = Task.objects.filter(lot__order=order, operation__key="weld-tyre").order_by("wheel__number")
    Trip.objects.bulk_create(
        Trip(task=task, to_whom="Alder forge", sent_at=NOW, pieces=1, token=uuid.uuid4()) for task in tasks
    )
    page = page_of(owner, f"/orders/{order.number}/")
    assert page.count("60 with Alder forge") == 2
    assert "loose 1, loose 2, loose 3, loose 4 and 56 more, since" in page
    assert "1 with Alder forge;" not in page
