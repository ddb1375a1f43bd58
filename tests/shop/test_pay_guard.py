"""No entry of terms or of a rate takes back what was paid; a slip that no run has paid yet may be put back."""

import random
from datetime import timedelta

import pytest
from django.test import Client

from jobs.models import Operation, Order
from shop import pay_guard
from shop.models import AuditLine, Hand, PaySheet, PayTerms, Rate, Shop
from shop.passing import pass_stretches
from shop.pay.terms import Terms
from shop.pay_runs import draft
from shop.rates_written import RateRefused, record_rate
from shop.terms_written import TermsRefused, look_at_terms, record_terms
from tests.factories import HandFactory, fact, take_away, task
from tests.shop.benching import text_of, ticked
from tests.shop.test_output_work import day
from tests.shop.test_pay_runs import FEBRUARY, MONDAY, at, close, fields_of, make, paid_shop, there
from timing.record import record

# A fixture, which is found by its name here.
__all__ = ["paid_shop"]


def untimed(order: Order, hand: Hand, of: int, made: int) -> None:
    """Pieces of a day, written down without a time and passed."""
    told = fact(task(order, "rough-spoke"), hand, made=made, minutes=None)
    row = record(told.__class__(**fields_of(told) | {"done_at": at(of, 15), "seconds": None}), now=at(of, 15)).stretch  # type: ignore[arg-type]
    assert row is not None
    pass_stretches([row.pk], by=hand.user, at=at(of, 16))


def late(shop: Shop, now: int) -> list[int]:
    return [one.pence for sheet in draft(shop, now=at(now)).sheets for one in sheet.late]


@pytest.mark.parametrize("way", ["untimed pieces alone", "no wage in Great Britain", "changed within the period"])
def test_terms_never_take_the_whole_pay_of_a_closed_period(
    way: str, paid_shop: Shop, osk: Hand, wren: Hand, order: Order
) -> None:
    """Where by the new terms nothing would be left to reckon, or no pay would be agreed at all."""
    if way == "untimed pieces alone":
        untimed(order, osk, 0, 100)
    elif way == "no wage in Great Britain":
        Shop.objects.update(pay_rules="gb")
        take_away(Rate.objects.filter(kind__in=["wage", "guarantee"]))
        there(osk, paid_shop, 0, 8, 16)
        make(order, osk, 0, 10, 6)
    else:
        take_away(Rate.objects.filter(kind__in=["wage", "guarantee"]))
        make(order, osk, 0, 100, 6)
        record_terms(osk, Terms(), from_on=MONDAY + timedelta(3), at=at(3), by=wren.user)
    shop = Shop.objects.get()
    close(shop, wren, at(7))
    assert PaySheet.objects.get().gross_pence > 0
    with pytest.raises(TermsRefused, match=r"Osk, 2 to 8 March 2026.* write it from 9 March 2026 on"):
        record_terms(osk, Terms(), from_on=MONDAY, at=at(8), by=wren.user)
    record_terms(osk, Terms(), from_on=MONDAY + timedelta(7), at=at(8), by=wren.user)
    assert late(shop, 14) == []


def test_hours_that_were_paid_never_become_pieces(paid_shop: Shop, osk: Hand, wren: Hand, order: Order) -> None:
    """Nothing is lower at once, but a piece of those days that is told later would take hours that were paid back."""
    take_away(Rate.objects.filter(kind="guarantee"))
    PayTerms.objects.create(hand=osk.user, by_pieces=False, from_on=MONDAY, recorded_at=at(0), recorded_by=wren.user)
    there(osk, paid_shop, 0, 8, 16)
    close(paid_shop, wren, at(7))
    with pytest.raises(TermsRefused, match=r"paid by the hour in days that are closed: .* from 9 March"):
        record_terms(osk, Terms(by_pieces=True), from_on=MONDAY, at=at(8), by=wren.user)
    # Of the days before, which no run has paid, and of those after: as one likes.
    record_terms(osk, Terms(by_pieces=True), from_on=MONDAY - timedelta(7), at=at(8), by=wren.user)
    record_terms(osk, Terms(by_pieces=True), from_on=MONDAY + timedelta(7), at=at(8), by=wren.user)
    make(order, osk, 0, 1, 6)
    assert late(Shop.objects.get(), 14) == []


def test_pieces_that_wait_keep_their_price(paid_shop: Shop, osk: Hand, wren: Hand, order: Order) -> None:
    """A closed day does not change its price downwards, whether or not its pieces were passed by then."""
    take_away(Rate.objects.filter(kind="guarantee"))
    there(osk, paid_shop, 0, 8, 16)
    made = make(order, osk, 0, 100, 6, passed=False)
    close(paid_shop, wren, at(7))
    rough = {"kind": "piece", "operation": task(order, "rough-spoke").operation, "from_on": MONDAY}
    with pytest.raises(RateRefused, match=r"Osk, 2 to 8 March 2026, by £61\.50"):
        record_rate(amount_millipence=1_000, at=at(8), by=wren.user, **rough)
    pass_stretches([made.pk], by=wren.user, at=at(9))
    assert late(Shop.objects.get(), 14) == [6250]


