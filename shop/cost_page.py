"""The cost page: each wheel's figure broken down to the tasks, shares and charges that it was summed from."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from jobs.models import Lot, Order
from jobs.words import in_words
from shop.costing import Cost, OrderCost, TaskLine, WheelCost
from shop.many_wheels import MOST_SHOWN, PageLink, Wished, most_of, page_of
from shop.models import Issue, Outwork
from shop.money import round_half_up
from shop.stores.actions import much_of
from shop.stores.book import RackIssue

SHARES = {1: "all", 2: "half", 3: "a third", 4: "a quarter"}


@dataclass(frozen=True, slots=True)
class TaskRow:
    """One task in a ledger: its own whole cost."""

    task_id: int
    name: str
    note: str
    cost: Cost
    carried_pence: int


@dataclass(frozen=True, slots=True)
class WheelSection:
    """One wheel: its own tasks, and its share of the lot's loose pieces and of what was laid out."""

    one: WheelCost
    rows: list[TaskRow]
    loose: Cost
    share: str

    @property
    def key(self) -> str:
        """Its name in the page's address."""
        return f"wheel-{self.one.wheel.pk}"


@dataclass(frozen=True, slots=True)
class LotSection:
    """One lot: the loose pieces made for all its wheels, and the wheels."""

    lot: Lot
    rows: list[TaskRow]
    loose: Cost
    wheels: list[WheelSection]
    over: int

    @property
    def key(self) -> str:
        """Its name in the page's address."""
        return f"loose-{self.lot.pk}"


@dataclass(frozen=True, slots=True)
class ChargeRow:
    """A row of outwork or materials, where it lies, what it cost in whole pence, and whether it was taken back.

    Of what came from the rack `amount` says how much it was, and `may_come_back` whether some of it may go back there.
    """

    row: Outwork | Issue
    where: str
    pence: int
    is_taken_back: bool
    amount: str = ""
    may_come_back: bool = False


@dataclass(frozen=True, slots=True)
class SumRow:
    """One wheel in the ledger of the set, and where its figures lead."""

    one: WheelCost
    url: str


@dataclass(frozen=True, slots=True)
class LotSums:
    """The wheels of a lot in that ledger; of many those that cost most, with the sum of the `more`, or a page."""

    lot: Lot
    rows: list[SumRow]
    more: int = 0
    rest: Cost | None = None
    all_url: str = ""
    pages: tuple[PageLink, ...] = ()


def lot_sums(cost: OrderCost, lots: Sequence[Lot], wished: Wished) -> list[LotSums]:
    """The ledger of the set, a lot at a time."""
    by_lot = _by_lot(cost)
    most = most_of([len(by_lot[lot.pk]) for lot in lots])
    return [_lot_sums(lot, by_lot[lot.pk], wished, most) for lot in lots]


def _lot_sums(lot: Lot, wheels: list[WheelCost], wished: Wished, most: int) -> LotSums:
    if len(wheels) <= MOST_SHOWN:
        return LotSums(lot, [SumRow(one, _open_url(one, Wished())) for one in wheels])
    if wished.lot_id == lot.pk:
        shown, pages = page_of(sorted(wheels, key=_number), wished, number=_number)
        return LotSums(lot, [SumRow(one, _open_url(one, wished)) for one in shown], pages=pages)
    dearest = sorted(wheels, key=lambda one: (-one.cost.total, one.wheel.number))
    rest = Cost()
    for one in dearest[most:]:
        rest = rest.plus(one.cost)
    return LotSums(
        lot,
        [SumRow(one, _open_url(one, Wished())) for one in sorted(dearest[:most], key=_number)],
        more=len(dearest) - most,
        rest=rest,
        all_url=Wished(lot.pk).url(),
    )


def _open_url(one: WheelCost, wished: Wished) -> str:
    key = f"wheel-{one.wheel.pk}"
    return wished.url(after=wished.after, anchor=key, open=key)


def _number(one: WheelCost) -> int:
    return one.wheel.number


