"""A hand's own stretches in words, day by day."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, tzinfo
from itertools import groupby
from typing import Self

from django.utils import timezone

from jobs.words import in_words
from shop.bench_page import place_of
from shop.pay_runs import is_paid
from timing.corrections import can_be_corrected
from timing.facts import device_error
from timing.models import Stretch
from timing.models.facts import Kind


@dataclass(frozen=True, slots=True)
class OwnStretch:
    """One stretch as its hand reads it."""

    stretch: Stretch
    name: str
    places: list[str]
    counts: str
    at: str
    undone: bool
    can_correct: bool
    entered_by: str
    overlaps: tuple[str, ...] = ()

    @classmethod
    def of(
        cls,
        stretch: Stretch,
        *,
        words: Mapping[str, str],
        zone: tzinfo,
        overlaps: tuple[str, ...] = (),
        paid_until: date | None = None,
    ) -> Self:
        """Expects `is_undone`, and tallies with their task, operation, lot, order and wheel.

        What is paid, up to the day `paid_until`, its hand no longer puts right.
        """
        tallies = list(stretch.tallies.all())
        if stretch.operation is not None:
            name, done_word = (in_words(text, words) for text in (stretch.operation.name, stretch.operation.done_word))
        else:
            name, done_word = Kind(stretch.kind).label.capitalize(), "done"
        made, spoiled = sum(row.made for row in tallies), sum(row.spoiled for row in tallies)
        counts = [f"{made} {done_word}"] if made else []
        counts += [f"{spoiled} spoiled"] if spoiled else []
        done = stretch.done_at + device_error(stretch.sent_at, stretch.received_at)
        undone = bool(getattr(stretch, "is_undone", False))
        return cls(
            stretch=stretch,
            name=name,
            places=[place_of(row.task.lot, row.task.wheel) for row in tallies if row.task],
            counts=", ".join(counts) or ("nothing finished" if stretch.kind == Kind.WORK else ""),
            at=f"{timezone.localtime(done, zone):%H.%M}",
            undone=undone,
            can_correct=not undone and can_be_corrected(stretch, tallies) and not is_paid(stretch, paid_until),
            entered_by=str(stretch.entered_by.shop_hand) if stretch.entered_by else "",
            overlaps=overlaps,
        )

    @property
    def is_contra(self) -> bool:
        return self.stretch.cancels_token is not None


@dataclass(frozen=True, slots=True)
class OwnDay:
    """One day of it, and the seconds of the day: work and all else but breaks."""

    on: date
    rows: list[OwnStretch]


def by_day(
    stretches: Iterable[Stretch],
    *,
    words: Mapping[str, str],
    zone: tzinfo,
    overlaps: Mapping[int, tuple[str, ...]],
    paid_until: date | None = None,
) -> list[OwnDay]:
    """Stretches, newest first, by the day that each was done on; what undoes another is shown by its mark on that.

    `overlaps` are sentences by a stretch's id.
    """
    rows = sorted(stretches, key=lambda stretch: stretch.done_on, reverse=True)
    return [
        OwnDay(
            on,
            [
                OwnStretch.of(row, words=words, zone=zone, overlaps=overlaps.get(row.pk, ()), paid_until=paid_until)
                for row in group
                if row.cancels_token is None
            ],
        )
        for on, group in groupby(rows, key=lambda stretch: stretch.done_on)
    ]
