"""Papers as PDF: heads and feet with the number of pages, and between them the pieces of a document in their order."""

from collections.abc import Iterator
from functools import partial
from io import BytesIO
from typing import Any

from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import BaseDocTemplate, Flowable, Frame, KeepTogether, PageTemplate, Spacer

from jobs.papers import look
from jobs.papers.bill import amounts, letterhead, signing, write_across
from jobs.papers.content import Amounts, Box, Document, Pictures, Piece, Signing, Standing, Table, Words
from jobs.papers.drawn import Drawn
from jobs.papers.standing import standing_rows
from jobs.papers.tables import frame, side_by_side, table
from jobs.patterns.paper import font, width_of
from jobs.patterns.tiles import PAPERS, Paper

LANGUAGE = "en-GB"
# Whose paper it is takes at most so much of the head, and wraps beyond.
ASIDE = 0.4


def write_document(document: Document, *, paper: Paper) -> bytes:
    """The same document gives the same bytes."""
    out = BytesIO()
    width, height = (each * mm for each in PAPERS[paper])
    edges = _Edges(document, width, height)
    foot = look.BOTTOM + look.SMALL + look.CLEAR
    high = height - look.TOP - edges.high - look.CLEAR - foot
    pages_like = [PageTemplate("page", [_room(edges, foot, high)], onPage=edges.draw)]
    if document.letterhead:
        # It stands instead of the head that other pages have.
        room = _room(edges, foot, height - look.TOP - foot)
        pages_like.insert(0, PageTemplate("first", [room], onPage=edges.draw_foot, autoNextPageTemplate="page"))
    laid = BaseDocTemplate(
        out,
        pagesize=(width, height),
        pageTemplates=pages_like,
        title=document.title,
        author=document.whose,
        subject=document.running,
        lang=LANGUAGE,
        displayDocTitle=1,
        invariant=1,
    )
    laid.build(list(_flow(document, edges.width)), canvasmaker=partial(_Counted, right=edges.right))
    return out.getvalue()


class _Counted(Canvas):
    """Keeps every page until the last is laid out: only then is it known of how many each is one."""

    def __init__(self, *args: Any, right: float, **others: Any) -> None:
        super().__init__(*args, **others)
        self._numbers_end_at = right
        self._kept: list[dict[str, Any]] = []

    def showPage(self) -> None:  # noqa: N802  the library's name
        self._kept.append(dict(self.__dict__))
        self._startPage()  # type: ignore[attr-defined]  # as the library does itself after each page

    def save(self) -> None:
        for page in self._kept:
            self.__dict__.update(page)
            self.setFont(font(), look.SMALL)
            self.drawRightString(self._numbers_end_at, look.BOTTOM, f"Page {self.getPageNumber()} of {len(self._kept)}")
            super().showPage()
        super().save()


def _room(edges: "_Edges", foot: float, high: float) -> Frame:
    return Frame(look.SIDE, foot, edges.width, high, leftPadding=0, rightPadding=0, topPadding=0, bottomPadding=0)


def _flow(document: Document, width: float) -> Iterator[Flowable]:
    if document.letterhead:
        yield from letterhead(document, document.letterhead, width)
    else:
        yield look.say(document.title, look.TITLE, strong=True)
        yield Spacer(0, look.GAP)
    yield from (look.say(line, look.LEAD) for line in document.about)
    yield Spacer(0, look.AFTER)
    for piece in document.pieces:
        yield from _laid(piece, width)
        yield Spacer(0, look.GAP if isinstance(piece, Words) else look.AFTER)


def _laid(piece: Piece, width: float) -> Iterator[Flowable]:
    if isinstance(piece, Table):
        yield table(piece, width)
    elif isinstance(piece, Box):
        yield frame(piece, width)
    elif isinstance(piece, Pictures):
        yield _pictures(piece, width)
    elif isinstance(piece, Standing):
        yield from standing_rows(piece.wheels, width)
    elif isinstance(piece, Amounts):
        yield amounts(piece, width)
    elif isinstance(piece, Signing):
        yield signing(piece, width)
    else:
        yield KeepTogether(look.say(piece.said, look.SMALL if piece.small else look.BODY))


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
    """The head of each page, with what it is of and whose; and its foot, with the day."""

    def __init__(self, document: Document, width: float, height: float) -> None:
        self._document, self._top = document, height - look.TOP
        self._width, self._height = width, height
        self.right, self.width = width - look.SIDE, width - 2 * look.SIDE
        self._running = look.say(document.running, look.SMALL)
        self._whose = look.say(document.whose, look.SMALL, right=True)
        self._aside = min(width_of(document.whose, look.SMALL) + 1, self.width * ASIDE)
        across = self.width - self._aside - look.GAP
        self.high = max(self._running.wrap(across, height)[1], self._whose.wrap(self._aside, height)[1])

    def draw(self, canvas: Canvas, _: Any) -> None:
        self.draw_foot(canvas, _)
        for said, left in ((self._running, look.SIDE), (self._whose, self.right - self._aside)):
            said.drawOn(canvas, left, self._top - said.height)
        look.double_rule(canvas, look.SIDE, self.right, self._top - self.high - look.GAP / 2)

    def draw_foot(self, canvas: Canvas, _: Any) -> None:
        if self._document.across:
            write_across(canvas, self._document.across, self._width, self._height)
        canvas.setFont(font(), look.SMALL)
        canvas.drawString(look.SIDE, look.BOTTOM, self._document.printed)
        look.double_rule(canvas, look.SIDE, self.right, look.BOTTOM + look.SMALL + look.GAP / 2)
