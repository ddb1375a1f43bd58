"""Hours worked: rounding of clocked times, and which breaks are work. Times are whole seconds."""

from fractions import Fraction

# What 29 CFR 785.48(b) allows: the nearest 5 minutes, tenth of an hour, or quarter of an hour.
ROUNDING_MINUTES = (5, 6, 15)
# 29 CFR 785.18 and 785.19: rests of 5 to about 20 minutes are work; a meal of 30 or more, free of all duty, is not.
SHORTEST_MEAL_SECONDS = 30 * 60


def nearest(seconds: int, *, minutes: int) -> int:
    """A moment, in seconds of the day, to the nearest 5, 6 or 15 minutes; half-way goes up.

    Only where it evens out over time: what was clocked is kept, and this is for the sum (29 CFR 785.48(b)). ValueError
    for any other grid.
    """
    if minutes not in ROUNDING_MINUTES:
        raise ValueError(f"Times are rounded to {', '.join(map(str, ROUNDING_MINUTES))} minutes, not to {minutes}.")
    grid = minutes * 60
    return (2 * seconds + grid) // (2 * grid) * grid


def is_worked_break(seconds: int, *, is_free_of_duty: bool) -> bool:
    """Whether a break counts as hours worked in the United States: all that are too short for a meal do."""
    return seconds < SHORTEST_MEAL_SECONDS or not is_free_of_duty


def in_hours(seconds: int) -> Fraction:
    return Fraction(seconds, 3600)
