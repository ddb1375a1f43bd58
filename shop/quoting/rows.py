"""A row of what a quotation is made of."""

from dataclasses import dataclass, replace


@dataclass(frozen=True, slots=True)
class MaterialRow:
    """One material: how much of it, its pence (None where none is known), and what they rest on.

    `is_own` where the person put a figure of their own in place of the price on the day.
    """

    key: str
    name: str
    amount: str
    pence: int | None = None
    rests_on: str = ""
    missing: str = ""
    is_own: bool = False

    def with_own(self, pence: int | None) -> "MaterialRow":
        """The same at a figure of one's own, if there is one."""
        if pence is None:
            return self
        return replace(self, pence=pence, rests_on="your own figure", missing="", is_own=True)


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
