"""How a hand is paid from a day on: terms, piece rates by height, spoiled pieces, periods, bonuses."""

import uuid
from datetime import UTC, date, datetime, timedelta

import pytest
from django.test import Client
from hypothesis import given
from hypothesis import strategies as st

from shop.models import AuditLine, Bonus, Hand, PayRun, PayTerms, Shop
from shop.pay.periods import period_after, period_of
from shop.pay.terms import DatedTerms, PaysSpoiled, Terms
from shop.pay_terms import all_terms
from shop.rates import RateBook
from tests.conftest import operation
from tests.factories import IN
from tests.shop.benching import text_of

JAN, MAR = date(2026, 1, 1), date(2026, 3, 1)
MARCH = {"from_on_day": "1", "from_on_month": "3", "from_on_year": "2026"}
days = st.dates(date(2020, 1, 1), date(2030, 12, 31))


def test_a_higher_wheel_pays_its_own_rate_from_its_day_on() -> None:
    sized = [(7, 40 * IN, MAR, 90), (7, 50 * IN, JAN, 120), (7, 50 * IN, MAR, 130)]
    book = RateBook.of([(("piece", 7), JAN, 60)], sized)
    heights = [None, 39 * IN, 40 * IN, 49 * IN, 50 * IN, 60 * IN]
    assert [book.piece(7, MAR, height) for height in heights] == [60, 60, 90, 90, 130, 130]
    assert [book.piece(7, JAN, height) for height in heights] == [60, 60, 60, 60, 120, 120]
    assert book.piece(8, MAR, 50 * IN) is None


def test_a_piece_rate_of_nothing_means_by_the_hour_from_its_day() -> None:
    book = RateBook.of([(("piece", 7), JAN, 60), (("piece", 7), MAR, 0)], [(7, 50 * IN, JAN, 120)])
    assert [book.piece(7, day) for day in (JAN, MAR)] == [60, None]
    assert book.piece(7, MAR, 50 * IN) == 120
    # Nothing for high wheels alone does not fall back on the rate of all.
    assert RateBook.of([(("piece", 7), JAN, 60)], [(7, 50 * IN, MAR, 0)]).piece(7, MAR, 50 * IN) is None


@pytest.mark.parametrize(
    ("made", "spoiled", "lost", "reason", "paid"),
    [
        (3, 0, 0, "", 3),
        (3, 1, 0, "timber", 4),  # the one in hand split: it is paid
        (3, 1, 0, "work", 3),
        (0, 1, 1, "timber", 0),  # it had been made, and was paid then
        (0, 2, 1, "timber", 1),
        (-3, -1, 0, "timber", -4),  # undone: exactly what was paid
    ],
)
def test_a_spoiled_piece_is_paid_by_what_spoiled_it(made, spoiled, lost, reason, paid) -> None:
    assert PaysSpoiled().paid_units(made=made, spoiled=spoiled, lost=lost, reason=reason) == paid


def test_terms_stand_from_their_day_and_the_later_entry_corrects() -> None:
    dated = DatedTerms.of([(MAR, Terms(by_pieces=True)), (JAN, Terms()), (MAR, Terms(by_pieces=True, band="young"))])
    assert dated.on(MAR - timedelta(1)) == Terms()
    assert dated.on(MAR) == Terms(by_pieces=True, band="young")
    # A hand that began within the period has the terms that it began with.
    assert [dated.of_period(first, MAR).band for first in (date(2025, 12, 1), JAN, MAR)] == ["adult", "adult", "young"]
    begun = DatedTerms.of([(MAR, Terms(band="apprentice"))])
    assert [begun.of_period(JAN, last).band for last in (JAN, MAR)] == ["adult", "apprentice"]
    assert DatedTerms().on(MAR) == Terms(by_pieces=False, band="adult")


@given(days, days, st.sampled_from(["week", "month"]))
def test_every_day_is_in_one_period_and_periods_follow_each_other(day, first_on, length) -> None:
    first_on = first_on.replace(day=min(first_on.day, 28))
    first, last = period_of(day, length=length, first_on=first_on)
    assert first <= day <= last
    assert period_of(first, length=length, first_on=first_on) == (first, last)
    assert period_of(last, length=length, first_on=first_on) == (first, last)
    assert period_after(last, length=length, first_on=first_on)[0] == last + timedelta(1)
    assert period_of(first_on, length=length, first_on=first_on)[0] == first_on


def test_a_month_may_begin_in_its_midst_and_no_day_is_lost_in_a_change() -> None:
    sixth = date(2026, 1, 6)
    assert period_of(date(2027, 1, 5), length="month", first_on=sixth) == (date(2026, 12, 6), date(2027, 1, 5))
    # Weeks until Sunday 8 March, then months: the rest of March is a period of its own.
    begins = date(2026, 1, 1)
    assert period_after(date(2026, 3, 8), length="month", first_on=begins) == (date(2026, 3, 9), date(2026, 3, 31))


