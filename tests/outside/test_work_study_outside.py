"""Standard times, sample sizes and work sampling, held to published values."""

import math

import pytest

from timing.standard_time import Element, basic_of, basic_time, share_of_day, standard_time
from timing.work_study import error_of_looks, looks_needed, readings_needed, readings_needed_by_t, readings_needed_to


def test_the_basic_time_is_what_was_seen_by_its_rating():
    """A worked example of a course on ergonomic methods, its author not named: 800 s seen at a pace of 110 is 880 s."""
    assert basic_time(800, 1.10) == pytest.approx(880, rel=1e-12)
    # BSI's scale as in G. Kanawaty, Introduction to Work Study: by day work 75, by the piece 100: a third longer.
    assert basic_time(4 / 3, 0.75) == pytest.approx(1)


def test_the_two_bases_of_an_allowance_differ():
    """W. J. Stevenson, Operations Management, 14th ed., chapter 7, formulas 7-3 to 7-8 and the solved problem.

    18.75 minutes of 30 cycles at 0.96, 15 % of the day: normal 18.00, factor 1.17647, standard 21.176; of the job it
    would be 20.70 (outputs recomputed).
    """
    basic = basic_time(18.75, 0.96)
    assert basic == pytest.approx(18.00, abs=5e-3)
    assert standard_time(1, 0.15, of="day") == pytest.approx(1.17647, abs=5e-6)
    assert standard_time(basic, 0.15, of="day") == pytest.approx(21.176, abs=5e-3)
    assert standard_time(basic, 0.15, of="job") == pytest.approx(20.70, abs=5e-3)
    # What is 17.647 % of the job is 15 % of the day.
    assert share_of_day(0.17647, of="job") == pytest.approx(0.15, abs=5e-6)


# W. J. Stevenson, chapter 7, problem 3: ratings, and minutes of six cycles (the book's inputs; outputs recomputed).
ELEMENTS = (
    Element("first", 0.90, (0.44, 0.50, 0.43, 0.45, 0.48, 0.46)),
    Element("second", 0.85, (1.50, 1.54, 1.47, 1.51, 1.49, 1.52)),
    Element("third", 1.10, (0.84, 0.89, 0.77, 0.83, 0.85, 0.80)),
    Element("fourth", 1.00, (1.10, 1.14, 1.08, 1.20, 1.16, 1.26)),
)


def test_a_study_of_elements_gives_their_standard_time():
    assert [one.mean for one in ELEMENTS] == pytest.approx([0.460, 1.505, 0.830, 1.157], abs=1e-3)
    assert [one.basic for one in ELEMENTS] == pytest.approx([0.414, 1.279, 0.913, 1.157], abs=1e-3)
    assert standard_time(basic_of(ELEMENTS), 0.15, of="job") == pytest.approx(4.327, abs=1e-3)


def test_an_element_of_every_other_piece_counts_half():
    """W. J. Stevenson, chapter 7, problem 4: 1.5, 1.6 and 1.4 minutes, at every other cycle; 1.5 where it is done."""
    element = Element("second", 1.0, (1.5, 1.6, 1.4), every=2)
    assert element.mean == pytest.approx(1.5)
    assert element.a_piece == pytest.approx(0.75)
    assert basic_of([Element("first", 1.0, (2.0,)), element]) == pytest.approx(2.75)


def test_readings_needed_to_an_error_in_minutes():
    """A worked answer, its author not named: deviation 2, error 1: with z 1.99 15.84, so 16; with z 2 just 16."""
    assert readings_needed_to(2, error=1, deviates=1.99) == pytest.approx(15.84, abs=5e-3)
    assert math.ceil(readings_needed_to(2, error=1, deviates=1.99)) == 16
    assert readings_needed_to(2, error=1) == 16
    # In parts of the mean it is the ILO's formula, whose deviation is that of the readings there are: 8.815.
    five = [7, 6, 7, 7, 6]
    deviation = math.sqrt(sum((one - 6.6) ** 2 for one in five) / 5)
    assert readings_needed_to(deviation, error=0.05 * 6.6) == pytest.approx(readings_needed(five, within=0.05))
    assert readings_needed_to(0.03, error=0.05 * 0.30, deviates=2.262) == pytest.approx(20.47, abs=0.01)
    assert readings_needed_by_t(0.30, 0.03, 10, within=0.05) == pytest.approx(20.47, abs=5e-3)


def test_as_many_readings_are_wanted_as_an_interval_of_their_mean_rests_on():
    """D. C. Montgomery and G. C. Runger, Applied Statistics and Probability for Engineers, beside example 8-8.

    22 readings of mean 13.71 and deviation 3.55 have their mean in 12.14 to 15.28 with 95 %, so 1.57 wants those 22.
    """
    needed = readings_needed_by_t(13.71, 3.55, 22, within=(15.28 - 12.14) / 2 / 13.71)
    # The printed ends are to a hundredth: 0.005 of 1.57, twice over.
    assert needed == pytest.approx(22, rel=0.0064)


def test_looks_that_a_share_of_the_day_wants():
    """A tutor's worked answer, not named: 30 % within 4 of a hundred, z 2: 525."""
    assert looks_needed(0.30, within=0.04) == pytest.approx(525, abs=1e-9)


def test_how_far_off_a_share_of_looks_may_be():
    """W. J. Stevenson, chapter 7, on work sampling: 60 idle of 300, z 2.33: 0.0538; within 0.02 wants 2,172 looks.

    The problem's inputs, from an edition of the book; outputs recomputed.
    """
    assert error_of_looks(60 / 300, 300, deviates=2.33) == pytest.approx(0.0538, abs=5e-5)
    wanted = math.ceil(looks_needed(60 / 300, within=0.02, deviates=2.33))
    assert (wanted, wanted - 300) == (2172, 1872)
    assert error_of_looks(0.2, 2172, deviates=2.33) == pytest.approx(0.02, abs=1e-5)


@pytest.mark.parametrize(("allowance", "of"), [(-0.01, "job"), (-0.01, "day"), (1.0, "day"), (1.5, "day")])
def test_an_allowance_that_leaves_no_day_is_refused(allowance, of):
    with pytest.raises(ValueError, match="allowance"):
        share_of_day(allowance, of=of)
