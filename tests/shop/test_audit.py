"""Who changed what: lines in words, added and never edited, and the owner's page of them."""

import csv
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest
from django.db import connection, transaction
from django.test import Client
from django.test.utils import CaptureQueriesContext

from jobs.writing import writing
from shop import audit
from shop.audit import PAGE, Asked, Kind, note_change, page
from shop.export import write_export
from shop.models import AuditLine, Hand, Shop
from shop.people import edit_hand
from shop.pins import set_pin
from shop.rates_written import record_rate
from tests.factories import NOW

URL = "/settings/changes/"
ROOT = Path(audit.__file__).resolve().parent.parent


def line(by: Hand | None, *, days: int = 0, kind: str = Kind.RATE, what: str = "Osk: wage an hour") -> AuditLine:
    note_change(kind, what, by=by.user if by else None, after="£12.50", at=NOW - timedelta(days=days))
    return AuditLine.objects.order_by("pk").last()  # type: ignore[return-value]


def text(owner: Client, **asked: object) -> str:
    return owner.get(URL, asked).content.decode()


def test_a_rise_reads_as_a_person_says_it(owner: Client, wren: Hand, osk: Hand) -> None:
    for amount in (1_150_000, 1_200_000):
        record_rate(
            kind="wage", hand=osk.user, amount_millipence=amount, from_on=date(2026, 3, 2), at=NOW, by=wren.user
        )
    last = AuditLine.objects.newest_first()[0]
    assert (last.what, last.before, last.after) == ("Osk: wage an hour, from 2 March 2026", "£11.50", "£12.00")
    for words in ("Osk: wage an hour, from 2 March 2026", "£11.50", "£12.00", "Wren", "Monday 2 March 2026", "10.00"):
        assert words in text(owner)


def test_only_what_differs_is_told(wren: Hand, osk: Hand) -> None:
    edit_hand(osk, name="Osk", role="desk", trade="bench", apprentice=False, by=wren.user)
    told = AuditLine.objects.get()
    assert (told.what, told.before, told.after) == ("Osk", "may use: hand", "may use: desk")


def test_a_change_that_fails_takes_its_line_with_it(wren: Hand) -> None:
    def half_done() -> None:
        with writing():
            note_change(Kind.RATE, "Overhead", by=wren.user, after="£1")
            raise ZeroDivisionError

    with pytest.raises(ZeroDivisionError):
        half_done()
    assert not AuditLine.objects.exists()


@pytest.mark.django_db(transaction=True)
def test_a_line_outside_the_write_of_its_change_is_refused(shop: Shop) -> None:
    with pytest.raises(RuntimeError, match="same write"):
        note_change(Kind.SHOP, "The shop", by=None, after="x")


def test_a_line_is_never_edited(wren: Hand) -> None:
    one = line(wren)
    one.after = "£99"
    for change in (
        one.save,
        one.delete,
        AuditLine.objects.all().delete,
        lambda: AuditLine.objects.update(after="£99"),
        lambda: AuditLine.objects.bulk_update([one], ["after"]),
    ):
        with pytest.raises(TypeError, match="never edited"):
            change()
    assert AuditLine.objects.get().after == "£12.50"


def test_lines_are_written_in_one_module() -> None:
    """Others say `note_change`, or have a line made and written down there."""
    written = [
        path.relative_to(ROOT).as_posix()
        for room in ("jobs", "timing", "shop")
        for path in sorted((ROOT / room).rglob("*.py"))
        if "migrations" not in path.parts and "AuditLine(" in path.read_text(encoding="utf-8")
    ]
    assert written == ["shop/audit.py", "shop/models/audit.py"]


def test_each_filter_narrows(wren: Hand, tamsin: Hand) -> None:
    mine, theirs = line(wren), line(tamsin, days=3, kind=Kind.PRICE)
    by_command = line(None, days=5, kind=Kind.PERSON)
    for asked, expected in (
        (Asked(), [mine, theirs, by_command]),
        (Asked(first=date(2026, 2, 27)), [mine, theirs]),
        (Asked(last=date(2026, 2, 27)), [theirs, by_command]),
        (Asked(by_id=wren.user_id), [mine]),
        (Asked(kind=Kind.PERSON), [by_command]),
    ):
        assert page(asked, zone=UTC).rows == expected


