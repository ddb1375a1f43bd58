"""The shop's own words in the names of operations."""

import re
from collections.abc import Mapping


def in_words(name: str, words: Mapping[str, str]) -> str:
    """Put the shop's words where a name has {hub}, {felloe}, {tyre} or their plurals.

    Plain replacement, so that a name with other braces in it stays as it was typed.
    """
    for noun, word in words.items():
        name = name.replace("{" + noun + "}", word)
    return name


# A number and its unit, the hours and the minutes after them, an inch and its fraction.
_TORN = re.compile(r"(?<=\d) (?=(?:mm|cm|m|in|ft|h|min|kg|lb|°[CF])\b|\d+/\d)|(?<=\d h) (?=\d)|(?<=\d ft) (?=\d)")


def unbroken(text: str) -> str:
    """Running text in which no line ends between a number and its unit: "4 h 10", "1168 mm", "9 3/4 in"."""
    return _TORN.sub("\N{NO-BREAK SPACE}", text)
