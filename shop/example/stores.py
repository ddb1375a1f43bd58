"""The rack of the example shop: counted first some weeks ago, filled since, and emptied by what was begun since.

Every amount, price and merchant is invented.
"""

import uuid
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from django.contrib.auth.models import User

from jobs.models import Lot, Order
from jobs.models.operations import PartKind, Work
from shop.asked import Asked
from shop.example.taking import TOKENS, OrderWork
from shop.models import Issue, Material, Purchase, Shop, StockCount
from shop.rates import RateBook
from shop.stores.amounts import of_pieces
from shop.stores.book import Stores
from shop.stores.needs import Reckoned

WEEKS = 12
# Two to a felloe, more or less: invented like all else.
BOLTS, BOLTS_A_WHEEL = "Tyre bolts, 8 mm", 14


@dataclass(frozen=True, slots=True)
class Came:
    """Pieces of a material, of goods so much of their unit, that came some days ago, at a price of so many hundredths
    of the list's; its bill was written down `days_late`."""

    name: str
    days_ago: int
    pieces: int
    percent: int
    supplier: str
    weeks_felled: int = 0
    moisture_tenths: int | None = None
    days_late: int = 0


# What lay there at the first count, in pieces; goods in their unit.
FOUND = {
    "Elm butts": 5,
    "Oak spoke billets, cleft": 70,
    "Oak boards, 65 mm": 5,
    "Ash boards, 50 mm": 4,
    "Ash boards, 90 mm": 1,
    "Hickory strips for bending": 12,
    "Flat bar, 22 × 5": 2,
    "Flat bar, 25 × 3": 1,
    "Flat bar, 25 × 5": 2,
    "Flat bar, 38 × 8": 1,
    "Flat bar, 38 × 10": 2,
    "Flat bar, 38.1 × 12.7": 1,
    "Flat bar, 44 × 6": 1,
    "Flat bar, 50 × 6": 1,
    "Flat bar, 76 × 16": 1,
    "Tyre bolts, 8 mm": 120,
    "Coach enamel, black": 2,
}
CAME = (
    Came("Flat bar, 38 × 10", 66, 1, 98, "Tarn Iron", days_late=10),
    Came("Oak spoke billets, cleft", 59, 60, 103, "Holt & Sons, cleavers", 96, 165),
    Came("Oak boards, 65 mm", 48, 6, 97, "Weir Sawmill", 160, 170),
    Came("Flat bar, 38.1 × 12.7", 45, 3, 102, "Tarn Iron"),
    Came("Ash boards, 50 mm", 33, 6, 104, "Weir Sawmill", 70),
    Came("Ash boards, 90 mm", 20, 2, 101, "Weir Sawmill", 40, 265),
    Came("Elm butts", 17, 2, 100, "Weir Sawmill", 80),
    Came("Tyre bolts, 8 mm", 62, 100, 95, "Tarn Iron"),
    Came("Coach enamel, black", 40, 5, 103, "Pask & Daughter, colourmen"),
)
# Counted anew some days ago, and how many pieces were missing.
COUNTED, MISSING, COUNTED_DAYS_AGO = "Elm butts", 1, 10
# Of the oldest order that took boards of this kind so many came back, some days later.
BROUGHT_BACK, BACK_AFTER = "Ash boards, 50 mm", timedelta(days=6)


def rack_from(monday: date) -> date:
    """The day of the first count: what was begun before it was bought for its order."""
    return monday - timedelta(weeks=WEEKS)


def enter_stores(
    works: Iterable[OrderWork], *, shop: Shop, monday: date, by: User, zone: ZoneInfo, until: datetime
) -> None:
    """Purchases, counts and issues till the morning of `until`."""
    rack = _RackOfExample(monday, by, zone)
    rack.count_first()
    rack.buy(until.date())
    here = Asked(shop, shop.words, "mm", zone, until.replace(tzinfo=zone), is_desk=True)
    begun = [(work, day) for work in works if (day := _begun_on(work, until)) and day >= rack_from(monday)]
    rack.issue(sorted(begun, key=lambda each: each[1]), here)
    rack.count_again(until.date())


def _begun_on(work: OrderWork, until: datetime) -> date | None:
    """The day of its first work, where that is past."""
    begun = min((job.last_at for job in work.jobs if job.last_at), default=None)
    return begun.date() if begun and begun < until else None


def _is_forged(work: OrderWork, until: datetime) -> bool:
    """Whether tyres or bands of it were begun by then."""
    iron = [job for job in work.jobs if job.part_kind in (PartKind.TYRE, PartKind.BAND)]
    return any(job.last_at and job.last_at < until for job in iron)


