"""What orders in work still want of the rack: by their cutting lists and their iron, less what they were issued.

Nor do they want more than the pieces that are not begun: what was begun was cut from something. Plans are the quick
ones, of which fewer planks may sometimes do; the list of an order searches longer.
"""

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from django.db.models import F, Max

from jobs.cutting import CuttingError
from jobs.cutting_list import Line, Stock, cut_from
from jobs.iron import HoopRefused
from jobs.iron.mass import bar_grams
from jobs.measures import Unit, format_section
from jobs.models import Lot, Order, Task
from jobs.models.operations import PartKind, Trade, Work
from shop.asked import Asked
from shop.forms.cutting import USUAL_KERF_NM
from shop.materials import stock_of
from shop.models import Material
from shop.quoting.iron import Irons, Section, hoops_of, sections
from shop.spoilt import read_spoilt
from shop.stores.amounts import millionths, of_pieces
from shop.stores.book import RackIssue, Stores
from shop.stores.given import lying, of_others, sum_given, wheels_of
from shop.timber_list import TimberGroup, groups_of, lines_of_lot
from shop.timber_stock import Timbers

# Of more orders those that are due first are reckoned, and the rest are told.
MOST_ORDERS = 60
Counts = Mapping[tuple[int, str], int]


@dataclass(frozen=True, slots=True)
class Need:
    """What one order wants of one material, in millionths: in all, for the pieces that are not begun; and what it was
    issued, less what came back."""

    order: Order
    material_id: int
    wanted: int
    not_begun: int
    issued: int

    @property
    def still(self) -> int:
        return max(0, min(self.wanted - self.issued, self.not_begun))


@dataclass(frozen=True, slots=True)
class Needs:
    """By material; `unserved` says what could not be reckoned, or which no material serves.

    Of more orders than are reckoned at once so many are `left_out`.
    """

    rows: tuple[Need, ...]
    unserved: tuple[tuple[Order, str], ...]
    left_out: int

    def of(self, material_id: int) -> list[Need]:
        """What orders still want of one material."""
        return [row for row in self.rows if row.material_id == material_id and row.still]


def read_needs(here: Asked, stores: Stores) -> Needs:
    """A constant number of queries, whatever the orders."""
    orders = Order.objects.filter(state__in=Order.WORK_STATES).order_by(F("due_on").asc(nulls_last=True), "number")
    shown = list(orders.select_related("customer")[:MOST_ORDERS])
    lots = list(Lot.objects.filter(order__in=shown, dropped_at=None).order_by("id"))
    of_orders = wheels_of(shown)
    wheels = Counter(one.lot_id for each in of_orders.values() for one in each if not one.is_dropped)
    by_order: dict[int, list[tuple[Lot, int]]] = defaultdict(list)
    for lot in lots:
        if wheels[lot.pk]:
            by_order[lot.order_id].append((lot, wheels[lot.pk]))
    issued: dict[int, list[RackIssue]] = defaultdict(list)
    for row in stores.issues:
        issued[row.order_id].append(row)
    given = {pk: sum_given(issued[pk], each) for pk, each in of_orders.items()}
    reckoned = Reckoned(here, _begun(lots), given, _hoops(lots, wheels), stores)
    for order in shown:
        reckoned.add(order, by_order[order.pk])
    left_out = orders.count() - len(shown)
    return Needs(tuple(reckoned.needs()), tuple(reckoned.unserved), left_out)


def _begun(lots: Iterable[Lot]) -> Counts:
    """Pieces begun by lot and kind of part: of each part the most that any one operation has had, as for spares. What
    is put into wheels was begun loose, and is not counted again there."""
    had = (F("made") - F("lost")) / F("units") + F("spoiled")
    tasks = Task.objects.filter(lot__in=lots).exclude(made=0, spoiled=0).order_by()
    loose: Counter[tuple[int, str]] = Counter()
    in_wheels: Counter[tuple[int, str]] = Counter()
    told = tasks.values_list("lot_id", "part_id", "part__kind", "part__wheel_id").annotate(had=Max(had))
    for lot_id, _, kind, wheel_id, most in told:
        (loose if wheel_id is None else in_wheels)[lot_id, kind] += most
    return loose | in_wheels


