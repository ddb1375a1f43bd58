"""Tags for what stands on every kind of page: the shop rule, what is to be put right, the key to the drawings."""

from dataclasses import dataclass

from django import template
from django.forms import BaseForm
from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString, mark_safe

from jobs.drawing import state_swatch
from jobs.drawing.key import SwatchKind, SwatchState
from shop.shop_rule import ShopRule

register = template.Library()

KEY: tuple[tuple[SwatchKind, SwatchState, str], ...] = (
    ("spoke", "todo", "not begun"),
    ("spoke", "doing", "under way"),
    ("spoke", "done", "done"),
    ("iron", "todo", "iron not begun"),
    ("iron", "smith", "at the smith"),
    ("iron", "made", "iron made"),
    ("iron", "done", "iron on"),
)


@dataclass(frozen=True, slots=True)
class Wrong:
    """One thing to put right, and the field it is about ("" when it is about the whole form)."""

    href: str
    sentence: str


@register.simple_tag
def wrongs(form: BaseForm | None) -> list[Wrong]:
    """Everything wrong with a form, in the order of its fields; an empty list for none."""
    if form is None or not form.errors:
        return []
    whole = [Wrong("", str(error)) for error in form.non_field_errors()]
    hidden = [Wrong("", f"{field.label}: {error}") for field in form.hidden_fields() for error in field.errors]
    shown = [
        # A group of choices has no id of its own to label: its first choice has.
        Wrong(f"#{field.id_for_label or f'{field.auto_id}_0'}", f"{field.label}: {error}")
        for field in form.visible_fields()
        for error in field.errors
    ]
    return whole + hidden + shown


@register.simple_tag
def shop_rule(rule: ShopRule, ident: str) -> SafeString:
    """Draw a rule made by `shop.shop_rule`; `ident` must be unique on the page."""
    return mark_safe(rule.svg(ident))  # noqa: S308  every text in it was escaped as it was drawn


@register.simple_tag
def wheel_key() -> SafeString:
    """What dashes, hatching and solid mean in the drawings of wheels."""
    rows = format_html_join(
        "",
        "<li>{}{}</li>",
        ((mark_safe(state_swatch(kind, state)), words) for kind, state, words in KEY),  # noqa: S308
    )
    return format_html('<div class="box key"><ul aria-label="Key to the drawings">{}</ul></div>', rows)
