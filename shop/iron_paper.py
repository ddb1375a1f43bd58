"""The smith's sheet: what to cut, draw and heat, boxes to pencil in what the anvil made of it, and what to mind."""

from collections.abc import Iterable, Iterator, Mapping, Sequence

from jobs.makeup import in_print
from jobs.measures import Unit
from jobs.papers import Across, Box, Boxes, Cells, Column, Document, Item, Line, Part, Table, Words
from jobs.papers.content import Piece
from shop.asked import Asked
from shop.forms.iron import Terms
from shop.hot_day import HotDay, HotSection
from shop.iron_rows import MOST_NAMED, IronBar, IronRow, Sums
from shop.iron_words import LOCAL_RULES, hot_cautions, how_reckoned, terms_said
from shop.many_wheels import A_PAGE
from shop.order_iron import OrderIron
from shop.order_words import day_in_words, due_in_words, printed_in_words

HOOPS = (
    Column("For", 21),
    Column("Run", 16, figures=True),
    Column("Less draw", 13, figures=True),
    Column("Inside", 16, figures=True),
    Column("Cut", 16, figures=True, strong=True),
    Column("Heat", 18),
)
# A box under each figure that the smith measures or chooses; a heat is seen.
BOXED = (True, True, True, True, False)
BOXES = "A row of boxes for each wheel: pencil in what you measured and what you cut."
DRAWS = (Column("Draw on the circumference", 24, strong=True), Column("For", 32), Column("Source", 44, small=True))


def order_iron_paper(iron: OrderIron, here: Asked) -> Document:
    """The tyres and bands of an order."""
    order = iron.order
    name = f"Iron: order {order.number}, {order.carriage}"
    about = (f"For {order.customer}. {due_in_words(order, here.today)}", terms_said(iron.terms, unit=here.unit))
    return _document(name, about, _order_pieces(iron, here), here)


def _order_pieces(iron: OrderIron, here: Asked) -> Iterator[Piece]:
    yield _cautions(iron.terms, here.unit)
    if not iron.bars:
        yield Words("Nothing of bar is wanted of the smith for this order.")
    else:
        yield Words(BOXES)
    rows = _Rows(here.words, of_orders=False)
    tyres = here.words["tyres"]
    yield from (rows.table(bar, f"{tyres[:1].upper()}{tyres[1:]}: b{bar.name[1:]}") for bar in iron.tyres)
    if iron.bands and iron.terms.band_draw_nm is None:
        yield Words("No draw is given for the bands: no make-up keeps it, and none is assumed.")
    yield from (rows.table(bar, f"Bands: b{bar.name[1:]}") for bar in iron.bands)
    for lot in iron.in_channels:
        name = f"{lot.name[:1].upper()}{lot.name[1:]}"
        tyre = here.words["tyre"]
        yield Words(f"{name}: a rubber {tyre}, whose make-up keeps no measures of the channel by itself.")
    yield from _books(iron.bars, iron.terms, rows, here.unit, no_draw=iron.no_draw)


def hot_day_paper(iron: HotDay, here: Asked) -> Document:
    """Every wheel that is ready for its tyre, or nearly."""
    name = f"Hot day: {day_in_words(here.today)} {here.today.year}"
    smith = [f"Smith: {here.shop.smith_name}."] if here.shop.smith_name else []
    return _document(name, (*smith, terms_said(iron.terms, unit=here.unit)), _hot_pieces(iron, here), here)


def _hot_pieces(iron: HotDay, here: Asked) -> Iterator[Piece]:
    yield _cautions(iron.terms, here.unit)
    if not iron.wheels:
        yield Words("No wheel is ready for its hoop, or nearly.")
    elif iron.bars:
        yield Words(BOXES)
    rows = _Rows(here.words, of_orders=True)
    for section in iron.sections:
        yield from _section(section, rows, here.words)
    yield from _books(iron.bars, iron.terms, rows, here.unit, no_draw=iron.no_draw)


def _section(section: HotSection, rows: "_Rows", words: Mapping[str, str]) -> Iterator[Piece]:
    yield from (rows.table(bar, f"{section.heading}: b{bar.name[1:]}") for bar in section.bars)
    if section.in_channels:
        named = "; ".join(section.in_channels)
        yield Words(
            f"{section.heading}: rubber {words['tyres']}, whose make-ups keep no measures of the channel: {named}."
        )


def _document(name: str, about: tuple[str, ...], pieces: Iterable[Piece], here: Asked) -> Document:
    return Document(name, about, name, here.shop.name, printed_in_words(here.today), tuple(pieces))


def _cautions(terms: Terms, unit: Unit) -> Box:
    found = hot_cautions(unit=unit, watch_minutes=terms.watch_minutes)
    items = (Item(one.lead, one.said, one.warning) for one in found)
    return Box("What to mind", (*items, Item("", LOCAL_RULES)), heavy=True)


