"""Bills and counts that were written down late: by how much they changed what had been issued, and reckoned, before.

A bill counts from the day on which its material came, and a count from the day of which it is told, whenever they are
written down. What was issued on that day or after it, and was written down before, may cost more or less by it; where
the day was over by then, that is told beside the bill or the count, for a year.
"""

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from fractions import Fraction
from uuid import UUID
from zoneinfo import ZoneInfo

from shop.models import Issue, Purchase, StockCount
from shop.stores.book import in_order, is_late
from shop.stores.fifo import Bought, Counted, Facts, ListPrice, Out, dearer_by

TOLD_FOR = timedelta(days=366)


@dataclass(frozen=True, slots=True)
class Written:
    """All that was ever written down of one material, rows that take others back too, each in the order of writing."""

    purchases: Sequence[Purchase]
    issues: Sequence[Issue]
    counts: Sequence[StockCount]


def changed_by(
    written: Written, list_price: ListPrice, *, now: datetime, zone: ZoneInfo
) -> dict[UUID, dict[int, Fraction]]:
    """By the token of a late bill or count, and by the id of an order: how many exact pence more that cost by it."""
    known = _Known(written, list_price, zone)
    found: dict[UUID, dict[int, Fraction]] = {}
    rows: list[Purchase | StockCount] = [*written.purchases, *written.counts]
    for row in rows:
        told = is_late(row.on, row.written_on, row.recorded_at, zone) and row.recorded_at >= now - TOLD_FOR
        if row.cancels_id is None and told and known.has_issued(since=row.on, by=row.recorded_at):
            change = known.change_by(row)
            if change:
                found[row.token] = change
    return found


class _Known:
    """What was known at a moment; every row is read into its sum once."""

    def __init__(self, written: Written, list_price: ListPrice, zone: ZoneInfo) -> None:
        self._list_price, self._zone = list_price, zone
        moments = {row.pk: row.recorded_at for row in written.issues}
        self._issues = [
            (row.recorded_at, row, _out(row, moments.get(row.cancels_id or 0, row.recorded_at), zone))
            for row in written.issues
        ]
        self._day_of = {row.pk: row.on for row in written.issues}
        moments = {row.pk: row.recorded_at for row in written.purchases}
        self._bills = [
            (row.recorded_at, _bought(row, moments.get(row.cancels_id or 0, row.recorded_at), zone))
            for row in written.purchases
        ]
        self._counts = [(row, _counted(row)) for row in written.counts if row.cancels_id is None]
        self._taken_back = {row.cancels_id: row.recorded_at for row in written.counts if row.cancels_id}

    def has_issued(self, *, since: date, by: datetime) -> bool:
        return any(at < by and row.on >= since for at, row, _ in self._issues)

    def change_by(self, late: Purchase | StockCount) -> dict[int, Fraction]:
        at = late.recorded_at
        outs = [out for written, _, out in self._issues if written < at]
        bought = [bill for written, bill in self._bills if written < at]
        counts = list(self._counts_by(at))
        more = [_bought(late, at, self._zone)] if isinstance(late, Purchase) else []
        counted = [_counted(late)] if isinstance(late, StockCount) else []
        before, after = Facts(bought, outs, counts), Facts([*bought, *more], outs, [*counts, *counted])
        return self._of_orders(dearer_by(before, after, self._list_price), at)

    def _counts_by(self, at: datetime) -> Iterator[Counted]:
        for row, counted in self._counts:
            taken_back = self._taken_back.get(row.pk)
            if row.recorded_at < at and not (taken_back and taken_back < at):
                yield counted

    def _of_orders(self, more: Mapping[date, Fraction], at: datetime) -> dict[int, Fraction]:
        sums: dict[int, Fraction] = defaultdict(Fraction)
        for written, row, out in self._issues:
            on = self._day_of[out.of]
            if written < at and on in more:
                sums[row.order_id] += out.amount * more[on]
        return {order_id: pence for order_id, pence in sums.items() if pence}


def _bought(row: Purchase, at: datetime, zone: ZoneInfo) -> Bought:
    return Bought(row.on, row.amount_millionths, row.paid_pence, in_order(at), is_late(row.on, row.written_on, at, zone))


def _out(row: Issue, at: datetime, zone: ZoneInfo) -> Out:
    of, amount = row.returns_id or row.cancels_id or row.pk, row.amount_millionths or 0
    return Out(row.pk, of, row.on, amount, in_order(at), is_late(row.on, row.written_on, at, zone))


def _counted(row: StockCount) -> Counted:
    return Counted(row.on, row.amount_millionths, in_order(row.recorded_at), row.at_day_end)
