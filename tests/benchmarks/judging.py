"""How good forecasts of a made-up shop are, beside its own truth and beside a plain mean.

    OPENBLAS_NUM_THREADS=1 python -m tests.benchmarks.judging --shops 20 --sizes 4 15 80 600

prints, for each size, the geometric means over the shops. The pinball loss (R. Koenker and G. Bassett, Econometrica
46, 1978) of each order is divided by the truth's own median, so that a large order counts no more than a small one.
So is the score of the whole forecast, which is beside the truth's own too.
"""

import argparse
import math
import time
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from scipy import stats

from tests.benchmarks.made_up_shop import (
    HANDS,
    OPERATIONS,
    STRESSED,
    Floats,
    Nature,
    Orders,
    Shop,
    draw_orders,
    draw_shop,
)
from tests.benchmarks.made_up_work import Log, true_quantiles, true_totals, write_log
from timing.forecast import Line, Operation, Timings, fit_timings, forecast_lines, timings, usual_pieces_a_wheel
from timing.forecast.scoring import pinball_losses, ranked_scores

AT = (0.1, 0.5, 0.9)
# Where the whole forecast is scored.
WHOLE = tuple((place + 0.5) / 10 for place in range(10))
NM_PER_INCH = 25_400_000
HAND_NAMES = tuple(f"hand {n}" for n in range(HANDS))
HELD_OUT = 300

# Quantiles at AT, and then at WHOLE, of each of the orders, of a shop's log.
Forecaster = Callable[[Shop, Log, Orders], Floats]


@dataclass(frozen=True)
class Score:
    """Pinball loss to the truth's own and the plain mean's, the whole to the truth's, and the share of ranges held."""

    to_truth: float
    to_plain: float
    whole: float
    held: float


def pinball(seen: Floats, quantiles: Floats) -> Floats:
    """Pinball loss at AT, meaned over them: seen is (n,), quantiles begin with (n, len(AT))."""
    losses = [pinball_losses(seen, quantiles[:, place], chance) for place, chance in enumerate(AT)]
    return np.mean(losses, axis=0)


def listed(shop: Shop) -> list[Operation]:
    """The operations as a shop tells them: what is in its list and its book, and nothing of the truth."""
    return [
        Operation(
            name,
            part,
            "wheel" if per == 1 else str(per),
            usual_pieces_a_wheel("wheel" if per == 1 else str(per)),
            None if math.isnan(book) else float(book),
        )
        for (name, part, per, *_), book in zip(OPERATIONS, shop.book, strict=True)
    ]


def rows_of(log: Log) -> Timings:
    return timings(
        order=log.order,
        operation=log.operation,
        hand=log.hand,
        wheel=log.wheel,
        size_nm=log.inches * NM_PER_INCH,
        pieces=log.pieces,
        minutes=log.minutes,
    )


def by_fit(shop: Shop, log: Log, orders: Orders) -> Floats:
    """The forecast that is judged."""
    fit = fit_timings(rows_of(log), listed(shop), HAND_NAMES).fit
    forecasts = [forecast_lines(fit, lines).of() for lines in lines_of(orders)]
    return np.array([[one.quantile(chance) for chance in (*AT, *WHOLE)] for one in forecasts])


def lines_of(orders: Orders) -> list[list[Line]]:
    """Each order as lines of work: like wheels of a batch in one line."""
    lines: list[list[Line]] = [[] for _ in range(orders.count)]
    inches = orders.inches[orders.cell_wheel]
    starts = np.flatnonzero((np.diff(orders.cell_batch, prepend=-1) != 0) | (np.diff(inches, prepend=-1.0) != 0))
    pieces = np.add.reduceat(orders.cell_pieces, starts)
    wheels = np.diff(starts, append=len(inches))
    for start, count, over in zip(starts.tolist(), pieces.tolist(), wheels.tolist(), strict=True):
        batch = orders.cell_batch[start]
        lines[orders.batch_order[batch]].append(
            Line(
                OPERATIONS[orders.batch_operation[batch]][0],
                count,
                over,
                float(inches[start] * NM_PER_INCH),
                HAND_NAMES[orders.batch_hand[batch]],
            )
        )
    return lines


