"""Rated output work of Great Britain: which means and notices stand, the pages that write them down, and the sheet."""

import io
import json
import uuid
import zipfile
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from fractions import Fraction
from pathlib import Path

import pytest
from django.test import Client

from jobs.models import Order
from shop.agreeing import AgreementRefused, Made, Tried, record_mean
from shop.export import write_export
from shop.models import Hand, OutputMean, OutputNotice, PaySheet, PayTerms, Rate, Shop
from shop.pay.great_britain import OutputTried, Rated
from shop.pay.output_work import Mean, Notice, Standing, rated_on
from shop.pay.reckoning import as_json, from_json, reckon
from shop.pay.rules import RULES, Person
from shop.pay.sheet import Day, PieceWork
from shop.pay_runs import draft
from tests import plain_pay
from tests.factories import take_away, task
from tests.papers_read import text_of as paper_text
from tests.shop.benching import text_of
from tests.shop.test_pay_runs import MONDAY, at, close, make, paid_shop, there

__all__ = ["paid_shop"]

HOUR = 3600
MARCH = date(2026, 3, 2)
TEN, TWELVE = (OutputTried(Fraction(pieces), Fraction(1)) for pieces in (10, 12))
TESTED = Mean(date(2026, 1, 5), (TEN, TWELVE))
RATE = ((None, 62_500),)
GIVEN = Notice(date(2026, 2, 27), Fraction(11), RATE)


def test_the_newest_notice_has_to_tell_what_stands_on_the_first_day() -> None:
    """NMW Regulations 2015, regulation 41, and NMWM07070: given before the period, and anew where its terms change."""
    assert rated_on(MARCH, means=[TESTED], notices=[GIVEN], rates=RATE) == Rated(Fraction(11), GIVEN.given_on)
    for notices, why in (
        ([], "no written notice"),
        ([replace(GIVEN, given_on=MARCH)], "no written notice"),
        ([GIVEN, replace(GIVEN, given_on=date(2026, 2, 28), hourly=Fraction(12))], "tells another mean output"),
        ([replace(GIVEN, rates=((None, 60_000),))], "the notice of 27 February 2026 tells another piece rate"),
    ):
        told = rated_on(MARCH, means=[TESTED], notices=notices, rates=RATE)
        assert told is not None
        assert (told.notice_on, why in told.why_not) == (None, True), why
    # A new test that finds the same mean changes no terms; one with another does, and an end ends it.
    again, other = Mean(MARCH, (OutputTried(Fraction(22), Fraction(2)),)), Mean(MARCH, (TEN,))
    for mean, on in ((again, GIVEN.given_on), (other, None)):
        told = rated_on(MARCH, means=[TESTED, mean], notices=[GIVEN], rates=RATE)
        assert told is not None
        assert told.notice_on == on
    assert rated_on(MARCH, means=[TESTED, Mean(MARCH)], notices=[GIVEN], rates=RATE) is None
    assert rated_on(date(2026, 1, 4), means=[TESTED], notices=[GIVEN], rates=RATE) is None


def test_a_sheet_says_which_hours_count_and_why() -> None:
    """Regulation 37, NMWM08350, our own figures: 105 at 10 an hour, 3.5 hours of other work, £12.21 until April."""
    day = Day(MARCH, 13 * HOUR, 0, (PieceWork("Shave", 150_000, 105, round(9.5 * HOUR), operation_id=7),))
    known = Person(rated={7: Rated(Fraction(10), date(2026, 2, 27))}, hours_are_controlled=False)
    told = reckon([day], [], first=MARCH, rules=RULES["gb"], person=known)
    assert told.said == (
        "Shave, rated output work: 105 ÷ 10 an hour × 1.2 = 12.60 hours that count, whatever they took (9.50 hours). "
        "Notice of 27 February 2026.",
        "National Minimum Wage: 16.10 hours that count (12.60 of rated output work and 3.50 as worked) at £12.21 an "
        "hour; the pay was short of it, and is made up.",
    )
    # 19,658.1 pence: never under what the law asks.
    assert told.pence == 19_659
    for person, why in (
        (replace(known, hours_are_controlled=True), "since the shop sets or checks the hours."),
        (Person(rated={7: Rated(Fraction(10), None, "so")}, hours_are_controlled=False), "since so."),
    ):
        told = reckon([day], [], first=MARCH, rules=RULES["gb"], person=person)
        assert (told.said[0], told.pence) == (f"Shave: the 9.50 hours really worked count, {why}", 13 * 1221 + 0)


