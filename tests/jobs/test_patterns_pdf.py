"""Patterns on paper: rendered as a printer would and measured, and the sheets that they take."""

import re
import subprocess
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

from jobs.measures import Unit
from jobs.patterns import Drawing
from jobs.patterns.drawing import Circle, bounds_of, laid_out
from jobs.patterns.pdf import LETTERS, write_pdf
from jobs.patterns.tiles import EDGE, FOOT, OVERLAP, PAPERS, Paper, Tile, sheets_of, touches
from tests.factories import makeup
from tests.jobs.patterns_read import POINT, drawn_for_paper, patterns, said
from tests.jobs.test_fit import TOLD

MM = 1_000_000
DOTS = 254
TO_MM = 25.4 / DOTS
NEAR_ENOUGH = 0.3


def paper_of(drawing: Drawing, *, paper: Paper = "a4", unit: Unit = "mm") -> bytes:
    return write_pdf(drawing, paper=paper, unit=unit, heading="Wagonette hind", described="46 in, 14 spokes")


def plate() -> Drawing:
    """Twelve holes on a circle of 120 mm, which go on one sheet."""
    made = makeup(**TOLD | {"spokes": 12, "felloes": 6})
    return patterns(made, circle_nm=120 * MM)["index-plate"]


def rendered(data: bytes, page: int, tmp_path: Path) -> NDArray[np.bool_]:
    """Where there is ink on a page, rows from the top, at 0.1 mm to the dot."""
    (tmp_path / "pattern.pdf").write_bytes(data)
    asked = ["-r", str(DOTS), "-gray", "-f", str(page), "-l", str(page), "-singlefile"]
    subprocess.run(["pdftoppm", *asked, "pattern.pdf", "page"], cwd=tmp_path, check=True)
    header, size, _, dots = (tmp_path / "page.pgm").read_bytes().split(b"\n", 3)
    assert header == b"P5"
    width, height = map(int, size.split())
    return np.frombuffer(dots, np.uint8).reshape(height, width) < 128


def strokes(line: NDArray[np.bool_]) -> list[float]:
    """The middle of each run of ink along a line of dots, in millimetres from its beginning."""
    edges = np.flatnonzero(np.diff(np.concatenate([[False], line, [False]]).astype(int)))
    return [(first + last) / 2 * TO_MM for first, last in edges.reshape(-1, 2)]


@pytest.mark.parametrize(("unit", "side"), [("mm", 100.0), ("in", 101.6)])
@pytest.mark.parametrize("paper", sorted(PAPERS))
def test_the_check_square_is_true_on_paper(
    unit: Unit, side: float, paper: Paper, poppler: None, tmp_path: Path
) -> None:
    ink = rendered(paper_of(plate(), unit=unit, paper=paper), 1, tmp_path)
    wide, high = PAPERS[paper]
    assert ink.shape == pytest.approx((high / TO_MM, wide / TO_MM), abs=2)
    across = strokes(ink[round((high - EDGE - FOOT - side / 2) / TO_MM), :])
    assert across[1] - across[0] == pytest.approx(side, abs=NEAR_ENOUGH)
    upright = strokes(ink[:, round((EDGE + side * 0.9) / TO_MM)])
    bottom = [place for place in upright if place < high - EDGE - FOOT + 1][-2:]
    assert bottom[1] - bottom[0] == pytest.approx(side, abs=NEAR_ENOUGH)


def test_a_chord_is_true_on_paper(poppler: None, tmp_path: Path) -> None:
    drawing = plate()
    ink = rendered(paper_of(drawing), 2, tmp_path)
    sheets = sheets_of(drawn_for_paper(drawing), "a4", letters=LETTERS)
    part = sheets.tiles[0].part
    # Holes 2 and 12 stand 30° to both sides of the top, so that they are half the circle's diameter apart.
    up = EDGE + FOOT + 60 * np.cos(np.pi / 6) - part.bottom
    found = strokes(ink[round((sheets.height - up) / TO_MM), :])
    # The plate's edge, then the near and far side of a hole of 6.35 mm, and the same again from the right.
    assert found[-2] - found[1] == pytest.approx(60 + 6.35, abs=NEAR_ENOUGH)
    edge = 60 + 25.4
    assert found[-1] - found[0] == pytest.approx(2 * np.sqrt(edge**2 - 60**2 * 0.75), abs=NEAR_ENOUGH)


