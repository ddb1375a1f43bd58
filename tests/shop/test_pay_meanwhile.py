"""What is told at an awkward time is paid once: while a run is reckoned, over its end, twice, or to be given back."""

import uuid
from datetime import date, timedelta
from fractions import Fraction

import pytest
from django.test import Client

from jobs.models import Order
from shop.attendance import Told, keep, take_back
from shop.models import Attendance, Hand, PaySheet, PayTerms, Rate, Shop
from shop.passing import pass_stretches
from shop.pay_facts import Scheme
from shop.pay_reckoned import Earned, Period, reckon_period
from shop.pay_runs import RunRefused, close_run, draft
from shop.pay_sheet import of_closed
from tests.factories import fact, take_away, task
from tests.shop.benching import text_of
from tests.shop.test_pay_runs import MONDAY, WEEK, at, close, fields_of, give_bonus, make, paid_shop, there, week
from timing.facts import Cancel, Fact
from timing.models import Stretch
from timing.record import cancel, record

# Fixtures, which are found by their names here.
__all__ = ["paid_shop", "week"]


def test_what_comes_while_a_run_is_reckoned_is_paid_by_the_next(
    week: Shop, osk: Hand, monkeypatch: pytest.MonkeyPatch
) -> None:
    """As it may on PostgreSQL, where others write meanwhile: a bonus and a wage, once all was read and before.

    Terms that change nothing came before, so that the run is reckoned in its turn.
    """
    turns: list[str] = []

    def turn(name: str) -> None:
        turns.append(name)
        PayTerms.objects.create(hand=osk.user, by_pieces=True, from_on=MONDAY, recorded_at=at(7))

    def late_bonus(*args: object, **others: object) -> Earned:
        earned = reckon_period(*args, **others)  # type: ignore[arg-type]
        if turns:
            give_bonus(osk, 300, now=at(7))
        return earned

    def late_wage(words: dict[str, str]) -> Scheme:
        scheme, wage = load(words), {"kind": "wage", "hand": osk.user, "amount_millipence": 1_500_000}
        if turns:
            Rate.objects.create(**wage, from_on=MONDAY, recorded_at=at(7))
        return scheme

    seen, load = draft(week, now=at(7)).digest, Scheme.load
    monkeypatch.setattr("shop.pay_runs.reckon_period", late_bonus)
    monkeypatch.setattr(Scheme, "load", late_wage)
    monkeypatch.setattr("shop.pay_runs.take_turns", turn)
    close_run(token=uuid.uuid4(), digest=seen, shop=week, by=osk.user, now=at(7))
    monkeypatch.undo()
    (late,) = draft(week, now=at(14)).sheets
    # £3, and 5.5 h at a pound more.
    assert [one.pence for one in late.late] == [300 + 550]


def test_a_run_is_reckoned_before_others_wait_for_it_and_again_if_they_wrote(
    week: Shop, osk: Hand, monkeypatch: pytest.MonkeyPatch
) -> None:
    acts: list[str] = []

    def reckon(*args: object, **others: object) -> Earned:
        acts.append("reckon")
        return reckon_period(*args, **others)  # type: ignore[arg-type]

    def late_bonus(name: str) -> None:
        acts.append(name)
        give_bonus(osk, 300, now=at(7))

    told = {"token": uuid.uuid4(), "digest": draft(week, now=at(7)).digest, "shop": week, "by": osk.user, "now": at(7)}
    monkeypatch.setattr("shop.pay_runs.reckon_period", reckon)
    monkeypatch.setattr("shop.pay_runs.take_turns", late_bonus)
    with pytest.raises(RunRefused, match="look at the sums again"):
        close_run(**told)  # type: ignore[arg-type]
    assert acts == ["reckon", "pay runs", "reckon"]
    acts.clear()
    monkeypatch.setattr("shop.pay_runs.take_turns", acts.append)
    close_run(**told | {"digest": draft(week, now=at(7)).digest})  # type: ignore[arg-type]
    assert acts == ["reckon", "reckon", "pay runs"]