def test_who_worked_has_hours_whether_or_not_the_pieces_are_passed() -> None:
    """NMW Regulations 2015, regulation 43: 300 at 20 an hour count 18 hours, and passing them adds none."""
    known = Person(rated={7: Rated(Fraction(20), date(2026, 2, 27))}, hours_are_controlled=False)
    waiting = PieceWork("Shave", 62_500, 0, 15 * HOUR, waiting=300, operation_id=7)
    told = reckon([Day(MARCH, 15 * HOUR, 0, (waiting,))], [], first=MARCH, rules=RULES["gb"], person=known)
    assert (told.pence, "300 ÷ 20 an hour × 1.2 = 18.00 hours" in told.said[0]) == (18 * 1221, True)
    assert "300 of them wait to be passed." in told.said[0]
    passed = replace(waiting, units=300, waiting=0)
    told = reckon([Day(MARCH, 15 * HOUR, 0, (passed,))], [], first=MARCH, rules=RULES["gb"], person=known)
    assert (told.pence, [line.pence for line in told.lines]) == (18 * 1221, [18_750, 18 * 1221 - 18_750])
    assert from_json(as_json(told)) == told


TURNED = PieceWork("Turn", 1000, 10, 4 * HOUR, operation_id=8)


def test_hours_of_pieces_that_were_not_timed_count_once() -> None:
    """NMW Regulations 2015, regulations 37 and 43, our own figures: 20 an hour; an hour counts by one way only."""
    known = Person(rated={7: Rated(Fraction(20), date(2026, 2, 27))}, hours_are_controlled=False)

    def hours(there: int, *pieces: PieceWork, person: Person = known) -> str:
        told = reckon([Day(MARCH, there * HOUR, 0, pieces)], [], first=MARCH, rules=RULES["gb"], person=person)
        return told.said[-1].split(" at £")[0] + ": " + told.said[0]

    untimed = PieceWork("Shave", 1000, 160, operation_id=7, untimed=160)
    told = hours(8, untimed)
    assert "9.60 hours that count (9.60 of rated output work and 0.00 as worked)" in told
    assert "whatever they took. 160 of them were not timed: 8.00 hours, by the mean, are taken to be theirs" in told
    # Beside them half the day was timed at something else: no more than is left of the day can be theirs.
    assert "9.60 of rated output work and 4.00 as worked" in hours(8, replace(untimed, units=80, waiting=80), TURNED)
    assert "4.80 of rated output work and 4.00 as worked" in hours(8, replace(untimed, units=80, untimed=80))
    # Of 160, the 60 that were timed took two hours of their own.
    some = replace(untimed, seconds=2 * HOUR, untimed=100)
    assert "9.60 of rated output work and 1.00 as worked" in hours(8, some)
    assert "8.00 hours that count: Shave: the 0.00 hours really" in hours(8, untimed, person=Person(rated=known.rated))


def test_nobody_is_paid_a_part_of_a_penny_too_little() -> None:
    """National Minimum Wage Act 1998, s. 1: not less than it. Our own figures: 8 h 1 at £12.21 are 9,788.35 pence."""
    eight = 8 * HOUR + 60
    for wage, bonus, pence, line in (
        (1_221_000, 0, 9789, [65]),
        (1_221_000, 1, 9789, []),
        (1_100_000, 0, 9789, [97_067]),
    ):
        told = reckon(
            [Day(MARCH, eight, wage)], [("Well done", bonus)], first=MARCH, rules=RULES["gb"], person=Person(age=30)
        )
        made_up = [round(one.amount * 100) for one in told.lines if one.kind == "law"]
        assert (told.pence, made_up) == (pence, line)


