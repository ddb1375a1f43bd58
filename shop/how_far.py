"""How far wheels in the shop are: as how many whole wheels the work that is done on them counts.

Equivalent units of process costing, with the share of each lot's usual minutes in place of a foreman's guess.
"""

from collections import Counter, defaultdict
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Self

from jobs.counts import Counts, Line
from jobs.models import Lot, Operation, Wheel
from shop.absorption import equivalent_units
from timing import forecast
from timing.usual import Usual


@dataclass(frozen=True, slots=True)
class HowFar:
    """Wheels that are not dropped, and the whole wheels that their work is worth; None where no usual time is known of
    any of it. `untold` are further wheels of which none is known."""

    wheels: int
    whole: Fraction | None
    untold: int = 0

    @property
    def tenths(self) -> str:
        """ "3.4", cut and not rounded: never "4.0" before all is done. Empty where it is not known."""
        if self.whole is None:
            return ""
        whole, tenth = divmod(int(self.whole * 10), 10)
        return f"{whole}.{tenth}"

    @property
    def in_words(self) -> str:
        if not self.tenths:
            return ""
        return f"{self.tenths} of {self.wheels}" + (f"; of {self.untold} not known" if self.untold else "")

    @classmethod
    def of(cls, parts: Iterable["HowFar"]) -> Self:
        """Of all of them together."""
        parts = list(parts)
        known = [one.whole for one in parts if one.whole is not None]
        told = sum(one.wheels for one in parts if one.whole is not None)
        untold = sum(one.untold if one.whole is not None else one.untold + one.wheels for one in parts)
        return cls(told, sum(known, Fraction(0)), untold) if known else cls(untold, None)


def how_far(order_ids: Collection[int], counts: Counts, usual: Usual) -> Mapping[int, HowFar]:
    """By the id of an order. A piece of work counts by the minutes that it usually takes here, hands together by each;
    work whose usual time is not known is left out. Three queries."""
    operations = {one.pk: one for one in Operation.objects.all()}
    lots = dict(Lot.objects.filter(order__in=order_ids).values_list("pk", "height_nm"))
    wheels = Counter(Wheel.objects.filter(lot__in=lots, dropped_at=None).values_list("lot_id", flat=True))
    lines: dict[int, list[Line]] = defaultdict(list)
    for line in counts.lines.values():
        if line.live and line.wanted and usual.knows(operations[line.operation_id].key):
            lines[line.lot_id].append(line)
    minutes = _Minutes(usual, operations)
    of_order: dict[int, list[tuple[int, Fraction | None]]] = {order_id: [] for order_id in order_ids}
    for line in {line.lot_id: line for line in counts.lines.values()}.values():
        lot_id = line.lot_id
        share = _share(lines[lot_id], counts, minutes, lots[lot_id], wheels[lot_id])
        of_order[line.order_id].append((wheels[lot_id], share))
    return {order_id: _told(rows) for order_id, rows in of_order.items()}


def _told(rows: Collection[tuple[int, Fraction | None]]) -> HowFar:
    known = [(wheels, share) for wheels, share in rows if share is not None]
    finished = sum(wheels for wheels, share in known if share == 1)
    begun = [(wheels, share) for wheels, share in known if share < 1]
    told = HowFar(sum(wheels for wheels, _ in known), equivalent_units(finished, begun) if known else None)
    return HowFar.of([told, HowFar(sum(wheels for wheels, share in rows if share is None), None)])


def _share(lines: Collection[Line], counts: Counts, minutes: "_Minutes", size_nm: int, wheels: int) -> Fraction | None:
    """The part of a lot's usual minutes that is behind it."""
    if not wheels or not lines:
        return None
    wanted: Counter[int] = Counter()
    left: Counter[int] = Counter()
    for line in lines:
        wanted[line.operation_id] += line.wanted
        left[line.operation_id] += counts.left(line)
    each = minutes.of(tuple(sorted(wanted.items())), wheels, size_nm)
    whole = sum((each[operation] * count for operation, count in wanted.items()), Fraction(0))
    ahead = sum((each[operation] * count for operation, count in left.items()), Fraction(0))
    # A spoiled piece may leave more to do than was wanted at first.
    return max(Fraction(0), 1 - ahead / whole)


class _Minutes:
    """Minutes of all hands for one unit, by operation. Lots that are alike are reckoned once."""

    def __init__(self, usual: Usual, operations: Mapping[int, Operation]) -> None:
        self._usual, self._operations = usual, operations
        self._known: dict[tuple[object, ...], Mapping[int, Fraction]] = {}

    def of(self, wanted: tuple[tuple[int, int], ...], wheels: int, size_nm: int) -> Mapping[int, Fraction]:
        asked = (wanted, wheels, size_nm)
        if asked not in self._known:
            rows = [forecast.Line(self._operations[pk].key, units, wheels, size_nm) for pk, units in wanted]
            means = forecast.forecast_lines(self._usual.fit, rows).means.tolist()
            self._known[asked] = {
                pk: Fraction(mean) * self._operations[pk].hands / units
                for (pk, units), mean in zip(wanted, means, strict=True)
            }
        return self._known[asked]
