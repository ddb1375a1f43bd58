"""Tables of a paper: heads that stand again on each page, rows that no page's end parts, and frames for cautions."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import accumulate, pairwise, takewhile
from typing import Any

from reportlab.lib.colors import Color, black
from reportlab.platypus import Flowable
from reportlab.platypus import Table as Laid

from jobs.papers import look
from jobs.papers.content import Across, Box, Boxes, Column, Line, Part, Table
from jobs.papers.drawn import PencilBox

Command = tuple[Any, ...]
HAIRLINE = Color(look.HAIR_GREY, look.HAIR_GREY, look.HAIR_GREY)


@dataclass(frozen=True, slots=True)
class Measured:
    """A part of a ledger and its height, worked out once: it waits from page to page until its own."""

    part: Flowable
    high: float


class Ledger(Flowable):
    """Blocks under heads that are drawn again wherever it goes on; it is parted only between blocks.

    The library's own tables can do so too, but take a time that grows with the square of their rows.
    """

    def __init__(self, heads: Measured, blocks: Sequence[Measured]) -> None:
        super().__init__()
        self.parts = (heads, *blocks)

    def wrap(self, room: float, _: float) -> tuple[float, float]:
        self.width, self.height = room, sum(each.high for each in self.parts)
        return self.width, self.height

    def split(self, _: float, height: float) -> list[Flowable]:
        heads, *blocks = self.parts
        ends = accumulate((each.high for each in blocks), initial=heads.high)
        count = sum(1 for end in takewhile(lambda end: end <= height, ends)) - 1
        return [Ledger(heads, blocks[:count]), Ledger(heads, blocks[count:])] if count > 0 else []

    def draw(self) -> None:
        up = self.height
        for each in self.parts:
            up -= each.high
            each.part.drawOn(self.canv, 0, up)


def table(told: Table, width: float) -> Flowable:
    """Its name and its heads stand on every page that it reaches."""
    columns = told.columns
    whole = sum(column.wide for column in columns)
    widths = [column.wide / whole * width for column in columns]
    padding = [*_PADDING, *_apart(columns)]
    heads: list[list[Any]] = [_spread(look.beside(told.name, told.beside), columns)]
    if any(column.head for column in columns):
        heads.append([look.say(column.head, look.SMALL, right=column.figures) for column in columns])
    ruled: list[Command] = [
        *padding,
        ("SPAN", (0, 0), (-1, 0)),
        ("LINEBELOW", (0, -1), (-1, -1), look.RULE, black),
        ("VALIGN", (0, -1), (-1, -1), "BOTTOM"),
    ]
    blocks = (_block(block, columns, widths, padding) for block in told.blocks)
    return Ledger(_measured(Laid(heads, colWidths=widths, style=ruled)), [_measured(block) for block in blocks])


def _measured(part: Flowable) -> Measured:
    return Measured(part, float(part.wrap(0, 0)[1]))


def _block(block: Sequence[Line], columns: Sequence[Column], widths: list[float], padding: list[Command]) -> Flowable:
    commands = [command for row, line in enumerate(block) for command in _commands(line, row)]
    hair: Command = ("LINEBELOW", (0, -1), (-1, -1), look.HAIR, HAIRLINE)
    rows = [_row(line, columns) for line in block]
    return Laid(rows, colWidths=widths, style=[*padding, *commands, hair])


def _apart(columns: Sequence[Column]) -> list[Command]:
    """Else what ends a column of figures and what begins the next of words would stand too near."""
    return [
        ("LEFTPADDING", (place, 0), (place, -1), look.GAP)
        for place, (before, column) in enumerate(pairwise(columns), 1)
        if before.figures and not column.figures
    ]


_PADDING: tuple[Command, ...] = (
    ("VALIGN", (0, 0), (-1, -1), "TOP"),
    ("TOPPADDING", (0, 0), (-1, -1), look.ROW),
    ("BOTTOMPADDING", (0, 0), (-1, -1), look.ROW),
    ("LEFTPADDING", (0, 0), (-1, -1), 0),
    ("RIGHTPADDING", (0, 0), (-2, -1), look.GAP),
    ("RIGHTPADDING", (-1, 0), (-1, -1), 0),
)


def _spread(over: Flowable, columns: Sequence[Column]) -> list[Any]:
    return [over, *[""] * (len(columns) - 1)]


def _row(line: Line, columns: Sequence[Column]) -> list[Any]:
    if isinstance(line, Across):
        size = look.BODY if line.strong else look.SMALL
        return _spread(look.say(line.said, size, strong=line.strong), columns)
    if isinstance(line, Part):
        return _spread(look.say(line.said, look.LEAD, strong=True), columns)
    if isinstance(line, Boxes):
        return [look.say(line.label), *(PencilBox() if boxed else "" for boxed in line.boxed)]
    cells: list[Any] = [
        PencilBox()
        if column.boxed
        else look.say(said, look.SMALL if column.small else look.BODY, strong=column.strong, right=column.figures)
        for said, column in zip(line.said, columns, strict=True)
    ]
    if line.below:
        cells[0] = [cells[0], look.say(line.below, look.SMALL)]
    return cells


def _commands(line: Line, row: int) -> list[Command]:
    if isinstance(line, Across):
        return [("SPAN", (0, row), (-1, row)), ("TOPPADDING", (0, row), (-1, row), 0)]
    if isinstance(line, Part):
        return [("SPAN", (0, row), (-1, row)), ("TOPPADDING", (0, row), (-1, row), look.GAP)]
    if isinstance(line, Boxes):
        return [("VALIGN", (0, row), (-1, row), "MIDDLE")]
    return []


def frame(box: Box, width: float) -> Flowable:
    """Its name and what it says, in a frame; a page may end between two of its items, not within one."""
    rows: list[list[Any]] = [[look.say(box.name, look.LEAD, strong=True)]] if box.name else []
    rows += [[look.led(item.lead, item.said, item.warning)] for item in box.items]
    line = look.HEAVY if box.heavy else look.RULE
    commands: list[Command] = [
        ("BOX", (0, 0), (-1, -1), line, black),
        ("TOPPADDING", (0, 0), (-1, -1), look.ROW),
        ("BOTTOMPADDING", (0, 0), (-1, -1), look.ROW),
        ("LEFTPADDING", (0, 0), (-1, -1), look.GAP),
        ("RIGHTPADDING", (0, 0), (-1, -1), look.GAP),
        ("TOPPADDING", (0, 0), (-1, 0), look.GAP),
        ("BOTTOMPADDING", (0, -1), (-1, -1), look.GAP),
    ]
    if len(rows) > 1:
        # Its name never stands alone.
        commands.append(("NOSPLIT", (0, 0), (0, 1)))
    return Laid(rows, colWidths=[width], style=commands, hAlign="LEFT")


def side_by_side(columns: Sequence[list[Flowable]], each: float, between: float) -> Flowable:
    """Pieces beside each other, their tops on one line."""
    widths = [each + between] * (len(columns) - 1) + [each]
    commands: list[Command] = [
        ("VALIGN", (0, 0), (-1, -1), "TOP"),
        ("LEFTPADDING", (0, 0), (-1, -1), 0),
        ("RIGHTPADDING", (0, 0), (-2, -1), between),
        ("RIGHTPADDING", (-1, 0), (-1, -1), 0),
    ]
    return Laid([list(columns)], colWidths=widths, style=commands, hAlign="LEFT")
