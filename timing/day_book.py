"""The day book: every stretch by its day, newest first, filtered, paged by key, and summed."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from django.db.models import Count, Exists, F, OuterRef, Prefetch, Q, QuerySet, Sum

from timing.models import Helper, Stretch, Tally

PAGE = 50
CHUNK = 1000


@dataclass(frozen=True, slots=True)
class Asked:
    """What of the day book is asked for; what is None or empty is not asked about.

    What came from an old book is in no answer but that to a question for this source.
    """

    from_on: date | None = None
    to_on: date | None = None
    hand_id: int | None = None
    order_number: int | None = None
    operation_id: int | None = None
    kind: str = ""
    source: str = ""
    only_to_place: bool = False
    only_ids: frozenset[int] | None = None


@dataclass(frozen=True, slots=True)
class Key:
    """The place of a stretch in the book: its day, then its id. Written "2026-03-02.1234" in addresses."""

    day: date
    pk: int

    def __str__(self) -> str:
        return f"{self.day.isoformat()}.{self.pk}"

    @classmethod
    def read(cls, text: str) -> "Key | None":
        """The key that a text names, or None."""
        day, _, number = text.partition(".")
        try:
            return cls(date.fromisoformat(day), int(number))
        except ValueError:
            return None

    @classmethod
    def of(cls, stretch: Stretch) -> "Key":
        return cls(stretch.done_on, stretch.pk)


@dataclass(frozen=True, slots=True)
class Page:
    """A page of stretches, newest first, and the keys to go on from (None where there is no more)."""

    rows: list[Stretch]
    older: Key | None
    newer: Key | None


@dataclass(frozen=True, slots=True)
class HandSum:
    """What one hand (a user id) did of one kind: seconds as hand and as helper, and stretches left untimed.

    Undone work comes to nothing in the seconds, and is in neither count.
    """

    hand_id: int
    kind: str
    seconds: int
    helped_seconds: int
    stretches: int
    untimed: int


def stretches(asked: Asked) -> QuerySet[Stretch]:
    """The stretches asked for, in no order."""
    rows = Stretch.objects.filter(source=asked.source) if asked.source else Stretch.objects.of_the_shop()
    if asked.from_on:
        rows = rows.filter(done_on__gte=asked.from_on)
    if asked.to_on:
        rows = rows.filter(done_on__lte=asked.to_on)
    if asked.hand_id is not None:
        helped = Helper.objects.filter(stretch=OuterRef("pk"), hand=asked.hand_id)
        rows = rows.filter(Q(hand=asked.hand_id) | Exists(helped))
    if asked.operation_id is not None:
        rows = rows.filter(operation=asked.operation_id)
    if asked.kind:
        rows = rows.filter(kind=asked.kind)
    if asked.order_number is not None:
        # By the order's own tallies, which are few: asked of each stretch in turn, the whole book would be read.
        number = asked.order_number
        its_own = Tally.objects.filter(task__lot__order__number=number)
        of_old = Tally.objects.filter(task=None, old_order=str(number))
        rows = rows.filter(pk__in=its_own.values("stretch").union(of_old.values("stretch")))
    if asked.only_to_place:
        rows = rows.filter(_to_place())
    if asked.only_ids is not None:
        rows = rows.filter(pk__in=asked.only_ids)
    return rows


def page(asked: Asked, *, before: Key | None = None, after: Key | None = None) -> Page:
    """`PAGE` stretches: the newest, or those older than `before`, or the oldest of those newer than `after`.

    A constant number of queries. Each row has `is_undone` and `to_place`: work told after its task was left out,
    or after its order had ended, which no rule can put anywhere.
    """
    rows = _with_all(stretches(asked))
    if after is not None:
        rows = rows.filter(Q(done_on__gt=after.day) | Q(done_on=after.day, id__gt=after.pk)).order_by("done_on", "id")
    else:
        rows = rows.order_by("-done_on", "-id")
        if before is not None:
            rows = rows.filter(Q(done_on__lt=before.day) | Q(done_on=before.day, id__lt=before.pk))
    found = list(rows[: PAGE + 1])
    more, found = len(found) > PAGE, found[:PAGE]
    if after is not None:
        found.reverse()
        older, newer = bool(found), more
    else:
        older, newer = more, before is not None
    return Page(
        rows=found,
        older=Key.of(found[-1]) if found and older else None,
        newer=Key.of(found[0]) if found and newer else None,
    )


def in_order(asked: Asked) -> Iterator[Stretch]:
    """All the stretches asked for, oldest first, read a chunk at a time."""
    return _with_all(stretches(asked)).order_by("done_on", "id").iterator(chunk_size=CHUNK)


def sums(asked: Asked) -> list[HandSum]:
    """Seconds by hand and kind over everything asked for: two queries."""
    undone = Exists(Stretch.objects.filter(cancels_token=OuterRef("token")))
    rows = stretches(asked).order_by()
    stands = Q(cancels_token=None, is_undone=False)
    own = (
        rows.annotate(is_undone=undone)
        .values_list("hand_id", "kind")
        .annotate(all_seconds=Sum("seconds"), count=Count("id", filter=stands))
        .annotate(untimed=Count("id", filter=stands & Q(seconds=None)))
    )
    helped = {
        (hand_id, kind): seconds or 0
        for hand_id, kind, seconds in Helper.objects.filter(stretch__in=rows)
        .values_list("hand_id", "stretch__kind")
        .annotate(Sum("stretch__seconds"))
        if asked.hand_id in (None, hand_id)
    }
    found = {
        (hand_id, kind): HandSum(hand_id, kind, seconds or 0, 0, count, untimed)
        for hand_id, kind, seconds, count, untimed in own
        if asked.hand_id in (None, hand_id)
    }
    for (hand_id, kind), seconds in helped.items():
        before = found.get((hand_id, kind), HandSum(hand_id, kind, 0, 0, 0, 0))
        found[hand_id, kind] = HandSum(hand_id, kind, before.seconds, seconds, before.stretches, before.untimed)
    return list(found.values())


def _to_place() -> Exists:
    """Work that came in after its task was left out, or was done after its order had ended."""
    late = Q(task__dropped_at__lt=F("stretch__received_at")) | Q(task__lot__order__ended_on__lt=F("stretch__done_on"))
    undone = Stretch.objects.filter(cancels_token=OuterRef("stretch__token"))
    return Exists(Tally.objects.filter(late, ~Exists(undone), stretch=OuterRef("pk"), stretch__cancels_token=None))


def _with_all(rows: QuerySet[Stretch]) -> "QuerySet[Stretch]":
    tallies = Tally.objects.select_related("task__wheel", "task__lot__order").order_by("id")
    undone = Stretch.objects.filter(cancels_token=OuterRef("token"))
    return (
        rows.annotate(is_undone=Exists(undone), to_place=_to_place())
        .select_related("operation")
        .prefetch_related(Prefetch("tallies", queryset=tallies), "helpers")
    )
