"""Pay runs: a week by hand to the penny, closed once; what comes late is paid by the next run, once, under its name."""

import csv
import io
import random
import re
import uuid
from datetime import UTC, date, datetime, timedelta

import pytest
from django.test import Client

from jobs.models import Order
from shop.attendance import Told, keep, take_back
from shop.models import Attendance, AuditLine, Bonus, Hand, PayAdjustment, PayRun, PaySheet, PayTerms, Rate, Shop
from shop.passing import pass_stretches
from shop.pay_facts import Scheme, waiting_to_be_passed
from shop.pay_reckoned import Period, Settings, reckon_period
from shop.pay_runs import RunRefused, close_run, draft
from shop.pins import set_pin
from tests.factories import fact, take_away, task
from tests.papers_read import text_of as paper_text
from tests.shop.benching import Bench, Wall, text_of
from timing.facts import Cancel
from timing.models import Stretch
from timing.record import cancel, record

MONDAY = date(2026, 3, 2)
FEBRUARY = {"from_on": date(2026, 2, 1), "recorded_at": datetime(2026, 2, 1, tzinfo=UTC)}


def at(day: int, hour: float = 9) -> datetime:
    """An hour of the day so many days after Monday 2 March 2026."""
    return datetime(2026, 3, 2, tzinfo=UTC) + timedelta(days=day, hours=hour)


@pytest.fixture
def paid_shop(osk: Hand, wren: Hand, order: Order) -> Shop:
    """Osk: 62.5p a spoke roughed out, £14 for other hours, £12.50 an hour at pieces at the least."""
    Shop.objects.update(pay_first_on=MONDAY)
    PayTerms.objects.create(hand=osk.user, by_pieces=True, **FEBRUARY)
    rough = task(order, "rough-spoke").operation
    Rate.objects.create(kind="piece", operation=rough, amount_millipence=62_500, **FEBRUARY)
    for kind, amount in (("wage", 1_400_000), ("guarantee", 1_250_000)):
        Rate.objects.create(kind=kind, hand=osk.user, amount_millipence=amount, **FEBRUARY)
    return Shop.objects.get()


def there(hand: Hand, shop: Shop, day: int, came: float, went: float, *, now: datetime | None = None) -> None:
    for kind, hour in (("came", came), ("went", went)):
        keep(Told(uuid.uuid4(), hand.user_id, kind, at(day, hour)), shop, now=now or at(day, hour))


def make(
    order: Order, hand: Hand, day: int, made: int, hours: float, *, passed: bool = True, done: float = 15
) -> Stretch:
    told = fact(task(order, "rough-spoke"), hand, made=made, minutes=None, seconds=round(hours * 3600))
    stretch = record(told.__class__(**{**fields_of(told), "done_at": at(day, done)}), now=at(day, done)).stretch
    assert stretch is not None
    if passed:
        pass_stretches([stretch.pk], by=hand.user, at=at(day, done + 1))
    return stretch


def fields_of(told: object) -> dict[str, object]:
    return {name: getattr(told, name) for name in told.__dataclass_fields__}  # type: ignore[attr-defined]


def close(shop: Shop, by: Hand, now: datetime, **changes: object) -> PayRun:
    told = {"token": uuid.uuid4(), "digest": draft(shop, now=now).digest} | changes
    return close_run(**told, shop=shop, by=by.user, now=now)  # type: ignore[arg-type]


@pytest.fixture
def week(paid_shop: Shop, osk: Hand, order: Order) -> Shop:
    """Monday 8 h, 6 of them at 100 spokes; Tuesday 8 h 30 with 5 h at 100 more, passed but for 20 of them."""
    there(osk, paid_shop, 0, 8, 16)
    there(osk, paid_shop, 1, 8, 16.5)
    make(order, osk, 0, 100, 6)
    make(order, osk, 1, 80, 4)
    make(order, osk, 1, 20, 1, passed=False)
    return paid_shop


# 180 × 62.5p; (2 h + 3.5 h) × £14; 11 h × £12.50 less the pieces: £112.50 + £77.00 + £25.00.
WEEK = 11_250 + 7_700 + 2_500