def test_the_first_page_says_every_measure_and_assumption(poppler: None, tmp_path: Path) -> None:
    drawing = patterns(makeup(**TOLD), "in")["felloe"]
    (tmp_path / "pattern.pdf").write_bytes(paper_of(drawing, unit="in"))
    told = subprocess.run(["pdftotext", "pattern.pdf", "-"], cwd=tmp_path, check=True, capture_output=True).stdout
    words = " ".join(told.decode().split())
    for name, value in said(drawing).items():
        assert f"{name}: {value}" in words
    for note in drawing.notes:
        assert note in words
    assert "4 in each way" in words
    assert re.search(r"A2 of A1 to A2, page 3 of 3\b", words)
    fonts = subprocess.run(["pdffonts", "pattern.pdf"], cwd=tmp_path, check=True, capture_output=True).stdout.decode()
    used = [line.split() for line in fonts.splitlines()[2:]]
    assert used
    # Its columns end with: embedded, subset, unicode, object and generation.
    assert all(row[-5] == "yes" for row in used if "DejaVu" in row[0])
    assert any("DejaVu" in row[0] for row in used)


@pytest.mark.parametrize("unit", ["mm", "in"])
def test_a_figure_at_a_sheets_edge_is_whole_on_both(unit: Unit, poppler: None, tmp_path: Path) -> None:
    """The chord's middle is where two sheets meet: its figure moves along its line."""
    drawing = patterns(makeup(**TOLD), unit)["felloe"]
    tiles = sheets_of(drawn_for_paper(drawing), "a4", letters=LETTERS).tiles
    assert len(tiles) == 2
    (tmp_path / "pattern.pdf").write_bytes(paper_of(drawing, unit=unit))
    boxes = subprocess.run(["pdftotext", "-bbox", "pattern.pdf", "-"], cwd=tmp_path, check=True, capture_output=True)
    pages = boxes.stdout.decode().split("<page ")[2:]
    first_word = said(drawing)["Chord of the sole"].split()[0]
    for page in pages:
        width = float(page.split('width="')[1].split('"')[0])
        (left, right), *_ = re.findall(rf'xMin="(\S+)" \S+ xMax="(\S+)" \S+>{first_word}</word>', page)
        assert float(left) * POINT >= EDGE
        assert (width - float(right)) * POINT >= EDGE


def test_the_same_drawing_gives_the_same_bytes() -> None:
    assert paper_of(plate()) == paper_of(plate())


@pytest.mark.parametrize("paper", sorted(PAPERS))
@pytest.mark.parametrize("key", ["felloe", "section", "front"])
def test_sheets_cover_all_of_a_drawing_and_overlap(key: str, paper: Paper) -> None:
    shapes = drawn_for_paper(patterns(makeup(**TOLD))[key])
    sheets = sheets_of(shapes, paper, letters=LETTERS)
    box = bounds_of(shapes, letters=LETTERS)
    assert {(sheets.width, sheets.height), (sheets.height, sheets.width)} & {PAPERS[paper]}
    parts = {(tile.row, tile.column): tile.part for tile in sheets.tiles}
    for (row, column), part in parts.items():
        if right := parts.get((row, column + 1)):
            assert part.right - right.left == pytest.approx(OVERLAP)
        if below := parts.get((row + 1, column)):
            assert below.top - part.bottom == pytest.approx(OVERLAP)
    # All corners of the grid reach over the drawing's, and no sheet that stays out has any of it.
    assert min(part.left for part in parts.values()) <= box.left
    assert max(part.top for part in parts.values()) >= box.top
    assert len(parts) <= sheets.rows * sheets.columns


def test_sheets_with_nothing_on_them_are_left_out() -> None:
    ring = [Circle("cut", (0, 0), 600)]
    sheets = sheets_of(ring, "a4", letters=LETTERS)
    there = {(tile.row, tile.column) for tile in sheets.tiles}
    assert (sheets.rows // 2, sheets.columns // 2) not in there
    # The corners of the grid lie outside the ring.
    assert len(there) < sheets.rows * sheets.columns
    names = [tile.name for tile in sheets.tiles]
    assert len(set(names)) == len(names)


def test_every_point_of_a_ring_is_on_a_sheet() -> None:
    sheets = sheets_of([Circle("cut", (0, 0), 600)], "letter", letters=LETTERS)
    for turn in np.linspace(0, 2 * np.pi, 2000):
        x, y = 600 * np.cos(turn), 600 * np.sin(turn)
        assert any(
            tile.part.left <= x <= tile.part.right and tile.part.bottom <= y <= tile.part.top for tile in sheets.tiles
        )


@pytest.mark.parametrize(("row", "column", "name"), [(1, 1, "B2"), (0, 0, "A1"), (25, 9, "Z10"), (26, 0, "AA1")])
def test_sheets_are_named_by_row_and_column(row: int, column: int, name: str) -> None:
    part = bounds_of(laid_out(plate(), letters=1), letters=1)
    assert Tile(row, column, part).name == name
    assert touches(Circle("cut", (0, 0), 1), part, letters=1)
