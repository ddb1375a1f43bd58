"""The name of a hand who left: it stands as long as the records must, and then goes whole, with no figure touched."""

import re
import uuid
from datetime import UTC, date, datetime, timedelta
from html import unescape

import pytest
from django.apps import apps
from django.http import HttpResponse
from django.test import Client
from django.urls import reverse

from jobs.models import Order
from shop.attendance import Told, keep
from shop.leavers import leavers, named_leaver, replace_by_number
from shop.models import (
    Attendance,
    AuditLine,
    Hand,
    OvertimeAgreement,
    PaySheet,
    PayTerms,
    Rate,
    RulesBefore,
    Shop,
    SignInTry,
)
from shop.name_places import Found, where_people_wrote_it
from shop.name_words import pattern_of
from shop.names_had import names_of
from shop.own_settings import keep_shop
from shop.passing import pass_stretches
from shop.pay.retention import Record
from shop.pay_reckoned import Period, Settings, reckon_period
from shop.pay_terms import add_bonus
from shop.people import PersonRefused, add_hand, edit_hand, enrol_device, set_left, set_password
from shop.pins import set_pin
from shop.records_kept import Keeping, oldest_records
from shop.stores.actions import Entry, Much, buy
from shop.throttle import count_try
from tests.factories import MaterialFactory, fact, task
from tests.shop.benching import Wall, text_of
from tests.shop.test_pay_runs import MONDAY, at, close, paid_shop, there, week
from timing.models import Stretch
from timing.record import record

# Fixtures, which are found by their names here.
__all__ = ["paid_shop", "week"]

LAW = "National Minimum Wage Regulations 2015, regulation 59"
# Left in the week to 15 March 2026, so that the pay period after it ends on the 22nd: our own sum from that rule.
LAST_DAY = datetime(2032, 3, 21, 12, tzinfo=UTC)
OF_OSK = re.compile(r"(?<![a-z])Osk(ar Penn)?(?![a-z])")


@pytest.fixture
def wall(monkeypatch: pytest.MonkeyPatch) -> Wall:
    return Wall(monkeypatch)


@pytest.fixture
def left(week: Shop, wall: Wall, osk: Hand, wren: Hand, order: Order) -> Hand:
    """Osk, who was then called Oskar Penn, was paid a week under Britain's rules, and left. Much was written of him."""
    Shop.objects.update(pay_rules="gb", smith_name="Bram, or Oskar Penn")
    set_pin(osk, "4071", by=wren.user)
    enrol_device(name="Osk's phone", by=wren.user, at=at(1))
    edit_hand(osk, name="Oskar Penn", role="hand", trade="painter", apprentice=False, by=wren.user)
    set_password(osk, "a long wooden gate", by=wren.user)
    told = {"what": "Fair, with Oskar Penn’s aunt", "amount_pence": 2500, "on": MONDAY, "by": wren.user, "at": at(1)}
    add_bonus(token=uuid.uuid4(), hand=osk, **told)  # type: ignore[arg-type]
    keep(Told(uuid.uuid4(), osk.user_id, "came", at(2, 8), note="the dentist"), Shop.objects.get(), now=at(2, 8))
    keep(Told(uuid.uuid4(), osk.user_id, "went", at(2, 9)), Shop.objects.get(), now=at(2, 9))
    helped = fact(task(order, "rough-spoke"), wren, minutes=None, note="Oskar Penn held it", done_at=at(2, 12))
    record(helped, now=at(2, 12))
    Order.objects.update(note="Oskar Penn knows the way")
    bill = Entry(uuid.uuid4(), MONDAY, wren.user, at(2))
    buy(Much(MaterialFactory.create(), 1_000_000), bill, paid_pence=900, supplier="Oskar Penn’s uncle")
    close(Shop.objects.get(), wren, at(7))
    set_left(osk, date(2026, 3, 14), by=wren.user)
    return Hand.objects.get(pk=osk.pk)


def choose(wren: Hand, rules: str) -> None:
    """As the page of pay's settings does."""
    shop = Shop.objects.get()
    shop.pay_rules = rules
    keep_shop(shop, {"pay_rules": "Rules that are checked"}, by=wren.user)


