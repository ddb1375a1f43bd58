"""A plan of bars must not keep a hand waiting: not for a dozen wheels, and not long for sixty."""

import random
import time

import pytest

from jobs.cutting import Piece, Plan, Stock, plan_bars

MM = 1_000_000


def tyres_and_bands(wheels: int, chance: random.Random) -> list[Piece]:
    """The tyre and two bands of so many wheels from one bar, each of its own length: the hardest that was met."""
    tyres = [Piece(round(chance.uniform(2400, 4500) * MM)) for _ in range(wheels)]
    return tyres + [Piece(round(chance.uniform(450, 950) * MM)) for _ in range(2 * wheels)]


def bands(wheels: int, chance: random.Random) -> list[Piece]:
    return [Piece(chance.randint(450, 950) * MM) for _ in range(2 * wheels)]


def timed(pieces: list[Piece]) -> tuple[float, Plan]:
    begun = time.process_time()
    plan = plan_bars(pieces, [Stock(6000 * MM)], kerf_nm=3 * MM)
    return time.process_time() - begun, plan


def yardstick() -> float:
    """Its processor's seconds for sorting a million numbers, on this machine as it is now."""
    chance = random.Random(1)
    numbers = [chance.random() for _ in range(1_000_000)]
    begun = time.process_time()
    sorted(numbers)
    return time.process_time() - begun


# A search that finds no proof ends by the clock, after 5 s: a machine that sorts twice as fast doubles its ratio.
@pytest.mark.parametrize("make", [tyres_and_bands, bands])
@pytest.mark.parametrize(("wheels", "most"), [(12, 6), (60, 60)])
def test_a_plan_costs_a_few_sortings_of_a_million_numbers(make, wheels: int, most: int) -> None:
    timed([Piece(2)])
    measure = yardstick()
    for seed in range(2):
        taken, plan = timed(make(wheels, random.Random(seed)))
        print(
            f"{wheels} wheels, {len(plan.bars)} bars, at least {plan.least_new}: {taken:.2f} s, "
            f"{taken / measure:.1f} times sorting a million"
        )
        assert plan.gap <= 1
        assert taken / measure < most