class _Rows:
    """Hoops as rows of a table, in the shop's words; `of_orders` where wheels of several orders stand together."""

    def __init__(self, words: Mapping[str, str], *, of_orders: bool) -> None:
        self.words, self._of_orders = words, of_orders

    def table(self, bar: IronBar, name: str) -> Table:
        blocks = [block for row in bar.rows for block in self._blocks(row)]
        if bar.more:
            blocks.append((Part(f"And {bar.more} more: all of them are on the page."),))
        return Table(name, HOOPS, tuple(blocks), beside=_in_all(bar))

    def name(self, row: IronRow) -> str:
        hoop = row.hoop.name if row.hoop.is_band else self.words["tyre"]
        return f"{hoop[:1].upper()}{hoop[1:]}"

    def whose(self, row: IronRow) -> str:
        order = row.wearers.order
        of_order = f", {order.carriage} {order.number}" if self._of_orders else ""
        return f"{row.wearers.names}, {row.wearers.lot.name}{of_order}"

    def _blocks(self, row: IronRow) -> Iterator[tuple[Line, ...]]:
        """The figures and how they came about stand with the boxes of the first wheel."""
        boxes = [Boxes(wheel.label, BOXED) for wheel in row.wearers.wheels[:A_PAGE]]
        whose = f"{self.whose(row)}{f'; still: {row.wearers.still}' if row.wearers.still else ''}."
        yield (self._figures(row), *_wrongs(row), Across(f"{whose[:1].upper()}{whose[1:]} {_how(row)}"), *boxes[:1])
        yield from ((each,) for each in boxes[1:])
        more = len(row.wearers.wheels) - A_PAGE
        if more > 0:
            yield (Across(f"And {more} wheels more, alike."),)

    def _figures(self, row: IronRow) -> Cells:
        alike = f", {row.wearers.count} alike" if row.wearers.count > 1 else ""
        sums = row.sums
        figures = (sums.draw, sums.inside, sums.cut, _heat(sums)) if sums else ("not told", "", "", "")
        return Cells((f"{self.name(row)}{alike}", row.run, *figures))


def _in_all(bar: IronBar) -> str:
    price = f", {bar.price}" if bar.price else ""
    missing = f", without {bar.missing} whose draw is missing or wrong" if bar.missing else ""
    return f"{bar.wanted} wanted{f': {bar.length} of bar, {bar.mass}{price}{missing}' if bar.length else ''}"


def _heat(sums: Sums) -> str:
    if sums.refused:
        return "No heat will do"
    return f"{sums.heat[:1].upper()}{sums.heat[1:]}"


def _wrongs(row: IronRow) -> Iterator[Across]:
    """What is to be seen before anything is cut."""
    if row.wrong:
        yield Across(row.wrong, strong=True)
    elif row.sums is None:
        yield Across("No draw is told: nothing follows until it is.", strong=True)
    if row.warning:
        yield Across(row.warning, strong=True)
    if row.sums and row.sums.refused:
        yield Across(row.sums.refused, strong=True)


def _how(row: IronRow) -> str:
    """Where each figure comes from, in the order in which they stand."""
    turns = f": {row.turns} of the traveller" if row.turns else ""
    parts = [f"Run {row.run_by}{turns}."]
    sums = row.sums
    if sums is None:
        return parts[0]
    parts.append(f"Draw {row.draw_by}; {sums.smaller} on the diameter.")
    inside = ["as made"] if row.hoop.inside else []
    inside += [f"{sums.inside_turns} of the traveller"] if sums.inside_turns else []
    if inside:
        parts.append(f"Inside {': '.join(inside)}.")
    price, each = f", {sums.price}" if sums.price else "", " each" if row.wearers.count > 1 else ""
    parts.append(f"Cut {sums.cut_parts}: {sums.mass}{price}{each}.")
    if row.edge:
        parts.append(f"Coned sole: {row.edge}.")
    if sums.heat:
        parts.append(f"Heat about {sums.heat_behind}.")
    return " ".join(parts)


def _books(bars: Sequence[IronBar], terms: Terms, rows: _Rows, unit: Unit, *, no_draw: bool) -> Iterator[Piece]:
    """What books say beside the sums, and how these were reckoned."""
    if no_draw:
        said = tuple((Cells((one.value(unit), one.wheels, one.source)),) for one in in_print.DRAW)
        yield Table("Draw in print", DRAWS, said, beside="none is assumed here: books differ threefold")
    known = [(row, row.sums) for bar in bars for row in bar.rows if row.sums]
    if known:
        rules = [name for name, _ in known[0][1].old_rules]
        columns = (Column("Length of bar", 34), *(Column(rule, 22, figures=True) for rule in rules))
        lengths = [((rows.name(row), *(nm for _, nm in sums.old_rules)), rows.whose(row)) for row, sums in known]
        yield Table("The same by old rules", columns, _once_each(lengths))
    hot = [(row, sums) for row, sums in known if sums.books]
    if hot:
        books = [book for book, _ in hot[0][1].books]
        columns = (Column("Heat", 34), *(Column(book, 22) for book in books))
        colours = [((rows.name(row), *(word for _, word in sums.books)), rows.whose(row)) for row, sums in hot]
        yield Table("The same heat in the books", columns, _once_each(colours))
    if bars:
        yield Words(how_reckoned(terms, bars, unit=unit), small=True)


def _once_each(told: Iterable[tuple[tuple[str, ...], str]]) -> tuple[tuple[Line, ...], ...]:
    """Rows that say the same are one, with the names of the first wheels under it."""
    found: dict[tuple[str, ...], list[str]] = {}
    for cells, whose in told:
        found.setdefault(cells, []).append(whose)
    blocks = []
    for cells, names in found.items():
        more = [f"and {len(names) - MOST_NAMED} more"] if len(names) > MOST_NAMED else []
        blocks.append((Cells(cells, "; ".join([*names[:MOST_NAMED], *more])),))
    return tuple(blocks)
