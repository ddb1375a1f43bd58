"""How unlike things are: variances, each learnt from the effects that it stands for, about a guess.

A variance is the sum of squares of its effects over the number of them that the data have truly settled, which is
their count less the share of each that is still prior: D. J. C. MacKay, "Bayesian interpolation", Neural Computation
4, 1992. Its fixed point is restricted maximum likelihood (D. A. Harville, Journal of the American Statistical
Association 72, 1977). A guess of weight n is a scaled inverse χ² with n degrees of freedom (A. Gelman and others,
Bayesian Data Analysis, 3rd ed. 2013, chapter 2), and so an effect to come is Student's t with the degrees that are
found.
"""

from dataclasses import dataclass

import numpy as np

from timing.forecast.arrays import Floats
from timing.forecast.assumptions import Assumptions, Spread
from timing.forecast.priors import LEAST_SD, Said


@dataclass(frozen=True, slots=True)
class Variance:
    """A variance, and the degrees of freedom that it rests on."""

    value: float
    degrees: float


@dataclass(frozen=True, slots=True)
class Variances:
    """All variances of a fit. `batch` and `piece` are the operations' own.

    `piece` and `wheel` are squared coefficients of variation, the others are of logs.
    """

    said: dict[str, Variance]
    order: Variance
    wheel: Variance
    batch: Floats
    batch_degrees: Floats
    piece: Floats
    piece_degrees: Floats
    stray_share: float


@dataclass(frozen=True, slots=True)
class Seen:
    """Of effects of one kind: their sum of squares, and how many of them the data have settled."""

    squares: float
    settled: float


def guessed(spread: Spread) -> Variance:
    return Variance(spread.guess**2, spread.weight)


def first_variances(said: list[Said], assumed: Assumptions, operations: int) -> Variances:
    """The guesses, before any timing."""
    return Variances(
        said={one.name: guessed(one.spread) for one in said},
        order=guessed(assumed.order),
        wheel=guessed(assumed.wheel),
        batch=np.full(operations, assumed.batch.guess**2),
        batch_degrees=np.full(operations, assumed.batches_alike),
        piece=np.full(operations, assumed.piece.guess**2),
        piece_degrees=np.full(operations, assumed.pieces_alike),
        stray_share=assumed.stray_share.mean,
    )


def learnt(spread: Spread, seen: Seen) -> Variance:
    """A variance of what was seen of it and what was guessed."""
    if spread.is_held:
        return guessed(spread)
    degrees = spread.weight + seen.settled
    if degrees <= 0:
        return guessed(spread)
    return Variance(max((spread.weight * spread.guess**2 + seen.squares) / degrees, LEAST_SD**2), degrees)


def learnt_alike(spread: Spread, alike: float, squares: Floats, settled: Floats) -> tuple[Floats, Floats]:
    """Variances of operations that are about alike, and the degrees of freedom of each.

    What they have in common is the mean of their own, each weighed by how well it is settled.
    """
    if spread.is_held:
        return np.full(len(squares), spread.guess**2), np.full(len(squares), np.inf)
    settled = np.maximum(settled, 0.0)
    weight = settled * alike / np.maximum(settled + alike, 1e-9)
    own = squares / np.maximum(settled, 1e-9)
    common = (spread.weight * spread.guess**2 + weight @ own) / max(spread.weight + weight.sum(), 1e-9)
    degrees = alike + settled
    return np.maximum((alike * common + squares) / np.maximum(degrees, 1e-9), LEAST_SD**2), degrees
