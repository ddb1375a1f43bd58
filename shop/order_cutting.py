"""How the bars of an order's tyres and bands are cut: what the smith wants of each, laid out on as few as can be."""

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from django.utils.safestring import SafeString, mark_safe

from jobs.cutting import Bar, CuttingError, Piece, Plan, Stock, plan_bars
from jobs.drawing.bar import draw_bar
from jobs.measures import Unit, format_section
from shop.forms.cutting import offcuts_key
from shop.iron_rows import BAR_STEPS, IronBar, IronRow, to_step, told

# For all the bars of a page together: a person waits for it.
SECONDS = 3.0
PIXELS = 620.0


@dataclass(frozen=True, slots=True)
class Wanted:
    """The rows that want one bar; `key` names it in the page's address."""

    key: str
    name: str
    rows: tuple[IronRow, ...]

    @property
    def missing(self) -> int:
        """Hoops whose draw nobody has told, or whose measures can't be: no length follows."""
        return sum(row.wearers.count for row in self.rows if row.sums is None)


@dataclass(frozen=True, slots=True)
class CutBar:
    """Bars that are cut alike."""

    count: int
    length: str
    is_offcut: bool
    cuts: Sequence[str]
    left: str
    drawing: SafeString


@dataclass(frozen=True, slots=True)
class CutPlan:
    """The plan of one bar in words, or why there is none."""

    name: str
    missing: int
    bars: Sequence[CutBar]
    sentence: str
    gap: int
    refused: str = ""
    section_nm: tuple[int, int] = (0, 0)
    plan: Plan | None = None


def wanted_of(bars: Iterable[IronBar], *, unit: Unit) -> list[Wanted]:
    """Tyres and bands of one section together, the smallest section first."""
    rows: dict[tuple[int, int], list[IronRow]] = defaultdict(list)
    for bar in bars:
        for row in bar.rows:
            rows[row.hoop.width_nm, row.hoop.thickness_nm].append(row)
    return [
        Wanted(offcuts_key(width, thickness), f"Bar {format_section(width, thickness, unit=unit)}", tuple(alike))
        for (width, thickness), alike in sorted(rows.items())
    ]


def plans_of(
    wanted: Sequence[Wanted],
    stocks: Sequence[Stock],
    offcuts: Mapping[str, Sequence[Stock]],
    *,
    kerf_nm: int,
    unit: Unit,
    words: Mapping[str, str],
) -> list[CutPlan]:
    seconds = SECONDS / max(1, len(wanted))
    return [
        _plan(bar, [*stocks, *offcuts.get(bar.key, ())], kerf_nm=kerf_nm, unit=unit, words=words, seconds=seconds)
        for bar in wanted
    ]


def _plan(
    wanted: Wanted, stocks: Sequence[Stock], *, kerf_nm: int, unit: Unit, words: Mapping[str, str], seconds: float
) -> CutPlan:
    pieces = [_piece(row, unit, words) for row in wanted.rows if row.sums is not None]
    try:
        plan = plan_bars(pieces, stocks, kerf_nm=kerf_nm, seconds=seconds, unit=unit)
    except CuttingError as refused:
        return CutPlan(wanted.name, wanted.missing, (), "", 0, str(refused))
    longest = max((bar.length_nm for bar in plan.bars), default=1)
    alike = Counter(plan.bars)
    return CutPlan(
        name=wanted.name,
        missing=wanted.missing,
        bars=[_cut_bar(bar, count, longest, unit) for bar, count in alike.items()],
        sentence=_sentence(plan, unit) if plan.bars else "",
        gap=plan.gap,
        section_nm=(wanted.rows[0].hoop.width_nm, wanted.rows[0].hoop.thickness_nm),
        plan=plan,
    )


def _piece(row: IronRow, unit: Unit, words: Mapping[str, str]) -> Piece:
    """Cut to the length that the page of iron tells, which is to what a rule shows."""
    if row.sums is None:
        raise ValueError("A hoop without a draw has no length.")
    hoop = row.hoop.name if row.hoop.is_band else words["tyre"]
    wearers = row.wearers
    whose = wearers.first.label if len(wearers.wheels) == 1 else wearers.lot.name
    return Piece(to_step(row.sums.cut_nm, unit, steps=BAR_STEPS), wearers.count, f"{hoop}, {whose}")


def _cut_bar(bar: Bar, count: int, longest_nm: int, unit: Unit) -> CutBar:
    length, left = told(bar.length_nm, unit, steps=BAR_STEPS), told(bar.left_nm, unit, steps=BAR_STEPS)
    kinds = Counter((cut.length_nm, cut.name) for cut in bar.cuts)
    cuts = [
        f"{f'{number} × ' if number > 1 else ''}{told(nm, unit, steps=BAR_STEPS)} {name}"
        for (nm, name), number in kinds.items()
    ]
    title = f"{'Offcut' if bar.offcut else 'Bar'} of {length}: {'; '.join(cuts)}; {left} left"
    drawn = draw_bar(
        bar.length_nm, [cut.length_nm for cut in bar.cuts], longest_nm=longest_nm, width=PIXELS, title=title
    )
    return CutBar(count, length, bar.offcut, cuts, left, mark_safe(drawn))  # noqa: S308 — our own drawing, which escapes its title


def _sentence(plan: Plan, unit: Unit) -> str:
    new = Counter(told(bar.length_nm, unit, steps=BAR_STEPS) for bar in plan.bars if not bar.offcut)
    offcuts = len(plan.bars) - plan.new_bars
    parts = [f"{count} new bar{'' if count == 1 else 's'} of {length}" for length, count in new.items()]
    parts += [f"{offcuts} offcut{'' if offcuts == 1 else 's'}"] if offcuts else []
    return f"{' and '.join(parts)}: {100 * plan.yield_share:.0f} % of the iron ends in hoops."