def _hoops(lots: Iterable[Lot], wheels: Mapping[int, int]) -> Counts:
    """For how many wheels of each lot the smith has tyres or bands to see to: an old wheel may keep its own."""
    tasks = Task.objects.live().filter(lot__in=lots, operation__trade=Trade.SMITH)
    tasks = tasks.filter(operation__part__in=(PartKind.TYRE, PartKind.BAND)).order_by()
    seen: dict[tuple[int, str], set[int | None]] = defaultdict(set)
    for lot_id, wheel_id, kind in tasks.values_list("lot_id", "wheel_id", "operation__part").distinct():
        seen[lot_id, kind].add(wheel_id)
    # What is done for all wheels at once, as to light the fire, is of every one of them.
    return {
        (lot_id, kind): wheels[lot_id] if None in ids else min(wheels[lot_id], len(ids))
        for (lot_id, kind), ids in seen.items()
    }


class Reckoned:
    """Adds order to order; the materials and prices are read once."""

    def __init__(
        self,
        here: Asked,
        begun: Counts,
        given: Mapping[int, Mapping[int, int]],
        hoops: Counts | None = None,
        stores: Stores | None = None,
    ) -> None:
        """By lot and kind of part: pieces begun, and for how many wheels there are tyres and bands to be made (None:
        for all). `given` is by order and material."""
        self.here, self._begun, self._given, self._hoops = here, begun, given, hoops
        self._spoilt = read_spoilt()
        self._timbers = Timbers(on=here.today, unit=here.unit, currency=here.shop.currency)
        self._materials = self._timbers.materials
        self._irons = Irons(
            self._timbers.book,
            self._materials.values(),
            on=here.today,
            unit=here.unit,
            currency=here.shop.currency,
            lie=lying(self._materials.values(), stores),
        )
        self._wanted: dict[tuple[int, int], list[int]] = defaultdict(lambda: [0, 0])
        self._orders: dict[int, Order] = {}
        self.unserved: list[tuple[Order, str]] = []

    def needs(self) -> list[Need]:
        return [
            Need(self._orders[order_id], material_id, wanted, rest, self._issued(order_id, material_id))
            for (order_id, material_id), (wanted, rest) in self._wanted.items()
        ]

    def _issued(self, order_id: int, material_id: int) -> int:
        """Of a bar, what it was given of another that is alike, too: as offcuts of that are."""
        given, one = self._of_order(order_id), self._materials[material_id]
        alike = of_others(one, given, self._materials.values()) if one.is_bar else 0
        return given.get(material_id, 0) + alike

    def _of_order(self, order_id: int) -> Mapping[int, int]:
        """What it was given, by material."""
        return self._given.get(order_id, {})

    def add(self, order: Order, lots: Sequence[tuple[Lot, int]]) -> None:
        """One order, with so many wheels in each of its lots."""
        self._orders[order.pk] = order
        told = [(lot, line) for lot, wheels in lots if _is_made(lot) for line in self._lines(lot, wheels)]
        rest = {group.key: group.lines for group in self._groups(self._without_begun(told))}
        groups = self._groups(line for _, line in told)
        for group, offer in zip(groups, self._timbers.offers(groups, self._of_order(order.pk)), strict=True):
            best = self._materials[offer.materials[0][0]] if offer.materials else None
            self._add_timber(order, group, rest.get(group.key, ()), best)
        try:
            pairs = zip(sections(lots, self._hoops), sections(lots, self._hoops_left(lots)), strict=True)
        except HoopRefused as refused:
            self._not_served(order, str(refused), is_wanted=True)
            return
        for section, not_begun in pairs:
            self._add_iron(order, section, not_begun)

    def _hoops_left(self, lots: Sequence[tuple[Lot, int]]) -> dict[tuple[int, str], int]:
        """How many wheels of each lot want tyres and bands that are not begun; a wheel has several bands."""
        left: dict[tuple[int, str], int] = {}
        for lot, wheels in lots:
            for kind in (PartKind.TYRE, PartKind.BAND):
                a_wheel = max(1, sum(hoop.is_band for hoop in hoops_of(lot))) if kind == PartKind.BAND else 1
                wanted = wheels if self._hoops is None else self._hoops.get((lot.pk, kind), 0)
                left[lot.pk, kind] = max(0, wanted - self._begun.get((lot.pk, kind), 0) // a_wheel)
        return left

    def _lines(self, lot: Lot, wheels: int) -> list[Line]:
        return lines_of_lot(lot, wheels, self.here.shop.allowances, self._spoilt)

    def _groups(self, lines: Iterable[Line]) -> tuple[TimberGroup, ...]:
        return groups_of(lines, self._spoilt, words=self.here.words, unit=self.here.unit)

    def _without_begun(self, told: Sequence[tuple[Lot, Line]]) -> list[Line]:
        begun = dict(self._begun)
        left = []
        for lot, line in told:
            kind = (lot.pk, PartKind.FELLOE if line.blank.part == "strip" else line.blank.part)
            cut = min(begun.get(kind, 0), line.number)
            if cut:
                begun[kind] -= cut
                needed = max(0, line.needed - cut)
                line = replace(line, needed=needed, spares=line.number - cut - needed)
            if line.number:
                left.append(line)
        return left

    def _add_timber(
        self, order: Order, group: TimberGroup, not_begun: tuple[Line, ...], material: Material | None
    ) -> None:
        if group.untold:
            told = f"{group.heading}: how long they are wants the box’s outside measures in the make-up."
            self._not_served(order, told, is_wanted=bool(not_begun))
        if material is None:
            self._not_served(order, group.heading, is_wanted=bool(not_begun))
            return
        kerf, unit = USUAL_KERF_NM[self.here.unit], self.here.unit
        try:
            counts = [_quick_count(stock_of(material), lines, kerf, unit) for lines in (group.lines, not_begun)]
        except CuttingError as refused:
            self._not_served(order, f"{group.heading}: {refused}", is_wanted=bool(not_begun))
            return
        self._add(order, material, [of_pieces(material, count) for count in counts])

    def _add_iron(self, order: Order, of: Section, not_begun: Section) -> None:
        bar = self._irons.best(of, self._of_order(order.pk))
        if bar is None:
            name = format_section(of.width_nm, of.thickness_nm, unit=self.here.unit)
            self._not_served(order, f"Bar {name}", is_wanted=bool(not_begun.length_nm))
            return
        try:
            self._add(order, bar, [self._of_bar(bar, each) for each in (of, not_begun)])
        except CuttingError as refused:
            self._not_served(order, f"{bar.name}: {refused}", is_wanted=bool(not_begun.length_nm))

    def _of_bar(self, bar: Material, of: Section) -> int:
        grams = bar_grams(of.length_nm, of.width_nm, of.thickness_nm)
        return millionths(self._irons.bought(bar, of, grams, seconds=0)[0])

    def _add(self, order: Order, material: Material, amounts: Iterable[int]) -> None:
        wanted = self._wanted[order.pk, material.pk]
        for place, amount in enumerate(amounts):
            wanted[place] += amount

    def _not_served(self, order: Order, what: str, *, is_wanted: bool) -> None:
        if is_wanted:
            self.unserved.append((order, what))


def _is_made(lot: Lot) -> bool:
    """Whether its blanks can be told: of new wheels with a spoke between hub and rim."""
    return lot.work == Work.NEW and lot.makeup.bare_spoke_nm > 0


# A page asks for the plans of all orders, mostly those that it asked for before.
@lru_cache(maxsize=4096)
def _quick_count(stock: Stock, lines: tuple[Line, ...], kerf_nm: int, unit: Unit) -> int:
    """How many of a stock some blanks take by the first plan that is found."""
    if not lines:
        return 0
    return cut_from(stock, lines, kerf_nm=kerf_nm, seconds=0, unit=unit).count
