"""Opening a shop, and signing in at the desk."""

from typing import Any

from django import forms
from django.contrib.auth.models import User
from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError

from shop.forms.people import one_line
from shop.forms.shop import CurrencyField, ZoneField
from shop.models import Hand, Shop

HUBS = {"hub": "hubs", "nave": "naves", "stock": "stocks"}
FELLOES = {"felloe": "felloes", "felly": "fellies"}
TYRES = {"tyre": "tyres", "tire": "tires"}


class SignInForm(forms.Form):
    name = forms.CharField(
        label="Name",
        max_length=60,
        widget=forms.TextInput(attrs={"autocomplete": "username", "autocapitalize": "words"}),
    )
    password = forms.CharField(
        label="Password", strip=False, widget=forms.PasswordInput(attrs={"autocomplete": "current-password"})
    )


class OpeningForm(forms.Form):
    """A new shop and its owner."""

    name = forms.CharField(label="Name of the shop", max_length=80, help_text="It stands at the head of every page.")
    owner = forms.CharField(
        label="Your name",
        max_length=60,
        help_text="You will be the owner, and sign in with this name.",
        widget=forms.TextInput(attrs={"autocomplete": "name", "autocapitalize": "words"}),
    )
    password = forms.CharField(
        label="Password",
        strip=False,
        help_text="At least eight letters and figures: a few plain words are good.",
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
    )
    again = forms.CharField(
        label="The same password again",
        strip=False,
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
    )
    units = forms.ChoiceField(label="Measures are shown in", choices=Shop.Units, widget=forms.RadioSelect, initial="mm")
    currency = CurrencyField(initial="GBP")
    time_zone = ZoneField(initial="Europe/London")
    hub = forms.ChoiceField(label="Middle of a wheel", choices=[(word, word) for word in HUBS])
    felloe = forms.ChoiceField(label="Piece of its rim", choices=[(word, word) for word in FELLOES])
    tyre = forms.ChoiceField(label="Hoop round it", choices=[(word, word) for word in TYRES])

    def clean_name(self) -> str:
        return one_line(self.cleaned_data["name"])

    def clean_owner(self) -> str:
        return one_line(self.cleaned_data["owner"])

    def clean(self) -> dict[str, Any]:
        answers = super().clean() or self.cleaned_data
        check_new_password(self, answers.get("owner", ""))
        return answers

    @property
    def shop(self) -> dict[str, str | int]:
        """The fields of the new Shop."""
        answers = self.cleaned_data
        hub, felloe, tyre = answers["hub"], answers["felloe"], answers["tyre"]
        words = {"hub": hub, "hubs": HUBS[hub], "felloe": felloe, "felloes": FELLOES[felloe], "tyre": tyre}
        return {
            **{field: answers[field] for field in ("name", "units", "currency", "time_zone")},
            **{f"word_{noun}": word for noun, word in words.items()},
            "word_tyres": TYRES[tyre],
            **Shop.usual_allowances(answers["units"]),
        }


def check_new_password(form: forms.Form, name: str, hand: Hand | None = None) -> None:
    """Add to the form what is wrong with its fields `password` and `again`."""
    password, again = form.cleaned_data.get("password"), form.cleaned_data.get("again")
    if not password:
        return
    try:
        validate_password(password, user=hand.user if hand else User(username=name))
    except ValidationError as error:
        form.add_error("password", error)
    if again and again != password:
        form.add_error("again", "The two passwords differ: type the same one twice.")