def found_of(hand: Hand, *, today: date = date(2040, 1, 1)) -> list[Found]:
    return where_people_wrote_it(named_leaver(hand, Shop.objects.get(), today=today))


def ticks_of(found: list[Found], *places: str) -> list[str]:
    """Of what surely means the hand, the ticks of some places, or of all."""
    sure = [one for one in found if one.how == "sure" and (not places or one.place.key in places)]
    return [tick for one in sure for tick in one.ticks]


def sent_from(page: HttpResponse) -> dict[str, object]:
    """The form of a page as a browser sends it once the one tick is set."""
    ticked = re.findall(r'name="texts" value="(\w+)" checked', page.text)
    (seen,) = re.findall(r'name="seen" value="(\w*)"', page.text) or [""]
    return {"sure": "on", "texts": ticked, "seen": seen}


def sign_in(wren: Hand, wall: Wall, now: datetime) -> Client:
    wall.now = now
    client = Client()
    client.force_login(wren.user)
    return client


def whole() -> dict[str, list[str]]:
    """Every row of every table, but the sessions and what a sign-in leaves."""
    rooms = [model for model in apps.get_models() if model._meta.app_label in ("jobs", "timing", "shop", "auth")]
    return {model.__name__: [str(row) for row in model._default_manager.order_by("pk").values()] for model in rooms}


def figures() -> object:
    """What was counted, timed and paid, and what the closed week comes to, reckoned anew."""
    shop = Shop.objects.get()
    period = Period(MONDAY, MONDAY + timedelta(days=6), Settings.of(shop))
    sheets = [(row.own_pence, row.gross_pence, row.told["days"]) for row in PaySheet.objects.all()]
    stretches = list(Stretch.objects.values("pk", "hand", "seconds", "done_at", "content_hash", "tallies__made"))
    touches = list(Attendance.objects.values("pk", "hand", "kind", "done_at"))
    earned = {pk: one.pence for pk, one in reckon_period(period, shop, now=at(7)).by_hand.items()}
    assert earned
    return sheets, stretches, touches, earned


def test_before_its_day_the_name_stays_and_nothing_is_half_done(left: Hand, wren: Hand, wall: Wall) -> None:
    owner, path = sign_in(wren, wall, LAST_DAY), reverse("shop:records-hand", args=[left.pk])
    said = f"must be kept with the name until 21 March 2032 ({LAW}): from 22 March 2032 on it may be replaced."
    page = owner.get(path)
    assert said in text_of(page)
    assert "Replace the name for good" not in text_of(page)
    before = whole()
    for typed in ({}, {"sure": "on", "texts": ticks_of(found_of(left)), "seen": "long ago"}):
        answer = owner.post(path, typed)
        assert answer.status_code == 422
        assert said in text_of(answer)
    set_left(left, None)
    answer = owner.post(path, {"sure": "on"})
    assert answer.status_code == 422
    assert "is at work here: only the name of a hand who left" in text_of(answer)
    set_left(left, date(2026, 3, 14))
    changed = {name for name, rows in whole().items() if rows != before[name]}
    assert changed <= {"AuditLine", "User"}  # of leaving and coming back, and of signing in


