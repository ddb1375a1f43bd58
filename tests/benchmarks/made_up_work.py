"""What orders of a made-up shop take: true minutes, what its hands wrote down of them, and the truth's own range."""

from dataclasses import dataclass

import numpy as np

from tests.benchmarks.made_up_shop import NO_GAIN_AFTER, USUAL_INCHES, Floats, Ints, Orders, Shop, run_factor

SETTING_UP_VARIES = 0.3
SINGLE, BY_WHEEL, LIKE_WHEELS = 0, 1, 2


@dataclass(frozen=True)
class Log:
    """What was written down: a row is one stretch, rows in the order of time. Diameters in inches."""

    order: Ints
    operation: Ints
    hand: Ints
    wheel: Ints
    inches: Floats
    pieces: Ints
    minutes: Floats

    def first_orders(self, count: int) -> "Log":
        kept = self.order < count
        return Log(*(getattr(self, name)[kept] for name in self.__dataclass_fields__))


def _log_sd(variation: Floats | float) -> Floats:
    """The log sd of a lognormal of that coefficient of variation."""
    return np.sqrt(np.log1p(np.square(variation)))


def _of_mean_one(chance: np.random.Generator, sd: Floats, shape: tuple[int, ...]) -> Floats:
    return np.exp(chance.normal(0, 1, shape) * sd - sd**2 / 2)


def _shared(shop: Shop, orders: Orders, chance: np.random.Generator) -> Floats:
    """Log of what each cell takes a first piece, with all that its order, batch and wheel do to it drawn anew."""
    operation = orders.batch_operation[orders.cell_batch]
    hand = orders.batch_hand[orders.cell_batch]
    draw = chance.standard_normal
    by_order = shop.nature.order * draw(orders.count)
    by_batch = shop.operation_in_order[orders.batch_operation] * draw(len(orders.batch_operation))
    by_wheel = shop.nature.wheel * draw(len(orders.inches))
    by_cell = shop.nature.wheel_at_operation * draw(len(operation))
    return (
        np.log(shop.level[operation])
        + shop.size_exponent[operation] * np.log(orders.inches[orders.cell_wheel] / USUAL_INCHES)
        + shop.hand[hand]
        + shop.hand_at_operation[hand, operation]
        + by_order[orders.batch_order[orders.cell_batch]]
        + by_batch[orders.cell_batch]
        + by_wheel[orders.cell_wheel]
        + by_cell
    )


def _setting_up(shop: Shop, orders: Orders, chance: np.random.Generator) -> Floats:
    usual = (shop.level * shop.setting_up)[orders.batch_operation]
    return usual * _of_mean_one(chance, _log_sd(SETTING_UP_VARIES), usual.shape)


def true_pieces(shop: Shop, orders: Orders, seed: int) -> tuple[Ints, Floats, Floats]:
    """The cell and minutes of every piece, and the minutes of every batch's setting-up."""
    chance = np.random.default_rng([seed, 3])
    cell = np.repeat(np.arange(len(orders.cell_batch)), orders.cell_pieces)
    within = np.arange(len(cell)) - np.repeat(np.cumsum(orders.cell_pieces) - orders.cell_pieces, orders.cell_pieces)
    operation = orders.batch_operation[orders.cell_batch[cell]]
    number = orders.cell_before[cell] + within + 1
    minutes = (
        np.exp(_shared(shop, orders, chance))[cell]
        * run_factor(number, shop.run_exponent[operation])
        * _of_mean_one(chance, _log_sd(shop.variation)[operation], number.shape)
    )
    return cell, minutes, _setting_up(shop, orders, chance)


def true_totals(shop: Shop, orders: Orders, seed: int) -> Floats:
    """Minutes that each order took, as one draw of the truth."""
    cell, minutes, setting_up = true_pieces(shop, orders, seed)
    of_order = orders.batch_order[orders.cell_batch[cell]]
    return np.bincount(of_order, minutes, orders.count) + np.bincount(orders.batch_order, setting_up, orders.count)


