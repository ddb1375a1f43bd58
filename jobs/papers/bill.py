"""What papers have that go to somebody else: a letterhead, sums of money, and lines to sign on."""

from typing import Any

from reportlab.lib.colors import black
from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import Flowable, KeepTogether, Spacer
from reportlab.platypus import Table as Laid

from jobs.papers import look
from jobs.papers.content import Amounts, Document, Letterhead, Signing
from jobs.papers.tables import side_by_side
from jobs.patterns.paper import bold, width_of

Command = tuple[Any, ...]
# Sums take so much of the width, and the facts of a letterhead at most so much.
SUMS, FACTS = 0.56, 0.44
LABEL = 21 * mm
SIGN_HIGH = 13 * mm
ACROSS_SIZE, ACROSS_GREY = 110.0, 0.9


def letterhead(document: Document, head: Letterhead, width: float) -> list[Flowable]:
    """Whose paper it is on the left; on the right what it is, with its number and its days."""
    right = width * FACTS
    left = width - right - look.AFTER
    whose: list[Flowable] = [look.say(document.whose, look.TITLE, strong=True), Spacer(0, look.ROW)]
    whose += [look.say(line) for line in head.lines]
    rows = [[look.say(label, look.SMALL), look.say(said, strong=True)] for label, said in head.facts]
    facts = Laid(rows, colWidths=[LABEL, right - LABEL], style=_PLAIN, hAlign="LEFT")
    what: list[Flowable] = [look.say(document.title, look.HEADING, strong=True), Spacer(0, look.ROW), facts]
    both = Laid([[whose, what]], colWidths=[left + look.AFTER, right], style=_PLAIN, hAlign="LEFT")
    return [both, Spacer(0, look.GAP), DoubleRule(width), Spacer(0, look.AFTER)]


_PLAIN: list[Command] = [
    ("VALIGN", (0, 0), (-1, -1), "TOP"),
    ("LEFTPADDING", (0, 0), (-1, -1), 0),
    ("RIGHTPADDING", (0, 0), (-1, -1), look.GAP),
    ("TOPPADDING", (0, 0), (-1, -1), 0),
    ("BOTTOMPADDING", (0, 0), (-1, -1), look.ROW / 2),
]


class DoubleRule(Flowable):
    """Two lines over the whole width."""

    def __init__(self, width: float) -> None:
        super().__init__()
        self.width, self.height = width, 2.0

    def draw(self) -> None:
        look.double_rule(self.canv, 0, self.width, 0)


def amounts(told: Amounts, width: float) -> Flowable:
    """At the right side, where a bill's sums are looked for."""
    wide = width * SUMS
    rows = [
        [
            look.say(row.what, look.NAME if row.total else look.BODY, strong=row.total),
            look.say(row.said, look.NAME if row.total else look.BODY, strong=row.total, right=True),
        ]
        for row in told.rows
    ]
    commands: list[Command] = [
        *_PLAIN,
        ("RIGHTPADDING", (1, 0), (1, -1), 0),
        ("TOPPADDING", (0, 0), (-1, -1), look.ROW),
    ]
    for place, row in enumerate(told.rows):
        if row.total:
            row_of = ((0, place), (-1, place), look.RULE, black)
            commands += [("LINEABOVE", *row_of), ("LINEBELOW", *row_of, None, None, None, 2, 1.6)]
            commands += [("TOPPADDING", (0, place + 1), (-1, place + 1), look.GAP)]
    commands.append(("NOSPLIT", (0, 0), (-1, -1)))
    return Laid(rows, colWidths=[wide * 0.62, wide * 0.38], style=commands, hAlign="RIGHT")


def signing(told: Signing, width: float) -> Flowable:
    """A line for each, its label under it."""
    count = len(told.lines)
    each = (width - look.AFTER * (count - 1)) / count
    columns: list[list[Flowable]] = [[SignLine(each), look.say(label, look.SMALL)] for label in told.lines]
    return KeepTogether(
        [
            look.say(told.name, look.NAME, strong=True),
            Spacer(0, look.ROW),
            look.say(told.said),
            side_by_side(columns, each, look.AFTER),
        ]
    )


class SignLine(Flowable):
    """Room for a hand's writing, and the line under it."""

    def __init__(self, width: float) -> None:
        super().__init__()
        self.width, self.height = width, SIGN_HIGH

    def draw(self) -> None:
        self.canv.setLineWidth(look.RULE)
        self.canv.line(0, 1, self.width, 1)


def write_across(canvas: Canvas, said: str, width: float, height: float) -> None:
    """Pale, from corner to corner, under whatever is written after it."""
    size = min(ACROSS_SIZE, ACROSS_SIZE * height * 0.8 / width_of(said, ACROSS_SIZE))
    canvas.saveState()
    canvas.translate(width / 2, height / 2)
    canvas.rotate(52)
    canvas.setFont(bold(), size)
    canvas.setFillGray(ACROSS_GREY)
    canvas.drawCentredString(0, -size / 3, said)
    canvas.restoreState()
