"""Filters for the list of operations: words, book times and standing times."""

from collections.abc import Mapping

from django import template

from jobs.durations import minutes_of
from shop import own_words as words_of_ours

register = template.Library()


@register.filter
def own_words(label: str, words: Mapping[str, str]) -> str:
    """A label of ours, such as "new felloes", in the shop's own words."""
    return words_of_ours.own_words(label, words)


@register.filter
def book_minutes(seconds: int | None) -> str:
    """A book time in minutes, "none yet" where there is none."""
    return "none yet" if seconds is None else minutes_of(seconds)


@register.filter
def standing(minutes: int) -> str:
    """How long something stands: "30 min", "16 h", "1 h 30"."""
    hours, rest = divmod(minutes, 60)
    if not hours:
        return f"{rest} min"
    return f"{hours} h {rest:02d}" if rest else f"{hours} h"
