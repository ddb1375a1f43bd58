"""What a forecast is made from and for: operations, timings, and lines of work to come."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from timing.forecast.arrays import Bools, Floats, Ints


class WorkRefused(ValueError):
    """What can't be reckoned with; the message is one sentence that says what and where."""


# Common practice, no source: a wheel of 12 spokes and 6 felloes, with two bands and five coats; a fire serves four.
USUALLY_A_WHEEL = {"wheel": 1.0, "spoke": 12.0, "felloe": 6.0, "joint": 6.0, "band": 2.0, "coat": 5.0, "heat": 0.25}


def usual_pieces_a_wheel(per: str) -> float:
    """Pieces that a usual wheel has of what goes by such a word, or by a number. WorkRefused for any other."""
    if per in USUALLY_A_WHEEL:
        return USUALLY_A_WHEEL[per]
    if per.isdecimal() and int(per):
        return float(per)
    raise WorkRefused(f"“{per}” is none of {', '.join(USUALLY_A_WHEEL)}, nor a number a wheel.")


@dataclass(frozen=True, slots=True)
class Operation:
    """One kind of work: part and `per` name its family. Book minutes are a piece's, in the run of a pair of wheels."""

    key: str
    part: str
    per: str
    pieces_a_wheel: float = 1.0
    book_minutes: float | None = None

    def __post_init__(self) -> None:
        if not (math.isfinite(self.pieces_a_wheel) and self.pieces_a_wheel > 0):
            raise WorkRefused(f"“{self.key}” needs more than no pieces a wheel.")
        if self.book_minutes is not None and not (math.isfinite(self.book_minutes) and self.book_minutes > 0):
            raise WorkRefused(f"The book time of “{self.key}” must be more than no minutes.")


@dataclass(frozen=True, slots=True)
class Timings:
    """Stretches of work, one a row, in the order of time; all columns are equally long.

    `operation` and `hand` are places in the lists that are given beside; `order` and `wheel` are numbers of any kind
    that tell one from another; a wheel below 0 is not known. A row whose pieces cover several wheels carries the
    number of any of them. All rows of one order with the same operation and hand are one batch: one setting-up, one
    run. Sizes are nanometres, NaN where unknown. A person has said of what is `counted` that it is true, however long
    it took: it can't stray.
    """

    order: Ints
    operation: Ints
    hand: Ints
    wheel: Ints
    size_nm: Floats
    pieces: Floats
    minutes: Floats
    counted: Bools

    def __len__(self) -> int:
        return len(self.order)

    def __post_init__(self) -> None:
        lengths = {name: len(getattr(self, name)) for name in self.__slots__}
        if len(set(lengths.values())) > 1:
            raise WorkRefused(f"The columns of timings differ in length: {lengths}.")
        for name, wrong in (
            ("pieces", ~(np.isfinite(self.pieces) & (self.pieces > 0))),
            ("minutes", ~(np.isfinite(self.minutes) & (self.minutes > 0))),
            ("size", self.size_nm <= 0),
        ):
            if wrong.any():
                raise WorkRefused(
                    f"Row {int(np.argmax(wrong)) + 1} of the timings has a {name} that is not above zero."
                )


def timings(
    *,
    order: ArrayLike = (),
    operation: ArrayLike = (),
    hand: ArrayLike = (),
    wheel: ArrayLike = (),
    size_nm: ArrayLike = (),
    pieces: ArrayLike = (),
    minutes: ArrayLike = (),
    counted: ArrayLike | None = None,
) -> Timings:
    """Timings from whatever numpy takes for columns. WorkRefused where pieces, minutes or sizes are not above 0."""
    return Timings(
        order=np.asarray(order, dtype=np.int64),
        operation=np.asarray(operation, dtype=np.int64),
        hand=np.asarray(hand, dtype=np.int64),
        wheel=np.asarray(wheel, dtype=np.int64),
        size_nm=np.asarray(size_nm, dtype=np.float64),
        pieces=np.asarray(pieces, dtype=np.float64),
        minutes=np.asarray(minutes, dtype=np.float64),
        counted=np.zeros(np.shape(minutes), dtype=np.bool_) if counted is None else np.asarray(counted, dtype=np.bool_),
    )


@dataclass(frozen=True, slots=True)
class Line:
    """Work to come: so many pieces in all, over so many wheels. No hand is any hand, as such work was shared so far."""

    operation: str
    pieces: float
    wheels: float = 1.0
    size_nm: float | None = None
    hand: str | None = None

    def __post_init__(self) -> None:
        if not (math.isfinite(self.pieces) and self.pieces > 0 and math.isfinite(self.wheels) and self.wheels > 0):
            raise WorkRefused(f"A line of “{self.operation}” needs more than no pieces and no wheels.")
        if self.size_nm is not None and not (math.isfinite(self.size_nm) and self.size_nm > 0):
            raise WorkRefused(f"The diameter in a line of “{self.operation}” must be above zero.")


def check_places(name: str, places: Ints, known: Sequence[object]) -> None:
    """WorkRefused if a column names what the list beside it has not."""
    wrong = (places < 0) | (places >= len(known))
    if wrong.any():
        raise WorkRefused(
            f"Row {int(np.argmax(wrong)) + 1} of the timings has {name} that is not in the list of {len(known)}."
        )