def test_what_is_owed_back_stays_owed_until_it_is_earned(week: Shop, osk: Hand, owner: Client) -> None:
    """£28 of two hours are taken back; £14 are earned in the week after the next, and £42 in the one after that."""
    there(osk, week, 2, 8, 10)
    close(week, osk, at(7))
    came = Attendance.objects.get(done_on=MONDAY + timedelta(2), kind="came")
    take_back(came, token=uuid.uuid4(), by_id=osk.user_id, now=at(8))
    (sheet,) = draft(week, now=at(14)).sheets
    assert (sheet.gross_pence, sheet.carried_pence) == (0, 2800)
    close(week, osk, at(14))
    there(osk, week, 14, 8, 9)
    close(week, osk, at(21))
    there(osk, week, 21, 8, 11)
    close(week, osk, at(28))
    close(week, osk, at(35))
    sheets = [of_closed(row) for row in PaySheet.objects.order_by("id")]
    assert [sheet.gross_pence for sheet in sheets] == [WEEK + 2800, 0, 0, 4200 - 1400]
    left = "Still owed back: taken off the next pay"
    assert [[(line.name, line.pence) for line in sheet.lines if line.kind == "adjustment"] for sheet in sheets] == [
        [],
        [("Late facts of 2 to 8 March 2026", -2800), (left, 2800)],
        [("Owed back from 9 to 15 March 2026", -2800), (left, 1400)],
        [("Owed back from 16 to 22 March 2026", -1400)],
    ]
    row = PaySheet.objects.order_by("id")[1]
    assert left in text_of(owner.get(f"/pay/sheets/{row.pk}/"))


def test_time_of_two_clocks_is_said_on_the_sheet_until_it_is_put_right(
    paid_shop: Shop, osk: Hand, wren: Hand, order: Order
) -> None:
    """Osk helped Wren from 8 to 12, and told 9 to 11 of his own; a break is not paid, and none of it is told twice."""
    take_away(PayTerms.objects.all())
    work = fields_of(fact(task(order, "rough-spoke"), osk, made=1, minutes=None))

    def told(hand: Hand, begun: float, done: float, **others: object) -> Stretch:
        moments = {"started_at": at(0, begun), "done_at": at(0, done), "hand_id": hand.user_id, "token": uuid.uuid4()}
        row = record(Fact(**work | moments | others), now=at(0, done)).stretch  # type: ignore[arg-type]
        assert row is not None
        return row

    def sheet() -> tuple[int, str]:
        (found,) = draft(paid_shop, now=at(7)).sheets
        return found.gross_pence, " ".join(found.reckoned.said)

    told(wren, 8, 12, helper_ids=(osk.user_id,))
    told(osk, 12, 13, kind="break", operation_id=None, yields=())
    own = told(osk, 9, 11)
    pence, said = sheet()
    assert pence == 6 * 1400
    assert "2 March 2026: the job clock tells at least 2 h twice, and that is paid twice until" in said
    cancel(Cancel(uuid.uuid4(), own.token, osk.user_id, at(1)), now=at(1))
    pence, said = sheet()
    assert (pence, "twice" in said) == (4 * 1400, False)
    # Where coming and going are told, no clock is paid.
    told(osk, 9, 11)
    there(osk, paid_shop, 0, 8, 12)
    pence, said = sheet()
    assert (pence, "twice" in said) == (4 * 1400, False)


def test_a_night_over_the_end_of_a_period_is_paid_once_and_its_pieces_with_it(
    paid_shop: Shop, osk: Hand, order: Order
) -> None:
    """Sunday 20.00 to Monday 4.00, of which 3 h 30 at 200 spokes, done on Monday."""
    there(osk, paid_shop, 6, 20, 28, now=at(7, 4))
    stretch = make(order, osk, 7, 200, 3.5, done=4)
    (sheet,) = draft(paid_shop, now=at(8)).sheets
    # 4.5 h at £14 and 200 × 62.5p, more than 3.5 h at £12.50.
    assert sheet.gross_pence == 6_300 + 12_500
    close(paid_shop, osk, at(8))
    assert draft(paid_shop, now=at(14)).sheets == ()
    # Undone: the hours at pieces are hours at the wage, of the night's period.
    cancel(Cancel(uuid.uuid4(), stretch.token, osk.user_id, at(9)), now=at(9))
    (late,) = draft(paid_shop, now=at(14)).sheets
    assert (late.reckoned.pence, [one.pence for one in late.late]) == (0, [8 * 1400 - 18_800])
    PayTerms.objects.create(hand=osk.user, by_pieces=False, from_on=MONDAY, recorded_at=at(9))
    make(order, osk, 7, 1, 3.5, done=4)
    # By the hour it is eight hours, and the job clock does not stand in for the morning.
    (sheet,) = draft(paid_shop, now=at(14)).sheets
    assert (sheet.reckoned.pence, [one.pence for one in sheet.late]) == (0, [8 * 1400 - 18_800])


