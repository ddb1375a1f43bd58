"""A drawing in true millimetres: the one description from which pictures, cutting files and papers are written.

Millimetres to the right and upwards; angles are degrees, anticlockwise from the right. A drawing has no height of
letters: each writer takes what suits its paper or screen, so that what is measured is the same in all of them.
"""

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Literal, get_args

from jobs.measures import NM_PER_MM, Unit
from jobs.sizes.shown import length_shown

Layer = Literal["outline", "cut", "centre", "holes", "measures", "text"]
LAYERS: tuple[Layer, ...] = get_args(Layer)
# What a cutter follows; the rest is for reading.
FOR_A_CUTTER: tuple[Layer, ...] = ("outline", "cut", "centre", "holes")

# A row of dimensions is this many heights of letters; letters are about so wide for their height.
ROW, LETTER = 1.9, 0.62

Point = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Line:
    layer: Layer
    start: Point
    end: Point


@dataclass(frozen=True, slots=True)
class Arc:
    """Anticlockwise from `start` to `end` degrees, less than a turn."""

    layer: Layer
    centre: Point
    radius: float
    start: float
    end: float


@dataclass(frozen=True, slots=True)
class Circle:
    layer: Layer
    centre: Point
    radius: float


@dataclass(frozen=True, slots=True)
class Text:
    """Words whose middle stands at a point, turned by `angle` degrees."""

    layer: Layer
    at: Point
    said: str
    angle: float = 0.0


@dataclass(frozen=True, slots=True)
class Dimension:
    """A straight measure from one point to another, `said` in the shop's unit.

    Its line stands `level` rows of letters off, and `clear` millimetres more: to the left as one goes from `start` to
    `end`, to the right where `level` is below zero. What it says stands over the middle of the line, or `beyond` its
    end, where lines of others would cross it.
    """

    name: str
    start: Point
    end: Point
    level: float
    said: str
    clear: float = 0.0
    beyond: bool = False
    layer: Layer = "measures"

    @property
    def length(self) -> float:
        return math.dist(self.start, self.end)

    def off(self, letters: float) -> float:
        """How far to the left of its points its line stands, for letters of that height."""
        return self.level * ROW * letters + math.copysign(self.clear, self.level)

    def at(self, letters: float) -> Point:
        """Where the middle of what it says stands, for letters of that height."""
        (x, y), (u, v), length = self.start, self.end, self.length
        along = ((u - x) / length, (v - y) / length)
        left = (-along[1], along[0])
        off = self.off(letters)
        if self.beyond:
            by = LETTER * len(self.said) * letters / 2 + letters * 0.6
            return _moved(_moved(self.end, left, off), along, by)
        middle = _moved(((x + u) / 2, (y + v) / 2), left, off)
        if off:
            # On the far side of its line, where nothing crosses it.
            return _moved(middle, left, math.copysign(letters * 0.75, off))
        # Over the line that runs through the piece.
        return on_circle(letters * 0.75, self.angle + 90, middle)

    @property
    def angle(self) -> float:
        """How its words are turned, in degrees."""
        (x, y), (u, v) = self.start, self.end
        return readable(math.degrees(math.atan2(v - y, u - x)))


Plain = Line | Arc | Circle | Text
Shape = Plain | Dimension


@dataclass(frozen=True, slots=True)
class Drawing:
    """`key` names it in addresses, `name` on paper; `notes` say what it assumes."""

    key: str
    name: str
    shapes: tuple[Shape, ...]
    notes: tuple[str, ...]

    @property
    def dimensions(self) -> tuple[Dimension, ...]:
        return tuple(shape for shape in self.shapes if isinstance(shape, Dimension))

    def of(self, *layers: Layer) -> "Drawing":
        """What of it is on these layers."""
        return Drawing(self.key, self.name, tuple(one for one in self.shapes if one.layer in layers), self.notes)


@dataclass(frozen=True, slots=True)
class Absent:
    """A drawing that this make-up does not have, and `why`, in a sentence."""

    key: str
    name: str
    why: str


@dataclass(frozen=True, slots=True)
class Bounds:
    left: float
    bottom: float
    right: float
    top: float

    @property
    def width(self) -> float:
        return self.right - self.left

    @property
    def height(self) -> float:
        return self.top - self.bottom

    def wider(self, by: float) -> "Bounds":
        return Bounds(self.left - by, self.bottom - by, self.right + by, self.top + by)

    def meets(self, other: "Bounds") -> bool:
        return (
            self.left <= other.right
            and other.left <= self.right
            and self.bottom <= other.top
            and other.bottom <= self.top
        )


def millimetres(nm: float) -> float:
    return nm / NM_PER_MM


