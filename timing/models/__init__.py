"""What was done and how long it took: facts, added and never edited."""

from timing.models.clock import Clock
from timing.models.facts import AwaitedCancel, Helper, Move, Stretch, Tally
from timing.models.usual import SavedFit, Verdict

__all__ = ["AwaitedCancel", "Clock", "Helper", "Move", "SavedFit", "Stretch", "Tally", "Verdict"]
