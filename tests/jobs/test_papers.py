"""Papers: what stands on their pages, what no page's end parts, and that nothing runs off or over."""

import re
from collections.abc import Sequence

import pytest

from jobs.papers import Across, Box, Boxes, Cells, Column, Document, Item, Line, Part, Table, Words
from jobs.papers.content import Piece
from jobs.papers.pdf import write_document
from jobs.patterns.tiles import PAPERS, Paper
from tests.papers_read import pages_of, poppler_told, text_of

POINT = 25.4 / 72
COLUMNS = (Column("For", 40), Column("Run", 20, figures=True, strong=True), Column("Cut", 20, figures=True))
LONG = "Countess-of-Warwickshire-and-Leamington-Spa-" * 4


def document(*pieces: Piece, title: str = "Iron: order 12") -> Document:
    return Document(title, ("For Mrs Long.",), title, "Ford Lane wheelwrights", "Printed 25 November 2026", pieces)


def table(blocks: Sequence[tuple[Line, ...]]) -> Table:
    return Table("Bar 38.1 × 12.7 mm", COLUMNS, tuple(blocks), beside="24 wanted")


def row(number: int) -> tuple[Line, ...]:
    """A row of four lines, each with its number."""
    return (
        Cells((f"Tyre {number}.", "3670.6 mm", "3711 mm"), below=f"wheel {number}."),
        Across(f"Round {number}. its middle", strong=number % 2 == 0),
        Boxes(f"measured {number}.", (True, True)),
    )


@pytest.mark.parametrize("paper", sorted(PAPERS))
def test_each_page_says_whose_it_is_and_repeats_the_heads(paper: Paper, poppler: None) -> None:
    pages = pages_of(write_document(document(table([row(number) for number in range(60)])), paper=paper))
    assert len(pages) > 3
    wide, high = PAPERS[paper]
    heads = ("Ford Lane wheelwrights", "Iron: order 12", "Printed 25 November 2026", "Bar 38.1 × 12.7 mm 24 wanted")
    for number, page in enumerate(pages, 1):
        assert (page.width * POINT, page.height * POINT) == pytest.approx((wide, high), abs=0.1)
        assert all(words in page.text for words in heads)
        assert f"Page {number} of {len(pages)}" in page.text
        # A row and what belongs to it are on one page.
        numbers = re.findall(r"(\d+)\.(?=\s)", page.text)
        assert all(numbers.count(each) == 4 for each in numbers)
    # And on no other.
    assert len(re.findall(r"Tyre \d+\.", " ".join(page.text for page in pages))) == 60


def test_nothing_runs_off_the_page_or_over_its_neighbour(poppler: None) -> None:
    long = Cells((LONG, "9999 63/64 in × 999 63/64 in", LONG), below=LONG)
    pieces = (
        Box("What to mind", (Item("Hot iron.", LONG), Item("", "It burns black as well as red. " * 20)), heavy=True),
        table([(Part(LONG), long, Across(LONG), Boxes(LONG, (True, False)))] * 6),
        Words(LONG, small=True),
    )
    pages = pages_of(write_document(document(*pieces, title=LONG), paper="a4"))
    assert [page.overlapping() for page in pages] == [[] for _ in pages]
    assert all(min(page.margins()) * POINT > 10 for page in pages)


def test_a_mark_of_markup_is_a_word_like_others(poppler: None) -> None:
    told = text_of(write_document(document(Words("Spokes < 16 & felloes > 6, <b>bold</b>")), paper="a4"))
    assert "Spokes < 16 & felloes > 6, <b>bold</b>" in told


def test_a_number_is_never_parted_from_its_unit(poppler: None) -> None:
    pages = pages_of(write_document(document(Words(" ".join(["3 ft"] * 400))), paper="a4"))
    first = {word for page in pages for word, box in zip(page.words, page.boxes, strict=True) if box[0] * POINT < 16}
    assert "3" in first
    assert "ft" not in first


def test_it_says_what_it_is_to_readers_that_are_no_eyes_and_is_the_same_each_time(poppler: None) -> None:
    data = write_document(document(), paper="letter")
    told = poppler_told(data, "pdfinfo", "-")
    assert re.search(r"Title: +Iron: order 12", told)
    assert re.search(r"Author: +Ford Lane wheelwrights", told)
    assert b"/Lang (en-GB)" in data
    assert data == write_document(document(), paper="letter")
