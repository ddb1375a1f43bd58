"""The file for an inspector: all that is kept of a hand for each pay period, to the penny, as it was paid."""

import csv
import io
import uuid
import zipfile
from datetime import timedelta

import pytest
from django.db import connection
from django.http import HttpResponse
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from jobs.models import Order
from shop.attendance import Told, keep, take_back
from shop.inspector import records_of
from shop.models import Attendance, Hand, Shop
from shop.pay_reckoned import Period, Settings, reckon_period
from shop.pay_terms import add_bonus
from tests.papers_read import text_of as paper_text
from tests.shop.benching import Wall, text_of
from tests.shop.test_pay_runs import MONDAY, WEEK, at, close, make, paid_shop, there, week

# Fixtures, which are found by their names here.
__all__ = ["paid_shop", "week"]


@pytest.fixture
def wall(monkeypatch: pytest.MonkeyPatch) -> Wall:
    return Wall(monkeypatch)


def asked(hand: Hand, first: str, last: str, **more: str) -> dict[str, str]:
    return {"hand": str(hand.pk), "first": first, "last": last} | more


def unpacked(answer: HttpResponse) -> dict[str, bytes]:
    assert answer["Content-Type"] == "application/zip"
    with zipfile.ZipFile(io.BytesIO(answer.content)) as archive:
        assert archive.testzip() is None
        return {name: archive.read(name) for name in archive.namelist()}


def rows_of(held: dict[str, bytes], name: str) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(held[f"{name}.csv"].decode(), newline="")))


@pytest.mark.usefixtures("poppler")
def test_a_hands_records_are_one_document_a_pay_period_with_its_tables(
    week: Shop, wren: Hand, osk: Hand, order: Order, wall: Wall
) -> None:
    """A week that is closed, what the next paid for it later, and the next week as it stands."""
    wrong = keep(Told(uuid.uuid4(), osk.user_id, "came", at(0, 7)), week, now=at(0, 7))
    take_back(wrong, token=uuid.uuid4(), by_id=wren.user_id, now=at(0, 9))
    add_bonus(token=uuid.uuid4(), hand=osk, what="=1+1", amount_pence=500, on=MONDAY, by=wren.user, at=at(1))
    first = close(week, wren, at(7))
    there(osk, week, 2, 8, 10, now=at(8))  # two hours on Wednesday, told on the Tuesday after
    close(week, wren, at(14))
    there(osk, week, 15, 8, 12)
    make(order, osk, 15, 40, 2)
    wall.now = at(17)
    owner = Client()
    owner.force_login(wren.user)
    page = text_of(owner.get(reverse("shop:inspector"), asked(osk, "2026-03-04", "2026-03-18")))
    assert "2 to 8 March 2026" in page
    assert "not closed yet" in page
    run = owner.get(reverse("shop:pay-run", args=[first.pk]))
    assert 'href="/pay/inspector/?first=2026-03-02&amp;last=2026-03-08"' in run.text
    held = unpacked(owner.get(reverse("shop:inspector-file"), asked(osk, "2026-03-04", "2026-03-18")))
    documents = sorted(name for name in held if name.endswith(".pdf"))
    assert documents == [f"2026-03-{days}.pdf" for days in ("02 to 2026-03-08", "09 to 2026-03-15", "16 to 2026-03-22")]
    paper = paper_text(held[documents[0]])
    for told in (
        "Record of Osk, 2 to 8 March 2026",
        f"£{(WEEK + 500) / 100:.2f} before tax and stoppages. Closed on 9 March 2026.",
        "came 8.00, went 16.00; taken back: came 7.00",
        "8 h 6 h 2 h",  # Monday: paid, at pieces, other
        "Rough out spoke 100 £0.625 6 h",
        "Paid later for this period When Amount With the pay of 9 to 15 March 2026 £28.00",
        "No legal check is made",
        # What that was paid for: by it the hours can be checked against the pay.
        "With all of that, by the same rules, the period comes to £247.50",
        "Hours, with what was told since",
        "4 March 2026 came 8.00, went 10.00 2 h",
    ):
        assert told in paper
    assert "Hours, with what was told since" not in paper_text(held[documents[1]])
    assert "Not closed yet" in paper_text(held[documents[2]])
    days = {row["day"]: row for row in rows_of(held, "days")}
    monday = days["2026-03-02"]
    assert {(row["day"], row["stands"]) for row in rows_of(held, "days")} >= {
        *(("2026-03-02", "as paid"), ("2026-03-02", "with what was told since")),
        *(("2026-03-04", "with what was told since"), ("2026-03-17", "not closed yet")),
    }
    assert (monday["paid_seconds"], monday["at_pieces_seconds"], monday["other_seconds"]) == ("28800", "21600", "7200")
    assert (monday["wage_pence"], monday["guarantee_pence"], monday["bonus_pence"]) == ("1400", "1250", "500")
    pay = rows_of(held, "pay")
    paid = {
        begins: sum(int(row["amount_pence"]) for row in pay if row["first_day"] == begins)
        for begins in ("2026-03-02", "2026-03-09")
    }
    assert paid == {"2026-03-02": WEEK + 500, "2026-03-09": 2800}
    assert "'=1+1, 2 March 2026" in {row["what"] for row in pay}
    touches = rows_of(held, "attendance")
    assert {row["takes_back"] for row in touches} >= {str(wrong.token)}
    assert len(touches) == Attendance.objects.filter(hand=osk.user).count()
    pieces = rows_of(held, "pieces")
    assert [(row["made"], row["rate_pence"], row["passed"]) for row in pieces[:3]] == [
        ("100", "62.5", "1"),
        ("80", "62.5", "1"),
        ("20", "62.5", "0"),
    ]
    assert sum(int(row["seconds"]) for row in rows_of(held, "work")) == 13 * 3600
    assert {row["what"] for row in rows_of(held, "rates")} >= {
        "Osk: wage an hour",
        "Osk: guarantee an hour at pieces",
        "Rough out spoke: piece rate",
    }
    checks = rows_of(held, "checks")
    assert checks[0]["gross_pence"] == str(WEEK + 500)
    assert any("20 wait to be passed" in row["what_was_found"] for row in checks)
    assert "Osk" in held["what-is-here.txt"].decode()


