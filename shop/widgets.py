"""A day asked for in three fields: day, month (a number or its name), year. Quicker to type than to pick."""

import calendar
from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

PARTS = ("day", "month", "year")
EARLIEST_YEAR, LATEST_YEAR = 1900, 2200
MONTH_NAMES = {name.lower(): number for number, name in enumerate(calendar.month_name) if name}
SHORTEST_MONTH_NAME = 3
LONGEST_TEXT = 20


def read_month(text: str) -> int:
    """A month from "3", "03", "March" or "mar". Raises ValueError with one sentence."""
    if text.isdecimal() and 1 <= int(text) <= 12:
        return int(text)
    name = text.lower().rstrip(".")
    found = [number for full, number in MONTH_NAMES.items() if full.startswith(name)]
    if len(name) >= SHORTEST_MONTH_NAME and len(found) == 1:
        return found[0]
    raise ValueError(f"“{text}” is not a month: write its number, 1 to 12, or its name.")


def read_year(text: str) -> int:
    """A year from "2026" or "26". Raises ValueError with one sentence."""
    if text.isdecimal() and len(text) == 2:
        return 2000 + int(text)
    if text.isdecimal() and EARLIEST_YEAR <= int(text) <= LATEST_YEAR:
        return int(text)
    raise ValueError(f"“{text}” is not a year between {EARLIEST_YEAR} and {LATEST_YEAR}: write it in four figures.")


def read_day(day: str, month: str, year: str) -> date:
    """The day that three texts name. Raises ValueError with one sentence saying what is wrong or missing."""
    given = dict(zip(PARTS, (day.strip(), month.strip(), year.strip()), strict=True))
    missing = [part for part, text in given.items() if not text]
    longest = max(given.values(), key=len)
    if len(longest) > LONGEST_TEXT:
        raise ValueError(f"“{longest[:LONGEST_TEXT]}…” is too long for a day.")
    if missing:
        raise ValueError(f"The {' and the '.join(missing)} {'is' if len(missing) == 1 else 'are'} missing.")
    in_month, in_year = read_month(given["month"]), read_year(given["year"])
    days = calendar.monthrange(in_year, in_month)[1]
    if not (given["day"].isdecimal() and 1 <= int(given["day"]) <= days):
        name = calendar.month_name[in_month]
        raise ValueError(f"There is no {given['day']} {name} {in_year}: {name} has {days} days.")
    return date(in_year, in_month, int(given["day"]))


class PartInput(forms.TextInput):
    """One of the three fields. Its template gets its name and label as `widget.part` and `widget.label`."""

    def __init__(self, part: str, attrs: dict[str, Any]) -> None:
        super().__init__(attrs)
        self.part = part

    def get_context(self, name: str, value: Any, attrs: dict[str, Any] | None) -> dict[str, Any]:
        context = super().get_context(name, value, attrs)
        context["widget"] |= {"part": self.part, "label": self.part.capitalize()}
        return context


class DayWidget(forms.MultiWidget):
    """Three short fields with their own labels, in one fieldset."""

    template_name = "shop/_day.html"
    use_fieldset = True

    def __init__(self, attrs: dict[str, Any] | None = None) -> None:
        widgets: dict[str, forms.Widget | type[forms.Widget]] = {
            part: PartInput(
                part,
                {
                    "autocomplete": "off",
                    "maxlength": {"day": 2, "month": 9, "year": 4}[part],
                    **({} if part == "month" else {"inputmode": "numeric"}),
                },
            )
            for part in PARTS
        }
        super().__init__(widgets, attrs)

    def decompress(self, value: date | None) -> list[str]:
        if not isinstance(value, date):
            return ["", "", ""]
        return [str(value.day), calendar.month_name[value.month], str(value.year)]

    def id_for_label(self, id_: str) -> str:
        return f"{id_}_0"

    def value_omitted_from_data(self, data: Mapping[str, Any], files: Any, name: str) -> bool:
        return all(f"{name}_{part}" not in data for part in PARTS)


class DayField(forms.Field):
    """A form field for a day; cleans to a `datetime.date`, or None where it may be left out and is."""

    widget = DayWidget
    default_error_messages = {"required": "Write the day, the month and the year."}

    def to_python(self, value: Sequence[str | None] | date | None) -> date | None:
        if value is None or isinstance(value, date):
            return value
        texts = [(text or "").strip() for text in value]
        if not any(texts):
            return None
        try:
            return read_day(*texts)
        except ValueError as error:
            raise ValidationError(str(error), code="invalid") from error

    def has_changed(self, initial: Any, data: Any) -> bool:
        try:
            return bool(self.to_python(initial) != self.to_python(data))
        except ValidationError:
            return True


def not_to_come(day: date, today: date) -> date:
    """The day, unless it is still to come. Raises ValidationError."""
    if day > today:
        raise ValidationError("That day has not come yet.")
    return day