def true_quantiles(shop: Shop, orders: Orders, at: tuple[float, ...], seed: int, draws: int = 2000) -> Floats:
    """Quantiles of each order's minutes by so many draws from the true shop: shape (orders, quantiles).

    A cell's pieces are summed as one lognormal of the sum's own mean and variance.
    """
    chance = np.random.default_rng([seed, 4])
    operation = orders.batch_operation[orders.cell_batch]
    mean, relative_variance = _runs_of(shop, orders)
    sd = np.sqrt(np.log1p(relative_variance * shop.variation[operation] ** 2))
    of_order = orders.batch_order[orders.cell_batch]
    totals = np.empty((draws, orders.count))
    for each in range(draws):
        cells = np.exp(_shared(shop, orders, chance)) * mean * _of_mean_one(chance, sd, sd.shape)
        totals[each] = np.bincount(of_order, cells, orders.count)
        totals[each] += np.bincount(orders.batch_order, _setting_up(shop, orders, chance), orders.count)
    return np.quantile(totals, at, axis=0).T


def _runs_of(shop: Shop, orders: Orders) -> tuple[Floats, Floats]:
    """Of each cell the sum of its pieces' run factors, and of their squares to the square of that sum."""
    most = int((orders.cell_before + orders.cell_pieces).max())
    number = np.minimum(np.arange(1, most + 1), NO_GAIN_AFTER)
    factor = number ** shop.run_exponent[:, None]
    sums = np.pad(np.cumsum(factor, 1), ((0, 0), (1, 0)))
    squares = np.pad(np.cumsum(factor**2, 1), ((0, 0), (1, 0)))
    operation = orders.batch_operation[orders.cell_batch]
    start, end = orders.cell_before, orders.cell_before + orders.cell_pieces
    total = sums[operation, end] - sums[operation, start]
    return total, (squares[operation, end] - squares[operation, start]) / total**2


def write_log(shop: Shop, orders: Orders, seed: int) -> Log:
    """What the hands wrote down, each by habit: pieces one by one, by the wheel, or like wheels in one lump."""
    chance = np.random.default_rng([seed, 5])
    cell, minutes, setting_up = true_pieces(shop, orders, seed)
    batch = orders.cell_batch[cell]
    first_of_batch = np.flatnonzero(np.diff(batch, prepend=-1))
    minutes[first_of_batch] += setting_up
    habit = (shop.habits.cumsum(1)[orders.batch_hand] < chance.random((len(setting_up), 1))).sum(1)
    wheel = orders.cell_wheel[cell]
    begins = np.diff(batch, prepend=-1) != 0
    begins |= habit[batch] == SINGLE
    begins |= (habit[batch] == BY_WHEEL) & (np.diff(wheel, prepend=-1) != 0)
    begins |= np.diff(orders.inches[wheel], prepend=-1.0) != 0
    starts = np.flatnonzero(begins)
    true = np.add.reduceat(minutes, starts)
    coarse = chance.choice([1.0, 5.0], len(setting_up))
    step = np.where(habit == SINGLE, 0.1, coarse)[batch[starts]]
    written = true * _clock_errors(shop, len(starts), chance)
    return Log(
        order=orders.batch_order[batch[starts]],
        operation=orders.batch_operation[batch[starts]],
        hand=orders.batch_hand[batch[starts]],
        wheel=wheel[starts],
        inches=orders.inches[wheel[starts]],
        pieces=np.diff(starts, append=len(cell)),
        minutes=np.maximum(np.round(written / step), 1) * step,
    )


def _clock_errors(shop: Shop, count: int, chance: np.random.Generator) -> Floats:
    """What a row's minutes are multiplied by: 1 but for a clock left running, or started late."""
    luck = chance.random(count)
    long, short = shop.nature.left_running, shop.nature.cut_short
    return np.where(
        luck < long,
        chance.uniform(5, 20, count),
        np.where(luck < long + short, chance.uniform(0.1, 0.3, count), 1.0),
    )
