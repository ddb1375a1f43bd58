"""The page of what rate a piece should have: its sums by hand, who is told what, and the form it leads to."""

import re
import uuid
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from fractions import Fraction
from html import unescape
from math import ceil

import pytest
from django.test import Client

from jobs.models import Order
from shop.models import Hand, PayTerms, Rate, Shop
from shop.passing import pass_stretches
from tests.factories import IN, HandFactory, fact, take_away, task
from tests.shop.test_growth import queries
from tests.shop.test_order_iron import words_of
from timing.facts import Cancel
from timing.models import Stretch
from timing.record import cancel, record
from timing.usual import work_out

PAGE = "/pay/piece-rates/rough-spoke/"
NOW = datetime(2026, 4, 10, 10, tzinfo=UTC)
MARCH = datetime(2026, 3, 10, 15, tzinfo=UTC)
FEBRUARY = {"from_on": date(2026, 2, 1), "recorded_at": datetime(2026, 2, 1, tzinfo=UTC)}


def make(order: Order, hand: Hand, made: int, minutes: float | None, *, passed: bool = False) -> Stretch:
    told = fact(task(order, "rough-spoke"), hand, made=made, minutes=None, done_at=MARCH)
    told = replace(told, seconds=None if minutes is None else round(minutes * 60), token=uuid.uuid4())
    stretch = record(told, now=MARCH).stretch
    assert stretch is not None
    if passed:
        pass_stretches([stretch.pk], by=hand.user, at=MARCH)
    return stretch


@pytest.fixture
def march(order: Order, osk: Hand, wren: Hand, monkeypatch: pytest.MonkeyPatch) -> Shop:
    """Osk by the piece at 80p, Wren by the hour at £18. Of Osk's 34 spokes 24 are passed, in 4 h; 4 more are undone."""
    monkeypatch.setattr("django.utils.timezone.now", lambda: NOW)
    Shop.objects.update(pay_rules="gb", pay_period="week", pay_first_on=date(2026, 3, 2))
    rough = task(order, "rough-spoke").operation
    PayTerms.objects.create(hand=osk.user, by_pieces=True, **FEBRUARY)
    Rate.objects.create(kind="piece", operation=rough, amount_millipence=80_000, **FEBRUARY)
    for kind, hand, amount in (("wage", osk, 1400), ("guarantee", osk, 1350), ("wage", wren, 1800)):
        Rate.objects.create(kind=kind, hand=hand.user, amount_millipence=amount * 1000, **FEBRUARY)
    make(order, osk, 20, 180, passed=True)
    make(order, osk, 4, 60, passed=True)
    make(order, osk, 10, 60)
    undone = make(order, osk, 4, 30, passed=True)
    cancel(Cancel(uuid.uuid4(), undone.token, osk.user_id, MARCH + timedelta(minutes=1)), now=MARCH)
    make(order, wren, 10, 120)
    make(order, wren, 3, None)
    work_out(at=MARCH)
    return Shop.objects.get()


def look(client: Client, question: str = "", *, status: int = 200) -> str:
    answered = client.get(f"{PAGE}{question}")
    assert answered.status_code == status
    return words_of(answered.content.decode())


def test_a_rate_by_the_hour_by_law_and_tried_on_a_month(owner: Client, march: Shop, osk: Hand) -> None:
    page = look(owner)
    # The mean of £14 and £18, over the usual minutes that the page names; the last whole month.
    minutes = Fraction(re.search(r"([\d.]+) minutes × £16.00 ÷ 60 = ", page)[1])  # type: ignore[index]
    rate = ceil(minutes * 1600 / 60)
    assert f"£{rate / 100:.2f} a spoke makes £16.00 an hour for the mean hand." in page
    assert f"£{(rate - 80) / 100:.2f} more a spoke than now." in page
    assert "The mean wage of the 2 hands who do it." in page
    assert "March 2026, tried" in page
    # The minimum wage of the day, GOV.UK's of April 2026; the rate of February is older than it.
    output, fair = re.search(r"£12\.71 × 1\.2 ÷ ([\d.]+) an hour = £([\d.]+)", page).groups()  # type: ignore[union-attr]
    assert float(fair) == pytest.approx(12.71 * 1.2 / float(output), rel=0.002)
    assert float(60 / minutes) == pytest.approx(float(output), rel=0.1)
    assert "before the lowest wage changed on 1 April 2026" in page
    assert "Rated output work wants more than this. A fair test" in page
    # Osk: 24 passed at 80p in 4 h. Wren: 2 h at £18, three of 13 not timed.
    osks = f"24 4 h £19.20 £4.80 £{24 * rate / 100:.2f} £{6 * rate / 100:.2f}"
    assert re.search(rf"Osk 10 not passed, and not in it .*{re.escape(osks)} Wren", page)
    wrens = f"13 2 h £36.00 £18.00 £{13 * rate / 100:.2f} £{5 * rate / 100:.2f}"
    assert re.search(
        rf"Wren paid by the hour 3 not timed, and in no hour (under [^£]+£12.71 )?{re.escape(wrens)}", page
    )
    # 37 spokes; 34 of them in six hours.
    assert f"37 6 h £55.20 £9.20 £{37 * rate / 100:.2f} £" in page


