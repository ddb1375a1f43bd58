"""The moisture that wood comes to in air of a warmth and dampness, if it is left there long enough."""

import math

from jobs.timber.refusals import TimberError

# The Wood Handbook tables from 30 to 270 °F, which these are nearly.
COLDEST_C, HOTTEST_C = -1.5, 132.5

SOURCE = (
    "the Hailwood-Horrobin equation as fitted in Simpson, Equilibrium moisture content of wood in outdoor locations, "
    "USDA Forest Products Laboratory, FPL-RN-268, 1998"
)


def equilibrium_moisture(temperature_c: float, humidity: float) -> float:
    """Moisture of wood in per cent of its ovendry mass, at rest in air of `temperature_c` and `humidity` per cent.

    The Hailwood-Horrobin equation with the coefficients of Simpson, FPL-RN-268, 1998 (in degrees
    Fahrenheit). It is one curve for all woods, which differ from it by a per cent or so. Raises TimberError
    outside 0 to 100 % and -1.5 to 132.5 °C.
    """
    if not 0 <= humidity <= 100:
        raise TimberError(f"A humidity of {humidity:g} % can't be: it is from 0 to 100 %.")
    if not COLDEST_C <= temperature_c <= HOTTEST_C:
        raise TimberError(
            f"{temperature_c:g} °C is outside what the tables of moisture cover: {COLDEST_C:g} to {HOTTEST_C:g} °C."
        )
    f = temperature_c * 1.8 + 32
    w = 330 + 0.452 * f + 0.00415 * f**2
    k = 0.791 + 0.000463 * f - 0.000000844 * f**2
    k1 = 6.34 + 0.000775 * f - 0.0000935 * f**2
    k2 = 1.09 + 0.0284 * f - 0.0000904 * f**2
    kh = k * humidity / 100
    bound = (k1 * kh + 2 * k1 * k2 * kh**2) / (1 + k1 * kh + k1 * k2 * kh**2)
    return 1800 / w * (kh / (1 - kh) + bound)


def humidity_for(temperature_c: float, moisture: float) -> float:
    """The humidity in per cent that keeps wood at `moisture` per cent in air of `temperature_c`.

    Raises TimberError where no air of that warmth does.
    """
    if not 0 <= moisture <= equilibrium_moisture(temperature_c, 100):
        raise TimberError(f"No air of {temperature_c:g} °C brings wood to {moisture:g} % of moisture.")
    dry, damp = 0.0, 100.0
    # The curve only rises, so that halving ends at the one answer; 60 times is finer than a float can tell.
    for _ in range(60):
        middle = math.fsum((dry, damp)) / 2
        if equilibrium_moisture(temperature_c, middle) < moisture:
            dry = middle
        else:
            damp = middle
    return (dry + damp) / 2
