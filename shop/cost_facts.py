"""What the sums of an order's cost are made from, read in a constant number of queries and grouped by the database."""

from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator
from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from typing import NamedTuple

from django.db.models import Count, Exists, OuterRef, Q, QuerySet, Subquery, Sum

from jobs.models import Lot, Order, Task, Wheel
from shop.cost_sums import Carry, Worked
from shop.models import Hand, Issue, Outwork
from shop.models.money import STANDING
from shop.piece_labour import PieceLabour
from shop.rates import RateBook
from shop.stores.book import RackIssue, issued_to, unpriced
from timing.models import Move, Stretch, Tally


@dataclass(frozen=True, slots=True)
class Charged:
    """Pence laid out on one place: a wheel, else a lot, else the order."""

    lot_id: int | None
    wheel_id: int | None
    pence: int


@dataclass(frozen=True, slots=True)
class CostFacts:
    """The facts of one order. `tasks` are its own; `worked`, `made` and `carries` also cover those that its pieces
    were moved from, of whatever order. `untimed` are units made without a time, and without a price for it, those by
    the piece apart; `set_back` are units lost with no piece spoiled, since it is cut again. `materials` were bought
    for the order, and `issued` is what the rack gave it; `unpriced` are names of what that had no price of."""

    order: Order
    lots: list[Lot]
    wheels: list[Wheel]
    tasks: list[Task]
    carries: list[Carry]
    worked: list[Worked]
    made: dict[int, int]
    untimed: dict[int, int]
    untimed_pieces: dict[int, int]
    set_back: dict[int, int]
    outwork: list[Charged]
    materials: list[Charged]
    issued: list[RackIssue]
    unpriced: tuple[str, ...]


def read_cost_facts(order: Order, rates: RateBook | None = None) -> CostFacts:
    """Read the facts of an order's cost: a constant number of queries, however much was worked."""
    lots = list(Lot.objects.filter(order=order))
    lot_ids = [lot.pk for lot in lots]
    tasks = list(Task.objects.filter(lot__in=lot_ids).with_operation().order_by("operation__position", "id"))
    all_moves = read_carries()
    sources = sources_of({task.pk for task in tasks}, all_moves)
    carries = [move for move in all_moves if move.from_task_id in sources or move.to_task_id in sources]
    told = read_worked(sources, book=rates)
    materials, issued = _materials(order, rates)
    return CostFacts(
        order=order,
        lots=lots,
        wheels=list(Wheel.objects.filter(lot__in=lot_ids)),
        tasks=tasks,
        carries=carries,
        worked=told.worked,
        made=told.made,
        untimed=_without_priced(told.untimed, order),
        untimed_pieces=_without_priced(told.untimed_pieces, order),
        set_back=_set_back(tasks),
        outwork=_outwork(order),
        materials=materials,
        issued=issued,
        unpriced=unpriced(issued),
    )


def read_carries(until: date | None = None) -> list[Carry]:
    """Every move of the shop (of days up to one), in the order of their writing. Moves are rare: a few for a changed
    order."""
    moves = Move.objects.order_by("id")
    rows = list(
        (moves.filter(done_on__lte=until) if until else moves).values_list(
            *("id", "from_task_id", "to_task_id", "pieces", "from_task__units", "to_task__units"),
            *("token", "cancels_token"),
        )
    )
    ids = {token: move_id for move_id, *_, token, _ in rows}
    return [
        Carry(move_id, source, target, pieces * taken, pieces * given, ids[undone] if undone else None)
        for move_id, source, target, pieces, taken, given, _, undone in rows
    ]


def sources_of(task_ids: Collection[int], carries: Iterable[Carry]) -> set[int]:
    """These tasks and all that pieces came to them from, however far back."""
    into: dict[int, set[int]] = defaultdict(set)
    for row in carries:
        into[row.to_task_id].add(row.from_task_id)
    found = set(task_ids)
    ahead = list(found)
    while ahead:
        fresh = into.get(ahead.pop(), set()) - found
        found |= fresh
        ahead.extend(fresh)
    return found


class WorkTold(NamedTuple):
    """Seconds by task, person and day (helpers too), with what pieces earned; units made by task; those of them made
    untimed, by the hour and by the piece."""

    worked: list[Worked]
    made: dict[int, int]
    untimed: dict[int, int]
    untimed_pieces: dict[int, int]


def read_worked(task_ids: Collection[int], until: date | None = None, *, book: RateBook | None = None) -> WorkTold:
    """What was told of these tasks, of days up to one. `book` are the rates, where they are read already."""
    tallies = Tally.objects.filter(task__in=task_ids)
    if until:
        tallies = tallies.filter(stretch__done_on__lte=until)
    worked: list[Worked] = []
    made: dict[int, int] = defaultdict(int)
    untimed: dict[int, int] = defaultdict(int)
    untimed_pieces: dict[int, int] = defaultdict(int)
    for task_id, row in read_hands(tallies, PieceLabour.load(book)):
        worked.append(Worked(task_id, row.person_id, row.day, row.seconds, row.earned, row.is_bare))
        made[task_id] += row.made
        (untimed if row.earned is None else untimed_pieces)[task_id] += row.untimed
    worked.extend(Worked(*row) for row in read_helpers(tallies))
    return WorkTold(worked, dict(made), _some(untimed), _some(untimed_pieces))


