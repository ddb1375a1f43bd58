"""The timber of wheels that may be ordered, by their cutting list and the prices of a day."""

from collections.abc import Container, Mapping, Sequence

from jobs.cutting_list import Allowances
from jobs.measures import Unit
from jobs.models import Lot
from shop.forms.timber_list import TimberListForm
from shop.quoting.rows import MaterialRow, name_wanted
from shop.timber_list import TimberList, lots_timber_list
from shop.timber_stock import Timbers


def timber_rows(
    lots: Sequence[tuple[Lot, int]],
    timbers: Timbers,
    allow: Allowances,
    *,
    words: Mapping[str, str],
    unit: Unit,
    given: Container[int] = (),
) -> tuple[list[MaterialRow], TimberList]:
    """A row for each timber and thickness, cut from what serves best; and the list that they come from. `given` are the
    ids of the materials that the order was given already."""
    told = lots_timber_list(lots, allow, words=words, unit=unit)
    form = TimberListForm({}, offers=timbers.offers(told.groups, given), unit=unit, of_order=True)
    if not form.is_valid():
        raise ValueError(f"An empty question is answered as usual: {form.errors}")
    stock = timbers.rows(told.groups, form, words=words)
    rows = []
    for group in told.groups:
        one = stock[group.key]
        number = sum(line.number for line in group.lines)
        cut_from = "" if group.untold else ", ".join(filter(None, [one.pieces, one.bought]))
        missing = one.missing
        if one.refused:
            missing = f"{group.heading}: {one.refused}"
        elif group.untold:
            missing = (
                f"{group.heading}: their length is not known until the make-up tells the box. "
                "Write it there, or put a figure of your own."
            )
        rows.append(
            MaterialRow(
                key=group.key,
                name=group.heading,
                amount=f"{number} blank{'' if number == 1 else 's'}{f' from {cut_from}' if cut_from else ''}",
                pence=None if one.refused or group.untold else one.pence,
                rests_on=f"“{one.material}” at {one.price}" if one.pence is not None else "",
                missing=missing,
                # Without the spares that go by what the shop has spoiled: those change of themselves.
                wanted=name_wanted([(line.needed, line.blank) for line in group.lines]),
                material_id=one.material_id,
                bought_millionths=one.bought_millionths,
            )
        )
    return rows, told
