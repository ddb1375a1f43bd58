"""An old book brought in by `import_timings`: once, whole or not at all, and out of the shop's own books."""

from io import StringIO
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command
from django.test import Client

from jobs.models import Operation, Order
from shop.models import AuditLine, Hand, Shop
from shop.people import edit_hand
from tests.commands import manage
from tests.factories import fact, task
from timing.files.timings_file import COLUMNS
from timing.models import Stretch, Tally
from timing.models.facts import Source
from timing.record import record
from timing.recount import find_faults
from timing.usual import read_timings

pytestmark = pytest.mark.django_db
BOOK = """\
118,2019-04-02,shave-spoke,Ned Farrow,,1066.8,1,11.5
118,2019-04-02,Shave spoke,OSK,,1066.8,12,96
118,2019-04-02,shave-spoke,Ned Farrow,,1066.8,1,11.5
118,2019-04-01,turn hub,Ned Farrow,near,,1,70
119,2019-04-03,shave-spoke,osk,,,2500,20000
"""


def book(folder: Path, text: str = BOOK, head: str = ",".join(COLUMNS)) -> Path:
    path = folder / "book.csv"
    path.write_text(f"{head}\n{text}", encoding="utf-8")
    return path


def bring(path: Path, *options: str) -> tuple[str, str]:
    """What the command says on standard output and on standard error."""
    out, err = StringIO(), StringIO()
    call_command("import_timings", str(path), *options, stdout=out, stderr=err)
    return out.getvalue().replace(f"{path}: ", ""), err.getvalue()


def refused(path: Path, *options: str) -> tuple[str, str]:
    """The sentence that ends the command, and what it says before on standard error."""
    err = StringIO()
    with pytest.raises(CommandError) as error:
        call_command("import_timings", str(path), *options, stderr=err)
    return str(error.value), err.getvalue()


def rows() -> list[tuple[object, ...]]:
    told = Tally.objects.filter(stretch__source=Source.OLD_BOOK).order_by("stretch__done_at", "pk")
    return list(
        told.values_list(
            *("old_order", "stretch__done_on", "stretch__operation__key", "stretch__hand__shop_hand__name"),
            *("old_wheel", "old_diameter_nm", "made", "seconds", "stretch__seconds"),
        )
    )


def test_a_book_is_brought_in_once_and_by_steps_as_whole(osk: Hand, tmp_path: Path) -> None:
    lines = BOOK.splitlines(keepends=True)
    assert bring(book(tmp_path, "".join(lines[:2])), "--add-hands")[0].endswith("new: 2 rows; there already: 0.\n")
    assert bring(book(tmp_path))[0] == "new: 3 rows; there already: 2.\n"
    assert bring(book(tmp_path)) == ("new: 0 rows; there already: 5.\n", "")
    assert [(row[0], str(row[1]), *row[2:]) for row in rows()] == [
        ("118", "2019-04-01", "turn-hub", "Ned Farrow", "near", None, 1, 4200, 4200),
        ("118", "2019-04-02", "shave-spoke", "Ned Farrow", "", 1_066_800_000, 1, 690, 690),
        ("118", "2019-04-02", "shave-spoke", "Osk", "", 1_066_800_000, 12, 5760, 5760),
        ("118", "2019-04-02", "shave-spoke", "Ned Farrow", "", 1_066_800_000, 1, 690, 690),
        ("119", "2019-04-03", "shave-spoke", "Osk", "", None, 2500, 1_200_000, 1_200_000),
    ]
    assert read_timings().timings.minutes.tolist() == [70, 11.5, 96, 11.5, 20000]
    # A hand may go by another name by now: what is there is not asked for again.
    edit_hand(Hand.objects.get(name="Ned Farrow"), name="Edward", role="hand", trade="bench", apprentice=False)
    assert bring(book(tmp_path))[0] == "new: 0 rows; there already: 5.\n"


def test_whom_and_what_the_shop_does_not_know_is_told_and_nothing_brought_in(osk: Hand, tmp_path: Path) -> None:
    path = book(tmp_path, BOOK + "119,2019-04-05,gild,Ned Farrow,,,1,30\n")
    for options in ([], ["--dry-run"]):
        sentence, told = refused(path, *options)
        assert sentence.endswith("nothing was brought in.")
        assert "The shop knows no person “Ned Farrow”: 4 rows.\n--add-hands puts them down" in told
        assert "The shop knows no operation “gild”: 1 row.\n--operations FILE adds" in told
    told, _ = bring(book(tmp_path), "--add-hands", "--dry-run")
    assert told.splitlines() == [
        "Hand would be added, as one who left on 2019-04-02: Ned Farrow, 3 rows",
        "5 rows would be new, 0 there already.",
    ]
    assert (Stretch.objects.count(), Hand.objects.count(), AuditLine.objects.count()) == (0, 1, 0)


def test_one_of_whom_only_the_book_tells_has_left_and_can_not_sign_in(osk: Hand, tmp_path: Path) -> None:
    bring(book(tmp_path), "--add-hands")
    ned = Hand.objects.select_related("user").get(name="Ned Farrow")
    assert (str(ned.left_on), ned.user.is_active, ned.user.has_usable_password()) == ("2019-04-02", False, False)
    line = AuditLine.objects.get()
    assert (line.what, line.by, line.after) == ("Ned Farrow", None, "told of by an old book: left on 2 April 2019")