def test_who_comes_under_what_turns_with_the_hour_that_is_asked(
    owner: Client, march: Shop, order: Order, tamsin: Hand
) -> None:
    low, high = look(owner, "?hour=10&month=2026-03-01"), look(owner, "?hour=60&month=2026-03-01")
    # The law asks for more than ten pounds an hour would.
    assert "as the law asks" in low
    under = "Osk: under the guarantee of £13.50"
    assert (under in low, under in high) == (True, False)
    assert "Wren: under the lowest wage of £12.71" in low
    assert "would come under" not in high
    assert "None was made in this month." in look(owner, "?month=2026-02-01")
    # More work, and of more hands, asks the database no more often.
    asked = queries(owner, PAGE)
    for _ in range(3):
        make(order, tamsin, 4, 40)
        make(order, HandFactory.create(), 4, None)
    assert queries(owner, PAGE) == asked
    for wrong in ("?hour=much", "?hour=0", "?month=2031-01-01"):
        assert "to put right" in look(owner, wrong, status=422)


def test_it_leads_to_the_form_of_the_rate_and_writes_nothing(owner: Client, march: Shop) -> None:
    page = owner.get(f"{PAGE}?hour=30").content.decode()
    url = unescape(re.search(r'href="(/settings/rates/piece/\d+/\?[^"]+)">Write it down from 13 April 2026', page)[1])  # type: ignore[index]
    rate = re.search(r"amount=([\d.]+)&from=2026-04-13", url)[1]  # type: ignore[index]
    assert Rate.objects.filter(kind="piece").count() == 1
    form = owner.get(url).content.decode()
    assert f'name="amount" value="{rate}"' in form
    assert [f'name="from_on_{part}" value="{value}"' in form for part, value in (("day", 13), ("month", "April"))] == [
        *(True, True)
    ]
    sent = dict(re.findall(r'name="(amount|from_on_\w+|seen_rateform)" value="([^"]*)"', form))
    assert owner.post(url, {name: unescape(value) for name, value in sent.items()}).status_code == 302
    assert Rate.objects.filter(kind="piece", from_on=date(2026, 4, 13)).count() == 1
    assert f"£{rate} from 13 April 2026 (to come)" in look(owner, "?hour=30")
    Rate.objects.create(
        kind="piece",
        operation=Rate.objects.filter(kind="piece")[0].operation,
        **FEBRUARY | {"from_on": NOW.date(), "amount_millipence": round(float(rate) * 100_000)},
    )
    page = look(owner, "?hour=30")
    assert "The rate of today is just that." in page
    assert "Write it down" not in page
    # What can't be read is left out, as if nobody had written it.
    assert 'name="amount" value=' not in owner.get("/settings/rates/overhead/?amount=x&from=y").content.decode()


def test_high_wheels_keep_their_own_rate_and_other_laws_are_told(owner: Client, march: Shop, order: Order) -> None:
    rough = task(order, "rough-spoke").operation
    Rate.objects.create(kind="piece", operation=rough, from_height_nm=40 * IN, amount_millipence=90_000, **FEBRUARY)
    page = look(owner, "?hour=60")
    # The pair is 46 in high: 24 at 90p, then and now.
    assert "24 4 h £21.60 £5.40 £21.60 £5.40" in page
    assert "Wheels that have a rate of their own height" in page
    Shop.objects.update(pay_rules="us")
    assert "not in GBP, and is not compared" in look(owner)
    Shop.objects.update(currency="USD")
    page = look(owner)
    assert re.search(r"minutes × \$7\.25 ÷ 60 = \$[\d.]+ The federal minimum of an hour", page)
    Shop.objects.update(pay_rules="plain")
    take_away(Rate.objects.filter(kind="wage"))
    assert "No wage is written down yet: write what an hour is to earn." in look(owner)
    assert "not compared No legal check: none is chosen" in look(owner, "?hour=15")
