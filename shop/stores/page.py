"""What the pages of the stores show: materials in rows, and of one what came in, what went out, and who wants it."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from uuid import UUID

from shop.asked import Asked
from shop.day_book_page import Names
from shop.days import day_in_words
from shop.forms.cutting import offcuts_told
from shop.materials import size_in_words
from shop.models import Issue, Material, Purchase, StockCount
from shop.money import format_pence, round_half_up
from shop.stores.actions import much_of
from shop.stores.amounts import MILLION, about_pieces, amount_told
from shop.stores.book import Stores
from shop.stores.fifo import DayOut, Lot, Rack
from shop.stores.late import Written, changed_by
from shop.stores.needs import Need, Needs, read_needs
from shop.stores.offcuts import kept_of
from shop.stores.seasoning import by_the_meter, by_the_rule

A_PAGE = 50
# Of more a late bill tells the sum.
MOST_ORDERS = 6


@dataclass(frozen=True, slots=True)
class MaterialRow:
    """One material: amounts in words, "" for nothing. `short` is how much more went out than came in, and `least` what
    the shop keeps beside what orders want."""

    material: Material
    size: str
    in_rack: str
    about: str
    short: str
    least: str
    wanted: str
    orders: int
    to_buy: str
    about_to_buy: str
    dry: str
    pence: int
    is_idle: bool


@dataclass(frozen=True, slots=True)
class StoresPage:
    """Timber, iron and goods apart from what is `idle`: of which nothing lies there and nothing is wanted."""

    timber: list[MaterialRow]
    iron: list[MaterialRow]
    goods: list[MaterialRow]
    idle: list[MaterialRow]
    needs: Needs

    @property
    def rows(self) -> list[MaterialRow]:
        return [*self.timber, *self.iron, *self.goods]

    @property
    def pence(self) -> int:
        return sum(row.pence for row in self.rows)

    @property
    def to_buy(self) -> int:
        return sum(bool(row.to_buy) for row in self.rows)

    @property
    def short(self) -> int:
        return sum(bool(row.short) for row in self.rows)


def stores_page(here: Asked) -> StoresPage:
    """Every material in use, and those retired that still lie there: a constant number of queries."""
    stores = Stores()
    needs = read_needs(here, stores)
    purchases: dict[int, list[Purchase]] = defaultdict(list)
    for row in Purchase.objects.filter(cancels=None, cancelled_by=None).select_related("material"):
        purchases[row.material_id].append(row)
    rows = [
        _row(material, stores.rack(material.pk), needs.of(material.pk), purchases[material.pk], here)
        for material in Material.objects.all()
        if material.retired_at is None or stores.rack(material.pk).amount
    ]
    shown = [row for row in rows if not row.is_idle]
    return StoresPage(
        timber=[row for row in shown if row.material.is_timber],
        iron=[row for row in shown if row.material.is_bar],
        goods=[row for row in shown if row.material.is_goods],
        idle=[row for row in rows if row.is_idle],
        needs=needs,
    )


def _row(
    material: Material, rack: Rack, needs: Sequence[Need], purchases: Iterable[Purchase], here: Asked
) -> MaterialRow:
    wanted = sum(need.still for need in needs)
    least = 0 if material.retired_at else material.least_millionths or 0
    to_buy = max(0, wanted + least - max(0, rack.amount))
    left = {lot.on for lot in rack.lots if lot.left and not lot.found}
    lying = [row for row in purchases if row.on in left]
    return MaterialRow(
        material=material,
        size=size_in_words(material, here.unit),
        in_rack=amount_told(material, max(0, rack.amount)),
        about=about_pieces(material, max(0, rack.amount)),
        short=amount_told(material, -rack.amount) if rack.amount < 0 else "",
        least=amount_told(material, least) if least else "",
        wanted=amount_told(material, wanted) if wanted else "",
        orders=len(needs),
        to_buy=amount_told(material, to_buy) if to_buy else "",
        about_to_buy=about_pieces(material, to_buy, at_least=True),
        dry="; ".join(dict.fromkeys(filter(None, (_dry(row, here.today) for row in lying)))),
        pence=round_half_up(rack.pence),
        is_idle=not (rack.amount or to_buy),
    )


def _dry(row: Purchase, today: date) -> str:
    """What is known of how dry it is: the meter goes before the rule."""
    if row.moisture_tenths is not None:
        return by_the_meter(row.moisture_tenths)
    return by_the_rule(row.felled_on, row.material.thickness_nm, today) if row.felled_on else ""


@dataclass(frozen=True, slots=True)
class CameIn:
    """One lot, or a purchase of it; `left` of the whole lot."""

    on: date
    what: str
    amount: str
    left: str
    price: str
    pence: int
    purchases: list[Purchase]
    dry: tuple[str, ...]
    # What bills of the day changed, that were written down when something had been issued already.
    late: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class WentOut:
    """An issue, what came back, or what a count missed; `taken_from` says of which lots, and at what price."""

    on: date
    row: Issue | None
    amount: str
    pence: int
    taken_from: tuple[str, ...]
    short: str
    is_taken_back: bool


@dataclass(frozen=True, slots=True)
class Wanted:
    need: Need
    wanted: str
    issued: str
    still: str


@dataclass(frozen=True, slots=True)
class TakenBack:
    """Of a bill or a count: who did it, when and why, and what that changed."""

    by: str
    on: date
    why: str
    late: str


@dataclass(frozen=True, slots=True)
class BillRow:
    """A bill that was taken back; `late` is what it had changed, where it was late itself."""

    row: Purchase
    amount: str
    late: str
    taken_back: TakenBack


@dataclass(frozen=True, slots=True)
class CountRow:
    """A count; `late` is what it changed, where it was told of an earlier day."""

    row: StockCount
    amount: str
    late: str
    taken_back: TakenBack | None


@dataclass(frozen=True, slots=True)
class MaterialPage:
    row: MaterialRow
    wanted: list[Wanted]
    came_in: list[CameIn]
    bills_taken_back: list[BillRow]
    went_out: list[WentOut]
    counts: list[CountRow]
    offcuts: str
    newer: int | None
    older: int | None


def material_page(material: Material, here: Asked, *, after: int = 0, issue: int = 0) -> MaterialPage:
    """All that is known of one material in the rack, the newest first; of what went out a page.

    It begins `after` so many rows, or is the one on which an `issue` stands, by its id. What late rows changed is for
    the desk alone.
    """
    stores = Stores()
    rack = stores.rack(material.pk)
    bills = list(material.purchases.select_related("cancelled_by"))
    lying = [row for row in bills if not (row.cancels_id or hasattr(row, "cancelled_by"))]
    needs = read_needs(here, stores).of(material.pk)
    tell = _Tell(material, here)
    issues = list(
        Issue.objects.filter(material=material).select_related("order__customer", "lot", "wheel").order_by("-on", "-id")
    )
    went_out = _went_out(rack, issues)
    counts = list(material.counts.order_by("id").select_related("cancelled_by"))
    if here.is_desk:
        written = Written(bills, issues, counts)
        tell.note_late(written, changed_by(written, stores.list_price(material.pk), now=here.now, zone=here.zone))
    place = next((place for place, row in enumerate(went_out) if isinstance(row, Issue) and row.pk == issue), after)
    after = place - place % A_PAGE
    return MaterialPage(
        row=_row(material, rack, needs, lying, here),
        wanted=[tell.wanted(need) for need in needs],
        came_in=tell.came_in(rack.lots, lying),
        bills_taken_back=tell.bills_taken_back(bills),
        went_out=tell.went_out(went_out[after : after + A_PAGE], rack, issues),
        counts=tell.counts(counts),
        offcuts=offcuts_told(kept_of(material), unit=here.unit) if material.is_bar else "",
        newer=max(0, after - A_PAGE) if after else None,
        older=after + A_PAGE if len(went_out) > after + A_PAGE else None,
    )


def _went_out(rack: Rack, issues: Iterable[Issue]) -> list[Issue | DayOut]:
    """Issues, and what counts missed, the newest first; nothing is put in words that no page shows."""
    missing = [day for day in rack.days if day.missing]
    return sorted([*issues, *missing], key=lambda row: row.on, reverse=True)


class _Tell:
    """Puts the figures of one material in words."""

    def __init__(self, material: Material, here: Asked) -> None:
        self.material, self.here = material, here
        self._names = Names()
        # What changed something, by its token, in a sentence.
        self._late: dict[UUID, str] = {}

    def _amount(self, amount: int) -> str:
        return amount_told(self.material, amount)

    def _price(self, lot: Lot) -> str:
        """Of one unit, to the penny."""
        each = round_half_up(lot.price * MILLION)
        return f"{format_pence(each, self.here.shop.currency)} {self.material.per}"

    def wanted(self, need: Need) -> Wanted:
        return Wanted(need, self._amount(need.wanted), self._amount(need.issued), self._amount(need.still))

    def note_late(self, written: Written, late: Mapping[UUID, Mapping[int, Fraction]]) -> None:
        """What late rows changed; what changed no penny is left out."""
        numbers = {row.order_id: row.order.number for row in written.issues}
        rows: list[Purchase | StockCount] = [*written.purchases, *written.counts]
        for row in rows:
            pence = {numbers[pk]: round_half_up(more) for pk, more in late.get(row.token, {}).items()}
            changed = sorted((number, more) for number, more in pence.items() if more)
            if changed:
                self._late[row.token] = self._changed(row, changed)

    def _changed(self, row: Purchase | StockCount, changed: Sequence[tuple[int, int]]) -> str:
        told = [
            f"order {number} cost {format_pence(abs(pence), self.here.shop.currency)} {'more' if pence > 0 else 'less'}"
            for number, pence in changed[:MOST_ORDERS]
        ]
        rest = changed[MOST_ORDERS:]
        if rest:
            whole = format_pence(abs(sum(pence for _, pence in rest)), self.here.shop.currency)
            how = "more" if sum(pence for _, pence in rest) > 0 else "less"
            told.append(f"{len(rest)} other{'s' * (len(rest) > 1)} together {whole} {how}")
        when = "Some was issued already"
        if row.cancels_id is None:
            when = f"Written down {day_in_words(self._written_on(row))}, when some was issued already"
        return f"{when}: {', '.join(told)} by it."

    def _written_on(self, row: Purchase | StockCount) -> date:
        return row.written_on or row.recorded_at.astimezone(self.here.zone).date()

    def _taken_back(self, row: Purchase | StockCount) -> TakenBack | None:
        if not hasattr(row, "cancelled_by"):
            return None
        by = row.cancelled_by
        late = self._late.get(by.token, "")
        return TakenBack(self._names.of(by.recorded_by_id), self._written_on(by), by.note, late)

    def bills_taken_back(self, bills: Iterable[Purchase]) -> list[BillRow]:
        """The newest first."""
        found = [(row, self._taken_back(row)) for row in sorted(bills, key=lambda row: (row.on, row.pk), reverse=True)]
        return [
            BillRow(row, much_of(row).words, self._late.get(row.token, ""), taken_back)
            for row, taken_back in found
            if taken_back
        ]

    def counts(self, rows: Sequence[StockCount]) -> list[CountRow]:
        """The newest first."""
        return [
            CountRow(row, much_of(row).words, self._late.get(row.token, ""), self._taken_back(row))
            for row in sorted(rows, key=lambda row: (row.on, row.pk), reverse=True)
            if row.cancels_id is None
        ]

    def came_in(self, lots: Iterable[Lot], purchases: Iterable[Purchase]) -> list[CameIn]:
        by_day: dict[date, list[Purchase]] = defaultdict(list)
        for row in purchases:
            by_day[row.on].append(row)
        return [self._came_in(lot, [] if lot.found else by_day[lot.on]) for lot in reversed(list(lots))]

    def _came_in(self, lot: Lot, purchases: list[Purchase]) -> CameIn:
        return CameIn(
            on=lot.on,
            what="found by a count" if lot.found else "",
            amount=self._amount(lot.amount),
            left=self._amount(lot.left),
            price=self._price(lot),
            pence=round_half_up(lot.pence),
            purchases=purchases,
            dry=tuple(dict.fromkeys(filter(None, (_dry(row, self.here.today) for row in purchases)))),
            late=tuple(self._late[row.token] for row in purchases if row.token in self._late),
        )

    def went_out(self, rows: Iterable[Issue | DayOut], rack: Rack, issues: Iterable[Issue]) -> list[WentOut]:
        taken_back = {row.cancels_id for row in issues if row.cancels_id}
        return [
            self._issue(row, rack, taken_back=taken_back)
            if isinstance(row, Issue)
            else self._out(row, None, row.amount, round_half_up(row.pence))
            for row in rows
        ]

    def _issue(self, row: Issue, rack: Rack, *, taken_back: set[int]) -> WentOut:
        day = rack.day_of.get(row.pk)
        pence = round_half_up(rack.costs[row.pk])
        return self._out(day, row, row.amount_millionths or 0, pence, is_taken_back=row.pk in taken_back)

    def _out(
        self, day: DayOut | None, row: Issue | None, amount: int, pence: int, *, is_taken_back: bool = False
    ) -> WentOut:
        # What came back comes off its issue, where it stands of which lots that was.
        parts = [one for one in day.taken if one.lot] if day and amount > 0 else []
        return WentOut(
            on=row.on if row else day.on,  # type: ignore[union-attr]
            row=row,
            amount=self._amount(amount),
            pence=pence,
            taken_from=tuple(
                f"{self._amount(one.amount)} of {day_in_words(one.lot.on)} at {self._price(one.lot)}"
                for one in parts
                if one.lot
            ),
            short=self._amount(day.short) if day and day.short and amount > 0 else "",
            is_taken_back=is_taken_back,
        )
