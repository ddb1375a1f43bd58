"""A make-up on paper: its measures, every size that follows, both drawings, and each rule with its source."""

from collections.abc import Iterator

from jobs.makeup import describe
from jobs.papers import Across, Box, Cells, Column, Document, Item, Line, Part, Pictures, Table, Words
from jobs.papers.content import Piece
from jobs.patterns.wheel import front, section
from shop.asked import Asked
from shop.makeup_page import MakeUpPage
from shop.order_words import printed_in_words
from shop.sizes_page import SizesPage
from shop.sizes_rows import SizeGroup, SizeRow

MEASURES = (
    Column("Measure", 38),
    Column("As we measure", 28, figures=True, strong=True),
    Column("In the other units", 27, figures=True),
    Column("", 7),
)
SIZES = (
    Column("Size", 38),
    Column("As we measure", 28, figures=True, strong=True),
    Column("Decimal, or otherwise", 27, figures=True),
    Column("Rule", 7, figures=True),
)
HOLES = (
    Column("Hole", 10, figures=True),
    Column("Angle", 30, figures=True),
    Column("Right", 30, figures=True, strong=True),
    Column("Up", 30, figures=True, strong=True),
)
RULES = (
    Column("Rule", 7, small=True),
    Column("First for", 28, small=True),
    Column("How it is reckoned, and by whom", 65, small=True),
)


def sizes_paper(page: SizesPage, here: Asked, *, name: str, about: tuple[str, ...]) -> Document:
    """`about` says what else is to be known of what it belongs to."""
    told = f"{describe(page.makeup, words=page.words, unit=page.unit)}."
    return Document(
        title=f"Make-up and sizes: {name}",
        about=(told, *about),
        running=f"Make-up and sizes: {name}",
        whose=here.shop.name,
        printed=printed_in_words(here.today),
        pieces=tuple(_pieces(page)),
    )


def _pieces(page: SizesPage) -> Iterator[Piece]:
    if page.warnings:
        yield Box("Worth a second look", tuple(Item("", sentence) for sentence in page.warnings))
    if page.sizes:
        words, unit = page.words, page.unit
        face = front(page.makeup, words=words, unit=unit)
        yield Pictures((face, section(page.makeup, page.sizes, words=words, unit=unit)))
    yield _measures(MakeUpPage(page.makeup, words=page.words, unit=page.unit))
    if not page.sizes:
        hub = page.words["hub"]
        yield Words(f"There is no spoke between this {hub} and this rim, so there is nothing to reckon.")
        return
    rules = _Rules()
    yield Table("Sizes", SIZES, tuple(block for group in page.groups for block in _blocks(group, rules)))
    if page.holes:
        yield _holes(page)
    yield Table("Rules and sources", RULES, tuple(rules.blocks()))


def _measures(page: MakeUpPage) -> Table:
    blocks: list[tuple[Line, ...]] = []
    for group in page.groups:
        first, *rest = (Cells((row.label, row.shown, row.other, "")) for row in group.rows)
        blocks += [(Part(group.heading), first), *((row,) for row in rest)]
    return Table("Measures", MEASURES, tuple(blocks))


def _blocks(group: SizeGroup, rules: "_Rules") -> Iterator[tuple[Line, ...]]:
    """Its heading stands with its first row, and its note with its last."""
    lines: list[list[Line]] = [[Cells((row.label, row.shown, row.small, rules.number(row)))] for row in group.rows]
    lines[0].insert(0, Part(group.heading))
    if group.note:
        lines[-1].append(Across(group.note))
    yield from map(tuple, lines)


class _Rules:
    """Each rule once, numbered as it comes up."""

    def __init__(self) -> None:
        self._numbers: dict[str, tuple[int, str]] = {}

    def number(self, row: SizeRow) -> str:
        if not row.how:
            return ""
        number, _ = self._numbers.setdefault(row.how, (len(self._numbers) + 1, row.label))
        return str(number)

    def blocks(self) -> Iterator[tuple[Line, ...]]:
        for how, (number, label) in self._numbers.items():
            yield (Cells((str(number), label, how)),)


def _holes(page: SizesPage) -> Table:
    rows = tuple((Cells((str(hole.number), hole.angle, hole.right, hole.up)),) for hole in page.holes)
    return Table("Holes from the plate’s middle", HOLES, rows, beside=f"right and up in {page.unit}")