@pytest.mark.usefixtures("poppler")
def test_a_period_has_a_document_wherever_anything_is_kept_of_the_hand(
    week: Shop, wren: Hand, osk: Hand, owner: Client, wall: Wall
) -> None:
    """Closed without the hand, since nothing was told then, or no pay was ever agreed; or before pay began."""
    there(wren, week, 0, 8, 12)
    close(week, wren, at(7))
    close(week, wren, at(14))
    there(osk, week, 9, 8, 12, now=at(15))
    there(osk, week, -10, 8, 9)
    wall.now = at(17)
    owner = Client()
    owner.force_login(wren.user)
    question = asked(osk, "2026-02-16", "2026-03-18")
    page = text_of(owner.get(reverse("shop:inspector"), question))
    for told in ("16 to 22 February 2026", "before pay began here", "closed without this hand; more was told since"):
        assert told in page
    held = unpacked(owner.get(reverse("shop:inspector-file"), question))
    documents = sorted(name for name in held if name.endswith(".pdf"))
    assert documents == [
        f"2026-{days}.pdf" for days in ("02-16 to 2026-02-22", "03-02 to 2026-03-08", "03-09 to 2026-03-15")
    ]
    before, without = paper_text(held[documents[0]]), paper_text(held[documents[2]])
    assert "Pay began later in this shop’s books. Nothing is reckoned or paid for it." in before
    assert "20 February 2026 came 8.00, went 9.00 1 h" in before
    assert "£0.00 before tax and stoppages. Closed on 16 March 2026, without a sheet of this hand." in without
    assert "by the same rules, the period comes to £56.00" in without  # four hours at £14
    assert "11 March 2026 came 8.00, went 12.00 4 h" in without
    # Of another hand there is nothing in any of it.
    held = unpacked(owner.get(reverse("shop:inspector-file"), asked(wren, "2026-03-02", "2026-03-08")))
    (document,) = [paper_text(content) for name, content in held.items() if name.endswith(".pdf")]
    assert "2 March 2026 came 8.00, went 12.00 4 h" in document
    assert "No wage is written down for 2 March 2026" in document
    assert len(rows_of(held, "attendance")) == 2
    assert not rows_of(held, "pieces")
    assert "Osk" not in "".join(
        [document, *(told.decode() for name, told in held.items() if not name.endswith(".pdf"))]
    )
    # Where nothing is kept the page says so, and the file still tells the rates.
    page = owner.get(reverse("shop:inspector"), asked(osk, "2025-01-06", "2025-01-12"))
    assert "No hours, pieces or pay are kept of that hand in these days." in text_of(page)
    assert "inspector/file" in page.text


def test_many_periods_are_read_at_once(week: Shop, wren: Hand, osk: Hand) -> None:
    """And come to the same as each by itself."""

    def read(weeks: int) -> int:
        with CaptureQueriesContext(connection) as asked:
            found = records_of(osk, week, first=MONDAY, last=MONDAY + timedelta(days=7 * weeks - 1), now=at(7 * 20))
        assert len(found.periods) == weeks
        return len(asked)

    for day in range(7, 7 * 12, 7):
        there(osk, week, day, 8, 16.5)
    close(week, wren, at(7))
    few = read(2)
    assert read(12) == few
    records = records_of(osk, week, first=MONDAY, last=MONDAY + timedelta(days=7 * 12), now=at(7 * 20))
    for one in records.periods[1:]:
        period = Period(one.sheet.first, one.sheet.last, Settings.of(week))
        assert reckon_period(period, week, now=at(7 * 20)).by_hand[osk.user_id] == one.reckoned


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ({"first": "2026-03-45"}, "From: That is not a day: write it as 2026-03-02."),
        ({"first": ""}, "From: "),
        ({"last": "2026-03-01"}, "To: The period ends before it begins."),
        ({"first": "2024-03-01"}, "To: Ask for 366 days at the most, and for the others by themselves."),
        ({"first": "2033-03-01", "last": "2033-03-02"}, "From: That day is still to come: nothing is kept of it."),
        ({"hand": "99"}, "Hand: "),
    ],
)
def test_a_question_that_has_no_answer_gets_one_sentence(
    typed: dict[str, str], said: str, owner: Client, osk: Hand
) -> None:
    question = asked(osk, "2026-03-02", "2026-03-08") | typed
    answer = owner.get(reverse("shop:inspector-file"), question)
    assert answer.status_code == 422
    assert answer.content.decode().startswith(said)
    assert ";" not in answer.content.decode()
    assert owner.get(reverse("shop:inspector"), question).status_code == 422
