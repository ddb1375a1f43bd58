"""Tags for what is to be made: wheels drawn, lengths in the shop's units, the shop's words, durations."""

from collections.abc import Mapping

from django import template
from django.utils.safestring import SafeString, mark_safe

from jobs.drawing import state_swatch
from jobs.drawing.key import SwatchKind, SwatchState
from jobs.durations import hours_and_minutes, minutes_of
from jobs.makeup import MakeUp, describe
from jobs.measures import Unit, format_feet, format_length
from jobs.words import in_words as put_in_words
from jobs.words import unbroken as put_unbroken

register = template.Library()


@register.filter
def in_words(name: str, words: Mapping[str, str]) -> str:
    """The name of an operation in the shop's own words: "Turn {hub}" becomes "Turn nave"."""
    return put_in_words(name, words)


@register.filter
def unbroken(text: str) -> str:
    """Running text in which no line ends between a number and its unit."""
    return put_unbroken(text)


@register.filter
def in_units(nm: int, unit: Unit) -> str:
    """A length in the shop's units: "1168 mm" or "46 1/2 in"."""
    return format_length(nm, unit=unit)


@register.filter
def in_other_units(nm: int, unit: Unit) -> str:
    """The same length as the other half of the trade reads it; feet and inches where that is longer than a foot."""
    if unit == "in":
        return format_length(nm, unit="mm")
    return format_feet(nm) if nm >= 304_800_000 else format_length(nm, unit="in")


@register.filter
def duration(seconds: int) -> str:
    """Seconds as "2 h 10" or "35 min"."""
    return hours_and_minutes(seconds)


@register.filter
def minutes(seconds: float) -> str:
    """Seconds as minutes to a tenth: "11.6"; whole ones without it."""
    return minutes_of(seconds)


@register.filter
def minutes_whole(seconds: int) -> str:
    """Seconds as whole minutes: "231"; "under 1" for less than one that is not nothing."""
    whole = (abs(seconds) + 30) // 60
    return "under 1" if seconds and not whole else f"{'−' if seconds < 0 else ''}{whole}"


@register.simple_tag
def make_up_line(makeup: MakeUp, words: Mapping[str, str], unit: Unit) -> str:
    """A make-up in one line."""
    return put_unbroken(describe(makeup, words=words, unit=unit))


@register.simple_tag
def swatch(kind: SwatchKind, state: SwatchState) -> SafeString:
    """A small piece as the drawings show it; decorative, so words stand beside it."""
    return mark_safe(state_swatch(kind, state))  # noqa: S308  drawn by us from two known words
