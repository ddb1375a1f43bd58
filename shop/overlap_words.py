"""Overlaps in words: how much of a stretch is also told in which other one."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import tzinfo

from jobs.durations import hours_and_minutes
from jobs.words import in_words
from shop.cost_facts import names_of
from shop.days import day_in_words
from timing.facts import device_error
from timing.models import Stretch
from timing.overlap_facts import overlaps_of
from timing.overlaps import Overlap

# Where a clock was left running while another device was tapped there may be dozens: the rest is summed.
MOST_NAMED = 2

# The other stretches that one overlaps, by their ids.
_Others = list[tuple[int, list[Overlap]]]


def overlaps_in_words(
    rows: Iterable[Stretch], *, words: Mapping[str, str], zone: tzinfo, own_id: int | None = None
) -> dict[int, tuple[str, ...]]:
    """Sentences by the id of each of these stretches that overlaps others, the longest overlap first.

    With `own_id` of the time of that person alone. Three queries, however many rows; one where nothing overlaps.
    """
    by_id = {row.pk: row for row in rows}
    found = overlaps_of(by_id.values(), person_ids=None if own_id is None else [own_id])
    if not found:
        return {}
    others = {pk: _by_other(by_id[pk], overlaps) for pk, overlaps in found.items()}
    teller = _Teller.of(others.values(), words, zone)
    return {pk: teller.sentences(by_id[pk], rows) for pk, rows in others.items()}


def _by_other(row: Stretch, overlaps: Iterable[Overlap]) -> _Others:
    """The overlaps of a stretch by the other one, the longest first; of each those of its own hand first."""
    by_other: dict[int, list[Overlap]] = defaultdict(list)
    for one in sorted(overlaps, key=lambda one: (one.person_id != row.hand_id, -one.seconds)):
        by_other[one.second_id if one.first_id == row.pk else one.first_id].append(one)
    return sorted(by_other.items(), key=lambda item: -_seconds(item[1]))


def _seconds(overlaps: Iterable[Overlap]) -> int:
    return sum(one.seconds for one in overlaps)


@dataclass(frozen=True, slots=True)
class _Teller:
    """Knows the stretches that are named, and the people."""

    stretches: Mapping[int, Stretch]
    names: Mapping[int, str]
    words: Mapping[str, str]
    zone: tzinfo

    @classmethod
    def of(cls, others: Iterable[_Others], words: Mapping[str, str], zone: tzinfo) -> "_Teller":
        named = [item for rows in others for item in rows[:MOST_NAMED]]
        stretches = Stretch.objects.select_related("operation").in_bulk({pk for pk, _ in named})
        people = {one.person_id for _, overlaps in named for one in overlaps}
        return cls(stretches, names_of(people | {one.hand_id for one in stretches.values()}), words, zone)

    def sentences(self, row: Stretch, others: _Others) -> tuple[str, ...]:
        told = [self._sentence(row, self.stretches[pk], overlaps) for pk, overlaps in others[:MOST_NAMED]]
        rest = others[MOST_NAMED:]
        if rest:
            seconds = sum(_seconds(overlaps) for _, overlaps in rest)
            told.append(f"{hours_and_minutes(seconds)} also told in {len(rest)} more")
        return tuple(told)

    def _sentence(self, row: Stretch, other: Stretch, overlaps: Sequence[Overlap]) -> str:
        times = " and ".join(
            hours_and_minutes(one.seconds)
            + ("" if one.person_id == row.hand_id else f" of {self._name(one.person_id)}’s")
            for one in overlaps
        )
        known = {row.hand_id, *(one.person_id for one in overlaps)}
        by = "" if other.hand_id in known else f" by {self._name(other.hand_id)}"
        day = "" if other.done_on == row.done_on else f" on {day_in_words(other.done_on)}"
        return f"{times} also told in {self._what(other)}{by}, {self._when(other)}{day}"

    def _name(self, person_id: int) -> str:
        return self.names.get(person_id, "someone who is no hand now")

    def _what(self, stretch: Stretch) -> str:
        operation = stretch.operation
        return in_words(operation.name, self.words) if operation else stretch.get_kind_display()

    def _when(self, stretch: Stretch) -> str:
        error = device_error(stretch.sent_at, stretch.received_at)
        moments = (stretch.started_at, stretch.done_at)
        return " to ".join(f"{(moment + error).astimezone(self.zone):%H.%M}" for moment in moments if moment)
