"""Rated output work once it is written down: what is frozen and never lowered, what is refused, who may read it."""

import uuid
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

import pytest
from django.test import Client

from jobs.models import Operation, Order
from shop.agreeing import AgreementRefused, Made, Tried, give_notices, record_mean
from shop.export import write_export
from shop.models import AuditLine, Hand, OutputMean, OutputNotice, PaySheet, PayTerms, Rate, Shop
from shop.passing import pass_stretches
from shop.pay.terms import Terms
from shop.pay_runs import draft
from shop.pins import set_pin
from shop.terms_written import TermsRefused, record_terms
from tests import plain_pay
from tests.factories import HandFactory, fact, task
from tests.papers_read import text_of as paper_text
from tests.shop.benching import Bench, text_of, ticked
from tests.shop.test_output_work import FEBRUARY, NOW, day, rough
from tests.shop.test_pay_runs import MONDAY, at, close, make, paid_shop, there
from timing.record import record

# Fixtures, which are found by their names here.
__all__ = ["paid_shop", "rough"]


def rate_it(rough: Shop, osk: Hand, wren: Hand, order: Order) -> None:
    """Osk keeps its own hours, and was told that 20 spokes are an hour's."""
    told = {"token": uuid.uuid4(), "by": wren.user, "at": at(-4)}
    tried = Tried("all", FEBRUARY, FEBRUARY, (Made(osk.user_id, 40, 7200),))
    mean = record_mean(task(order, "rough-spoke").operation, tried, **told)  # type: ignore[arg-type]
    give_notices(mean, [osk], given_on=NOW, shop=rough, **told)  # type: ignore[arg-type]
    PayTerms.objects.create(hand=osk.user, by_pieces=True, hours_are_controlled=False, from_on=NOW, recorded_at=at(-4))


def test_whether_a_closed_period_was_rated_is_frozen_in_it(
    rough: Shop, osk: Hand, wren: Hand, order: Order, tmp_path: Path
) -> None:
    """Not a raised rate, not another operation of the name takes back what was paid; passing pays it once."""
    rate_it(rough, osk, wren, order)
    there(osk, rough, 0, 0, 15)
    stretch = make(order, osk, 0, 300, 15, passed=False)
    run = close(rough, wren, at(7))
    assert PaySheet.objects.get().gross_pence == 18 * 1221
    write_export(tmp_path / "files")
    assert plain_pay.paid(tmp_path / "files") == {(str(run.pk), str(osk.user_id)): 18 * 1221}
    work = stretch.operation
    assert work is not None
    Operation.objects.filter(key="shave-spoke").update(name=work.name)
    Rate.objects.create(kind="piece", operation=work, amount_millipence=65_000, from_on=MONDAY, recorded_at=at(8))
    pass_stretches([stretch.pk], by=wren.user, at=at(8))
    assert draft(rough, now=at(14)).sheets == ()
    # By a higher rate the pieces alone may come to more than that, and then the rest is owed: 300 × 75p.
    Rate.objects.create(kind="piece", operation=work, amount_millipence=75_000, from_on=MONDAY, recorded_at=at(9))
    assert [one.pence for one in draft(rough, now=at(14)).sheets[0].late] == [22_500 - 18 * 1221]


