"""Lengths against other people's work: the definition of the inch, and a general library of units."""

from fractions import Fraction

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from jobs.measures import NM_PER_FOOT, NM_PER_INCH, parse_length

# Pint, a units library from the Python Package Index, with exact fractions instead of floats.
UNITS = pint.UnitRegistry(non_int_type=Fraction)


def test_the_inch_is_the_international_inch() -> None:
    # International yard and pound agreement, 1959: 1 yd = 0.9144 m exactly; NIST SP 811, appendix B: 1 in =
    # 25.4 mm exactly, 1 ft = 0.3048 m exactly.
    assert 36 * NM_PER_INCH == 914_400_000
    assert NM_PER_INCH == 25_400_000
    assert NM_PER_FOOT == 304_800_000


@given(
    whole=st.integers(0, 3000),
    under=st.sampled_from([2, 4, 8, 16, 32, 64]),
    over=st.integers(0, 63),
)
def test_fractions_of_an_inch_agree_with_pint(whole: int, under: int, over: int) -> None:
    over %= under
    outside = UNITS.Quantity(whole + Fraction(over, under), "inch").to("nanometer").magnitude
    assert outside.denominator == 1
    assert parse_length(f"{whole} {over}/{under} in", default_unit="mm") == outside


@given(st.integers(0, 9_000_000), st.sampled_from([("mm", "millimeter"), ("cm", "centimeter"), ("m", "meter")]))
def test_metric_agrees_with_pint(thousandths: int, names: tuple[str, str]) -> None:
    ours, theirs = names
    figure = Fraction(thousandths, 100_000)
    outside = UNITS.Quantity(figure, theirs).to("nanometer").magnitude
    assert parse_length(f"{thousandths // 100_000}.{thousandths % 100_000:05} {ours}", default_unit="in") == outside


@pytest.mark.parametrize("feet", [1, 3, 5, 15])
def test_feet_and_inches_agree_with_pint(feet: int) -> None:
    outside = (UNITS.Quantity(feet, "foot") + UNITS.Quantity(Fraction(21, 2), "inch")).to("nanometer").magnitude
    assert parse_length(f"{feet} ft 10 1/2 in", default_unit="mm") == outside
