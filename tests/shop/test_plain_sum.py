"""The cost of every wheel of the example, and the pay of its closed month, against plain sums over the export."""

import csv
import subprocess
import sys
import uuid
from dataclasses import replace
from datetime import UTC, datetime, time, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest
from django.contrib.auth.models import User
from django.db.models import Sum

from jobs.changes import drop_wheel
from jobs.models import Operation, Order, Task
from jobs.orders import take_order
from shop.costing import order_cost
from shop.example import Loaded
from shop.export import write_export
from shop.models import Issue, Material, PayRun, PaySheet, Shop
from shop.money import round_half_up
from shop.pay_runs import draft
from shop.period_costs import month_of, read_period
from shop.stores.actions import Entry, Much, Place, buy, issue, much_of
from shop.work_in_progress import work_in_progress
from tests import plain_pay, plain_sum
from tests.shop.example_shop import TODAY
from tests.shop.example_shop import example as example
from timing.facts import Fact, Yield
from timing.moves import MoveWish, cancel_move, move_cut_again, move_pieces
from timing.record import record
from timing.setting_aside import AsideWish, set_aside
from timing.spoiling import record_spoiled_hub

pytestmark = pytest.mark.django_db
LONDON = ZoneInfo("Europe/London")
NOON = datetime.combine(TODAY, time(12), tzinfo=UTC)
SCRIPT = Path(plain_sum.__file__)


def split_a_hub(hand: User) -> None:
    chop = Task.objects.get(operation__key="chop-mortise", made=9, lot__order__state=Order.State.IN_HAND)
    assert chop.wheel
    told = Fact(
        token=uuid.uuid4(),
        hand_id=hand.pk,
        operation_id=chop.operation_id,
        done_at=NOON,
        started_at=NOON - timedelta(minutes=17),
        yields=(Yield(spoiled=1, reason="timber", wheel_id=chop.wheel.pk),),
    )
    record_spoiled_hub(told, chop.wheel, saved={}, now=NOON)
    afresh = Yield(made=1, wheel_id=chop.wheel.pk)
    turn = Operation.objects.get(key="turn-hub")
    record(replace(told, token=uuid.uuid4(), operation_id=turn.pk, yields=(afresh,)), now=NOON)


def make_spares(shaved: Task, hand: User) -> None:
    """Four spokes more than the wheels of a lot want, as far as shaved: they stay loose, and can be moved."""
    behind = Task.objects.filter(part=shaved.part, operation__position__lte=shaved.operation.position)
    for task in behind.order_by("operation__position"):
        told = Fact(
            token=uuid.uuid4(),
            hand_id=hand.pk,
            operation_id=task.operation_id,
            done_at=NOON,
            started_at=NOON - timedelta(minutes=31),
            yields=(Yield(made=4, lot_id=task.lot_id),),
        )
        record(told, now=NOON)


def cut_again(source: Task, target: Task, hand: User) -> None:
    """A spoke of one lot goes to another to be shaved again, and one is of no more use at all."""
    foot, there = (Task.objects.get(part=task.part, operation__key="cut-foot") for task in (source, target))
    wish = MoveWish(uuid.uuid4(), foot.pk, there.pk, 1, "thinner now", hand.pk, NOON)
    move_cut_again(wish, stage_task_id=source.pk, now=NOON)
    set_aside(AsideWish(uuid.uuid4(), target.pk, 1, "thinner now", hand.pk, NOON), now=NOON)


def change_orders() -> None:
    """What the example lacks: pieces moved and moved back, wheels dropped, and a hub that split in mortising."""
    loose = Task.objects.filter(wheel=None, operation__key="shave-spoke", made__gte=4).order_by("pk")
    first, second, third = loose[:3]
    hand = User.objects.get(username="Osk")
    for source in (first, second):
        make_spares(source, hand)
    # Whatever the operation counts in a piece: here two in the one lot, and three in another.
    for source, units in ((first, 2), (second, 3)):
        roughed = Task.objects.get(part=source.part, operation__key="rough-spoke")
        again = Fact(uuid.uuid4(), hand.pk, NOON, operation_id=roughed.operation_id, seconds=300)
        record(replace(again, yields=(Yield(made=roughed.made * (units - 1), lot_id=roughed.lot_id),)), now=NOON)
        Task.objects.filter(pk=roughed.pk).update(units=units)
    for source, target, pieces in ((first, second, 3), (second, third, 2), (second, first, 1)):
        wish = MoveWish(uuid.uuid4(), source.pk, target.pk, pieces, "they fit", hand.pk, NOON)
        move_pieces(wish, now=NOON)
    cancel_move(wish.token, cancel_token=uuid.uuid4(), hand_id=hand.pk, now=NOON)
    cut_again(first, second, hand)
    split_a_hub(hand)
    drop_wheel(first.lot.wheels.all()[0], at=NOON)
    for wheel in second.lot.wheels.all():
        drop_wheel(wheel, at=NOON)
    charge_without_wheels(hand)


