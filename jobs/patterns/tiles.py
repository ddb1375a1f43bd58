"""How a full-size drawing is laid out on sheets of paper that overlap, and which of them it needs."""

import math
import string
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from jobs.patterns.drawing import Arc, Bounds, Circle, Line, Plain, Point, bounds_of

Paper = Literal["a4", "letter"]

# ISO 216 and ANSI Y14.1, in millimetres.
PAPERS: dict[Paper, tuple[float, float]] = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}
PAPER_NAMES: dict[Paper, str] = {"a4": "A4", "letter": "Letter"}
# What a printer may leave white at its edges. Common practice, no source.
EDGE = 10.0
# Below the drawing stands which sheet it is.
FOOT = 8.0
OVERLAP = 10.0


@dataclass(frozen=True, slots=True)
class Tile:
    """One sheet: its row from the top and column from the left, from 0, and what part of the drawing is on it."""

    row: int
    column: int
    part: Bounds

    @property
    def name(self) -> str:
        """“B2”: a letter for the row and a number for the column."""
        letters, row = "", self.row
        while row >= 0:
            letters = string.ascii_uppercase[row % 26] + letters
            row = row // 26 - 1
        return f"{letters}{self.column + 1}"


@dataclass(frozen=True, slots=True)
class Sheets:
    """All the sheets with anything on them, out of `rows` × `columns`; `width` and `height` are a whole sheet's."""

    width: float
    height: float
    rows: int
    columns: int
    tiles: tuple[Tile, ...]


def sheets_of(shapes: Sequence[Plain], paper: Paper, *, letters: float) -> Sheets:
    """The way round that needs fewer sheets, upright if both need as many. Sheets without a line are left out."""
    box = bounds_of(shapes, letters=letters).wider(1)
    wide, high = PAPERS[paper]
    ways = [_sheets(shapes, box, width, height, letters=letters) for width, height in ((wide, high), (high, wide))]
    return min(ways, key=lambda way: len(way.tiles))


def _sheets(shapes: Sequence[Plain], box: Bounds, width: float, height: float, *, letters: float) -> Sheets:
    across, up = width - 2 * EDGE, height - 2 * EDGE - FOOT
    columns, rows = _number(box.width, across), _number(box.height, up)
    # The drawing stands in the middle of its sheets.
    left = (box.left + box.right - columns * (across - OVERLAP) - OVERLAP) / 2
    top = (box.bottom + box.top + rows * (up - OVERLAP) + OVERLAP) / 2
    tiles = []
    for row in range(rows):
        for column in range(columns):
            x, y = left + column * (across - OVERLAP), top - row * (up - OVERLAP)
            tile = Tile(row, column, Bounds(x, y - up, x + across, y))
            if any(touches(shape, tile.part, letters=letters) for shape in shapes):
                tiles.append(tile)
    return Sheets(width, height, rows, columns, tuple(tiles))


def _number(length: float, sheet: float) -> int:
    return max(1, math.ceil((length - OVERLAP) / (sheet - OVERLAP)))


def touches(shape: Plain, part: Bounds, *, letters: float) -> bool:
    """Whether any of the shape may lie in that part; of words, whether their frame does."""
    if isinstance(shape, Line):
        return _line_touches(shape.start, shape.end, part)
    if not bounds_of([shape], letters=letters).meets(part):
        return False
    if isinstance(shape, Circle | Arc):
        near, far = _reach(shape.centre, part)
        return near <= shape.radius <= far
    return True


def _reach(centre: Point, part: Bounds) -> tuple[float, float]:
    """How near and how far the points of that part lie from the centre."""
    x, y = centre
    beside = max(part.left - x, 0.0, x - part.right), max(part.bottom - y, 0.0, y - part.top)
    far = max(abs(part.left - x), abs(part.right - x)), max(abs(part.bottom - y), abs(part.top - y))
    return math.hypot(*beside), math.hypot(*far)


def _line_touches(start: Point, end: Point, part: Bounds) -> bool:
    """By cutting the line at each of the four edges in turn (Liang and Barsky, ACM TOG 3, 1984)."""
    first, last = 0.0, 1.0
    (x, y), (across, up) = start, (end[0] - start[0], end[1] - start[1])
    edges = ((-across, x - part.left), (across, part.right - x), (-up, y - part.bottom), (up, part.top - y))
    for way, room in edges:
        if way == 0:
            if room < 0:
                return False
        elif way < 0:
            first = max(first, room / way)
        else:
            last = min(last, room / way)
    return first <= last
