"""Whether a piece is dry enough for its use, against a limit that says what it rests on."""

from dataclasses import dataclass

from jobs.measures import NM_PER_INCH
from jobs.timber.air import equilibrium_moisture
from jobs.timber.refusals import checked_moisture, checked_size

# Where air-drying in the open ends in Britain, by the season (northernarchitecture.us, on timber seasoning).
OPEN_AIR_ENDS = (17.0, 23.0)
OPEN_AIR_SOURCE = "seasoning in the open air ends at 17 to 23 % in Britain (northernarchitecture.us)"


@dataclass(frozen=True, slots=True)
class Limit:
    """The most moisture a piece may have, in per cent, and what that rests on."""

    percent: float
    rests_on: str


@dataclass(frozen=True, slots=True)
class Verdict:
    """`over` is how many per cent of moisture the piece has yet to lose; nothing where it is dry enough."""

    moisture: float
    limit: Limit
    over: float

    @property
    def dry_enough(self) -> bool:
        return self.over == 0


def limit_given(percent: float) -> Limit:
    """The shop's own limit. Raises TimberError."""
    return Limit(checked_moisture(percent), "the limit that was given")


def limit_of_air(temperature_c: float, humidity: float, *, margin: float = 0.0) -> Limit:
    """The moisture that wood comes to where the wheel will be used, and `margin` per cent more.

    A piece no wetter than this shrinks no further there. Raises TimberError.
    """
    rest = equilibrium_moisture(temperature_c, humidity)
    more = f", and {margin:g} % more" if margin else ""
    return Limit(rest + margin, f"where wood comes to rest in air of {temperature_c:g} °C and {humidity:g} %{more}")


def judge(moisture: float, limit: Limit) -> Verdict:
    """A piece of `moisture` per cent against a limit. Raises TimberError."""
    return Verdict(checked_moisture(moisture), limit, max(0.0, moisture - limit.percent))


def months_by_the_rule_of_thumb(thickness_nm: float) -> float:
    """Months in the stack at a year to the inch of thickness.

    A rule of thumb of hardwood yards that those who repeat it call inaccurate: a meter knows better. Raises
    TimberError.
    """
    return 12 * checked_size(thickness_nm, "the thickness") / NM_PER_INCH
