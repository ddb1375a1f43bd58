"""The sum of overlaps: its rules one by one, and the sweep against a plain search of every two."""

from datetime import UTC, datetime, timedelta
from itertools import combinations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from timing.overlaps import TOLERANCE_SECONDS, Overlap, Span, find_overlaps

EIGHT = datetime(2026, 3, 2, 8, 0, tzinfo=UTC)


def span(
    number: int, first: float, last: float, *, told: float | None = None, who: int = 1, rest: bool = False
) -> Span:
    """From and to in minutes after eight; `told` are its minutes where they are not all of that."""
    minutes = last - first if told is None else told
    start, end = (EIGHT + timedelta(minutes=at) for at in (first, last))
    return Span(number, who, start, end, round(minutes * 60), is_break=rest)


def minutes_twice(*spans: Span) -> dict[tuple[int, int], float]:
    return {(one.first_id, one.second_id): one.seconds / 60 for one in find_overlaps(spans)}


def test_what_both_tell_is_told_twice() -> None:
    assert find_overlaps([span(2, 20, 50), span(1, 0, 32)]) == [Overlap(1, 1, 2, 12 * 60)]


def test_one_after_the_other_is_no_overlap() -> None:
    assert minutes_twice(span(1, 0, 30), span(2, 30, 50)) == {}


@pytest.mark.parametrize(("beyond", "expected"), [(1.0, {}), (1.1, {(1, 2): pytest.approx(1.1)})])
def test_edges_may_differ_by_a_minute(beyond: float, expected: dict[tuple[int, int], float]) -> None:
    assert minutes_twice(span(1, 0, 30 + beyond), span(2, 30, 50)) == expected


def test_a_quick_piece_inside_another_is_told_twice_however_short() -> None:
    inside, at_the_edge = span(2, 30, 30.5), span(3, 59.4, 59.9)
    assert minutes_twice(span(1, 0, 60), inside, at_the_edge) == {(1, 2): 0.5}


def test_the_time_of_two_people_is_no_overlap() -> None:
    assert minutes_twice(span(1, 0, 30), span(2, 0, 30, who=2)) == {}


def test_a_break_that_was_left_out_is_no_overlap() -> None:
    morning, dinner = span(1, 0, 300, told=255), span(2, 240, 285, rest=True)
    assert minutes_twice(morning, dinner) == {}


def test_work_in_a_break_that_was_left_out_overlaps_the_break_alone() -> None:
    morning, dinner = span(1, 0, 300, told=255), span(2, 240, 285, rest=True)
    assert minutes_twice(morning, dinner, span(3, 250, 260)) == {(2, 3): 10}


def test_a_break_that_was_left_out_excuses_no_other_time() -> None:
    morning, dinner = span(1, 0, 300, told=255), span(2, 240, 285, rest=True)
    assert minutes_twice(morning, dinner, span(3, 100, 110)) == {(1, 3): 10}


def test_a_break_that_was_worked_through_overlaps() -> None:
    assert minutes_twice(span(1, 0, 300), span(2, 240, 285, rest=True)) == {(1, 2): 45}


def test_minutes_typed_in_whole_leave_the_break_out_all_the_same() -> None:
    morning, dinner = span(1, 0, 300, told=255.4), span(2, 240, 285, rest=True)
    assert minutes_twice(morning, dinner, span(3, 100, 110)) == {(1, 3): 10}


def test_the_end_of_a_break_begun_before_is_left_out() -> None:
    dinner, after = span(1, 20, 65, rest=True), span(2, 50, 120, told=55)
    assert minutes_twice(dinner, after, span(3, 80, 90)) == {(2, 3): 10}


def test_time_that_a_shorter_number_leaves_out_may_be_that_of_the_overlap() -> None:
    long = span(1, 0, 120, told=90)
    assert minutes_twice(long, span(2, 40, 70)) == {}
    assert minutes_twice(long, span(2, 40, 110)) == {(1, 2): 40}


def test_a_clock_left_running_for_days_says_no_moments_once_its_time_was_typed() -> None:
    day = 24 * 60
    assert minutes_twice(span(1, 0, day, told=900), span(2, 100, 700)) == {}
    assert minutes_twice(span(1, 0, day), span(2, 100, 110)) == {(1, 2): 10}


def test_a_long_one_overlaps_each_that_is_inside() -> None:
    pieces = [span(number, 10 * number, 10 * number + 10) for number in range(2, 6)]
    assert minutes_twice(span(1, 0, 100), *pieces) == {(1, piece.stretch_id): 10 for piece in pieces}


def plainly(spans: list[Span]) -> set[Overlap]:
    """Every two, for spans whose seconds leave out no more than their breaks."""
    found = set()
    for one, two in combinations(sorted(spans, key=lambda span: (span.start, span.stretch_id)), 2):
        seconds = (min(one.end, two.end) - max(one.start, two.start)).total_seconds()
        ahead, behind = (one.end - two.start).total_seconds(), (two.end - one.start).total_seconds()
        if one.person_id == two.person_id and seconds > 0 and min(ahead, behind) > TOLERANCE_SECONDS:
            left_out = sum((span.end - span.start).total_seconds() - span.seconds for span in (one, two))
            seconds -= left_out
            if seconds > (TOLERANCE_SECONDS if left_out else 0):
                found.add(Overlap(one.person_id, one.stretch_id, two.stretch_id, round(seconds)))
    return found


# Whole seconds of some hours, and mostly short, so that edges meet.
one_span = st.tuples(st.integers(0, 9000), st.integers(0, 900), st.integers(0, 120), st.integers(1, 2))


@given(st.lists(one_span, max_size=40), st.sets(st.integers(0, 39)))
def test_the_sweep_finds_what_a_plain_search_of_every_two_finds(
    drawn: list[tuple[int, int, int, int]], among: set[int]
) -> None:
    spans = [
        Span(number, who, EIGHT + timedelta(seconds=at), EIGHT + timedelta(seconds=at + long), max(0, long - less))
        for number, (at, long, less, who) in enumerate(drawn)
    ]
    expected = plainly(spans)
    found = find_overlaps(spans)
    assert len(found) == len(expected)
    assert set(found) == expected
    sought = find_overlaps(spans, among=among)
    assert set(sought) == {one for one in expected if one.first_id in among or one.second_id in among}
