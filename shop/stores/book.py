"""The facts of materials in the rack, read in a constant number of queries and worked out by `fifo`."""

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta, tzinfo
from fractions import Fraction
from functools import cached_property
from typing import Any

from django.db.models import Case, F, When
from django.db.models.functions import Coalesce

from shop.audit import the_shop
from shop.models import Issue, Material, Purchase, StockCount
from shop.rates import RateBook
from shop.stores.amounts import MILLION
from shop.stores.fifo import Rack, work_out
from shop.stores.ledger import Bought, Counted, ListPrice, Out

# What takes a row back was never more than that row, and has its place in the order of writing.
WRITTEN_AT = Coalesce("cancels__recorded_at", "recorded_at")
WRITTEN_ON = Case(When(cancels=None, then=F("written_on")), default=F("cancels__written_on"))
BEGINNING = datetime(1970, 1, 1, tzinfo=UTC)
# Of a day within which no count stands.
NOT_ASKED = 0, False


def in_order(at: datetime) -> int:
    """Moments as numbers that rise with them: microseconds."""
    return (at - BEGINNING) // timedelta(microseconds=1)


def is_late(on: date, written_on: date | None, at: datetime, zone: tzinfo) -> bool:
    """Whether what is told of a day was written on a later one: by the calendar that the shop had then, where that was
    kept with it, else by that of a zone."""
    return (written_on or at.astimezone(zone).date()) > on


@dataclass(frozen=True, slots=True)
class RackIssue:
    """An issue from the rack: its place in an order, and what it cost in exact pence; back in the rack, less than
    nothing. `priced` tells whether all of that has a price."""

    pk: int
    material_id: int
    order_id: int
    lot_id: int | None
    wheel_id: int | None
    amount: int
    pence: Fraction
    priced: bool
    on: date


class Stores:
    """Some materials, or all of them, by all facts or by those of days up to one. Six queries at most, and the
    rates; each material is worked out when it is asked for."""

    def __init__(
        self,
        material_ids: Collection[int] | None = None,
        rates: RateBook | None = None,
        *,
        until: date | None = None,
    ) -> None:
        self._rates = rates or RateBook.load()
        self._bought: dict[int, list[Bought]] = defaultdict(list)
        self._outs: dict[int, list[Out]] = defaultdict(list)
        self._counts: dict[int, list[Counted]] = defaultdict(list)
        self._racks: dict[int, Rack] = {}
        self._rows: list[tuple[int, int, int, int | None, int | None, int, date]] = []
        only: dict[str, Any] = {} if material_ids is None else {"material__in": material_ids}
        if until:
            only["on__lte"] = until
        counts = StockCount.objects.filter(**only, cancels=None, cancelled_by=None).order_by("id")
        told = ("material_id", "on", "amount_millionths", "recorded_at", "at_day_end")
        for material_id, on, amount, at, at_day_end in counts.values_list(*told):
            self._counts[material_id].append(Counted(on, amount, in_order(at), at_day_end))
        self._read_rows(only)

    def _read_rows(self, only: Mapping[str, Any]) -> None:
        """What came in and went out. When a row was written is asked for only of days within which a count stands."""
        days = {one.on for counts in self._counts.values() for one in counts if not one.at_day_end}
        written = _written(only, days)
        bought = Purchase.objects.filter(**only).order_by()
        told = ("pk", "material_id", "on", "amount_millionths", "paid_pence")
        for pk, material_id, on, amount, pence in bought.values_list(*told):
            self._bought[material_id].append(Bought(on, amount, pence, *written.get((Purchase, pk), NOT_ASKED)))
        # A row that takes back what came back is of the issue that this came back of.
        issued = Issue.objects.filter(material__isnull=False, **only).order_by()
        columns = ("pk", "material_id", "order_id", "lot_id", "wheel_id", "amount_millionths", "on")
        for *row, returns, cancels in issued.values_list(*columns, "returns", "cancels"):
            pk, material_id, _, _, _, amount, on = row
            out = Out(pk, returns or cancels or pk, on, amount, *written.get((Issue, pk), NOT_ASKED))
            self._outs[material_id].append(out)
            self._rows.append(tuple(row))

    @property
    def material_ids(self) -> set[int]:
        """Those of which anything was ever written down."""
        return set(self._bought) | set(self._outs) | set(self._counts)

    def rack(self, material_id: int) -> Rack:
        """One material, worked out."""
        if material_id not in self._racks:
            self._racks[material_id] = work_out(
                self._bought.get(material_id, ()),
                self._outs.get(material_id, ()),
                self._counts.get(material_id, ()),
                self.list_price(material_id),
            )
        return self._racks[material_id]

    def list_price(self, material_id: int) -> ListPrice:
        """Pence of one millionth of a material by the price list, on any day."""

        def on_a_day(on: date) -> Fraction | None:
            millipence = self._rates.material(material_id, on)
            return None if millipence is None else Fraction(millipence, 1000 * MILLION)

        return on_a_day

    @cached_property
    def issues(self) -> list[RackIssue]:
        """Every issue of these materials, whatever the order, with its cost."""
        return [self._issue(*row) for row in self._rows]

    def _issue(
        self, pk: int, material_id: int, order_id: int, lot_id: int | None, wheel_id: int | None, amount: int, on: date
    ) -> RackIssue:
        rack = self.rack(material_id)
        day = rack.day_of.get(pk)
        return RackIssue(
            pk, material_id, order_id, lot_id, wheel_id, amount, rack.costs[pk], day.priced if day else True, on
        )