def test_a_week_to_the_penny_is_closed_once_and_stands(week: Shop, owner: Client, osk: Hand, order: Order) -> None:
    now = at(7)
    there(Hand.objects.get(name="Wren"), week, 0, 8, 12)
    assert draft(week, now=now).without_wage == ("Wren",)
    (sheet,) = draft(week, now=now).sheets
    assert (sheet.hand, sheet.gross_pence) == ("Osk", WEEK)
    assert "20 wait to be passed" in " ".join(sheet.reckoned.said)
    token = uuid.uuid4()
    seen = draft(week, now=now).digest
    first = close(week, osk, now, token=token)
    assert close(week, osk, now, token=token) == first
    with pytest.raises(RunRefused, match="another closed it"):
        close(week, osk, at(20), digest=seen)
    row = PaySheet.objects.get()
    assert (PayRun.objects.count(), row.own_pence, row.gross_pence) == (1, WEEK, WEEK)
    assert AuditLine.objects.get(kind="pay").after == "closed: £214.50 for 1 hand"
    Rate.objects.create(kind="wage", hand=osk.user, amount_millipence=9_000_000, **FEBRUARY)
    page = text_of(owner.get(f"/pay/sheets/{row.pk}/"))
    assert "Osk: £214.50 Pieces £112.50, hours £77.00, guarantee £25.00." in page
    assert "No legal check" in page
    assert "£214.50 for 1 hand, before tax and stoppages" in text_of(owner.get(f"/pay/runs/{first.pk}/"))


def test_what_was_not_seen_is_not_closed(week: Shop, osk: Hand, order: Order) -> None:
    seen = draft(week, now=at(7)).digest
    pass_stretches(Stretch.objects.values_list("pk", flat=True), by=osk.user, at=at(7))
    with pytest.raises(RunRefused, match="look at the sums again"):
        close(week, osk, at(7), digest=seen)
    with pytest.raises(RunRefused, match="The period ends on 8 March 2026"):
        close(week, osk, at(6))
    assert not PayRun.objects.exists()


def test_late_facts_are_paid_by_the_next_run_once_and_named(week: Shop, osk: Hand, order: Order) -> None:
    close(week, osk, at(7))
    there(osk, week, 2, 8, 10, now=at(8))  # two hours on Wednesday, told on the Tuesday after
    (late,) = draft(week, now=at(14)).sheets
    assert [(one.name, one.pence) for one in late.late] == [("Late facts of 2 to 8 March 2026", 2800)]
    close(week, osk, at(14))
    close(week, osk, at(21))
    assert list(PaySheet.objects.values_list("gross_pence", flat=True)) == [WEEK, 2800]
    # The third week, in which nobody was there, is closed all the same: the next follows it.
    assert [run.sheets.count() for run in PayRun.objects.all()] == [1, 1, 0]
    came = Attendance.objects.get(done_on=MONDAY + timedelta(2), kind="came")
    take_back(came, token=uuid.uuid4(), by_id=osk.user_id, now=at(22))
    close(week, osk, at(28))
    assert list(PayAdjustment.objects.order_by("id").values_list("pence", flat=True)) == [2800, -2800, 2800]


def give_bonus(hand: Hand, pence: int, *, now: datetime) -> None:
    Bonus.objects.create(
        hand=hand.user, what="Fair", amount_pence=pence, on=MONDAY, recorded_by=hand.user, token=uuid.uuid4(),
        recorded_at=now,
    )  # fmt: skip


def test_every_kind_of_late_fact_is_noticed_by_itself(week: Shop, osk: Hand, order: Order) -> None:
    take_away(Rate.objects.filter(kind="guarantee"))
    close(week, osk, at(7))
    user, told = osk.user, {"recorded_at": at(8)}
    waiting = Stretch.objects.get(passed=None)
    rough = task(order, "rough-spoke").operation
    acts = [
        (1250, lambda: pass_stretches([waiting.pk], by=user, at=at(8))),
        (1400, lambda: there(osk, week, 4, 8, 9, now=at(8))),
        (300, lambda: give_bonus(osk, 300, now=at(8))),
        (650, lambda: Rate.objects.create(kind="wage", hand=user, amount_millipence=1_500_000, from_on=MONDAY, **told)),
        (
            500,
            lambda: Rate.objects.create(
                kind="piece", operation=rough, amount_millipence=65_000, from_on=MONDAY, **told
            ),
        ),
        # Twenty spokes fewer, and the hour at them is an hour at the wage.
        (1500 - 1300, lambda: cancel(Cancel(uuid.uuid4(), waiting.token, osk.user_id, at(8)), now=at(8))),
        # By the hour from Monday on: 17.5 h at £15 and the bonus, instead of 180 × 65p, 7.5 h at £15 and the bonus.
        (1500 * 10 - 180 * 65, lambda: PayTerms.objects.create(hand=user, by_pieces=False, from_on=MONDAY, **told)),
    ]
    for turn, (pence, act) in enumerate(acts, start=2):
        act()
        (sheet,) = draft(week, now=at(7 * turn)).sheets
        assert (turn, [one.pence for one in sheet.late]) == (turn, [pence])
        close(week, osk, at(7 * turn))


