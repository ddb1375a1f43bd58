"""Offcuts of bar that are kept: what issues left and used up, what the desk puts right, and which a plan is offered."""

from collections import Counter, defaultdict
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime

from django.contrib.auth.models import User
from django.db.models import F, OuterRef, Q, QuerySet, Subquery, Sum

from jobs.measures import Unit
from jobs.models import Order
from shop.audit import Kind, note_change
from shop.forms.cutting import LONGEST_TEXT, MOST_OFFCUTS, offcuts_told
from shop.models import Issue, Material, Offcut

# By its width and thickness.
Section = tuple[int, int]
# By the id of a bar, how many of each length.
ByBar = dict[int, Counter[int]]


def standing() -> QuerySet[Offcut]:
    """Rows that count: without those of issues that were taken back, or that came back whole and so were never cut."""
    returns = Issue.objects.filter(returns=OuterRef("issue")).order_by().values("returns")
    back = Subquery(returns.annotate(sum=Sum("amount_millionths")).values("sum"))
    whole = Q(issue__amount_millionths__lte=-F("back"), back__isnull=False)
    return Offcut.objects.filter(issue__cancelled_by=None).annotate(back=back).filter(~whole)


def kept_by_bar(materials: Collection[Material] | None = None) -> dict[Section, ByBar]:
    """How many of each length are kept, by section and by bar: one query.

    Rows are gone through as they were written. What an issue used up may have come of one that was taken back since: it
    is gone all the same, and takes nothing off what is kept later.
    """
    rows = standing().order_by("id")
    if materials is not None:
        rows = rows.filter(material__in=materials)
    kept: dict[Section, ByBar] = defaultdict(lambda: defaultdict(Counter))
    told = ("material_id", "material__width_nm", "material__thickness_nm", "length_nm", "pieces")
    for material_id, width, thickness, length, pieces in rows.values_list(*told):
        of_bar = kept[width, thickness][material_id]
        of_bar[length] = max(0, of_bar[length] + pieces)
    return kept


def kept_of(material: Material) -> Counter[int]:
    """How many of each length are kept of one bar."""
    return sum((bars[material.pk] for bars in kept_by_bar([material]).values()), Counter())


@dataclass(frozen=True, slots=True)
class KeptFor:
    """What is kept as an order's own issues found it, by section and by bar; `own` are the sections of which these left
    any or used any up."""

    by_section: Mapping[Section, ByBar]
    own: Collection[Section]

    def lengths(self, section: Section) -> Counter[int]:
        return sum(self.by_section.get(section, {}).values(), Counter())


def kept_for(order: Order) -> KeptFor:
    """Two queries. A plan lays out all that the order wants, what was cut already too: so it must not cut a hoop from
    what its own bars left once that hoop was cut from them, and again from what they used up."""
    kept, noted = kept_by_bar(), noted_by(order)
    for one in noted.values():
        bars = kept[one.section]
        bars[one.material_id] = bars[one.material_id] - one.left + one.used
    return KeptFor(kept, {one.section for one in noted.values()})


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
    """Keep what is left of the bars, and count off what was used up as far as it was kept, of this bar or else of
    another of its section; returns what was not.

    Call it inside the write of the issue.
    """
    alike = Material.objects.select_for_update().filter(width_nm=material.width_nm, thickness_nm=material.thickness_nm)
    bars = sorted(alike.filter(kind=Material.Kind.BAR).order_by("pk"), key=lambda one: one != material)
    kept = kept_by_bar(bars)[material.section_nm]
    net, rest = {material.pk: Counter(left)}, Counter(used)
    for bar in bars:
        taken = rest & kept[bar.pk]
        net.setdefault(bar.pk, Counter()).subtract(taken)
        rest -= taken
    Offcut.objects.bulk_create(
        Offcut(material_id=pk, issue=issue, length_nm=length, pieces=pieces)
        for pk, lengths in net.items()
        for length, pieces in lengths.items()
        if pieces
    )
    return rest


@dataclass(frozen=True, slots=True)
class Noted:
    """How many of each length of one bar the issues to an order left and used up."""

    material_id: int
    section: Section
    left: Counter[int]
    used: Counter[int]


def noted_by(order: Order) -> dict[int, Noted]:
    """By the id of the bar: one query."""
    net: dict[tuple[int, Section], Counter[int]] = defaultdict(Counter)
    told = ("material_id", "material__width_nm", "material__thickness_nm", "length_nm", "pieces")
    for pk, width, thickness, length, pieces in standing().filter(issue__order=order).order_by().values_list(*told):
        net[pk, (width, thickness)][length] += pieces
    return {pk: Noted(pk, section, +lengths, -lengths) for (pk, section), lengths in net.items()}


def noted_with(issue: Issue) -> bool:
    """Whether an issue left offcuts, or used any."""
    return Offcut.objects.filter(issue=issue).exists()


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
