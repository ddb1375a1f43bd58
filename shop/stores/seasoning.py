"""Whether timber in the rack is dry enough: by what the meter said when it came, and by the old rule of thumb."""

import calendar
from datetime import date

from jobs.timber import Limit, judge, months_by_the_rule_of_thumb
from jobs.timber.dryness import OPEN_AIR_ENDS, OPEN_AIR_SOURCE
from shop.days import day_in_words

# As dry as the open air gets it in the dampest season.
LIMIT = Limit(OPEN_AIR_ENDS[1], OPEN_AIR_SOURCE)
HOW = (
    f"By the meter timber is dry enough where {OPEN_AIR_SOURCE}; where a wheel will be used it may have to be drier. "
    "By the rule of thumb it lies a year to the inch of thickness from the day that it was felled or sawn; those who "
    "repeat that call it inaccurate, and the meter knows better. For round logs no such rule was read."
)


def months_on(day: date, months: int) -> date:
    """The same day so many months later; the last of its month where that is shorter."""
    year, month = divmod(day.year * 12 + day.month - 1 + months, 12)
    return date(year, month + 1, min(day.day, calendar.monthrange(year, month + 1)[1]))


def by_the_meter(moisture_tenths: int) -> str:
    """ "18 % when it came: dry enough"."""
    verdict = judge(moisture_tenths / 10, LIMIT)
    told = f"{moisture_tenths / 10:g}\N{NO-BREAK SPACE}% when it came"
    return f"{told}: dry enough" if verdict.dry_enough else f"{told}: {verdict.over:g}\N{NO-BREAK SPACE}% over"


def by_the_rule(felled_on: date, thickness_nm: int | None, today: date) -> str:
    """ "dry by the rule since 3 May 2025"; of a log only the day that it was felled."""
    if thickness_nm is None:
        return f"felled {day_in_words(felled_on)}"
    dry_on = months_on(felled_on, -int(-months_by_the_rule_of_thumb(thickness_nm) // 1))
    told = day_in_words(dry_on)
    return f"dry by the rule since {told}" if dry_on <= today else f"by the rule not dry before {told}"
