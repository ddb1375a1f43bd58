"""Days as a person writes them."""

from datetime import date


def day_in_words(day: date) -> str:
    """A day as "2 March 2026"."""
    return f"{day.day} {day:%B %Y}"
