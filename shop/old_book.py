"""The shop's old book of timings brought in: checked against who and what the shop knows, then written.

Its rows are stretches that name an old order in place of a task, so that they teach usual times and are in no order, no
pay, no cost and no counter. How a row is known again, so that nothing comes in twice, says
`timing.files.timings_file`.
"""

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time
from uuid import UUID

from django.utils import timezone

from jobs.writing import tell_sizes
from shop.audit import the_shop
from shop.known_names import as_written, hands_by_name, operations_by_name
from shop.old_operations import Told, compare, keep
from shop.people import add_hand_who_left
from timing.bulk import record_old_book
from timing.facts import Fact, Yield
from timing.files.operations_file import OperationRow, read_operations_file
from timing.files.table import Tick
from timing.files.timings_file import OldRow, read_timings_file, tokens_of
from timing.models import Stretch
from timing.models.facts import Source

AT_ONCE = 2000


@dataclass(frozen=True, slots=True)
class Newcomer:
    """A person of the old book whom the shop doesn't know: rows, and the last day of work."""

    name: str
    rows: int
    last_on: date


@dataclass(frozen=True, slots=True)
class Plan:
    """What an import would do, and what it can't: `unknown` are operations with how many rows name them."""

    rows: list[OldRow]
    tokens: list[UUID]
    seen: int
    newcomers: list[Newcomer]
    unknown: list[tuple[str, int]]
    operation_rows: list[OperationRow]
    operations: list[Told]
    unread: list[str]


def read_plan(content: bytes, operations: bytes | None, *, tick: Tick | None = None) -> Plan:
    """Read both files and set them against what the shop knows. Nothing is written.

    FileRefused with every line that is wrong, of the operations first.
    """
    told = read_operations_file(operations) if operations is not None else None
    news = compare(told.rows) if told else []
    today = timezone.localdate(timezone=the_shop().zone)
    sheet = read_timings_file(content, today=today, tick=tick)
    tokens = tokens_of(sheet.rows)
    # Names of what is there already are not asked for: a hand may have been given another since.
    there = _there(tokens)
    fresh = [(row, token) for row, token in zip(sheet.rows, tokens, strict=True) if token not in there]
    rows = [row for row, _ in fresh]
    known = operations_by_name().keys() | {as_written(one.row.operation) for one in news}
    unknown = Counter(row.operation for row in rows if as_written(row.operation) not in known)
    return Plan(
        rows=rows,
        tokens=[token for _, token in fresh],
        seen=len(sheet.rows) - len(rows),
        newcomers=_newcomers(rows),
        unknown=unknown.most_common(),
        operation_rows=told.rows if told else [],
        operations=news,
        unread=[*(told.unread if told else []), *sheet.unread],
    )


def carry_out(plan: Plan, *, now: datetime, tell: Callable[[str], None] = lambda sentence: None) -> int:
    """Write what was planned, and say how many rows were new: another import may have been here meanwhile.

    Operations and people go first, in a write of their own, the rows after them in one: all of them or none.
    """
    keep(plan.operation_rows)
    for one in plan.newcomers:
        add_hand_who_left(name=one.name, left_on=one.last_on)
    tell("Making the rows ready …")
    facts = _facts(plan)
    tell("Writing …")
    made = record_old_book(facts, now=now)
    tell_sizes()
    return made.fresh


def _facts(plan: Plan) -> list[Fact]:
    hands, operations, zone = hands_by_name(), operations_by_name(), the_shop().zone
    return [
        Fact(
            token=token,
            hand_id=hands[as_written(row.person)],
            operation_id=operations[as_written(row.operation)].pk,
            # The book knows no hour: the day's first moment is never ahead.
            done_at=datetime.combine(row.day, time(), zone),
            done_on=row.day,
            seconds=row.seconds,
            source=Source.OLD_BOOK,
            yields=(
                Yield(
                    made=row.pieces,
                    old_order=row.order,
                    old_wheel=row.wheel,
                    old_diameter_nm=row.diameter_nm,
                ),
            ),
        )
        for row, token in zip(plan.rows, plan.tokens, strict=True)
    ]


def _newcomers(rows: Sequence[OldRow]) -> list[Newcomer]:
    known = hands_by_name()
    found: dict[str, Newcomer] = {}
    for row in rows:
        name = as_written(row.person)
        if name not in known:
            before = found.get(name, Newcomer(row.person, 0, row.day))
            found[name] = Newcomer(before.name, before.rows + 1, max(before.last_on, row.day))
    return list(found.values())


def _there(tokens: Sequence[UUID]) -> set[UUID]:
    """Those of the tokens that were brought in before."""
    found: set[UUID] = set()
    for start in range(0, len(tokens), AT_ONCE):
        some = Stretch.objects.filter(token__in=tokens[start : start + AT_ONCE])
        found.update(some.values_list("token", flat=True))
    return found
