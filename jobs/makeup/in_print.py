"""What books say of measures on which they differ, to be read beside the field that asks for one."""

from dataclasses import dataclass

from jobs.measures import Unit, format_length, parse_length


@dataclass(frozen=True, slots=True)
class InPrint:
    """One author's value of a measure, from `low_nm` to `high_nm` where it is a range, and for which wheels."""

    low_nm: int
    high_nm: int
    wheels: str
    source: str

    def value(self, unit: Unit) -> str:
        low, high = (format_length(nm, unit=unit) for nm in (self.low_nm, self.high_nm))
        return low if low == high else f"{low} to {high}"


def _said(inches: str, wheels: str, source: str) -> InPrint:
    ends = [parse_length(end, default_unit="in") for end in inches.split(" to ")]
    return InPrint(ends[0], ends[-1], wheels, source)


_HOLMSTROM = "Holmstrom, Modern Blacksmithing, 1901"
_RICHARDSON = "Richardson, Practical Carriage Building, volume 1, 1891"
_HASLUCK = "Hasluck, Cassell’s Cyclopaedia of Mechanics"
_SMITHS_MANUAL = "a smith’s manual of the early 20th century, Wagons and Carriages, at freeblacksmith.com"

DISH: tuple[InPrint, ...] = (
    _said("1 1/2 to 2 1/2", "coaches", "Burgess, Practical Treatise on Coach-Building, 1881"),
    _said("2", "a 5 ft field wheel", "Encyclopaedia Britannica, 9th edition, volume 11, GUNNERY"),
    _said("3", "common carriages, about", "Cyclopaedia of Useful Arts, WHEELS OF CARRIAGES"),
    _said("1", "a Warner hub, before tyring", _HASLUCK),
    _said("1/2", "light wheels", _SMITHS_MANUAL),
    _said("3/4 to 1", "wagons", _SMITHS_MANUAL),
    _said("1/8 to 3/16", "farm wagons after tyring, at most", _RICHARDSON),
    _said("1/2 to 3/4", "heavy wheels after tyring, new", _RICHARDSON),
    _said("3/8", "a wagon, as another maker sets it", _RICHARDSON),
)
STAGGER: tuple[InPrint, ...] = (_said("1/2", "wagons, about", _RICHARDSON),)
DRAW: tuple[InPrint, ...] = (
    _said("3/8 to 1 1/4", "a Warner wheel to large heavy wheels", _HASLUCK),
    _said("1/2", "wagons, straight", _HOLMSTROM),
    _said("5/8", "wagons, straight, heavy and strong", _HOLMSTROM),
    _said("1/4", "poor or dished wheels, at most", _HOLMSTROM),
    _said("1/2 to 3/4", "wagons, straight", _SMITHS_MANUAL),
    _said("1/8", "carriages and light wheels, at most; nothing where much dished", _SMITHS_MANUAL),
    _said("1/4", "two-horse wagons; less where lighter", _RICHARDSON),
    _said("1", "cart wheels", "a working wheelwright, 30 August 2012, at robin-wood.co.uk"),
)