def test_a_late_notice_or_test_that_lowers_what_the_law_asks_says_so_and_asks(
    rough: Shop, owner: Client, osk: Hand, wren: Hand, order: Order, monkeypatch: pytest.MonkeyPatch
) -> None:
    """80 spokes in 8 hours, at 20 an hour: 80 ÷ 20 × 1.2 = 4.8 hours; a notice may truly have been given before."""
    monkeypatch.setattr("django.utils.timezone.now", lambda: at(5))
    owner.force_login(wren.user)
    told = {"token": uuid.uuid4(), "by": wren.user, "at": at(5)}
    terms = {"by_pieces": True, "hours_are_controlled": False, "from_on": FEBRUARY}
    PayTerms.objects.create(hand=osk.user, recorded_at=at(-9), **terms)
    there(osk, rough, 0, 8, 16)
    make(order, osk, 0, 80, 8)
    tried = Tried("all", FEBRUARY, FEBRUARY, (Made(osk.user_id, 40, 7200),))
    record_mean(task(order, "rough-spoke").operation, tried, **told)  # type: ignore[arg-type]
    pages = "/pay/piece-rates/rough-spoke/"
    notice = {"token": uuid.uuid4(), "hands": [osk.pk], **day("given_on", NOW)}
    asked = owner.post(f"{pages}notice/", notice)
    assert (asked.status_code, "Osk, 2 to 8 March 2026, by £39.07" in text_of(asked)) == (422, True)
    assert "local rules go before it" in text_of(asked)
    assert [owner.post(f"{pages}notice/", notice | ticked(asked)).status_code for _ in range(2)] == [302, 302]
    line = AuditLine.objects.latest("id")
    assert line.after.endswith("on 27 February 2026, by which the law asks £39.07 less of days that were worked")
    (sheet,) = draft(rough, now=at(7)).sheets
    assert sheet.gross_pence == round(4.8 * 1221)
    # To end it raises what is asked, and nothing is said; a test that lowers it again asks.
    end = {"token": uuid.uuid4(), **day("from_on", FEBRUARY)}
    assert owner.post(f"{pages}end/", end).status_code == 302
    again = {"token": uuid.uuid4(), "basis": "all", f"pieces-{osk.pk}": 40, f"time-{osk.pk}": "2 h"}
    again |= {**day("tried_on", FEBRUARY), **day("from_on", FEBRUARY)}
    asked = owner.post(f"{pages}test/", again)
    assert (asked.status_code, "by £39.07" in text_of(asked), 'name="confirmed"' in asked.content.decode()) == (
        *(422, True, True),
    )
    assert owner.post(f"{pages}test/", again | ticked(asked)).status_code == 302
    # 160 in 8 hours are 9.6 hours by the mean, but at no other rate than the notice tells: £117.22, or 160 × 63p.
    make(order, osk, 0, 80, 0)
    rate = f"/settings/rates/piece/{task(order, 'rough-spoke').operation_id}/"
    raised = {"amount": "0.63", **day("from_on", MONDAY)}
    asked = owner.post(rate, raised)
    assert (asked.status_code, "Osk, 2 to 8 March 2026, by £16.42" in text_of(asked)) == (422, True)
    assert "give a new notice that tells the new rate" in text_of(asked)
    assert ["It is right" in text_of(one) for one in (asked, owner.get(rate))] == [True, False]
    assert [owner.post(rate, raised | ticked(asked)).status_code for _ in range(2)] == [302, 302]
    assert AuditLine.objects.latest("id").after == "£0.63, by which days that were worked earn £16.42 less"
    # A lower rate says so for itself.
    assert owner.post(rate, raised | {"amount": "0.60"}).status_code == 302


