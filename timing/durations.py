"""How long something took, as a person types it."""

import re

MINUTE, HOUR = 60, 3600

_HOURS = r"h|hr|hrs|hour|hours"
_MINUTES = r"m|min|mins|minute|minutes"
# More figures than these are a slip, and past some thousands Python reads no number.
_NUMBER = r"\d{1,9}(?:[.,]\d{1,9})?"
_CLOCK = re.compile(r"(\d{1,3}):([0-5]\d)")
_WORDS = re.compile(rf"(?:({_NUMBER})\s*(?:{_HOURS})\b\.?\s*)?(?:({_NUMBER})\s*(?:(?:{_MINUTES})\b\.?)?)?")
_HOURS_CLOSE_UP = re.compile(r"(\d)h(\d)")


def read_duration(text: str) -> int:
    """Whole seconds from "2 h 10", "2h10", "2:10", "1.5 h", "130 min", or "130", which is minutes.

    Raises ValueError with one sentence.
    """
    plain = _HOURS_CLOSE_UP.sub(r"\1 h \2", " ".join(text.lower().split()))
    clock = _CLOCK.fullmatch(plain)
    if clock:
        return int(clock[1]) * HOUR + int(clock[2]) * MINUTE
    words = _WORDS.fullmatch(plain)
    if plain == "" or not plain.isascii() or words is None:
        raise ValueError(f"“{text.strip()[:40]}” is no length of time: write it as 2 h 10, 2:10 or 130 (minutes).")
    hours, minutes = (_seconds(words[1], HOUR), _seconds(words[2], MINUTE))
    if words[1] and minutes >= HOUR:
        raise ValueError(f"“{text.strip()[:40]}” has an hour or more in its minutes: write it as 2 h 10.")
    return hours + minutes


def _seconds(number: str | None, each: int) -> int:
    """A decimal number of hours or minutes, to the nearest second without passing through floats."""
    if not number:
        return 0
    whole, _, part = number.replace(",", ".").partition(".")
    scale = int(10 ** len(part))
    return (2 * (int(whole) * scale + int(part or 0)) * each + scale) // (2 * scale)
