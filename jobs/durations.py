"""Seconds in the words of the shop."""


def hours_and_minutes(seconds: int) -> str:
    """As "2 h 10", "3 h", "35 min"; to the nearest minute, and "under 1 min" for less than one that is not nothing."""
    sign = "−" if seconds < 0 else ""
    whole = (abs(seconds) + 30) // 60
    if whole == 0:
        return "under 1 min" if seconds else "0 min"
    hours, rest = divmod(whole, 60)
    if not hours:
        return f"{sign}{rest} min"
    return f"{sign}{hours} h {rest:02d}" if rest else f"{sign}{hours} h"


def minutes_of(seconds: float) -> str:
    """Minutes to a tenth, halves up: "11.6", "12"."""
    tenths = int(seconds / 6 + (0.5 if seconds >= 0 else -0.5))
    whole, part = divmod(abs(tenths), 10)
    return f"{'−' if tenths < 0 else ''}{whole}{f'.{part}' if part else ''}"
