"""How iron grows with heat: the relative elongation of carbon steel, and what heat gives a wanted growth.

EN 1993-1-2 (Eurocode 3, structural fire design), 3.4.1.1, gives the elongation of carbon steel since 20 °C in three
pieces. No such standard is known for wrought iron, whose old coefficients differ among themselves by 8 %
and lie on both sides of steel's (Dooley, Applied Science for Metal Workers; Faraday's table in American
Mechanic): the same sums serve for it as well as any.

Temperatures are degrees Celsius, growths are lengths on lengths.
"""

import math

BASE_C = 20.0
# Between these it grows no more: the steel changes its structure inside.
FLAT_FROM_C = 750.0
FLAT_TO_C = 860.0
# The standard says nothing above.
HIGHEST_C = 1200.0
# The standard begins at 20 °C. A cold shop is colder, and the first piece is carried on below it so far.
COLDEST_C = -30.0
# Pure iron; steel begins to melt sooner. From memory: 1538 °C in most tables of the elements.
MELTS_C = 1538.0

_LINEAR, _SQUARE, _START = 1.2e-5, 0.4e-8, -2.416e-4
_FLAT = 1.1e-2
_HOT_SLOPE, _HOT_START = 2e-5, -6.2e-3

# EN 1993-1-1, 3.2.6: 12 millionths a degree up to 100 °C. From memory; Indian and other schoolbooks take it too.
USUAL_COEFFICIENT = 1.2e-5
# Every published mean coefficient of iron or steel from cold to 700 °C lies between these. A slip of ten to the
# minus six doesn't.
LEAST_COEFFICIENT, GREATEST_COEFFICIENT = 9e-6, 16e-6


class HeatRefused(ValueError):
    """No heat does what is asked, or none that can be worked with; the message is one sentence saying why."""


def elongation(celsius: float) -> float:
    """Growth since 20 °C of a length of carbon steel that was 1 then (EN 1993-1-2, 3.1a to 3.1c).

    At 750 °C the standard itself steps down, by 8.4 millionths, and that step is kept. Raises HeatRefused
    outside −30 to 1200 °C.
    """
    if not COLDEST_C <= celsius <= HIGHEST_C:
        raise HeatRefused(
            f"How iron grows is published from 20 to 1200 °C (EN 1993-1-2) and carried on to −30 here: "
            f"{celsius:.0f} °C is outside."
        )
    if celsius < FLAT_FROM_C:
        return _SQUARE * celsius**2 + _LINEAR * celsius + _START
    if celsius <= FLAT_TO_C:
        return _FLAT
    return _HOT_SLOPE * celsius + _HOT_START


# The most that is gained before the flat, approached from below; the first figure after it is a little less.
GAIN_BEFORE_FLAT = _SQUARE * FLAT_FROM_C**2 + _LINEAR * FLAT_FROM_C + _START
GREATEST_GAIN = _HOT_SLOPE * HIGHEST_C + _HOT_START


def mean_coefficient(celsius: float) -> float:
    """The one coefficient that gives the same growth from 20 °C, per degree: 12.88 millionths to 200 °C."""
    if celsius == BASE_C:
        return _LINEAR + 2 * _SQUARE * BASE_C
    return elongation(celsius) / (celsius - BASE_C)


def growth(celsius: float, *, cold_c: float = BASE_C) -> float:
    """Growth of a length that was 1 at `cold_c`, brought to `celsius`."""
    return (1 + elongation(celsius)) / (1 + elongation(cold_c)) - 1


def heat_for_growth(wanted: float, *, cold_c: float = BASE_C) -> float:
    """The lowest temperature at which a length that was 1 at `cold_c` has grown by `wanted`.

    For a growth that begins below `cold_c` (less than nothing) it is the temperature to cool to. Raises
    HeatRefused where 1200 °C would not do, or the cold is below −30 °C.
    """
    since_base = (1 + wanted) * (1 + elongation(cold_c)) - 1
    if since_base < GAIN_BEFORE_FLAT:
        under_root = _LINEAR**2 + 4 * _SQUARE * (since_base - _START)
        coldest = elongation(COLDEST_C)
        if since_base < coldest * (1 + 1e-9):
            raise HeatRefused("Iron isn't cooled below −30 °C: is the growth that is wanted right?")
        return (math.sqrt(under_root) - _LINEAR) / (2 * _SQUARE)
    if since_base > GREATEST_GAIN:
        raise HeatRefused(
            f"That asks for a growth of {1000 * since_base:.1f} mm in a metre, and iron is known to grow by "
            f"{1000 * GREATEST_GAIN:.1f} up to 1200 °C (EN 1993-1-2)."
        )
    return (since_base - _HOT_START) / _HOT_SLOPE


def heat_by_coefficient(wanted: float, *, coefficient: float = USUAL_COEFFICIENT, cold_c: float = BASE_C) -> float:
    """The temperature by one constant coefficient, per degree: the schoolbook's sum, to set beside.

    It knows nothing of what iron does: a result may lie above its melting. Raises HeatRefused where the
    coefficient is none of iron's.
    """
    if not LEAST_COEFFICIENT <= coefficient <= GREATEST_COEFFICIENT:
        raise HeatRefused(
            f"Iron grows by 9 to 16 millionths a degree, and {1e6 * coefficient:g} is outside: is a nought too many?"
        )
    return cold_c + wanted / coefficient


def fahrenheit(celsius: float) -> float:
    return 1.8 * celsius + 32


def celsius_of(fahrenheit_: float) -> float:
    return (fahrenheit_ - 32) / 1.8
