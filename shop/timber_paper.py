"""The cutting list on paper: blanks, what they are cut from and how, and boxes to tick off what is cut."""

from collections.abc import Iterator

from jobs.papers import Across, Cells, Column, Document, Line, Table, Words
from jobs.papers.content import Piece
from shop.money import format_pence
from shop.order_words import printed_in_words
from shop.timber_asked import TimberAsked
from shop.timber_list import BlankRow, TimberGroup
from shop.timber_stock import StockRow

BLANKS = (
    Column("For", 21),
    Column("Size", 30),
    Column("Needed", 9, figures=True),
    Column("Spares", 9, figures=True),
    Column("To cut", 9, figures=True, strong=True),
    Column("Board feet", 12, figures=True),
    Column("m³", 10, figures=True),
)
CUTS = (Column("How many", 12, figures=True, strong=True), Column("Cut from each", 76), Column("Cut", 12, boxed=True))
NONE = "–"


def timber_paper(asked: TimberAsked, *, name: str, about: tuple[str, ...]) -> Document:
    """Money stands on it only for who may see it on the page."""
    here = asked.here
    title = f"Timber: {name}"
    lines = (*about, asked.sentence)
    return Document(title, lines, title, here.shop.name, printed_in_words(here.today), tuple(_pieces(asked)))


def _pieces(asked: TimberAsked) -> Iterator[Piece]:
    for group in asked.list.groups:
        stock = asked.rows[group.key]
        yield _blanks(group, stock, asked)
        if stock.patterns:
            rows = tuple((Cells((str(one.count), one.cuts, "")),) for one in stock.patterns)
            yield Table(f"How they are cut: {group.heading[0].lower()}{group.heading[1:]}", CUTS, rows)
    if not asked.list.groups and not asked.list.left_out:
        yield Words("No new wheels stand in this order.")
    if asked.here.is_desk and asked.total:
        without = f", without {'; '.join(asked.unpriced)}" if asked.unpriced else ""
        yield Words(f"Timber together {asked.total}{without}.")
    yield from map(Words, asked.list.left_out)
    yield from (Words(how, small=True) for how in asked.hows)


def _blanks(group: TimberGroup, stock: StockRow, asked: TimberAsked) -> Table:
    *rows, last = ([_row(row)] for row in group.rows)
    notes = [Across(said, strong=strong) for said, strong in _notes(group, stock, asked)]
    return Table(group.heading, BLANKS, (*map(tuple, rows), (*last, *notes)))


def _row(row: BlankRow) -> Line:
    whose = row.whose or "every wheel"
    stay = f"{row.kept} of them stay{'s' if row.kept == 1 else ''} with the set" if row.kept else ""
    counts = (str(row.needed), str(row.spares), str(row.number))
    measures = (row.board_feet or NONE, row.cubic_metres or NONE)
    return Cells((f"{whose[:1].upper()}{whose[1:]}", row.size, *counts, *measures), below=stay)


def _notes(group: TimberGroup, stock: StockRow, asked: TimberAsked) -> Iterator[tuple[str, bool]]:
    """What is said of all of them; with it whether it stands out."""
    yield group.spoilt, False
    if group.untold:
        untold = f"{group.untold} left out below: how long they are wants the box’s outside measures in the make-up."
        yield untold, True
    if stock.refused:
        yield f"{stock.material}{': ' if stock.material else ''}{stock.refused}", True
    if stock.patterns:
        yield _bought(stock, asked), True
        yield stock.sentence, False
    if asked.here.is_desk and stock.missing:
        yield stock.missing, True


def _bought(stock: StockRow, asked: TimberAsked) -> str:
    """ "3 planks of ash boards, 50.8 × 304.8 mm, 3048 mm long: 60 board feet at £4.35 a board foot, £261.00." """
    whose = f"of {stock.material}, " if stock.material else ""
    bought = f": {stock.bought}" if stock.bought else ""
    price = ""
    if asked.here.is_desk and stock.pence is not None:
        price = f" at {stock.price}, {format_pence(stock.pence, asked.here.shop.currency)}"
    return f"{stock.pieces} {whose}{stock.stocked}{bought}{price}."
