"""Bar, draw and run of tyres and bands, against smiths' books and tables of railway tyres."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from jobs.iron import Hoop, HoopRefused, turns_of
from jobs.iron.expansion import GAIN_BEFORE_FLAT
from jobs.iron.hoops import draw_from_diameter_nm, draw_of_runs_nm, draw_on_diameter_nm
from jobs.iron.old_rules import by_22_sevenths_nm, by_three_diameters_nm, with_three_thicknesses_nm
from jobs.iron.traveller import TravellerRefused, traveller_run_nm
from jobs.iron.weld import BY_KEY, WELD_SHRINK_NM
from jobs.makeup.in_print import DRAW
from jobs.measures import parse_length
from jobs.sizes.wheel import Cone, cone

INCH = 25_400_000


def ring(inside_in: float, thickness_in: float) -> Hoop:
    """A ring that is shrunk onto nothing: its run is its inside run."""
    return Hoop(math.pi * inside_in * INCH, 0, INCH, thickness_in * INCH)


def tyre(diameter_in: float, draw_in: float, thickness_in: float = 0.5) -> Hoop:
    return Hoop(math.pi * diameter_in * INCH, draw_in * INCH, 2 * INCH, thickness_in * INCH)


def test_googertys_ring() -> None:
    # Googerty, Hand-Forging and Wrought-Iron Ornamental Work, page 69: inside 10 in, 1 in thick, 22/7.
    assert by_22_sevenths_nm(10 * INCH, INCH) / INCH == pytest.approx(34 + 4 / 7)
    # With π: 34.558. The copy on line prints 34 1/7 in, a slip that no rule gives.
    assert ring(10, 1).neutral_nm / INCH == pytest.approx(34.558, abs=5e-4)
    assert abs(ring(10, 1).neutral_nm / INCH - (34 + 1 / 7)) > 0.4


def test_a_weld_of_three_eighths_on_inch_stock() -> None:
    # Googerty, page 69.
    assert ring(10, 1).weld_nm(BY_KEY["googerty"]) == 3 * INCH / 8


def test_one_thickness_for_the_weld() -> None:
    # The Blacksmith's Craft, as quoted on iforgeiron.com: inside 60 in, 1 in thick, 192.64 in.
    assert ring(60, 1).neutral_nm / INCH == pytest.approx(191.64, abs=5e-3)
    assert ring(60, 1).cut_nm(BY_KEY["thickness"]) / INCH == pytest.approx(192.64, abs=5e-3)


def test_rule_of_three_diameters() -> None:
    # Attributed to J. A. Klees on iforgeiron.com: a ring of 5 ft, 1 in thick, 190 5/6 in; 0.8 in short of π.
    rule = by_three_diameters_nm(60 * INCH, INCH) / INCH
    assert rule == pytest.approx(190 + 5 / 6)
    assert ring(60, 1).neutral_nm / INCH - rule == pytest.approx(0.8, abs=0.02)


@pytest.mark.parametrize("thickness_in", [3 / 8, 0.5, 0.625, 1])
def test_bending_takes_between_three_and_three_and_three_quarter_thicknesses(thickness_in: float) -> None:
    # A smith's manual on freeblacksmith.com adds three; a carriage maker on TheForge list, 2003, 3 1/2 with the
    # weld, 3 3/4 with more upsetting.
    hoop = tyre(50, 0.5, thickness_in)
    bending = hoop.neutral_nm - hoop.inside_run_nm
    assert with_three_thicknesses_nm(hoop.inside_run_nm, hoop.thickness_nm) <= hoop.inside_run_nm + bending
    assert 3 * thickness_in <= bending / INCH <= 3.75 * thickness_in
    assert (hoop.cut_nm(BY_KEY["three-and-a-half"]) - hoop.inside_run_nm) / hoop.thickness_nm == pytest.approx(3.5)
    assert hoop.cut_nm(BY_KEY["three-and-three-quarters"]) > hoop.cut_nm(BY_KEY["three-and-a-half"])


def test_half_inch_bar_takes_an_inch_and_a_half_to_bend() -> None:
    # The same manual: π t against 3 t.
    hoop = tyre(48, 0, 0.5)
    assert (hoop.neutral_nm - hoop.run_nm) / INCH == pytest.approx(1.571, abs=5e-4)


@pytest.mark.parametrize(("thickness_in", "over_in"), [(0.5, 2.07), (0.625, 2.59)])
def test_three_inches_over_the_run_is_enough(thickness_in: float, over_in: float) -> None:
    # Holmstrom, Modern Blacksmithing, 1901: 3 in over the wheel's run for a heavy tyre, 2 in for a thin one.
    hoop = tyre(54, 0, thickness_in)
    assert (hoop.cut_nm(BY_KEY["thickness"]) - hoop.run_nm) / INCH == pytest.approx(over_in, abs=6e-3)
    assert (hoop.cut_nm(BY_KEY["run-and-three"]) - hoop.run_nm) / INCH == pytest.approx(3)
    assert hoop.cut_nm(BY_KEY["run-and-three"]) > hoop.cut_nm(BY_KEY["thickness"])


def test_two_inches_over_the_run_is_two_whatever_the_draw() -> None:
    for draw_in in (0, 0.25, 0.5):
        hoop = tyre(44, draw_in, 3 / 8)
        assert (hoop.cut_nm(BY_KEY["run-and-two"]) - hoop.run_nm) / INCH == pytest.approx(2)


def test_a_rule_that_is_used_up_by_the_bend_leaves_nothing_for_the_weld() -> None:
    # Derived: 1 in bar takes 3.14 in to bend, so that 2 in over the run are too few.
    hoop = tyre(54, 0, 1)
    assert hoop.weld_nm(BY_KEY["run-and-two"]) == 0
    assert hoop.cut_nm(BY_KEY["run-and-two"]) == hoop.neutral_nm


def test_upset_and_weld_of_an_ordinary_tyre() -> None:
    # Hasluck, Cassell's Cyclopaedia of Mechanics, Tyring Cart Wheels: about 5/8 in, 15.9 mm.
    assert tyre(54, 0.5).weld_nm(BY_KEY["hasluck"]) / 1e6 == pytest.approx(15.9, abs=0.05)


def test_a_run_measured_hot_is_an_eighth_less_when_cold() -> None:
    # Hasluck, the same.
    assert 100 * INCH - WELD_SHRINK_NM == 99.875 * INCH


def test_six_mule_wagon_hind_tyre() -> None:
    # Derived from the US Army specification of the six-mule wagon, 58 in over a tyre of 2 1/2 × 5/8 in, with the
    # draw of Holmstrom, 5/8 in for a heavy wheel: π × 56.75 − 0.625 + π × 0.625 in.
    hoop = Hoop(math.pi * 56.75 * INCH, 0.625 * INCH, 2.5 * INCH, 0.625 * INCH)
    assert hoop.inside_run_nm / INCH == pytest.approx(177.661, abs=2e-3)
    assert hoop.neutral_nm / INCH == pytest.approx(179.624, abs=2e-3)
    assert hoop.cut_nm(BY_KEY["hasluck"]) / INCH == pytest.approx(180.249, abs=2e-3)


@pytest.mark.parametrize(
    ("author", "wheels", "least_in", "most_in"),
    [
        # Hasluck, as above: 9.5 to 31.75 mm.
        ("Hasluck", "a Warner wheel to large heavy wheels", 3 / 8, 1.25),
        # Holmstrom, Modern Blacksmithing, 1901.
        ("Holmstrom", "wagons, straight", 1 / 2, 1 / 2),
        ("Holmstrom", "wagons, straight, heavy and strong", 5 / 8, 5 / 8),
        ("Holmstrom", "poor or dished wheels, at most", 1 / 4, 1 / 4),
        # A smith's manual on freeblacksmith.com.
        ("freeblacksmith", "wagons, straight", 1 / 2, 3 / 4),
        # Richardson, Practical Carriage Building, volume 1, 1891, Wagon Wheels, part 2.
        ("Richardson", "two-horse wagons; less where lighter", 1 / 4, 1 / 4),
        # robin-wood.co.uk, 30 August 2012.
        ("robin-wood", "cart wheels", 1, 1),
    ],
)
def test_draws_in_print_put_on_a_wheel(author: str, wheels: str, least_in: float, most_in: float) -> None:
    (found,) = [said for said in DRAW if author in said.source and said.wheels == wheels]
    assert (found.low_nm / INCH, found.high_nm / INCH) == (least_in, most_in)
    assert tyre(54, most_in).growth_to_pass(0) < GAIN_BEFORE_FLAT


def test_draw_is_the_difference_of_two_runs() -> None:
    # Richardson, 1891: inside tyre against outside wheel. 1/4 in.
    assert draw_of_runs_nm(150 * INCH, 149.75 * INCH) == 0.25 * INCH
    with pytest.raises(HoopRefused, match="loose"):
        draw_of_runs_nm(150 * INCH, 150.1 * INCH)


# American Railway Master Mechanics Association, in Jones, Turning and Boring: how much smaller, on the diameter,
# steel tyres are bored than their wheel centres, in inches.
RAILWAY = {38: 0.040, 44: 0.047, 50: 0.053, 56: 0.060, 62: 0.066, 66: 0.070}


@pytest.mark.parametrize("diameter_in", RAILWAY)
def test_railway_shrink_is_on_the_diameter(diameter_in: int) -> None:
    smaller = RAILWAY[diameter_in]
    assert smaller / diameter_in == pytest.approx(0.00106, abs=1.5e-5)
    hoop = tyre(diameter_in, draw_from_diameter_nm(smaller * INCH) / INCH)
    assert hoop.smaller_on_diameter_nm / INCH == pytest.approx(smaller)
    # Taken for one on the circumference, it would come out less than a third as tight.
    wrong = tyre(diameter_in, smaller)
    assert hoop.growth_to_pass(0) / wrong.growth_to_pass(0) == pytest.approx(math.pi, rel=0.003)


def test_a_wagon_tyre_is_over_three_times_tighter_than_a_railways() -> None:
    # Holmstrom's 1/2 in on 46 in, against the railway's.
    assert tyre(46, 0.5).draw_nm / tyre(46, 0.5).run_nm == pytest.approx(0.0035, abs=5e-5)
    assert 0.0035 / 0.00106 > 3


def test_draw_on_the_diameter_is_less_by_pi() -> None:
    assert draw_on_diameter_nm(31_750_000) == pytest.approx(10_106_339, abs=1)


@pytest.mark.parametrize(
    ("run", "draw", "thickness", "says"),
    [
        (0, 0, 1, "more than nothing"),
        (100, -1, 1, "less than nothing"),
        (100, 100, 1, "as long as the run"),
        (100, 1, 0, "thickness"),
    ],
)
def test_hoops_that_cannot_be(run: float, draw: float, thickness: float, says: str) -> None:
    with pytest.raises(HoopRefused, match=says):
        Hoop(run, draw, 10, thickness)


@given(
    sixteenths=st.integers(20 * 16, 70 * 16),
    draw=st.integers(0, 20),
    thickness=st.integers(2, 16),
    width=st.integers(8, 64),
)
def test_inches_and_millimetres_give_one_result(sixteenths: int, draw: int, thickness: int, width: int) -> None:
    def length(count: int, *, metric: bool) -> int:
        text = f"{count * 25.4 / 16:.4f} mm" if metric else f"{count}/16 in"
        return parse_length(text, default_unit="mm")

    cuts = []
    for metric in (False, True):
        run, drawn, thick, wide = (length(each, metric=metric) for each in (3 * sixteenths, draw, thickness, width))
        hoop = Hoop(run, drawn, wide, thick)
        cuts.append((hoop.cut_nm(BY_KEY["hasluck"]), hoop.growth_to_pass(3_000_000)))
    assert cuts[0] == cuts[1]


def nine_pounder(dish: float) -> Cone:
    """Encyclopaedia Britannica, 9th edition, volume 11, GUNNERY: dish 2 in in a 5 ft wheel, from the hub's middle."""
    return cone(dish_nm=dish, spoke_nm=30, radius_nm=30, tread_nm=2.75)


