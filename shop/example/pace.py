"""How long a piece takes in the made-up shop, and when one is spoiled. Invented, and known to nothing else."""

import math
from collections.abc import Mapping
from random import Random

from shop.example.people import MANNERS
from shop.example.taking import Job
from timing.models.facts import Reason

# The chance that a piece is spoiled in each unit of an operation.
SPOILS: Mapping[str, float] = {
    "turn-hub": 0.02,
    "cut-foot": 0.010,
    "shave-spoke": 0.014,
    "drive-spoke": 0.004,
    "plane-felloe": 0.018,
    "cut-joint": 0.006,
    "bore-tongue-hole": 0.005,
    "chamfer-felloe": 0.006,
}
GAIN = math.log2(0.9)
NO_GAIN_AFTER = 30
USUAL_HEIGHT_NM = 1_118_000_000


class Pace:
    """The minutes of the made-up shop: levels, hands, orders and runs, from one seeded source."""

    def __init__(self, rng: Random) -> None:
        self.rng = rng
        self._effects: dict[tuple[object, ...], float] = {}
        self._run: dict[tuple[str, str, int], int] = {}

    def seconds(self, hand: str, job: Job) -> int:
        """Of one unit; the first of a batch holds the setting-up, and the later ones go quicker."""
        number = job.lot.order.order.number
        run = (hand, job.key, number)
        index = self._run.get(run, 0)
        self._run[run] = index + 1
        level: float = job.book_seconds * MANNERS[hand].pace
        level *= self._effect(0.15, "operation", job.key) * self._effect(0.08, "hand", hand, job.key)
        level *= self._effect(0.12, "order", number) * self._effect(0.10, "order", number, job.key)
        level *= (job.lot.makeup.height_nm / USUAL_HEIGHT_NM) ** 0.8
        gained: float = min(index + 1, NO_GAIN_AFTER) ** GAIN if job.need > 2 else 1.0
        seconds = level * gained * self.rng.lognormvariate(0, 0.22)
        if index == 0:
            seconds += level * self.rng.uniform(0.3, 2.0) * (1.0 if job.need > 2 else 0.15)
        return max(20, round(seconds))

    def _effect(self, spread: float, *what: object) -> float:
        if what not in self._effects:
            self._effects[what] = self.rng.lognormvariate(0, spread)
        return self._effects[what]

    def is_spoiled(self, hand: str, job: Job) -> bool:
        """Whether the next unit spoils its piece."""
        chance = SPOILS.get(job.key, 0.0) * MANNERS[hand].spoils
        return chance > 0 and self.rng.random() < chance

    def reason(self) -> str:
        return self.rng.choices([Reason.TIMBER, Reason.WORK, Reason.OTHER], [6, 3, 1])[0]

    def style(self, hand: str) -> str:
        """How this hand tells of one job."""
        manner = MANNERS[hand]
        return self.rng.choices(["single", "wheel", "lump"], [manner.single, manner.wheel, manner.lump])[0]
