"""What a law may ask of a hand, and what its judgement comes to. No database."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date

from shop.pay.great_britain import Rated
from shop.pay.overtime_pieces import InOvertime
from shop.pay.sheet import Line
from shop.pay.united_states import Agreement


@dataclass(frozen=True, slots=True)
class Person:
    """The age on the period's first day (None: a grown hand's), and what was agreed.

    `rated` is of operations by their ids. `in_overtime` is what was made in the overtime hours of each workweek, by
    its Monday, for who has an agreement on that.
    """

    age: int | None = None
    at_apprentice_rate: bool = False
    rated: Mapping[int, Rated] = field(default_factory=dict)
    hours_are_controlled: bool = True
    agreements: tuple[Agreement, ...] = ()
    in_overtime: Mapping[date, InOvertime] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Judged:
    """Lines that the law adds, and what was found: a sentence for each check, whether or not it added anything."""

    lines: tuple[Line, ...] = ()
    said: tuple[str, ...] = ()
