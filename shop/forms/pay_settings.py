"""Settings: how pay is reckoned."""

from datetime import date
from typing import TYPE_CHECKING, Any

from django import forms

from shop.days import day_in_words
from shop.forms.seen import Seen
from shop.models import Shop
from shop.pay.periods import LAST_OF_EVERY_MONTH, MONTH
from shop.pay.rules import RULES
from shop.pay_runs import closed_until
from shop.widgets import DayField

# Django's form takes a type only where types are checked.
if TYPE_CHECKING:
    FormOfShop = forms.ModelForm[Shop]
else:
    FormOfShop = forms.ModelForm

SUNDAY = 6
# The money that a country's rules are written in.
MONEY = {"gb": "GBP", "us": "USD"}


class PaySettingsForm(Seen, FormOfShop):
    """Whose rules, which period, and what is paid beside pieces and hours."""

    pay_rules = forms.ChoiceField(
        label="Rules that are checked",
        choices=[(key, rules.name) for key, rules in RULES.items()],
        widget=forms.RadioSelect,
        help_text="They are no legal advice. Local rules go before them.",
    )
    pay_period = forms.ChoiceField(
        label="Pay is for", choices=[("week", "A week"), ("month", "A month")], widget=forms.RadioSelect
    )
    pay_first_on = DayField(
        label="A period begins on", help_text="Any day on which one does: the others are counted from it."
    )
    pays_spoiled_timber = forms.BooleanField(label="By the timber", required=False)
    pays_spoiled_work = forms.BooleanField(label="By the hand’s own work", required=False)
    pays_spoiled_other = forms.BooleanField(label="By something else", required=False)
    pays_short_breaks = forms.BooleanField(
        label="Breaks under half an hour are paid",
        required=False,
        help_text="Under the rules of the United States they always are (29 CFR 785.18).",
    )

    class Meta:
        model = Shop
        fields = [
            *("pay_rules", "pay_period", "pay_first_on"),
            *("pays_spoiled_timber", "pays_spoiled_work", "pays_spoiled_other", "pays_short_breaks"),
        ]

    def clean_pay_rules(self) -> str:
        key: str = self.cleaned_data["pay_rules"]
        money = MONEY.get(key)
        if money and money != self.instance.currency:
            raise forms.ValidationError(
                f"Those rules are in {money}, and this shop's money is {self.instance.currency}."
            )
        return key

    def clean(self) -> dict[str, Any]:
        answers: dict[str, Any] = super().clean() or self.cleaned_data
        begins: date | None = answers.get("pay_first_on")
        length, rules = answers.get("pay_period"), answers.get("pay_rules")
        if begins and length == MONTH and begins.day > LAST_OF_EVERY_MONTH:
            last = LAST_OF_EVERY_MONTH
            self.add_error("pay_first_on", f"Not every month has that day: write one from the 1st to the {last}th.")
        # 29 CFR 778.104: each workweek stands alone, so none may be cut by the end of a period.
        if rules == "us" and begins and length and (length == MONTH or begins.weekday() != 0):
            self.add_error(
                "pay_period",
                "Overtime is reckoned by the workweek there: pay by the week, and let it begin on a Monday.",
            )
            return answers
        ended = closed_until() if rules == "us" else None
        if ended and ended.weekday() != SUNDAY:
            self.add_error(
                "pay_rules",
                f"Pay is closed until {day_in_words(ended)}, within a workweek, whose overtime would be lost: pay by "
                "the week from a Monday by other rules first, until a period ends on a Sunday.",
            )
        return answers