def in_use_or_lying() -> list[Material]:
    """Materials in use, and those retired of which some lies in the rack still: at most five queries."""
    found = list(Material.objects.all())
    retired = [one.pk for one in found if one.retired_at]
    stores = Stores(retired) if retired else None
    return [one for one in found if one.retired_at is None or (stores and stores.rack(one.pk).amount > 0)]


def _written(only: Mapping[str, Any], days: Collection[date]) -> dict[tuple[type, int], tuple[int, bool]]:
    """When each row of these days was written, and whether that was on a later day."""
    if not days:
        return {}
    zone = the_shop().zone
    return {
        (kind, pk): (in_order(at), is_late(on, written_on, at, zone))
        for kind in (Purchase, Issue)
        for pk, on, at, written_on in kind._default_manager.filter(**only, on__in=days)
        .order_by()
        .values_list("pk", "on", WRITTEN_AT, WRITTEN_ON)
    }


def issued_to(order_ids: Iterable[int], rates: RateBook | None = None, *, until: date | None = None) -> list[RackIssue]:
    """What these orders were issued from the rack, with its cost, by the facts of days up to one or by all: one query
    where they were issued nothing."""
    wanted = set(order_ids)
    materials = Issue.objects.filter(order__in=wanted, material__isnull=False).order_by()
    material_ids = set(materials.values_list("material_id", flat=True).distinct())
    if not material_ids:
        return []
    return [row for row in Stores(material_ids, rates, until=until).issues if row.order_id in wanted]


def unpriced(issued: Iterable[RackIssue]) -> tuple[str, ...]:
    """The names of materials that were issued without any price being known: one query where there are any."""
    found = {row.material_id for row in issued if not row.priced and row.amount}
    return tuple(Material.objects.filter(pk__in=found).values_list("name", flat=True)) if found else ()


@dataclass(frozen=True, slots=True)
class Between:
    """What the rack gave in a period, in exact pence: to each order; and what counts found `missing`, and `found`
    beyond what was written down. `unpriced` are the names of what was issued in it and has no price."""

    by_order: dict[int, Fraction]
    missing: Fraction
    found: Fraction
    unpriced: tuple[str, ...]


def issued_between(after: date, until: date, rates: RateBook) -> Between:
    """What left the rack by the end of a day, at what it cost by the facts up to then, less the same of an earlier day.

    So periods add up, and what a bill or a count changes in the cost of earlier issues falls to the period of its own
    day. Queries are constant.
    """
    touched: set[int] = set()
    for kind in (Purchase, StockCount, Issue):
        rows = kind._default_manager.filter(on__gt=after, on__lte=until, material__isnull=False).order_by()
        touched |= set(rows.values_list("material_id", flat=True).distinct())
    pence: dict[int, Fraction] = defaultdict(Fraction)
    if not touched:
        return Between(pence, Fraction(0), Fraction(0), ())
    then, before = (Stores(touched, rates, until=day) for day in (until, after))
    for row in then.issues:
        pence[row.order_id] += row.pence
    for row in before.issues:
        pence[row.order_id] -= row.pence
    missing = sum((then.rack(one).missing_pence - before.rack(one).missing_pence for one in touched), Fraction(0))
    found = sum((then.rack(one).found_pence - before.rack(one).found_pence for one in touched), Fraction(0))
    return Between(pence, missing, found, unpriced(row for row in then.issues if row.on > after))
