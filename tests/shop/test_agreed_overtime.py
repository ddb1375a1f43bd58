"""Overtime by the piece: agreed on its page, found from touches and taps, and paid so, or not and why."""

import uuid
from datetime import date

import pytest
from django.test import Client

from jobs.models import Order
from shop.agreeing import AgreementRefused, record_overtime
from shop.attendance import Told, keep
from shop.models import AuditLine, Hand, OvertimeAgreement, PayRun, Rate, Shop
from shop.passing import pass_stretches
from shop.pay_runs import Draft, draft
from tests.factories import fact, take_away, task
from tests.shop.benching import text_of, ticked
from tests.shop.test_pay_runs import MONDAY, at, fields_of, paid_shop
from timing.corrections import dispute
from timing.facts import Cancel, Fact, Yield
from timing.models import Stretch, Tally
from timing.record import cancel, record

__all__ = ["paid_shop"]


def day(name: str, on: date) -> dict[str, object]:
    return {f"{name}_day": on.day, f"{name}_month": on.month, f"{name}_year": on.year}


def week_of(osk: Hand, shop: Shop, order: Order) -> None:
    """Five days from 7 to 17 with an hour's dinner, 72 spokes each day at $1 and told as one; Friday's as they came."""
    work = fields_of(fact(task(order, "rough-spoke"), osk, minutes=None))
    for n in range(5):
        for kind, hour in (("came", 7), ("break", 12), ("back", 13), ("went", 17)):
            keep(Told(uuid.uuid4(), osk.user_id, kind, at(n, hour)), shop, now=at(n, hour))
    # From the fortieth hour, which ends on Friday at 11.00, on: 1 + 16 + 20.
    told = [(n, begun, done, 36) for n in range(4) for begun, done in ((7, 12), (13, 17))]
    told += [(4, 7, 10.9, 80), (4, 10.9, 11.1, 1), (4, 11.1, 12, 16), (4, 13, 17, 20)]
    for n, begun, done, made in told:
        yields = tuple(
            type(one)(**{**fields_of(one), "made": made}) for one in fact(task(order, "rough-spoke"), osk).yields
        )
        moments = {"started_at": at(n, begun), "done_at": at(n, done), "seconds": round((done - begun) * 3600)}
        record(Fact(**work | moments | {"token": uuid.uuid4(), "yields": yields}), now=at(n, done))  # type: ignore[arg-type]
    pass_stretches(Stretch.objects.values_list("pk", flat=True), by=osk.user, at=at(5))


def said(found: Draft) -> tuple[int, str]:
    (sheet,) = found.sheets
    return sheet.gross_pence, sheet.reckoned.said[-1]


