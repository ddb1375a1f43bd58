"""The price as a sawn plank: one board cut into the parts that the price pays for. Pence in, SVG out; no database.

As with the shop rule, places across are shares of the width and heights are in em, so that words keep their size at
any width. A part that is wide enough has its words under it; the others hang theirs on lines, and no line crosses
words of another.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from html import escape
from typing import Literal

from shop.shop_rule import NARROWEST_EM
from shop.shop_rule_labels import WORD_EM

Kind = Literal["labour", "overhead", "timber", "iron", "outwork", "goods", "profit"]
Anchor = Literal["middle", "end", "start"]
TOP_EM, BOARD_EM, ROW_EM = 0.25, 2.2, 1.35
CLEAR_EM = 0.4
WOODEN = ("labour", "timber", "goods")


@dataclass(frozen=True, slots=True)
class PlankPart:
    """One part of the price: what it is, pence, and the pence as they are said."""

    kind: Kind
    name: str
    pence: int
    said: str


@dataclass(frozen=True, slots=True)
class _Words:
    """Where words go: the row under the board, the share of the width, how they are set, and whether on a line."""

    text: str
    row: int
    at: float
    anchor: Anchor
    on_line: bool


def plank(parts: Sequence[PlankPart], *, title: str, ident: str, price: int | None = None) -> str:
    """The board. With a `price` under the sum of the parts, a saw line says where the price ends.

    ValueError where no part is more than nothing, or one is less. `ident` must be unique on the page.
    """
    if any(part.pence < 0 for part in parts):
        raise ValueError("A part of a plank is never less than nothing.")
    parts = [part for part in parts if part.pence]
    whole = sum(part.pence for part in parts)
    if not whole:
        raise ValueError("A plank has at least one part.")
    ends = _ends([part.pence / whole for part in parts])
    words = place_words([(left, right, part.name, part.said) for part, (left, right) in zip(parts, ends, strict=True)])
    height = TOP_EM + BOARD_EM + ROW_EM * (1 + max(word.row for word in words)) + 0.3
    name = escape(ident)
    drawn = [
        f'<svg class="plank" role="img" width="100%" height="{height:.2f}em" aria-labelledby="{name}-title">'
        f'<title id="{name}-title">{escape(title)}</title>{_patterns(name)}',
        *(_board(part.kind, left, right, name) for part, (left, right) in zip(parts, ends, strict=True)),
        f'<rect class="plank-edge" y="{TOP_EM}em" width="100%" height="{BOARD_EM}em"/>',
        *(_cut("plank-kerf", left) for left, _ in ends[1:]),
        *(_hung(word) for word in words),
    ]
    if price is not None and price < whole:
        drawn.append(_cut("plank-price", max(price, 0) / whole))
    return "".join([*drawn, "</svg>"])


def _ends(shares: Sequence[float]) -> list[tuple[float, float]]:
    ends, left = [], 0.0
    for share in shares:
        ends.append((left, left + share))
        left += share
    return ends


def place_words(
    parts: Sequence[tuple[float, float, str, str]], *, width_em: float = NARROWEST_EM
) -> tuple[_Words, ...]:
    """A place for the words of each part (its left and right end as shares, its name, its sum).

    Set for the narrowest width; at any greater one they only move apart. Words on lines run to the left from their
    line, each a row lower than those before it that it would cross.
    """
    placed, row, last = [], 0, -1.0
    for left, right, name, said in parts:
        full, room = f"{name} {said}", (right - left) * width_em - CLEAR_EM
        fitting = next((text for text in (full, name) if len(text) * WORD_EM <= room), None)
        middle = (left + right) / 2
        if fitting:
            placed.append(_Words(fitting, 0, middle, "middle", on_line=False))
            continue
        wide = len(full) * WORD_EM
        row = 1 if last < 0 or middle * width_em - wide > last + CLEAR_EM else row + 1
        last = middle * width_em
        anchor: Anchor = "end" if last >= wide else "start"
        placed.append(_Words(full, row, middle, anchor, on_line=True))
    return tuple(placed)


def _x(share: float) -> str:
    return f"{100 * share:.2f}%"


def _patterns(name: str) -> str:
    return (
        f'<pattern id="{name}-grain" width="120" height="36" patternUnits="userSpaceOnUse">'
        '<path class="plank-grain" d="M0 6C30 2 60 10 120 6M0 15C40 19 80 10 120 15M0 24C30 21 70 29 120 24'
        'M0 32C50 35 90 29 120 32"/></pattern>'
        f'<pattern id="{name}-hatch" width="7" height="7" patternUnits="userSpaceOnUse" '
        'patternTransform="rotate(-45)"><rect class="plank-hatch-ground" width="7" height="7"/>'
        '<line class="plank-hatch" x1="1" x2="1" y2="7"/></pattern>'
    )


def _board(kind: Kind, left: float, right: float, name: str) -> str:
    place = f'x="{_x(left)}" y="{TOP_EM}em" width="{_x(right - left)}" height="{BOARD_EM}em"'
    fill = f' fill="url(#{name}-hatch)"' if kind == "outwork" else ""
    grain = f'<rect {place} fill="url(#{name}-grain)"/>' if kind in WOODEN else ""
    return f'<rect class="plank-{kind}" {place}{fill}/>{grain}'


def _cut(kind: str, at: float) -> str:
    over = TOP_EM if kind == "plank-price" else 0.0
    x = _x(at)
    return f'<line class="{kind}" x1="{x}" x2="{x}" y1="{TOP_EM - over:.2f}em" y2="{TOP_EM + BOARD_EM + over:.2f}em"/>'


def _hung(word: _Words) -> str:
    foot = TOP_EM + BOARD_EM
    baseline = foot + ROW_EM * (word.row + 1) - 0.2
    line = ""
    if word.on_line:
        x = _x(word.at)
        line = f'<line class="plank-line" x1="{x}" x2="{x}" y1="{foot}em" y2="{baseline + 0.15:.2f}em"/>'
    shift = {"end": -0.3, "start": 0.3}.get(word.anchor, 0.0)
    return (
        f'{line}<svg x="{_x(word.at)}" y="{baseline:.2f}em" overflow="visible">'
        f'<text x="{shift}em" text-anchor="{word.anchor}">{escape(word.text)}</text></svg>'
    )


def plank_swatch(kind: Kind) -> str:
    """A small piece of the board for a table; words stand beside it."""
    hatch = '<path class="plank-hatch" d="M0 12L12 0M6 18L24 0M18 18L24 12"/>' if kind == "outwork" else ""
    return (
        '<svg class="plank-swatch" width="24" height="18" aria-hidden="true">'
        f'<rect class="plank-{kind}" width="24" height="18"/>{hatch}</svg>'
    )
