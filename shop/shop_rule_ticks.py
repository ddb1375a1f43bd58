"""The ticks of a rule: the finest round steps whose figures stand clear of each other."""

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from shop.shop_rule_labels import FIGURE_EM

GAP_EM = 0.6
MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")

Ticks = tuple["Tick", ...]


@dataclass(frozen=True, slots=True)
class Tick:
    """A line on the strip, at a place in the rule's unit; small ticks have no label."""

    at: float
    label: str = ""


def plain_figure(number: float) -> str:
    """A number in plain figures, as "0.25" or "9,999,956": no power of ten, no noughts after the point."""
    # The shortest text that reads back as this number; its figures are never those of a double's tail.
    whole, _, part = f"{Decimal(repr(number)):,f}".partition(".")
    part = part.rstrip("0")
    if part:
        return f"{whole}.{part}"
    return "0" if whole == "-0" else whole


def number_ticks(low: float, high: float, *, label: Callable[[float], str], width_em: float) -> Ticks:
    """Ticks from the round figure at or under `low` to that at or over `high`, labelled every 1, 2, 5, 10 …"""
    power = 10.0 ** math.floor(math.log10((high - low) / 10))
    steps = (base * scale * power for scale in (1, 10, 100) for base in (1, 2, 5))
    return _finest((_by_number(low, high, step, label) for step in steps), width_em)


def day_ticks(first: date, last: date, *, width_em: float) -> Ticks:
    """Ticks of days, at their ordinals: labelled each day, on Mondays, on firsts of months or by years."""
    last = max(last, date.fromordinal(first.toordinal() + 1))
    # More figures than this fit under no rule, and of many years there are tens of thousands of days to leave undrawn.
    most = width_em / FIGURE_EM
    return _finest(_by_day(first, last, most=most), width_em)


def _finest(candidates: Iterator[Ticks], width_em: float) -> Ticks:
    """The first that fits; or the last and coarsest, on a rule too narrow for any."""
    ticks: Ticks = ()
    for ticks in candidates:
        figures = [len(tick.label) * FIGURE_EM for tick in ticks if tick.label]
        if len(figures) * (max(figures) + GAP_EM) <= width_em + GAP_EM:
            break
    return ticks


def _by_number(low: float, high: float, step: float, label: Callable[[float], str]) -> Ticks:
    parts = 4 if f"{step:e}".startswith("2") else 5
    first, last = math.floor(low / step + 1e-9), math.ceil(high / step - 1e-9)
    return tuple(
        # Rounded, since a step such as 0.1 has no exact double and would print its tail.
        Tick(round(step * n / parts, 9), "" if n % parts else label(round(step * n / parts, 9)))
        for n in range(first * parts, last * parts + 1)
    )


def _by_day(first: date, last: date, *, most: float) -> Iterator[Ticks]:
    low, high = first.toordinal(), last.toordinal()
    if high - low < most:
        yield tuple(Tick(n, _day(n)) for n in range(low, high + 1))
    for days in (7, 14):
        if (high - low) / days > most:
            continue
        monday = low - first.weekday()
        end = monday + math.ceil((high - monday) / days) * days
        yield tuple(Tick(n, "" if (n - monday) % days else _day(n)) for n in range(monday, end + 1))
    for months in (1, 2, 3, 6):
        yield _by_month(first, last, step=months, small=1)
    for years in (1, 2, 5, 10, 25, 50, 100):
        yield _by_month(first, last, step=12 * years, small=3 * years)


def _by_month(first: date, last: date, *, step: int, small: int) -> Ticks:
    low, high = first.year * 12 + first.month - 1, last.year * 12 + last.month
    low -= low % step
    high += (low - high) % step
    return tuple(
        Tick(date(n // 12, n % 12 + 1, 1).toordinal(), "" if (n - low) % step else _month(n, step=step))
        for n in range(low, high + 1, small)
    )


def _month(month: int, *, step: int) -> str:
    """A month's name, but at January the year's, so that no figure is longer than "24 Feb"."""
    return str(month // 12) if step >= 12 or month % 12 == 0 else MONTHS[month % 12]


def _day(ordinal: int) -> str:
    day = date.fromordinal(ordinal)
    return f"{day.day} {MONTHS[day.month - 1]}"
