"""What is good, left and ready, from counters and waits alone."""

from datetime import timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from jobs.counts import Blocked, Counts, Line, WaitLine
from tests.factories import NOW

CHOP, TRIM, BAND, SHAVE, DRIVE = 10, 20, 30, 40, 50
WAITS = (
    WaitLine(TRIM, CHOP, "piece"),
    WaitLine(DRIVE, TRIM, "wheel"),
    WaitLine(DRIVE, BAND, "wheel", 30),
    WaitLine(DRIVE, SHAVE, "enough"),
)
KINDS = {CHOP: "hub", TRIM: "hub", BAND: "band", SHAVE: "spoke", DRIVE: "spoke"}


def line(operation: int, *, wheel: int | None = 1, made: int = 0, wanted: int = 14, **others: object) -> Line:
    """A task of lot 1; its id is the operation's with the wheel's number, and each wheel has its own parts."""
    told: dict[str, object] = {
        "task_id": operation + (wheel or 0),
        "order_id": 1,
        "lot_id": 1,
        "wheel_id": wheel,
        "part_id": 100 * (wheel or 0) + len(KINDS[operation]),
        "part_kind": KINDS[operation],
        "operation_id": operation,
        "position": operation,
        "units": 14 if KINDS[operation] == "hub" else 1,
        "wanted": wanted,
        "made": made,
        "spoiled": 0,
        "lost": 0,
        "live": True,
    }
    return Line(**(told | others))  # type: ignore[arg-type]


def pair(**made: int) -> list[Line]:
    """Two wheels of 14 spokes; `near`, `off` and loose counts by name, e.g. near_chop=11, shaved=20."""
    lines = [line(SHAVE, wheel=None, wanted=28, made=made.get("shaved", 0))]
    for wheel, name in ((1, "near"), (2, "off")):
        lines += [
            line(CHOP, wheel=wheel, made=made.get(f"{name}_chop", 0)),
            line(TRIM, wheel=wheel, made=made.get(f"{name}_trim", 0)),
            line(BAND, wheel=wheel, wanted=2, made=made.get(f"{name}_bands", 0)),
            line(DRIVE, wheel=wheel, made=made.get(f"{name}_drive", 0)),
        ]
    return lines


def ready(counts: Counts, task_id: int) -> int:
    return counts.ready(counts.lines[task_id]).units


def test_the_eleventh_mortise_may_be_trimmed_when_eleven_are_chopped() -> None:
    counts = Counts(pair(near_chop=11, near_trim=10), WAITS)
    assert ready(counts, TRIM + 1) == 1
    assert ready(Counts(pair(near_chop=10, near_trim=10), WAITS), TRIM + 1) == 0


@pytest.mark.parametrize(
    ("lacking", "blocked"),
    [
        ({"near_trim": 13}, Blocked(TRIM, 13, 14)),
        ({"near_bands": 1}, Blocked(BAND, 1, 2)),
        ({"shaved": 13}, Blocked(SHAVE, 13, 14)),
    ],
)
def test_no_spoke_is_driven_before_its_wheel_is_ready(lacking: dict[str, int], blocked: Blocked) -> None:
    whole = {"near_trim": 14, "near_bands": 2, "shaved": 14}
    assert ready(Counts(pair(**whole), WAITS), DRIVE + 1) == 14
    counts = Counts(pair(**(whole | lacking)), WAITS)
    assert counts.ready(counts.lines[DRIVE + 1]).units == 0
    assert counts.ready(counts.lines[DRIVE + 1]).blocked == (blocked,)


def test_the_other_wheel_is_no_hindrance_but_takes_its_spokes() -> None:
    whole = {"near_trim": 14, "near_bands": 2, "off_drive": 14}
    assert ready(Counts(pair(shaved=28, **whole), WAITS), DRIVE + 1) == 14
    assert ready(Counts(pair(shaved=27, **whole), WAITS), DRIVE + 1) == 0


def test_a_wheel_begun_goes_on_with_what_there_is() -> None:
    counts = Counts(pair(near_trim=14, near_bands=2, near_drive=9, shaved=12), WAITS)
    assert ready(counts, DRIVE + 1) == 3


def test_standing_time_is_waited_out() -> None:
    lines = pair(near_trim=14, near_bands=2, shaved=14)
    last = {BAND + 1: NOW - timedelta(minutes=20)}
    early = Counts(lines, WAITS, last_done=last, now=NOW)
    assert early.ready(early.lines[DRIVE + 1]).blocked == (Blocked(BAND, 2, 2, NOW + timedelta(minutes=10)),)
    later = Counts(lines, WAITS, last_done=last, now=NOW + timedelta(minutes=10))
    assert ready(later, DRIVE + 1) == 14


@pytest.mark.parametrize("held", [("order", 1), ("lot", 1), ("wheel", 1)])
def test_a_hold_stops_what_it_names(held: tuple[str, int]) -> None:
    counts = Counts(pair(near_chop=11), WAITS, held={held})
    readiness = counts.ready(counts.lines[TRIM + 1])
    assert (readiness.units, readiness.held) == (0, True)


def test_a_hold_on_one_wheel_leaves_the_other_and_the_loose_pieces() -> None:
    counts = Counts(pair(off_chop=3), WAITS, held={("wheel", 1)})
    assert ready(counts, TRIM + 2) == 3
    assert ready(counts, SHAVE) == 28