def test_a_day_is_the_shops(wren: Hand, owner: Client) -> None:
    Shop.objects.update(time_zone="Pacific/Auckland")
    line(wren, what="Overhead an hour")
    assert "Overhead an hour" in text(owner, first="2026-03-02", last="2026-03-02")
    Shop.objects.update(time_zone="America/New_York")
    note_change(Kind.RATE, "In the night", by=wren.user, after="x", at=datetime(2026, 3, 3, 2, tzinfo=UTC))
    assert "In the night" in text(owner, first="2026-03-02", last="2026-03-02")


def test_pages_meet_without_gap_or_overlap(wren: Hand) -> None:
    made = [line(wren, days=number // 3) for number in range(2 * PAGE + 5)]
    newest = sorted(made, key=lambda one: (one.made_at, one.pk), reverse=True)
    first = page(Asked(), zone=UTC)
    second = page(Asked(), zone=UTC, before=first.older)
    third = page(Asked(), zone=UTC, before=second.older)
    assert [*first.rows, *second.rows, *third.rows] == newest
    assert (first.newer, third.older) == (None, None)
    back = page(Asked(), zone=UTC, after=third.newer)
    assert back.rows == second.rows
    assert page(Asked(), zone=UTC, after=back.newer).rows == first.rows


def test_older_and_newer_keep_the_question(owner: Client, wren: Hand) -> None:
    for _ in range(PAGE + 1):
        line(wren)
    last = AuditLine.objects.newest_first()[PAGE - 1]
    assert f'href="?kind=rate&amp;before={last.pk}"' in text(owner, kind="rate")


@pytest.mark.parametrize("before", ["", "x", "-1", "999999", "9" * 40, "²", "\0"])
def test_a_place_that_is_none_begins_at_the_newest(owner: Client, wren: Hand, before: str) -> None:
    line(wren, what="The newest")
    assert "The newest" in text(owner, before=before)


@pytest.mark.parametrize(
    ("asked", "sentence"),
    [
        ({"first": "2026-03-09", "last": "2026-03-02"}, "The period ends before it begins."),
        ({"first": "soon"}, "That is not a day"),
        ({"by": "nobody"}, "not offered here"),
        ({"kind": "magic"}, "not offered here"),
    ],
)
def test_a_question_that_cannot_be_read_is_told(owner: Client, asked: dict[str, str], sentence: str) -> None:
    response = owner.get(URL, asked)
    assert response.status_code == 422
    assert sentence in response.content.decode()


def test_the_export_has_every_line_and_no_formula(wren: Hand, tmp_path: Path) -> None:
    line(wren, what="=HYPERLINK(1)")
    assert write_export(tmp_path / "files")["shop_auditline.csv"] == 1
    with (tmp_path / "files" / "shop_auditline.csv").open(newline="", encoding="utf-8") as file:
        (row,) = csv.DictReader(file)
    assert (row["what"], row["after"], row["by_id"]) == ("'=HYPERLINK(1)", "£12.50", str(wren.user_id))


def test_it_is_only_read(owner: Client, wren: Hand) -> None:
    line(wren)
    assert owner.post(URL, {"what": "x"}).status_code == 405
    assert AuditLine.objects.count() == 1


def test_a_command_is_told_as_such(owner: Client, osk: Hand) -> None:
    set_pin(osk, "4071")
    assert "at the machine itself" in text(owner)


def test_it_asks_as_often_for_a_thousand_lines(owner: Client, wren: Hand, osk: Hand) -> None:
    def asked() -> int:
        with CaptureQueriesContext(connection) as queries:
            assert owner.get(URL).status_code == 200
        return len(queries)

    line(wren)
    few = asked()
    with transaction.atomic():
        for number in range(1000):
            line((wren, osk)[number % 2], days=number // 20)
    assert asked() == few


@pytest.mark.skipif(connection.vendor != "sqlite", reason="reads SQLite's own words for how it looks rows up")
@pytest.mark.parametrize(
    ("asked", "index"),
    [
        (Asked(), "audit_by_moment"),
        (Asked(by_id=1), "audit_by_person"),
        (Asked(kind="rate"), "audit_by_kind"),
        (Asked(first=date(2026, 3, 2)), "audit_by_moment"),
    ],
)
def test_a_page_is_found_by_an_index(db: None, asked: Asked, index: str) -> None:
    plan = audit._asked_for(asked, UTC).newest_first()[:PAGE].explain()
    assert index in plan
    assert "TEMP B-TREE" not in plan
