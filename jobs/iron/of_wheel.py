"""The iron of one wheel: its tyre and bands, each by what was measured, or else by the make-up, and which it was."""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from jobs.iron.hoops import Hoop, draw_of_runs_nm
from jobs.makeup import Band, MakeUp

Origin = Literal["as made", "make-up", "the hub's diameter", "given here"]

# Kinds of measures as made, as they are kept.
RUN, DRAW, INSIDE_RUN, DISH = "run", "draw", "inside_run", "dish_before"
SEATS = {"front": "front_seat", "back": "back_seat"}


@dataclass(frozen=True, slots=True)
class Taken:
    """A length that a sum takes, in nanometres, and where from."""

    nm: float
    origin: Origin


@dataclass(frozen=True, slots=True)
class IronHoop:
    """A tyre or a band: the run of what it goes on, its bar, and its draw unless nobody has given one yet.

    Once the hoop is made, `inside` is its own inside run as measured, and the draw is what that leaves.
    """

    name: str
    is_band: bool
    run: Taken
    draw: Taken | None
    width_nm: int
    thickness_nm: int
    inside: Taken | None = None

    def hoop(self) -> Hoop | None:
        """For the sums; none without a draw, which is never assumed. Raises HoopRefused."""
        if self.inside is not None:
            draw_nm = draw_of_runs_nm(self.run.nm, self.inside.nm)
        elif self.draw is not None:
            draw_nm = self.draw.nm
        else:
            return None
        return Hoop(self.run.nm, draw_nm, self.width_nm, self.thickness_nm)


def tyre_of(makeup: MakeUp, measured: Mapping[str, int], *, draw_nm: int | None) -> IronHoop | None:
    """The tyre, where it is iron: by the run and draw as made, or by the make-up's diameter and `draw_nm`.

    `measured` has nanometres by kind of measure. The thickness of a rubber tyre is that of rubber and channel
    together, so that no bar follows from it: none.
    """
    if makeup.tyre != "iron":
        return None
    return IronHoop(
        name="tyre",
        is_band=False,
        run=_taken(measured.get(RUN)) or Taken(math.pi * makeup.wood_diameter_nm, "make-up"),
        draw=_taken(measured.get(DRAW)) or (None if draw_nm is None else Taken(draw_nm, "make-up")),
        width_nm=makeup.tyre_width_nm,
        thickness_nm=makeup.tyre_thickness_nm,
        inside=_taken(measured.get(INSIDE_RUN)),
    )


def bands_of(makeup: MakeUp, measured: Mapping[str, int], *, draw_nm: int | None) -> list[IronHoop]:
    """The bands on the hub: by the seat as made, else the make-up's, else the hub's diameter.

    The make-up keeps no draw for bands: `draw_nm` is what the person who asks gives for all of them.
    """
    return [
        IronHoop(
            name=band.name,
            is_band=True,
            run=_run_of_seat(band, makeup, measured),
            draw=None if draw_nm is None else Taken(draw_nm, "given here"),
            width_nm=band.width_nm,
            thickness_nm=band.thickness_nm,
        )
        for band in makeup.bands
    ]


def dish_of(makeup: MakeUp, measured: Mapping[str, int]) -> Taken:
    """The dish before tyring as made, or the make-up's."""
    return _taken(measured.get(DISH)) or Taken(makeup.dish_nm, "make-up")


def _taken(measured_nm: int | None) -> Taken | None:
    return None if measured_nm is None else Taken(measured_nm, "as made")


def _run_of_seat(band: Band, makeup: MakeUp, measured: Mapping[str, int]) -> Taken:
    """Seats are diameters."""
    as_made = measured.get(_measure_of(band, makeup.bands))
    if as_made is not None:
        return Taken(math.pi * as_made, "as made")
    if band.seat_nm is not None:
        return Taken(math.pi * band.seat_nm, "make-up")
    return Taken(math.pi * makeup.hub_diameter_nm, "the hub's diameter")


def _measure_of(band: Band, bands: tuple[Band, ...]) -> str:
    """The kind of measure that is this band's seat: none where more than one band could be meant by it."""
    for side, kind in SEATS.items():
        if [other for other in bands if side in other.name.lower()] == [band]:
            return kind
    return ""
