"""What is said of an answer that can't be taken, for the fields of every form: one plain sentence each.

A page says the field's own name beside it. A field with more to say has `error_messages` of its own.
"""

from collections.abc import Mapping

from django import forms
from django.core.validators import ProhibitNullCharactersValidator

NOT_KEPT = "This holds a character that can't be kept: write it again."

# By the kind of field; each kind has what is said of the kinds it is made from too.
SENTENCES: Mapping[type[forms.Field], Mapping[str, str]] = {
    forms.Field: {
        "required": "Fill this in.",
        "invalid": "This can't be read: write it again.",
        "min_value": "Write %(limit_value)s or more.",
        "max_value": "Write %(limit_value)s or less.",
        "step_size": "Write a multiple of %(limit_value)s.",
        "min_length": "Write at least %(limit_value)d letters: there are %(show_value)d.",
        "max_length": "Write at most %(limit_value)d letters: there are %(show_value)d.",
        "null_characters_not_allowed": NOT_KEPT,
    },
    forms.BooleanField: {"required": "Tick this to go on."},
    forms.IntegerField: {"invalid": "Write a whole number, like 12."},
    forms.FloatField: {"invalid": "Write a number, like 12.5."},
    forms.DecimalField: {
        "invalid": "Write a number, like 12.5.",
        "max_digits": "Write at most %(max)s figures.",
        "max_decimal_places": "Write at most %(max)s figures after the point.",
        "max_whole_digits": "Write at most %(max)s figures before the point.",
    },
    forms.DateField: {"invalid": "That is not a day: write it as 2026-03-02."},
    forms.TimeField: {"invalid": "That is not a time: write it as 12.30."},
    forms.EmailField: {"invalid": "Write one e-mail address, like wren@example.org."},
    # Tokens, which pages send by themselves.
    forms.UUIDField: {
        "required": "The page came without its own mark: open it again.",
        "invalid": "The page came with a mark that can't be read: open it again.",
    },
    forms.ChoiceField: {
        "required": "Choose one of these.",
        "invalid_choice": "That is not offered here: choose again.",
    },
    forms.MultipleChoiceField: {
        "required": "Choose at least one of these.",
        "invalid_choice": "That is not offered here: choose again.",
        "invalid_list": "Choose from these.",
    },
    forms.ModelChoiceField: {
        "required": "Choose one of these.",
        "invalid_choice": "That is not offered here: choose again.",
    },
}


def say_ours() -> None:
    """Put our sentences in place of Django's own. Call it before any form is made, for forms copy them."""
    for field, sentences in SENTENCES.items():
        field.default_error_messages = {**field.default_error_messages, **sentences}
    # A choice of a row asks this by itself, and says what it says.
    ProhibitNullCharactersValidator.message = NOT_KEPT
