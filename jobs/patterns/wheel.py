"""The whole wheel, full size: from its face, and cut through along the axle."""

import math
from collections.abc import Iterator, Mapping

from jobs.drawing.shape import joint_angles
from jobs.makeup import MakeUp
from jobs.measures import Unit
from jobs.patterns.drawing import (
    Circle,
    Drawing,
    Line,
    Shape,
    measure,
    millimetres,
    on_circle,
    outline,
    rectangle,
)
from jobs.sizes import Sizes
from jobs.sizes.spokes import SpokeLengths

NO_NUMBER_FOR_JOINTS = "Joints are drawn closed."
RICHARDSON = "Richardson, Practical Carriage Building, volume 1, 1891"


def front(makeup: MakeUp, *, words: Mapping[str, str], unit: Unit) -> Drawing:
    """The face of the wheel, the first joint at the top."""
    notes = (
        f"Spokes at their whole thickness: dressed ones are thinner. {NO_NUMBER_FOR_JOINTS}",
        "Bands only where their seat is told.",
    )
    return Drawing("front", "Wheel from its face", tuple(_front(makeup, words=words, unit=unit)), notes)


def _front(makeup: MakeUp, *, words: Mapping[str, str], unit: Unit) -> Iterator[Shape]:
    wood, inner = millimetres(makeup.wood_radius_nm), millimetres(makeup.rim_inner_radius_nm)
    hub, over_all = millimetres(makeup.hub_diameter_nm / 2), millimetres(makeup.tyre_radius_nm)
    middle = (0.0, 0.0)
    yield from (Circle("cut", middle, radius) for radius in (wood, inner, hub))
    if makeup.tyre_on_rim_nm:
        yield Circle("outline", middle, over_all)
    for band in makeup.bands:
        if band.seat_nm:
            seat = millimetres(band.seat_nm / 2)
            yield from (Circle("outline", middle, seat + each) for each in (0, millimetres(band.thickness_nm)))
    if makeup.bore_small_nm:
        yield Circle("holes", middle, millimetres(makeup.bore_small_nm / 2))
    for joint in joint_angles(makeup.spokes, makeup.felloes):
        yield Line("cut", on_circle(inner, 90 - joint), on_circle(wood, 90 - joint))
    half = millimetres(makeup.spoke_thickness_nm / 2)
    for place in range(makeup.spokes):
        angle = spoke_angle(makeup, place)
        yield Line("centre", on_circle(hub, angle), on_circle(inner, angle))
        for side in (-half, half):
            yield Line("outline", beside(hub, angle, side), beside(inner, angle, side))
    yield from _front_measures(makeup, words=words, unit=unit)


def _front_measures(makeup: MakeUp, *, words: Mapping[str, str], unit: Unit) -> Iterator[Shape]:
    wood, over_all = millimetres(makeup.wood_radius_nm), millimetres(makeup.tyre_radius_nm)
    hub = millimetres(makeup.hub_diameter_nm / 2)
    yield measure("Over the wood", (-wood, -over_all), (wood, -over_all), level=-1, unit=unit)
    if makeup.tyre_on_rim_nm:
        name = f"Over the {words['tyre']}"
        yield measure(name, (-over_all, -over_all), (over_all, -over_all), level=-2.2, unit=unit)
    yield measure(f"{words['hub'].capitalize()}", (-hub, over_all), (hub, over_all), level=1, unit=unit)
    ends = [on_circle(wood, spoke_angle(makeup, place)) for place in (1, 2)]
    yield measure("From spoke to spoke on the sole, straight", ends[0], ends[1], level=1, unit=unit)


def spoke_angle(makeup: MakeUp, place: int) -> float:
    """Degrees anticlockwise from the right; spokes are counted clockwise, the first joint at the top."""
    return 90 - (place + 0.5) * 360 / makeup.spokes


def beside(radius: float, angle: float, aside: float) -> tuple[float, float]:
    """Where a line along a radius, `aside` to its left, meets the circle."""
    return on_circle(radius, angle + math.degrees(math.asin(max(-1.0, min(1.0, aside / radius)))))


def section(makeup: MakeUp, sizes: Sizes, *, words: Mapping[str, str], unit: Unit) -> Drawing:
    """Half the wheel from the axle's middle line upwards, its face to the right and its dish leaning that way."""
    cut = _Section(makeup, sizes, words, unit)
    shapes = (*cut.rim(), *cut.spokes(), *cut.hub(), *cut.measures())
    feet = "Mortises" if sizes.mortises else "Feet"
    notes = [f"{feet} at the {words['hub']}’s middle: a make-up does not say where along it they are."]
    if cut.box_middle is None:
        notes.append("The box is not drawn: not all its measures are told.")
    elif makeup.hub == "wood":
        notes.append(f"Box: its middle half the tread behind the front of the mortises ({RICHARDSON}).")
    point = f"The point of a spoke is 1/8 in under the tread ({RICHARDSON})."
    notes.append(point if sizes.point_nm else "No point drawn.")
    return Drawing("section", "Wheel cut through", shapes, tuple(notes))