def test_from_the_agreement_to_the_sheet(paid_shop: Shop, owner: Client, osk: Hand, order: Order) -> None:
    Shop.objects.update(pay_rules="us", currency="USD")
    take_away(Rate.objects.filter(kind="guarantee"))
    Rate.objects.filter(kind="piece").update(amount_millipence=100_000)
    shop = Shop.objects.get()
    week_of(osk, shop, order)
    # 405 dollars, 45 hours: the regular rate is $9.
    assert said(draft(shop, now=at(7))) == (
        42_750, "Week of 2 March 2026: 45.00 hours, 5.00 over 40; regular rate $9.0000 (29 CFR 778.111).",
    )  # fmt: skip
    path = f"/settings/rates/overtime/{osk.pk}/"
    assert path in owner.get(f"/settings/rates/paid/{osk.pk}/").content.decode()
    form = {**day("agreed_on", date(2026, 2, 27)), **day("begins_on", MONDAY)}
    for wrong, words in (
        (day("begins_on", date(2026, 2, 26)), "agreed on before the work"),
        (day("ends_on", date(2026, 3, 1)), "end before it begins"),
        (day("agreed_on", date(2200, 1, 1)), "has not come yet"),
    ):
        refused = owner.post(path, form | wrong)
        assert (refused.status_code, words in text_of(refused)) == (422, True), words
    # Written down after the week, and it lowers that: what was agreed on before is said by a tick.
    page = owner.get(path).content.decode()
    asked = owner.post(path, form)
    assert (asked.status_code, "Osk, 2 to 8 March 2026, by $4.00" in text_of(asked)) == (422, True)
    assert "It is right" in text_of(asked)
    assert "It is right" not in text_of(owner.get(path))
    assert [owner.post(path, form | ticked(asked)).status_code for _ in range(2)] == [302, 302]
    # Another who had the page open meanwhile is told, and writes over nothing.
    seen = page.partition('name="seen_overtimeform" value="')[2].partition('"')[0].replace("&quot;", '"')
    told = owner.post(path, form | day("ends_on", date(2026, 3, 31)) | {"seen_overtimeform": seen})
    assert (told.status_code, "from 2 March 2026, was written down by Wren while you had this" in text_of(told)) == (
        409,
        True,
    )
    assert OvertimeAgreement.objects.count() == 1
    line = AuditLine.objects.latest("pk")
    assert "one and a half times the piece rate" in line.what
    assert line.after == "agreed on 27 February 2026, by which the law asks $4.00 less of days that were worked"
    pence, words = said(draft(shop, now=at(7)))
    assert (pence, words) == (
        40_500 + 37 * 50,
        "Week of 2 March 2026: 45.00 hours, 5.00 over 40; pieces made in overtime earn one and a half times their rate "
        "(agreed on 27 February 2026, from 2 March 2026; 29 CFR 778.418): 37 × $1.50 = $55.50, Rough out spoke.",
    )
    page = text_of(owner.get("/pay/runs/"))
    assert "Rough out spoke, in overtime, week of 2 March 2026" in page
    # Two stretches that stand for what was undone count once; and told at the desk, its moment is nobody's.
    last = Stretch.objects.latest("pk")
    cancel(Cancel(uuid.uuid4(), last.token, osk.user_id, at(6)), now=at(6))
    pence, words = said(draft(shop, now=at(7)))
    assert "as was agreed: no work at pieces is told from 13.00 of 6 March to 17.00 of 6 March." in words
    again = fields_of(fact(task(order, "rough-spoke"), osk, made=20, minutes=None)) | {
        "source": "desk",
        "seconds": 14400,
    }
    row = record(Fact(**again | {"done_at": at(4, 17), "token": uuid.uuid4()}), now=at(6)).stretch  # type: ignore[arg-type]
    assert row is not None
    pass_stretches([row.pk], by=osk.user, at=at(6))
    pence, words = said(draft(shop, now=at(7)))
    assert (pence, "pieces of 6 March were written down later: when they were made is not known" in words) == (
        42_750,
        True,
    )


def test_no_agreement_changes_a_week_that_is_paid(paid_shop: Shop, owner: Client, osk: Hand) -> None:
    told = {"settings": {}, "seen": {}, "closed_at": at(7), "closed_by": osk.user, "token": uuid.uuid4()}
    path, sunday = f"/settings/rates/overtime/{osk.pk}/", date(2026, 3, 8)
    form = {**day("agreed_on", MONDAY), **day("begins_on", MONDAY)}
    assert owner.post(path, form).status_code == 302
    PayRun.objects.create(first_on=MONDAY, last_on=sunday, **told)
    seen = owner.get(path).content.decode().partition('name="seen_overtimeform" value="')[2].partition('"')[0]
    form["seen_overtimeform"] = seen.replace("&quot;", '"')
    answers = [
        owner.post(path, form | changes)
        for changes in (
            day("ends_on", date(2026, 3, 7)),
            day("begins_on", date(2026, 3, 5)),
            day("ends_on", sunday),
        )
    ]
    assert [answer.status_code for answer in answers] == [422, 422, 302]
    assert "Pay is closed until 8 March 2026: this would change what was paid." in text_of(answers[0])
    assert [row.ends_on for row in OvertimeAgreement.objects.order_by("id")] == [None, sunday]


