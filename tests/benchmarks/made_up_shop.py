"""A shop that never was, whose truth is known: what a forecast is judged by.

Everything about it is drawn: how long its operations really take, what its hands and its orders do to that, and how
far its book times are off. Nothing under `timing/` may use a number of this module. Effects are on the scale of
natural logs unless said otherwise; minutes are minutes; diameters are inches until they are handed out.
"""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

HANDS = 4
USUAL_INCHES = 42.0
USUAL_SPOKES = 12
NO_GAIN_AFTER = 30
COMMON, OPTIONAL, RARE, NEVER = "common", "optional", "rare", "never"
# Even the rare are met, where a shop turns to other work than its log knows.
MADE_COMMON = 0.08

# Name, part, pieces a wheel (or spoke, or felloe), minutes a piece, how often. Common practice, no source: the list
# that a new shop begins with.
OPERATIONS: tuple[tuple[str, str, str | int, float, str], ...] = (
    ("get out hub", "hub", 1, 20, COMMON),
    ("turn hub", "hub", 1, 60, COMMON),
    ("strike out", "hub", 1, 20, COMMON),
    ("make band", "band", 2, 25, COMMON),
    ("shrink on band", "band", 2, 10, COMMON),
    ("chop mortise", "hub", "spoke", 9, COMMON),
    ("trim mortise", "hub", "spoke", 4, COMMON),
    ("rough out spoke", "spoke", "spoke", 6, COMMON),
    ("cut foot", "spoke", "spoke", 6, COMMON),
    ("shave spoke", "spoke", "spoke", 11, COMMON),
    ("drive spoke", "spoke", "spoke", 6, COMMON),
    ("true and face", "wheel", 1, 25, COMMON),
    ("tongue", "spoke", "spoke", 6, COMMON),
    ("square the tongue", "spoke", "spoke", 5, OPTIONAL),
    ("saw felloe", "felloe", "felloe", 9, COMMON),
    ("plane felloe", "felloe", "felloe", 8, COMMON),
    ("offer up", "felloe", "felloe", 5, COMMON),
    ("cut joint", "felloe", "felloe", 5, COMMON),
    ("bore tongue hole", "felloe", "spoke", 3, COMMON),
    ("dowel joint", "felloe", "felloe", 6, COMMON),
    ("chamfer", "felloe", "felloe", 6, OPTIONAL),
    ("put on the rim", "felloe", "felloe", 8, COMMON),
    ("wedge tongue", "spoke", "spoke", 2, COMMON),
    ("make good tongue", "spoke", "spoke", 5, RARE),
    ("clean off", "wheel", 1, 45, COMMON),
    ("run wheel", "tyre", 1, 8, COMMON),
    ("bend and weld", "tyre", 1, 60, COMMON),
    ("roll and weld channel", "tyre", 1, 75, RARE),
    ("fire", "tyre", 1, 75, COMMON),
    ("shrink on tyre", "tyre", 1, 15, COMMON),
    ("bolt", "tyre", "felloe", 7, OPTIONAL),
    ("fit rubber", "tyre", 1, 45, RARE),
    ("draw old box", "box", 1, 20, OPTIONAL),
    ("fit box", "box", 1, 50, COMMON),
    ("coat", "finish", 5, 25, COMMON),
    ("line", "finish", 1, 75, OPTIONAL),
    ("trim half-rim", "felloe", 2, 20, NEVER),
    ("spring on half-rim", "felloe", 2, 25, NEVER),
    ("mitre foot", "spoke", "spoke", 8, NEVER),
)


@dataclass(frozen=True)
class Nature:
    """What sort of shop is drawn: the spreads that a stressed one has otherwise."""

    order: float = 0.12
    hand: float = 0.15
    hand_at_operation: float = 0.08
    wheel: float = 0.05
    wheel_at_operation: float = 0.08
    left_running: float = 0.015
    cut_short: float = 0.003


STRESSED = {
    "orders alike": Nature(order=0.02),
    "orders unlike": Nature(order=0.30),
    "hands unlike": Nature(hand=0.40),
    "wheels unlike": Nature(wheel_at_operation=0.30),
    "no strays": Nature(left_running=0.0, cut_short=0.0),
    "many strays": Nature(left_running=0.085, cut_short=0.015),
}


@dataclass(frozen=True)
class Shop:
    """The truth, by operation (O), by hand (H) or both (H, O)."""

    nature: Nature
    level: Floats
    size_exponent: Floats
    variation: Floats
    run_exponent: Floats
    setting_up: Floats
    operation_in_order: Floats
    chance: Floats
    book: Floats
    hand: Floats
    hand_at_operation: Floats
    main_hand: Ints
    habits: Floats

    def turned_to_rare_work(self) -> "Shop":
        return replace(self, chance=np.maximum(self.chance, MADE_COMMON))