class _Section:
    """Across: 0 midway between the rows of mortises; up: 0 on the axle."""

    def __init__(self, makeup: MakeUp, sizes: Sizes, words: Mapping[str, str], unit: Unit) -> None:
        self.makeup, self.sizes, self.words, self.unit = makeup, sizes, words, unit
        self.hub_half, self.hub_top = millimetres(makeup.hub_length_nm / 2), millimetres(makeup.hub_diameter_nm / 2)
        self.inner, self.wood = millimetres(makeup.rim_inner_radius_nm), millimetres(makeup.wood_radius_nm)
        self.rim_at = millimetres(makeup.dish_nm)
        self.felloe_half = millimetres(makeup.felloe_width_nm / 2)
        self.box_middle = self._box_middle()

    def _box_middle(self) -> float | None:
        made, mortises = self.makeup, self.sizes.mortises
        if not (made.box_large_nm and made.box_small_nm and made.box_length_nm):
            return None
        if mortises is None:
            return 0.0
        front_edge = (mortises.stagger_nm + mortises.length_nm) / 2
        return millimetres(front_edge - mortises.box_behind_front_nm)

    def rim(self) -> Iterator[Shape]:
        made = self.makeup
        yield from rectangle(
            "cut", self.rim_at - self.felloe_half, self.inner, self.rim_at + self.felloe_half, self.wood
        )
        if made.tyre_on_rim_nm:
            half, top = millimetres(made.tyre_width_nm / 2), millimetres(made.tyre_radius_nm)
            yield from rectangle("outline", self.rim_at - half, self.wood, self.rim_at + half, top)

    def spokes(self) -> Iterator[Shape]:
        broad, point = millimetres(self.makeup.spoke_width_nm / 2), millimetres(self.sizes.point_nm / 2)
        for row in self.sizes.spokes:
            foot = self.at_hub(row)
            yield Line("centre", (foot, self.hub_top), (self.rim_at, self.inner))
            corners = (foot - broad, self.hub_top), (self.rim_at - point, self.inner)
            yield Line("outline", *corners)
            yield Line("outline", (foot + broad, self.hub_top), (self.rim_at + point, self.inner))
        tongue = self.sizes.tongue_diameter_nm
        if tongue:
            half, end = millimetres(tongue / 2), self._tongue_end()
            yield from rectangle("holes", self.rim_at - half, self.inner, self.rim_at + half, end)

    def _tongue_end(self) -> float:
        """How far out the tongues go, 1/16 in short of the sole."""
        row = self.sizes.spokes[0]
        return self.inner + millimetres(row.tongue_nm * math.cos(row.lean))

    def hub(self) -> Iterator[Shape]:
        yield from rectangle("cut", -self.hub_half, 0, self.hub_half, self.hub_top)
        mortises = self.sizes.mortises
        end = mortises.foot_radius_nm if mortises else None
        if mortises and end is not None:
            half = millimetres(mortises.length_nm / 2)
            for row in self.sizes.spokes:
                at = self.at_hub(row)
                yield from rectangle("holes", at - half, millimetres(end), at + half, self.hub_top)
        made = self.makeup
        if self.box_middle is not None and made.box_large_nm and made.box_small_nm and made.box_length_nm:
            half = millimetres(made.box_length_nm / 2)
            large, small = millimetres(made.box_large_nm / 2), millimetres(made.box_small_nm / 2)
            back, face = self.box_middle - half, self.box_middle + half
            yield from outline("holes", (back, 0), (face, 0), (face, small), (back, large))

    def at_hub(self, row: SpokeLengths) -> float:
        """Where a row leaves the hub: as far back from the rim as its own dish."""
        return self.rim_at - millimetres(row.dish_nm)

    def measures(self) -> Iterator[Shape]:
        made, unit, top = self.makeup, self.unit, millimetres(self.makeup.tyre_radius_nm)
        hub = self.words["hub"]
        yield measure(f"{hub.capitalize()}, long", (-self.hub_half, 0), (self.hub_half, 0), level=-1, unit=unit)
        yield measure("Half its diameter", (-self.hub_half, 0), (-self.hub_half, self.hub_top), level=1, unit=unit)
        for row in self.sizes.spokes:
            name = "Body of a spoke" if row.row == "all" else f"Body of a spoke, {row.row} row"
            start, end = (self.at_hub(row), self.hub_top), (self.rim_at, self.inner)
            # The back row's stands behind, the front row's before the spokes.
            level = -1 if row.row == "front" else 1
            yield measure(name, start, end, level=level, unit=unit, clear=millimetres(made.spoke_width_nm / 2))
        if made.dish_nm:
            yield measure("Dish", (0, top), (self.rim_at, top), level=2.2, unit=unit)
        left, right = self.rim_at - self.felloe_half, self.rim_at + self.felloe_half
        aside = max(0.0, millimetres(made.tyre_width_nm / 2) - self.felloe_half)
        felloe = self.words["felloe"].capitalize()
        yield measure(f"{felloe}, deep", (right, self.inner), (right, self.wood), level=-1, unit=unit, clear=aside)
        yield measure(f"{felloe}, wide", (left, top), (right, top), level=1, unit=unit, beyond=True)
