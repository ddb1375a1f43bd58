"""How far a wheel is, piece by piece: what its drawing shows."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal, Self

from jobs.makeup import MakeUp

IronState = Literal["none", "making", "smith", "made", "on"]
Piece = Literal["hub", "spoke", "felloe", "band", "tyre", "box"]

# From not begun to on the wheel; where several bands are drawn as one, the one furthest behind speaks for
# them.
IRON_STATES: tuple[IronState, ...] = ("none", "making", "smith", "made", "on")


@dataclass(frozen=True, slots=True, kw_only=True)
class WheelProgress:
    """The state of one wheel. Shares run from 0, not begun, to 1, done.

    A spoke counts from when it is driven, a felloe from when it is offered up: loose ones belong to no wheel.
    What the tuples leave out is not begun. `in_hand` is the piece at work on the bench and its place in the
    wheel, from 0. `as_came` counts the old wheel's own pieces on which no work is wanted, by kind, the finish
    among them: they are drawn as they are, done, and told apart in words.
    """

    hub: float = 0.0
    bands: tuple[IronState, ...] = ()
    spokes: tuple[float, ...] = ()
    felloes: tuple[float, ...] = ()
    tyre: IronState = "none"
    box: float = 0.0
    finish: float = 0.0
    as_came: Mapping[str, int] = field(default_factory=dict)
    in_hand: tuple[Piece, int] | None = None

    @classmethod
    def finished(cls, makeup: MakeUp) -> Self:
        """Everything done, as on a quotation or in the library."""
        on: IronState = "on"
        return cls(
            hub=1.0,
            bands=(on,) * len(makeup.bands),
            spokes=(1.0,) * makeup.spokes,
            felloes=(1.0,) * makeup.felloes,
            tyre="on",
            box=1.0,
            finish=1.0,
        )

    def spoke(self, place: int) -> float:
        return self.spokes[place] if place < len(self.spokes) else 0.0

    def felloe(self, place: int) -> float:
        return self.felloes[place] if place < len(self.felloes) else 0.0

    def band(self, place: int) -> IronState:
        return self.bands[place] if place < len(self.bands) else "none"

    def is_in_hand(self, piece: Piece, place: int = 0) -> bool:
        return self.in_hand == (piece, place)
