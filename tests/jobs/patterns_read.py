"""Reads patterns back from the files that they are written to, as millimetres."""

import base64
import re
import zlib
from io import StringIO
from typing import Any
from xml.etree import ElementTree

import ezdxf
import numpy as np

from jobs.makeup import MakeUp
from jobs.makeup.problems import PLAIN_WORDS
from jobs.measures import Unit
from jobs.patterns import Drawing, patterns_of
from jobs.patterns.drawing import FOR_A_CUTTER, Line, Point, laid_out
from jobs.patterns.dxf import write_dxf
from jobs.patterns.pdf import EDGE, FOOT, LETTERS, write_pdf
from jobs.patterns.svg import write_svg
from jobs.patterns.tiles import sheets_of
from jobs.sizes import sizes_of

SVG = "{http://www.w3.org/2000/svg}"
POINT = 25.4 / 72
Lines = list[tuple[Point, Point]]


def patterns(made: MakeUp, unit: Unit = "mm", *, circle_nm: float | None = None, **asked: Any) -> dict[str, Drawing]:
    found = patterns_of(made, sizes_of(made, **asked), words=PLAIN_WORDS, unit=unit, circle_nm=circle_nm)
    return {drawing.key: drawing for drawing in found}


def said(drawing: Drawing) -> dict[str, str]:
    return {each.name: each.said for each in drawing.dimensions}


def lengths(drawing: Drawing) -> dict[str, float]:
    return {each.name: each.length for each in drawing.dimensions}


def svg_root(drawing: Drawing) -> Any:
    return ElementTree.fromstring(write_svg(drawing))  # noqa: S314  (our own output)


def dxf_space(drawing: Drawing) -> Any:
    return dxf_document(drawing).modelspace()


def dxf_document(drawing: Drawing) -> Any:
    return ezdxf.read(StringIO(write_dxf(drawing).decode()))


def all_among(some: Lines, others: Lines) -> bool:
    """Whether each line is among the others, whichever way round, to a thousandth of a millimetre."""
    ends = np.array([[*start, *end] for start, end in others] + [[*end, *start] for start, end in others])
    return all(np.abs(ends - [*start, *end]).max(axis=1).min() < 1e-3 for start, end in some)


def lines_in(drawing: Drawing) -> Lines:
    told = drawing.of(*FOR_A_CUTTER).shapes
    return [(each.start, each.end) for each in told if isinstance(each, Line)]


def lines_in_svg(drawing: Drawing) -> Lines:
    found = svg_root(drawing).iter(f"{SVG}line")
    numbers = ([float(each.get(name)) for name in ("x1", "y1", "x2", "y2")] for each in found)
    return [((x, -y), (u, -v)) for x, y, u, v in numbers]


def lines_in_dxf(drawing: Drawing) -> Lines:
    wanted = [layer.upper() for layer in FOR_A_CUTTER]
    found = [each.dxf for each in dxf_space(drawing).query("LINE") if each.dxf.layer in wanted]
    return [((each.start.x, each.start.y), (each.end.x, each.end.y)) for each in found]


def lines_in_pdf(drawing: Drawing) -> Lines:
    """The lines on all sheets after the first, each where it is in the drawing."""
    data = write_pdf(drawing, paper="a4", unit="mm", heading="Wheel", described="A wheel")
    tiles = sheets_of(drawn_for_paper(drawing), "a4", letters=LETTERS).tiles
    found = [_lines(stream) for stream in streams(data)]
    assert len(found) == len(tiles) + 1
    lines = []
    for tile, pairs in zip(tiles, found[1:], strict=True):
        right, up = tile.part.left - EDGE, tile.part.bottom - EDGE - FOOT
        lines += [((x + right, y + up), (u + right, v + up)) for (x, y), (u, v) in pairs]
    return lines


def drawn_for_paper(drawing: Drawing) -> list[Any]:
    return list(laid_out(drawing, letters=LETTERS))


def streams(data: bytes) -> list[str]:
    """What is drawn on each page."""
    packed = re.findall(
        rb"/Filter \[ /ASCII85Decode /FlateDecode \] /Length \d+\s*>>\s*stream\s+(.*?)endstream", data, re.S
    )
    found = [zlib.decompress(base64.a85decode(each.strip().removesuffix(b"~>"))) for each in packed]
    return [each.decode("latin-1") for each in found if b" cm" in each[:200]]


def _lines(stream: str) -> Lines:
    """Straight strokes in millimetres from the sheet's left bottom corner, by the matrix that is in force."""
    kept: list[tuple[float, ...]] = []
    matrix: tuple[float, ...] = (1, 0, 0, 1, 0, 0)
    numbers: list[float] = []
    at: Point = (0, 0)
    found = []
    for token in re.sub(r"\((?:\\.|[^)\\])*\)", " ", stream).split():
        if re.fullmatch(r"[-+]?\d*\.?\d+", token):
            numbers.append(float(token))
            continue
        if token == "q":
            kept.append(matrix)
        elif token == "Q":
            matrix = kept.pop()
        elif token == "cm":
            matrix = _times(tuple(numbers[-6:]), matrix)
        elif token == "m":
            at = _through(matrix, *numbers[-2:])
        elif token == "l":
            end = _through(matrix, *numbers[-2:])
            found.append((at, end))
            at = end
        numbers = []
    return found


def _times(inner: tuple[float, ...], outer: tuple[float, ...]) -> tuple[float, ...]:
    a, b, c, d, e, f = inner
    p, q, r, s, t, u = outer
    return (a * p + b * r, a * q + b * s, c * p + d * r, c * q + d * s, e * p + f * r + t, e * q + f * s + u)


def _through(matrix: tuple[float, ...], x: float, y: float) -> Point:
    a, b, c, d, e, f = matrix
    return (a * x + c * y + e) * POINT, (b * x + d * y + f) * POINT
