"""Every fact behind the cost of one task: its tallies with the rates that stood, and the moves to it and from it."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import tzinfo
from fractions import Fraction

from django.db.models import Exists, OuterRef, QuerySet

from jobs.models import Task
from shop.cost_facts import names_of, read_carries, read_worked, sources_of
from shop.cost_sums import NO_MONEY, Money, TaskCost, carry, own_costs, pence_of
from shop.money import round_half_up
from shop.overlap_words import overlaps_in_words
from shop.piece_labour import PieceLabour
from shop.rates import RateBook
from timing.models import Move, Stretch, Tally

PAGE = 100


@dataclass(frozen=True, slots=True)
class PersonRow:
    """One person of a stretch, and the cost rate that stood on its day (None where there was none), or what a unit
    earned where the person was paid by the piece."""

    name: str
    rate_millipence: int | None
    piece_millipence: int | None = None
    paid_units: int = 0
    wage_millipence: int | None = None

    @property
    def unit_millipence(self) -> int | None:
        """What a unit that is paid by the piece costs, to the thousandth of a penny: it tells no wage."""
        if self.piece_millipence is None or not (self.rate_millipence and self.wage_millipence):
            return self.piece_millipence
        return round_half_up(Fraction(self.piece_millipence * self.rate_millipence, self.wage_millipence))


@dataclass(frozen=True, slots=True)
class FactRow:
    """One tally with its cost; the exact cost sums to the task's own."""

    tally: Tally
    people: list[PersonRow]
    overhead_millipence: int | None
    cost: Fraction
    is_undone: bool
    overlaps: tuple[str, ...] = ()

    @property
    def pence(self) -> int:
        return round_half_up(self.cost)

    @property
    def undoes(self) -> bool:
        return self.tally.stretch.cancels_token is not None


@dataclass(frozen=True, slots=True)
class MoveRow:
    """Pieces carried to the task (or from it, as less), with the cost that went with them."""

    move: Move
    pieces: int
    cost: Fraction

    @property
    def pence(self) -> int:
        return round_half_up(self.cost)


@dataclass(frozen=True, slots=True)
class TaskFacts:
    """A page of a task's tallies, oldest first, all its moves, and its whole cost."""

    rows: list[FactRow]
    moves: list[MoveRow]
    cost: TaskCost
    next_after: int | None

    @property
    def has_pieces(self) -> bool:
        """Whether anything here was paid by the piece."""
        return any(one.piece_millipence is not None for row in self.rows for one in row.people)

    @property
    def pence(self) -> int:
        return round_half_up(self.cost.cost.total)

    @property
    def own_pence(self) -> int:
        return round_half_up(self.cost.own.total)

    @property
    def carried_pence(self) -> int:
        return round_half_up(self.cost.carried.total)


def facts_of(task: Task, *, words: Mapping[str, str], zone: tzinfo, after: int = 0) -> TaskFacts:
    """The facts of a task, `PAGE` tallies from the one after the id `after`, in a constant number of queries.

    `words` and `zone` are the shop's, for what overlaps.
    """
    rates = RateBook.load()
    carries = read_carries()
    sources = sources_of({task.pk}, carries)
    told = read_worked(sources, book=rates)
    labour = PieceLabour.load(rates).of_tasks({task.pk})
    own = own_costs(told.worked, rates)
    bearing = [row for row in carries if row.from_task_id in sources or row.to_task_id in sources]
    carried = carry(own, told.made, bearing)
    moves = _move_rows(task, carried)
    tallies = list(_tallies(task).filter(pk__gt=after)[: PAGE + 1])
    page = tallies[:PAGE]
    whole = own.get(task.pk, TaskCost())
    into = NO_MONEY
    for row in bearing:
        if task.pk in (row.from_task_id, row.to_task_id):
            into = into.plus(carried[row.move_id].times(1 if row.to_task_id == task.pk else -1))
    return TaskFacts(
        rows=_fact_rows(
            page, labour, task, rates, overlaps_in_words([tally.stretch for tally in page], words=words, zone=zone)
        ),
        moves=moves,
        cost=TaskCost(whole.own, into, whole.seconds, whole.gaps),
        next_after=page[-1].pk if len(tallies) > PAGE else None,
    )


def _tallies(task: Task) -> QuerySet[Tally]:
    undone = Stretch.objects.filter(cancels_token=OuterRef("stretch__token"))
    return (
        Tally.objects.filter(task=task)
        .annotate(is_undone=Exists(undone))
        .select_related("stretch")
        .prefetch_related("stretch__helpers")
        .order_by("pk")
    )


def _fact_rows(
    tallies: list[Tally], labour: PieceLabour, task: Task, rates: RateBook, overlaps: Mapping[int, tuple[str, ...]]
) -> list[FactRow]:
    people = {tally.pk: _people(tally) for tally in tallies}
    names = names_of(person for row in people.values() for person in row)
    rows = [_fact_row(tally, people[tally.pk], names, rates, labour, task) for tally in tallies]
    return [replace(row, overlaps=overlaps.get(row.tally.stretch_id, ())) for row in rows]


def _people(tally: Tally) -> list[int]:
    return [tally.stretch.hand_id, *(helper.hand_id for helper in tally.stretch.helpers.all())]


def _fact_row(
    tally: Tally, people: list[int], names: Mapping[int, str], rates: RateBook, labour: PieceLabour, task: Task
) -> FactRow:
    day, seconds = tally.stretch.done_on, tally.seconds or 0
    overhead = rates.overhead(day)
    rows = [PersonRow(names.get(person, "no hand now"), rates.cost(person, day)) for person in people]
    each = [pence_of(seconds, row.rate_millipence or 0) for row in rows]
    stretch = tally.stretch
    piece = stretch.operation_id and labour.rate(people[0], stretch.operation_id, task.lot.height_nm, day)
    if piece is not None:
        units = labour.units(tally)
        wage = rates.wage(people[0], day) if rows[0].rate_millipence else None
        rows[0] = replace(rows[0], piece_millipence=piece, paid_units=units, wage_millipence=wage)
        each[0] = labour.costs(people[0], day, units=units, rate=piece)
    cost = sum(each, Fraction(0)) + pence_of(seconds, overhead or 0) * len(people)
    return FactRow(tally, rows, overhead, cost, is_undone=tally.is_undone)  # type: ignore[attr-defined]


def _move_rows(task: Task, carried: Mapping[int, Money]) -> list[MoveRow]:
    joined = ("from_task__lot__order", "to_task__lot__order")
    to_it = Move.objects.filter(to_task=task).select_related(*joined)
    from_it = Move.objects.filter(from_task=task).select_related(*joined)
    rows = [MoveRow(move, move.pieces, carried[move.pk].total) for move in to_it]
    rows += [MoveRow(move, -move.pieces, -carried[move.pk].total) for move in from_it]
    return sorted(rows, key=lambda row: row.move.pk)