def test_the_pages_and_the_file(week: Shop, owner: Client, osk: Hand, wall: Wall, poppler: None) -> None:
    there(osk, week, 3, 8, 10)
    Bonus.objects.create(
        hand=osk.user, what="=Hot days", amount_pence=1001, on=MONDAY, recorded_at=at(0), recorded_by=osk.user,
        token=uuid.uuid4(),
    )  # fmt: skip
    page = owner.get("/pay/runs/").content.decode()
    form = {name: page.partition(f'name="{name}" value="')[2].partition('"')[0] for name in ("token", "digest")}
    answer = [owner.post("/pay/runs/close/", form).status_code for _ in range(2)]
    assert answer == [302, 302]
    run, sheet = PayRun.objects.get(), PaySheet.objects.get()
    stale = owner.post("/pay/runs/close/", form | {"token": str(uuid.uuid4())})
    assert (stale.status_code, "The period ends on 15 March 2026" in text_of(stale)) == (409, True)
    file = b"".join(owner.get(f"/pay/runs/{run.pk}/file.csv"))  # type: ignore[call-overload]
    rows = list(csv.DictReader(io.StringIO(file.decode())))
    assert sum(int(row["amount_pence"]) for row in rows) == sheet.gross_pence == WEEK + 2800 + 1001
    assert [row["what"] for row in rows if row["kind"] == "bonus"] == ["'=Hot days, 2 March 2026"]
    hours = next(row for row in rows if row["kind"] == "hours")
    assert (hours["quantity"], hours["unit"], hours["rate_pence"], hours["amount_pence"]) == (
        *("7.5", "hours", "1400", "10500"),
    )
    told = paper_text(owner.get(f"/pay/sheets/{sheet.pk}/a4/").content)
    assert all(words in told for words in ("£252.51", "Rough out spoke", "180", "7 h 30", "no legal advice"))


@pytest.fixture
def wall(monkeypatch: pytest.MonkeyPatch) -> Wall:
    wall = Wall(monkeypatch)
    wall.now = at(8)
    return wall


def test_a_hand_sees_own_pay_and_no_longer_mends_what_is_paid(
    week: Shop, wall: Wall, osk: Hand, wren: Hand, order: Order
) -> None:
    set_pin(osk, "4071")
    bench = Bench(osk).come_in("4071")
    stretch = Stretch.objects.earliest("id")
    assert bench.client.get(f"/bench/mine/{stretch.token}/").status_code == 200
    bench.client.post("/bench/pay/", {"pin": "4071"})
    assert "2 to 8 March 2026, so far £214.50" in text_of(bench.client.get("/bench/pay/"))
    close(week, wren, wall.now)
    sheet = PaySheet.objects.get()
    assert "£214.50 Pieces £112.50" in text_of(bench.client.get(f"/bench/pay/{sheet.pk}/"))
    set_pin(wren, "1188")
    other = Bench(wren, "bench 3").come_in("1188").client
    assert other.post(f"/bench/pay/{sheet.pk}/", {"pin": "1188"}).status_code == 302
    assert other.get(f"/bench/pay/{sheet.pk}/").status_code == 404
    assert bench.client.get(f"/bench/mine/{stretch.token}/").status_code == 302
    assert "Dispute" in text_of(bench.client.get("/bench/mine/"))
    undo = {"token": uuid.uuid4(), "cancels": stretch.token}
    refused = bench.send(undo, "bench-undo")
    assert (refused.status_code, "paid already" in text_of(refused)) == (422, True)
    assert Stretch.objects.filter(cancels_token__isnull=False).count() == 0


def test_what_was_undone_before_the_closing_counts_however_late_it_comes(
    week: Shop, wall: Wall, osk: Hand, wren: Hand, order: Order
) -> None:
    take_away(Rate.objects.filter(kind="guarantee"))
    hundred, eighty = Stretch.objects.order_by("id")[:2]
    bench = Bench(osk).come_in()
    wall.now = at(2)
    sent, kept = (
        {"token": uuid.uuid4(), "cancels": stretch.token, "done_at": wall.now.isoformat()}
        for stretch in (hundred, eighty)
    )
    assert bench.send(sent, "bench-undo").status_code == 302
    wall.now = at(7)
    close(week, wren, wall.now)
    wall.now = at(7, 10)
    bench = Bench(osk, "bench 3").come_in()
    # The answer to the first was lost; the second waited on the device, without a network.
    for undo in (sent, kept, kept):
        assert bench.send(undo | {"sent_at": wall.now.isoformat()}, "bench-undo").status_code == 302
    assert Stretch.objects.filter(cancels_token__isnull=False).count() == 2
    # Eighty spokes fewer, and the four hours at them are hours at the wage.
    assert [one.pence for one in draft(week, now=at(14)).sheets[0].late] == [4 * 1400 - 5000]


