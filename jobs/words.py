"""The shop's own words in the names of operations."""

from collections.abc import Mapping


def in_words(name: str, words: Mapping[str, str]) -> str:
    """Put the shop's words where a name has {hub}, {felloe}, {tyre} or their plurals.

    Plain replacement, so that a name with other braces in it stays as it was typed.
    """
    for noun, word in words.items():
        name = name.replace("{" + noun + "}", word)
    return name
