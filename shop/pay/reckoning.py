"""A hand's pay for a period, from its days: every line, what the chosen rules add and say. No database.

What comes out can be written as plain JSON and read back as it was: a sheet that is closed stands for ever.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import astuple, dataclass
from datetime import date
from fractions import Fraction
from typing import Any

from shop.pay.great_britain import NoRate
from shop.pay.rules import Judged, Person, Rules
from shop.pay.sheet import BONUS, Day, Line, PieceWork, earned, gross_pence


@dataclass(frozen=True, slots=True)
class Reckoned:
    """What a hand has earned in a period: lines, the days they come from, and what is to be said of them."""

    lines: tuple[Line, ...]
    days: tuple[Day, ...]
    said: tuple[str, ...] = ()

    @property
    def pence(self) -> int:
        """The whole, rounded once, half up."""
        return gross_pence(self.lines)


def reckon(
    days: Sequence[Day], bonuses: Iterable[tuple[str, int]], *, first: date, rules: Rules, person: Person
) -> Reckoned:
    """The lines of a period that begins on `first`: pieces, hours, guarantee, bonuses (name and pence), the law's."""
    lines = [*earned(days), *rules.make_good(days)]
    lines += [Line(BONUS, name, Fraction(1), Fraction(pence), Fraction(pence)) for name, pence in bonuses]
    judged = _judged(days, lines, first, rules, person) if days else Judged()
    return Reckoned((*lines, *judged.lines), tuple(days), judged.said)


def _judged(days: Sequence[Day], lines: Sequence[Line], first: date, rules: Rules, person: Person) -> Judged:
    """The rules look at the period from its first day, whether or not the hand was there on it."""
    try:
        return rules.judge([Day(first, 0, 0), *days], lines, person)
    except NoRate as unknown:
        return Judged(said=(str(unknown),))


def as_json(reckoned: Reckoned) -> dict[str, Any]:
    """Plain values; fractions as texts, so that nothing is lost."""
    return {
        "lines": [
            [line.kind, line.name, str(line.quantity), str(line.rate), str(line.amount)] for line in reckoned.lines
        ],
        "days": [
            {
                "on": day.on.isoformat(),
                "seconds": day.seconds,
                "wage": day.wage,
                "guarantee": day.guarantee,
                "bonus": day.bonus,
                "pieces": [list(astuple(one)) for one in day.pieces],
            }
            for day in reckoned.days
        ],
        "said": list(reckoned.said),
    }


def from_json(told: Mapping[str, Any]) -> Reckoned:
    return Reckoned(
        tuple(
            Line(kind, name, Fraction(quantity), Fraction(rate), Fraction(amount))
            for kind, name, quantity, rate, amount in told["lines"]
        ),
        tuple(
            Day(
                date.fromisoformat(day["on"]),
                day["seconds"],
                day["wage"],
                tuple(PieceWork(*one) for one in day["pieces"]),
                day["guarantee"],
                day["bonus"],
            )
            for day in told["days"]
        ),
        tuple(told["said"]),
    )
