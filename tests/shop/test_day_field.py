"""A day is read from what people write, and refused with one sentence that says why."""

import re
from datetime import date

import pytest
from django import forms
from hypothesis import given
from hypothesis import strategies as st

from shop.widgets import DayField, DayWidget, read_day


class DueForm(forms.Form):
    due = DayField(required=False)


def form(day: str, month: str, year: str) -> DueForm:
    return DueForm({"due_day": day, "due_month": month, "due_year": year})


@pytest.mark.parametrize("month", ["3", "03", "March", "march", "mar", "Mar.", "MARC"])
def test_month_is_a_number_or_its_name(month: str) -> None:
    assert read_day("20", month, "2027") == date(2027, 3, 20)


def test_short_year_is_in_this_century() -> None:
    assert read_day("1", "sept", "27") == date(2027, 9, 1)


@pytest.mark.parametrize(
    ("texts", "told"),
    [
        (("31", "2", "2027"), "There is no 31 February 2027: February has 28 days."),
        (("0", "June", "2027"), "There is no 0 June 2027: June has 30 days."),
        (("x", "June", "2027"), "There is no x June 2027: June has 30 days."),
        (("1", "13", "2027"), "“13” is not a month: write its number, 1 to 12, or its name."),
        (("1", "Ju", "2027"), "“Ju” is not a month: write its number, 1 to 12, or its name."),
        (("1", "6", "20277"), "“20277” is not a year between 1900 and 2200: write it in four figures."),
        (("", "6", "2027"), "The day is missing."),
        (("1", " ", ""), "The month and the year are missing."),
    ],
)
def test_what_is_wrong_is_told(texts: tuple[str, str, str], told: str) -> None:
    with pytest.raises(ValueError, match=f"^{re.escape(told)}$"):
        read_day(*texts)


@pytest.mark.parametrize("place", range(3))
def test_a_very_long_number_is_told_like_any_other(place: int) -> None:
    texts = ["1", "1", "2027"]
    texts[place] = "9" * 5000
    with pytest.raises(ValueError, match="is too long for a day"):
        read_day(*texts)


@given(st.dates(date(1900, 1, 1), date(2200, 12, 31)))
def test_what_is_shown_reads_back_the_same(day: date) -> None:
    assert read_day(*DayWidget().decompress(day)) == day


@given(st.text(max_size=6), st.text(max_size=6), st.text(max_size=6))
def test_any_text_is_a_day_or_a_sentence(day: str, month: str, year: str) -> None:
    filled = form(day, month, year)
    told = filled.errors.get("due", [])
    assert filled.is_valid() or (len(told) == 1 and told[0].endswith("."))


def test_field_cleans_to_a_day() -> None:
    filled = form(" 29 ", "feb", "2028")
    assert filled.is_valid()
    assert filled.cleaned_data["due"] == date(2028, 2, 29)


def test_field_may_be_left_out() -> None:
    empty = form("", " ", "")
    assert empty.is_valid()
    assert empty.cleaned_data["due"] is None


def test_field_keeps_what_was_written_beside_its_error() -> None:
    wrong = form("31", "June", "2027")
    assert wrong.errors["due"] == ["There is no 31 June 2027: June has 30 days."]
    assert 'value="31"' in wrong["due"].as_widget()


def test_each_part_has_its_label_and_no_attribute_that_html_lacks() -> None:
    html = DueForm()["due"].as_widget()
    labels = re.findall(r'<div class="the-(\w+)"><label for="id_due_\d">(\w+)</label>', html)
    assert labels == [("day", "Day"), ("month", "Month"), ("year", "Year")]
    named = {name for tag in re.findall(r"<input([^>]*)>", html) for name in re.findall(r' ([\w-]+)="', tag)}
    assert named == {"type", "name", "id", "autocomplete", "maxlength", "inputmode"}


def test_required_day_says_so() -> None:
    with pytest.raises(forms.ValidationError, match="Write the day, the month and the year"):
        DayField().clean(["", "", ""])


def test_change_is_seen() -> None:
    field = DayField()
    assert not field.has_changed(date(2027, 3, 1), ["1", "mar", "27"])
    assert field.has_changed(date(2027, 3, 1), ["2", "mar", "27"])
    assert field.has_changed(date(2027, 3, 1), ["99", "mar", "27"])
