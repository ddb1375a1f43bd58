"""The foreman passes pieces before they are paid: what waits, by day and hand, the passing itself, and its staying."""

from collections.abc import Callable, Collection, Iterable
from dataclasses import dataclass
from datetime import date, datetime
from itertools import groupby

from django.contrib.auth.models import User

from jobs.writing import writing
from shop.models import Hand, Passed
from shop.pay_facts import Made, reason_in_words
from timing.models import Stretch, Tally
from timing.models.facts import Kind
from timing.record import Recorded


@dataclass(frozen=True, slots=True)
class Pieces:
    """One operation of a hand's day: units made, and pieces spoiled by their reasons."""

    name: str
    made: int
    spoiled: tuple[tuple[str, int], ...]


@dataclass(frozen=True, slots=True)
class WaitingDay:
    """What waits of one hand on one day, and the stretches that are passed with it."""

    on: date
    hand: str
    pieces: tuple[Pieces, ...]
    stretch_ids: tuple[int, ...]

    @property
    def key(self) -> str:
        """The stretches as a form names them: just what was shown, and nothing told since."""
        return ids_written(self.stretch_ids)


def ids_written(ids: Iterable[int]) -> str:
    return ".".join(map(str, ids))


def ids_read(text: str) -> list[int]:
    """The ids in a text; ValueError with one sentence where it is none of ours."""
    parts = text.split(".") if text else []
    if not all(part.isascii() and part.isdigit() and len(part) < 16 for part in parts):
        raise ValueError("What was to be passed can't be read: open the page again.")
    return [int(part) for part in parts]


def by_day(waiting: Iterable[Made]) -> list[WaitingDay]:
    """What waits by day, then by the name of the hand."""
    names = dict(Hand.objects.values_list("user_id", "name"))
    rows = sorted(waiting, key=lambda one: (one.on, names.get(one.hand_id, ""), one.hand_id, one.stretch_id))
    return [
        _day(on, names.get(hand_id, "no hand now"), list(group))
        for (on, hand_id), group in groupby(rows, key=lambda one: (one.on, one.hand_id))
    ]


def _day(on: date, hand: str, rows: list[Made]) -> WaitingDay:
    pieces = []
    for name in dict.fromkeys(one.name for one in rows):
        own = [one for one in rows if one.name == name]
        spoiled: dict[str, int] = {}
        for one in own:
            if one.spoiled:
                spoiled[one.reason] = spoiled.get(one.reason, 0) + one.spoiled
        told = tuple((reason_in_words(reason), count) for reason, count in spoiled.items())
        pieces.append(Pieces(name, sum(one.made for one in own), told))
    return WaitingDay(on, hand, tuple(pieces), tuple(dict.fromkeys(one.stretch_id for one in rows)))


def pass_stretches(ids: Collection[int], *, by: User, at: datetime) -> int:
    """Pass stretches of work; returns how many were not passed before. What is there already stays as it was."""
    with writing():
        there = Stretch.objects.filter(pk__in=ids, kind=Kind.WORK, cancels_token=None).values_list("pk", flat=True)
        before = set(Passed.objects.filter(stretch__in=ids).values_list("stretch_id", flat=True))
        fresh = [pk for pk in there if pk not in before]
        Passed.objects.bulk_create(
            [Passed(stretch_id=pk, passed_at=at, passed_by=by) for pk in fresh], ignore_conflicts=True
        )
    return len(fresh)


def still_passed(original: Stretch, tell: Callable[[], Recorded]) -> Recorded:
    """Put a stretch right or dispute it by `tell`; what stands in its place is passed as it was, in the same write.

    But only where it is the same pieces of the same hand and day, for other pieces nobody has looked at: a note or a
    time that changes takes back no pay. Errors as `tell`.
    """
    with writing():
        recorded = tell()
        before = Passed.objects.filter(stretch=original).first()
        new = recorded.stretch
        if before and new and recorded.fresh and _pieces_of(new) == _pieces_of(original):
            Passed.objects.create(stretch=new, passed_at=before.passed_at, passed_by_id=before.passed_by_id)
    return recorded


def _pieces_of(stretch: Stretch) -> tuple[object, ...]:
    counts = Tally.objects.filter(stretch=stretch).values_list("task_id", "made", "spoiled", "lost", "reason")
    return (stretch.hand_id, stretch.done_on, sorted(counts))
