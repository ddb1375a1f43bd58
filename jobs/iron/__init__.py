"""The iron of a wheel: what bar to cut for a tyre or a band, how much smaller to make it, and what heat puts it on."""

from jobs.iron.expansion import HeatRefused
from jobs.iron.heat import Heat, heat_to_pass, in_degrees, most_clearance_nm
from jobs.iron.hoops import Hoop, HoopRefused
from jobs.iron.of_wheel import IronHoop, Taken, bands_of, dish_of, tyre_of
from jobs.iron.traveller import TravellerRefused, Turns, turns_of
from jobs.iron.weld import WELD_RULES, WeldRule

__all__ = [
    "WELD_RULES",
    "Heat",
    "HeatRefused",
    "Hoop",
    "HoopRefused",
    "IronHoop",
    "Taken",
    "TravellerRefused",
    "Turns",
    "WeldRule",
    "bands_of",
    "dish_of",
    "heat_to_pass",
    "in_degrees",
    "most_clearance_nm",
    "turns_of",
    "tyre_of",
]
