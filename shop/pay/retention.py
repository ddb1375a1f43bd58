"""How long records of work and pay must be kept: the last day of each, by the law of a country. Pure days.

What is here is the law of wages alone. Tax, accidents and data protection have terms of their own.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum


class Record(StrEnum):
    """A kind of record that a law, or the shop itself, wants kept."""

    SHEETS = "sheets"
    ATTENDANCE = "attendance"
    PIECES = "pieces"
    RATES = "rates"
    BONUSES = "bonuses"
    AGREEMENTS = "agreements"
    ORDERS = "orders"
    STORES = "stores"


# Everything of these sets a wage or shows that it was paid; orders and stores do not.
OF_WAGES = frozenset(Record) - {Record.ORDERS, Record.STORES}


@dataclass(frozen=True, slots=True)
class Term:
    """So many years by a law; `source` is told to people, `counts_from` ends the sentence "The years count from…"."""

    years: int
    source: str
    counts_from: str


@dataclass(frozen=True, slots=True)
class Entry:
    """One record, as far as its term goes.

    `last_on` is the day of the last entry in it, or the last on which a rate stood; `next_period_ends_on` the last day
    of the pay period after the one that it belongs to.
    """

    last_on: date
    next_period_ends_on: date


@dataclass(frozen=True, slots=True)
class Kept:
    """The last day on which a record must still be there, and by what: a law, or the shop's own years."""

    until: date
    source: str

    @property
    def free_from(self) -> date:
        """The first day on which it need not be kept any more."""
        return self.until + timedelta(days=1)


GREAT_BRITAIN_SINCE = date(2021, 4, 1)
GREAT_BRITAIN_YEARS, GREAT_BRITAIN_YEARS_BEFORE = 6, 3
_REGULATION_59 = Term(
    GREAT_BRITAIN_YEARS,
    "National Minimum Wage Regulations 2015, regulation 59",
    "the day on which the pay period after it ends",
)
_LAST_ENTRY = "the last entry in it"
_THREE_YEARS = Term(3, "29 CFR 516.5", _LAST_ENTRY)
_TWO_YEARS = Term(2, "29 CFR 516.6", _LAST_ENTRY)

# By the keys of `shop.pay.rules`; what is not named has no term in that law.
TERMS: Mapping[str, Mapping[Record, Term]] = {
    "plain": {},
    "gb": dict.fromkeys(OF_WAGES, _REGULATION_59),
    "us": {
        Record.SHEETS: _THREE_YEARS,
        Record.AGREEMENTS: Term(3, "29 CFR 516.5", "the last day on which it stood"),
        Record.ATTENDANCE: _TWO_YEARS,
        Record.PIECES: _TWO_YEARS,
        Record.RATES: Term(2, "29 CFR 516.6", "the last day on which it stood"),
        Record.BONUSES: _TWO_YEARS,
        Record.ORDERS: _TWO_YEARS,
        # With the records of what was delivered.
        Record.STORES: _TWO_YEARS,
    },
}
OWN_RULE = "the shop’s own rule"
FEWEST_YEARS, MOST_YEARS = 1, 99


def years_after(day: date, years: int) -> date:
    """The same day so many years on; 29 February becomes 1 March where there is none."""
    try:
        return day.replace(year=day.year + years)
    except ValueError:
        return date(day.year + years, 3, 1)


def great_britain_years(next_period_ends_on: date) -> int:
    """Six years, or the three of before 1 April 2021 where those had run out by then (NMWM12020).

    That a record which had still to be kept on that day is kept for six is the longer reading, taken where in doubt.
    """
    ended = years_after(next_period_ends_on, GREAT_BRITAIN_YEARS_BEFORE) <= GREAT_BRITAIN_SINCE
    return GREAT_BRITAIN_YEARS_BEFORE if ended else GREAT_BRITAIN_YEARS


def great_britain_keeps_until(next_period_ends_on: date, *, years: int | None = None) -> date:
    """The last day of the years that begin with the day on which the next pay reference period ends.

    National Minimum Wage Regulations 2015, regulation 59: `years` are those of the day, unless given.
    """
    years = great_britain_years(next_period_ends_on) if years is None else years
    return years_after(next_period_ends_on, years) - timedelta(days=1)


def united_states_keeps_until(last_entry_on: date, *, is_payroll: bool) -> date:
    """Three years for payroll (29 CFR 516.5), two for time cards, units and rate tables (516.6), from the entry."""
    return years_after(last_entry_on, 3 if is_payroll else 2) - timedelta(days=1)


def term_of(record: Record, rules: str) -> Term | None:
    """The term that a country's law of wages sets a kind of record; None where it sets none."""
    return TERMS[rules].get(record)


def fewest_years(rules: str) -> int:
    """How many years of its own a shop must set at the least: the longest of the law's, or one."""
    return max((term.years for term in TERMS[rules].values()), default=FEWEST_YEARS)


def kept_until(record: Record, entry: Entry, *, rules: Iterable[str], own_years: int) -> Kept:
    """Until when a record is kept: the latest day of the laws of `rules`, and of the shop's own years from the entry.

    Several rules count where a shop has changed them: what one of them asked for is not given up.
    """
    found = [Kept(years_after(entry.last_on, own_years) - timedelta(days=1), OWN_RULE)]
    for key in sorted(set(rules)):
        term = term_of(record, key)
        if term is None:
            continue
        if key == "gb":
            until = great_britain_keeps_until(entry.next_period_ends_on)
        else:
            until = years_after(entry.last_on, term.years) - timedelta(days=1)
        found.append(Kept(until, term.source))
    # Of two that end on one day the law is named.
    return max(found, key=lambda kept: (kept.until, kept.source != OWN_RULE))
