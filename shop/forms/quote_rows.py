"""The wheels of a quotation as rows: entered like those of an order, and begun from wheels that are there already."""

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from django import forms

from jobs.models import LibraryMakeUp, Wheel
from jobs.orders import WheelRow
from shop.asked import Asked
from shop.forms.order_rows import MOST_LOOSE, NAMES, NEW_MEASURES, PLACES, OrderEntry
from shop.quoting.drafts import is_of_library


class QuoteEntry(OrderEntry):
    """A quotation's head and its rows of wheels."""

    no_rows = "A quotation has at least one row of wheels."

    def __init__(
        self,
        data: Mapping[str, Any] | None,
        *,
        asked: Asked,
        library: Sequence[LibraryMakeUp],
        head: forms.BaseForm,
    ) -> None:
        super().__init__(data, asked=asked, library=library, head=head)

    def fill_with(self, rows: Sequence[WheelRow]) -> list[tuple[WheelRow, int]]:
        """Begin with wheels that are there already; gives rows for which the form has no room, and for how many."""
        left_out = []
        for row in rows:
            taken = 0
            for number, (where, count) in enumerate(split_places(row.places)):
                if not self.may_grow:
                    left_out.append((row, len(row.places) - taken))
                    break
                taken += count
                self.add_row(self._first(row, where, count, with_spares=not number), makeup=row.makeup)
        return left_out

    def _first(self, row: WheelRow, where: str, count: int, *, with_spares: bool) -> dict[str, Any]:
        offered = row.library is not None and any(one.pk == row.library.pk for one in self.library)
        usual = NAMES.get(where, PLACES[where][0])
        return {
            "where": where,
            "how_many": count if where == "loose" else None,
            "makeup": str(row.library.pk) if offered and row.library else NEW_MEASURES,
            "own": offered and not is_of_library(row),
            "work": row.work,
            "name": "" if row.name == usual else row.name,
            "spare_spokes": row.spare_spokes if with_spares else 0,
            "spare_felloes": row.spare_felloes if with_spares else 0,
        }


def split_places(places: Sequence[str]) -> Iterator[tuple[str, int]]:
    """The rows in which wheels at these places are entered: pairs, single places, and loose ones so many at a time."""
    left = list(places)
    for where, (_, of_row) in PLACES.items():
        while of_row and all(place in left for place in of_row):
            for place in of_row:
                left.remove(place)
            yield where, len(of_row)
    loose = left.count(Wheel.Place.LOOSE)
    for first in range(0, loose, MOST_LOOSE):
        yield "loose", min(MOST_LOOSE, loose - first)
