"""What is told while a run is reckoned or closed: nothing of it is lost, and nobody waits for sums."""

import uuid

import pytest

from shop.models import Hand, PayTerms, Rate, Shop
from shop.pay_facts import Scheme
from shop.pay_reckoned import Earned, reckon_period
from shop.pay_runs import RunRefused, close_run, draft
from tests.shop.test_pay_runs import MONDAY, at, give_bonus, paid_shop, week

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