def charge_without_wheels(hand: User) -> None:
    """An order that has no wheels yet bears what was issued to it, too."""
    order = take_order(token=uuid.uuid4(), customer="Hale", carriage="Cart", rows=[], due_on=None, taken_on=TODAY)
    ash = Material.objects.get(name="Ash boards, 50 mm")
    issue(Much(ash, 7_000_000), Entry(uuid.uuid4(), TODAY, hand, NOON), place=Place(order))


@pytest.fixture(scope="module")
def folder(example: Loaded, tmp_path_factory: pytest.TempPathFactory) -> Path:
    change_orders()
    path = tmp_path_factory.mktemp("export") / "files"
    write_export(path)
    return path


def test_every_wheel_is_equal_to_the_penny(folder: Path) -> None:
    by_hand = plain_sum.costs(folder)
    compared = 0
    for order in Order.objects.all():
        cost = order_cost(order)
        summed = by_hand[str(order.pk)]
        assert {str(one.wheel.pk): one.cost.pence for one in cost.wheels} | {"set": cost.set.pence} == summed
        compared += len(cost.wheels)
    assert compared > 80


@pytest.mark.parametrize("days", [0, 45, 250])
def test_the_work_in_the_shop_on_a_day_is_equal_to_the_penny(folder: Path, days: int) -> None:
    on = TODAY - timedelta(days=days)
    found = work_in_progress(on, LONDON)
    rows = {str(row.order.number): row.figures.pence for row in found.rows}
    assert rows | {"all": found.whole.pence} == plain_sum.in_the_shop(folder, on.isoformat())
    assert len(rows) >= 2
    # What is told later is of no account to it: an hour on a task that costs something, and all orders fetched.
    shaved = Task.objects.filter(operation__key="shave-spoke", made__gte=4, lot__order__ended_on=None)[0]
    told = Fact(uuid.uuid4(), User.objects.get(username="Osk").pk, NOON + timedelta(days=1), seconds=3600)
    yields = (Yield(made=1, lot_id=shaved.lot_id),)
    record(replace(told, operation_id=shaved.operation_id, yields=yields), now=NOON + timedelta(days=1))
    taken = Issue.objects.filter(material__isnull=False, amount_millionths__gt=0)[0]
    entry = Entry(uuid.uuid4(), TODAY + timedelta(days=1), User.objects.get(username="Osk"), NOON)
    buy(much_of(taken), entry, paid_pence=1)
    issue(much_of(taken), replace(entry, token=uuid.uuid4()), place=Place(taken.order))
    Order.objects.filter(ended_on=None).update(state=Order.State.FETCHED, ended_on=TODAY + timedelta(days=1))
    again = work_in_progress(on, LONDON)
    assert ([row.figures for row in again.rows], again.whole) == ([row.figures for row in found.rows], found.whole)


def test_a_month_is_equal_to_the_penny(folder: Path) -> None:
    """One in which the rack gave timber and iron, bought at several prices."""
    month = month_of(TODAY.replace(day=1) - timedelta(days=1))
    found = read_period(month)
    summed = plain_sum.in_a_period(folder, month.first.isoformat(), month.last.isoformat())
    work = found.work.labour + found.work.overhead
    told = {"work": work, "outwork": found.outwork_pence, "materials": found.materials_exact, "all": found.whole}
    assert {what: round_half_up(exact) for what, exact in told.items()} == summed
    from_rack = Issue.objects.filter(material__isnull=False, on__range=(month.first, month.last))
    assert from_rack.values("material").distinct().count() >= 3
    assert (
        found.materials_pence
        > Issue.objects.filter(on__range=(month.first, month.last)).aggregate(bought=Sum("amount_pence"))["bought"]
    )