def test_what_the_bench_told_says_when_pieces_were_made_or_that_nobody_knows(
    paid_shop: Shop, osk: Hand, wren: Hand, order: Order
) -> None:
    Shop.objects.update(pay_rules="us", currency="USD")
    take_away(Rate.objects.filter(kind="guarantee"))
    Rate.objects.filter(kind="piece").update(amount_millipence=100_000)
    record_overtime(osk, agreed_on=date(2026, 2, 27), begins_on=MONDAY, ends_on=None, by=wren.user, at=at(-3))
    shop = Shop.objects.get()
    week_of(osk, shop, order)
    # A hub that split on Monday, and words about it: of no time and no piece, they say nothing of Friday.
    hub = task(order, "turn-hub")
    split = (Yield(spoiled=1, reason="timber", lot_id=hub.lot_id, wheel_id=hub.wheel_id),)
    told = {"done_at": at(0, 6), "seconds": 0, "started_at": None, "yields": split}
    row = record(Fact(**fields_of(fact(hub, osk, made=0, minutes=None)) | told), now=at(0, 6)).stretch  # type: ignore[arg-type]
    assert row is not None
    tallies = list(Tally.objects.filter(stretch=row).select_related("task__operation"))
    dispute(row, tallies, "it was the timber", token=uuid.uuid4(), zone=shop.zone, now=at(5))
    assert said(draft(shop, now=at(7)))[0] == 40_500 + 37 * 50
    # Friday as one pile at five, with the morning's time told at dinner.
    for one in Stretch.objects.filter(done_on=date(2026, 3, 6), operation__key="rough-spoke", cancels_token=None):
        cancel(Cancel(uuid.uuid4(), one.token, osk.user_id, at(6)), now=at(6))
    work = fields_of(fact(task(order, "rough-spoke"), osk, made=0, minutes=None))
    for begun, done, made in ((7, 12, 0), (13, 17, 117)):
        (one,) = fact(task(order, "rough-spoke"), osk, made=made).yields
        moments = {"started_at": at(4, begun), "done_at": at(4, done), "seconds": (done - begun) * 3600}
        record(Fact(**work | moments | {"token": uuid.uuid4(), "yields": (one,)}), now=at(4, done))  # type: ignore[arg-type]
    pass_stretches(
        Stretch.objects.filter(passed=None, cancels_token=None).values_list("pk", flat=True), by=wren.user, at=at(6)
    )
    pence, words = said(draft(shop, now=at(7)))
    assert (pence, "117 pieces were told together at 17.00 of 6 March" in words) == (40_500 + 40_500 // 18, True)


def test_no_day_is_under_two_agreements_and_what_is_replaced_is_marked(
    paid_shop: Shop, owner: Client, osk: Hand, wren: Hand
) -> None:
    path, april, may = f"/settings/rates/overtime/{osk.pk}/", date(2026, 4, 6), date(2026, 5, 4)
    told = {"agreed_on": MONDAY, "by": wren.user, "at": at(0)}
    record_overtime(osk, begins_on=MONDAY, ends_on=None, **told)
    for begins, ends in ((april, None), (date(2026, 2, 27), MONDAY)):
        with pytest.raises(AgreementRefused, match="from 2 March 2026 without an end covers some of these days"):
            record_overtime(osk, begins_on=begins, ends_on=ends, **told | {"agreed_on": date(2026, 2, 27)})
    # Ended on a Sunday it makes room for the next, and may end earlier, but not later again.
    record_overtime(osk, begins_on=MONDAY, ends_on=date(2026, 4, 5), **told)
    record_overtime(osk, begins_on=april, ends_on=may, **told)
    record_overtime(osk, begins_on=MONDAY, ends_on=date(2026, 3, 29), **told)
    with pytest.raises(AgreementRefused, match="from 6 April 2026 until 4 May 2026 covers"):
        record_overtime(osk, begins_on=MONDAY, ends_on=april, **told)
    page = text_of(owner.get(path))
    assert page.count("Replaced by a later entry.") == 2
    assert "From 2 March 2026 until 29 March 2026 Agreed on" in page
    # The hand sees what stands, and nothing that was replaced.
    bench = Client()
    bench.force_login(osk.user)
    own = text_of(bench.get("/bench/pay/told/"))
    assert ("From 6 April 2026 until 4 May 2026" in own, own.count("until")) == (True, 2)


def test_rests_are_work_there_whatever_the_shop_pays_elsewhere(paid_shop: Shop, owner: Client, osk: Hand) -> None:
    """29 CFR 785.18 and 785.19: twenty minutes count, thirty free of all duty do not."""
    for n, (came, minutes) in enumerate(((8, 20), (8, 30))):
        for kind, hour in (("came", came), ("break", 10), ("back", 10 + minutes / 60), ("went", 12)):
            keep(Told(uuid.uuid4(), osk.user_id, kind, at(n, hour)), paid_shop, now=at(n, 12))
    hours = []
    for rules in ("us", "plain"):
        Shop.objects.update(pay_rules=rules, pays_short_breaks=False, currency="USD")
        (sheet,) = draft(Shop.objects.get(), now=at(7)).sheets
        hours.append([one.seconds for one in sheet.reckoned.days])
        assert f"Breaks {'under half an hour are paid' if rules == 'us' else 'are not paid'}." in text_of(
            owner.get("/pay/hours/?first=2026-03-02&last=2026-03-08")
        )
    assert hours == [[4 * 3600, 3.5 * 3600], [4 * 3600 - 1200, 3.5 * 3600]]
