"""Tags and filters for quotations: estimates in round figures, percentages, the plank's swatches."""

from fractions import Fraction

from django import template
from django.utils.safestring import SafeString, mark_safe

from shop import quote_words
from shop.quote_plank import Kind
from shop.quote_plank import plank_swatch as draw_swatch

register = template.Library()


@register.filter
def about(pence: int, currency: str) -> str:
    """An estimate as it is read, in whole pounds."""
    return quote_words.about(pence, currency or "GBP")


@register.filter
def basis(points: int) -> str:
    """Basis points as a percentage: "20 %"; "none" for none."""
    return quote_words.per_cent(Fraction(points, 10_000)) if points else "none"


@register.simple_tag
def plank_swatch(kind: Kind) -> SafeString:
    """A small piece of the price's plank; words stand beside it."""
    return mark_safe(draw_swatch(kind))  # noqa: S308  drawn by us from a known word
