"""The stretches among which overlaps are sought: those that stand and were timed by a clock, read around some days."""

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping
from datetime import date, timedelta

from django.db.models import Exists, OuterRef, Q

from timing.day_book import Asked, stretches
from timing.facts import LONGEST, LONGEST_UNASKED, device_error
from timing.models import Stretch
from timing.models.facts import Kind
from timing.overlaps import Overlap, Span, find_overlaps

# A year of a shop of five: of more a person asks in parts.
MOST = 20_000
# What is searched without being asked.
MOST_UNASKED = 5_000
DAY = timedelta(days=1)
LONG_SECONDS = round(LONGEST_UNASKED.total_seconds())

# By the id of a stretch, the overlaps that it is in.
Overlaps = Mapping[int, list[Overlap]]


class TooMany(ValueError):
    """More stretches than are searched at once; the message is one sentence."""


def overlaps_of(rows: Iterable[Stretch], *, person_ids: Collection[int] | None = None) -> Overlaps:
    """The overlaps that some stretches are in, of the time of these people or of all.

    One query, however many rows: of the days of the rows, and not of all that lies between.
    """
    rows = [row for row in rows if row.started_at is not None and row.cancels_token is None]
    spans = _spans_about(((row.done_on, row.seconds) for row in rows), person_ids) if rows else []
    ids = {row.pk for row in rows}
    return _by_stretch(find_overlaps(spans, among=ids), ids)


def overlapping(asked: Asked, *, most: int = MOST) -> frozenset[int]:
    """The ids of the stretches asked for that overlap others, whether those are asked for or not: two queries.

    Raises TooMany, and does not search, where that would be among more than `most`.
    """
    rows = list(stretches(asked).filter(_timed()).values_list("pk", "done_on", "seconds")[: most + 1])
    _check(rows, most)
    spans = _spans_about(((day, seconds) for _, day, seconds in rows), None, most=most) if rows else []
    ids = {pk for pk, _, _ in rows}
    return frozenset(_by_stretch(find_overlaps(spans, among=ids), ids))


def _check(rows: Collection[object], most: int) -> None:
    if len(rows) > most:
        raise TooMany(f"More than {most:,} stretches are too many to search for overlaps: ask for a shorter time.")


def _timed() -> Q:
    """Those that stand and were timed by a clock."""
    undone = Stretch.objects.filter(cancels_token=OuterRef("token"))
    return Q(~Exists(undone), started_at__isnull=False, seconds__isnull=False, cancels_token=None)


def _spans_about(
    days: Iterable[tuple[date, int | None]], person_ids: Collection[int] | None, *, most: int | None = None
) -> list[Span]:
    """The spans that can overlap stretches of these days and seconds: one query.

    A stretch has the day of its end. What ends on the days before and after may overlap it; what ends later only if
    it is longer than is taken unasked.
    """
    near: set[date] = set()
    far: set[date] = set()
    for day, seconds in set(days):
        back = LONGEST.days + 1 if (seconds or 0) > LONG_SECONDS else 1
        near |= {day + ahead * DAY for ahead in range(-back, 2)}
        far |= {day + ahead * DAY for ahead in range(2, LONGEST.days + 2)}
    rows = Stretch.objects.of_the_shop().filter(
        _timed(), Q(done_on__in=near) | Q(seconds__gt=LONG_SECONDS), done_on__in=near | far
    )
    if person_ids is not None:
        rows = rows.filter(Q(hand__in=person_ids) | Q(helpers__hand__in=person_ids))
    # A row for each helper: the join keeps those that have none.
    found = rows.values_list(
        *("pk", "hand_id", "helpers__hand_id", "kind", "started_at", "done_at", "sent_at", "received_at", "seconds")
    )
    told = list(found if most is None else found[: most + 1])
    if most is not None:
        _check(told, most)
    spans: dict[tuple[int, int], Span] = {}
    for pk, hand_id, helper_id, kind, started_at, done_at, sent_at, received_at, seconds in told:
        error = device_error(sent_at, received_at)
        for person_id in (hand_id, helper_id):
            if person_id is not None and (person_ids is None or person_id in person_ids):
                start, end = started_at + error, done_at + error
                spans[pk, person_id] = Span(pk, person_id, start, end, seconds, is_break=kind == Kind.BREAK)
    return list(spans.values())


def _by_stretch(overlaps: Iterable[Overlap], ids: Collection[int]) -> Overlaps:
    found: dict[int, list[Overlap]] = defaultdict(list)
    for one in overlaps:
        for pk in (one.first_id, one.second_id):
            if pk in ids:
                found[pk].append(one)
    return found
