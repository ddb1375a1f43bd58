"""The shop itself: its name, how it is reached, money, time zone, hours and the smith's days."""

from datetime import time
from functools import cache
from itertools import groupby
from typing import TYPE_CHECKING, Any
from zoneinfo import available_timezones

from django import forms

from shop.currencies import UnknownCurrency, currency_of
from shop.forms.pay_settings import MONEY
from shop.forms.people import one_line
from shop.forms.seen import Seen
from shop.models import Issue, Outwork, OverheadSpent, Rate, Revision, Shop

# Django's form takes a type only where types are checked.
if TYPE_CHECKING:
    FormOfShop = forms.ModelForm[Shop]
else:
    FormOfShop = forms.ModelForm

WEEK = list(enumerate(("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")))


@cache
def zones() -> list[tuple[str, list[tuple[str, str]]]]:
    """Time zones by continent, for a select: ("Europe", [("Europe/London", "London"), …])."""
    found = sorted(zone for zone in available_timezones() if "/" in zone and not zone.startswith(("Etc/", "SystemV/")))
    by_region = groupby(found, key=lambda zone: zone.partition("/")[0])
    regions = [(region, [(zone, _place(zone)) for zone in inside]) for region, inside in by_region]
    return [*regions, ("Elsewhere", [("UTC", "UTC")])]


def _place(zone: str) -> str:
    return zone.partition("/")[2].replace("_", " ").replace("/", ", ")


class ZoneField(forms.ChoiceField):
    def __init__(self, **others: Any) -> None:
        told: dict[str, Any] = {
            "label": "Time zone",
            "help_text": "It says on which day work was done.",
            "choices": zones,
        }
        super().__init__(**(told | others))


class CurrencyField(forms.CharField):
    def __init__(self, **others: Any) -> None:
        told: dict[str, Any] = {
            "label": "Currency",
            "help_text": "Its three letters: GBP, EUR, USD.",
            # Longer than a code, so that "pounds" is told that it is none.
            "max_length": 40,
            "widget": forms.TextInput(
                attrs={"autocomplete": "off", "autocapitalize": "characters", "spellcheck": "false"}
            ),
        }
        super().__init__(**(told | others))

    def clean(self, value: Any) -> str:
        try:
            return currency_of(super().clean(value)).code
        except UnknownCurrency as error:
            raise forms.ValidationError(str(error)) from error


class ClockField(forms.TimeField):
    """A time of day, as 12.30 or 12:30."""

    def __init__(self, **others: Any) -> None:
        told: dict[str, Any] = {
            "input_formats": ["%H.%M", "%H:%M"],
            "widget": forms.TimeInput(format="%H.%M", attrs={"autocomplete": "off"}),
            "error_messages": {"invalid": "Write the time as 12.30."},
        }
        super().__init__(**(told | others))


class ShopForm(Seen, FormOfShop):
    """Everything about the shop but its words. `smith_days` become numbers, 0 for Monday."""

    name = forms.CharField(label="Name of the shop", max_length=80)
    address = forms.CharField(label="Address", max_length=300, required=False, widget=forms.Textarea(attrs={"rows": 3}))
    phone = forms.CharField(label="Telephone", max_length=40, required=False)
    email = forms.EmailField(label="E-mail", max_length=120, required=False)
    tax_name = forms.CharField(
        label="Tax on prices is called", max_length=20, required=False, help_text="As VAT, GST or sales tax."
    )
    tax_number = forms.CharField(label="The shop's number for it", max_length=40, required=False)
    units = forms.ChoiceField(label="Measures are shown in", choices=Shop.Units, widget=forms.RadioSelect)
    currency = CurrencyField(help_text="Its three letters: GBP, EUR, USD. Changing it converts nothing.")
    time_zone = ZoneField(help_text="It says on which day work was done. Days already written down stay.")
    dinner_from = ClockField(label="Dinner from", required=False)
    dinner_to = ClockField(label="Dinner to", required=False)
    smith_name = forms.CharField(label="The smith's name", max_length=80, required=False)
    smith_days = forms.TypedMultipleChoiceField(
        label="The smith's days",
        choices=WEEK,
        coerce=int,
        required=False,
        help_text="The smith's list is made up for the next of them.",
        widget=forms.CheckboxSelectMultiple,
    )
    hands_see_times = forms.BooleanField(
        label="Hands may see each other's times",
        required=False,
        help_text="All see what is usual in the shop, also where one hand alone does such work, and their own times.",
    )
    normal_spoiled_percent = forms.IntegerField(
        label="Spoiled work that is normal, in % of the work on wheels",
        required=False,
        widget=forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"}),
        error_messages={"invalid": "Write a whole number, as 5."},
        help_text="Left empty, none is. A new shop begins with 5: common practice, no source.",
    )
    leaves_out_apprentices = forms.BooleanField(
        label="An apprentice's time is left out of usual times",
        required=False,
    )

    class Meta:
        model = Shop
        fields = [
            *("name", "address", "phone", "email", "tax_name", "tax_number"),
            *("units", "currency", "time_zone", "dinner_from", "dinner_to", "smith_name", "smith_days"),
            "hands_see_times",
            "leaves_out_apprentices",
            "normal_spoiled_percent",
        ]

    def clean_name(self) -> str:
        return one_line(self.cleaned_data["name"])

    def clean_phone(self) -> str:
        return one_line(self.cleaned_data["phone"])

    def clean_tax_name(self) -> str:
        return one_line(self.cleaned_data["tax_name"])

    def clean_tax_number(self) -> str:
        return one_line(self.cleaned_data["tax_number"])

    def clean_currency(self) -> str:
        code: str = self.cleaned_data["currency"]
        before = self.initial["currency"]
        if currency_of(code).digits != currency_of(before).digits and _money_is_written():
            raise forms.ValidationError(
                f"Rates, bills or quotations are written down in {before} already, and {code} divides otherwise: "
                "their figures would change meaning."
            )
        rules = self.instance.pay_rules
        if code != before and MONEY.get(rules, code) != code:
            raise forms.ValidationError(
                f"The rules that pay is checked by are in {MONEY[rules]}: choose others first, under Settings, Pay."
            )
        return code

    def clean_normal_spoiled_percent(self) -> int:
        if "normal_spoiled_percent" not in self.data:
            # A page that was opened under the release before, which did not ask.
            return self.instance.normal_spoiled_percent
        percent: int = self.cleaned_data["normal_spoiled_percent"] or 0
        if not 0 <= percent <= 100:
            raise forms.ValidationError("It is a part of the work: from 0 to 100.")
        return percent

    def clean(self) -> dict[str, Any]:
        answers = super().clean() or self.cleaned_data
        if not {"dinner_from", "dinner_to"} & set(self.errors):
            self._check_dinner(answers.get("dinner_from"), answers.get("dinner_to"))
        return answers

    def _check_dinner(self, begins: time | None, ends: time | None) -> None:
        if (begins is None) != (ends is None):
            self.add_error("dinner_to" if ends is None else "dinner_from", "Write both times of dinner, or neither.")
        elif begins and ends and ends <= begins:
            self.add_error("dinner_to", "Dinner ends before it begins: write the later time here.")


def _money_is_written() -> bool:
    written = (Rate, Outwork, Issue, OverheadSpent)
    return any(rows.objects.exists() for rows in written) or Revision.objects.with_money().exists()
