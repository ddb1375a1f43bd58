"""Where the words of a rule's wedges go, so that none lies on another. Widths in em of the rule's type."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

Side = Literal["left", "right", "middle", "start", "end"]
# Widths a character, on the generous side of the house serifs: regular figures, bold words.
FIGURE_EM, WORD_EM = 0.56, 0.6
CLEAR_EM = 0.15
CROSSING = 50.0  # worse than any number of rows, but words on words are never allowed
HEAD_EM = 0.55  # half a wedge's head


@dataclass(frozen=True, slots=True)
class Placed:
    """One label: on which side of its wedge, and how many rows above the strip (0 is beside the wedge)."""

    side: Side
    level: int

    @property
    def anchor(self) -> str:
        return {"left": "end", "right": "start", "middle": "middle", "start": "start", "end": "end"}[self.side]

    @property
    def offset_em(self) -> float:
        gap = 0.75 if self.level == 0 else 0.35
        return {"left": -gap, "right": gap}.get(self.side, 0.0)

    @property
    def stem_from_em(self) -> float:
        """Where the line down to the strip begins, from the label's foot: beside the words, or under them."""
        return -0.9 if self.side in ("left", "right") else 0.3


@dataclass(frozen=True, slots=True)
class _Block:
    level: int
    left: float
    right: float

    def meets(self, other: "_Block") -> bool:
        return self.level == other.level and self.left < other.right + CLEAR_EM and other.left < self.right + CLEAR_EM


@dataclass(frozen=True, slots=True)
class _Choice:
    cost: float
    placed: Placed
    label: _Block
    lines: tuple[_Block, ...]  # this wedge's own head and stem, which other wedges' words should clear


def place(wedges: Sequence[tuple[float, str]], *, width_em: float) -> tuple[Placed, ...]:
    """A place for each label (share of the width, words): the fewest rows, no words on words, none off the strip.

    Words longer than the strip begin at its left end. There is always an answer, since each may have a row to itself.
    """
    choices = [
        sorted(_choices(wedge, width_em, rows=len(wedges), first=not index), key=lambda choice: choice.cost)
        for index, wedge in enumerate(wedges)
    ]
    return tuple(choice.placed for choice in _best(choices, [], 0.0, (math.inf, []))[1])


def _best(
    choices: Sequence[Sequence[_Choice]], chosen: list[_Choice], cost: float, best: tuple[float, list[_Choice]]
) -> tuple[float, list[_Choice]]:
    """The cheapest choice for every wedge, leaving off wherever the best so far can't be bettered."""
    if len(chosen) == len(choices):
        return (cost, chosen) if cost < best[0] else best
    for choice in choices[len(chosen)]:
        if cost + choice.cost >= best[0]:
            break
        if not any(choice.label.meets(other.label) for other in chosen):
            crossed = sum(_crossings(choice, other) for other in chosen)
            best = _best(choices, [*chosen, choice], cost + choice.cost + CROSSING * crossed, best)
    return best


def _crossings(one: _Choice, other: _Choice) -> int:
    return sum(one.label.meets(line) for line in other.lines) + sum(other.label.meets(line) for line in one.lines)


def _choices(wedge: tuple[float, str], width_em: float, *, rows: int, first: bool) -> Iterator[_Choice]:
    share, words = wedge
    at, wide = share * width_em, len(words) * WORD_EM
    head = _Block(0, at - HEAD_EM, at + HEAD_EM)
    for level in range(rows + 1):
        lines = (head, *(_Block(row, at - 0.05, at + 0.05) for row in range(1, level)))
        for side, (left, right) in _spans(at, wide, width_em, level=level).items():
            # The first words read best to the left of their wedge, the rest to the right.
            dislike = {"left": float(not first), "right": float(first), "middle": 3.0}.get(side, 7.0)
            yield _Choice(10.0 * level + dislike, Placed(side, level), _Block(level, left, right), lines)


def _spans(at: float, wide: float, width_em: float, *, level: int) -> dict[Side, tuple[float, float]]:
    """Where words may lie in one row: beside or over their wedge; far from it only where they fit nowhere nearer."""
    gap = abs(Placed("right", level).offset_em)
    near: dict[Side, tuple[float, float]] = {
        "left": (at - gap - wide, at - gap),
        "right": (at + gap, at + gap + wide),
    }
    flush: dict[Side, tuple[float, float]] = {}
    if level:
        near["middle"] = (at - wide / 2, at + wide / 2)
        flush = {"start": (0.0, wide), "end": (width_em - wide, width_em)}
    fitting = {side: span for side, span in near.items() if span[0] >= 0 and span[1] <= width_em}
    fitting |= {side: span for side, span in flush.items() if span[0] <= at <= span[1]}
    return fitting or flush
