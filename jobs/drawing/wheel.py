"""The wheel in full: every piece drawn by itself, in proportion and in its state."""

import math
from collections.abc import Iterator

from jobs.drawing.hubs import draw_hub, hoop
from jobs.drawing.progress import WheelProgress
from jobs.drawing.shape import FULL, Ring, Shape, shape_of
from jobs.drawing.states import wood
from jobs.drawing.svg import arcs_path, at, circle, num, ring_path, sector_path, svg, turn
from jobs.makeup import MakeUp

# A joint shows as two edges so far apart, in pixels.
JOINT = 1.4
# Room round the wheel for half of its outline.
MARGIN = 1.0


def draw_wheel(makeup: MakeUp, progress: WheelProgress, *, scale: float, title: str, ident: str | None = None) -> str:
    """The wheel as SVG at `scale` pixels to the millimetre; its lower edge is where it stands.

    Draws any make-up that `problems` does not refuse. `title` is what a screen reader says and must carry the
    counts. With `ident`, unique on the page, it is also the tooltip. The page must hold the hatches of
    `jobs/_hatches.html` once.
    """
    shape = shape_of(makeup, scale=scale, least=FULL)
    pieces = [
        *draw_tyre(makeup, progress, shape),
        *_spokes(progress, shape),
        *hand_last(list(_felloes(progress, shape))),
        *_lining(makeup, progress, shape),
        *draw_hub(makeup, progress, shape),
    ]
    half = shape.over_all + MARGIN
    return svg("".join(pieces), box=(-half, -half, 2 * half, 2 * half), title=title, ident=ident, kind="w-wheel")


def draw_tyre(makeup: MakeUp, progress: WheelProgress, shape: Shape) -> Iterator[str]:
    in_hand = progress.is_in_hand("tyre")
    if makeup.tyre == "iron":
        yield hoop(Ring(shape.over_all, shape.wood), progress.tyre, in_hand=in_hand)
    elif makeup.tyre == "rubber":
        # The channel is about a third of the whole: common practice, no source.
        channel = shape.wood + (shape.over_all - shape.wood) * 0.34
        yield hoop(Ring(channel, shape.wood), progress.tyre, in_hand=in_hand)
        state = {"none": "w-todo", "on": "w-done"}.get(progress.tyre, "w-made")
        rubber = f'class="w-rubber {state}"'
        yield f'<path d="{ring_path(shape.over_all, channel)}" fill-rule="evenodd" {rubber}/>'


def _spokes(progress: WheelProgress, shape: Shape) -> list[str]:
    pieces = [
        _spoke(shape, progress.spoke(place), turn(degrees), in_hand=progress.is_in_hand("spoke", place))
        for place, degrees in enumerate(shape.spoke_angles)
    ]
    return hand_last(pieces)


def hand_last(pieces: list[str]) -> list[str]:
    """The piece in hand at the end, so that no neighbour covers its outline."""
    return sorted(pieces, key=lambda piece: "w-hand" in piece)


def _spoke(shape: Shape, share: float, angle: str, *, in_hand: bool) -> str:
    """A driven spoke is solid from the hub outwards by its share of work done, and dashed to the rim."""
    foot, shoulder = _foot(shape), shape.rim_inner
    rotate = f'transform="rotate({angle})"'
    if share <= 0 or share >= 1:
        return f'<path d="{_blade(shape, foot, shoulder)}Z" {wood("spoke", share, in_hand=in_hand)} {rotate}/>'
    cut = foot + max((shoulder - foot) * share, min(2.0, shoulder - foot))
    rest = wood("spoke", 0, in_hand=in_hand)
    return (
        f'<path d="{_blade(shape, cut, shoulder)}" {rest} {rotate}/>'
        f'<path d="{_blade(shape, foot, cut)}Z" {wood("spoke", 1, in_hand=in_hand)} {rotate}/>'
    )


def _foot(shape: Shape) -> float:
    """Where the spoke's edges meet the round of the hub."""
    half = min(shape.spoke / 2, shape.hub)
    return math.sqrt(shape.hub**2 - half**2)


def _blade(shape: Shape, start: float, end: float) -> str:
    """The sides and outer end of a spoke that points up, between two distances from the hub's middle."""
    a, b = _half_width(shape, start), _half_width(shape, end)
    return f"M{num(-a)} {num(-start)}L{num(-b)} {num(-end)}L{num(b)} {num(-end)}L{num(a)} {num(-start)}"


def _half_width(shape: Shape, distance: float) -> float:
    along = (distance - shape.hub) / shape.bare_spoke if shape.bare_spoke else 0.0
    return (shape.spoke + (shape.spoke_at_rim - shape.spoke) * max(along, 0.0)) / 2


def _felloes(progress: WheelProgress, shape: Shape) -> Iterator[str]:
    count = len(shape.joints)
    for place, start in enumerate(shape.joints):
        end = shape.joints[place + 1] if place + 1 < count else 360.0
        share, in_hand = progress.felloe(place), progress.is_in_hand("felloe", place)
        rotate = f'transform="rotate({turn(start)})"'
        if share > 0 or in_hand:
            path = _felloe_path(shape, end - start)
            yield f'<path d="{path}" {wood("felloe", share, in_hand=in_hand)} {rotate}/>'
        else:
            # Two dashed ends side by side would read as a solid line, so a joint is drawn once, with the
            # later.
            path = arcs_path(shape.wood, shape.rim_inner, 0, min(end - start, 359.99))
            if progress.felloe(place - 1 if place else count - 1) <= 0:
                path += f"M{at(shape.wood, 0)}L{at(shape.rim_inner, 0)}"
            yield f'<path d="{path}" {wood("felloe", 0)} {rotate}/>'


def _felloe_path(shape: Shape, span: float) -> str:
    gap = math.degrees(JOINT / 2 / shape.wood)
    return sector_path(shape.wood, shape.rim_inner, gap, span - gap)


def _lining(makeup: MakeUp, progress: WheelProgress, shape: Shape) -> Iterator[str]:
    """The painter's fine line: dashed while the finish is under way, whole when it is done."""
    if progress.finish <= 0 or not makeup.coats:
        return
    kind = "w-lining" if progress.finish >= 1 else "w-lining w-todo"
    yield circle((shape.wood + shape.rim_inner) / 2, f'class="{kind}"')
    if makeup.lined and progress.finish >= 1:
        start, end = shape.hub + shape.bare_spoke * 0.12, shape.rim_inner - shape.bare_spoke * 0.06
        lines = "".join(f"M{at(start, degrees)}L{at(end, degrees)}" for degrees in shape.spoke_angles)
        yield f'<path d="{lines}" class="{kind}"/>'
