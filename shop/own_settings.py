"""The shop's own settings and words, kept with a line of who changed them."""

from collections.abc import Mapping
from datetime import date, time

from django.contrib.auth.models import User
from django.utils import timezone

from jobs.measures import exact_length
from jobs.writing import writing
from shop.audit import Kind, note_differences
from shop.days import day_in_words
from shop.models import RulesBefore, Shop
from shop.models.settings import ALLOWANCES
from shop.pay.rules import RULES

DAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")


def keep_shop(shop: Shop, labels: Mapping[str, str], *, by: User) -> None:
    """Save the settings that `labels` names, by column, with what each is called on its page."""
    with writing():
        was = Shop.objects.select_for_update().get(pk=shop.pk)
        shop.save(update_fields=list(labels))
        if was.pay_rules != shop.pay_rules and "pay_rules" in labels:
            RulesBefore.objects.create(rules=was.pay_rules, last_on=timezone.localdate(timezone=was.zone))
        before, after = _in_words(was, labels), _in_words(shop, labels)
        note_differences(Kind.SHOP, was.name, before, after, by=by)


def _in_words(shop: Shop, labels: Mapping[str, str]) -> dict[str, str]:
    return {label: _value(shop, name) for name, label in labels.items()}


def _value(shop: Shop, name: str) -> str:
    value = getattr(shop, name)
    if name == "smith_days":
        return ", ".join(DAYS[day] for day in sorted(value))
    if name == "units":
        return str(shop.get_units_display())
    if name in ALLOWANCES:
        return exact_length(value, unit="in" if shop.units == "in" else "mm")
    if name == "pay_rules":
        return RULES[value].name
    if isinstance(value, date):
        return day_in_words(value)
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, int):
        return str(value)
    if isinstance(value, time):
        return f"{value:%H.%M}"
    return str(value or "")
