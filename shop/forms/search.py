"""What is looked for in the order book."""

from django import forms

LONGEST = 100


class FindForm(forms.Form):
    q = forms.CharField(
        label="Number, carriage or customer",
        required=False,
        max_length=LONGEST,
        widget=forms.TextInput(attrs={"type": "search", "autocomplete": "off"}),
    )

    @classmethod
    def asking(cls, text: str) -> "FindForm":
        """The form with what was asked, whatever was sent: without the NUL that PostgreSQL keeps in no text, and no
        longer than the box lets a person type."""
        return cls({"q": text.replace("\0", " ").strip()[:LONGEST]})

    @property
    def text(self) -> str:
        """What was asked."""
        return str(self.cleaned_data["q"]) if self.is_valid() else ""
