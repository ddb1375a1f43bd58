"""Time told twice, against a library of intervals: portion, whose sums of sets know nothing of ours."""

from datetime import UTC, datetime, timedelta
from typing import Any

import portion
from hypothesis import given
from hypothesis import strategies as st

from timing.overlaps import Span, find_overlaps

EIGHT = datetime(2026, 3, 2, 8, 0, tzinfo=UTC)
# Quarters of an hour, so that no edge is within the tolerance of another.
QUARTER = 900
day = st.integers(0, 60)


def span(number: int, first: int, last: int, *, left_out: int = 0, is_break: bool = False) -> Span:
    start, end = (EIGHT + timedelta(seconds=at * QUARTER) for at in (first, last))
    return Span(number, 1, start, end, (last - first - left_out) * QUARTER, is_break=is_break)


def seconds_of(intervals: Any) -> int:
    return sum((one.upper - one.lower) * QUARTER for one in intervals if not one.empty)


@given(st.lists(st.tuples(day, st.integers(1, 8)), min_size=2, max_size=12))
def test_each_overlap_is_the_intersection_of_the_two(drawn: list[tuple[int, int]]) -> None:
    intervals = [portion.closedopen(first, first + long) for first, long in drawn]
    found = find_overlaps(span(number, one.lower, one.upper) for number, one in enumerate(intervals))
    for one in found:
        assert one.seconds == seconds_of(intervals[one.first_id] & intervals[one.second_id])
    pairs = sum(1 for at, one in enumerate(intervals) for other in intervals[at + 1 :] if one.overlaps(other))
    assert len(found) == pairs


@given(day, st.integers(1, 8), st.integers(1, 4), st.integers(1, 8), st.tuples(day, st.integers(1, 20)))
def test_a_break_that_is_left_out_is_cut_out(
    begun: int, before: int, lasted: int, after: int, other: tuple[int, int]
) -> None:
    rest = portion.closedopen(begun + before, begun + before + lasted)
    whole = portion.closedopen(begun, rest.upper + after)
    second = portion.closedopen(other[0], sum(other))
    spans = [
        span(0, whole.lower, whole.upper, left_out=lasted),
        span(1, rest.lower, rest.upper, is_break=True),
        span(2, second.lower, second.upper),
    ]
    found = {frozenset((one.first_id, one.second_id)): one.seconds for one in find_overlaps(spans)}
    expected = {frozenset((0, 2)): seconds_of((whole - rest) & second), frozenset((1, 2)): seconds_of(rest & second)}
    assert found == {pair: seconds for pair, seconds in expected.items() if seconds}
