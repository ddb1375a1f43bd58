"""What is looked for in the order book."""

from django import forms


class FindForm(forms.Form):
    q = forms.CharField(
        label="Number, carriage or customer",
        required=False,
        max_length=100,
        widget=forms.TextInput(attrs={"type": "search", "autocomplete": "off"}),
    )

    @property
    def text(self) -> str:
        """What was asked, or nothing where it can't be read."""
        return str(self.cleaned_data.get("q", "")) if self.is_valid() else ""
