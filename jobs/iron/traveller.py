"""The traveller: a wheel on a handle, run round the wood and inside the hoop, counted in its turns.

Hasluck, Cassell's Cyclopaedia of Mechanics; Richardson, Practical Carriage Building, 1891: run the wheel, run
the hoop, compare.
"""

import math
from dataclasses import dataclass


class TravellerRefused(ValueError):
    """This traveller can't be; the message is one sentence."""


@dataclass(frozen=True, slots=True)
class Turns:
    """A run in turns of the traveller: so many whole ones, and what is left over, in nanometres."""

    whole: int
    rest_nm: float
    traveller_nm: float

    @property
    def run_nm(self) -> float:
        return self.whole * self.traveller_nm + self.rest_nm

    def error_nm(self, error_a_turn_nm: float) -> float:
        """How far the whole run is out where the traveller's own run is out by so much."""
        return self.run_nm / self.traveller_nm * error_a_turn_nm


def traveller_run_nm(diameter_nm: float) -> float:
    """A traveller's own run, from its diameter."""
    return math.pi * diameter_nm


def turns_of(run_nm: float, *, traveller_nm: float) -> Turns:
    """The turns of a traveller whose own run is `traveller_nm`. Raises TravellerRefused."""
    if traveller_nm <= 0:
        raise TravellerRefused("The traveller's own run must be more than nothing.")
    whole = math.floor(run_nm / traveller_nm)
    return Turns(whole, run_nm - whole * traveller_nm, traveller_nm)