def _by_lot(cost: OrderCost) -> dict[int, list[WheelCost]]:
    found: dict[int, list[WheelCost]] = defaultdict(list)
    for one in cost.wheels:
        found[one.wheel.lot_id].append(one)
    return found


def lot_sections(
    cost: OrderCost, lots: Sequence[Lot], words: Mapping[str, str], *, opened: str = ""
) -> list[LotSection]:
    """The sections of the page, a lot at a time; a task that has cost nothing and was never worked is left out.

    Of a lot of many wheels only the one that is `opened` has its section.
    """
    wheels = _by_lot(cost)
    lines: dict[int, list[TaskLine]] = defaultdict(list)
    for line in cost.tasks:
        if _has_something(line):
            lines[line.task.lot_id].append(line)
    return [_lot_section(lot, wheels[lot.pk], lines[lot.pk], words, opened) for lot in lots]


def _lot_section(
    lot: Lot, wheels: Sequence[WheelCost], lines: Sequence[TaskLine], words: Mapping[str, str], opened: str
) -> LotSection:
    loose = [line for line in lines if line.task.wheel_id is None]
    whole = _sum(loose)
    over = len(loose[0].over) if loose else 0
    return LotSection(
        lot=lot,
        rows=[_row(line, words) for line in loose],
        loose=whole,
        wheels=[
            WheelSection(
                one=one,
                rows=[_row(line, words) for line in lines if line.task.wheel_id == one.wheel.pk],
                loose=whole.times(Fraction(1, over)) if loose and one.wheel.pk in loose[0].over else Cost(),
                share=SHARES.get(over, f"one part in {over}"),
            )
            for one in wheels
            if len(wheels) <= MOST_SHOWN or opened == f"wheel-{one.wheel.pk}"
        ],
        over=over,
    )


def charge_rows(rows: Sequence[Outwork | Issue]) -> list[ChargeRow]:
    """Rows by day, each with its place; read with lot, wheel and `cancelled_by` joined."""
    taken_back = {row.cancels_id for row in rows if row.cancels_id}
    return [ChargeRow(row, _where(row), row.amount_pence, row.pk in taken_back) for row in rows]


def outwork_of(order: Order) -> list[ChargeRow]:
    return charge_rows(list(Outwork.objects.filter(order=order).select_related("lot", "wheel")))


def materials_of(order: Order, issued: Iterable[RackIssue]) -> list[ChargeRow]:
    """Materials, with what came from the rack at what it cost."""
    rows = list(Issue.objects.filter(order=order).select_related("lot", "wheel", "material"))
    costs = {one.pk: one.pence for one in issued}
    return [_from_rack(one, costs) if one.row.pk in costs else one for one in charge_rows(rows)]


def _from_rack(one: ChargeRow, costs: Mapping[int, Fraction]) -> ChargeRow:
    row = one.row
    if not isinstance(row, Issue):
        return one
    may_come_back = not (row.returns_id or row.cancels_id or one.is_taken_back)
    pence = round_half_up(costs[row.pk])
    return replace(one, pence=pence, amount=much_of(row).words, may_come_back=may_come_back)


def _where(row: Outwork | Issue) -> str:
    if row.wheel:
        return row.wheel.label
    return f"{row.lot.name}, shared" if row.lot else "the whole order, shared"


def _has_something(line: TaskLine) -> bool:
    task = line.task
    return bool(line.cost.cost.total or line.cost.seconds or task.made or task.spoiled)


def _row(line: TaskLine, words: Mapping[str, str]) -> TaskRow:
    task = line.task
    if task.part_dropped_at:
        note = "an older piece, made anew since"
    elif task.dropped_at:
        note = "left out since"
    else:
        note = ""
    return TaskRow(
        task_id=task.pk,
        name=in_words(task.operation.name, words),
        note=note,
        cost=line.as_cost,
        carried_pence=round_half_up(line.cost.carried.total),
    )


def _sum(lines: Sequence[TaskLine]) -> Cost:
    whole = Cost()
    for line in lines:
        whole = whole.plus(line.as_cost)
    return whole
