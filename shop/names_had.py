"""The names that a hand has had, as far as the lines of who changed what tell."""

from collections.abc import Iterable
from dataclasses import dataclass

from django.db.models import Q

from shop.models import AuditLine, Hand
from shop.name_lines import NAMED

Kind = AuditLine.Kind


@dataclass(frozen=True, slots=True)
class Called:
    """A name that a hand had, and which lines of who changed what tell of it: from after one id up to another."""

    name: str
    after_id: int = 0
    upto_id: int | None = None

    def tells(self, line_id: int) -> bool:
        """Whether the line of an id was written while the hand was called so."""
        return self.after_id < line_id and (self.upto_id is None or line_id <= self.upto_id)


def names_of(hand: Hand) -> list[Called]:
    """The names that a hand has had, the newest first, as far as the lines of who changed what tell.

    A name may have been another's before, or after: the lines between tell of this hand alone.
    """
    found: list[Called] = []
    name, upto = hand.name, None
    while True:
        lines = AuditLine.objects.filter(kind=Kind.PERSON)
        if upto is not None:
            lines = lines.filter(pk__lt=upto)
        became = lines.filter(_is_renamed_to(name)).order_by("-pk").first()
        # Another's leaving of the name begins this hand's time with it, where nothing else does.
        left = lines.filter(what=name, after__startswith="name: ").order_by("-pk").first()
        begins = max(became.pk if became else 0, left.pk if left else 0)
        found.append(Called(name, begins - 1 if became and became.pk == begins else begins, upto))
        if became is None or became.pk < begins:
            return found
        name, upto = became.what, became.pk


def given_up_by_others(called: Iterable[Called]) -> set[str]:
    """The names that hands have given up, but for those of the hand that was `called` so."""
    own = [one.upto_id for one in called if one.upto_id is not None]
    lines = AuditLine.objects.filter(kind=Kind.PERSON, before__startswith="name: ", after__startswith="name: ")
    before = lines.exclude(pk__in=own).values_list("before", flat=True)
    return {named["subject"] for text in before if (named := NAMED.match(text))}


def _is_renamed_to(name: str) -> Q:
    return Q(after=f"name: {name}") | Q(after__startswith=f"name: {name}; ")
