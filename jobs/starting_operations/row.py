"""The form of a row of the list, and the choices of a make-up that its rows name."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

How = Literal["piece", "first", "wheel", "lot", "enough"]

SAWN = {"rim": ("sawn",)}
BENT = {"rim": ("bent",)}
WOOD_HUB = {"hub": ("wood",)}
BOLTED_HUB = {"hub": ("bolted",)}
IRON = {"tyre": ("iron",)}
RUBBER = {"tyre": ("rubber",)}
HOOPED = {"tyre": ("iron", "rubber")}
NEW = ("new",)
REPAIRS = ("retyre", "cut_and_shut", "new_felloes", "new_spokes", "new_hub", "new_box")
WITH_STRIPPING = REPAIRS[:-1]


@dataclass(frozen=True, slots=True)
class StartWait:
    on: str
    how: How
    standing_minutes: int = 0


@dataclass(frozen=True, slots=True)
class StartOperation:
    """One row of the list; `minutes` is the book time of a unit."""

    key: str
    name: str
    done_word: str
    part: str
    per: str
    minutes: int
    for_lot: bool = False
    trade: str = "bench"
    hands: int = 1
    per_number: int | None = None
    chosen_by: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    works: tuple[str, ...] = NEW
    waits: tuple[StartWait, ...] = ()
    notes: str = ""


def op(key: str, name: str, done_word: str, part: str, per: str, minutes: int, **others: object) -> StartOperation:
    waits = others.pop("waits", ())
    assert isinstance(waits, tuple)  # noqa: S101 - a slip in this file, not bad input
    rows = tuple(wait if isinstance(wait, StartWait) else StartWait(*wait) for wait in waits)
    return StartOperation(key, name, done_word, part, per, minutes, waits=rows, **others)  # type: ignore[arg-type]