def test_terms_never_lower_what_was_worked(rough: Shop, osk: Hand, wren: Hand, order: Order, tmp_path: Path) -> None:
    """Not of a closed period, nor of one that runs; higher is right at any time, and so is what lies ahead."""
    rate_it(rough, osk, wren, order)
    new = HandFactory(name="Piet")
    Rate.objects.create(kind="wage", hand=new.user, amount_millipence=800_000, from_on=FEBRUARY, recorded_at=at(-9))
    for hand in (osk, new):
        there(hand, rough, 0, 0, 15)
        there(hand, rough, 8, 0, 15)
    make(order, osk, 0, 300, 15)
    make(order, osk, 8, 300, 15)
    # Piet has a wage and no terms: by the usual band until the first period with terms.
    PayTerms.objects.create(hand=new.user, band="school", from_on=MONDAY + timedelta(3), recorded_at=at(3))
    paid = {sheet.hand: sheet.gross_pence for sheet in draft(rough, now=at(7)).sheets}
    assert paid == {"Osk": 18 * 1221, "Piet": 15 * 1221}
    run = close(rough, wren, at(7))
    write_export(tmp_path / "files")
    assert plain_pay.paid(tmp_path / "files") == {
        (str(run.pk), str(pk)): pence for pk, pence in PaySheet.objects.values_list("hand", "own_pence")
    }
    now, young = at(9), Terms(band="apprentice")
    for hand, terms, from_on, lowered in (
        (osk, Terms(by_pieces=True), NOW, "2 to 8 March"),
        (osk, Terms(by_pieces=True), MONDAY + timedelta(7), "9 to 15 March"),
        (new, young, MONDAY, "2 to 8 March"),
    ):
        with pytest.raises(TermsRefused, match=lowered):
            record_terms(hand, terms, from_on=from_on, at=now, by=wren.user)
    record_terms(osk, Terms(by_pieces=True), from_on=MONDAY + timedelta(8), at=now, by=wren.user)
    record_terms(new, Terms(band="adult"), from_on=MONDAY + timedelta(7), at=now, by=wren.user)
    record_terms(new, young, from_on=MONDAY + timedelta(14), at=now, by=wren.user)
    # By the band that Piet should have had, it is owed the rest of its first full week; Osk's stands as it was.
    owed = {sheet.hand: sheet.gross_pence for sheet in draft(rough, now=at(14)).sheets}
    assert owed == {"Osk": 18 * 1221, "Piet": 15 * 1221}


def test_what_can_not_be_is_refused_in_one_sentence(
    rough: Shop, owner: Client, osk: Hand, wren: Hand, order: Order, tamsin: Hand
) -> None:
    """A test of every hand without one, of 99,999,999 hours or sent twice otherwise; what goes before its own test."""
    pages = "/pay/piece-rates/rough-spoke/"
    new = HandFactory(name="Piet")
    PayTerms.objects.create(hand=new.user, by_pieces=True, from_on=date(2026, 1, 1), recorded_at=at(-40))
    test = {"token": uuid.uuid4(), "basis": "all", **day("tried_on", FEBRUARY), **day("from_on", FEBRUARY)}
    test |= {f"pieces-{osk.pk}": 40, f"time-{osk.pk}": "2 h"}
    assert "It counts from the first pay period that begins on or after this day" in text_of(owner.get(f"{pages}test/"))
    for changes, words in (
        ({}, "Piet is paid by the piece and not among them"),
        ({f"time-{osk.pk}": "99999999 h"}, "write 1,000 h at the most"),
    ):
        refused = owner.post(f"{pages}test/", test | changes)
        assert (refused.status_code, words in text_of(refused)) == (422, True), words
    # Who has worked, and never at this, is no hand who does it.
    record(fact(task(order, "shave-spoke"), new), now=at(1))
    assert [owner.post(f"{pages}test/", test).status_code for _ in range(2)] == [302, 302]
    refused = owner.post(f"{pages}test/", test | {f"pieces-{osk.pk}": 30})
    assert (refused.status_code, "sent before with other content" in text_of(refused)) == (422, True)
    mean = OutputMean.objects.get()
    told = Tried("all", FEBRUARY, FEBRUARY, (Made(osk.user_id, 40, 7200),))
    with pytest.raises(AgreementRefused, match="other content"):
        record_mean(task(order, "shave-spoke").operation, told, token=mean.token, by=wren.user, at=at(-3))
    longest = replace(told, made=(Made(osk.user_id, 40, 10**8),))
    with pytest.raises(AgreementRefused, match="1,000 hours at the most"):
        record_mean(mean.operation, longest, token=uuid.uuid4(), by=wren.user, at=at(-3))
    notice = {"token": uuid.uuid4(), "hands": [osk.pk], **day("given_on", date(2026, 2, 19))}
    refused = owner.post(f"{pages}notice/", notice)
    assert refused.status_code == 422
    assert not OutputNotice.objects.exists()
    with pytest.raises(AgreementRefused, match="The test was on 20 February 2026: no notice of it was given on 19 "):
        give_notices(mean, [osk], given_on=date(2026, 2, 19), shop=rough, token=uuid.uuid4(), by=wren.user, at=at(-3))
    estimate = {"token": uuid.uuid4(), "rests_on": mean.pk, "like": "Like work in the same conditions", "pieces": 7}
    estimate |= {"time": "1 h", "why": "so", **day("tried_on", NOW), **day("from_on", NOW)}
    for changes, words in (
        (day("tried_on", date(2026, 2, 19)), "an estimate from it is of that day or a later one"),
        ({"like": "The same work in other conditions"}, "That test is of other work"),
        ({"time": "1001 h"}, "write 1,000 h at the most"),
    ):
        refused = owner.post("/pay/piece-rates/shave-spoke/estimate/", estimate | changes)
        assert (refused.status_code, words in text_of(refused)) == (422, True), words
    assert owner.post(f"{pages}estimate/", estimate | {"like": "The same work in other conditions"}).status_code == 302


