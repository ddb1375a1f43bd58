"""The timber of a make-up or of an order, laid out as rows of words and figures: on a page, or on paper."""

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction

from django.utils.text import slugify

from jobs.cutting_list import Allowances, Blank, Line, Part, Spoilt, lines_of
from jobs.cutting_list.stock import name_of
from jobs.makeup import MakeUp
from jobs.measures import Unit, format_length
from jobs.models import Lot, Order, Wheel
from jobs.models.operations import Work
from shop.iron_rows import BAR_STEPS
from shop.spoilt import read_spoilt

PARTS: tuple[Part, ...] = ("hub", "spoke", "felloe", "strip")


@dataclass(frozen=True, slots=True)
class BlankRow:
    """One kind of blank. `size` never tells less than is wanted; measures are of all of them, squared; "" untold."""

    whose: str
    needed: int
    kept: int
    spares: int
    number: int
    size: str
    board_feet: str
    cubic_metres: str


@dataclass(frozen=True, slots=True)
class TimberGroup:
    """Blanks that are cut from one timber together; `spoilt` says by what their spares go."""

    key: str
    part: Part
    timber: str
    heading: str
    lines: tuple[Line, ...]
    rows: tuple[BlankRow, ...]
    spoilt: str

    @property
    def untold(self) -> int:
        """How many of them have no length yet."""
        return sum(line.number for line in self.lines if line.blank.length_nm is None)


@dataclass(frozen=True, slots=True)
class TimberList:
    """All groups, and in sentences what is left out."""

    groups: tuple[TimberGroup, ...]
    left_out: tuple[str, ...]


def makeup_timber_list(
    makeup: MakeUp, wheels: int, allow: Allowances, *, words: Mapping[str, str], unit: Unit
) -> TimberList:
    """Of so many wheels of a make-up."""
    spoilt = read_spoilt()
    if makeup.bare_spoke_nm <= 0:
        return TimberList((), (f"There is no spoke between this {words['hub']} and this rim, so nothing follows.",))
    lines = lines_of(makeup, wheels, allow, spoilt=spoilt)
    return TimberList(groups_of(lines, spoilt, words=words, unit=unit), _no_hub([("", makeup)], words))


def order_timber_list(order: Order, allow: Allowances, *, words: Mapping[str, str], unit: Unit) -> TimberList:
    """Of all wheels of an order that are made new, and the spares that stay with them: four queries."""
    wheels: dict[int, int] = defaultdict(int)
    for lot_id in Wheel.objects.filter(lot__order=order, dropped_at=None).values_list("lot_id", flat=True):
        wheels[lot_id] += 1
    lots = [(lot, wheels[lot.pk]) for lot in order.lots.filter(dropped_at=None)]
    return lots_timber_list(lots, allow, words=words, unit=unit)


def lots_timber_list(
    lots: Iterable[tuple[Lot, int]], allow: Allowances, *, words: Mapping[str, str], unit: Unit
) -> TimberList:
    """Of lots, saved or not, with so many wheels each."""
    spoilt = read_spoilt()
    lines: list[Line] = []
    left_out: list[str] = []
    made: list[tuple[str, MakeUp]] = []
    for lot, wheels in lots:
        name = lot.name[:1].upper() + lot.name[1:]
        if lot.work != Work.NEW:
            left_out.append(f"{name}: a repair, whose timber is told by what is found in each wheel.")
        elif lot.makeup.bare_spoke_nm <= 0:
            left_out.append(f"{name}: no spoke between {words['hub']} and rim, so nothing follows.")
        elif wheels:
            made.append((name, lot.makeup))
            lines += lines_of_lot(lot, wheels, allow, spoilt)
    return TimberList(groups_of(lines, spoilt, words=words, unit=unit), (*left_out, *_no_hub(made, words)))


def lines_of_lot(lot: Lot, wheels: int, allow: Allowances, spoilt: Mapping[Part, Spoilt]) -> list[Line]:
    """The blanks of one lot with so many wheels, and the spares that stay with the set."""
    kept: dict[Part, int] = {"spoke": lot.spare_spokes, "felloe": lot.spare_felloes}
    return lines_of(lot.makeup, wheels, allow, spoilt=spoilt, kept=kept, whose=lot.name)


def _no_hub(made: Iterable[tuple[str, MakeUp]], words: Mapping[str, str]) -> tuple[str, ...]:
    return tuple(
        f"{f'{name}: t' if name else 'T'}wo-piece bolted {words['hubs']} are of metal and want no blanks."
        for name, makeup in made
        if makeup.hub == "bolted"
    )


