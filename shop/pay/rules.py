"""The rules of pay that a shop may choose: each a module of dated data and pure sums, and one function here.

A rule looks at a hand's whole period and adds the lines that its law asks for; what it found it says in sentences. Each
names what it follows and as of when. None is legal advice, and none knows tax and stoppages.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from shop.pay import minimum_wage, workweeks
from shop.pay.great_britain import Rated
from shop.pay.person import Judged, Person
from shop.pay.sheet import PIECES, Day, Line, made_good, made_good_by_week

CAUTION = "Reckoned by the rules named here as of {as_of}; no legal advice. Local rules go before it."


@dataclass(frozen=True, slots=True)
class Rules:
    """One country's rules. `judge` is given the days of the period, its lines so far, and the person.

    `make_good` brings hours at pieces up to their guarantee, over what days together the rules ask.
    """

    key: str
    name: str
    as_of: date
    judge: Callable[[Sequence[Day], Sequence[Line], Person], Judged]
    make_good: Callable[[Sequence[Day]], list[Line]] = made_good

    @property
    def caution(self) -> str:
        return CAUTION.format(as_of=f"{self.as_of.day} {self.as_of:%B %Y}")


def _plain(days: Sequence[Day], lines: Sequence[Line], person: Person) -> Judged:
    return Judged(said=("No legal check is made: none was chosen in the settings.",))


RULES: Mapping[str, Rules] = {
    rules.key: rules
    for rules in (
        Rules("plain", "No legal check", date(2026, 11, 1), _plain),
        Rules("gb", "Great Britain: National Minimum Wage", date(2026, 4, 1), minimum_wage.judge),
        Rules("us", "United States: Fair Labor Standards Act", date(2026, 11, 1), workweeks.judge, made_good_by_week),
    )
}

__all__ = ["PIECES", "RULES", "Judged", "Person", "Rated", "Rules"]
