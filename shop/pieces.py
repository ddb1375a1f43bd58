"""Pieces that go away and units of the work on them: a wheel is one piece, and its three coats are three units.

What goes to another's place is counted in pieces, as whoever loads the cart counts it; tasks and facts count units.
"""

from collections.abc import Iterable

from jobs.models import Task, Trip


def pieces_with(task: Task, units_left: int) -> int:
    """How many of a task's pieces may have some of the units that are left: of two wheels that want one coat more each,
    both, though two coats are fewer than one wheel's three."""
    return min(units_left, -(-task.wanted // task.units))


def units_away(task: Task, trips: Iterable[Trip]) -> int:
    """The units that the pieces away on some trips of a task may take, at the most."""
    return sum(trip.pieces for trip in trips) * task.units