def test_a_file_of_operations_wins_over_the_shops_list(osk: Hand, tmp_path: Path) -> None:
    list_of_them = tmp_path / "operations.csv"
    told = ["Gild,finish,wheel,90", "Shave spoke,spoke,spoke,12.5", "turn-hub,hub,1,", "saw-felloe,felloe,felloe,9"]
    list_of_them.write_text("\n".join(["operation,part,per,book_minutes", *told]), encoding="utf-8")
    path = book(tmp_path, "119,2019-04-05,gild,Osk,,,1,30\n")
    said = bring(path, "--operations", str(list_of_them), "--dry-run")[0].splitlines()
    assert said[:-1] == [
        "Operation would be added: “Gild”: finish, by the wheel, book time 90 minutes",
        "Operation would be changed: “Shave spoke”: spoke, by the spoke, book time 12.5 minutes",
        "Operation would be changed: “turn-hub”: hub, by the wheel, no book time",
    ]
    assert not Operation.objects.filter(key="gild").exists()
    bring(path, "--operations", str(list_of_them))
    gild = Operation.objects.get(key="gild")
    # Until an owner says of what work it is, no order gets it.
    assert (gild.part, gild.per, gild.book_seconds, gild.works, gild.trade) == ("finish", "wheel", 5400, [], "bench")
    assert gild == Operation.objects.last()
    books = dict(Operation.objects.filter(key__in=["shave-spoke", "turn-hub"]).values_list("key", "book_seconds"))
    assert books == {"shave-spoke": 750, "turn-hub": None}
    assert [line.what for line in AuditLine.objects.order_by("pk")] == ["Gild", "Shave spoke", "Turn hub"]
    assert Stretch.objects.get().operation == gild


def test_what_is_counted_in_work_of_the_order_book_stays(order: Order, osk: Hand, tmp_path: Path) -> None:
    list_of_them = tmp_path / "operations.csv"
    list_of_them.write_text("operation,part,per,book_minutes\nshave-spoke,spoke,wheel,12", encoding="utf-8")
    _, told = refused(book(tmp_path), "--operations", str(list_of_them), "--add-hands")
    assert told.startswith("Line 2: “shave-spoke” has work already, where it is of the spoke and by the spoke")


def test_a_bad_line_brings_nothing_in(osk: Hand, tmp_path: Path) -> None:
    path = book(tmp_path, BOOK + "119,2019-04-05,shave-spoke,Osk,,,1,0\n")
    sentence, told = refused(path, "--add-hands")
    assert sentence == f"{path}: nothing was brought in."
    assert told == "Line 7: minutes: “0” must be more than no minutes.\n"
    assert Stretch.objects.count() == 0


def test_names_are_taken_in_the_shops_own_words_and_a_new_shops(osk: Hand, tmp_path: Path) -> None:
    Shop.objects.update(word_hub="nave", word_felloe="felly")
    path = book(tmp_path, "1,2019-04-02,TURN  NAVE,osk,,,1,5\n1,2019-04-02,Turn hub,Osk,,,1,5\n")
    bring(path)
    assert set(Stretch.objects.values_list("operation__key", flat=True)) == {"turn-hub"}


def test_it_is_in_no_order_no_counter_and_no_sum(order: Order, owner: Client, osk: Hand, tmp_path: Path) -> None:
    shaving = task(order, "shave-spoke")
    record(fact(shaving, osk, made=3, minutes=30))
    pages = [f"/orders/{order.number}/", f"/orders/{order.number}/cost/", "/", "/day-book/?first=2019-01-01"]
    before = {page: owner.get(page).content for page in pages}
    bring(book(tmp_path, BOOK.replace("118,", f"{order.number},")), "--add-hands")
    shaving.refresh_from_db()
    assert (shaving.made, shaving.seconds, find_faults()) == (3, 1800, [])
    # Ned stands in the day book's choice of hands, and in nothing else.
    ned = b'<option value="%d">Ned Farrow</option>' % Hand.objects.get(name="Ned Farrow").user_id
    for page in pages:
        now = owner.get(page).content
        assert _plain(now.replace(ned, b"")) == _plain(before[page]), page
    asked = owner.get("/day-book/?first=2019-01-01&source=old_book").content.decode()
    assert "of the old book" in asked
    assert "Put right<span" not in asked


def _plain(page: bytes) -> list[bytes]:
    """Without what each answer has anew, and blank lines."""
    return [
        line
        for line in page.splitlines()
        if line.strip() and b"csrfmiddlewaretoken" not in line and b"token" not in line
    ]


def test_a_shop_that_was_never_opened_needs_nothing_first(tmp_path: Path) -> None:
    """As a person does it: with the database's address alone."""
    url = f"sqlite:///{tmp_path}/old.sqlite3"
    done = manage(tmp_path, "import_timings", book(tmp_path), "--add-hands", DATABASE_URL=url)
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout.splitlines()[-1].endswith("new: 5 rows; there already: 0.")
    work = tmp_path / "work.csv"
    work.write_text("order,operation,person,wheels,diameter_mm,pieces\nA,shave-spoke,Osk,2,,24\n", encoding="utf-8")
    told = manage(tmp_path, "forecast", work, DATABASE_URL=url)
    assert (told.returncode, told.stderr) == (0, "Usual times are worked out anew, from 5 timings.\n")
    assert told.stdout.startswith("order,p10,p50,p90\nA,")
