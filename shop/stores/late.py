"""Bills and counts that were written down late, or taken back: by how much they changed what had been issued, and
reckoned, before.

A bill counts from the day on which its material came, and a count from the day of which it is told, whenever they are
written down. What was issued on that day or after it, and was written down before, may cost more or less by it; where
the day was over by then, that is told beside the bill or the count, for a year. So is what taking one back changes.

The book is gone through once, as it was written.
"""

from collections import Counter, defaultdict
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from fractions import Fraction
from functools import partial
from typing import TypeVar
from uuid import UUID
from zoneinfo import ZoneInfo

from shop.models import Issue, Purchase, StockCount
from shop.stores.book import in_order, is_late
from shop.stores.ledger import Bought, Counted, Ledger, ListPrice, Out

TOLD_FOR = timedelta(days=366)
Row = TypeVar("Row", Purchase, StockCount, Issue)


@dataclass(frozen=True, slots=True)
class Written:
    """All that was ever written down of one material, rows that take others back too."""

    purchases: Sequence[Purchase]
    issues: Sequence[Issue]
    counts: Sequence[StockCount]

    @property
    def in_order(self) -> list[Purchase | StockCount | Issue]:
        """As it was written; of one moment issues last, which a bill of that moment did not find."""
        rows: list[Purchase | StockCount | Issue] = [*self.purchases, *self.counts, *self.issues]
        return sorted(rows, key=lambda row: (row.recorded_at, isinstance(row, Issue), row.pk))


def changed_by(
    written: Written, list_price: ListPrice, *, now: datetime, zone: ZoneInfo
) -> dict[UUID, dict[int, Fraction]]:
    """By the token of a late bill or count, or of what takes one back, and by the id of an order: how many exact pence
    more that cost by it."""
    known = _Known(written, list_price, zone)
    found: dict[UUID, dict[int, Fraction]] = {}
    for row in written.in_order:
        if isinstance(row, Issue):
            known.issue(row)
        elif row.recorded_at >= now - TOLD_FOR and is_late(row.on, row.written_on, row.recorded_at, zone):
            found[row.token] = known.change_by(row)
        else:
            known.change(row)()
    return {token: change for token, change in found.items() if change}


class _Known:
    """What was known at a moment; every row is read into its sum once."""

    def __init__(self, written: Written, list_price: ListPrice, zone: ZoneInfo) -> None:
        self._ledger, self._zone = Ledger(list_price), zone
        self._issues = {row.pk: row for row in written.issues}
        self._bills = {row.pk: row for row in written.purchases}
        self._counts = {row.pk: row for row in written.counts}
        # Millionths by order, by the day of the issue.
        self._given: dict[date, Counter[int]] = defaultdict(Counter)
        self._latest = date.min

    def issue(self, row: Issue) -> None:
        at, late = self._place(row, self._issues)
        out = Out(row.pk, row.returns_id or row.cancels_id or row.pk, row.on, row.amount_millionths or 0, at, late)
        issued_on = self._issues[out.of].on
        self._ledger.add_out(out, issued_on)
        self._given[issued_on][row.order_id] += out.amount
        self._latest = max(self._latest, row.on)

    def change(self, row: Purchase | StockCount) -> Callable[[], None]:
        """What it does to the rest."""
        if isinstance(row, Purchase):
            bought = Bought(row.on, row.amount_millionths, row.paid_pence, *self._place(row, self._bills))
            return partial(self._ledger.add_bought, bought)
        if row.cancels_id:
            return partial(self._ledger.drop_count, _counted(self._counts[row.cancels_id]))
        return partial(self._ledger.add_count, _counted(row))

    def change_by(self, row: Purchase | StockCount) -> dict[int, Fraction]:
        """Does it, and tells what that changed; nothing where nothing was issued since its day."""
        change = self.change(row)
        if self._latest < row.on:
            change()
            return {}
        sums: dict[int, Fraction] = defaultdict(Fraction)
        for on, more in self._ledger.dearer_by(change, row.on).items():
            for order_id, amount in self._given[on].items():
                sums[order_id] += amount * more
        return {order_id: pence for order_id, pence in sums.items() if pence}

    def _place(self, row: Row, rows: Mapping[int, Row]) -> tuple[int, bool]:
        """Among what is written of its day: what takes another back has that one's."""
        row = rows[row.cancels_id] if row.cancels_id else row
        return in_order(row.recorded_at), is_late(row.on, row.written_on, row.recorded_at, self._zone)


def _counted(row: StockCount) -> Counted:
    return Counted(row.on, row.amount_millionths, in_order(row.recorded_at), row.at_day_end)
