"""Whose hands a line of work goes through: one who is known, a stranger, or any hand as such work was shared so far."""

from dataclasses import dataclass

import numpy as np

from timing.forecast.fit import Fit


@dataclass(frozen=True, slots=True)
class Who:
    """The share of each hand and of its pair with the operation, and the variance for not knowing them better.

    A stranger's own effect is not in `variance`: all that a stranger does in an order has it in common.
    """

    hands: dict[int, float]
    pairs: dict[int, float]
    is_strange: bool
    variance: float


def who_works(fit: Fit, operation: int, hand: str | None) -> Who:
    """Who does an operation, given the place of it and the hand's name, or None for any hand."""
    shares, is_strange = _shares(fit, operation, hand)
    own = np.flatnonzero(fit.pairs[:, 0] == operation).tolist()
    hand_of = {pair: int(fit.pairs[pair, 1]) for pair in own if int(fit.pairs[pair, 1]) in shares}
    pairs = {pair: shares[worker] for pair, worker in hand_of.items()}
    # Hands who never did this before are to it as hands are at large.
    never = 1 - sum(pairs.values())
    variance = _between(fit, shares, hand_of) + never * fit.variances.said["pairs"].value
    return Who(shares, pairs, is_strange, variance)


def _shares(fit: Fit, operation: int, hand: str | None) -> tuple[dict[int, float], bool]:
    if hand is not None:
        known = hand in fit.hands
        return ({fit.hands.index(hand): 1.0} if known else {}), not known
    worked = fit.pairs[:, 0] == operation
    if not worked.any():
        # Nobody yet: anybody, as they share the rest of the work.
        worked = np.ones(len(fit.pairs), dtype=bool)
    hands = fit.pairs[worked, 1]
    places = fit.places
    effects = fit.numbers[places.hand + hands] + fit.numbers[places.pair + np.flatnonzero(worked)]
    # Of the work, not of the time: by the hour a slow hand would count for more than the pieces that go through it.
    work = np.bincount(hands, fit.pair_minutes[worked] / np.exp(effects), len(fit.hands))
    if work.sum() <= 0:
        return {}, True
    return {one: float(work[one] / work.sum()) for one in np.flatnonzero(work).tolist()}, False


def _between(fit: Fit, shares: dict[int, float], hand_of: dict[int, int]) -> float:
    """Variance between the hands that share the work, weighted by their shares."""
    places = fit.places
    effects = {hand: float(fit.numbers[places.hand + hand]) for hand in shares}
    for pair, hand in hand_of.items():
        effects[hand] += float(fit.numbers[places.pair + pair])
    mean = sum(share * effects[hand] for hand, share in shares.items())
    return sum(share * (effects[hand] - mean) ** 2 for hand, share in shares.items())
