"""What an order was given from the rack for the wheels that are still to be made, whatever it cost; and, for what it
still wants, which of several bars alike lies there.

What was given for a dropped wheel, or for a lot of which every wheel was dropped, stays with these: it serves no other
until it is brought back to the rack.
"""

from collections import Counter
from collections.abc import Collection, Iterable, Mapping, MutableMapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Protocol

from django.db.models import Sum

from jobs.models import Order, Wheel
from shop.models import Issue, Material
from shop.quoting.iron import of_one_section
from shop.stores.amounts import amount_of_length
from shop.stores.book import Stores

A_LENGTH_NM = 10**9


@dataclass(frozen=True, slots=True)
class WheelOf:
    """A wheel, by its id and its lot's."""

    pk: int
    lot_id: int
    is_dropped: bool


class Borne(Protocol):
    """What is on a wheel, else on a lot, else on the order."""

    @property
    def lot_id(self) -> int | None: ...

    @property
    def wheel_id(self) -> int | None: ...


def is_live(row: Borne, wheels: Iterable[WheelOf]) -> bool:
    """Whether wheels of the order bear it that are not dropped, or there are no wheels."""
    bears = [one for one in wheels if row.lot_id in (None, one.lot_id) and row.wheel_id in (None, one.pk)]
    return not bears or any(not one.is_dropped for one in bears)


def wheels_of(orders: Collection[Order]) -> dict[int, list[WheelOf]]:
    """Their wheels by the id of the order, dropped ones too: one query."""
    found: dict[int, list[WheelOf]] = {order.pk: [] for order in orders}
    rows = Wheel.objects.filter(lot__order__in=found).order_by("id")
    for pk, lot_id, order_id, dropped_at in rows.values_list("pk", "lot_id", "lot__order", "dropped_at"):
        found[order_id].append(WheelOf(pk, lot_id, dropped_at is not None))
    return found


def given_to(order: Order) -> Counter[int]:
    """Millionths by the id of a material, of what an order was given and did not bring back: two queries."""
    rows = Issue.objects.filter(order=order, material__isnull=False).order_by()
    sums = rows.values("material_id", "lot_id", "wheel_id").annotate(amount=Sum("amount_millionths"))
    return sum_given((_Given(**row) for row in sums), wheels_of([order])[order.pk])


def sum_given(rows: Iterable["Given"], wheels: Collection[WheelOf]) -> Counter[int]:
    """Of rows of one order."""
    given: Counter[int] = Counter()
    for row in rows:
        if is_live(row, wheels):
            given[row.material_id] += row.amount
    return +given


def of_others(bar: Material, over: Mapping[int, int], bars: Iterable[Material]) -> int:
    """What is given of other bars of its section, in millionths of this one's unit: a hoop may be cut from any."""
    return round(sum(over.get(one.pk, 0) * _a_unit_of(one, bar) for one in bars if one.pk != bar.pk))


def take_of_others(bar: Material, wanted: int, over: MutableMapping[int, int], bars: Iterable[Material]) -> int:
    """So much of what is wanted as was given of other bars of its section, which is used up by it."""
    left = Fraction(wanted)
    for one in bars:
        a_unit = _a_unit_of(one, bar) if one.pk != bar.pk else Fraction(0)
        taken = min(left, over.get(one.pk, 0) * a_unit)
        if taken > 0:
            over[one.pk] -= round(taken / a_unit)
            left -= taken
    return wanted - round(left)


def _a_unit_of(one: Material, other: Material) -> Fraction:
    """How many of another bar's units one of this bar's is, by its length; none of other sections, nor where either is
    bought by the bar, of which an offcut has no price of its own."""
    if not (one.is_bar and one.section_nm == other.section_nm):
        return Fraction(0)
    of_one, of_other = (amount_of_length(each, A_LENGTH_NM) for each in (one, other))
    return of_other / of_one if of_one and of_other else Fraction(0)


def lying(materials: Iterable[Material], stores: Stores | None = None) -> set[int]:
    """The ids of bars of which some lies in the rack, of those that are alike: no query where none are."""
    asked_for = of_one_section(materials)
    if not asked_for:
        return set()
    stores = stores or Stores(asked_for)
    return {pk for pk in asked_for if stores.rack(pk).amount > 0}


class Given(Borne, Protocol):
    """So many millionths of a material."""

    @property
    def material_id(self) -> int: ...

    @property
    def amount(self) -> int: ...


@dataclass(frozen=True, slots=True)
class _Given:
    material_id: int
    lot_id: int | None
    wheel_id: int | None
    amount: int
