"""The iron of an order: the tyres and bands that its wheels want, alike ones together."""

import sys
from collections import defaultdict
from collections.abc import Iterable, Mapping

from jobs.as_made import newest
from jobs.iron import IronHoop, Taken, bands_of, dish_of, tyre_of
from jobs.models import Lot, Order, Task, Wheel
from jobs.models.operations import PartKind, Trade
from shop.asked import Asked
from shop.forms.iron import Terms
from shop.iron_rows import IronBar, IronRow, IronRows, Wearers

Key = tuple[int, IronHoop, Taken | None]


class OrderIron:
    """Read in a constant number of queries."""

    def __init__(self, order: Order, terms: Terms, here: Asked, *, most: int = sys.maxsize) -> None:
        self.order, self.terms = order, terms
        self._rows = IronRows(terms, words=here.words, unit=here.unit, currency=here.shop.currency, most=most)
        self._lots: list[Lot] = list(order.lots.filter(dropped_at=None))
        self._wheels: dict[int, list[Wheel]] = defaultdict(list)
        for wheel in Wheel.objects.filter(lot__in=self._lots, dropped_at=None).order_by("number", "id"):
            self._wheels[wheel.lot_id].append(wheel)
        self._measured = _measured(wheel.pk for wheels in self._wheels.values() for wheel in wheels)
        self._wanted = _wanted(order)
        self.tyres: list[IronBar] = self._rows.bars(self._of(PartKind.TYRE))
        self.bands: list[IronBar] = self._rows.bars(self._of(PartKind.BAND))

    @property
    def bars(self) -> list[IronBar]:
        return [*self.tyres, *self.bands]

    @property
    def no_draw(self) -> bool:
        """Whether a tyre waits for its draw."""
        return any(bar.missing for bar in self.tyres)

    @property
    def in_channels(self) -> list[Lot]:
        """The lots whose tyres are rubber: no bar follows from the make-up."""
        return [lot for lot in self._lots if lot.tyre == "rubber" and self._wheels[lot.pk]]

    def _of(self, kind: str) -> list[IronRow]:
        alike: dict[Key, list[Wheel]] = defaultdict(list)
        for lot in self._lots:
            for wheel in self._wheels[lot.pk]:
                if self._wanted & {(lot.pk, None, kind), (lot.pk, wheel.pk, kind)}:
                    for hoop, dish in self._hoops(lot, wheel, kind):
                        alike[lot.pk, hoop, dish].append(wheel)
        lots = {lot.pk: lot for lot in self._lots}
        return [
            self._rows.row(
                hoop, Wearers(self.order, lots[lot_id], tuple(dict.fromkeys(wheels)), len(wheels)), dish=dish
            )
            for (lot_id, hoop, dish), wheels in alike.items()
        ]

    def _hoops(self, lot: Lot, wheel: Wheel, kind: str) -> list[tuple[IronHoop, Taken | None]]:
        makeup, measured = lot.makeup, self._measured[wheel.pk]
        if kind == PartKind.BAND:
            return [(band, None) for band in bands_of(makeup, measured, draw_nm=self.terms.band_draw_nm)]
        tyre = tyre_of(makeup, measured, draw_nm=makeup.draw_nm)
        return [(tyre, dish_of(makeup, measured))] if tyre else []


def _measured(wheel_ids: Iterable[int]) -> Mapping[int, dict[str, int]]:
    """What was measured of each wheel last, in nanometres by kind."""
    found: dict[int, dict[str, int]] = defaultdict(dict)
    for (wheel_id, kind), row in newest(wheel_ids).items():
        found[wheel_id][kind] = row.value_nm
    return found


def _wanted(order: Order) -> set[tuple[int, int | None, str]]:
    """For which wheels, or whole lots, the smith has tyres or bands to see to: an old wheel may keep its own."""
    tasks = Task.objects.live().filter(lot__order=order, operation__trade=Trade.SMITH)
    return set(
        tasks.filter(operation__part__in=(PartKind.TYRE, PartKind.BAND)).values_list(
            "lot_id", "wheel_id", "operation__part"
        )
    )
