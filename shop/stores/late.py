"""Bills that were written down late: by how much they changed what had been issued, and reckoned, before.

A bill counts from the day on which its material came, whenever it is written down. What was issued on that day or after
it, and was written down before the bill was, may cost more or less by it; that is told beside the bill for a year.
"""

from collections import defaultdict
from collections.abc import Sequence
from datetime import date, datetime, timedelta
from fractions import Fraction

from shop.models import Issue, Purchase, StockCount
from shop.stores.fifo import Bought, ListPrice, Out, work_out

TOLD_FOR = timedelta(days=366)


def changed_by(
    purchases: Sequence[Purchase],
    issues: Sequence[Issue],
    counts: Sequence[StockCount],
    list_price: ListPrice,
    *,
    now: datetime,
) -> dict[int, dict[int, Fraction]]:
    """By the id of a late bill, and of an order: how many exact pence more that cost by it. Wants all facts of one
    material, counts in the order of their writing."""
    found: dict[int, dict[int, Fraction]] = {}
    for bill in purchases:
        at = bill.recorded_at
        if bill.cancels_id is not None or at < now - TOLD_FOR:
            continue
        known = [row for row in issues if row.recorded_at < at]
        if not any(row.on >= bill.on for row in known):
            continue
        bought = [row for row in purchases if row.recorded_at < at]
        counted = {row.on: row.amount_millionths for row in counts if row.recorded_at < at}
        before = _by_order(known, bought, counted, list_price)
        after = _by_order(known, [*bought, bill], counted, list_price)
        change = {order_id: pence - before[order_id] for order_id, pence in after.items()}
        found[bill.pk] = {order_id: pence for order_id, pence in change.items() if pence}
    return found


def _by_order(
    issues: Sequence[Issue], purchases: Sequence[Purchase], counts: dict[date, int], list_price: ListPrice
) -> dict[int, Fraction]:
    bought = [Bought(row.on, row.amount_millionths, row.paid_pence) for row in purchases]
    outs = [
        Out(row.pk, row.returns_id or row.cancels_id or row.pk, row.on, row.amount_millionths or 0) for row in issues
    ]
    costs = work_out(bought, outs, counts, list_price).costs
    sums: dict[int, Fraction] = defaultdict(Fraction)
    for row in issues:
        sums[row.order_id] += costs[row.pk]
    return sums