def test_a_piece_at_another_rate_than_its_notice_tells_counts_as_worked() -> None:
    """NMWM07070: a notice tells the rate, and a new one is wanted where it changes. By the height of the wheel."""
    tall = 1_200_000_000
    rates = ((None, 62_500), (tall, 90_000))
    cut = ((None, 30_000), (tall, 90_000))
    standing = Standing(
        {7: Fraction(20)}, {3: {7: Notice(NOW, Fraction(20), rates)}}, {7: ((MARCH, rates), (date(2026, 3, 4), cut))}
    )
    assert Standing.read(json.loads(json.dumps(standing.written()))) == standing
    assert standing.rated(3) == {7: Rated(Fraction(20), NOW)}
    assert standing.rated(4)[7].notice_on is None
    days = [MARCH, date(2026, 3, 4)]
    assert [standing.is_as_told(3, 7, day, tall - 1) for day in days] == [True, False]
    assert [standing.is_as_told(3, 7, day, tall) for day in days] == [True, True]
    # 100 as told are 6 hours; the 5 hours at the others count as worked: 11 × £12.21, and not (100 + 100) ÷ 20 × 1.2.
    pieces = [
        PieceWork("Shave", rate, 100, 5 * HOUR, operation_id=7, is_as_told=rate > 50_000) for rate in (62_500, 30_000)
    ]
    known = Person(rated=standing.rated(3), hours_are_controlled=False)
    told = reckon([Day(MARCH, 10 * HOUR, 0, tuple(pieces))], [], first=MARCH, rules=RULES["gb"], person=known)
    assert told.pence == 11 * 1221
    assert told.said[1] == (
        "Shave: the 5.00 hours really worked count, since the notice of 27 February 2026 tells another piece rate."
    )


def test_a_band_is_that_of_the_first_day() -> None:
    """Regulations, part 2, from memory: an age reached within a period counts from the next. GOV.UK: £7.55, £12.21."""
    day = Day(MARCH, 10 * HOUR, 0)
    paid = [
        reckon([day], [], first=MARCH, rules=RULES["gb"], person=person).pence
        for person in (Person(), Person(age=17), Person(age=18), Person(age=16, at_apprentice_rate=True))
    ]
    assert paid == [12_210, 7_550, 10_000, 7_550]


@pytest.fixture
def rough(paid_shop: Shop, osk: Hand, order: Order, monkeypatch: pytest.MonkeyPatch) -> Shop:
    """Osk and the shop of the runs, under the rules of Great Britain; it is Friday 27 February 2026."""
    Shop.objects.update(pay_rules="gb")
    take_away(Rate.objects.filter(kind="guarantee"))
    monkeypatch.setattr("django.utils.timezone.now", lambda: datetime(2026, 2, 27, 10, tzinfo=UTC))
    return Shop.objects.get()


def day(name: str, on: date) -> dict[str, object]:
    return {f"{name}_day": on.day, f"{name}_month": on.month, f"{name}_year": on.year}


FEBRUARY, NOW = date(2026, 2, 20), date(2026, 2, 27)


