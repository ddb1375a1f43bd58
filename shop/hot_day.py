"""One sheet for a hot day: the tyres that are ready to go on, or nearly, by bar and by heat."""

import sys
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from jobs.iron import IronHoop, Taken, dish_of, tyre_of
from jobs.models.operations import PartKind
from jobs.words import in_words
from shop.asked import Asked
from shop.forms.iron import Terms
from shop.iron_rows import IronBar, IronRow, IronRows, Wearers
from shop.trades import TradeList, Wanted, When

Key = tuple[int, IronHoop, Taken, str]


@dataclass(frozen=True, slots=True)
class HotSection:
    """Wheels alike ready: those that may be tyred today, and those that may if the bench ends first."""

    heading: str
    bars: list[IronBar]
    in_channels: list[str]

    @property
    def wheels(self) -> int:
        return sum(bar.wanted for bar in self.bars) + len(self.in_channels)


HEADINGS = {When.NOW: "Ready now", When.SOON: "Ready if the bench ends first"}


class HotDay:
    """Worked out from the smith's list, without asking the database for more."""

    def __init__(self, listed: TradeList, terms: Terms, here: Asked, *, most: int = sys.maxsize) -> None:
        self.terms, self._here = terms, here
        self._rows = IronRows(terms, words=here.words, unit=here.unit, currency=here.shop.currency, most=most)
        by_wheel: dict[int, list[Wanted]] = defaultdict(list)
        for row in listed.rows:
            if row.part == PartKind.TYRE and row.wheel and row.left:
                by_wheel[row.wheel.pk].append(row)
        self.sections = [
            self._section(heading, [rows for rows in by_wheel.values() if _when(rows) == when])
            for when, heading in HEADINGS.items()
        ]

    @property
    def bars(self) -> list[IronBar]:
        return [bar for section in self.sections for bar in section.bars]

    @property
    def wheels(self) -> int:
        return sum(section.wheels for section in self.sections)

    @property
    def no_draw(self) -> bool:
        return any(bar.missing for bar in self.bars)

    def _section(self, heading: str, wheels: Sequence[Sequence[Wanted]]) -> HotSection:
        alike: dict[Key, list[Sequence[Wanted]]] = defaultdict(list)
        in_channels = []
        for rows in wheels:
            lot, wheel = rows[0].lot, rows[0].wheel
            assert wheel is not None  # noqa: S101 - rows without one were left out
            measured = {kind: measure.value_nm for kind, measure in rows[0].measures.items()}
            tyre = tyre_of(lot.makeup, measured, draw_nm=lot.draw_nm)
            if tyre is None:
                in_channels.append(f"{wheel.label}, {rows[0].order}")
            else:
                alike[lot.pk, tyre, dish_of(lot.makeup, measured), self._still(rows)].append(rows)
        found = [self._row(key, rows) for key, rows in alike.items()]
        return HotSection(heading, self._rows.bars(found), in_channels)

    def _row(self, key: Key, rows: Sequence[Sequence[Wanted]]) -> IronRow:
        _, hoop, dish, still = key
        wheels = sorted((one[0].wheel for one in rows if one[0].wheel), key=lambda wheel: wheel.number)
        return self._rows.row(
            hoop, Wearers(rows[0][0].order, rows[0][0].lot, tuple(wheels), len(wheels), still), dish=dish
        )

    def _still(self, rows: Sequence[Wanted]) -> str:
        """What the smith has yet to do, in the order of the work, and where it is if not here."""
        tasks = sorted((row.task for row in rows), key=lambda task: task.operation.position)
        steps = ", then ".join(in_words(task.operation.name, self._here.words) for task in tasks)
        away = dict.fromkeys(trip.to_whom for row in rows for trip in row.trips)
        return f"{steps}; away at {', '.join(away)}" if away else steps


def _when(rows: Iterable[Wanted]) -> When:
    """A wheel is as ready as the least of what is wanted for its tyre."""
    return max(row.when for row in rows)
