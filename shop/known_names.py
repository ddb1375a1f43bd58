"""Whom and what a file means: hands by their names, operations by their keys or by their names in the shop's words."""

from collections.abc import Iterable

from django.db.models import F

from jobs.models import Operation
from jobs.words import in_words
from shop.audit import the_shop
from shop.models import Hand, Shop


def as_written(name: str) -> str:
    """A name as it is compared: without regard to capitals and blanks."""
    return " ".join(name.split()).casefold()


def hands_by_name() -> dict[str, int]:
    """Every hand's user id, of those who left too, by the name as compared."""
    return {as_written(name): user_id for name, user_id in Hand.objects.values_list("name", "user_id")}


def operations_by_name() -> dict[str, Operation]:
    """Every operation by its names as compared.

    Those in use go before the retired, a key before a name, and the shop's own words before those of a new shop, which
    a file from before the shop chose its words may have.
    """
    own, usual = the_shop().words, Shop().words
    everything = list(Operation.objects.order_by(F("retired_at").desc(nulls_first=True), "position", "id"))
    found: dict[str, Operation] = {}
    for some in (
        [one for one in everything if one.retired_at is None],
        [one for one in everything if one.retired_at is not None],
    ):
        for names in (
            ((one.key, one) for one in some),
            ((in_words(one.name, own), one) for one in some),
            ((in_words(one.name, usual), one) for one in some),
            # As an export writes them, with marks at the shop's words.
            ((one.name, one) for one in some),
        ):
            _add(found, names)
    return found


def _add(found: dict[str, Operation], names: Iterable[tuple[str, Operation]]) -> None:
    for name, one in names:
        found.setdefault(as_written(name), one)