class _RackOfExample:
    """Writes the rows, each under a token of its own name."""

    def __init__(self, monday: date, by: User, zone: ZoneInfo) -> None:
        self._monday, self._by, self._zone = monday, by, zone
        self._materials = {one.name: one for one in Material.objects.all()}
        self._prices = RateBook.load()

    def _entry(self, name: str, on: date, *, late: int = 0) -> dict[str, object]:
        written_on = on + timedelta(days=late)
        at = datetime.combine(written_on, time(16, 30), self._zone)
        written = {"recorded_at": at, "written_on": written_on, "recorded_by": self._by}
        return {"token": uuid.uuid5(TOKENS, f"rack {name}"), "on": on, **written}

    def count_first(self) -> None:
        StockCount.objects.bulk_create(
            self._count(name, pieces, rack_from(self._monday)) for name, pieces in FOUND.items()
        )

    def _count(self, name: str, pieces: int, on: date) -> StockCount:
        material = self._materials[name]
        amount = of_pieces(material, pieces)
        entry = self._entry(f"count {name} {on}", on)
        return StockCount(material=material, amount_millionths=amount, pieces=_in_pieces(material, pieces), **entry)

    def buy(self, until: date) -> None:
        rows = [self._purchase(came) for came in CAME]
        Purchase.objects.bulk_create(row for row in rows if row.on < until)

    def _purchase(self, came: Came) -> Purchase:
        material, on = self._materials[came.name], self._monday - timedelta(days=came.days_ago)
        amount = of_pieces(material, came.pieces)
        listed = self._prices.material(material.pk, on) or 0
        return Purchase(
            material=material,
            amount_millionths=amount,
            pieces=_in_pieces(material, came.pieces),
            paid_pence=amount * listed * came.percent // (1_000_000 * 1000 * 100),
            supplier=came.supplier,
            felled_on=on - timedelta(weeks=came.weeks_felled) if came.weeks_felled else None,
            moisture_tenths=came.moisture_tenths,
            **self._entry(f"bought {came.name}", on, late=came.days_late),
        )

    def issue(self, begun: Sequence[tuple[OrderWork, date]], here: Asked) -> None:
        """What the wheels that are made new take, on the day that they were begun; iron only once the smith began."""
        until = datetime.combine(here.today, time(0, 0))
        forged = {work.order.pk for work, _ in begun if _is_forged(work, until)}
        reckoned = Reckoned(here, {}, {})
        days = {}
        for work, day in begun:
            days[work.order.pk] = day
            reckoned.add(work.order, [(lot.lot, lot.wheels) for lot in work.lots if is_from_rack(lot.lot)])
        rows = []
        for need in reckoned.needs():
            material = next(one for one in self._materials.values() if one.pk == need.material_id)
            if need.wanted and (not material.is_bar or need.order.pk in forged):
                name = f"issue {need.order.number} {material.name}"
                rows.append(self._issue(need.order, material, need.wanted, self._entry(name, days[need.order.pk])))
        bolts = self._materials[BOLTS]
        for work, day in begun:
            wheels = sum(lot.wheels for lot in work.lots if is_from_rack(lot.lot))
            if wheels and work.order.pk in forged:
                entry = self._entry(f"issue {work.order.number} {BOLTS}", day)
                rows.append(self._issue(work.order, bolts, of_pieces(bolts, wheels * BOLTS_A_WHEEL), entry))
        Issue.objects.bulk_create(rows)
        self._bring_back(here.today)

    def _issue(
        self, order: Order, material: Material, amount: int, entry: Mapping[str, object], **others: object
    ) -> Issue:
        told = {"order": order, "material": material, "what": material.name, "amount_pence": 0} | others
        return Issue(amount_millionths=amount, **told, **entry)

    def _bring_back(self, today: date) -> None:
        """A board that was not needed after all."""
        row = Issue.objects.filter(material=self._materials[BROUGHT_BACK]).order_by("on", "pk").first()
        if row and row.material and row.on + BACK_AFTER < today:
            entry = self._entry(f"back {row.order.number}", row.on + BACK_AFTER)
            self._issue(row.order, row.material, -of_pieces(row.material, 1), entry, returns=row).save()

    def count_again(self, until: date) -> None:
        on = self._monday - timedelta(days=COUNTED_DAYS_AGO)
        material = self._materials[COUNTED]
        told = Stores([material.pk]).rack(material.pk).amount
        pieces = round(told / of_pieces(material, 1)) - MISSING
        if on < until and pieces > 0:
            self._count(COUNTED, pieces, on).save()


def _in_pieces(material: Material, pieces: int) -> int | None:
    """Goods by the litre are counted in no pieces."""
    return None if material.is_goods and material.unit != Material.Unit.EACH else pieces


def is_from_rack(lot: Lot) -> bool:
    """New wheels take from the rack; what a repair wants is bought for it."""
    return bool(lot.work == Work.NEW)
