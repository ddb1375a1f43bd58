"""The iron of a wheel: what bar to cut for a tyre or a band, and how much smaller to make it."""

from jobs.iron.hoops import Hoop, HoopRefused
from jobs.iron.traveller import TravellerRefused, Turns, turns_of
from jobs.iron.weld import WELD_RULES, WeldRule

__all__ = ["WELD_RULES", "Hoop", "HoopRefused", "TravellerRefused", "Turns", "WeldRule", "turns_of"]