def test_a_bill_that_comes_late_leaves_pay_as_it_was(folder: Path) -> None:
    """It changes what orders of a closed period cost, and nothing that is paid."""
    run, shop = PayRun.objects.all()[0], Shop.objects.get()
    before = draft(shop, now=NOON)
    days = (run.first_on, run.last_on)
    taken = Issue.objects.filter(material__name="Ash boards, 50 mm", amount_millionths__gt=0, on__range=days)[0]
    cost = order_cost(taken.order).set.pence
    entry = Entry(uuid.uuid4(), run.first_on, User.objects.get(username="Osk"), NOON)
    buy(much_of(taken), entry, paid_pence=99_999)
    assert order_cost(taken.order).set.pence > cost
    assert draft(shop, now=NOON) == before


def test_it_works_as_a_script_without_the_shop(folder: Path, tmp_path: Path) -> None:
    done = subprocess.run(
        [sys.executable, "-I", str(SCRIPT), str(folder)], cwd=tmp_path, capture_output=True, text=True, check=True
    )
    head, *rows = done.stdout.splitlines()
    assert head == "order,wheel,pence"
    assert sum(wheel == "set" for _, wheel, _ in csv.reader(rows)) == Order.objects.count()
    assert "import shop" not in SCRIPT.read_text()
    on_a_day = subprocess.run(
        [sys.executable, "-I", str(SCRIPT), str(folder), TODAY.isoformat()],
        cwd=tmp_path,
        capture_output=True,
        text=True,
        check=True,
    )
    whole = work_in_progress(TODAY, LONDON).whole.pence
    assert on_a_day.stdout.splitlines()[:: len(on_a_day.stdout.splitlines()) - 1] == ["order,pence", f"all,{whole}"]


@pytest.mark.parametrize(
    ("name", "column", "more"),
    [
        ("timing_tally", "seconds", 3600),
        ("timing_move", "pieces", 1),
        ("shop_rate", "amount_millipence", 100_000),
        ("shop_outwork", "amount_pence", 100),
        ("shop_issue", "amount_pence", 100),
        ("shop_issue", "amount_millionths", 900_000),
        ("shop_purchase", "paid_pence", 10_000),
    ],
)
def test_the_check_can_fail(folder: Path, tmp_path: Path, name: str, column: str, more: int) -> None:
    """One number that is changed in any of the files, and the sums differ."""
    for path in folder.iterdir():
        (tmp_path / path.name).write_bytes(path.read_bytes())
    path = tmp_path / f"{name}.csv"
    with path.open(newline="", encoding="utf-8-sig") as file:
        rows = list(csv.DictReader(file))
    row = next(row for row in rows if row[column] not in ("", "0") and row.get("kind", "cost") == "cost")
    row[column] = str(int(row[column]) + more)
    with path.open("w", newline="", encoding="utf-8") as file:
        writer = csv.DictWriter(file, rows[0])
        writer.writeheader()
        writer.writerows(rows)
    assert plain_sum.costs(tmp_path) != plain_sum.costs(folder)


def test_every_hand_is_paid_what_a_plain_sum_says(folder: Path) -> None:
    sheets = {(str(one.run_id), str(one.hand_id)): one.own_pence for one in PaySheet.objects.all()}
    assert plain_pay.paid(folder) == sheets
    assert len(sheets) >= 5
    kinds = {line[0] for one in PaySheet.objects.all() for line in one.told["lines"]}
    assert {"pieces", "hours", "bonus"} <= kinds
    assert "import shop" not in Path(plain_pay.__file__).read_text()


@pytest.mark.parametrize(
    ("name", "column"),
    [
        ("shop_attendance", "done_at"),
        ("shop_rate", "amount_millipence"),
        ("shop_bonus", "amount_pence"),
        ("shop_passed", ""),
    ],
)
def test_the_check_of_pay_can_fail(folder: Path, tmp_path: Path, name: str, column: str) -> None:
    """One thing that is changed in any of the files, and the sums differ."""
    for path in folder.iterdir():
        (tmp_path / path.name).write_bytes(path.read_bytes())
    path = tmp_path / f"{name}.csv"
    with path.open(newline="", encoding="utf-8-sig") as file:
        rows = list(csv.DictReader(file))
    header = list(rows[0])
    if column == "done_at":
        row = next(row for row in rows if row["kind"] == "came")
        row[column] = (datetime.fromisoformat(row[column]) - timedelta(minutes=5)).isoformat()
    elif column:
        for row in rows:
            row[column] = str(int(row[column]) + 100) if row.get("kind", "wage") == "wage" else row[column]
    else:
        rows = []
    with path.open("w", newline="", encoding="utf-8") as file:
        writer = csv.DictWriter(file, header)
        writer.writeheader()
        writer.writerows(rows)
    assert plain_pay.paid(tmp_path) != plain_pay.paid(folder)
