"""Timber, iron and goods that the example shop buys, and what they cost. Every name, size and amount is invented."""

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from django.contrib.auth.models import User

from jobs.measures import NM_PER_MM
from shop.audit import Kind, a_line
from shop.example.money import RISE_AFTER
from shop.models import AuditLine, Material, Rate
from shop.stores.amounts import MILLION


@dataclass(frozen=True, slots=True)
class Stocked:
    """Sizes in millimetres: thickness, width and length, of a log its girth and length, of goods none. Prices in pence,
    then and since the rise."""

    name: str
    kind: str
    timber: str
    unit: str
    size: tuple[float, ...]
    pence: tuple[int, int]
    # So many of its unit are kept at least.
    least: int = 0

    def material(self) -> Material:
        told = {"name": self.name, "kind": self.kind, "timber": self.timber, "unit": self.unit}
        bare = Material(**told, least_millionths=self.least * MILLION or None)
        if self.size:
            *section, bare.length_nm = (round(each * NM_PER_MM) for each in self.size)
            if self.kind == "log":
                (bare.girth_nm,) = section
            else:
                bare.thickness_nm, bare.width_nm = section
        return bare


# Width and thickness of what the example's wheels wear, in millimetres; some of them were rolled to inches.
BARS = (
    (22, 5),
    (25, 3),
    (25, 5),
    (25.4, 4.7625),
    (31.75, 6.35),
    (38, 8),
    (38, 10),
    (38.1, 12.7),
    (44, 6),
    (50, 6),
    (63.5, 15.875),
    (76, 16),
)
STOCKED = (
    Stocked("Elm butts", "log", "elm", "hoppus_foot", (1150, 2400), (1180, 1260)),
    Stocked("Oak spoke billets, cleft", "blank", "cleft oak", "each", (42, 62, 720), (365, 390)),
    Stocked("Oak boards, 65 mm", "plank", "oak", "board_foot", (65, 250, 3000), (610, 645)),
    Stocked("Ash boards, 50 mm", "plank", "ash", "board_foot", (50, 280, 3000), (435, 460)),
    Stocked("Ash boards, 90 mm", "plank", "ash", "m3", (90, 320, 3000), (192_000, 204_000)),
    *(
        Stocked(f"Flat bar, {width:g} × {thick:g}", "bar", "mild steel", "kg", (thick, width, 6000), (178, 192))
        for width, thick in BARS
    ),
    Stocked("Hickory strips for bending", "blank", "hickory", "metre", (42, 56, 2400), (980, 1040)),
    Stocked("Tyre bolts, 8 mm", "goods", "", "each", (), (38, 42), least=150),
    Stocked("Coach enamel, black", "goods", "", "litre", (), (2650, 2790), least=4),
    Stocked("Rubber tyring, 22 mm", "goods", "", "metre", (), (1450, 1520)),
)


def enter_materials(*, first: date, by: User, zone: ZoneInfo) -> list[AuditLine]:
    """Put them on the list with their prices; returns the lines of who put them there."""
    written, lines = [], []
    for stocked in STOCKED:
        material = stocked.material()
        material.save(force_insert=True)
        added_at = datetime(first.year, first.month, first.day, 10, tzinfo=zone)
        lines.append(a_line(Kind.PRICE, material.name, by=by, after=f"added: {material.per}", at=added_at))
        for after, pence in zip((timedelta(), RISE_AFTER), stocked.pence, strict=True):
            day = first + after
            at = datetime(day.year, day.month, day.day, 11, tzinfo=zone)
            written.append(
                Rate(
                    kind=Rate.Kind.MATERIAL,
                    material=material,
                    amount_millipence=pence * 1000,
                    from_on=day,
                    recorded_at=at,
                    recorded_by=by,
                )
            )
    Rate.objects.bulk_create(written)
    return lines
