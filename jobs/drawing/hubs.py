"""The hub as seen from the face: its wood or flange, its bands, the box and the bore."""

import math
from collections.abc import Iterator

from jobs.drawing.progress import IRON_STATES, IronState, WheelProgress
from jobs.drawing.shape import Ring, Shape
from jobs.drawing.states import iron, iron_by_share, wood
from jobs.drawing.svg import circle, num, ring_path, turn
from jobs.makeup import MakeUp


def draw_hub(makeup: MakeUp, progress: WheelProgress, shape: Shape) -> Iterator[str]:
    in_hand = progress.is_in_hand("hub")
    if makeup.hub == "bolted":
        yield from _flange(progress, shape, bolts=makeup.spokes, in_hand=in_hand)
    else:
        yield circle(shape.hub, wood("hub", progress.hub, in_hand=in_hand))
    yield from _bands(makeup, progress, shape)
    yield from _box(makeup, progress, shape)


def hoop(ring: Ring, state: IronState, *, in_hand: bool = False) -> str:
    """An iron hoop end on. One not begun is dashed at both edges, or only outside where the two would touch."""
    if state == "none" and not in_hand and ring.outer - ring.inner < 3.6:
        return circle(ring.outer, iron(state))
    return f'<path d="{ring_path(ring.outer, ring.inner)}" fill-rule="evenodd" {iron(state, in_hand=in_hand)}/>'


def furthest_behind(states: tuple[IronState, ...]) -> IronState:
    """The state that speaks for several hoops drawn as one."""
    return min(states, key=IRON_STATES.index)


def _flange(progress: WheelProgress, shape: Shape, *, bolts: int, in_hand: bool) -> Iterator[str]:
    """The flange of a two-piece hub, a bolt between each two spokes (common practice, no source)."""
    state = iron_by_share(progress.hub)
    yield circle(shape.hub, iron(state, in_hand=in_hand))
    if state == "none":
        return
    ring = shape.hub * 0.78
    head = min(max(shape.hub * 0.07, 1.0), math.pi * ring / bolts * 0.6)
    for place in range(bolts):
        angle = turn(place * 360 / bolts)
        yield f'<circle cy="{num(-ring)}" r="{num(head)}" class="w-bolt" transform="rotate({angle})"/>'


def _bands(makeup: MakeUp, progress: WheelProgress, shape: Shape) -> Iterator[str]:
    states = tuple(progress.band(place) for place in range(len(makeup.bands)))
    if len(shape.bands) < len(states):
        hands = any(progress.is_in_hand("band", place) for place in range(len(states)))
        yield hoop(shape.bands[0], furthest_behind(states), in_hand=hands)
        return
    for place, (ring, state) in enumerate(zip(shape.bands, states, strict=True)):
        yield hoop(ring, state, in_hand=progress.is_in_hand("band", place))


def _box(makeup: MakeUp, progress: WheelProgress, shape: Shape) -> Iterator[str]:
    if makeup.box == "fitted":
        in_hand = progress.is_in_hand("box")
        yield circle(shape.box, iron(iron_by_share(progress.box), in_hand=in_hand))
    yield circle(shape.bore, 'class="w-bore"')
