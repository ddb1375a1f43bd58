"""How well each operation's own time in an order is forecast, where orders' totals say little of the rare ones.

    OPENBLAS_NUM_THREADS=1 python -m tests.benchmarks.judging_operations --shops 20 --sizes 4 15 80 600

prints, for each size of log, what came of each kind of operation: how many of the ranges from 10 to 90 % held, how
wide they were (the ends' ratio, its geometric mean), and by what part the times were off the medians.
"""

import argparse
from collections import defaultdict
from collections.abc import Iterable

import numpy as np

from tests.benchmarks.judging import HAND_NAMES, lines_of, listed, rows_of
from tests.benchmarks.made_up_shop import OPERATIONS, Floats, Orders, Shop, draw_orders, draw_shop
from tests.benchmarks.made_up_work import true_pieces, write_log
from timing.forecast import Fit, fit_timings, forecast_lines

HELD_OUT = 60


def true_minutes(shop: Shop, orders: Orders, seed: int) -> Floats:
    """Minutes that each batch took: an operation in an order."""
    cell, minutes, setting_up = true_pieces(shop, orders, seed)
    return np.bincount(orders.cell_batch[cell], minutes, len(setting_up)) + setting_up


def said_of_batches(fit: Fit, orders: Orders) -> Floats:
    """Of each batch what it takes at 10, 50 and 90 %, forecast with all its order."""
    said = []
    for lines in lines_of(orders):
        forecasts = forecast_lines(fit, lines)
        operations, first = np.unique(forecasts.operation, return_index=True)
        for operation in operations[np.argsort(first)].tolist():
            whole = forecasts.of(np.flatnonzero(forecasts.operation == operation).tolist())
            said.append([whole.quantile(chance) for chance in (0.1, 0.5, 0.9)])
    return np.array(said)


def kind_of(shop: Shop, fit: Fit, operation: int) -> str:
    """How common an operation is; or, where the log has none, whether the book knows it."""
    if fit.timed[operation]:
        return OPERATIONS[operation][4]
    return "never timed, in the book" if np.isfinite(shop.book[operation]) else "never timed, in no book"


def judge(seeds: Iterable[int], sizes: list[int]) -> dict[tuple[int, str], Floats]:
    """By size of log and kind of operation: lows, medians, highs and what came, a row for each batch."""
    found: defaultdict[tuple[int, str], list[Floats]] = defaultdict(list)
    for seed in seeds:
        shop = draw_shop(seed)
        turned = shop.turned_to_rare_work()
        orders = draw_orders(turned, HELD_OUT, seed + 1_000_000)
        came = true_minutes(turned, orders, seed + 1_000_000)
        log = write_log(shop, draw_orders(shop, max(sizes), seed), seed)
        for size in sizes:
            fit = fit_timings(rows_of(log.first_orders(size)), listed(shop), HAND_NAMES).fit
            rows = np.column_stack([said_of_batches(fit, orders), came])
            for row, operation in zip(rows, orders.batch_operation.tolist(), strict=True):
                found[size, kind_of(shop, fit, operation)].append(row)
    return {key: np.array(rows) for key, rows in found.items()}


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("--shops", type=int, default=20)
    parser.add_argument("--first", type=int, default=1, help="number of the first shop")
    parser.add_argument("--sizes", type=int, nargs="+", default=[4, 15, 80, 600])
    given = parser.parse_args()
    found = judge(range(given.first, given.first + given.shops), given.sizes)
    for (size, kind), rows in sorted(found.items()):
        low, median, high, came = rows.T
        print(
            f"{size:4} orders, {kind:24} {len(rows):6} times: held {((low <= came) & (came <= high)).mean():.1%}, "
            f"ends ×{np.exp(np.log(high / low).mean()):.2f} apart, off {np.expm1(np.log(came / median).mean()):+.1%}"
        )


if __name__ == "__main__":
    main()
