"""An operation's usual time, or a study of its elements, as a standard time. Nothing of it is kept."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

from timing.standard_time import Base, Element, basic_of, basic_time, share_of_day, standard_time
from timing.work_study import error_of_looks, looks_needed

# Of the whole day, what a share that was found by looking round may be off.
WITHIN = 0.02


@dataclass(frozen=True)
class Standard:
    """`usual` is in minutes a piece, None where it is not known; elements go before it, with ratings of their own."""

    usual: float | None
    rating: float | None
    allowance: float
    of: Base
    looks: int | None
    elements: Sequence[Element]

    @property
    def places(self) -> int:
        """Figures after the point: readings of a watch are finer than usual minutes."""
        return 3 if self.elements else 2

    @cached_property
    def seen(self) -> float | None:
        """Minutes a piece before any rating; rounded as it is shown, so that the sum can be done again on paper."""
        if self.elements:
            return math.fsum(one.a_piece for one in self.elements)
        return None if self.usual is None else round(self.usual, self.places)

    @cached_property
    def basic(self) -> float | None:
        """Rounded as it is shown."""
        if self.elements:
            return round(basic_of(self.elements), self.places)
        if self.seen is None or self.rating is None:
            return None
        return round(basic_time(self.seen, self.rating), self.places)

    @property
    def minutes(self) -> float | None:
        return None if self.basic is None else standard_time(self.basic, self.allowance, of=self.of)

    @property
    def share(self) -> float:
        """What the allowance takes of the day."""
        return share_of_day(self.allowance, of=self.of)

    @property
    def allowance_said(self) -> str:
        """The allowance as the other base has it: "15 % of the day is 17.6 % of the job"."""
        of_job = self.share / (1 - self.share)
        day, job = f"{_percent(self.share)} of the day", f"{_percent(of_job)} of the job"
        return f"{day} is {job}" if self.of == "day" else f"{job} is {day}"

    @property
    def sum_shown(self) -> str:
        """ "10.36 × (1 + 15 %)" or "10.36 ÷ (1 − 15 %)"."""
        part = _percent(self.allowance)
        return f"{self.basic:,.{self.places}f} {f'× (1 + {part})' if self.of == 'job' else f'÷ (1 − {part})'}"

    @property
    def rating_shown(self) -> str:
        return "" if self.rating is None else _percent(self.rating)

    @property
    def looks_wanted(self) -> int:
        """Looks that bring the share of the day within two in a hundred."""
        return math.ceil(round(looks_needed(self.share, within=WITHIN), 6))

    @property
    def error(self) -> float:
        """What the share may be off by the looks there were. Needs them."""
        assert self.looks is not None  # noqa: S101 - asked only where they were told
        return error_of_looks(self.share, self.looks)

    @property
    def error_shown(self) -> str:
        return f"{self.error * 100:.1f}"

    @property
    def by_looks(self) -> tuple[float, float] | None:
        """The standard time at either end of what the looks leave open; None where it may be the whole day."""
        if self.basic is None or self.share + self.error >= 1:
            return None
        ends = (max(self.share - self.error, 0.0), self.share + self.error)
        low, high = (standard_time(self.basic, end, of="day") for end in ends)
        return low, high


def _percent(share: float) -> str:
    return f"{round(share * 100, 1):g} %"
