"""The pay sheet on paper: the sum, every line, the days it came from, and what is said of it."""

from collections.abc import Iterator
from datetime import date

from jobs.papers import Across, Cells, Column, Document, Table, Words
from jobs.papers.content import Box, Item, Line, Piece
from shop.days import day_in_words
from shop.money import format_pence
from shop.order_words import printed_in_words
from shop.pay_sheet import SheetTold

LINES = (
    Column("What", 46),
    Column("How many", 18, figures=True),
    Column("Each", 18, figures=True),
    Column("Amount", 18, figures=True, strong=True),
)
DAYS = (
    Column("Day", 24),
    Column("Paid time", 14, figures=True),
    Column("Of it at pieces", 16, figures=True),
    Column("Pieces paid", 46),
)


def sheet_paper(sheet: SheetTold, *, shop: str, today: date) -> Document:
    title = f"Pay of {sheet.hand}, {sheet.period}"
    gross = format_pence(sheet.gross_pence, sheet.currency)
    about = (f"{gross} before tax and stoppages.", sheet.why)
    return Document(title, about, title, shop, printed_in_words(today), tuple(_pieces(sheet)))


def _pieces(sheet: SheetTold) -> Iterator[Piece]:
    if sheet.lines:
        yield Table("Lines", LINES, tuple(line_blocks(sheet)))
    if sheet.days:
        rows = tuple((Cells((day_in_words(day.on), day.hours, day.at_pieces, day.pieces)),) for day in sheet.days)
        yield Table("Days", DAYS, rows)
    yield from map(Words, sheet.said)
    yield Box("Rules", (Item(sheet.rules, sheet.caution),))


def line_blocks(sheet: SheetTold) -> Iterator[tuple[Line, ...]]:
    """Every line of a sheet and what they come to, under `LINES`."""
    for line in sheet.lines:
        amount = format_pence(line.pence, sheet.currency)
        yield (
            Cells(
                (line.name, line.quantity, line.rate, amount), below="" if line.heading == line.name else line.heading
            ),
        )
    total = Cells(("In all", "", "", format_pence(sheet.gross_pence, sheet.currency)))
    if sheet.rounded_over:
        yield (total, Across("Each line is rounded by itself; what is paid is rounded once, over all of them."))
    else:
        yield (total,)
