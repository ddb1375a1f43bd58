"""One value of a file: what it may be, and the sentence where it can't be read."""

import re
from collections.abc import Callable
from datetime import date
from decimal import Decimal

FIRST_YEAR = 1800
NM_PER_MM = 1_000_000
# What a column of the database holds; any time that was written down is far below it.
MOST_MINUTES = 35_000_000
MOST_PIECES = 1_000_000
MOST_WHEELS = 10_000
MOST_MM = 100_000
NOTHING = "nothing is written here"
NUMBER = re.compile(r"[+-]?(?:\d+\.?\d*|\.\d+)(?:e[+-]?\d{1,3})?", re.ASCII | re.IGNORECASE)
DAY = re.compile(r"\d{4}-\d\d-\d\d", re.ASCII)


class CellRefused(ValueError):
    """A value that can't be read; the message says why."""


def a_text(most: int, *, may_be_empty: bool = False) -> Callable[[str], str]:
    """A reader of words: blanks are drawn together, and what can't be printed is refused."""

    def read(text: str) -> str:
        text = " ".join(text.split())
        if not text and not may_be_empty:
            raise CellRefused(f"{NOTHING}.")
        if len(text) > most:
            raise CellRefused(f"“{shown(text)}” is longer than {most} letters.")
        if not text.isprintable():
            raise CellRefused(f"“{shown(text)}” holds a sign that can't be printed.")
        return text

    return read


def a_day(today: date) -> Callable[[str], date]:
    """A reader of days in ISO 8601, none of them after today."""

    def read(text: str) -> date:
        if not DAY.fullmatch(text):
            raise CellRefused(f"“{shown(text)}” is no day: write it as 2026-03-02.")
        try:
            day = date.fromisoformat(text)
        except ValueError as error:
            raise CellRefused(f"“{text}” is not in the calendar.") from error
        if day.year < FIRST_YEAR:
            raise CellRefused(f"“{text}” is before {FIRST_YEAR}, and that can't be right.")
        if day > today:
            raise CellRefused(f"“{text}” has not come yet.")
        return day

    return read


def seconds(text: str) -> int:
    """Minutes, as whole seconds; what took any time took one at least."""
    minutes = _number(text, "minutes")
    if minutes <= 0:
        raise CellRefused(f"“{shown(text)}” must be more than no minutes.")
    if minutes > MOST_MINUTES:
        raise CellRefused(f"“{shown(text)}” is more than {MOST_MINUTES:,} minutes, the most that can be kept.")
    return max(1, round(minutes * 60))


def seconds_or_none(text: str) -> int | None:
    return seconds(text) if text else None


def pieces(text: str) -> int:
    return _whole(text, "pieces", MOST_PIECES)


def wheels(text: str) -> int:
    return _whole(text, "wheels", MOST_WHEELS)


def diameter_nm(text: str) -> int | None:
    """Millimetres as whole nanometres; nothing is the usual size."""
    if not text:
        return None
    millimetres = _number(text, "millimetres")
    if not 0 < millimetres <= MOST_MM:
        raise CellRefused(
            f"“{shown(text)}” is no diameter of a wheel in millimetres: leave it empty if it is not known."
        )
    return max(1, round(millimetres * NM_PER_MM))


def shown(text: str) -> str:
    """A value as a sentence repeats it: not the whole of a page that was pasted by mistake."""
    return text if len(text) <= 40 else f"{text[:40]}…"


def _number(text: str, what: str) -> Decimal:
    if not text:
        raise CellRefused(f"{NOTHING}.")
    if not NUMBER.fullmatch(text):
        raise CellRefused(f"“{shown(text)}” is no number of {what}: write it as 12 or 12.5.")
    return Decimal(text)


def _whole(text: str, what: str, most: int) -> int:
    number = _number(text, what)
    if number < 1 or number > most or number != number.to_integral_value():
        raise CellRefused(f"“{shown(text)}” is no whole number of {what} from 1 to {most:,}.")
    return int(number)
