"""The shop's own words for hub, felloe and tyre."""

import re
from typing import Any

from django import forms

from shop.forms.people import one_line
from shop.forms.seen import Seen
from shop.forms.shop import FormOfShop
from shop.models import Shop

NOUNS = ("hub", "felloe", "tyre")
A_WORD = re.compile(r"[^\W\d_]+(?:[ '’-][^\W\d_]+)*")


def _word(label: str) -> forms.CharField:
    return forms.CharField(label=label, max_length=20, widget=forms.TextInput(attrs={"autocapitalize": "none"}))


class WordsForm(Seen, FormOfShop):
    """Each word with its plural. All six differ, or the names of operations could not be told apart."""

    word_hub, word_hubs = _word("One middle piece"), _word("Several middle pieces")
    word_felloe, word_felloes = _word("One rim piece"), _word("Several rim pieces")
    word_tyre, word_tyres = _word("One hoop"), _word("Several hoops")

    class Meta:
        model = Shop
        fields = ["word_hub", "word_hubs", "word_felloe", "word_felloes", "word_tyre", "word_tyres"]

    def clean(self) -> dict[str, Any]:
        answers = super().clean() or self.cleaned_data
        seen: dict[str, str] = {}
        for field in self.Meta.fields:
            if field not in answers:
                continue
            word = answers[field] = one_line(answers[field]).lower()
            if not A_WORD.fullmatch(word):
                self.add_error(field, f"“{word}” is not a word: use letters only.")
            elif word in seen:
                self.add_error(field, f"“{word}” is there already: each needs a word of its own.")
            seen[word] = field
        return answers
