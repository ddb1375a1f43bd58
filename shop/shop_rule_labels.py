"""Where the words of a rule's wedges go, so that none lies on another. Widths in em of the rule's type."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

Side = Literal["left", "right", "middle", "start", "end"]
# Widths a character, on the generous side of the house serifs: regular figures, bold words.
FIGURE_EM, WORD_EM = 0.58, 0.6
CLEAR_EM = 0.3
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


def place(wedges: Sequence[tuple[float, str]], *, width_em: float) -> tuple[Placed, ...]:
    """A place for each label (share of the width, words), with the fewest rows, none on another or off the strip."""
    best: list[tuple[float, tuple[Placed, ...]]] = [(float("inf"), ())]
    heads = [_Block(0, share * width_em - HEAD_EM, share * width_em + HEAD_EM) for share, _ in wedges]
    _search(wedges, width_em, heads, [], [], 0.0, best)
    return best[0][1]


def _search(
    wedges: Sequence[tuple[float, str]],
    width_em: float,
    heads: Sequence[_Block],
    chosen: list[Placed],
    blocks: list[_Block],
    cost: float,
    best: list[tuple[float, tuple[Placed, ...]]],
) -> None:
    """Try every choice for the next wedge, cheapest first, leaving off where the best so far can't be bettered."""
    if cost >= best[0][0]:
        return
    if len(chosen) == len(wedges):
        best[0] = (cost, tuple(chosen))
        return
    index = len(chosen)
    others = [head for n, head in enumerate(heads) if n != index]
    for extra, placed, label, stems in _choices(wedges[index], width_em, rows=len(wedges), last=index > 0):
        if not any(mine.meets(other) for mine in (label, *stems) for other in (*blocks, *others)):
            _search(wedges, width_em, heads, [*chosen, placed], [*blocks, label, *stems], cost + extra, best)


def _choices(
    wedge: tuple[float, str], width_em: float, *, rows: int, last: bool
) -> Iterator[tuple[float, Placed, _Block, list[_Block]]]:
    share, words = wedge
    at, wide = share * width_em, len(words) * WORD_EM
    for level in range(rows + 1):
        gap = 0.75 if level == 0 else 0.35
        spans: dict[Side, tuple[float, float]] = {
            "left": (at - gap - wide, at - gap),
            "right": (at + gap, at + gap + wide),
        }
        if level:
            spans["middle"] = (at - wide / 2, at + wide / 2)
            spans["start"], spans["end"] = (0.0, wide), (width_em - wide, width_em)
        for side, (left, right) in spans.items():
            fits = left >= -0.01 and right <= width_em + 0.01
            if not fits and side not in ("start", "end"):
                continue
            # The first label reads best to the left of its wedge and the last to the right.
            cost = 10.0 * level + {"left": float(last), "right": float(not last)}.get(side, 3.0)
            cost += 0.0 if side not in ("start", "end") else 4.0
            stems = [_Block(n, at - 0.1, at + 0.1) for n in range(1, level)]
            yield cost, Placed(side, level), _Block(level, left, right), stems
