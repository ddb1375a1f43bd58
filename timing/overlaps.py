"""Time of one person that two stretches both tell, as happens where two devices are open; found, and never refused.

The rules, over the stretches of one person that were timed by a clock:

1. A stretch covers the time from its start to its end, both by the server's clock.
2. A break of the same person inside a stretch, which the stretch's seconds leave out, is not covered by it.
3. Two overlap where they would still do so were either of them shifted by the tolerance, since what is told of a
   device's clock is only as good as the network: at their edges by more than it, inside one another by any time.
4. Other time that the seconds of a stretch leave out, no one knows when, is held to be that of the overlap. What then
   is left of it was told twice, where it is more than the tolerance.

So a number of seconds is the least that was told twice, give or take the tolerance.
"""

import heapq
from bisect import bisect_left
from collections import defaultdict
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from timing.facts import LONGEST, LONGEST_UNASKED

TOLERANCE_SECONDS = 60
# Seconds are kept rounded: what is less than one is not left out.
ROUNDED_SECONDS = 1


@dataclass(frozen=True, slots=True)
class Span:
    """One person's time in one stretch, as its hand or as a helper; moments by the server's clock."""

    stretch_id: int
    person_id: int
    start: datetime
    end: datetime
    seconds: int
    is_break: bool = False

    @property
    def is_by_the_clock(self) -> bool:
        """Whether its moments say when it was. Where a clock ran on for more than 16 hours and a shorter time was
        told instead, they don't."""
        lasted, told = self.end - self.start, timedelta(seconds=self.seconds)
        return lasted <= LONGEST and not told <= LONGEST_UNASKED < lasted


@dataclass(frozen=True, slots=True)
class Overlap:
    """Seconds of one person that both of two stretches tell; the first began first."""

    person_id: int
    first_id: int
    second_id: int
    seconds: int


@dataclass(frozen=True, slots=True)
class _Covered:
    """What a span covers, in pieces from moment to moment in seconds, and the seconds that it leaves out besides."""

    span: Span
    pieces: list[tuple[float, float]]
    left_out: float


def find_overlaps(
    spans: Iterable[Span], *, among: Collection[int] | None = None, tolerance: int = TOLERANCE_SECONDS
) -> list[Overlap]:
    """The overlaps of each person's spans, or those that stretches of the ids `among` are in.

    `tolerance` is in seconds. One sweep in the order of time: n log n, and as much again as there are overlaps.
    """
    by_person: dict[int, list[Span]] = defaultdict(list)
    for span in spans:
        if span.is_by_the_clock:
            by_person[span.person_id].append(span)
    found = []
    for person_id, own in by_person.items():
        sought = own if among is None else [span for span in own if span.stretch_id in among]
        if len(own) > 1 and sought:
            covered = _cover(own, sought, tolerance)
            is_sought = [among is None or one.span.stretch_id in among for one in covered]
            for (first, second), lasted in _pairs(covered, is_sought, tolerance).items():
                seconds = _told_twice(lasted, covered[first].left_out + covered[second].left_out, tolerance)
                if seconds:
                    ids = covered[first].span.stretch_id, covered[second].span.stretch_id
                    found.append(Overlap(person_id, *ids, seconds))
    return found


def _told_twice(lasted: float, left_out: float, tolerance: int) -> int:
    """Whole seconds of an overlap that neither of the two leaves out."""
    if not left_out:
        return round(lasted)
    return round(lasted - left_out) if lasted - left_out > tolerance else 0


def _cover(own: Sequence[Span], sought: Sequence[Span], tolerance: int) -> list[_Covered]:
    """What one person's spans cover, in the order of their starts; without those that end before all that is sought
    or begin after it."""
    first, last = min(span.start for span in sought), max(span.end for span in sought)
    breaks = sorted((span.start.timestamp(), span.end.timestamp()) for span in own if span.is_break)
    longest = max((end - start for start, end in breaks), default=0.0)
    near = sorted(
        (span for span in own if span.start <= last and span.end >= first),
        key=lambda span: (span.start, span.stretch_id),
    )
    covered = []
    for span in near:
        start, end = span.start.timestamp(), span.end.timestamp()
        left_out = end - start - span.seconds
        if left_out < ROUNDED_SECONDS:
            covered.append(_Covered(span, [(start, end)], 0))
        elif span.is_break:
            covered.append(_Covered(span, [(start, end)], left_out))
        else:
            inside = breaks[bisect_left(breaks, (start - longest,)) : bisect_left(breaks, (end,))]
            covered.append(_without(span, (start, end), inside, left_out, tolerance))
    return covered


def _without(
    span: Span, whole: tuple[float, float], breaks: Iterable[tuple[float, float]], left_out: float, tolerance: int
) -> _Covered:
    """A span without the breaks that its seconds leave out. Seconds that were typed in whole minutes leave out a
    little less than the break."""
    pieces = []
    upto, done = whole
    for begun, ended in breaks:
        start, end = max(begun, upto), min(ended, done)
        if start < end and end - start <= left_out + tolerance:
            pieces.append((upto, start))
            left_out -= end - start
            upto = end
    pieces.append((upto, done))
    return _Covered(span, pieces, left_out if left_out >= ROUNDED_SECONDS else 0)


def _pairs(covered: Sequence[_Covered], is_sought: Sequence[bool], tolerance: int) -> dict[tuple[int, int], float]:
    """The seconds of each two that overlap, by their places, of which one is sought."""
    # What is still open, by its end: first what is not sought, then what is.
    still: tuple[list[tuple[float, float, int]], list[tuple[float, float, int]]] = ([], [])
    found: dict[tuple[int, int], float] = {}
    pieces = ((start, end, place) for place, one in enumerate(covered) for start, end in one.pieces if start < end)
    for start, end, place in sorted(pieces):
        for ends in still:
            while ends and ends[0][0] <= start:
                heapq.heappop(ends)
        for other_end, other_start, other in (*still[0], *still[1]) if is_sought[place] else still[1]:
            if other != place and other_end - start > tolerance and end - other_start > tolerance:
                both = (other, place) if other < place else (place, other)
                found[both] = found.get(both, 0) + min(end, other_end) - start
        heapq.heappush(still[is_sought[place]], (end, start, place))
    return found