def test_then_it_goes_whole_and_every_figure_stays(left: Hand, wren: Hand, wall: Wall) -> None:
    owner = sign_in(wren, wall, LAST_DAY + timedelta(days=1))
    path, number, was = reverse("shop:records-hand", args=[left.pk]), f"Hand {left.pk}", figures()
    page = owner.get(path)
    for after in (f"{number} knows the way", f"Fair, with {number}’s aunt", f"{number}&#x27;s phone", f"or {number}"):
        assert unescape(after) in unescape(page.text)
    assert owner.post(path, {}).status_code == 422
    for account in ("name oskar penn", f"hand {left.pk} {left.user.password}"):
        count_try(account, "192.0.2.1", at(20))
    sent = sent_from(page)
    found = found_of(left, today=LAST_DAY.date() + timedelta(days=1))
    assert {one.place.key for one in found} == {"work", "bonuses", "orders", "money", "devices", "lines"}
    assert sorted(sent["texts"]) == sorted(ticks_of(found))  # type: ignore[call-overload]
    assert owner.post(path, sent).status_code == 302
    assert {name: rows for name, rows in whole().items() if OF_OSK.search(str(rows))} == {}
    assert figures() == was
    line = AuditLine.objects.newest_first()[0]
    assert (line.what, line.by) == (number, wren.user)
    assert line.after == "the name was replaced by this number; it had to stand until 21 March 2032"
    hand = Hand.objects.select_related("user").get(pk=left.pk)
    assert (hand.name, hand.user.username, hand.pin_hash, hand.user.has_usable_password()) == (
        number,
        number,
        "",
        False,
    )
    assert not Attendance.objects.exclude(note="").exists()
    # Of four rows of wrong passwords those of one address are left, whose key names nobody.
    assert SignInTry.objects.count() == 2
    count = AuditLine.objects.count()
    assert owner.post(path, sent).status_code == 302  # sent twice it is done once
    assert AuditLine.objects.count() == count
    # A number is no one: there is nothing to set, and nobody can be put back.
    assert owner.post(reverse("shop:hand-left", args=[left.pk]), {"back": "1"}).status_code == 404
    again = owner.post(reverse("shop:hand", args=[left.pk]), {"name": "Osk", "role": "hand", "trade": "bench"})
    assert again.status_code == 422
    assert "a number for good" in text_of(again)
    sheet = PaySheet.objects.get(hand=left.user_id)
    assert f"{number}: £" in text_of(owner.get(f"/pay/sheets/{sheet.pk}/"))


def test_what_is_not_ticked_stays_as_people_wrote_it(left: Hand, wren: Hand, wall: Wall) -> None:
    now, shop = LAST_DAY + timedelta(days=1), Shop.objects.get()
    replace_by_number(left, texts=ticks_of(found_of(left), "work"), at=now, shop=shop, by=wren.user)
    assert Order.objects.get().note == "Oskar Penn knows the way"
    assert f"Hand {left.pk} held it" in Stretch.objects.values_list("note", flat=True)


def test_it_is_done_whole_or_not_at_all(left: Hand, wren: Hand, wall: Wall, monkeypatch: pytest.MonkeyPatch) -> None:
    before, now = whole(), LAST_DAY + timedelta(days=1)
    told = {"texts": ticks_of(found_of(left)), "at": now, "shop": Shop.objects.get(), "by": wren.user}

    def power_cut(*args: object, **others: object) -> None:
        raise OSError("the power went")

    with monkeypatch.context() as cut:
        cut.setattr("shop.leavers.note_change", power_cut)
        with pytest.raises(OSError, match="the power went"):
            replace_by_number(left, **told)  # type: ignore[arg-type]
    assert whole() == before
    add_hand(name=f"hand {left.pk}", role="hand", trade="bench", apprentice=False)
    with pytest.raises(PersonRefused, match="Another hand is called"):
        replace_by_number(left, **told)  # type: ignore[arg-type]


def test_rules_that_were_changed_since_are_not_given_up(left: Hand) -> None:
    """The run was closed by Britain's rules: that the shop chose others later makes its term no shorter."""
    Shop.objects.update(pay_rules="plain", records_years=1)
    (leaver,) = leavers(Shop.objects.get())
    assert (leaver.kept.until, leaver.kept.source) == (date(2032, 3, 14), LAW)
    Shop.objects.update(records_years=30)
    (leaver,) = leavers(Shop.objects.get())
    assert (leaver.kept.until, leaver.kept.source) == (date(2056, 3, 13), "the shop’s own rule")


