"""Which of the backups that were made by the clock are kept: many of the last day, few of the last year."""

from collections.abc import Callable, Collection, Hashable
from dataclasses import dataclass
from datetime import datetime, timedelta

ALL_FOR = timedelta(days=1)


@dataclass(frozen=True, slots=True)
class Step:
    """For so long, the newest of each day, week or month is kept."""

    age: timedelta
    bucket: Callable[[datetime], Hashable]


STEPS = (
    Step(timedelta(days=14), lambda moment: moment.date()),
    Step(timedelta(weeks=8), lambda moment: moment.isocalendar()[:2]),
    Step(timedelta(days=366), lambda moment: (moment.year, moment.month)),
)
RULE = (
    "all of the last day, then the last of each day for two weeks, of each week for eight, and of each month for a year"
)


def to_remove(moments: Collection[datetime], *, now: datetime) -> set[datetime]:
    """Which of these moments' backups may go. Never the newest until now, and none that is dated after now."""
    kept = {moment for moment in moments if now - moment <= ALL_FOR}
    kept |= set(sorted(moment for moment in moments if moment <= now)[-1:])
    for step in STEPS:
        newest = {step.bucket(moment): moment for moment in sorted(moments)}
        kept |= {moment for moment in newest.values() if now - moment <= step.age}
    return set(moments) - kept
