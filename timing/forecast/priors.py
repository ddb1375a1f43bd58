"""The numbers that a fit finds, and what is said of them beforehand, each said in one sum of them.

"The level of an operation is about its family's", "its book time is about right": each is a row of coefficients with a
mean, and the rows of one kind have a spread in common, which the timings themselves teach.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from timing.forecast.arrays import Floats, Ints
from timing.forecast.assumptions import Assumptions, Guess, Spread
from timing.forecast.runs import run_sums
from timing.forecast.work import Operation

# A spread that is held at nothing still wants a precision.
LEAST_SD = 1e-5
OWN = 4  # Numbers of each operation: level, size, run, setting-up.


@dataclass(frozen=True, slots=True)
class Places:
    """Where each number stands in their one long row: four of each operation, hands, pairs, and what is in common."""

    operations: int
    hands: int
    pairs: int
    parts: tuple[str, ...]
    pers: tuple[str, ...]

    @property
    def hand(self) -> int:
        return OWN * self.operations

    @property
    def pair(self) -> int:
        return self.hand + self.hands

    @property
    def common(self) -> int:
        return self.pair + self.pairs

    @property
    def book(self) -> int:
        return self.common + 1

    @property
    def size(self) -> int:
        return self.common + 2

    @property
    def run(self) -> int:
        return self.common + 3

    def setting_up(self, operation: Operation) -> int:
        return self.common + 4 + (operation.pieces_a_wheel > 1)

    def part(self, operation: Operation) -> int:
        return self.common + 6 + self.parts.index(operation.part)

    def per(self, operation: Operation) -> int:
        return self.common + 6 + len(self.parts) + self.pers.index(operation.per)

    @property
    def count(self) -> int:
        return self.common + 6 + len(self.parts) + len(self.pers)


def places_for(operations: Sequence[Operation], hands: int, pairs: int) -> Places:
    parts = tuple(sorted({one.part for one in operations}))
    pers = tuple(sorted({one.per for one in operations}))
    return Places(len(operations), hands, pairs, parts, pers)


@dataclass(frozen=True, slots=True)
class Said:
    """What is said of several numbers in the same words: rows of coefficients, what each sum is, and how nearly."""

    name: str
    rows: Floats
    means: Floats
    spread: Spread


def _rows(count: int, entries: Sequence[dict[int, float]]) -> Floats:
    rows = np.zeros((len(entries), count))
    for row, entry in zip(rows, entries, strict=True):
        for place, value in entry.items():
            row[place] += value
    return rows


def said_beforehand(operations: Sequence[Operation], places: Places, assumed: Assumptions) -> list[Said]:
    """All that is said but of book times, whose coefficients turn with the run (`said_by_book`)."""

    def about(name: str, spread: Spread, entries: Sequence[dict[int, float]], mean: float = 0.0) -> Said:
        return Said(name, _rows(places.count, entries), np.full(len(entries), mean), spread)

    def guess(name: str, place: int, guessed: Guess) -> Said:
        return about(name, Spread(guessed.sd, math.inf), [{place: 1.0}], guessed.mean)

    each = list(enumerate(operations))
    return [
        guess("level", places.common, assumed.level),
        guess("book too long", places.book, assumed.book_too_long),
        guess("size", places.size, assumed.size),
        guess("run", places.run, assumed.run),
        guess("setting-up of one", places.common + 4, assumed.setting_up_one),
        guess("setting-up of many", places.common + 5, assumed.setting_up_many),
        about("parts", assumed.of_part, [{places.common + 6 + n: 1.0} for n in range(len(places.parts))]),
        about(
            "pers", assumed.of_per, [{places.common + 6 + len(places.parts) + n: 1.0} for n in range(len(places.pers))]
        ),
        about(
            "levels",
            assumed.of_operation,
            [{OWN * n: 1.0, places.common: -1.0, places.part(one): -1.0, places.per(one): -1.0} for n, one in each],
        ),
        about("sizes", assumed.of_size, [{OWN * n + 1: 1.0, places.size: -1.0} for n, _ in each]),
        about("runs", assumed.of_run, [{OWN * n + 2: 1.0, places.run: -1.0} for n, _ in each]),
        about(
            "settings-up",
            assumed.of_setting_up,
            [{OWN * n + 3: 1.0, places.setting_up(one): -1.0} for n, one in each],
        ),
        about("hands", assumed.hand, [{places.hand + n: 1.0} for n in range(places.hands)]),
        about("pairs", assumed.hand_at_operation, [{places.pair + n: 1.0} for n in range(places.pairs)]),
    ]


def said_by_book(
    operations: Sequence[Operation], places: Places, assumed: Assumptions, exponent: Floats, log_setting_up: Floats
) -> Said:
    """Book times: minutes a piece over the run of a pair of wheels with its setting-up, straight about the run now."""
    booked: Ints = np.array([n for n, one in enumerate(operations) if one.book_minutes], dtype=np.int64)
    pieces = np.array([2 * operations[n].pieces_a_wheel for n in booked])
    sums = run_sums(booked, np.zeros(len(booked)), pieces, exponent, log_setting_up)
    entries = [
        {OWN * n: 1.0, OWN * n + 2: by_run, OWN * n + 3: by_setting_up, places.book: 1.0}
        for n, by_run, by_setting_up in zip(booked.tolist(), sums.by_exponent, sums.by_setting_up, strict=True)
    ]
    minutes = np.array([operations[n].book_minutes or 0.0 for n in booked])
    turned = sums.by_exponent * exponent[booked] + sums.by_setting_up * log_setting_up[booked]
    means = np.log(minutes * pieces / sums.total) + turned
    return Said("books", _rows(places.count, entries), means, assumed.of_book)
