"""What is chalked on the board: a wheel cut through along its axle, and a felloe lying in its plank."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from html import escape

from jobs.drawing.svg import num, svg
from jobs.makeup import MakeUp
from jobs.measures import Unit
from jobs.sizes import Sizes
from jobs.sizes.rim import Felloe
from jobs.sizes.shown import length_shown
from jobs.sizes.spokes import SpokeLengths, foot_end_nm

# Both fit a phone, so that their figures are never made smaller.
WIDTH, HEIGHT = 356.0, 440.0
LABELS = 168.0
LINE, LABEL = 20.0, 44.0
PLANK, MARGIN = 330.0, 4.0

Point = tuple[float, float]


def draw_section(makeup: MakeUp, sizes: Sizes, *, words: Mapping[str, str], unit: Unit, title: str, ident: str) -> str:
    """Half the wheel, from the axle's middle line upwards, its face to the right and its dish leaning that way.

    The mortises are drawn at the middle of the hub: a make-up doesn't say where they are.
    """
    scale = _scale(makeup)
    cut = _Cut(makeup, sizes, scale)
    pieces = [*cut.iron_and_rim(), *cut.spokes(), *cut.hub()]
    left, right = cut.left - MARGIN, cut.right
    top = max(cut.over_all, 4 * LABEL) + MARGIN
    labels = _labels(_said(cut, words=words, unit=unit), x=right + 16, top=top)
    box = (left, -top, right + 16 + LABELS - left, top + LINE)
    return svg("".join([*pieces, *labels]), box=box, title=title, ident=ident, kind="w-wheel")


def _scale(makeup: MakeUp) -> float:
    """Pixels to the nanometre, by the height and by what breadth the labels leave."""
    half = max(makeup.hub_length_nm, makeup.felloe_width_nm, makeup.tyre_width_nm) / 2
    breadth = half + max(half, makeup.dish_nm + max(makeup.felloe_width_nm, makeup.tyre_width_nm) / 2)
    return min(HEIGHT / makeup.tyre_radius_nm, (WIDTH - LABELS - 24) / breadth)


class _Cut:
    """The pieces of the cut wheel in pixels; 0 across is the middle between the rows of mortises, 0 down the axle."""

    def __init__(self, makeup: MakeUp, sizes: Sizes, scale: float) -> None:
        self.makeup, self.sizes, self.scale = makeup, sizes, scale
        self.hub_half = makeup.hub_length_nm / 2 * scale
        self.hub_top = makeup.hub_diameter_nm / 2 * scale
        self.inner, self.outer = makeup.rim_inner_radius_nm * scale, makeup.wood_radius_nm * scale
        self.over_all = makeup.tyre_radius_nm * scale
        self.rim = makeup.dish_nm * scale
        widest = max(makeup.felloe_width_nm, makeup.tyre_width_nm) / 2 * scale
        self.left, self.right = min(-self.hub_half, self.rim - widest), max(self.hub_half, self.rim + widest)

    def iron_and_rim(self) -> Iterator[str]:
        made = self.makeup
        tyre, felloe = made.tyre_width_nm / 2 * self.scale, made.felloe_width_nm / 2 * self.scale
        if made.tyre != "none":
            kind = "w-iron" if made.tyre == "iron" else "w-rubber"
            yield _block(self.rim - tyre, self.rim + tyre, self.over_all, self.outer, f"{kind} w-done")
        yield _block(self.rim - felloe, self.rim + felloe, self.outer, self.inner, "w-felloe w-done")

    def spokes(self) -> Iterator[str]:
        """Bodies solid; tongues are seen dashed in the rim."""
        for row in self.sizes.spokes:
            foot = self._at_hub(row)
            broad, point = self.makeup.spoke_width_nm / 2 * self.scale, self.sizes.point_nm / 2 * self.scale
            ends = [(foot - broad, self.hub_top), (self.rim - point, self.inner)]
            ends += [(self.rim + point, self.inner), (foot + broad, self.hub_top)]
            yield _shape(ends, "w-spoke w-done")
        tongue = (self.sizes.tongue_diameter_nm or self.sizes.point_nm) / 2 * self.scale
        short = self.inner + max(0.0, self.sizes.spokes[0].tongue_nm * self.scale)
        if self.rim:
            yield f'<path d="M0 {num(-self.hub_top)}V{num(-self.inner)}H{num(self.rim)}" class="w-axis"/>'
        yield _block(self.rim - tongue, self.rim + tongue, min(short, self.outer), self.inner, "w-within")

    def hub(self) -> Iterator[str]:
        """The hub with what is inside it dashed: feet, and the box if it is told."""
        yield _block(-self.hub_half, self.hub_half, self.hub_top, 0, "w-hub w-done")
        end = foot_end_nm(self.makeup)
        mortises = self.sizes.mortises
        if end is not None and mortises:
            half = mortises.tenon_width_nm / 2 * self.scale
            for row in self.sizes.spokes:
                middle = self._at_hub(row)
                yield _block(middle - half, middle + half, self.hub_top, end * self.scale, "w-within")
        yield from self._box()
        yield f'<path d="M{num(self.left)} 0H{num(self.right)}" class="w-axis"/>'

    def _box(self) -> Iterator[str]:
        made = self.makeup
        if made.box_large_nm and made.box_small_nm and made.box_length_nm:
            back = made.box_length_nm / 2 * self.scale
            large, small = made.box_large_nm / 2 * self.scale, made.box_small_nm / 2 * self.scale
            yield _shape([(-back, 0), (-back, large), (back, small), (back, 0)], "w-within")

    def _at_hub(self, row: SpokeLengths) -> float:
        """Where a row leaves the hub: as far back from the rim as its own dish."""
        return self.rim - row.dish_nm * self.scale


@dataclass(frozen=True, slots=True)
class _Said:
    """A name with its sizes, line by line; `at` is the piece it speaks of, where its line leads."""

    at: Point
    lines: tuple[str, ...]


def _said(cut: _Cut, *, words: Mapping[str, str], unit: Unit) -> list[_Said]:
    """What stands beside the cut, from the rim down."""
    rows, dish = cut.sizes.spokes, length_shown(cut.makeup.dish_nm, unit=unit)[0]
    return [
        _Said((cut.rim, (cut.inner + cut.outer) / 2), ("Tongue", *_each([row.tongue_nm for row in rows], unit))),
        _Said((cut.rim / 2, cut.inner), ("Dish", dish)),
        _Said(
            (cut.rim / 2, (cut.hub_top + cut.inner) / 2),
            (f"Body, {words['hub']} to rim", *_each([row.body_nm for row in rows], unit)),
        ),
        _Said((0, cut.hub_top * 0.75), ("Foot", *_each([row.foot_nm for row in rows], unit))),
    ]


def _each(lengths: Sequence[float | None], unit: Unit) -> list[str]:
    """One length, or those of the front and back rows where they are written differently."""
    told = [length_shown(nm, unit=unit)[0] for nm in lengths if nm is not None]
    if not told:
        return ["not told"]
    if len(set(told)) == 1:
        return told[:1]
    return [f"front {told[0]}", f"back {told[1]}"]


def _labels(said: list[_Said], *, x: float, top: float) -> Iterator[str]:
    """Each at the height of its piece, with a line to it, and none over the next or over the edge."""
    for each, line in zip(said, _heights(said, top=top), strict=True):
        yield f'<path d="M{num(each.at[0])} {num(-each.at[1])}L{num(x - 4)} {num(-line)}" class="w-leader"/>'
        for place, text in enumerate(each.lines):
            yield _text(x, -line + place * LINE + 5, text, "w-said w-size" if place else "w-said")


def _heights(said: list[_Said], *, top: float) -> list[float]:
    """Where the first line of each label stands: pushed up from the axle, then down from the top."""
    heights: list[float] = []
    floor = 0.0
    for each in reversed(said):
        heights.insert(0, max(each.at[1], floor + LINE * (len(each.lines) - 1)))
        floor = heights[0] + LINE + 4
    for place, each in enumerate(said):
        heights[place] = min(heights[place], top - LINE)
        top = heights[place] - LINE * (len(each.lines) - 1) - 4
    return heights


def draw_felloe(felloe: Felloe, *, depth_nm: float, title: str, ident: str) -> str:
    """A felloe in the plank that it wants, the sole upwards, with its chord."""
    scale = PLANK / felloe.plank_length_nm
    half, width = PLANK / 2, felloe.plank_width_nm * scale
    inner = felloe.inner_chord_nm / 2 * scale
    sole = _radius(felloe.chord_nm, felloe.rise_nm) * scale
    belly = sole - depth_nm * scale
    rise = felloe.rise_nm * scale
    outline = (
        f"M{num(-half)} {num(rise)}A{num(sole)} {num(sole)} 0 0 1 {num(half)} {num(rise)}L{num(inner)} {num(width)}"
        f"A{num(belly)} {num(belly)} 0 0 0 {num(-inner)} {num(width)}Z"
    )
    pieces = [
        f'<path d="M{num(-half)} 0H{num(half)}V{num(width)}H{num(-half)}Z" class="w-within"/>',
        f'<path d="{outline}" class="w-felloe w-done"/>',
        f'<path d="M{num(-half)} {num(rise)}H{num(half)}" class="w-leader"/>',
    ]
    box = (-half - MARGIN, -MARGIN, PLANK + 2 * MARGIN, width + 2 * MARGIN)
    return svg("".join(pieces), box=box, title=title, ident=ident, kind="w-wheel")


def _radius(chord: float, rise: float) -> float:
    """Of an arc by its chord and rise: (c² + 4 h²) / 8 h (ICS, Building Trades Pocketbook)."""
    return (chord**2 + 4 * rise**2) / (8 * rise)


def _block(left: float, right: float, top: float, bottom: float, kind: str) -> str:
    return _shape([(left, bottom), (left, top), (right, top), (right, bottom)], kind)


def _shape(points: Sequence[Point], kind: str) -> str:
    """A closed piece; heights are above the axle."""
    path = "L".join(f"{num(x)} {num(-y)}" for x, y in points)
    return f'<path d="M{path}Z" class="{kind}"/>'


def _text(x: float, y: float, said: str, kind: str) -> str:
    return f'<text x="{num(x)}" y="{num(y)}" class="{kind}">{escape(said)}</text>'