def pieces_of(spokes: Ints) -> Ints:
    """Pieces of each operation for wheels of so many spokes: operations along the last axis."""
    counts = {"spoke": spokes, "felloe": spokes // 2}
    return np.stack(
        [counts[per] if isinstance(per, str) else np.full_like(spokes, per) for _, _, per, _, _ in OPERATIONS], -1
    )


def run_factor(number: Ints, exponent: Floats) -> Floats:
    """What the piece of that number in its run takes, to the first piece's 1."""
    return np.minimum(number, NO_GAIN_AFTER) ** exponent


def draw_shop(seed: int, nature: Nature = Nature()) -> Shop:
    chance = np.random.default_rng([seed, 1])
    count = len(OPERATIONS)
    one_a_wheel = np.array([per == 1 for _, _, per, _, _ in OPERATIONS])
    listed = np.array([minutes for _, _, _, minutes, _ in OPERATIONS])
    shop = Shop(
        nature=nature,
        level=listed * np.exp(chance.normal(0, 0.20, count)),
        size_exponent=np.clip(chance.normal(0.8, 0.25, count), 0, 1.4),
        variation=chance.uniform(0.15, 0.40, count),
        run_exponent=np.log2(chance.uniform(0.85, 0.95, count)),
        setting_up=np.where(one_a_wheel, chance.uniform(0.1, 0.5, count), chance.uniform(0.3, 2.5, count)),
        operation_in_order=chance.uniform(0.08, 0.18, count),
        chance=_chances(chance),
        book=np.full(count, np.nan),
        hand=chance.normal(0, nature.hand, HANDS),
        hand_at_operation=chance.normal(0, nature.hand_at_operation, (HANDS, count)),
        main_hand=chance.integers(0, HANDS, count),
        habits=chance.dirichlet([2.5, 1.2, 1.2], HANDS),
    )
    return replace(shop, book=_book_times(shop, chance))


def _chances(chance: np.random.Generator) -> Floats:
    often = {COMMON: (0.95, 0.95), OPTIONAL: (0.1, 0.7), RARE: (0.01, 0.05), NEVER: (0.0, 0.0)}
    return np.array([chance.uniform(*often[how]) for *_, how in OPERATIONS])


def _book_times(shop: Shop, chance: np.random.Generator) -> Floats:
    """What the shop's book says: a run of two usual wheels by the piece, guessed, and for some operations nothing."""
    pieces = 2 * pieces_of(np.array(USUAL_SPOKES))
    runs = np.array([run_factor(np.arange(1, n + 1), b).sum() for n, b in zip(pieces, shop.run_exponent, strict=True)])
    true = shop.level * (shop.setting_up + runs) / pieces
    guessed = true * np.exp(chance.normal(-0.10, 0.35, len(true)))
    return np.where(chance.random(len(true)) < 0.70, guessed, np.nan)


@dataclass(frozen=True)
class Orders:
    """Orders of a shop. A batch is one operation in one order; a cell is what of a batch belongs to one wheel."""

    count: int
    inches: Floats
    wheel_order: Ints
    batch_order: Ints
    batch_operation: Ints
    batch_hand: Ints
    cell_batch: Ints
    cell_wheel: Ints
    cell_pieces: Ints

    @property
    def cell_before(self) -> Ints:
        """Pieces of the batch that were made before the cell's first."""
        ends = np.cumsum(self.cell_pieces)
        starts = ends - self.cell_pieces
        return starts - starts[_first_of_each(self.cell_batch)][self.cell_batch]


def _first_of_each(groups: Ints) -> Ints:
    return np.flatnonzero(np.diff(groups, prepend=-1))


def draw_orders(shop: Shop, count: int, seed: int) -> Orders:
    chance = np.random.default_rng([seed, 2])
    wheels = chance.choice([1, 2, 4], count, p=[0.35, 0.35, 0.30])
    apart = (wheels == 4) & (chance.random(count) < 0.5)
    small = chance.integers(30, np.where(apart, 51, 57))
    wheel_order = np.repeat(np.arange(count), wheels)
    place = np.arange(len(wheel_order)) - np.repeat(np.cumsum(wheels) - wheels, wheels)
    inches = (small[wheel_order] + 6 * (apart[wheel_order] & (place >= 2))).astype(float)
    spokes = 10 + 2 * np.round((inches - 30) / 26 * 3).astype(int)
    wanted = chance.random((count, len(shop.level))) < shop.chance
    batch_order, batch_operation = np.nonzero(wanted)
    hand = shop.main_hand[batch_operation]
    others = (hand + chance.integers(1, HANDS, len(hand))) % HANDS
    cell_batch = np.repeat(np.arange(len(batch_order)), wheels[batch_order])
    within = np.arange(len(cell_batch)) - _first_of_each(cell_batch)[cell_batch]
    cell_wheel = (np.cumsum(wheels) - wheels)[batch_order[cell_batch]] + within
    return Orders(
        count=count,
        inches=inches,
        wheel_order=wheel_order,
        batch_order=batch_order,
        batch_operation=batch_operation,
        batch_hand=np.where(chance.random(len(hand)) < 0.75, hand, others),
        cell_batch=cell_batch,
        cell_wheel=cell_wheel,
        cell_pieces=pieces_of(spokes)[cell_wheel, batch_operation[cell_batch]],
    )