def test_a_notice_is_given_of_what_will_stand_to_who_will_be_paid_so_and_the_hand_reads_it(
    rough: Shop, owner: Client, osk: Hand, wren: Hand, order: Order, tamsin: Hand, poppler: None
) -> None:
    """Before the period is the only time at which a notice counts for it."""
    pages, told = "/pay/piece-rates/rough-spoke/", {"token": uuid.uuid4(), "by": wren.user, "at": at(-4)}
    tried = Tried("all", FEBRUARY, MONDAY, (Made(osk.user_id, 40, 7200),))
    record_mean(task(order, "rough-spoke").operation, tried, **told)  # type: ignore[arg-type]
    new = HandFactory(name="Piet")
    terms = {"by_pieces": True, "hours_are_controlled": False, "from_on": MONDAY}
    PayTerms.objects.create(hand=new.user, recorded_at=at(-4), **terms)
    page = owner.get(f"{pages}output/")
    assert "From 2 March 2026: 20.00 an hour." in text_of(page)
    assert f'href="{pages}notice/"' in page.content.decode()
    assert "Piet" in text_of(owner.get(f"{pages}notice/"))
    notice = {"token": uuid.uuid4(), "hands": [new.pk], **day("given_on", NOW)}
    assert owner.post(f"{pages}notice/", notice).status_code == 302
    row = OutputNotice.objects.get(hand=new.user)
    assert "Piet : rated, by the notice of 27 February 2026" in text_of(owner.get(f"{pages}output/"))
    assert "From the first pay period that begins on or after that day" in text_of(owner.get(f"{pages}end/"))
    own, other = Client(), Client()
    own.force_login(new.user)
    other.force_login(tamsin.user)
    paths = [f"/bench/pay/told/{row.pk}/", f"/bench/pay/told/{row.pk}/a4/"]
    assert "Told and agreed" in text_of(own.get("/bench/pay/"))
    assert "Rough out spoke, 27 February 2026" in text_of(own.get("/bench/pay/told/"))
    assert "is 20.00 an hour" in text_of(own.get(paths[0]))
    assert "Notice to Piet" in paper_text(own.get(paths[1]).content)
    assert [other.get(path).status_code for path in paths] == [404, 404]
    assert "You were given none." in text_of(other.get("/bench/pay/told/"))
    # At a tablet that anyone may hold it is shown as pay is: after the PIN alone.
    set_pin(new, "4071")
    bench = Bench(new).come_in("4071").client
    for path in ("/bench/pay/told/", *paths):
        assert "Your PIN shows it" in text_of(bench.get(path)), path
    assert bench.post(paths[0], {"pin": "4071"}).status_code == 302
    assert "is 20.00 an hour" in text_of(bench.get(paths[0]))