def measure(
    name: str, start: Point, end: Point, *, level: float, unit: Unit, clear: float = 0.0, beyond: bool = False
) -> Dimension:
    """A dimension that says what there is between its points, so that it can't say anything else."""
    said = length_shown(math.dist(start, end) * NM_PER_MM, unit=unit)[0]
    return Dimension(name, start, end, level, said, clear, beyond)


def on_circle(radius: float, degrees: float, centre: Point = (0.0, 0.0)) -> Point:
    angle = math.radians(degrees)
    return centre[0] + radius * math.cos(angle), centre[1] + radius * math.sin(angle)


def outline(layer: Layer, *points: Point) -> Iterator[Line]:
    """The closed outline through these corners."""
    for place, point in enumerate(points):
        yield Line(layer, point, points[(place + 1) % len(points)])


def rectangle(layer: Layer, left: float, bottom: float, right: float, top: float) -> Iterator[Line]:
    return outline(layer, (left, bottom), (right, bottom), (right, top), (left, top))


def laid_out(drawing: Drawing, *, letters: float) -> Iterator[Plain]:
    """The drawing with its dimensions as lines and words, for letters of that height in millimetres."""
    for shape in drawing.shapes:
        if isinstance(shape, Dimension):
            yield from _dimension(shape, letters)
        else:
            yield shape


def fitted(drawing: Drawing, *, width: float, height: float) -> tuple[float, Bounds]:
    """For a room so many letters wide and high: letters' height in the drawing's millimetres, and what it takes up.

    Letters that are higher take more room themselves: found by halving.
    """
    least = _taken_up(drawing, 1)
    low, high = 0.0, max(least.width, least.height) * 4
    for _ in range(30):
        middle = (low + high) / 2
        box = _taken_up(drawing, middle)
        fits = box.width <= width * middle and box.height <= height * middle
        low, high = (low, middle) if fits else (middle, high)
    return high, _taken_up(drawing, high)


def _taken_up(drawing: Drawing, letters: float) -> Bounds:
    return bounds_of(laid_out(drawing, letters=letters), letters=letters).wider(letters / 4)


def _dimension(shape: Dimension, letters: float) -> Iterator[Plain]:
    (x, y), (u, v), length = shape.start, shape.end, shape.length
    along = ((u - x) / length, (v - y) / length)
    left = (-along[1], along[0])
    off = shape.off(letters)
    start, end = _moved(shape.start, left, off), _moved(shape.end, left, off)
    beyond = math.copysign(letters * 0.3, off)
    if off:
        yield Line(shape.layer, shape.start, _moved(start, left, beyond))
        yield Line(shape.layer, shape.end, _moved(end, left, beyond))
    yield Line(shape.layer, start, end)
    for each in (start, end):
        tick = (along[0] + left[0], along[1] + left[1])
        yield Line(shape.layer, _moved(each, tick, -letters * 0.25), _moved(each, tick, letters * 0.25))
    yield Text(shape.layer, shape.at(letters), shape.said, shape.angle)


def readable(angle: float) -> float:
    """The angle of a line of words that stands on none of its heads."""
    turned = (angle + 90) % 180 - 90
    # Rounding would else turn every other upright measure over.
    return 90.0 if turned < -89.999 else turned


def _moved(point: Point, way: Point, by: float) -> Point:
    return point[0] + way[0] * by, point[1] + way[1] * by


def bounds_of(shapes: Iterable[Plain], *, letters: float) -> Bounds:
    """What the shapes take up. Raises ValueError where there is none."""
    corners = [corner for shape in shapes for corner in corners_of(shape, letters)]
    if not corners:
        raise ValueError("A drawing has at least one line.")
    across, up = [x for x, _ in corners], [y for _, y in corners]
    return Bounds(min(across), min(up), max(across), max(up))


def corners_of(shape: Plain, letters: float) -> list[Point]:
    """Points between which the shape lies."""
    if isinstance(shape, Line):
        return [shape.start, shape.end]
    if isinstance(shape, Circle):
        (x, y), radius = shape.centre, shape.radius
        return [(x - radius, y - radius), (x + radius, y + radius)]
    if isinstance(shape, Arc):
        first = math.ceil(shape.start / 90)
        quarters = [90.0 * each for each in range(first, math.floor(shape.end / 90) + 1)]
        return [on_circle(shape.radius, each, shape.centre) for each in (shape.start, *quarters, shape.end)]
    half = LETTER * len(shape.said) * letters / 2
    return [
        on_circle(math.hypot(across, up), math.degrees(math.atan2(up, across)) + shape.angle, shape.at)
        for across in (-half, half)
        for up in (-letters * 0.6, letters * 0.6)
    ]
