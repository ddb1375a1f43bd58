"""Settings: how pay is reckoned."""

from typing import TYPE_CHECKING

from django import forms

from shop.forms.seen import Seen
from shop.models import Shop

# Django's form takes a type only where types are checked.
if TYPE_CHECKING:
    FormOfShop = forms.ModelForm[Shop]
else:
    FormOfShop = forms.ModelForm


class PaySettingsForm(Seen, FormOfShop):
    """What the shop pays for beside pieces and hours."""

    pays_short_breaks = forms.BooleanField(label="Breaks under half an hour are paid", required=False)

    class Meta:
        model = Shop
        fields = ["pays_short_breaks"]