def test_a_closed_period_is_reckoned_anew_only_for_facts_that_nobody_reckoned(
    week: Shop, osk: Hand, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Not at each look: as many facts as at the last look are the same facts, also before the next closing."""
    for turn in (1, 2, 3):
        there(osk, week, 7 * turn, 8, 10)
        close(week, osk, at(7 * turn))
    reckoned: list[date] = []

    def reckon(period: Period, *args: object, **others: object) -> Earned:
        reckoned.append(period.first)
        return reckon_period(period, *args, **others)  # type: ignore[arg-type]

    for module in ("pay_runs", "pay_owed"):
        monkeypatch.setattr(f"shop.{module}.reckon_period", reckon)

    def look() -> tuple[int, list[date]]:
        """What is late, and the closed periods that were reckoned for it."""
        reckoned.clear()
        found = draft(week, now=at(28))
        assert reckoned.count(MONDAY + timedelta(21)) == 1
        return sum(one.pence for sheet in found.sheets for one in sheet.late), [
            on for on in reckoned if on < at(21).date()
        ]

    first, second, third = (MONDAY + timedelta(7 * turn) for turn in (0, 1, 2))
    assert look() == (0, [])
    give_bonus(osk, 300, now=at(22))
    assert [look(), look()] == [(300, [first]), (300, [])]
    there(osk, week, 9, 8, 9, now=at(22))
    assert [look(), look()] == [(1700, [second]), (1700, [])]
    # A wage from the second week on: what came before it is as it was.
    told = {"kind": "wage", "hand": osk.user, "amount_millipence": 1_500_000, "recorded_at": at(22)}
    Rate.objects.create(**told, from_on=second)
    assert [look(), look()] == [(1700 + 300 + 200, [second, third]), (2200, [])]
    close(week, osk, at(28))
    reckoned.clear()
    assert (draft(week, now=at(35)).sheets, len(reckoned)) == ((), 1)


def test_what_is_undone_or_told_twice_leaves_no_trace(week: Shop, osk: Hand, order: Order) -> None:
    """The lines of a period as if work that was undone had never been; and nothing is paid for being sent again."""

    def lines() -> list[tuple[str, str, object, object]]:
        (sheet,) = draft(week, now=at(7)).sheets
        return [(line.kind, line.name, line.quantity, line.amount) for line in sheet.reckoned.lines]

    before, work = lines(), fact(task(order, "rough-spoke"), osk, made=9, minutes=None)
    told = Fact(**fields_of(work) | {"done_at": at(1, 15), "seconds": 1800})  # type: ignore[arg-type]
    for again in (False, True):
        row = record(told, now=at(2)).stretch
        assert row is not None
        pass_stretches([row.pk], by=osk.user, at=at(2))
        if not again:
            more = lines()
    assert lines() == more != before
    undo = Cancel(uuid.uuid4(), told.token, osk.user_id, at(2))
    for _ in range(2):
        cancel(undo, now=at(2))
    assert lines() == before
    touch = Told(uuid.uuid4(), osk.user_id, "came", at(3, 8))
    keep(Told(uuid.uuid4(), osk.user_id, "went", at(3, 9)), week, now=at(4))
    for _ in range(2):
        keep(touch, week, now=at(4))
    assert sum(quantity for kind, _, quantity, _ in lines() if kind == "hours") == Fraction("6.5")  # type: ignore[misc]
