"""Filters for money and time: `{{ pence|money:shop.currency }}`, `{{ seconds|worked }}`, `{{ day|day_words }}`."""

from datetime import date

from django import template

from jobs.durations import hours_and_minutes
from shop.days import day_in_words
from shop.money import format_millipence, format_pence

register = template.Library()


@register.filter
def money(pence: int | None, currency: str) -> str:
    """Whole minor units with the shop's currency; nothing for None."""
    return "" if pence is None else format_pence(pence, currency or "GBP")


@register.filter
def more_or_less(pence: int, currency: str) -> str:
    """A difference in words: "£0.01 more", "£0.02 less"."""
    return f"{format_pence(abs(pence), currency or 'GBP')} {'more' if pence > 0 else 'less'}"


@register.filter
def rate(millipence: int | None, currency: str) -> str:
    """A rate in millipence with the shop's currency; nothing for None."""
    return "" if millipence is None else format_millipence(millipence, currency or "GBP")


@register.filter
def worked(seconds: int | None) -> str:
    """Seconds as "2 h 10"; "not timed" for None."""
    return "not timed" if seconds is None else hours_and_minutes(int(seconds))


@register.filter
def counted(number: int) -> str:
    """A count that may be less than nothing, with a proper minus."""
    return f"{number:,}".replace("-", "\N{MINUS SIGN}")


@register.filter
def day_words(day: date | None) -> str:
    """A day as "2 March 2026"."""
    return day_in_words(day) if day else ""