def test_from_the_test_to_the_sheet(
    rough: Shop, owner: Client, osk: Hand, wren: Hand, order: Order, tmp_path: Path, poppler: None
) -> None:
    """A test, a notice, hours of one's own: then pieces count by their mean, and the plain sum agrees."""
    pages = "/pay/piece-rates/rough-spoke/"
    test = {"token": uuid.uuid4(), "basis": "all", **day("tried_on", FEBRUARY), **day("from_on", FEBRUARY)}
    assert "What each made in how long" in text_of(owner.get(f"{pages}test/"))
    for wrong, said in (
        ({f"pieces-{osk.pk}": 40}, "Write in how long Osk made them"),
        ({f"time-{osk.pk}": "2 h"}, "Write how many Osk made"),
        ({}, "Write what at least one hand made"),
        ({f"pieces-{osk.pk}": 40, f"time-{osk.pk}": "2 h", **day("from_on", date(2026, 2, 19))}, "before it was found"),
    ):
        refused = owner.post(f"{pages}test/", test | wrong)
        assert (refused.status_code, said in text_of(refused)) == (422, True), said
    test |= {f"pieces-{osk.pk}": 40, f"time-{osk.pk}": "2 h"}
    assert [owner.post(f"{pages}test/", test).status_code for _ in range(2)] == [302, 302]
    mean = OutputMean.objects.get()
    page = text_of(owner.get(f"{pages}output/"))
    # 20 an hour at £12.21: 73.26p, and 62.5p is paid.
    for words in (
        "£12.21 × 1.2 ÷ 20.00 = £0.7326",
        "£0.74 a spoke",
        "£0.625 is paid",
        "under the fair rate",
        "40 in 2 h",
    ):
        assert words in page, words
    assert "£12.21 × 1.2 ÷ 20.00 an hour = £0.7326 , rounded up £0.74" in text_of(owner.get(f"{pages}?hour=14"))
    assert "Osk : as worked: the shop sets or checks the hours" in page
    notice = {"token": uuid.uuid4(), "hands": [osk.pk], **day("given_on", NOW)}
    assert "The mean hourly output of this work, rough out spoke, is 20.00 an hour." in text_of(
        owner.get(f"{pages}notice/")
    )
    assert [owner.post(f"{pages}notice/", notice).status_code for _ in range(2)] == [302, 302]
    row = OutputNotice.objects.get()
    told = paper_text(owner.get(f"/pay/notices/{row.pk}/a4/").content)
    for words in (
        "Notice to Osk",
        "treated as working",
        "a test of the mean speed",
        "20.00",
        "£0.625",
        "0300 123 1100",
    ):
        assert words in told, words
        assert words in text_of(owner.get(f"/pay/notices/{row.pk}/")) or words == "Notice to Osk"
    terms = {"paid_by": "pieces", "band": "adult", "hours": "hand", **day("from_on", NOW)}
    assert owner.post(f"/settings/rates/paid/{osk.pk}/", terms).status_code == 302
    assert "Osk : rated, by the notice of 27 February 2026" in text_of(owner.get(f"{pages}output/"))
    # 300 at 62.5p in 15 hours: £187.50; they count 300 ÷ 20 × 1.2 = 18 hours, at £12.21 £219.78.
    there(osk, rough, 0, 0, 15)
    make(order, osk, 0, 300, 15)
    (sheet,) = draft(rough, now=at(7)).sheets
    assert (sheet.gross_pence, "300 ÷ 20 an hour × 1.2 = 18.00 hours" in sheet.reckoned.said[0]) == (21_978, True)
    run = close(rough, wren, at(7))
    write_export(tmp_path / "files")
    assert plain_pay.paid(tmp_path / "files") == {(str(run.pk), str(osk.user_id)): 21_978}
    # Regulation 59: what was tested and told is among the records.
    for name, words in (
        ("outputmean", "all"),
        ("outputtried", "40,7200"),
        ("outputnotice", "rough out spoke, is 20.00"),
    ):
        assert words in (tmp_path / "files" / f"shop_{name}.csv").read_text()
    _an_inspector_gets_them(owner, osk)
    _what_is_paid_stays(owner, pages, test, notice)
    assert draft(rough, now=at(14)).sheets == ()
    # Another rate than was told: the hours really worked count in the next period.
    Rate.objects.create(kind="piece", operation=mean.operation, amount_millipence=70_000, from_on=MONDAY + timedelta(7),
                        recorded_at=at(7))  # fmt: skip
    there(osk, rough, 7, 0, 15)
    make(order, osk, 7, 200, 15)
    (sheet,) = draft(rough, now=at(14)).sheets
    assert (sheet.gross_pence, "tells another piece rate" in sheet.reckoned.said[0]) == (15 * 1221, True)


def _an_inspector_gets_them(owner: Client, osk: Hand) -> None:
    """Regulation 59: a copy of the notice, and the data that show how the mean was found."""
    asked = {"hand": osk.pk, "first": "2026-02-20", "last": "2026-03-08"}
    held = zipfile.ZipFile(io.BytesIO(owner.get("/pay/inspector/file.zip", asked).content))
    told = {name: held.read(f"{name}.csv").decode() for name in ("output", "notices", "checks", "overtime", "rates")}
    for name, words in (
        ("output", "2026-02-20,a test of every hand who does this work,2026-02-20,Osk,40,7200"),
        ("notices", "The mean hourly output of this work, rough out spoke, is 20.00 an hour."),
        ("checks", "300 ÷ 20 an hour × 1.2 = 18.00 hours"),
        ("overtime", "agreed_on"),
        ("rates", "keeping its own hours"),
    ):
        assert words in told[name], name