def test_of_many_hands_a_refusal_names_some(paid_shop: Shop) -> None:
    users = [HandFactory(name=f"Hand {n}").user_id for n in "abcde"]
    said = pay_guard.in_words([pay_guard.Lowered(pk, MONDAY, MONDAY, 100) for pk in users], paid_shop)
    assert said.count("by £1.00") == 3
    assert said.endswith("; 2 more hands, by £2.00")


def test_a_rate_lowers_no_closed_period_of_anyone_and_a_slip_is_put_back(
    paid_shop: Shop, owner: Client, osk: Hand, wren: Hand, order: Order
) -> None:
    """The wage, the guarantee, and a piece rate that touches two; by the page, and what is owed by late hours too."""
    piet = HandFactory(name="Piet")
    PayTerms.objects.create(hand=piet.user, by_pieces=True, **FEBRUARY)
    for hand in (osk, piet):
        there(hand, paid_shop, 0, 8, 16)
        make(order, hand, 0, 100, 6)
    close(paid_shop, wren, at(7))
    paid = dict(PaySheet.objects.values_list("hand__shop_hand__name", "gross_pence"))
    assert paid == {"Osk": 6_250 + 2 * 1400 + 6 * 1250 - 6250, "Piet": 6_250}
    work = task(order, "rough-spoke").operation
    monday = day("from_on", MONDAY)
    for path, amount, said in (
        (f"wage/{osk.pk}", "13.90", "Osk, 2 to 8 March 2026, by £0.20): write it from 9 March 2026 on"),
        (f"guarantee/{osk.pk}", "12", "Osk, 2 to 8 March 2026, by £3.00"),
        (f"piece/{work.pk}", "0.60", "Piet, 2 to 8 March 2026, by £2.50"),
        (f"piece/{work.pk}", "0", "Piet"),
    ):
        refused = owner.post(f"/settings/rates/{path}/", {"amount": amount, **monday})
        assert (refused.status_code, said in text_of(refused)) == (422, True), path
    # By mistake: £140 an hour. Another entry for the same day puts it back, while no run has paid it.
    for amount, owed in (("140", [2 * 12_600]), ("14", [])):
        page = owner.get(f"/settings/rates/wage/{osk.pk}/").content.decode()
        seen = page.partition('name="seen_rateform" value="')[2].partition('"')[0].replace("&quot;", '"')
        told = {"amount": amount, **monday, "seen_rateform": seen}
        assert owner.post(f"/settings/rates/wage/{osk.pk}/", told).status_code == 302
        assert late(paid_shop, 14) == owed
    record_terms(osk, Terms(), from_on=MONDAY, at=at(9), by=wren.user)
    assert late(paid_shop, 14) == [8 * 1400 - paid["Osk"]]
    record_terms(osk, Terms(by_pieces=True), from_on=MONDAY, at=at(9), by=wren.user)
    assert late(paid_shop, 14) == []
    # Hours that were told late have earned the wage of then, whatever was raised since.
    there(osk, paid_shop, 1, 8, 16, now=at(9))
    wage = {"kind": "wage", "hand": osk.user, "from_on": MONDAY, "by": wren.user}
    record_rate(**wage, amount_millipence=2_000_000, at=at(9))
    with pytest.raises(RateRefused, match=r"by £1\.00"):
        record_rate(**wage, amount_millipence=1_390_000, at=at(9))
    record_rate(**wage, amount_millipence=1_400_000, at=at(9))
    # What a run has paid stays.
    record_rate(**wage, amount_millipence=1_500_000, at=at(9))
    close(paid_shop, wren, at(14))
    with pytest.raises(RateRefused, match=r"by £10\.00"):
        record_rate(**wage, amount_millipence=1_400_000, at=at(15))


def test_what_others_write_meanwhile_is_looked_at_too(
    paid_shop: Shop, osk: Hand, wren: Hand, order: Order, monkeypatch: pytest.MonkeyPatch
) -> None:
    """It is reckoned before others wait, and within the write only if they wrote."""
    there(osk, paid_shop, 0, 8, 16)
    close(paid_shop, wren, at(7))
    terms = {"from_on": MONDAY, "at": at(8)}
    looked = look_at_terms(osk, Terms(), **terms)  # type: ignore[arg-type]
    untimed(order, osk, 0, 100)
    with pytest.raises(TermsRefused, match=r"by £62\.50"):
        record_terms(osk, Terms(), by=wren.user, looked=looked, **terms)  # type: ignore[arg-type]
    looked = look_at_terms(osk, Terms(by_pieces=True, band="young"), **terms)  # type: ignore[arg-type]
    monkeypatch.setattr(pay_guard, "read_for", None)
    record_terms(osk, Terms(by_pieces=True, band="young"), by=wren.user, looked=looked, **terms)  # type: ignore[arg-type]


