"""Offcuts of bar that are kept: what issues left and used up, what the desk puts right, and which a plan is offered."""

from collections import Counter, defaultdict
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime

from django.contrib.auth.models import User

from jobs.measures import Unit
from jobs.models import Order
from shop.audit import Kind, note_change
from shop.forms.cutting import LONGEST_TEXT, MOST_OFFCUTS, offcuts_told
from shop.models import Issue, Material, Offcut

# By its width and thickness.
Section = tuple[int, int]


def kept_lengths(materials: Collection[Material] | None = None) -> dict[Section, Counter[int]]:
    """How many of each length are kept, by the section of their bar: one query.

    Rows are gone through as they were written. What an issue used up may have come of one that was taken back since: it
    is gone all the same, and takes nothing off what is kept later.
    """
    rows = Offcut.objects.filter(issue__cancelled_by=None).order_by("id")
    if materials is not None:
        rows = rows.filter(material__in=materials)
    kept: dict[tuple[int, int, int], Counter[int]] = defaultdict(Counter)
    told = ("material_id", "material__width_nm", "material__thickness_nm", "length_nm", "pieces")
    for material_id, width, thickness, length, pieces in rows.values_list(*told):
        of_bar = kept[material_id, width, thickness]
        of_bar[length] = max(0, of_bar[length] + pieces)
    sums: dict[Section, Counter[int]] = defaultdict(Counter)
    for (_, width, thickness), lengths in kept.items():
        sums[width, thickness] += lengths
    return sums


def kept_of(material: Material) -> Counter[int]:
    """How many of each length are kept of one bar."""
    return sum(kept_lengths([material]).values(), Counter())


@dataclass(frozen=True, slots=True)
class Offered:
    """What a plan is offered, as its field reads it, and how many shorter ones are left out."""

    told: str
    left_out: int


def offer_longest(kept: Mapping[int, int], unit: Unit) -> Offered:
    """The longest, as many as the field takes."""
    taken: Counter[int] = Counter()
    for length in sorted(kept, reverse=True):
        taken[length] = min(kept[length], MOST_OFFCUTS - taken.total())
        if len(offcuts_told(+taken, unit=unit)) > LONGEST_TEXT:
            del taken[length]
            break
    return Offered(offcuts_told(+taken, unit=unit), sum(kept.values()) - taken.total())


def note_offcuts(issue: Issue, material: Material, *, left: Mapping[int, int], used: Mapping[int, int]) -> Counter[int]:
    """Keep what is left of the bars, and count off what was used up as far as it was kept; returns what was not.

    Call it inside the write of the issue.
    """
    kept = kept_of(material)
    taken = {length: min(count, kept[length]) for length, count in used.items()}
    net = Counter(left)
    net.subtract(taken)
    Offcut.objects.bulk_create(
        Offcut(material=material, issue=issue, length_nm=length, pieces=pieces)
        for length, pieces in net.items()
        if pieces
    )
    return Counter(used) - Counter(taken)


@dataclass(frozen=True, slots=True)
class Noted:
    """How many of each length the issues to an order left and used up."""

    left: Counter[int]
    used: Counter[int]


def noted_by(order: Order, material: Material) -> Noted:
    """Of one bar, without issues that were taken back: one query."""
    rows = Offcut.objects.filter(material=material, issue__order=order, issue__cancelled_by=None)
    net: Counter[int] = Counter()
    for length, pieces in rows.order_by().values_list("length_nm", "pieces"):
        net[length] += pieces
    return Noted(+net, -net)


def without_noted(planned: Mapping[int, int], noted: Mapping[int, int]) -> Counter[int]:
    """What a plan leaves without so many as were noted before: those of the same length, and else of the nearest, since
    a plan that is asked with another saw's cut leaves other lengths of the same bars."""
    rest = Counter(planned) - Counter(noted)
    for length in (Counter(noted) - Counter(planned)).elements():
        if rest:
            nearest = min(rest, key=lambda one: (abs(one - length), one))
            rest -= Counter([nearest])
    return rest


def put_right(material: Material, lengths: Mapping[int, int], *, by: User, at: datetime, unit: Unit) -> None:
    """Write down that these are kept, no others: what is no more is struck off. Call it inside the write."""
    kept = kept_of(material)
    rows = [
        Offcut(material=material, length_nm=length, pieces=pieces, recorded_at=at, recorded_by=by)
        for length, pieces in sorted(_difference(lengths, kept))
    ]
    Offcut.objects.bulk_create(rows)
    if rows:
        before, after = (offcuts_told(one, unit=unit) or "none" for one in (kept, lengths))
        note_change(Kind.PRICE, f"{material.name}: offcuts kept", by=by, before=before, after=after, at=at)


def _difference(wanted: Mapping[int, int], kept: Mapping[int, int]) -> Iterable[tuple[int, int]]:
    for length in wanted.keys() | kept.keys():
        more = wanted.get(length, 0) - kept.get(length, 0)
        if more:
            yield length, more
