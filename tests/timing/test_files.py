"""Files that a shop writes itself: what is read of them, and the sentence for each thing that is wrong."""

from datetime import date
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from jobs.models.operations import PartKind, Per
from jobs.starting_operations import STARTING_OPERATIONS
from jobs.words import in_words
from timing.files.forecast_file import read_forecast_file
from timing.files.operations_file import PARTS, read_operations_file
from timing.files.table import FileRefused
from timing.files.timings_file import COLUMNS, OldRow, read_timings_file, tokens_of
from timing.forecast.work import USUALLY_A_WHEEL

TODAY = date(2026, 3, 2)
HEAD = ",".join(COLUMNS)
ROW = "118,2019-04-02,shave spoke,Ned Farrow,near,1066.8,12,95.5"


def read(*lines: str) -> list[OldRow]:
    return read_timings_file("\n".join((HEAD, *lines)).encode(), today=TODAY).rows


def wrong(content: bytes) -> list[str]:
    with pytest.raises(FileRefused) as refused:
        read_timings_file(content, today=TODAY)
    return refused.value.sentences


def test_a_row_is_read_by_the_names_of_its_columns() -> None:
    (row,) = read(ROW)
    plain = ("118", date(2019, 4, 2), "shave spoke", "Ned Farrow", "near", 1_066_800_000, 12, 5730)
    assert (row.order, row.day, row.operation, row.person, row.wheel, row.diameter_nm, row.pieces, row.seconds) == plain
    turned = "\ufeffminutes,pieces,note,diameter_mm,wheel,person,operation,day,Order\r\n"
    sheet = read_timings_file(
        f'{turned}95.50,12.0,hot,1066.80,near,Ned  Farrow," shave spoke ",2019-04-02,118\r\n'.encode(), today=TODAY
    )
    assert sheet.unread == ["note"]
    assert sheet.rows[0].content == row.content


def test_what_a_book_may_leave_out_and_how_short_and_long_it_may_be() -> None:
    short, long, _ = read(
        '7,2019-04-02,fire,"Farrow, Ned",,,1,0.001', "7,2019-04-02,fire,Ned,,,2500,20000", ",,,,,,,", ROW
    )
    assert (short.wheel, short.diameter_nm, short.seconds, short.person) == ("", None, 1, "Farrow, Ned")
    assert (long.pieces, long.seconds) == (2500, 1_200_000)


@pytest.mark.parametrize(
    ("column", "text", "sentence"),
    [
        ("minutes", "0", "“0” must be more than no minutes"),
        ("minutes", "-3", "“-3” must be more than no minutes"),
        ("minutes", "NaN", "“NaN” is no number of minutes: write it as 12 or 12.5"),
        ("minutes", "inf", "“inf” is no number of minutes"),
        ("minutes", "", "minutes: nothing is written here."),
        ("minutes", "1e9", "“1e9” is more than 35,000,000 minutes"),
        ("minutes", '"5,5"', "“5,5” is no number of minutes"),
        ("minutes", "5,5", "there are 9 values where the first line names 8 columns"),
        ("pieces", "0", "“0” is no whole number of pieces from 1"),
        ("pieces", "2.5", "“2.5” is no whole number of pieces"),
        ("diameter_mm", "0", "“0” is no diameter of a wheel"),
        ("day", "2.4.2019", "“2.4.2019” is no day: write it as 2026-03-02"),
        ("day", "2019-02-30", "“2019-02-30” is not in the calendar"),
        ("day", "2026-03-03", "“2026-03-03” has not come yet"),
        ("day", "1019-04-02", "is before 1800"),
        ("person", "", "person: nothing is written here"),
        ("order", "x" * 81, "is longer than 80 letters"),
        ("wheel", "ne\u202ear", "holds a sign that can't be printed"),
    ],
)
def test_a_bad_value_is_told_by_its_line_and_column(column: str, text: str, sentence: str) -> None:
    values = dict(zip(COLUMNS, ROW.split(","), strict=True)) | {column: text}
    (told,) = wrong("\n".join((HEAD, ROW, ",".join(values.values()), ROW)).encode())
    assert told.startswith("Line 3: ")
    assert sentence in told


@pytest.mark.parametrize(
    ("content", "sentence"),
    [
        (b"", "The file is empty."),
        (b" \n\n", "The file is empty."),
        (f"{HEAD}\n".encode("utf-16"), "The file is written in UTF-16: save it as CSV in UTF-8."),
        (f"{HEAD}\n{ROW}\n{ROW} é".encode("latin-1"), "Line 3 is not written in UTF-8: save it as CSV in UTF-8."),
        (f"{HEAD}\n{ROW}\0".encode(), "Line 2 holds a NUL, which no text does: save it as CSV in UTF-8."),
        (HEAD.replace(",", ";").encode(), "The file divides its columns by semicolons: divide them by commas."),
        (HEAD.replace(",", "\t").encode(), "The file divides its columns by tabs: divide them by commas."),
        (f"{HEAD},Day\n".encode(), "The first line names the column “day” more than once."),
        (
            HEAD.replace(",wheel", "").replace("pieces", "count").encode(),
            f"The file lacks the columns “wheel”, “pieces”: the first line must name {HEAD}.",
        ),
        (
            f'{HEAD}\n{ROW}\n118,2019-04-02,"shave\n{ROW}'.encode(),
            "Line 3: a quotation mark is opened and not closed, or stands in the middle of a text.",
        ),
        (
            f'"order\n{ROW}'.encode(),
            "Line 1: a quotation mark is opened and not closed, or stands in the middle of a text.",
        ),
    ],
)
def test_a_file_that_is_none_is_one_sentence(content: bytes, sentence: str) -> None:
    assert wrong(content) == [sentence]


