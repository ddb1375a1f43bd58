"""Degrees and coefficients as the pages of iron tell them."""

from django import template

from jobs.iron import in_degrees
from jobs.measures import Unit

register = template.Library()


@register.filter
def degrees(celsius: float, unit: Unit) -> str:
    """A temperature in the degrees that go with the shop's lengths."""
    return in_degrees(celsius, unit=unit)


@register.filter
def millionths(coefficient: float) -> str:
    return f"{1e6 * coefficient:g}"