def test_the_pages_write_it_down_once_and_say_it(owner: Client, osk: Hand) -> None:
    saw = operation("saw-felloe")
    piece = f"/settings/rates/piece/{saw.pk}/"
    assert owner.post(piece, {"amount": "0.60", **MARCH}).status_code == 302
    high = {"amount": "0.90", "from_height_nm": "1200 mm", **MARCH}
    assert [owner.post(piece, high).status_code for _ in range(2)] == [302, 302]
    assert RateBook.load().piece(saw.pk, MAR, 1_200_000_000) == 90_000
    page = text_of(owner.get(piece))
    assert "£0.90 from 1 March 2026, wheels from 1200 mm" in page
    assert page.count("stands today".capitalize()) == 2
    assert owner.post(piece, high | {"from_height_nm": "high"}).status_code == 422
    assert owner.post(piece, {"amount": "0", **MARCH}).status_code == 302
    page = text_of(owner.get(piece))
    assert "Today it is paid by the hour." in page
    assert "By the hour from 1 March 2026" in page
    owner.post(f"/settings/rates/guarantee/{osk.pk}/", {"amount": "12.50", **MARCH})
    terms = {"paid_by": "pieces", "band": "young", **MARCH}
    assert [owner.post(f"/settings/rates/paid/{osk.pk}/", terms).status_code for _ in range(2)] == [302, 302]
    assert all_terms()[osk.user_id].on(MAR) == Terms(by_pieces=True, band="young")
    assert PayTerms.objects.count() == 1
    rates = text_of(owner.get("/settings/rates/"))
    assert "£12.50 , guarantee of Osk" in rates
    assert "pieces and hours , Osk" in rates
    lines = AuditLine.objects.order_by("id").values_list("what", flat=True)
    assert f"{saw.name.replace('{felloe}', 'felloe')}: piece rate, wheels from 1200 mm, from 1 March 2026" in lines


def test_a_bonus_is_entered_once_and_taken_back_once(owner: Client, osk: Hand) -> None:
    form = {"token": str(uuid.uuid4()), "hand": osk.user_id, "what": "Hot days", "amount": "25"}
    form |= {f"on_{name}": text for name, text in (("day", "1"), ("month", "3"), ("year", "2026"))}
    assert [owner.post("/pay/bonuses/", form).status_code for _ in range(2)] == [302, 302]
    other = owner.post("/pay/bonuses/", form | {"amount": "30"})
    assert (other.status_code, "other content" in text_of(other)) == (422, True)
    early = owner.post("/pay/bonuses/", form | {"token": str(uuid.uuid4()), "on_day": "4", "on_month": "1"})
    assert (early.status_code, "Pay is reckoned here from 5 January 2026 on" in text_of(early)) == (422, True)
    row = Bonus.objects.get()
    for _ in range(2):
        back = {"token": str(uuid.uuid4()), "reason": "twice"}
        assert owner.post(f"/pay/bonuses/{row.pk}/take-back/", back).status_code == 302
    assert sorted(Bonus.objects.values_list("amount_pence", "on")) == [(-2500, MAR), (2500, MAR)]
    assert "taken back: twice" in text_of(owner.get("/pay/bonuses/"))


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"pay_rules": "us"}, "Those rules are in USD, and this shop's money is GBP."),
        ({"pay_period": "month", "pay_first_on_day": "31"}, "write one from the 1st to the 28th"),
        ({"pay_rules": "us", "currency": "USD", "pay_first_on_day": "6"}, "let it begin on a Monday"),
    ],
)
def test_settings_that_cannot_go_together_are_refused(owner: Client, changes: dict[str, str], said: str) -> None:
    Shop.objects.update(currency=changes.pop("currency", "GBP"))
    form = {"pay_rules": "gb", "pay_period": "week", "pay_first_on_day": "5", "pay_first_on_month": "1"}
    page = owner.post("/settings/pay/", form | {"pay_first_on_year": "2026"} | changes)
    assert (page.status_code, said in text_of(page)) == (422, True)


def test_no_workweek_is_cut_where_american_overtime_begins(owner: Client, osk: Hand) -> None:
    """Monthly pay until Tuesday 31 March: the rules wait until a period has ended on a Sunday."""
    Shop.objects.update(currency="USD")
    form = {"pay_rules": "us", "pay_period": "week", "pay_first_on_day": "5", "pay_first_on_month": "1"}
    answers = []
    for first, last in ((MAR, date(2026, 3, 31)), (date(2026, 4, 1), date(2026, 4, 5))):
        PayRun.objects.create(
            token=uuid.uuid4(), first_on=first, last_on=last, closed_by=osk.user, settings={}, seen={},
            closed_at=datetime(2026, 4, 7, tzinfo=UTC),
        )  # fmt: skip
        answers.append(owner.post("/settings/pay/", form | {"pay_first_on_year": "2026"}))
    assert [answer.status_code for answer in answers] == [422, 302]
    assert "Pay is closed until 31 March 2026, within a workweek" in text_of(answers[0])
