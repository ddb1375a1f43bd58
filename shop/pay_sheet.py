"""A pay sheet as its page, its paper and its file show it: draft or closed, the same words and figures."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date
from fractions import Fraction

from jobs.durations import hours_and_minutes
from shop.csv_safe import Cell
from shop.models import PaySheet, Shop
from shop.money import MILLI, format_millipence, format_pence, round_half_up
from shop.pay.reckoning import Reckoned, from_json
from shop.pay.sheet import (
    ADJUSTMENT,
    BONUS,
    GUARANTEE,
    HOURS,
    LAW,
    OVERTIME,
    OVERTIME_PIECES,
    PIECES,
    SECONDS_IN_AN_HOUR,
    Day,
    Line,
)
from shop.pay_reckoned import Period
from shop.pay_runs import DraftSheet, Late, period_in_words

HEADINGS = {
    PIECES: "Pieces",
    HOURS: "Hours",
    GUARANTEE: "Guarantee",
    BONUS: "Bonus",
    LAW: "By law",
    OVERTIME: "By law",
    OVERTIME_PIECES: "By law",
    ADJUSTMENT: "Earlier periods",
}
# Lines of so many hours at so much; one hour is hours too.
BY_THE_HOUR = (HOURS, OVERTIME)
BY_THE_PIECE = (PIECES, OVERTIME_PIECES)
HEADER = ("hand", "first_day", "last_day", "kind", "what", "quantity", "unit", "rate_pence", "amount_pence")


@dataclass(frozen=True, slots=True)
class LineTold:
    """One line in words; `pence` is rounded by itself."""

    kind: str
    name: str
    quantity: str
    rate: str
    pence: int

    @property
    def heading(self) -> str:
        return HEADINGS[self.kind]


@dataclass(frozen=True, slots=True)
class DayTold:
    """One day that the sheet was reckoned from."""

    on: date
    hours: str
    at_pieces: str
    pieces: str


@dataclass(frozen=True, slots=True)
class SheetTold:
    """What one hand is paid for a period, and why."""

    hand: str
    first: date
    last: date
    lines: tuple[LineTold, ...]
    days: tuple[DayTold, ...]
    said: tuple[str, ...]
    rules: str
    caution: str
    currency: str
    gross_pence: int

    @property
    def period(self) -> str:
        return period_in_words(self.first, self.last)

    @property
    def rounded_over(self) -> int:
        """Pence by which the lines, each rounded by itself, come to more than what is paid."""
        return sum(line.pence for line in self.lines) - self.gross_pence

    @property
    def why(self) -> str:
        """The sum in one sentence: "Pieces £204.00, hours £96.25, guarantee £12.00"."""
        sums: dict[str, int] = {}
        for line in self.lines:
            sums[line.heading] = sums.get(line.heading, 0) + line.pence
        told = ", ".join(
            f"{name.lower()} {format_pence(pence, self.currency)}" for name, pence in sums.items() if pence
        )
        return f"{told[:1].upper()}{told[1:]}." if told else "Nothing is earned in it."

    def sum_of(self, *kinds: str) -> int:
        """Pence of the lines of some kinds, each rounded by itself."""
        return sum(line.pence for line in self.lines if line.kind in kinds)


def of_draft(sheet: DraftSheet, period: Period, shop: Shop) -> SheetTold:
    """A sheet that is not closed yet."""
    rules = period.settings.by_rules
    told = (sheet.hand, period.first, period.last)
    lines = _adjusted(sheet.late, sheet.carried_pence)
    return _told(*told, sheet.reckoned, lines, rules.name, rules.caution, shop.currency, sheet.gross_pence)


def of_closed(row: PaySheet) -> SheetTold:
    """A closed sheet, from what it keeps. Expects its run, and its adjustments with theirs."""
    told, run = row.told, row.run
    carried = told.get("carried", {})
    later = row.adjustments.all()
    late = [Late(one.of_run, one.pence, carried.get(str(one.of_run_id), 0)) for one in later if one.of_run != run]
    left = sum(one.pence for one in later if one.of_run == run)
    return _told(
        told["hand"],
        run.first_on,
        run.last_on,
        from_json(told),
        _adjusted(late, left),
        told["rules"],
        told["caution"],
        told["currency"],
        row.gross_pence,
    )


def _told(
    hand: str,
    first: date,
    last: date,
    reckoned: Reckoned,
    adjusted: Iterable[LineTold],
    rules: str,
    caution: str,
    currency: str,
    gross_pence: int,
) -> SheetTold:
    lines = [_line(line, currency) for line in reckoned.lines]
    lines += adjusted
    days = tuple(_day(day) for day in reckoned.days)
    return SheetTold(hand, first, last, tuple(lines), days, reckoned.said, rules, caution, currency, gross_pence)


def _adjusted(late: Iterable[Late], carried_pence: int) -> list[LineTold]:
    """What earlier periods add and take, and what of that is left to the next pay."""
    lines = [LineTold(ADJUSTMENT, one.name, "", "", one.pence) for one in late]
    if carried_pence:
        lines.append(LineTold(ADJUSTMENT, "Still owed back: taken off the next pay", "", "", carried_pence))
    return lines


def _line(line: Line, currency: str) -> LineTold:
    rate = format_millipence(round_half_up(line.rate * MILLI), currency)
    if line.kind in BY_THE_PIECE:
        return LineTold(line.kind, line.name, str(line.quantity), rate, line.pence)
    if line.kind in BY_THE_HOUR:
        return LineTold(line.kind, line.name, hours_and_minutes(_seconds(line.quantity)), rate, line.pence)
    return LineTold(line.kind, line.name, "", "", line.pence)


def _seconds(hours: Fraction) -> int:
    return round_half_up(hours * SECONDS_IN_AN_HOUR)


def _day(day: Day) -> DayTold:
    pieces = ", ".join(f"{one.units} {one.name[:1].lower()}{one.name[1:]}" for one in day.pieces if one.units)
    at_pieces = hours_and_minutes(day.piece_seconds) if day.piece_seconds else ""
    return DayTold(day.on, hours_and_minutes(day.seconds) if day.seconds else "", at_pieces, pieces)


def file_rows(sheets: Iterable[PaySheet]) -> Iterator[list[Cell]]:
    """A row for each line of a run, as `HEADER` names them.

    Rounding has a row of its own, so that the column sums to what is paid. Amounts are whole minor units; rates are
    minor units, in decimals where they are parts of one.
    """
    for row in sheets:
        yield from line_rows(of_closed(row), from_json(row.told))


def line_rows(sheet: SheetTold, reckoned: Reckoned) -> Iterator[list[Cell]]:
    """The same of one sheet, closed or not."""
    whose = (sheet.hand, sheet.first, sheet.last)
    for line in reckoned.lines:
        yield [*whose, line.kind, line.name, *_measured(line), line.pence]
    for one in sheet.lines:
        if one.kind == ADJUSTMENT:
            yield [*whose, one.kind, one.name, 1, "sum", "", one.pence]
    if sheet.rounded_over:
        yield [*whose, "rounding", "Rounded once, over all lines", 1, "sum", "", -sheet.rounded_over]


def _measured(line: Line) -> tuple[Cell, Cell, Cell]:
    """Quantity, its unit, and the rate of one."""
    if line.kind in BY_THE_PIECE:
        return int(line.quantity), "pieces", decimal(line.rate)
    if line.kind in BY_THE_HOUR:
        return decimal(line.quantity), "hours", decimal(line.rate)
    return 1, "sum", ""


def decimal(number: Fraction) -> Cell:
    """At most six places, as many as it needs."""
    if number.denominator == 1:
        return int(number)
    return f"{float(number):.6f}".rstrip("0")
