"""Rows of work, as a file names them, forecast: by order and by line."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

from shop.known_names import as_written, hands_by_name, operations_by_name
from timing.files.forecast_file import AskedRow
from timing.files.table import FileRefused
from timing.forecast import Fit, Forecast, Line, forecast_lines

CHANCES = (0.1, 0.5, 0.9)
# What one order may have of lines: each is set against each other.
MOST_LINES = 1000


@dataclass(frozen=True, slots=True)
class Asked:
    """Rows as lines of work, and the people whose work the shop never timed, each with their first line."""

    rows: Sequence[AskedRow]
    lines: list[Line]
    strangers: dict[str, int]


@dataclass(frozen=True, slots=True)
class Forecasts:
    """Minutes at `CHANCES`: of each order, in the order in which they come, and of each row alone."""

    orders: dict[str, list[float]]
    rows: list[list[float]]


def as_lines(rows: Sequence[AskedRow], fit: Fit) -> Asked:
    """Set rows against whom and what the shop knows. FileRefused with every line of an operation that it doesn't."""
    hands, operations = hands_by_name(), operations_by_name()
    lines, wrong = [], []
    strangers: dict[str, int] = {}
    for row in rows:
        operation = operations.get(as_written(row.operation))
        if operation is None:
            wrong.append(f"Line {row.line}: the shop knows no operation “{row.operation}”.")
            continue
        hand = None
        if row.person:
            user_id = hands.get(as_written(row.person))
            # Whoever was never timed is new to the fit, by whatever name; two of them are two.
            hand = str(user_id) if user_id else f"unknown: {as_written(row.person)}"
            if hand not in fit.hands:
                strangers.setdefault(row.person, row.line)
        lines.append(Line(operation.key, row.pieces, row.wheels, row.diameter_nm, hand))
    if wrong:
        raise FileRefused(wrong)
    return Asked(rows, lines, strangers)


def forecast(asked: Asked, fit: Fit) -> Forecasts:
    """Each order as one: its lines go together, as the fit has learnt that they do."""
    places: defaultdict[str, list[int]] = defaultdict(list)
    for place, row in enumerate(asked.rows):
        places[row.order].append(place)
    orders: dict[str, list[float]] = {}
    rows: list[list[float]] = [[] for _ in asked.rows]
    long = [order for order, its_own in places.items() if len(its_own) > MOST_LINES]
    if long:
        raise FileRefused([f"The order “{order}” has more than {MOST_LINES:,} lines." for order in long])
    for order, its_own in places.items():
        together = forecast_lines(fit, [asked.lines[place] for place in its_own])
        orders[order] = _minutes(together.of())
        for number, place in enumerate(its_own):
            rows[place] = _minutes(together.of([number]))
    return Forecasts(orders, rows)


def _minutes(one: Forecast) -> list[float]:
    return [one.quantile(chance) for chance in CHANCES]
