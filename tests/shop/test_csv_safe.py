"""What a spreadsheet would take for a formula is kept as text; what is a number stays one."""

import csv
import io
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.csv_safe import csv_lines, safe_cell


@pytest.mark.parametrize("text", ["=1+1", "+1", "-1", "@SUM(A1)", "\t=1", "\r=1", "  =1", "\uff1d1"])
def test_a_formula_is_kept_as_text(text: str) -> None:
    assert safe_cell(text) == f"'{text}"


@pytest.mark.parametrize(("value", "cell"), [(-600, -600), (None, ""), (True, 1), (date(2026, 3, 2), "2026-03-02")])
def test_other_things_are_written_plainly(value: int | date | None, cell: str | int) -> None:
    assert safe_cell(value) == cell


@given(st.lists(st.text(st.characters(blacklist_categories=["Cs"], blacklist_characters="\0")), min_size=2, max_size=4))
def test_every_text_reads_back_guarded_or_as_it_was(texts: list[str]) -> None:
    whole = "".join(csv_lines(["a"], [texts]))
    _, back = csv.reader(io.StringIO(whole, newline=""))
    assert back == [str(safe_cell(text)) for text in texts]
    assert not any(cell.startswith(("=", "+", "-", "@", "\t", "\r", "\n")) for cell in back)