def test_every_rules_that_a_record_was_made_under_bind_it(week: Shop, wren: Hand, osk: Hand, order: Order) -> None:
    """A week closed by Britain's rules, the next by none: the name stands in both, and as long as the longer."""
    Shop.objects.update(pay_rules="gb")
    close(Shop.objects.get(), wren, at(7))
    Shop.objects.update(pay_rules="plain", records_years=1)
    there(osk, week, 7, 8, 12)
    close(Shop.objects.get(), wren, at(14))
    set_left(osk, date(2026, 3, 10), by=wren.user)
    (leaver,) = leavers(Shop.objects.get())
    # The week after the first run's ends on 15 March 2026: our own sum from regulation 59.
    assert (leaver.kept.until, leaver.kept.source) == (date(2032, 3, 14), LAW)


def test_rules_given_up_bind_what_they_had_bound_before_it_was_closed(
    week: Shop, wren: Hand, osk: Hand, wall: Wall
) -> None:
    choose(wren, "gb")
    wall.now = at(5)
    choose(wren, "plain")
    assert [(row.rules, row.last_on) for row in RulesBefore.objects.all()] == [
        ("plain", at(0).date()),
        ("gb", at(5).date()),
    ]
    Shop.objects.update(records_years=1)
    shop, now = Shop.objects.get(), datetime(2027, 6, 1, tzinfo=UTC)
    keeping = Keeping.of(shop)
    # Osk's last day, Tuesday 3 March, is in the week in which the rules were given up; the week after it is not.
    assert keeping.until(Record.PIECES, date(2026, 3, 3)).until == date(2032, 3, 14)
    assert keeping.until(Record.PIECES, date(2026, 3, 9)).until == date(2027, 3, 8)
    set_left(osk, date(2026, 3, 7), by=wren.user)
    RulesBefore.objects.all().update(last_on=date(2020, 2, 1))
    with pytest.raises(PersonRefused, match="Pay is not closed yet for all days of Osk, the last of them 3 March 2026"):
        replace_by_number(osk, texts=[], at=now, shop=shop, by=wren.user)
    close(shop, wren, at(7))
    there(osk, shop, 2, 8, 12, now=at(8))
    late = datetime(2028, 6, 1, tzinfo=UTC)
    with pytest.raises(PersonRefused, match="Late facts of 2 to 8 March 2026 change the pay of Osk"):
        replace_by_number(osk, texts=[], at=late, shop=shop, by=wren.user)
    close(shop, wren, at(14))
    assert replace_by_number(osk, texts=[], at=late, shop=shop, by=wren.user) == f"Hand {osk.pk}"


def test_what_was_told_late_counts_from_when_it_was_told(week: Shop, wren: Hand, osk: Hand, order: Order) -> None:
    """29 CFR 516.5 and 516.6 count from the last entry, which may be years after the day."""
    now = datetime(2029, 3, 2, 12, tzinfo=UTC)
    set_left(osk, date(2026, 3, 7), by=wren.user)

    def until() -> date:
        (leaver,) = leavers(Shop.objects.get())
        return leaver.kept.until

    assert until() == date(2032, 3, 6)
    pass_stretches(list(Stretch.objects.values_list("pk", flat=True)), by=wren.user, at=now)
    assert until() == date(2035, 3, 1)
    keep(Told(uuid.uuid4(), osk.user_id, "came", at(3, 8)), week, now=now + timedelta(days=1))
    assert until() == date(2035, 3, 2)
    late = fact(task(order, "rough-spoke"), osk, minutes=None, seconds=3600, done_at=at(3))
    record(late, now=now + timedelta(days=2))
    assert until() == date(2035, 3, 3)


def test_what_a_hand_agreed_to_is_kept_till_years_after_leaving(
    week: Shop, wren: Hand, osk: Hand, order: Order
) -> None:
    """29 CFR 516.5: three years from the last day on which it stood."""
    Shop.objects.update(pay_rules="us", records_years=3)
    close(Shop.objects.get(), wren, at(7))
    told = {"recorded_at": at(1), "recorded_by": wren.user}
    OvertimeAgreement.objects.create(hand=osk.user, agreed_on=MONDAY, begins_on=MONDAY, **told)
    set_left(osk, date(2027, 3, 10), by=wren.user)
    Rate.objects.filter(hand=osk.user).update(hand=wren.user)
    PayTerms.objects.filter(hand=osk.user).update(hand=wren.user)
    (leaver,) = leavers(Shop.objects.get())
    assert (leaver.kept.until, leaver.kept.source) == (date(2030, 3, 9), "29 CFR 516.5")
    keeping = Keeping.of(Shop.objects.get())
    oldest = {one.record: one for one in oldest_records(Shop.objects.get(), keeping)}[Record.AGREEMENTS]
    assert (oldest.on, oldest.kept) == (MONDAY, leaver.kept)


