"""What the page of sizes shows: the sizes, what is worth a second look, and the index plate that was asked for."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from django.utils.safestring import SafeString

from jobs.makeup import MakeUp, problems
from jobs.makeup.mortises import DRIVEN, Fit
from jobs.measures import Unit
from jobs.sizes import Sizes, index_plate, sizes_of
from jobs.sizes.concerns import concerns
from jobs.sizes.shown import angle_shown, length_shown
from jobs.sizes.spokes import BLANK_ALLOWANCE_NM
from shop.drawings import cut_wheel, felloe_in_plank
from shop.sizes_groups import box_group, hub_group, mass_group, rim_group, spoke_groups, wheel_group
from shop.sizes_rows import Sheet, SizeGroup, SizeRow


@dataclass(frozen=True, slots=True)
class HoleRow:
    number: int
    angle: str
    right: str
    up: str


class SizesPage:
    """The sizes of a make-up as they are read. `sizes` is None where there is no spoke between hub and rim."""

    def __init__(
        self,
        makeup: MakeUp,
        *,
        words: Mapping[str, str],
        unit: Unit,
        new_work: bool,
        circle_nm: int | None = None,
        gap_nm: int | None = None,
        fit: Fit = DRIVEN,
        blank_over_nm: int = BLANK_ALLOWANCE_NM,
    ) -> None:
        self.makeup, self.words, self.unit, self.circle_nm = makeup, words, unit, circle_nm
        self._new_work, self._blank_over_nm = new_work, blank_over_nm
        self.sizes: Sizes | None = None
        if makeup.bare_spoke_nm > 0:
            self.sizes = sizes_of(makeup, gap_nm=gap_nm, fit=fit, blank_over_nm=blank_over_nm)

    @property
    def warnings(self) -> list[str]:
        """Of the make-up itself, and of what follows from it."""
        told = problems(self.makeup, new_work=self._new_work, words=self.words, unit=self.unit)
        more = concerns(self.makeup, self.sizes, unit=self.unit) if self.sizes else []
        return [*(each.sentence for each in told), *more]

    @property
    def groups(self) -> list[SizeGroup]:
        if self.sizes is None:
            return []
        sheet = Sheet(self.makeup, self.sizes, self.words, self.unit, self._blank_over_nm)
        return [
            wheel_group(sheet),
            hub_group(sheet),
            *spoke_groups(sheet),
            rim_group(sheet),
            box_group(sheet),
            mass_group(sheet),
            *self._plate(),
        ]

    def _plate(self) -> Iterator[SizeGroup]:
        """The index plate, if a pitch circle was asked for."""
        if self.circle_nm is None:
            return
        plate = index_plate(self.makeup.spokes, self.circle_nm)
        rows = (
            SizeRow("Pitch circle", *length_shown(self.circle_nm, unit=self.unit)),
            SizeRow(
                "From hole to hole, straight",
                *length_shown(plate.neighbour_nm, unit=self.unit),
                "Pitch circle × sin(180° ÷ holes): to set the dividers by.",
            ),
            SizeRow(
                f"Check: from hole 1 to hole {plate.across + 1}",
                *length_shown(plate.across_nm, unit=self.unit),
                f"Pitch circle × sin({plate.across} × 180° ÷ holes), which is the same from every hole.",
            ),
        )
        yield SizeGroup("Index plate", rows)

    @property
    def drawings(self) -> list[tuple[SafeString, str]]:
        """The cut wheel, and a sawn felloe in its plank; each with what is to be known of it."""
        if self.sizes is None:
            return []
        hub, felloe = self.words["hub"], self.words["felloe"]
        found = [
            (
                cut_wheel(self.makeup, self.sizes, words=self.words, unit=self.unit),
                f"Cut through, face to the right; mortises drawn at the {hub}’s middle.",
            )
        ]
        sawn = felloe_in_plank(self.makeup, self.sizes, words=self.words)
        if sawn:
            found.append((sawn, f"A {felloe} in the plank that it wants, with the chord of its sole."))
        return found

    @property
    def holes(self) -> list[HoleRow]:
        """Where the holes are from the plate's middle."""
        if self.circle_nm is None or self.sizes is None:
            return []
        return [
            HoleRow(hole.number, angle_shown(hole.angle)[0], self._across(hole.x_nm), self._across(hole.y_nm))
            for hole in index_plate(self.makeup.spokes, self.circle_nm).holes
        ]

    def _across(self, nm: float) -> str:
        """Co-ordinates are dialled in decimals, whatever the shop measures in."""
        number = f"{abs(nm) / (25_400_000 if self.unit == 'in' else 1_000_000):.{4 if self.unit == 'in' else 2}f}"
        return f"{'−' if nm < 0 and float(number) else ''}{number}"
