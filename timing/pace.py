"""Pace: what minutes of work mean in days of a hand, in wheels a week of a shop, and in hands for a wheel a day.

The arithmetic of standard minutes, which is common practice and has no source of its own; the fewest hands for an
output are those of balanced lines, as in W. J. Stevenson, Operations Management.
"""

from collections.abc import Mapping
from dataclasses import dataclass

MINUTES = 60


@dataclass(frozen=True, slots=True)
class Week:
    """A shop's week: hours a day at the bench, and days. Both above 0."""

    hours: float
    days: float


def days_of(minutes: float, week: Week) -> float:
    """Days that one hand wants for so many minutes of work."""
    return minutes / MINUTES / week.hours


def wheels_a_week(minutes_a_wheel: float, hands: float, week: Week) -> float:
    """Wheels a week of so many hands, where all of their hours are work of that many minutes a wheel (above 0)."""
    return hands * week.hours * week.days * MINUTES / minutes_a_wheel


def hands_for_a_wheel_a_day(minutes_a_wheel: float, week: Week) -> float:
    """Hands that a wheel a day wants: the work in a wheel to the working day; round it up."""
    return minutes_a_wheel / MINUTES / week.hours


def slowest(minutes_a_wheel: Mapping[str, float], hands: Mapping[str, float], week: Week) -> str | None:
    """The trade that holds the pace, of those with hands and work; None where there is none.

    Each hand does the work of the own trade alone, and no trade waits for another.
    """
    paces = {
        trade: wheels_a_week(minutes, hands[trade], week)
        for trade, minutes in minutes_a_wheel.items()
        if minutes > 0 and hands.get(trade, 0) > 0
    }
    return min(paces, key=lambda trade: paces[trade], default=None)
