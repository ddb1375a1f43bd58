"""Several forms that are sent as one: what is wrong in them is told in one place."""

from collections.abc import Iterable

from django.forms import BaseForm
from django.forms.boundfield import BoundField


class Together:
    """Reads like one form for the summary of what is to be put right; it checks nothing itself."""

    def __init__(self, *forms: BaseForm) -> None:
        self.forms = forms

    @property
    def errors(self) -> list[str]:
        return [str(error) for form in self.forms for errors in form.errors.values() for error in errors]

    def non_field_errors(self) -> list[str]:
        return [str(error) for form in self.forms for error in form.non_field_errors()]

    def hidden_fields(self) -> list[BoundField]:
        return _all(form.hidden_fields() for form in self.forms)

    def visible_fields(self) -> list[BoundField]:
        return _all(form.visible_fields() for form in self.forms)


def _all(rows: Iterable[list[BoundField]]) -> list[BoundField]:
    return [field for row in rows for field in row]