def by_plain_mean(shop: Shop, log: Log, orders: Orders) -> Floats:
    """What a spreadsheet would say: mean minutes a piece times pieces, pieces independent, a normal range."""
    count = len(OPERATIONS)
    pieces = np.bincount(log.operation, log.pieces, count)
    with np.errstate(invalid="ignore", divide="ignore"):
        mean = np.bincount(log.operation, log.minutes, count) / pieces
        off = (log.minutes / log.pieces - mean[log.operation]) ** 2
        sd = np.sqrt(np.bincount(log.operation, off * log.pieces, count) / pieces)
    # Never timed: the book, or else all operations' mean.
    mean = np.where(np.isfinite(mean), mean, np.where(np.isfinite(shop.book), shop.book, np.nanmean(mean)))
    sd = np.where(np.isfinite(sd), sd, 0.3 * mean)
    cell_operation = orders.batch_operation[orders.cell_batch]
    cell_order = orders.batch_order[orders.cell_batch]
    total = np.bincount(cell_order, orders.cell_pieces * mean[cell_operation], orders.count)
    spread = np.sqrt(np.bincount(cell_order, orders.cell_pieces * sd[cell_operation] ** 2, orders.count))
    return total[:, None] + spread[:, None] * stats.norm.ppf((*AT, *WHOLE))


@dataclass(frozen=True)
class HeldOut:
    """Orders that a shop has not made yet, what they will take, and what the truth itself would have said."""

    orders: Orders
    minutes: Floats
    truth: Floats


def held_out(shop: Shop, seed: int, count: int = HELD_OUT, draws: int = 2000) -> HeldOut:
    orders = draw_orders(shop, count, seed + 1_000_000)
    truth = true_quantiles(shop, orders, (*AT, *WHOLE), seed, draws)
    return HeldOut(orders, true_totals(shop, orders, seed + 1_000_000), truth)


def kept(folder: Path | None, name: str, shop: Shop, seed: int) -> HeldOut:
    """The same with the slow part, the truth's own quantiles, kept in a folder from run to run."""
    if folder is None:
        return held_out(shop, seed)
    path = folder / f"{name}-{seed}-at-{len(AT) + len(WHOLE)}.npy"
    if not path.exists():
        np.save(path, held_out(shop, seed).truth)
    orders = draw_orders(shop, HELD_OUT, seed + 1_000_000)
    return HeldOut(orders, true_totals(shop, orders, seed + 1_000_000), np.load(path))


def score(shop: Shop, log: Log, ahead: HeldOut, forecaster: Forecaster = by_fit) -> Score:
    said = forecaster(shop, log, ahead.orders)
    median = ahead.truth[:, 1]

    def loss(quantiles: Floats) -> float:
        return float((pinball(ahead.minutes, quantiles) / median).mean())

    def whole(quantiles: Floats) -> float:
        return float((ranked_scores(ahead.minutes, quantiles[:, len(AT) :]) / median).mean())

    own = loss(said)
    held = (ahead.minutes >= said[:, 0]) & (ahead.minutes <= said[:, 2])
    return Score(
        to_truth=own / loss(ahead.truth),
        to_plain=own / loss(by_plain_mean(shop, log, ahead.orders)),
        whole=whole(said) / whole(ahead.truth),
        held=float(held.mean()),
    )


def mean_score(scores: Iterable[Score]) -> tuple[Score, float]:
    """Geometric means of the ratios with the mean share that ranges held, and the spread of the first ratio's log."""
    scores = list(scores)
    logs = np.log([[one.to_truth, one.to_plain, one.whole] for one in scores])
    return Score(*np.exp(logs.mean(0)).tolist(), float(np.mean([one.held for one in scores]))), float(logs[:, 0].std())


def judge(
    seeds: Iterable[int], sizes: list[int], name: str, nature: Nature, folder: Path | None
) -> dict[int, list[Score]]:
    found: dict[int, list[Score]] = {size: [] for size in sizes}
    for seed in seeds:
        shop = draw_shop(seed, nature)
        ahead = kept(folder, name, shop.turned_to_rare_work() if name == "rare" else shop, seed)
        log = write_log(shop, draw_orders(shop, max(sizes), seed), seed)
        for size in sizes:
            found[size].append(score(shop, log.first_orders(size), ahead))
    return found


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("--shops", type=int, default=20)
    parser.add_argument("--first", type=int, default=1, help="number of the first shop")
    parser.add_argument("--sizes", type=int, nargs="+", default=[4, 15, 80, 600])
    parser.add_argument("--forms", nargs="+", default=["main", "rare"], choices=["main", "rare", *STRESSED])
    parser.add_argument("--folder", type=Path, help="where the truth's own quantiles are kept from run to run")
    given = parser.parse_args()
    for form in given.forms:
        begun = time.perf_counter()
        seeds = range(given.first, given.first + given.shops)
        for size, scores in judge(seeds, given.sizes, form, STRESSED.get(form, Nature()), given.folder).items():
            mean, spread = mean_score(scores)
            print(
                f"{form:14} {size:4} orders: {mean.to_truth:.3f} of the truth's loss (sd {spread:.3f}), "
                f"{mean.whole:.3f} as a whole, {mean.to_plain:.2f} of the plain mean's, held {mean.held:.1%}",
                flush=True,
            )
        print(f"{form}: {given.shops} shops in {time.perf_counter() - begun:.0f} s")


if __name__ == "__main__":
    main()