def test_what_a_later_operation_spoils_is_to_be_made_again() -> None:
    rough = line(SHAVE, wheel=None, wanted=28, made=20)
    later = line(SHAVE, wheel=None, wanted=28, made=9, spoiled=2, operation_id=45, task_id=45, position=45)
    counts = Counts([rough, later], ())
    assert counts.good(rough) == 18
    assert counts.left(rough) == 10
    assert (counts.good(later), counts.left(later)) == (9, 19)


def test_a_spoiled_hub_takes_all_its_mortises() -> None:
    counts = Counts([line(CHOP, made=14), line(TRIM, made=6, spoiled=1)], ())
    assert counts.left(counts.lines[CHOP + 1]) == 14


def test_what_is_spoiled_on_one_wheel_leaves_the_other() -> None:
    counts = Counts([line(CHOP, made=14), line(CHOP, wheel=2, made=14), line(TRIM, wheel=2, spoiled=1)], ())
    assert counts.left(counts.lines[CHOP + 1]) == 0
    assert counts.left(counts.lines[CHOP + 2]) == 14


def test_lost_units_are_to_be_made_again() -> None:
    counts = Counts([line(DRIVE, made=14, lost=5)], ())
    assert counts.left(counts.lines[DRIVE + 1]) == 5


def test_a_wait_on_what_the_lot_lacks_passes_to_what_that_waits_on() -> None:
    lines = [line(CHOP, made=3), line(DRIVE)]
    counts = Counts(lines, (WaitLine(DRIVE, TRIM, "wheel"), WaitLine(TRIM, CHOP, "piece")))
    assert counts.ready(counts.lines[DRIVE + 1]).blocked == (Blocked(CHOP, 3, 14),)


def test_where_the_first_is_enough_it_stays_so_for_what_that_waits_on() -> None:
    """Two ways to a hoop, of which the lot has none: the fire may be lit once one wheel is run."""
    waits = (WaitLine(DRIVE, SHAVE, "first"), WaitLine(SHAVE, TRIM, "wheel"))
    wheels = [line(TRIM, wheel=1, made=14), line(TRIM, wheel=2)]
    fire = line(DRIVE, wheel=None, wanted=1)
    assert ready(Counts([*wheels, fire], waits), DRIVE) == 1
    outright = WaitLine(DRIVE, TRIM, "wheel")
    assert ready(Counts([*wheels, fire], (*waits, outright)), DRIVE) == 0
    assert ready(Counts([*wheels, fire], (outright, *waits)), DRIVE) == 0


def test_what_is_dropped_is_neither_left_nor_waited_for() -> None:
    lines = [line(CHOP, live=False), line(TRIM)]
    counts = Counts(lines, WAITS)
    assert counts.left(lines[0]) == 0
    assert ready(counts, TRIM + 1) == 14


def test_more_than_wanted_is_over() -> None:
    counts = Counts([line(SHAVE, wheel=None, wanted=28, made=31)], ())
    assert counts.over(counts.lines[SHAVE]) == 3


def test_what_comes_after_is_followed_to_the_first() -> None:
    counts = Counts([], WAITS)
    assert counts.comes_after(DRIVE) == {TRIM, BAND, SHAVE, CHOP}
    assert counts.comes_after(CHOP) == frozenset()


counters = st.fixed_dictionaries(
    {name: st.integers(0, 20) for name in ("near_chop", "near_trim", "near_bands", "near_drive", "off_drive", "shaved")}
)


@given(made=counters, spoiled=st.integers(0, 5), lost=st.integers(0, 5))
def test_ready_is_never_more_than_left_and_never_less_than_nothing(
    made: dict[str, int], spoiled: int, lost: int
) -> None:
    lines = [*pair(**made), line(SHAVE, wheel=None, made=0, spoiled=spoiled, lost=lost, task_id=46, position=46)]
    counts = Counts(lines, WAITS)
    for each in lines:
        assert 0 <= counts.ready(each).units <= counts.left(each)


@given(made=counters)
def test_making_one_more_never_takes_a_unit_from_what_was_left(made: dict[str, int]) -> None:
    before, after = Counts(pair(**made), WAITS), Counts(pair(**(made | {"shaved": made["shaved"] + 1})), WAITS)
    was, now = before.left(before.lines[SHAVE]), after.left(after.lines[SHAVE])
    assert now == max(0, was - 1)


@given(made=counters)
def test_driven_spokes_never_outrun_shaved_ones_by_what_is_ready(made: dict[str, int]) -> None:
    """Doing all that is ready to drive leaves no more spokes driven than were shaved, unless they were before."""
    counts = Counts(pair(**made), WAITS)
    driven = made["near_drive"] + made["off_drive"]
    assert driven + ready(counts, DRIVE + 1) <= max(driven, made["shaved"])


def test_twice_the_wheels_ask_at_most_twice_as_often(monkeypatch: pytest.MonkeyPatch) -> None:
    asked: list[int] = []
    good = Counts.good

    def count(self: Counts, line: Line) -> int:
        asked.append(line.task_id)
        return good(self, line)

    monkeypatch.setattr(Counts, "good", count)
    needed = []
    for wheels in (40, 80):
        lines = [line(SHAVE, wheel=None, task_id=1, wanted=14 * wheels, made=14)]
        lines += [line(DRIVE, wheel=number, task_id=1000 + number) for number in range(1, wheels + 1)]
        counts = Counts(lines, WAITS)
        assert {counts.ready(row).units for row in lines[1:]} == {14}
        needed.append(len(asked))
        asked.clear()
    assert needed[1] <= 2 * needed[0]
