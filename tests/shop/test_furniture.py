"""The components say what they are given, keep it escaped, and tie words to fields."""

import re

from django import forms
from django.template.loader import render_to_string

from shop.navigation import Place
from shop.templatetags.house import wheel_key, wrongs
from shop.widgets import DayField


class OrderForm(forms.Form):
    carriage = forms.CharField(label="Carriage", help_text="Gig or dog-cart.")
    due = DayField(label="Due")
    kind = forms.ChoiceField(label="Kind", choices=[("new", "New"), ("old", "Repair")], widget=forms.RadioSelect)
    secret = forms.CharField(label="Token", widget=forms.HiddenInput)


def field(name: str, data: dict[str, str] | None = None) -> str:
    return render_to_string("shop/_field.html", {"field": OrderForm(data)[name]})


def test_page_names_the_room_in_hand() -> None:
    page = render_to_string("base.html", {"nav": [Place("Bench", "/bench", True), Place("Smith", "/smith", False)]})
    assert re.findall(r'href="(/[a-z]+)" aria-current="page"', page) == ["/bench", "/bench"]
    assert 'href="#main"' in page
    assert 'id="main"' in page


def test_page_shows_the_shops_name_escaped() -> None:
    page = render_to_string("base.html", {"shop": {"name": "Hoop & Felloe"}})
    assert page.count("Hoop &amp; Felloe") >= 2
    assert "Hoop & F" not in page


def test_title_begins_with_error_when_the_form_has_one() -> None:
    assert "<title>Error: " in render_to_string("base.html", {"form": OrderForm({})})
    assert "<title>Error: " not in render_to_string("base.html", {"form": OrderForm()})


def test_field_ties_hint_and_error_to_its_input() -> None:
    html = field("carriage", {})
    named = re.search(r'<input[^>]*aria-describedby="([^"]+)"', html)
    assert named
    assert all(f'id="{name}"' in html for name in named[1].split())
    assert 'aria-invalid="true"' in html
    assert 'class="field wrong"' in html


def test_field_without_error_is_not_marked() -> None:
    html = field("carriage")
    assert "wrong" not in html
    assert "aria-invalid" not in html


def test_choices_are_one_fieldset_with_its_legend() -> None:
    html = field("kind")
    assert html.count("<fieldset") == 1
    assert "<legend>Kind</legend>" in html


def test_day_has_three_labels_each_for_its_own_input() -> None:
    html = field("due", {"due_day": "31", "due_month": "Feb", "due_year": "2027"})
    labels = re.findall(r'<label for="([^"]+)">(\w+)</label>', html)
    assert [words for _, words in labels] == ["Day", "Month", "Year"]
    assert all(f'id="{name}"' in html for name, _ in labels)
    assert 'value="Feb"' in html
    assert "There is no 31 February 2027" in html


def test_wrongs_lead_to_their_fields_in_order() -> None:
    form = OrderForm({"due_day": "3"})
    listed = wrongs(form)
    assert [wrong.href for wrong in listed] == ["", "#id_carriage", "#id_due_0", "#id_kind_0"]
    html = render_to_string("shop/_wrongs.html", {"form": form})
    assert "4 things to put right" in html
    assert 'href="#id_due_0"' in html


def test_nothing_wrong_shows_nothing() -> None:
    assert wrongs(None) == []
    assert "box" not in render_to_string("shop/_wrongs.html", {"form": OrderForm()})


def test_pager_offers_only_what_there_is() -> None:
    html = render_to_string("shop/_pager.html", {"older_url": "?before=9"})
    assert "Older" in html
    assert "Newer" not in html
    assert render_to_string("shop/_pager.html").strip() == ""


def test_key_names_every_state_once() -> None:
    names = re.findall(r"</svg>([a-z ]+)</li>", wheel_key())
    assert len(names) == len(set(names)) == 7
