"""How iron grows with heat, against EN 1993-1-2, tables of mean coefficients and schoolbooks."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from jobs.iron.expansion import (
    USUAL_COEFFICIENT,
    HeatRefused,
    celsius_of,
    elongation,
    fahrenheit,
    growth,
    heat_by_coefficient,
    heat_for_growth,
    mean_coefficient,
)

# EN 1993-1-2, 3.4.1.1, worked by hand from its first formula: mm in a metre.
FIRST_PIECE = {20: 0.0, 100: 0.9984, 200: 2.3184, 300: 3.7184, 400: 5.1984, 500: 6.7584, 600: 8.3984, 700: 10.1184}
# The same formula divided by (θ − 20): millionths a degree.
MEAN_COEFFICIENTS = {100: 12.48, 200: 12.88, 300: 13.28, 400: 13.68, 500: 14.08, 600: 14.48, 700: 14.88}
# GOST 1050, carbon steel grade 20, tables of aloro.net and russian-metals.com: mean, from 20 °C, millionths.
GRADE_20 = {100: 11.6, 200: 12.6, 300: 13.1, 400: 13.6, 500: 14.1, 600: 14.6, 700: 14.8}
# DIN 17103, structural steel, material sheet of mfgrobots.com, second-hand: the same.
STRUCTURAL = {200: 12.7, 300: 13.2, 400: 13.6, 500: 14.0, 600: 14.4}
# Plain carbon steels 1010 to 1045 between 0 and 100 °C: amesweb.info, millionths a degree.
PLAIN_CARBON = [12.2, 11.7, 12.0, 11.2, 11.6]


@pytest.mark.parametrize("celsius", FIRST_PIECE)
def test_first_piece_of_the_standard(celsius: int) -> None:
    assert 1000 * elongation(celsius) == pytest.approx(FIRST_PIECE[celsius], abs=1e-4)


@pytest.mark.parametrize(("celsius", "grown"), [(750, 0.011), (800, 0.011), (860, 0.011)])
def test_second_piece_is_flat(celsius: int, grown: float) -> None:
    # EN 1993-1-2, 3.1b: 1.1e-2 from 750 to 860 °C.
    assert elongation(celsius) == grown


@pytest.mark.parametrize(("celsius", "grown"), [(1000, 0.0138), (1200, 0.0178)])
def test_third_piece(celsius: int, grown: float) -> None:
    # EN 1993-1-2, 3.1c: 2e-5 θ − 6.2e-3.
    assert elongation(celsius) == pytest.approx(grown, abs=1e-12)


def test_the_standard_steps_down_at_750_and_the_step_is_kept() -> None:
    # 0.0110084 from below and 0.0110000 at 750 °C, by EN 1993-1-2 itself; some programs patch it silently.
    below = elongation(math.nextafter(750, 0))
    assert below == pytest.approx(0.0110084, abs=1e-9)
    assert below - elongation(750) == pytest.approx(8.4e-6, abs=1e-9)


def test_there_is_no_step_at_860() -> None:
    assert elongation(math.nextafter(860, 900)) == pytest.approx(elongation(860), abs=1e-12)


@pytest.mark.parametrize("celsius", [-31, 1201, math.inf])
def test_outside_what_is_published_is_refused(celsius: float) -> None:
    with pytest.raises(HeatRefused, match="outside"):
        elongation(celsius)


@pytest.mark.parametrize("celsius", MEAN_COEFFICIENTS)
def test_mean_coefficient(celsius: int) -> None:
    assert 1e6 * mean_coefficient(celsius) == pytest.approx(MEAN_COEFFICIENTS[celsius], abs=1e-6)
    # The closed form: (12.08 + 0.004 θ) millionths.
    assert 1e6 * mean_coefficient(celsius) == pytest.approx(12.08 + 0.004 * celsius, abs=1e-6)


def test_mean_coefficient_at_20_is_the_slope_there() -> None:
    assert mean_coefficient(20) == pytest.approx(mean_coefficient(20.001), abs=1e-10)


@pytest.mark.parametrize("celsius", [200, 300, 400, 500, 600])
def test_two_other_tables_agree_within_two_and_a_half_in_a_hundred(celsius: int) -> None:
    by_tables = [1e-6 * table[celsius] * (celsius - 20) for table in (GRADE_20, STRUCTURAL)]
    every = [elongation(celsius), *by_tables]
    assert max(every) / min(every) - 1 < 0.025


def test_grade_20_at_500() -> None:
    # 14.1 millionths over 480 degrees: 6.768 mm in a metre against the standard's 6.758.
    assert 1e-6 * GRADE_20[500] * 480 == pytest.approx(elongation(500), rel=0.002)


def test_pipe_code_from_50_to_350_fahrenheit() -> None:
    # ASME B31.3, table C, as worked in a thread of forums.coade.com: 0.002083 in an inch.
    assert growth(celsius_of(350), cold_c=celsius_of(50)) == pytest.approx(0.002083, rel=0.03)


def test_wrought_iron_from_freezing_to_boiling() -> None:
    # Faraday's table in American Mechanic: iron 1.0012575, steel 1.0011899; Dooley has 6.48 millionths a degree
    # Fahrenheit, over 180 degrees 1.0011664. The standard lies among them.
    assert 6.48e-6 * 180 < growth(100, cold_c=0) < 0.0012575


def test_every_published_coefficient_is_taken_and_a_slip_is_refused() -> None:
    every = [*GRADE_20.values(), *STRUCTURAL.values(), *PLAIN_CARBON, *MEAN_COEFFICIENTS.values()]
    assert all(heat_by_coefficient(0.001, coefficient=1e-6 * each) > 20 for each in every)
    # One program writes 10*10-6 and means 10e-6.
    for slip in (10 * 10 - 6, 1.2e-4, 1.2e-6, 0.0, -1.2e-5):
        with pytest.raises(HeatRefused, match="millionths"):
            heat_by_coefficient(0.001, coefficient=slip)


def test_a_misprinted_coefficient_is_seen_by_its_neighbours() -> None:
    # Dooley, Applied Science for Metal Workers, steel, a degree Fahrenheit: linear .00000606, surface .00001272, cubic
    # .00001908. Half of the second and a third of the last are .00000636, and that is steel's; the first is a slip.
    right, printed = 0.00001272 / 2, 0.00000606
    assert right == pytest.approx(0.00001908 / 3)
    ours = growth(celsius_of(69), cold_c=celsius_of(68))
    assert right == pytest.approx(ours, rel=0.06)
    assert printed != pytest.approx(ours, rel=0.06)


def test_near_room_temperature() -> None:
    # NBS/WADD, Thermal expansivity of solids, SAE 1020: 22.9e-5 from 273 to 293 K, and 8.3e-5 from 293 to 300 K.
    assert -growth(0, cold_c=20) == pytest.approx(22.9e-5, rel=0.06)
    assert growth(27, cold_c=20) == pytest.approx(8.3e-5, rel=0.05)


def test_growth_of_four_in_a_thousand() -> None:
    # The first piece of EN 1993-1-2 solved for θ by hand.
    assert heat_for_growth(0.004) == pytest.approx(319.45, abs=0.05)


def test_a_schoolbook_tyre() -> None:
    # NCERT, Physics XI: a rim of 5.243 m, a ring of 5.231 m at 27 °C, 12 millionths: 218 °C.
    celsius = heat_by_coefficient(5.243 / 5.231 - 1, coefficient=1.2e-5, cold_c=27)
    assert celsius == pytest.approx(218.17, abs=0.01)


def test_a_schoolbook_tyre_hotter_than_molten_iron() -> None:
    # Balbharati, Physics XI: a rim of 1.5 m, a ring of 1.47 m at 27 °C: 1727.7 °C. Right as a sum, and no tyre.
    grown = 1.5 / 1.47 - 1
    assert heat_by_coefficient(grown, coefficient=1.2e-5, cold_c=27) == pytest.approx(1727.7, abs=0.05)
    with pytest.raises(HeatRefused, match="1200"):
        heat_for_growth(grown, cold_c=27)


def test_railway_and_schoolbook_coefficient_is_the_usual_one() -> None:
    # EN 1993-1-1, 3.2.6, from memory; NCERT as above.
    assert USUAL_COEFFICIENT == 1.2e-5


@pytest.mark.parametrize(
    ("degrees_f", "celsius"),
    [(957, 513.9), (212, 100), (32, 0), (850, 454.4), (799, 426.1)],
)
def test_fahrenheit(degrees_f: float, celsius: float) -> None:
    # Dooley's first red; the two fixed points; the middle of 800 to 900 °F (oakwoodforge.blogspot.com, 2006);
    # Chapman's 426 °C, which one transcription has as 709 °F, 90 too low.
    assert celsius_of(degrees_f) == pytest.approx(celsius, abs=0.06)
    assert fahrenheit(celsius_of(degrees_f)) == pytest.approx(degrees_f)


@given(celsius=st.floats(20, 749.99), cold_c=st.floats(-20, 45))
def test_heat_and_growth_invert(celsius: float, cold_c: float) -> None:
    assert heat_for_growth(growth(celsius, cold_c=cold_c), cold_c=cold_c) == pytest.approx(celsius, abs=1e-6)


@given(celsius=st.floats(861, 1199.9))
def test_they_invert_above_the_flat_too(celsius: float) -> None:
    assert heat_for_growth(elongation(celsius)) == pytest.approx(celsius, abs=1e-6)


@given(first=st.floats(-20, 749.99), second=st.floats(-20, 749.99))
def test_hotter_is_never_shorter_below_the_flat(first: float, second: float) -> None:
    cooler, hotter = sorted((first, second))
    # But for the last figure of a float.
    assert elongation(cooler) <= elongation(hotter) + 1e-15


@given(celsius=st.floats(21, 1200))
def test_mean_coefficient_is_always_one_of_irons(celsius: float) -> None:
    assert 9e-6 < mean_coefficient(celsius) < 16e-6
