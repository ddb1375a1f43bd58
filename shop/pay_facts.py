"""What pay is reckoned from, read for some days at once: pieces with their rates, passed or not, by hand and day.

A piece belongs to the hand whose stretch it is; helpers are paid by the hour. Hours at work that has a piece rate are
paid by the pieces, for those who are paid so that day.
"""

from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from itertools import islice
from typing import Any
from uuid import UUID

from django.db.models import Exists, OuterRef, QuerySet

from jobs.models import Operation
from jobs.words import in_words
from shop.models import Outwork, Passed, Rate
from shop.pay.terms import DatedTerms, PaysSpoiled
from shop.pay_terms import all_terms
from shop.rates import RateBook
from timing.models import Stretch, Tally
from timing.models.facts import Kind, Reason, Source


@dataclass(frozen=True, slots=True)
class Made:
    """One tally of work that has a piece rate, as pay reads it. `rate` is millipence a unit; a contra is negated.

    `height_nm` is that of the lot's wheels.
    """

    stretch_id: int
    hand_id: int
    on: date
    name: str
    rate: int
    made: int
    spoiled: int
    lost: int
    reason: str
    seconds: int | None
    is_passed: bool
    operation_id: int
    task_id: int
    height_nm: int

    def units(self, pays: PaysSpoiled) -> int:
        """Units that are paid."""
        return pays.paid_units(made=self.made, spoiled=self.spoiled, lost=self.lost, reason=self.reason)


@dataclass(frozen=True, slots=True)
class Scheme:
    """By what pieces are paid: rates, terms and the operations' names, read once."""

    book: RateBook
    terms: Mapping[int, DatedTerms]
    names: Mapping[int, str]

    @classmethod
    def load(cls, words: Mapping[str, str]) -> "Scheme":
        """Three queries."""
        names = {pk: in_words(name, words) for pk, name in Operation.objects.values_list("id", "name")}
        return cls(RateBook.load(), all_terms(), names)

    def rate(self, hand_id: int, operation_id: int, on: date, height_nm: int | None) -> int | None:
        """What a unit earns a hand on a day; None where it is paid by the hour."""
        if not self.terms.get(hand_id, DatedTerms()).on(on).by_pieces:
            return None
        return self.book.piece(operation_id, on, height_nm)


COLUMNS = (
    *("stretch_id", "stretch__token", "stretch__cancels_token", "stretch__hand_id", "stretch__done_on"),
    *("stretch__operation_id", "task__lot__height_nm", "made", "spoiled", "lost", "reason", "seconds"),
    "task_id",
)
DONE_ON = COLUMNS.index("stretch__done_on")


def read_made(
    rows: QuerySet[Tally],
    scheme: Scheme,
    passed: frozenset[UUID],
    belongs: Mapping[tuple[int, int], date] | None = None,
) -> Iterable[Made]:
    """The tallies that are paid by the piece, in the order of the rows: one query.

    `belongs`: the day by hand and stretch, where that may be another than that on which it was done.
    """
    return made_of(rows.values_list(*COLUMNS), scheme, passed, belongs or {})


def made_of(
    rows: Iterable[tuple[Any, ...]], scheme: Scheme, passed: frozenset[UUID], belongs: Mapping[tuple[int, int], date]
) -> Iterator[Made]:
    """The same of rows that were read already, by `COLUMNS`."""
    rates: dict[tuple[int, int, date, int | None], int | None] = {}
    for row in rows:
        stretch_id, token, cancels, hand_id, on, work, height, made, spoiled, lost, why, seconds, task = row
        on = belongs.get((hand_id, stretch_id), on)
        key = hand_id, work, on, height
        if key not in rates:
            rates[key] = scheme.rate(*key)
        rate = rates[key]
        if rate is not None:
            is_passed = (cancels or token) in passed
            name = scheme.names[work]
            yield Made(
                stretch_id, hand_id, on, name, rate, made, spoiled, lost, why, seconds, is_passed, work, task, height
            )


def tallies_of(first: date, last: date) -> QuerySet[Tally]:
    """All work of some days but that from an old book, with what undoes it: that stands on the day of its original."""
    work = Tally.objects.filter(stretch__done_on__gte=first, stretch__done_on__lte=last, task__isnull=False)
    work = work.filter(stretch__kind=Kind.WORK).exclude(stretch__source=Source.OLD_BOOK)
    return work.order_by("stretch__done_on", "stretch_id", "id")


def passed_tokens(first: date, last: date, *, hand_ids: Collection[int] | None = None) -> frozenset[UUID]:
    """The tokens of stretches of some days that were passed: one query."""
    rows = Passed.objects.filter(stretch__done_on__gte=first, stretch__done_on__lte=last)
    if hand_ids is not None:
        rows = rows.filter(stretch__hand__in=hand_ids)
    return frozenset(rows.values_list("stretch__token", flat=True))


@dataclass(frozen=True, slots=True)
class Waiting:
    """What waits to be passed, the oldest first; `is_cut`: there is more behind it."""

    rows: list[Made]
    is_cut: bool = False


def waiting_to_be_passed(scheme: Scheme, *, most: int) -> Waiting:
    """What was made or spoiled by the piece and stands, and nobody has passed, of the oldest `most` tallies. One query.

    No stretch is shown in part, for it is passed as a whole.
    """
    undone = Stretch.objects.filter(cancels_token=OuterRef("stretch__token"))
    looked_at = Passed.objects.filter(stretch=OuterRef("stretch_id"))
    # Somebody outside did it, and is paid by that.
    charged = Outwork.objects.filter(token=OuterRef("stretch__token"), cancels=None, cancelled_by=None)
    by_pieces = {
        pk: min(day for day, terms in zip(dated.days, dated.terms, strict=True) if terms.by_pieces)
        for pk, dated in scheme.terms.items()
        if any(terms.by_pieces for terms in dated.terms)
    }
    if not by_pieces:
        return Waiting([])
    rows = (
        tallies_of(min(by_pieces.values()), date.max)
        .filter(stretch__cancels_token=None, stretch__hand__in=list(by_pieces))
        .filter(stretch__operation__in=Rate.objects.filter(kind=Rate.Kind.PIECE).values("operation"))
        .exclude(Exists(looked_at))
        .exclude(made=0, spoiled=0)
        .exclude(Exists(undone))
        .exclude(Exists(charged))
    )
    # Which rows are paid by the piece on their day is known here alone: read on until there are enough of those.
    read = rows.values_list(*COLUMNS).iterator(chunk_size=most + 1)
    found = list(islice(made_of(read, scheme, frozenset(), {}), most + 1))
    if len(found) <= most:
        return Waiting(found)
    return Waiting([one for one in found if one.stretch_id != found[-1].stretch_id], is_cut=True)


def reason_in_words(reason: str) -> str:
    return str(Reason(reason).label)
