"""Loose spokes and felloes made for a lot, standing beside its wheels until they go into one."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

from jobs.drawing.shape import FULL, SPOKE_TAPER, shape_of
from jobs.drawing.states import Wood, wood
from jobs.drawing.svg import num, sector_path, svg
from jobs.makeup import MakeUp

# Pixels: between pieces, between spokes and felloes, and round the whole.
CLEAR = 2.6
APART = 18.0
MARGIN = 1.5
# More pieces of a kind than this are drawn as this many: the title has the true count.
MOST_DRAWN = 400

Groups = Sequence[tuple[float, int]]


@dataclass(frozen=True, slots=True)
class Block:
    """Pieces laid out from their own lower left corner, with the room that they take."""

    width: float
    height: float
    body: str


def draw_rack(
    makeup: MakeUp,
    *,
    spokes: Groups,
    spokes_wanted: int,
    felloes: Groups,
    felloes_wanted: int,
    scale: float,
    title: str,
    ident: str | None = None,
    max_width: float = 360.0,
    in_hand: Literal["spoke", "felloe"] | None = None,
    in_hand_at: int | None = None,
) -> str:
    """The loose pieces at `scale` pixels to the millimetre: spokes in a rack, felloes in piles.

    A group is a share of the work done on a loose piece, 0 to 1, and how many are at it. Pieces wanted beyond
    the groups are drawn dashed. With `in_hand` the first piece of that kind not done, or the one at the place
    `in_hand_at` (from 0, furthest first), has the outline of work in hand. Blocks stand side by side where
    `max_width` pixels allow, else one above the other. Empty when nothing is wanted.
    """
    blocks = []
    if standing := _pieces(spokes, spokes_wanted):
        here = _place(standing, in_hand_at) if in_hand == "spoke" else None
        blocks.append(_spoke_rack(makeup, standing, scale=scale, max_width=max_width, in_hand=here))
    if lying := _pieces(felloes, felloes_wanted):
        here = _place(lying, in_hand_at) if in_hand == "felloe" else None
        blocks.append(_piles(makeup, lying, scale=scale, max_width=max_width, in_hand=here))
    if not blocks:
        return ""
    body, width, height = _set_out(blocks, max_width=max_width)
    box = (-MARGIN, -height - MARGIN, width + 2 * MARGIN, height + 2 * MARGIN)
    return svg(body, box=box, title=title, ident=ident, kind="w-rack")


def _pieces(groups: Groups, wanted: int) -> list[float]:
    """The share of each loose piece, done first, not begun last."""
    shares = [share for share, count in sorted(groups, reverse=True) for _ in range(min(count, MOST_DRAWN))]
    shares += [0.0] * (min(wanted, MOST_DRAWN) - len(shares))
    return shares[:MOST_DRAWN]


def _set_out(blocks: list[Block], *, max_width: float) -> tuple[str, float, float]:
    side_by_side = sum(block.width for block in blocks) + APART * (len(blocks) - 1)
    if side_by_side <= max_width:
        left, body = 0.0, ""
        for block in blocks:
            body += f'<g transform="translate({num(left)} 0)">{block.body}</g>'
            left += block.width + APART
        return body, side_by_side, max(block.height for block in blocks)
    up, body = 0.0, ""
    for block in reversed(blocks):
        body = f'<g transform="translate(0 {num(-up)})">{block.body}</g>{body}'
        up += block.height + APART
    return body, max(block.width for block in blocks), up - APART


def _place(shares: list[float], at: int | None) -> int | None:
    """The place of the piece in hand: as told, else the first that is not done."""
    return at if at is not None else next((place for place, share in enumerate(shares) if share < 1), None)


def _marked(shares: list[float], kind: Wood, *, in_hand: int | None) -> Iterator[str]:
    """The attributes of each piece in turn."""
    for place, share in enumerate(shares):
        yield wood(kind, share, in_hand=place == in_hand)


def _spoke_rack(makeup: MakeUp, shares: list[float], *, scale: float, max_width: float, in_hand: int | None) -> Block:
    """Spokes on their feet against two rails, in as many rows as the width asks for."""
    shape = shape_of(makeup, scale=scale, least=FULL)
    thick = max(makeup.spoke_thickness_nm / 1_000_000 * scale, FULL.spoke)
    foot, tongue = shape.hub * 0.4, shape.wood - shape.rim_inner
    tall = foot + max(shape.bare_spoke, 8.0) + tongue
    pitch = thick + CLEAR
    in_row = max(min(len(shares), int((max_width + CLEAR) / pitch)), 1)
    rows = math.ceil(len(shares) / in_row)
    in_row = math.ceil(len(shares) / rows)
    begun = sum(share > 0 for share in shares)
    made = _loose_spoke(thick, tall, foot=foot, tongue=tongue)
    # A spoke not begun is a place to be filled, without the foot and tongue that nobody has cut.
    place_for_one = f"M{num(-thick / 2)} 0V{num(-tall)}H{num(thick / 2)}V0Z"
    row_height = tall + 6
    body = ""
    for row in range(math.ceil(begun / in_row)):
        end = min(begun - row * in_row, in_row) * pitch - CLEAR
        for rail in (0.3, 0.72):
            height = (rows - 1 - row) * row_height + tall * rail
            body += f'<path d="M0 {num(-height)}H{num(end)}" class="w-rail"/>'
    for place, attributes in enumerate(_marked(shares, "spoke", in_hand=in_hand)):
        row, column = divmod(place, in_row)
        where = f"{num(column * pitch + thick / 2)} {num((rows - 1 - row) * -row_height)}"
        path = place_for_one if "w-todo" in attributes else made
        body += f'<path d="{path}" {attributes} transform="translate({where})"/>'
    return Block(in_row * pitch - CLEAR, rows * row_height - 6, body)


def _loose_spoke(thick: float, tall: float, *, foot: float, tongue: float) -> str:
    """A spoke that stands on its foot: foot, shoulders, taper, and the tongue on top."""
    a, b = thick / 2, thick * SPOKE_TAPER / 2
    f, t = a * 0.62, b * 0.5
    return (
        f"M{num(-f)} 0V{num(-foot)}H{num(-a)}L{num(-b)} {num(tongue - tall)}H{num(-t)}V{num(-tall)}"
        f"H{num(t)}V{num(tongue - tall)}H{num(b)}L{num(a)} {num(-foot)}H{num(f)}V0Z"
    )


def _piles(makeup: MakeUp, shares: list[float], *, scale: float, max_width: float, in_hand: int | None) -> Block:
    """Sawn felloes lie one on another, sole upwards; bent half-rims stand one inside another."""
    shape = shape_of(makeup, scale=scale, least=FULL)
    depth = shape.wood - shape.rim_inner
    span = min(360 / makeup.felloes, 180.0)
    half = math.radians(span / 2)
    # Half-rims of one size can't lie on each other on paper, so each is drawn as much smaller as it is deep.
    nested = span > 120
    step = depth + CLEAR if nested else (depth + CLEAR) / math.cos(half)
    most = max(int((shape.wood - 2 * depth) / step), 1) if nested else 7
    wide = 2 * shape.wood * math.sin(half)
    piles = math.ceil(len(shares) / most)
    piles = max(min(piles, int((max_width + APART) / (wide + APART))), 1)
    in_pile = most if nested else math.ceil(len(shares) / piles)
    piles_across = max(int((max_width + APART) / (wide + APART)), 1)
    pile_height = shape.wood - shape.rim_inner * math.cos(half) + (0 if nested else (in_pile - 1) * step)
    body, rows = "", 1
    for place, attributes in enumerate(_marked(shares, "felloe", in_hand=in_hand)):
        pile, level = divmod(place, in_pile)
        row, column = divmod(pile, piles_across)
        rows = row + 1
        inward = level * step if nested else 0.0
        path = sector_path(shape.wood - inward, shape.rim_inner - inward, -span / 2, span / 2)
        x = column * (wide + APART) + wide / 2
        y = shape.rim_inner * math.cos(half) - (0 if nested else level * step) - row * (pile_height + CLEAR * 3)
        body += f'<path d="{path}" {attributes} transform="translate({num(x)} {num(y)})"/>'
    columns = min(math.ceil(len(shares) / in_pile), piles_across)
    return Block(columns * (wide + APART) - APART, rows * (pile_height + CLEAR * 3) - CLEAR * 3, body)
