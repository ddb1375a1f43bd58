"""Labels of ours, in a shop's own words."""

from collections.abc import Mapping

from jobs.operations import with_marks
from jobs.words import in_words
from shop.models import Shop


def own_words(label: str, words: Mapping[str, str]) -> str:
    """A label of ours in the shop's own words: "new felloes" as "new fellies"."""
    return in_words(with_marks(label, Shop().words), words)
