"""A row of what a quotation is made of."""

import hashlib
from dataclasses import dataclass, replace


@dataclass(frozen=True, slots=True)
class MaterialRow:
    """One material: how much of it, its pence (None where none is known), and what they rest on.

    `is_own` where the person put a figure of their own in place of the price on the day. `wanted` names what the wheels
    want of it, however it is cut: a figure of one's own is for that alone. `material_id` and `bought_millionths` tell
    which of the shop's materials the price is of, and for how much of its unit.
    """

    key: str
    name: str
    amount: str
    pence: int | None = None
    rests_on: str = ""
    missing: str = ""
    is_own: bool = False
    wanted: str = ""
    material_id: int | None = None
    bought_millionths: int = 0

    def with_own(self, pence: int | None, written_for: str | None) -> "MaterialRow":
        """The same at a figure of one's own, if there is one; where that was for other wheels, it is wanted anew."""
        if pence is None:
            return self
        if written_for != self.wanted:
            missing = f"{self.name}: your own figure was for another amount. Write it anew, or clear it."
            return replace(self, pence=None, rests_on="", missing=missing)
        return replace(self, pence=pence, rests_on="your own figure", missing="", is_own=True)


def name_wanted(pieces: object) -> str:
    """A short name of what is wanted, the same for the same pieces."""
    return hashlib.sha256(repr(pieces).encode()).hexdigest()[:12]


@dataclass(frozen=True, slots=True)
class WorkRow:
    """One operation over all the wheels: units, minutes one time in ten, in two, and nine in ten, and its pence.

    `timings` tell how many it rests on. `pence` is labour alone at the likely minutes.
    """

    key: str
    name: str
    units: int
    low: float
    likely: float
    high: float
    pence: int
    timings: int
    rests_on: str
    is_weak: bool