def test_a_wrong_band_is_put_right_openly_while_nothing_of_it_is_paid(
    paid_shop: Shop, owner: Client, osk: Hand, order: Order
) -> None:
    """Osk was written down as grown; the page asks whether that was a mistake, and keeps that it was said."""
    Shop.objects.update(pay_rules="gb")
    take_away(PayTerms.objects.all())
    Rate.objects.filter(kind="wage").update(amount_millipence=500_000)
    there(osk, paid_shop, 0, 8, 16)
    path, terms = f"/settings/rates/paid/{osk.pk}/", {"paid_by": "hours", "band": "apprentice", "hours": "shop"}
    terms |= {name: str(value) for name, value in day("from_on", MONDAY).items()}
    assert "was a mistake</span>" not in owner.get(path).content.decode()
    asked = owner.post(path, terms)
    # 8 h at £12.21, and at £7.55.
    assert (asked.status_code, "Osk, 2 to 8 March 2026, by £37.28" in text_of(asked)) == (422, True)
    assert "local rules go before it" in text_of(asked)
    assert 'name="was_mistake"' in asked.content.decode()
    # A tick counts for what was shown: at another band, or unseen, it is asked for again.
    others = (terms | {"was_mistake": "on"}, terms | ticked(asked) | {"band": "young"})
    again = [text_of(owner.post(path, other)) for other in others]
    assert ["by £37.28" in again[0], "by £17.68" in again[1]] == [True, True]
    assert owner.post(path, terms | ticked(asked)).status_code == 302
    line = AuditLine.objects.latest("id")
    assert line.after.endswith("what stood was a mistake, and the law asks £37.28 less of days that were worked")
    shop = Shop.objects.get()
    assert [sheet.gross_pence for sheet in draft(shop, now=at(7)).sheets] == [8 * 755]
    # Once a run has paid it, no tick lowers it.
    take_away(PayTerms.objects.all())
    close(shop, osk, at(7))
    refused = owner.post(path, terms | ticked(asked))
    assert (refused.status_code, "That would lower what is paid" in text_of(refused)) == (422, True)


@pytest.mark.parametrize(("seed", "rules"), [(1, "gb"), (2, "plain")])
def test_no_entry_that_is_taken_asks_anything_back(
    seed: int, rules: str, paid_shop: Shop, osk: Hand, wren: Hand, order: Order
) -> None:
    """Of random entries for any day of three paid weeks, each that is not refused leaves nobody owing anything."""
    Shop.objects.update(pay_rules=rules)
    shop, chance = Shop.objects.get(), random.Random(seed)
    Rate.objects.create(kind="wage", hand=wren.user, amount_millipence=900_000, **FEBRUARY)
    PayTerms.objects.create(hand=wren.user, by_pieces=True, **FEBRUARY)
    for week in range(3):
        for hand in (osk, wren):
            there(hand, shop, 7 * week + chance.randint(0, 4), 8, 16)
            make(order, hand, 7 * week + chance.randint(0, 4), chance.randint(5, 200), chance.randint(1, 6))
        close(shop, wren, at(7 * week + 7))
    taken = 0
    for turn in range(16):
        try:
            _write_something(chance, [osk, wren], task(order, "rough-spoke").operation, wren)
            taken += 1
        except (TermsRefused, RateRefused):
            continue
        assert min(late(shop, 28), default=0) >= 0, turn
        if turn == 8:
            close(shop, wren, at(28))
    assert 2 < taken < 14


def _write_something(chance: random.Random, hands: list[Hand], work: Operation, by: Hand) -> None:
    hand, from_on = chance.choice(hands), MONDAY + timedelta(chance.randint(-3, 20))
    told = {"from_on": from_on, "at": at(22), "by": by.user}
    kind = chance.choice(["terms", "terms", "wage", "guarantee", "piece"])
    if kind == "terms":
        band = chance.choice(["adult", "young", "school", "apprentice"])
        record_terms(hand, Terms(chance.random() < 0.5, band), **told)  # type: ignore[arg-type]
    elif kind == "piece":
        height = chance.choice([None, 500_000_000])
        amount = chance.choice([0, 30_000, 60_000, 62_500, 90_000])
        record_rate(kind=kind, operation=work, amount_millipence=amount, from_height_nm=height, **told)
    else:
        amount = chance.choice([500_000, 900_000, 1_250_000, 1_400_000, 2_000_000])
        record_rate(kind=kind, hand=hand.user, amount_millipence=amount, **told)
