"""`forecast`: minutes of work to come, on standard output, from a file of it."""

import csv
from io import StringIO
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command

from jobs.models import Operation, Order
from shop.models import Hand, Shop
from shop.usual_times import is_out_of_date, left_out_hands
from tests.factories import IN, HandFactory, fact, task
from timing.forecast import Line, forecast_lines
from timing.models import SavedFit
from timing.record import record
from timing.usual import the_usual

pytestmark = pytest.mark.django_db
HEAD = "order,operation,person,wheels,diameter_mm,pieces\n"
WORK = f"""{HEAD}A,shave-spoke,Osk,2,1168.4,28
B,Turn hub,,1,,1
A,shave-spoke,OSK,2,1066.8,28
A,turn hub,Zed,2,1168.4,2
"""


def ask(folder: Path, text: str, *options: str) -> tuple[list[list[str]], str]:
    """The rows of the answer, and what is said besides."""
    path = folder / "work.csv"
    path.write_text(text, encoding="utf-8")
    out, err = StringIO(), StringIO()
    call_command("forecast", str(path), *options, stdout=out, stderr=err)
    return list(csv.reader(StringIO(out.getvalue()))), err.getvalue()


def test_an_order_is_one_forecast_of_all_its_lines(order: Order, osk: Hand, tmp_path: Path) -> None:
    for minutes in (9, 10, 11, 12):
        record(fact(task(order, "shave-spoke"), osk, minutes=minutes))
    rows, said = ask(tmp_path, WORK)
    assert said.splitlines() == [
        "Usual times are worked out anew, from 4 timings.",
        "“Zed” (line 5) has no timings that count: reckoned as a new hand, with the wider range.",
    ]
    fit, hand = the_usual().fit, str(osk.user_id)
    lines = [
        Line("shave-spoke", 28, 2, 46 * IN, hand),
        Line("shave-spoke", 28, 2, 42 * IN, hand),
        Line("turn-hub", 2, 2, 46 * IN, "a stranger"),
    ]
    together = forecast_lines(fit, lines)
    told = [f"{together.of().quantile(chance):.2f}" for chance in (0.1, 0.5, 0.9)]
    assert rows[:2] == [["order", "p10", "p50", "p90"], ["A", *told]]
    assert [row[0] for row in rows] == ["order", "A", "B"]
    by_line, _ = ask(tmp_path, WORK, "--lines")
    assert by_line[0] == ["order", "operation", "person", "diameter_mm", "p10", "p50", "p90"]
    assert [row[:4] for row in by_line[1:]] == [
        ["A", "shave-spoke", "Osk", "1168.4"],
        ["B", "Turn hub", "", ""],
        ["A", "shave-spoke", "OSK", "1066.8"],
        ["A", "turn hub", "Zed", "1168.4"],
    ]
    # The second run goes on where the first ended: no setting-up, and smaller wheels.
    assert float(by_line[3][5]) < float(by_line[1][5])
    assert by_line[4][4:] == [f"{together.of([2]).quantile(chance):.2f}" for chance in (0.1, 0.5, 0.9)]


def test_what_is_newer_than_the_fit_is_learnt_first(order: Order, osk: Hand, tmp_path: Path) -> None:
    work = f"{HEAD}A,shave-spoke,,2,,28\n"
    assert ask(tmp_path, work)[1] == "There are no timings that count: this rests on book times alone.\n"
    kept = SavedFit.objects.get().pk
    ask(tmp_path, work)
    assert SavedFit.objects.get().pk == kept
    record(fact(task(order, "shave-spoke"), osk, minutes=40))
    assert "from 1 timings" in ask(tmp_path, work)[1]
    assert not is_out_of_date()


def test_an_operation_that_is_unknown_is_told_by_its_line(shop: Shop, tmp_path: Path) -> None:
    path, err = tmp_path / "work.csv", StringIO()
    path.write_text(f"{HEAD}A,shave-spoke,,2,,28\nA,gild,,2,,2\n", encoding="utf-8")
    with pytest.raises(CommandError, match="nothing was forecast"):
        call_command("forecast", str(path), stderr=err)
    assert err.getvalue().splitlines()[-1] == "Line 3: the shop knows no operation “gild”."
    with pytest.raises(CommandError, match=r"nowhere\.csv can't be read: No such file"):
        call_command("forecast", str(tmp_path / "nowhere.csv"))


def test_with_no_operations_the_starting_list_is_entered(db: None, tmp_path: Path) -> None:
    rows, _ = ask(tmp_path, f"{HEAD}A,shave-spoke,,2,,28\n")
    assert Operation.objects.count() > 30
    low, middle, high = map(float, rows[1][1:])
    assert low < middle < high
    # The book says 11 minutes a piece, of one skilled hand.
    assert 0.5 * 28 * 11 < middle < 2 * 28 * 11


def test_apprentices_are_left_out_where_the_shop_says_so(shop: Shop) -> None:
    wat = HandFactory.create(name="Wat", apprentice=True)
    assert left_out_hands() == frozenset()
    Shop.objects.update(leaves_out_apprentices=True)
    assert left_out_hands() == {wat.user_id}