def _some(units: dict[int, int]) -> dict[int, int]:
    return {task_id: count for task_id, count in units.items() if count}


class ByHand(NamedTuple):
    """What one hand did on one day: seconds, units made, those of them untimed, and what pieces cost, if they were paid
    for; `is_bare`: no more than they earned."""

    person_id: int
    day: date
    seconds: int
    made: int
    untimed: int
    earned: Fraction | None
    is_bare: bool = False


def read_hands(tallies: QuerySet[Tally], labour: PieceLabour) -> Iterator[tuple[int, ByHand]]:
    """Each hand's own work of each day, with the task that it is of. One query; where somebody is paid by the piece,
    one more for the heights of wheels and one for spoiled pieces, and one for work that was charged from outside."""
    rows = tallies.order_by().values_list("task_id", "stretch__operation_id", "stretch__hand_id", "stretch__done_on")
    sums = list(rows.annotate(Sum("seconds"), Sum("made"), made_untimed=Sum("made", filter=Q(seconds=None))))
    by_pieces = {row[0] for row in sums if row[2] in labour.terms}
    labour = labour.of_tasks(by_pieces)
    beside = labour.beside_made(tallies) if by_pieces else {}
    heights = _heights(by_pieces)
    for task_id, operation_id, hand_id, day, seconds, made, untimed in sums:
        rate = None
        if hand_id in labour.terms and operation_id is not None:
            rate = labour.rate(hand_id, operation_id, heights[task_id], day)
        earned, is_bare = None, False
        if rate is not None:
            units = made + beside.get((task_id, operation_id, hand_id, day), 0)
            earned = labour.costs(hand_id, day, units=units, rate=rate)
            is_bare = labour.is_bare(hand_id, day)
        yield task_id, ByHand(hand_id, day, seconds or 0, made, untimed or 0, earned, is_bare)


def _heights(task_ids: set[int]) -> dict[int, int]:
    """The height of each task's wheels. Grouped with the tallies it would be read for each of them."""
    rows = Task.objects.filter(pk__in=task_ids).order_by().values_list("pk", "lot__height_nm")
    return dict(rows) if task_ids else {}


def read_helpers(tallies: QuerySet[Tally]) -> Iterator[tuple[int, int, date, int]]:
    """The same of helpers: the task, the person, the day and the seconds. They are paid by the hour."""
    rows = tallies.filter(stretch__helpers__isnull=False).order_by()
    columns = ("task_id", "stretch__helpers__hand_id", "stretch__done_on")
    for task_id, person_id, day, seconds in rows.values_list(*columns).annotate(Sum("seconds")):
        yield task_id, person_id, day, seconds or 0


def _set_back(tasks: Iterable[Task]) -> dict[int, int]:
    """Units lost by task where no piece was spoiled; few tasks have lost any, so mostly nothing is asked."""
    losers = [task.pk for task in tasks if task.lost]
    rows = Tally.objects.filter(task__in=losers, spoiled=0).exclude(lost=0)
    return dict(rows.order_by().values_list("task_id").annotate(Sum("lost"))) if losers else {}


def names_of(person_ids: Iterable[int]) -> dict[int, str]:
    """The names of hands, by their user ids."""
    return dict(Hand.objects.filter(user__in=set(person_ids)).values_list("user_id", "name"))


def _without_priced(untimed: dict[int, int], order: Order) -> dict[int, int]:
    """Without what was done outside and is charged for: it has its cost, though nobody here timed it.

    A charge for a trip covers the units that were told with it, under the same token; where none were, all that are
    on the pieces that went. One for a task alone covers all of it.
    """
    undone = Stretch.objects.filter(cancels_token=OuterRef("stretch__token"))
    told = Tally.objects.filter(~Exists(undone), stretch__token=OuterRef("token"), task=OuterRef("task"))
    rows = Outwork.objects.filter(STANDING, order=order, task__in=untimed)
    rows = rows.annotate(told=Subquery(told.values("made")[:1]))
    left = dict(untimed)
    for task_id, pieces, units, made in rows.values_list("task_id", "trip__pieces", "task__units", "told"):
        covered = left[task_id] if pieces is None else pieces * units if made is None else made
        left[task_id] = max(0, left[task_id] - covered)
    return {task_id: units for task_id, units in left.items() if units}


def _outwork(order: Order) -> list[Charged]:
    sums = Outwork.objects.filter(order=order).order_by().values_list("lot_id", "wheel_id")
    return [Charged(*row) for row in sums.annotate(Sum("amount_pence"))]


def _materials(order: Order, rates: RateBook | None) -> tuple[list[Charged], list[RackIssue]]:
    """What was bought for the order, and what the rack gave it, which is asked of only where there was something."""
    sums = Issue.objects.filter(order=order).order_by().values_list("lot_id", "wheel_id")
    rows = list(sums.annotate(Sum("amount_pence"), Count("material")))
    issued = issued_to([order.pk], rates) if any(from_rack for *_, from_rack in rows) else []
    return [Charged(lot_id, wheel_id, pence) for lot_id, wheel_id, pence, _ in rows], issued
