"""How a hand is paid from a day on, and what is counted of a piece: no database."""

from bisect import bisect_right
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date

# What the law asks by a hand's age or apprenticeship: the age that stands for each band.
BANDS: Mapping[str, int] = {"adult": 99, "young": 18, "school": 16, "apprentice": 16}


@dataclass(frozen=True, slots=True)
class Terms:
    """Whether pieces are paid at all, the band for the lowest wage, and whether the shop sets the hours."""

    by_pieces: bool = False
    band: str = "adult"
    hours_are_controlled: bool = True


@dataclass(frozen=True, slots=True)
class DatedTerms:
    """The terms of one hand: days in order, and what stands from each; the wage alone before the first."""

    days: tuple[date, ...] = ()
    terms: tuple[Terms, ...] = ()

    @classmethod
    def of(cls, rows: Iterable[tuple[date, Terms]]) -> "DatedTerms":
        """From rows in the order in which they were written down: the later of one day stands."""
        standing = dict(rows)
        days = tuple(sorted(standing))
        return cls(days, tuple(standing[day] for day in days))

    def with_entry(self, day: date, terms: Terms) -> "DatedTerms":
        """The same with one more entry: of a day that has one, the new one stands."""
        return DatedTerms.of([*zip(self.days, self.terms, strict=True), (day, terms)])

    def on(self, day: date) -> Terms:
        place = bisect_right(self.days, day)
        return self.terms[place - 1] if place else Terms()

    def of_period(self, first: date, last: date, *, there_from: date | None = None) -> Terms:
        """Those on its first day; of a hand that began within it, the first that it had.

        `there_from` is the day from which it was there, or had a wage: who was so before it had terms did not begin
        with them, and goes by what is usual until the next period.
        """
        begun = self.days[0] if self.days and first < self.days[0] <= last else first
        return self.on(first if there_from is not None and there_from < begun else begun)


@dataclass(frozen=True, slots=True)
class PaysSpoiled:
    """Of what spoiled a piece, which the shop pays for all the same."""

    reasons: frozenset[str] = field(default=frozenset({"timber"}))

    def paid_units(self, *, made: int, spoiled: int, lost: int, reason: str) -> int:
        """Units that are paid of one tally, or taken back where its counts are negated.

        What was made is paid. A piece spoiled for a reason that is paid earns one unit, that which was in hand; where
        units of the same work were on it already (`lost`), those were paid when they were made, and nothing is added.
        """
        if reason not in self.reasons:
            return made
        sign = -1 if spoiled < 0 else 1
        return made + sign * max(abs(spoiled) - abs(lost), 0)