def test_what_tells_of_another_who_had_the_same_name_is_anothers(shop: Shop, wren: Hand, order: Order) -> None:
    told = {"role": "hand", "trade": "bench", "apprentice": False, "by": wren.user}
    first = add_hand(name="Tom", **told)
    edit_hand(first, name="Tom Senior", **told)
    second = add_hand(name="Tom", **told)
    set_pin(second, "4071", by=wren.user)
    edit_hand(second, name="Thomas", **told)
    edit_hand(second, name="Tom", **told)
    assert [called.name for called in names_of(first)] == ["Tom Senior", "Tom"]
    assert [called.name for called in names_of(second)] == ["Tom", "Thomas", "Tom"]
    # What was written of the first, under whatever name, is not the second's.
    third = add_hand(name="Tom Junior", **told)
    edit_hand(third, name="Ned", **told)
    Order.objects.update(note="Tom Junior and Thomas", carriage="Tom’s gig")
    found = [
        (one.how.value, [text.after for text in one.texts]) for one in found_of(second) if one.place.key == "orders"
    ]
    number = f"Hand {second.pk}"
    assert found == [("sure", [f"Tom Junior and {number}"]), ("nearly", [f"{number}’s gig"])]
    set_left(second, date(2010, 1, 1), by=wren.user)
    replace_by_number(second, texts=ticks_of(found_of(second)), at=at(0), shop=shop, by=wren.user)
    lines = AuditLine.objects.order_by("id").values_list("what", "before", "after")
    assert lines[0] == ("Tom", "", "taken on: hand, bench")
    assert lines[1] == ("Tom", "name: Tom", "name: Tom Senior")
    assert not re.search(r"Thomas|Tom(?! Senior| Junior)", str(list(lines[2:])))


@pytest.mark.parametrize(
    ("text", "after"),
    [
        ("May: bonus, Fair, 2 May 2026", "Hand 9: bonus, Fair, 2 May 2026"),
        ("May's hub, by May", "Hand 9's hub, by Hand 9"),
        ("Mayfield, May-Ann, may, O'May", "Mayfield, May-Ann, may, O'May"),
    ],
)
def test_a_name_is_a_word_by_itself_and_no_month(text: str, after: str) -> None:
    assert pattern_of("May").sub("Hand 9", text) == after


def test_the_page_of_records_says_what_how_long_and_by_what(left: Hand, wren: Hand, wall: Wall) -> None:
    owner = sign_in(wren, wall, at(30))
    page = text_of(owner.get("/settings/records/"))
    assert f"6 years from the day on which the pay period after it ends: {LAW}." in page
    assert "Pay runs and their sheets 2 March 2026 14 March 2032" in page
    assert "Oskar Penn 14 March 2026 14 March 2026 21 March 2032" in page
    assert "ask your adviser" in page
    refused = owner.post("/settings/records/", {"years": "5"})
    assert refused.status_code == 422
    assert "Records are kept for 6 years at least under “Great Britain" in text_of(refused)
    assert owner.post("/settings/records/", {"years": "10"}).status_code == 302
    assert "The shop’s own rule is 10 years." in text_of(owner.get("/settings/records/"))
    # Ten years from the day of leaving end later than Britain's six.
    assert "13 March 2036" in text_of(owner.get("/settings/records/"))
    assert "What was bought for the rack, and counts of it 2 March 2026 3 March 2036" in text_of(
        owner.get("/settings/records/")
    )
    late = text_of(sign_in(wren, wall, at(366 * 11)).get("/settings/records/"))
    assert "They name nobody but suppliers, and stay." in late
    assert "The oldest are past their term" in late
    assert "Replace the name" in late