def groups_of(
    lines: Iterable[Line], spoilt: Mapping[Part, Spoilt], *, words: Mapping[str, str], unit: Unit
) -> tuple[TimberGroup, ...]:
    """Lines of one part, one timber and one thickness together; of hubs, of one timber, since logs are round."""
    together: dict[tuple[int, str, int], list[Line]] = defaultdict(list)
    for line in lines:
        blank = line.blank
        thick = 0 if blank.part == "hub" else blank.thickness_nm
        together[PARTS.index(blank.part), " ".join(blank.timber.casefold().split()), thick].append(line)
    # Two names may make one slug: the second is told by its number.
    used: Counter[str] = Counter()
    groups = []
    for (_, timber, thick), alike in sorted(together.items(), key=lambda each: each[0]):
        key = "-".join(filter(None, (alike[0].blank.part, slugify(timber, allow_unicode=True), str(thick or ""))))
        used[key] += 1
        key = key if used[key] == 1 else f"{key}-no-{used[key]}"
        groups.append(_group(key, thick, alike, spoilt, words=words, unit=unit))
    return tuple(groups)


def _group(
    key: str, thick_nm: int, alike: list[Line], spoilt: Mapping[Part, Spoilt], *, words: Mapping[str, str], unit: Unit
) -> TimberGroup:
    part, timber = alike[0].blank.part, alike[0].blank.timber
    return TimberGroup(
        key=key,
        part=part,
        timber=timber,
        heading=_heading(part, timber, thick_nm, words=words, unit=unit),
        lines=tuple(alike),
        rows=tuple(_row(line, unit) for line in alike),
        spoilt=spoilt_in_words(part, spoilt, words=words),
    )


def _heading(part: Part, timber: str, thick_nm: int, *, words: Mapping[str, str], unit: Unit) -> str:
    names = {"hub": f"{words['hub']} blanks", "felloe": f"{words['felloe']} blanks", "strip": "strips for bent rims"}
    name = names.get(part, "spoke blanks")
    thickness = f", {rule_up(thick_nm, unit)} thick" if thick_nm else ""
    return f"{name[0].upper()}{name[1:]}, {timber or 'timber not told'}{thickness}"


def _row(line: Line, unit: Unit) -> BlankRow:
    blank = line.blank
    return BlankRow(
        whose=name_of(line),
        needed=line.needed,
        kept=line.kept,
        spares=line.spares,
        number=line.number,
        size=size_in_words(blank, unit),
        board_feet="" if blank.board_feet is None else f"{float(line.number * blank.board_feet):.1f}",
        cubic_metres="" if blank.cubic_metres is None else f"{float(line.number * blank.cubic_metres):.4f}",
    )


def size_in_words(blank: Blank, unit: Unit) -> str:
    """A blank as it is cut: "57 mm wide, 520 mm long"; a hub's by its diameter. How thick it is its group says."""
    length = "length not told: it wants the box’s outside measures"
    if blank.length_nm is not None:
        length = f"{rule_up(blank.length_nm, unit)} long"
    if blank.part == "hub":
        return f"{rule_up(blank.width_nm, unit)} through, {length}"
    return f"{rule_up(blank.width_nm, unit)} wide, {length}"


def rule_up(nm: int, unit: Unit) -> str:
    """A length to what a rule shows, and never less than it is."""
    step = BAR_STEPS[unit]
    return format_length(-(-nm // step) * step, unit=unit)


def spoilt_in_words(part: Part, spoilt: Mapping[Part, Spoilt], *, words: Mapping[str, str]) -> str:
    """How many such pieces the shop has spoiled, of how many; or that nothing is known yet."""
    counted: Part = "felloe" if part == "strip" else part
    pieces = {"hub": words["hubs"], "felloe": words["felloes"]}.get(counted, "spokes")
    known = spoilt.get(counted, Spoilt())
    if known.share is None:
        return f"No spares are added: the shop has no facts of {pieces} yet."
    share = f"{float(100 * known.share):.1f}".removesuffix(".0")
    return f"The shop has spoiled {known.spoiled:,} of {known.begun:,} {pieces} begun, {share}\N{NO-BREAK SPACE}%."


def amount_in_words(amount: Fraction, measure: str) -> str:
    """How much is bought, in its measure."""
    figure = f"{float(amount):,.{4 if measure == 'm3' else 2}f}".rstrip("0").rstrip(".")
    one = amount == 1
    names = {
        "each": "",
        "board_foot": " board foot" if one else " board feet",
        "m3": " m³",
        "metre": " m",
        "hoppus_foot": " Hoppus foot" if one else " Hoppus feet",
    }
    return f"{figure}{names[measure]}"
