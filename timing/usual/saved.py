"""The fit that is kept: made when somebody asks or the shop is quiet, read by every page that needs a time."""

import hashlib
from collections.abc import Collection, Mapping
from dataclasses import asdict, dataclass, field
from datetime import date, datetime
from typing import Any

import numpy as np
from django.db.models import Count, Max

from jobs.turns import take_turns
from jobs.writing import writing
from timing import forecast
from timing.forecast import keeping
from timing.models import SavedFit, Stretch, Verdict
from timing.usual.read import ReadTimings, known_operations, read_timings

# From this chance on a timing is shown as a stray.
LIKELY_STRAY = 0.5


@dataclass(frozen=True, slots=True)
class Stray:
    """A timing that likely strays: the chance of it, and its minutes to those to be expected."""

    tally_id: int
    chance: float
    ratio: float


@dataclass(frozen=True, slots=True)
class RestsOn:
    """Of how many orders the timings of an operation are, and the day of the first of them."""

    orders: int
    since: date


@dataclass(frozen=True, slots=True)
class Usual:
    """The usual times as last worked out. `made_at` is None where there are none yet: then book times stand alone."""

    fit: forecast.Fit
    made_at: datetime | None
    timings: int
    strays: tuple[Stray, ...]
    made_from: str
    # By the key of the operation; those never timed are not in it.
    rests_on: Mapping[str, RestsOn] = field(default_factory=dict)

    def timed(self, operation_key: str) -> int:
        """Of how many timings of an operation this knows; 0 for one that was added since."""
        return next(
            (
                int(count)
                for one, count in zip(self.fit.operations, self.fit.timed, strict=True)
                if one.key == operation_key
            ),
            0,
        )

    def knows(self, operation_key: str) -> bool:
        """Whether the operation was there when this was worked out."""
        return any(one.key == operation_key for one in self.fit.operations)


def made_from_now(*, without_hands: Collection[int] = ()) -> dict[str, Any]:
    """What a fit made now would rest on, in a form that is another as soon as there is more, or other, to learn."""
    verdicts = Verdict.objects.aggregate(count=Count("pk"), last=Max("said_at"))
    return {
        "version": keeping.VERSION,
        "stretch": Stretch.objects.aggregate(last=Max("pk"))["last"] or 0,
        "verdicts": [verdicts["count"], verdicts["last"].isoformat() if verdicts["last"] else ""],
        "operations": _digest(known_operations()),
        "without_hands": sorted(without_hands),
    }


def is_out_of_date(*, without_hands: Collection[int] = ()) -> bool:
    """Whether there are facts, verdicts, operations or book times that the kept fit does not know."""
    kept = SavedFit.objects.order_by("-pk").values_list("made_from", flat=True).first()
    return kept != made_from_now(without_hands=without_hands)


def is_kept() -> bool:
    """Whether a fit is kept that this program reads: one of an older program is not."""
    kept = SavedFit.objects.order_by("-pk").values_list("made_from", flat=True).first()
    return kept is not None and kept.get("version") == keeping.VERSION


def work_out(*, at: datetime, without_hands: Collection[int] = ()) -> Usual:
    """Fit the shop's facts as they are now and keep the fit. Reads and fits before the write begins.

    WorkRefused where the shop has no operations.
    """
    global _kept
    # Before the facts are read: what comes in meanwhile makes it out of date, and is not lost.
    made_from = made_from_now(without_hands=without_hands)
    read = read_timings(without_hands=without_hands)
    judged = forecast.fit_timings(read.timings, known_operations(), read.hands)
    stray = np.flatnonzero(judged.stray_chance >= LIKELY_STRAY).tolist()
    strays = [[read.tally_ids[row], float(judged.stray_chance[row]), float(judged.ratio[row])] for row in stray]
    rests_on = _rests_on(read, judged.fit)
    content = keeping.to_bytes(judged.fit, made_from=_digest(made_from))
    with writing():
        take_turns("usual times")
        last = SavedFit.objects.order_by("-pk").values_list("made_from", flat=True).first()
        if last and last["version"] == made_from["version"] and last["stretch"] > made_from["stretch"]:
            # Another began later and was done sooner: it knows more.
            return the_usual()
        saved = SavedFit.objects.create(
            made_at=at,
            made_from=made_from,
            timings=len(read.tally_ids),
            strays=strays,
            rests_on=rests_on,
            content=content,
        )
        SavedFit.objects.exclude(pk=saved.pk).delete()
    # What was read before may have had the same id and moment, if its write was taken back.
    _kept = None
    return the_usual()


def the_usual() -> Usual:
    """The usual times as last worked out, or from book times alone where none were, or a newer program means other
    things by the numbers. It fits no timings. WorkRefused where the shop has no operations.
    """
    global _kept
    row = SavedFit.objects.order_by("-pk").values_list("pk", "made_at").first()
    if row is not None:
        if _kept is not None and _kept[0] == row:
            return _kept[1]
        read = _read(row[0])
        if read is not None:
            _kept = row, read
            return read
    return _by_book_alone(tuple(known_operations()))


# By the row's id and moment: a row is never changed, but a restored backup may give its id to another.
_kept: tuple[tuple[int, datetime], Usual] | None = None
_by_book: tuple[tuple[forecast.Operation, ...], Usual] | None = None


def _read(pk: int) -> Usual | None:
    saved = SavedFit.objects.filter(pk=pk).first()
    if saved is None:
        return None
    try:
        fit, made_from = keeping.from_bytes(bytes(saved.content))
    except keeping.FitOutdated:
        # Nothing is lost: it is worked out again from the facts.
        return None
    strays = tuple(Stray(*one) for one in saved.strays)
    rests_on = {key: RestsOn(orders, date.fromisoformat(day)) for key, (orders, day) in saved.rests_on.items()}
    return Usual(fit, saved.made_at, saved.timings, strays, made_from, rests_on)


def _rests_on(read: ReadTimings, fit: forecast.Fit) -> dict[str, tuple[int, str]]:
    orders: dict[int, set[int]] = {}
    first: dict[int, date] = {}
    for place, order, day in zip(read.timings.operation.tolist(), read.timings.order.tolist(), read.days, strict=True):
        orders.setdefault(place, set()).add(order)
        first[place] = min(first.get(place, day), day)
    return {fit.operations[place].key: (len(orders[place]), first[place].isoformat()) for place in orders}


def _by_book_alone(operations: tuple[forecast.Operation, ...]) -> Usual:
    global _by_book
    if _by_book is None or _by_book[0] != operations:
        fit = forecast.fit_timings(forecast.timings(), operations, []).fit
        _by_book = operations, Usual(fit, None, 0, (), "book times alone")
    return _by_book[1]


def _digest(what: object) -> str:
    told = [asdict(one) for one in what] if isinstance(what, list) else what
    return hashlib.sha256(repr(told).encode()).hexdigest()[:16]