def test_every_bad_line_is_told() -> None:
    lines = [ROW, "1,2,3", ROW.replace("95.5", "x").replace(",12,", ",0,")] + ["1,2,3"] * 22
    with pytest.raises(FileRefused) as refused:
        read(*lines)
    told = refused.value.sentences
    assert len(told) == 24
    assert told[0].startswith("Line 3: there are 3 values")
    assert told[1].startswith("Line 4: pieces: “0” is no whole number")
    assert "minutes: “x” is no number" in told[1]
    assert told[-1].startswith("Line 26: there are 3 values")


ROWS = st.lists(
    st.builds(
        OldRow,
        line=st.integers(2, 9),
        order=st.sampled_from(["7", "8"]),
        day=st.dates(date(2019, 1, 1), date(2019, 1, 3)),
        operation=st.sampled_from(["fire", "Fire", "bend"]),
        person=st.just("Ned"),
        wheel=st.just(""),
        diameter_nm=st.sampled_from([None, 10**9]),
        pieces=st.integers(1, 2),
        seconds=st.just(600),
    ),
    max_size=12,
)


@given(ROWS, st.data())
def test_a_file_brought_in_by_two_steps_is_the_same_as_brought_in_whole(
    rows: list[OldRow], data: st.DataObject
) -> None:
    split = data.draw(st.integers(0, len(rows)))
    whole = dict(zip(tokens_of(rows), rows, strict=True))
    assert len(whole) == len(rows)
    kept = dict(zip(tokens_of(rows[:split]), rows[:split], strict=True))
    for token, row in zip(tokens_of(rows), rows, strict=True):
        kept.setdefault(token, row)
    assert list(kept.items()) == list(whole.items())
    shuffled = data.draw(st.permutations(rows))
    assert set(tokens_of(shuffled)) == set(whole)


def test_operations_are_read_with_what_a_piece_is_and_their_book_times() -> None:
    lines = "operation,part,per,book_minutes\nMitre foot,spoke,spoke,\nHalf-rim,Felloe,2,12.5\nhub,hub,1,60"
    rows = read_operations_file(lines.encode()).rows
    assert [(row.operation, row.part, row.per, row.per_number, row.book_seconds) for row in rows] == [
        ("Mitre foot", "spoke", "spoke", None, None),
        ("Half-rim", "felloe", "number", 2, 750),
        ("hub", "hub", "wheel", None, 3600),
    ]
    assert set(PARTS) == set(PartKind.values)
    assert set(USUALLY_A_WHEEL) | {"number"} == set(Per.values)


@pytest.mark.parametrize(
    ("line", "sentence"),
    [
        ("rim,rim,wheel,5", "part: “rim” is none of hub, band"),
        ("rim,wheel,0,5", "per: “0” is none of wheel, spoke"),
        ("rim,wheel,wheel,0", "book_minutes: “0” must be more than no minutes"),
        ("rim,wheel,wheel,6001", "more than 6,000 minutes a piece"),
        ("FIRE,tyre,wheel,5", "Line 3: “FIRE” stands on line 2 already."),
    ],
)
def test_a_bad_operation_is_told_by_its_line(line: str, sentence: str) -> None:
    with pytest.raises(FileRefused) as refused:
        read_operations_file(f"operation,part,per,book_minutes\nfire,tyre,wheel,75\n{line}".encode())
    assert sentence in str(refused.value)
    assert str(refused.value).startswith("Line 3: ")


def test_work_to_be_forecast_is_read_as_it_was_written() -> None:
    head = "order,operation,person,wheels,diameter_mm,pieces\n"
    any_hand, ned = read_forecast_file(f"{head}A,fire,,4,,4\nA,shave,Ned,4,1066.80,48".encode()).rows
    assert (any_hand.person, any_hand.diameter_nm, any_hand.wheels, any_hand.pieces) == ("", None, 4, 4)
    assert (ned.person, ned.diameter_mm, ned.diameter_nm, ned.pieces) == ("Ned", "1066.80", 1_066_800_000, 48)
    with pytest.raises(FileRefused, match=r"Line 2: wheels: “1.5” is no whole number of wheels from 1 to 10,000\."):
        read_forecast_file(f"{head}A,fire,,1.5,,4".encode())


def test_the_example_of_the_readme_can_be_read() -> None:
    readme = (Path(__file__).resolve().parent.parent.parent / "README.md").read_text(encoding="utf-8")
    sheet = read_timings_file(readme.split("```csv\n")[1].split("```")[0].encode(), today=TODAY)
    assert len(sheet.rows) == 4
    names = {in_words(one.name, {"hub": "hub"}) for one in STARTING_OPERATIONS}
    assert {row.operation for row in sheet.rows} <= names
