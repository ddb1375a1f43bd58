"""The wheel in small, at about 1 px to 15 mm: spokes are strokes and the bands one ring."""

from collections.abc import Iterator
from itertools import pairwise

from jobs.drawing.hubs import furthest_behind, hoop
from jobs.drawing.progress import WheelProgress
from jobs.drawing.shape import SMALL, Ring, Shape, shape_of
from jobs.drawing.states import iron, iron_by_share, wood
from jobs.drawing.svg import at, circle, num, sector_path, svg, turn
from jobs.drawing.wheel import MARGIN, draw_tyre, hand_last
from jobs.makeup import MakeUp


def draw_small(makeup: MakeUp, progress: WheelProgress, *, scale: float, title: str, ident: str | None = None) -> str:
    """As `draw_wheel`, simplified for a wheel of some 50 to 120 px. Under 48 px use words instead."""
    shape = shape_of(makeup, scale=scale, least=SMALL)
    pieces = [
        *draw_tyre(makeup, progress, shape),
        *_spokes(progress, shape),
        *hand_last(list(_felloes(progress, shape))),
        *_hub(makeup, progress, shape),
    ]
    half = shape.over_all + MARGIN
    box = (-half, -half, 2 * half, 2 * half)
    return svg("".join(pieces), box=box, title=title, ident=ident, kind="w-wheel w-small")


def _spokes(progress: WheelProgress, shape: Shape) -> Iterator[str]:
    solid, rest = [], []
    hand = ""
    for place, degrees in enumerate(shape.spoke_angles):
        share = min(max(progress.spoke(place), 0.0), 1.0)
        cut = shape.hub + shape.bare_spoke * share
        if share > 0:
            solid.append(f"M{at(shape.hub, degrees)}L{at(cut, degrees)}")
        if share < 1:
            rest.append(f"M{at(cut, degrees)}L{at(shape.rim_inner, degrees)}")
        if progress.is_in_hand("spoke", place):
            hand = f'<path d="M{at(shape.hub, degrees)}L{at(shape.rim_inner, degrees)}" class="w-stroke w-hand"/>'
    if rest:
        yield f'<path d="{"".join(rest)}" class="w-line w-todo"/>'
    if solid:
        yield f'<path d="{"".join(solid)}" class="w-stroke" stroke-width="{num(shape.spoke)}"/>'
    yield hand


def _felloes(progress: WheelProgress, shape: Shape) -> Iterator[str]:
    done = ""
    bare = all(progress.felloe(place) <= 0 for place in range(len(shape.joints)))
    if bare and progress.in_hand is None:
        yield circle(shape.wood, wood("felloe", 0))
        yield circle(shape.rim_inner, wood("felloe", 0))
        return
    for place, (start, end) in enumerate(pairwise((*shape.joints, 360.0))):
        share, in_hand = progress.felloe(place), progress.is_in_hand("felloe", place)
        if share >= 1 and not in_hand:
            done += sector_path(shape.wood, shape.rim_inner, start, min(end, start + 359.99))
            continue
        # Turned into place rather than drawn there, so that the hatch turns with the piece.
        path = sector_path(shape.wood, shape.rim_inner, 0, min(end - start, 359.99))
        yield f'<path d="{path}" {wood("felloe", share, in_hand=in_hand)} transform="rotate({turn(start)})"/>'
    if done:
        yield f'<path d="{done}" {wood("felloe", 1)}/>'


def _hub(makeup: MakeUp, progress: WheelProgress, shape: Shape) -> Iterator[str]:
    in_hand = progress.is_in_hand("hub")
    if makeup.hub == "bolted":
        yield circle(shape.hub, iron(iron_by_share(progress.hub), in_hand=in_hand))
    else:
        yield circle(shape.hub, wood("hub", progress.hub, in_hand=in_hand))
    states = tuple(progress.band(place) for place in range(len(makeup.bands)))
    if states and (state := furthest_behind(states)) != "none":
        yield hoop(Ring(shape.hub, max(shape.hub - SMALL.band, shape.bore)), state)
    yield circle(shape.bore, 'class="w-bore"')
