"""Sums of timber hold together, whatever the sizes, and refuse what can't be."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from jobs.measures import parse_length
from jobs.timber import (
    SPECIES,
    Board,
    TimberError,
    board_feet,
    change,
    change_over_a_wide_range,
    cubic_metres,
    equilibrium_moisture,
    export_tally,
    hoppus_feet,
    hub_change,
    humidity_for,
    judge,
    limit_given,
    limit_of_air,
    run_change_nm,
    section_change,
    species_density_kg_m3,
    species_of,
)

MM = 1_000_000
MOISTURES = st.floats(0, 30)
SIZES = st.integers(MM, 500 * MM)
FULL = [species for species in SPECIES.values() if species.shrinkage and species.gravity]


@given(SIZES, st.floats(2, 13), MOISTURES, MOISTURES)
def test_what_shrinks_swells_back_to_its_size(size: int, shrinkage: float, moisture: float, to: float) -> None:
    there = size + change_over_a_wide_range(size, shrinkage, moisture=moisture, to=to)
    assert there + change_over_a_wide_range(there, shrinkage, moisture=to, to=moisture) == pytest.approx(size)


@given(st.sampled_from(FULL), SIZES, MOISTURES, MOISTURES)
def test_drier_is_never_larger(species, size: int, moisture: float, to: float) -> None:
    low, high = sorted((moisture, to))
    assert change(species, size, "tangential", moisture=high, to=low).change_nm <= 0
    assert change(species, size, "tangential", moisture=low, to=high).change_nm >= 0


@given(st.sampled_from(FULL), st.integers(1, 20), st.floats(15, 30), st.floats(0, 12))
def test_inches_and_millimetres_shrink_alike(species, inches: int, moisture: float, to: float) -> None:
    typed = (parse_length(text, default_unit="mm") for text in (f"{inches} in", f"{inches * 254 / 10:.1f} mm"))
    one, other = (change(species, nm, "radial", moisture=moisture, to=to) for nm in typed)
    assert one == other


@given(st.floats(-1, 132), st.floats(0, 99), st.floats(0.1, 1))
def test_damper_air_leaves_wetter_wood(temperature: float, humidity: float, more: float) -> None:
    assert equilibrium_moisture(temperature, humidity) < equilibrium_moisture(temperature, humidity + more)


@given(st.floats(0, 40), st.floats(1, 99))
def test_the_humidity_that_keeps_a_moisture_is_found_again(temperature: float, humidity: float) -> None:
    moisture = equilibrium_moisture(temperature, humidity)
    assert humidity_for(temperature, moisture) == pytest.approx(humidity, abs=1e-6)


@given(st.sampled_from(FULL), st.floats(0, 29), st.floats(0.5, 30))
def test_wetter_timber_is_heavier(species, moisture: float, more: float) -> None:
    assert species_density_kg_m3(species, moisture=moisture) < species_density_kg_m3(species, moisture=moisture + more)


@given(st.integers(1, 200 * MM), st.integers(1, 900 * MM), st.integers(1, 9000 * MM))
def test_board_feet_never_count_less_than_is_there(thick: int, wide: int, long: int) -> None:
    board = Board(thick, wide, long)
    assert board_feet(board) * 144 * 254**3 * 100_000**3 >= cubic_metres(board) * 10**27


def test_a_hub_goes_out_of_round_by_the_difference_of_its_two_shrinkages() -> None:
    # American elm, 200 mm, green to 12 %: 0.6 of 4.2 and 9.5 per cent.
    hub = hub_change(SPECIES["american-elm"], 200 * MM, moisture=60, to=12)
    assert hub.across_rings.change_nm / MM == pytest.approx(-5.04)
    assert hub.along_rings.change_nm / MM == pytest.approx(-11.4)
    assert hub.out_of_round_nm / MM == pytest.approx(6.36)
    assert hub.check_nm / MM == pytest.approx(6.36 * math.pi)


def test_a_hub_that_swells_opens_no_check() -> None:
    assert hub_change(SPECIES["american-elm"], 200 * MM, moisture=8, to=20).check_nm == 0


def test_a_cleft_spoke_shrinks_least_on_its_cleft_side() -> None:
    oak = section_change(SPECIES["white-oak"], 60 * MM, 40 * MM, width_grain="radial", moisture=30, to=12)
    assert oak.width.change_nm / MM == pytest.approx(-60 * 0.056 * 0.6)
    assert oak.thickness.change_nm / MM == pytest.approx(-40 * 0.105 * 0.6)
    turned = section_change(SPECIES["white-oak"], 60 * MM, 40 * MM, width_grain="tangential", moisture=30, to=12)
    assert turned.width.change_nm / MM == pytest.approx(-60 * 0.105 * 0.6)


def test_a_felloe_that_dries_slackens_the_tyre_by_two_pi() -> None:
    depth = change(SPECIES["white-ash"], 70 * MM, "tangential", moisture=20, to=12)
    assert run_change_nm(depth) == pytest.approx(2 * math.pi * depth.change_nm)
    assert run_change_nm(depth) < 0


def test_the_equation_follows_the_range_and_what_print_tells() -> None:
    assert change(SPECIES["white-ash"], MM, "radial", moisture=14, to=6).equation == "6 to 14 %"
    assert change(SPECIES["white-ash"], MM, "radial", moisture=14.1, to=6).equation == "wide"
    # No radial coefficient was read for true hickory, its shrinkage was.
    assert change(SPECIES["pignut"], MM, "radial", moisture=14, to=6).equation == "wide"


def test_dry_enough_says_by_how_much_and_what_it_rests_on() -> None:
    verdict = judge(19, limit_given(15))
    assert (verdict.dry_enough, verdict.over) == (False, 4)
    assert judge(15, limit_given(15)).dry_enough
    limit = limit_of_air(20, 60, margin=2)
    assert limit.percent == pytest.approx(equilibrium_moisture(20, 60) + 2)
    assert limit.rests_on == "where wood comes to rest in air of 20 °C and 60 %, and 2 % more"


@pytest.mark.parametrize(
    ("sum_", "says"),
    [
        (lambda: change(SPECIES["beech"], MM, "radial", moisture=-1, to=12), "A moisture of -1 % can't be"),
        (lambda: change(SPECIES["beech"], 0, "radial", moisture=30, to=12), "The size must be more than nothing"),
        (lambda: change(SPECIES["beech"], MM, "radial", moisture=math.nan, to=12), "A moisture of nan % can't be"),
        (lambda: equilibrium_moisture(20, 101), "A humidity of 101 % can't be"),
        (lambda: equilibrium_moisture(150, 50), "150 °C is outside"),
        (lambda: humidity_for(20, 60), "No air of 20 °C brings wood to 60 %"),
        (lambda: species_of("yew"), "“yew” is no timber of the list"),
        (lambda: species_density_kg_m3(SPECIES["red-oak"], moisture=12), "gravity of red oak is not known"),
        (lambda: hoppus_feet(0, MM), "The girth of a log must be more than nothing"),
        (lambda: export_tally([Board(MM, -MM, MM)]), "The width of a board must be more than nothing"),
    ],
)
def test_what_cannot_be_is_refused_in_one_sentence(sum_, says: str) -> None:
    with pytest.raises(TimberError, match=says):
        sum_()
