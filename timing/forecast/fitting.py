"""The fit: rounds of solving for the numbers, learning the variances, and judging what strays, until nothing moves."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from timing.forecast.arrays import Floats, summed
from timing.forecast.assumptions import Assumptions
from timing.forecast.descent import Round, Scaled, descend
from timing.forecast.nested import Shared
from timing.forecast.priors import OWN, Places, Said, places_for, said_beforehand, said_by_book
from timing.forecast.rows import Rows
from timing.forecast.runs import run_sums
from timing.forecast.solving import Solution, seen_of_said
from timing.forecast.spreads import Seen, Variances, first_variances, learnt, learnt_alike
from timing.forecast.strays import chance_of_being_sound, share_of_strays
from timing.forecast.work import Operation

MOST_ROUNDS = 200
STILL = 5e-3
# Beyond these a run or a setting-up is none: they only keep a round from leaping.
EXPONENTS = (-1.0, 0.3)
LOG_SETTING_UP = (-30.0, 3.0)


@dataclass(frozen=True, slots=True)
class Fitted:
    """The end of the rounds: numbers with their places, variances, and each row's chance that it does not stray."""

    places: Places
    solution: Solution
    variances: Variances
    sound: Floats
    residual: Floats
    rounds: int


@dataclass(frozen=True, slots=True)
class Touching:
    """Where the line touches the curve: run exponents and logs of setting-up, a row each (Gauss and Newton's method).

    Where a step turns back on the last one its pace is halved: where there is no setting-up at all, a full step leaps
    to and fro across the place for ever.
    """

    at: Floats
    step: Floats
    pace: Floats

    def nearer(self, found: Floats) -> "Touching":
        bounds = np.array([EXPONENTS, LOG_SETTING_UP])
        step = np.clip(found, bounds[:, :1], bounds[:, 1:]) - self.at
        pace = np.where(step * self.step < 0, self.pace / 2, np.minimum(1.2 * self.pace, 1.0))
        return Touching(self.at + pace * step, step, pace)


def _first_touching(operations: Sequence[Operation], assumed: Assumptions) -> Touching:
    many = np.array([one.pieces_a_wheel > 1 for one in operations])
    log_setting_up = np.where(many, assumed.setting_up_many.mean, assumed.setting_up_one.mean)
    at = np.stack([np.full(len(operations), assumed.run.mean), log_setting_up])
    return Touching(at, np.zeros_like(at), np.ones_like(at))


def fit_rows(
    rows: Rows, operations: Sequence[Operation], hands: int, assumed: Assumptions, still: float = STILL
) -> Fitted:
    """Fit numbers and variances to the rows. Without rows it is what is said beforehand, book times among it."""
    places = places_for(operations, hands, len(rows.pair_hand))
    beforehand = said_beforehand(operations, places, assumed)
    touching = _first_touching(operations, assumed)
    said = [*beforehand, said_by_book(operations, places, assumed, *touching.at)]
    variances = first_variances(said, assumed, len(operations))
    sound = np.ones(len(rows.log_minutes))
    numbers = np.full(places.count, np.inf)
    rounds, moved = 0, math.inf
    while moved > still and rounds < MOST_ROUNDS:
        rounds += 1
        said = [*beforehand, said_by_book(operations, places, assumed, *touching.at)]
        scaled = _scale(rows, variances, *touching.at)
        found = descend(rows, scaled, places, said, variances, sound)
        # First what strays, and then how unlike the rest is: a clock left running must not widen the round's spreads.
        judged = chance_of_being_sound(
            found.residual, found.mean_variance, scaled.own, sound, variances.stray_share, assumed
        )
        sound = np.where(rows.counted, 1.0, judged)
        learnt_now = _learn(rows, scaled, said, variances, found, sound, assumed)
        before, numbers = numbers, found.solution.numbers
        touching = touching.nearer(numbers[: places.hand].reshape(-1, OWN)[:, 2:].T)
        moved = max(
            float(np.abs(numbers - before).max()), float(np.abs(touching.step).max()), _moved(variances, learnt_now)
        )
        variances = learnt_now
    return Fitted(places, found.solution, variances, sound, found.residual, rounds)


def _scale(rows: Rows, variances: Variances, exponent: Floats, log_setting_up: Floats) -> Scaled:
    """Rows as a straight line sees them. A lognormal's log is short of the log of its mean by half its variance."""
    kinds = run_sums(rows.kind_operation, rows.kind_before, rows.kind_pieces, exponent, log_setting_up)
    turned = (
        kinds.by_exponent * exponent[rows.kind_operation] + kinds.by_setting_up * log_setting_up[rows.kind_operation]
    )
    own = np.log1p(variances.piece[rows.kind_operation] * kinds.spread)[rows.kind] + rows.rounding
    group = np.log1p(variances.wheel.value / rows.group_wheels)
    seen = rows.log_minutes + (turned - np.log(kinds.total))[rows.kind] + (own + group[rows.row_group]) / 2
    columns = [np.ones(len(own)), rows.size, kinds.by_exponent[rows.kind], kinds.by_setting_up[rows.kind], seen]
    return Scaled(columns, own, group, variances.batch[rows.batch_operation])


def _learn(
    rows: Rows,
    scaled: Scaled,
    said: list[Said],
    variances: Variances,
    found: Round,
    sound: Floats,
    assumed: Assumptions,
) -> Variances:
    """Variances of what this round found of the effects that they stand for."""
    operations = len(variances.batch)
    left = sound * found.mean_variance / scaled.own
    share = np.clip((scaled.own - rows.rounding) / scaled.own, 0.0, 1.0)
    piece, piece_degrees = learnt_alike(
        assumed.piece,
        assumed.pieces_alike,
        variances.piece * summed(rows.operation, sound * share * found.residual**2 / scaled.own, operations),
        summed(rows.operation, share * (sound - left), operations),
    )
    batch, batch_degrees = learnt_alike(
        assumed.batch,
        assumed.batches_alike,
        summed(rows.batch_operation, found.batch.mean**2, operations),
        summed(rows.batch_operation, _settled(found.batch, scaled.batch), operations),
    )
    wheel = Seen(
        variances.wheel.value * float((found.group.mean**2 / np.maximum(scaled.group, 1e-12)).sum()),
        float(_settled(found.group, scaled.group).sum()),
    )
    order = Seen(
        float((found.solution.order_effect**2).sum()),
        rows.orders - float(found.solution.order_variance.sum()) / max(variances.order.value, 1e-12),
    )
    return replace(
        variances,
        said={one.name: learnt(one.spread, seen_of_said(one, variances, found.solution)) for one in said},
        order=learnt(assumed.order, order),
        wheel=learnt(assumed.wheel, wheel),
        batch=batch,
        batch_degrees=batch_degrees,
        piece=piece,
        piece_degrees=piece_degrees,
        stray_share=share_of_strays(sound, assumed),
    )


def _settled(shared: Shared, prior_variance: Floats) -> Floats:
    return 1 - shared.variance / np.maximum(prior_variance, 1e-12)


def _moved(before: Variances, after: Variances) -> float:
    """How far the variances moved, at most, as a part of themselves: those that a forecast leans on."""
    old = np.concatenate([before.batch, before.piece, [before.order.value, before.wheel.value]])
    new = np.concatenate([after.batch, after.piece, [after.order.value, after.wheel.value]])
    return float(np.abs(np.log(np.maximum(new, 1e-9) / np.maximum(old, 1e-9))).max(initial=0.0))
