"""What the bench asks before it keeps a stretch: whether dinner comes off, and whether so long a time is meant.

Each answer is one touch, and is the same form again with a few more fields of the documented fact.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime, timedelta

from django.utils import timezone

from jobs.durations import hours_and_minutes
from shop.models import Shop
from timing.durations import read_duration
from timing.facts import LONGEST, LONGEST_UNASKED, Fact, FactRefused, device_error
from timing.posted import Posted


@dataclass(frozen=True, slots=True)
class Reply:
    """A way to answer: its words, and the fields that say so."""

    words: str
    fields: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class Question:
    """A question with its replies, the likelier first; with `asks_minutes` the true time may be typed instead.

    With `counts_again` the way back is to the number of spoiled pieces.
    """

    sentence: str
    replies: tuple[Reply, ...]
    asks_minutes: bool = False
    counts_again: bool = False
    moments: Mapping[str, str] = field(default_factory=dict)


def question_about(fact: Fact, shop: Shop, *, now: datetime) -> Question | None:
    """What is to be asked about a stretch measured by the clock; nothing where its seconds were told."""
    if fact.started_at is None or fact.seconds is not None or fact.done_at < fact.started_at:
        return None
    lasted = fact.done_at - fact.started_at
    if lasted > LONGEST_UNASKED:
        return None if fact.confirmed and lasted <= LONGEST else _long(fact, lasted)
    dinner = _dinner_within(fact, shop, now=now)
    return _dinner(fact, shop, lasted, dinner) if dinner else None


def doubt(fact: Fact, sentence: str) -> Question:
    """The question about a stretch whose time was told and is very long."""
    fields = {"confirmed": "1"} | ({} if fact.seconds is None else {"seconds": str(fact.seconds)})
    return Question(sentence, (Reply("Yes, that is right", fields),), asks_minutes=True, moments=moments_of(fact))


def with_answer(fact: Fact, posted: Posted) -> Fact:
    """The fact with the time that was typed in words, where one was.

    Raises FactRefused where the time can't be read.
    """
    typed = str(posted.get("minutes", "")).strip()
    if typed:
        try:
            return replace(fact, seconds=read_duration(typed))
        except ValueError as error:
            raise FactRefused(str(error)) from error
    return fact


def moments_of(fact: Fact) -> dict[str, str]:
    """The fact's own moments, so that the answer is about the same stretch and not about a longer one."""
    moments = {"done_at": fact.done_at.isoformat()}
    if fact.started_at:
        moments["started_at"] = fact.started_at.isoformat()
    return moments


def _long(fact: Fact, lasted: timedelta) -> Question:
    words = hours_and_minutes(round(lasted.total_seconds()))
    if lasted > LONGEST:
        sentence = f"The clock ran for {words}: more than seven days can’t be one stretch."
        return Question(sentence, (), asks_minutes=True, moments=moments_of(fact))
    return Question(
        f"The clock ran for {words}. Is that right?",
        (Reply(f"Yes, {words} is right", {"confirmed": "1"}),),
        asks_minutes=True,
        moments=moments_of(fact),
    )


def _dinner_within(fact: Fact, shop: Shop, *, now: datetime) -> tuple[datetime, datetime] | None:
    """The shop's dinner on the day of a stretch that ran right over it, by the clock of the device."""
    if shop.dinner_from is None or shop.dinner_to is None or fact.started_at is None:
        return None
    error = device_error(fact.sent_at, now)
    begun, done = fact.started_at + error, fact.done_at + error
    day = timezone.localtime(done, shop.zone).date()
    # In UTC before any sum: a sum on local moments counts the hands of the clock, not the time between.
    dinner = [datetime.combine(day, at, tzinfo=shop.zone).astimezone(UTC) for at in (shop.dinner_from, shop.dinner_to)]
    if not (begun <= dinner[0] and dinner[1] <= done):
        return None
    return dinner[0] - error, dinner[1] - error


def _dinner(fact: Fact, shop: Shop, lasted: timedelta, dinner: tuple[datetime, datetime]) -> Question:
    off = lasted - (dinner[1] - dinner[0])
    hours = f"{shop.dinner_from:%H.%M} to {shop.dinner_to:%H.%M}"
    less, all_of_it = round(off.total_seconds()), round(lasted.total_seconds())
    taken_off = {
        "seconds": str(less),
        "break_from": dinner[0].isoformat(),
        "break_to": dinner[1].isoformat(),
    }
    return Question(
        f"The clock ran over dinner. Take off {hours}?",
        (
            Reply(f"Take off dinner: {hours_and_minutes(less)}", taken_off),
            Reply(f"I worked through: {hours_and_minutes(all_of_it)}", {"seconds": str(all_of_it)}),
        ),
        moments=moments_of(fact),
    )
