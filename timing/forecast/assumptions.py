"""What is held likely before anything was timed.

A shop's first orders are too few to say how unlike orders are, or how much faster the tenth spoke goes than the
first. Until they say so themselves, these figures do: common practice, no source. Each is a guess with a weight, so
that it fades as timings come: with all of them twice as far off, forecasts from 80 orders of the made-up shop moved
by a hundredth in the middle and by three at 10 and 90 %, and from 600 by less than half a hundredth.
"""

import math
from dataclasses import dataclass, field

from timing.forecast.runs import exponent_of


@dataclass(frozen=True, slots=True)
class Spread:
    """A standard deviation, guessed. The guess weighs as much as so many degrees of freedom; infinitely: it is held."""

    guess: float
    weight: float = 4.0

    @property
    def is_held(self) -> bool:
        return math.isinf(self.weight)


@dataclass(frozen=True, slots=True)
class Guess:
    """A number, guessed, and the standard deviation of the guess."""

    mean: float
    sd: float


def held(value: float) -> Spread:
    return Spread(value, math.inf)


@dataclass(frozen=True, slots=True)
class Assumptions:
    """All on the scale of natural logs: 0.1 is about a tenth.

    Of the operations: their level about their family's and about their book time, which may all be too short; the
    exponent of size (1: work goes as the rim's length); the exponent of the run; setting-up, in first pieces, where a
    wheel has one piece and where it has many. Then what hands, orders, batches, wheels and pieces differ by, and how
    often a row strays.
    """

    level: Guess = Guess(math.log(12), 2.0)
    of_part: Spread = field(default_factory=lambda: Spread(0.5))
    of_per: Spread = field(default_factory=lambda: Spread(0.8))
    of_operation: Spread = field(default_factory=lambda: Spread(0.6))
    book_too_long: Guess = Guess(0.0, 0.2)
    of_book: Spread = field(default_factory=lambda: Spread(0.3))
    size: Guess = Guess(1.0, 0.25)
    of_size: Spread = field(default_factory=lambda: Spread(0.3))
    run: Guess = Guess(exponent_of(0.9), 0.08)
    of_run: Spread = field(default_factory=lambda: Spread(0.06))
    setting_up_one: Guess = Guess(math.log(0.25), 0.6)
    setting_up_many: Guess = Guess(math.log(1.0), 0.6)
    # Weighty: where there is no setting-up at all, its log would run away to nothing, and take its spread along.
    of_setting_up: Spread = field(default_factory=lambda: Spread(0.6, 12.0))
    hand: Spread = field(default_factory=lambda: Spread(0.15))
    hand_at_operation: Spread = field(default_factory=lambda: Spread(0.10))
    # Light: it moves a whole order's range more than any other spread, and shops soon show their own.
    order: Spread = field(default_factory=lambda: Spread(0.15, 2.0))
    batch: Spread = field(default_factory=lambda: Spread(0.15))
    wheel: Spread = field(default_factory=lambda: Spread(0.10))
    piece: Spread = field(default_factory=lambda: Spread(0.25))
    # How alike the operations' own spreads are, as degrees of freedom about what they have in common.
    batches_alike: float = 8.0
    pieces_alike: float = 8.0
    stray_share: Guess = Guess(0.02, 0.02)
    stray_sd: float = 2.0


def without_priors() -> Assumptions:
    """Restricted maximum likelihood of a level, batches and pieces, and nothing else: as other programs do it."""
    flat, none, no_time = Guess(0.0, 1e4), Guess(0.0, 0.0), Guess(math.log(1e-12), 0.0)
    return Assumptions(
        level=flat,
        of_part=held(0.0),
        of_per=held(0.0),
        of_operation=held(0.0),
        size=none,
        of_size=held(0.0),
        run=none,
        of_run=held(0.0),
        setting_up_one=no_time,
        setting_up_many=no_time,
        of_setting_up=held(0.0),
        hand=held(0.0),
        hand_at_operation=held(0.0),
        order=held(0.0),
        batch=Spread(0.3, 0.0),
        wheel=held(0.0),
        piece=Spread(0.3, 0.0),
        batches_alike=0.0,
        pieces_alike=0.0,
        stray_share=Guess(0.0, 0.0),
    )