def test_coned_tyre_of_the_nine_pounder() -> None:
    # The rest is geometry.
    made = nine_pounder(2)
    assert math.degrees(made.lean) == pytest.approx(3.8141, abs=1e-4)
    assert made.edges_differ_nm == pytest.approx(1.149, abs=1e-3)
    assert made.developed_radius_nm == pytest.approx(451.0, abs=0.1)


def test_a_straight_wheel_has_no_coned_tyre() -> None:
    assert nine_pounder(0) == Cone(0, 0, None)


def test_cone_is_the_difference_of_two_circles() -> None:
    # The frustum's two edges worked one by one: radii 30 and 30 − w sin δ.
    lean = math.atan(2 / 30)
    edges = 2 * math.pi * 30 - 2 * math.pi * (30 - 2.75 * math.sin(lean))
    assert nine_pounder(2).edges_differ_nm == pytest.approx(edges)


def test_traveller() -> None:
    # Hasluck; Richardson, 1891: turns and what is left over make the run again. A traveller of 24 in on a wheel of
    # 46 in: 144.51 in are 6 turns and 0.51 in.
    turns = turns_of(math.pi * 46 * INCH, traveller_nm=24 * INCH)
    assert (turns.whole, turns.rest_nm / INCH) == (6, pytest.approx(0.513, abs=1e-3))
    assert turns.run_nm == pytest.approx(math.pi * 46 * INCH)
    # 1/32 in wrong on the traveller is 3/16 in on the wheel.
    assert turns.error_nm(INCH / 32) / INCH == pytest.approx(6.02 / 32, abs=1e-3)


def test_traveller_by_its_diameter() -> None:
    # Derived: 46 in over 8 in is 5 3/4 turns.
    turns = turns_of(math.pi * 46 * INCH, traveller_nm=traveller_run_nm(8 * INCH))
    assert (turns.whole, turns.rest_nm / turns.traveller_nm) == (5, pytest.approx(0.75))


def test_a_traveller_needs_a_run() -> None:
    with pytest.raises(TravellerRefused):
        turns_of(1000, traveller_nm=0)


@given(run=st.integers(1, 10**10), own=st.integers(10**8, 10**9))
def test_turns_make_the_run_again(run: int, own: int) -> None:
    turns = turns_of(run, traveller_nm=own)
    assert turns.run_nm == run
    assert 0 <= turns.rest_nm < own