def test_what_is_closed_and_entered_is_all_there_a_page_at_a_time(
    week: Shop, owner: Client, osk: Hand, monkeypatch: pytest.MonkeyPatch
) -> None:
    for module in ("pay_runs.MOST_RUNS", "bench_pay.MOST", "bonuses.MOST"):
        monkeypatch.setattr(f"shop.views.{module}", 2)
    for turn in range(1, 6):
        there(osk, week, 7 * turn - 7, 17, 18, now=at(7 * turn))
        close(week, osk, at(7 * turn))
        told = {"hand": osk.user, "amount_pence": 100, "recorded_by": osk.user, "recorded_at": at(0)}
        # Two of one day, entered after a later one: a page ends between them.
        Bonus.objects.create(what=f"no. {turn}", on=at(-(turn // 2)).date(), token=uuid.uuid4(), **told)
    hand = Client()
    hand.force_login(osk.user)
    closed = ["2 to 8 March", "9 to 15 March", "16 to 22 March", "23 to 29 March", "30 March to 5 April"]
    bonuses = ["no. 4", "no. 5", "no. 2", "no. 3", "no. 1"]
    for client, path, names in (
        *((owner, "/pay/runs/", closed), (hand, "/bench/pay/", closed), (owner, "/pay/bonuses/", bonuses)),
    ):
        shown, at_page = [], path
        while at_page:
            page = client.get(at_page).content.decode()
            lists = page.rpartition("<h2")[2]
            shown.append([name for name in reversed(names) if name in lists])
            older = re.search(r'href="([^"]*)" rel="next"', page)
            at_page = path + older[1] if older else ""
        newest_first = names[::-1]
        assert shown == [newest_first[:2], newest_first[2:4], newest_first[4:]], path


def test_words_about_paid_work_take_no_pay_back(
    week: Shop, owner: Client, wall: Wall, osk: Hand, wren: Hand, order: Order
) -> None:
    take_away(Rate.objects.filter(kind="guarantee"))
    close(week, wren, wall.now)
    disputed = {"token": str(uuid.uuid4()), "words": "Wren did some of them"}
    path = f"/bench/mine/{Stretch.objects.earliest('id').token}/dispute/"
    bench = Bench(osk).come_in().client
    assert [bench.post(path, disputed).status_code for _ in range(2)] == [302, 302]
    assert draft(week, now=at(14)).sheets == ()
    disputed_row = Stretch.objects.get(note__startswith="Disputed")
    answers = {"hand": osk.user_id, "on_day": "2", "on_month": "3", "on_year": "2026", "minutes": "6 h"}
    answers |= {"task": task(order, "rough-spoke").pk, "made": 100}
    for row, made, waits in ((disputed_row, 100, 20), (None, 90, 110)):
        row = row or Stretch.objects.latest("id")
        told = answers | {"token": str(uuid.uuid4()), "made": made, "note": "looked at"}
        assert owner.post(f"/day-book/{row.pk}/put-right/", told).status_code == 302
        assert sum(one.made for one in waiting_to_be_passed(Scheme.load({}), most=9).rows) == waits
    (sheet,) = draft(week, now=at(14)).sheets
    assert [one.pence for one in sheet.late] == [-6250]  # other pieces than were passed wait to be looked at


def test_pay_at_the_bench_is_shown_after_the_pin_alone(week: Shop, wall: Wall, osk: Hand, wren: Hand) -> None:
    close(week, wren, wall.now)
    pages = ["/bench/pay/", f"/bench/pay/{PaySheet.objects.get().pk}/"]
    tapped = Bench(osk).come_in().client
    for path in pages:
        for answer in (tapped.get(path), tapped.post(path, {"pin": ""})):
            assert ("£" in text_of(answer), "Ask an owner to give you a PIN" in text_of(answer)) == (False, True)
    set_pin(osk, "4071")
    bench = Bench(osk, "bench 3").come_in("4071").client
    for path in pages:  # the PIN that let the hand in is not enough: the tablet may lie open since
        assert "£" not in text_of(bench.get(path))
    assert [bench.post(pages[1], {"pin": "0000"}).status_code for _ in range(5)] == [422, 422, 422, 422, 429]
    held = bench.post(pages[1], {"pin": "4071"})
    assert (held.status_code, "the next is looked at after 09.00.30" in text_of(held)) == (429, True)
    wall.on(seconds=31)
    assert bench.post(pages[1], {"pin": "4071"})["Location"] == pages[1]
    assert all("£214.50" in text_of(bench.get(path)) for path in pages)
    wall.on(minutes=2)
    assert "£" not in text_of(bench.get(pages[1]))
    desk = Client()
    desk.force_login(osk.user)
    assert "£214.50" in text_of(desk.get(pages[1]))


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_all_that_is_paid_is_what_one_run_over_everything_would_pay(
    seed: int, paid_shop: Shop, osk: Hand, wren: Hand, order: Order
) -> None:
    """Facts of four weeks told in any order, before and after the runs; no guarantee, so that weeks only add up."""
    take_away(Rate.objects.filter(kind="guarantee"))
    # A penny a second and a piece: nothing is lost to rounding between one long period and four short ones.
    Rate.objects.filter(kind="wage").update(amount_millipence=3_600_000)
    Rate.objects.filter(kind="piece").update(amount_millipence=1_000)
    Rate.objects.create(kind="wage", hand=wren.user, amount_millipence=7_200_000, **FEBRUARY)
    chance = random.Random(seed)
    for turn in range(1, 6):
        for _ in range(6):
            _tell_something(chance, paid_shop, order, [osk, wren], now=at(7 * turn, 1))
        if turn < 5:
            close(paid_shop, wren, at(7 * turn, 2))
    close(paid_shop, wren, at(35, 2))
    close(paid_shop, wren, at(42, 2))
    whole = Period(MONDAY, MONDAY + timedelta(41), Settings.of(paid_shop))
    paid: dict[int, int] = {}
    for hand_id, gross in PaySheet.objects.values_list("hand_id", "gross_pence"):
        paid[hand_id] = paid.get(hand_id, 0) + gross
    still = PayAdjustment.objects.filter(of_run=PayRun.objects.last(), sheet__run=PayRun.objects.last())
    for hand_id, pence in still.values_list("sheet__hand_id", "pence"):
        paid[hand_id] -= pence
    owed = {pk: one.pence for pk, one in reckon_period(whole, paid_shop, now=at(42, 2)).by_hand.items()}
    assert {pk: pence for pk, pence in paid.items() if pence} == {pk: pence for pk, pence in owed.items() if pence}
    assert PayAdjustment.objects.exists()


def _tell_something(chance: random.Random, shop: Shop, order: Order, hands: list[Hand], *, now: datetime) -> None:
    """One fact of any day until now: hours, pieces, a passing, an undoing, a bonus, or a rate written down."""
    last = (now.date() - MONDAY).days - 1
    hand, day = chance.choice(hands), chance.randint(0, last)
    act = chance.choice(["there", "there", "make", "make", "pass", "undo", "bonus", "rate", "take back"])
    if act == "there":
        there(hand, shop, day, 8, 9 + chance.randint(1, 14), now=now)
    elif act == "make":
        make(order, hand, day, chance.randint(1, 9), chance.randint(1, 4), passed=chance.random() < 0.5)
    elif act == "pass":
        pass_stretches(Stretch.objects.filter(done_on=MONDAY + timedelta(day)).values_list("pk", flat=True),
                       by=hand.user, at=now)  # fmt: skip
    elif act == "undo" and (known := list(Stretch.objects.filter(cancels_token=None).order_by("id"))):
        stretch = chance.choice(known)
        cancel(Cancel(uuid.uuid4(), stretch.token, stretch.hand_id, now), now=now)
    elif act == "bonus":
        Bonus.objects.create(hand=hand.user, what="Fair", amount_pence=chance.randint(1, 999), recorded_by=hand.user,
                             on=MONDAY + timedelta(day), recorded_at=now, token=uuid.uuid4())  # fmt: skip
    elif act == "rate":
        Rate.objects.create(kind="wage", hand=hand.user, amount_millipence=3_600_000 * chance.randint(1, 4),
                            from_on=MONDAY + timedelta(day), recorded_at=now)  # fmt: skip
    elif row := Attendance.objects.filter(cancels_token=None).order_by("id").last():
        take_back(row, token=uuid.uuid4(), by_id=hand.user_id, now=now)
