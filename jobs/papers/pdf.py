"""Papers as PDF: heads and feet with the number of pages, and between them the pieces of a document in their order."""

from collections.abc import Iterator
from io import BytesIO
from typing import Any

from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import BaseDocTemplate, Flowable, Frame, KeepTogether, PageTemplate, Spacer

from jobs.papers import look
from jobs.papers.content import Box, Document, Pictures, Piece, Table, Words
from jobs.papers.drawn import Drawn
from jobs.papers.tables import frame, side_by_side, table
from jobs.patterns.paper import font, width_of
from jobs.patterns.tiles import PAPERS, Paper

LANGUAGE = "en-GB"
# Whose paper it is takes at most so much of the head, and wraps beyond.
ASIDE = 0.4


def write_document(document: Document, *, paper: Paper) -> bytes:
    """The same document gives the same bytes."""
    # Laid out twice: only then is it known of how many pages each is one.
    pages = _build(document, paper, BytesIO(), pages=0)
    out = BytesIO()
    _build(document, paper, out, pages=pages)
    return out.getvalue()


def _build(document: Document, paper: Paper, out: BytesIO, *, pages: int) -> int:
    """Write it, as of so many pages; how many they are."""
    width, height = (each * mm for each in PAPERS[paper])
    edges = _Edges(document, width, height, pages)
    foot = look.BOTTOM + look.SMALL + look.CLEAR
    high = height - look.TOP - edges.high - look.CLEAR - foot
    room = Frame(look.SIDE, foot, edges.width, high, leftPadding=0, rightPadding=0, topPadding=0, bottomPadding=0)
    laid = BaseDocTemplate(
        out,
        pagesize=(width, height),
        pageTemplates=[PageTemplate("page", [room], onPage=edges.draw)],
        title=document.title,
        author=document.whose,
        subject=document.running,
        lang=LANGUAGE,
        displayDocTitle=1,
        invariant=1,
    )
    laid.build(list(_flow(document, edges.width)))
    return laid.page


def _flow(document: Document, width: float) -> Iterator[Flowable]:
    yield look.say(document.title, look.TITLE, strong=True)
    yield Spacer(0, look.GAP)
    yield from (look.say(line, look.LEAD) for line in document.about)
    yield Spacer(0, look.AFTER)
    for piece in document.pieces:
        yield _laid(piece, width)
        yield Spacer(0, look.GAP if isinstance(piece, Words) else look.AFTER)


def _laid(piece: Piece, width: float) -> Flowable:
    if isinstance(piece, Table):
        return table(piece, width)
    if isinstance(piece, Box):
        return frame(piece, width)
    if isinstance(piece, Pictures):
        return _pictures(piece, width)
    return KeepTogether(look.say(piece.said, look.SMALL if piece.small else look.BODY))


def _pictures(pictures: Pictures, width: float) -> Flowable:
    count = len(pictures.drawings)
    each = (width - look.AFTER * (count - 1)) / count
    columns: list[list[Flowable]] = [
        [
            Drawn(drawing, each, look.PICTURE_HIGH),
            Spacer(0, look.GAP),
            look.say(drawing.name, strong=True),
            *(look.say(note, look.SMALL) for note in drawing.notes),
        ]
        for drawing in pictures.drawings
    ]
    return side_by_side(columns, each, look.AFTER)


class _Edges:
    """The head of each page, with what it is of and whose; and its foot, with the day and the number of the page."""

    def __init__(self, document: Document, width: float, height: float, pages: int) -> None:
        self._document, self._pages, self._top = document, pages, height - look.TOP
        self._right, self.width = width - look.SIDE, width - 2 * look.SIDE
        self._running = look.say(document.running, look.SMALL)
        self._whose = look.say(document.whose, look.SMALL, right=True)
        self._aside = min(width_of(document.whose, look.SMALL) + 1, self.width * ASIDE)
        across = self.width - self._aside - look.GAP
        self.high = max(self._running.wrap(across, height)[1], self._whose.wrap(self._aside, height)[1])

    def draw(self, canvas: Canvas, _: Any) -> None:
        for said, left in ((self._running, look.SIDE), (self._whose, self._right - self._aside)):
            said.drawOn(canvas, left, self._top - said.height)
        look.double_rule(canvas, look.SIDE, self._right, self._top - self.high - look.GAP / 2)
        canvas.setFont(font(), look.SMALL)
        canvas.drawString(look.SIDE, look.BOTTOM, self._document.printed)
        canvas.drawRightString(self._right, look.BOTTOM, f"Page {canvas.getPageNumber()} of {self._pages}")
        look.double_rule(canvas, look.SIDE, self._right, look.BOTTOM + look.SMALL + look.GAP / 2)