def _what_is_paid_stays(owner: Client, pages: str, test: dict[str, object], notice: dict[str, object]) -> None:
    """Nothing is entered for a period that is closed: not a test, and not a notice given before it."""
    late = {"token": uuid.uuid4(), **day("from_on", date(2026, 3, 8)), **day("tried_on", date(2026, 2, 27))}
    refused = owner.post(f"{pages}test/", test | late)
    assert (refused.status_code, "Pay is closed until 8 March 2026" in text_of(refused)) == (422, True)
    refused = owner.post(f"{pages}notice/", notice | {"token": uuid.uuid4()})
    assert (refused.status_code, "a notice of 27 February 2026 would change it" in text_of(refused)) == (422, True)
    assert (OutputMean.objects.count(), OutputNotice.objects.count(), PaySheet.objects.count()) == (1, 1, 1)


def test_an_estimate_rests_on_a_test_and_never_on_an_estimate(
    rough: Shop, owner: Client, osk: Hand, wren: Hand, order: Order
) -> None:
    """Regulation 42(4) and (5), NMWM03170; an end, and a test after it, go their way."""
    work, told = task(order, "rough-spoke").operation, {"by": wren.user, "at": at(-4)}
    other = task(order, "shave-spoke").operation
    page = text_of(owner.get("/pay/piece-rates/shave-spoke/estimate/"))
    assert "There is no test yet that one could go by" in page
    tested = record_mean(
        work, Tried("sample", FEBRUARY, FEBRUARY, (Made(osk.user_id, 40, 7200),)), token=uuid.uuid4(), **told
    )
    form = {"token": uuid.uuid4(), "rests_on": tested.pk, "like": "Like work in the same conditions", "pieces": 7}
    form |= {"time": "1 h", "why": "three times as long", **day("tried_on", NOW), **day("from_on", NOW)}
    assert "Rough out spoke, 20 February 2026" in text_of(owner.get("/pay/piece-rates/shave-spoke/estimate/"))
    assert owner.post("/pay/piece-rates/shave-spoke/estimate/", form).status_code == 302
    estimate = OutputMean.objects.get(basis="estimate")
    chained = owner.post(
        "/pay/piece-rates/rough-spoke/estimate/", form | {"token": uuid.uuid4(), "rests_on": estimate.pk}
    )
    assert (chained.status_code, "not offered here" in text_of(chained)) == (422, True)
    wrong = Tried("estimate", NOW, NOW, (Made(None, 7, 3600),), estimate.pk, "like")
    with pytest.raises(AgreementRefused, match="never on another estimate"):
        record_mean(work, wrong, token=uuid.uuid4(), **told)
    with pytest.raises(AgreementRefused, match="other content"):
        record_mean(other, Tried("ended", NOW, NOW), token=estimate.token, **told)
    page = text_of(owner.get("/pay/piece-rates/shave-spoke/output/"))
    assert "7.00 an hour from 27 February 2026" in page
    assert "Like work in the same conditions: three times as long" in page
    ended = {"token": uuid.uuid4(), **day("from_on", NOW)}
    assert owner.post("/pay/piece-rates/shave-spoke/end/", ended).status_code == 302
    page = text_of(owner.get("/pay/piece-rates/shave-spoke/output/"))
    assert "No mean output stands: the hours really worked count" in page
    refused = owner.post(
        "/pay/piece-rates/shave-spoke/notice/", {"token": uuid.uuid4(), "hands": [osk.pk], **day("given_on", NOW)}
    )
    assert (refused.status_code, "enter a test first" in text_of(refused)) == (422, True)


def test_terms_ask_for_hours_only_where_the_law_makes_something_of_them(rough: Shop, owner: Client, osk: Hand) -> None:
    path = f"/settings/rates/paid/{osk.pk}/"
    assert "begins and ends when it likes" in text_of(owner.get(path))
    PayTerms.objects.create(hand=osk.user, by_pieces=True, hours_are_controlled=False, from_on=NOW, recorded_at=at(-4))
    assert "it keeps its own hours" in text_of(owner.get(path))
    Shop.objects.update(pay_rules="plain")
    page = owner.get(path).content.decode()
    assert 'name="hours"' not in page
    seen = page.partition('name="seen_termsform" value="')[2].partition('"')[0].replace("&quot;", '"')
    form = {"paid_by": "pieces", "band": "young", **day("from_on", NOW), "seen_termsform": seen}
    assert owner.post(path, form).status_code == 302
    # What was not asked stays as it was.
    assert PayTerms.objects.order_by("id").last().hours_are_controlled is False  # type: ignore[union-attr]
