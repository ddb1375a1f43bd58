"""The page of one operation's times: the picture of its timings, what is usual, and what strays."""

import statistics
from dataclasses import dataclass
from datetime import date, tzinfo
from functools import cached_property

from jobs.models import Operation
from jobs.words import in_words
from shop.asked import Asked
from shop.day_book_page import Names
from shop.days import day_in_words
from shop.times_list import (
    PAIR,
    UsualOf,
    known_hands,
    piece_of,
    rests_on,
    runs_in_words,
    usual_of_all,
    usual_of_hands,
)
from shop.times_picture import Dot, Kind, Picture
from shop.times_strays import StrayRow, stray_rows
from shop.times_study import FEW_RUNS, Study, Sure, minutes_of_runs, studies, sure_of
from shop.times_words import counted, longer_in_words, minutes_shown, pieces_shown, span
from timing.usual import Newest, Timing, Usual

DAY_SECONDS = 24 * 3600
ALIKE = 0.05


@dataclass(frozen=True, slots=True)
class HandRow:
    """A hand's own usual time."""

    name: str
    each: str
    likely: str
    timings: int


class TimesPage:
    """Read with a constant number of queries. `hand_id` is whose timings alone are shown, None for all."""

    def __init__(
        self,
        operation: Operation,
        usual: Usual,
        newest: Newest,
        here: Asked,
        *,
        hand_id: int | None,
        left_out: frozenset[int],
        by_hand: bool,
    ) -> None:
        self.operation, self.usual, self.newest, self.here = operation, usual, newest, here
        self.hand_id, self._left_out, self.by_hand = hand_id, left_out, by_hand
        self.name = in_words(operation.name, here.words)
        self.piece = piece_of(operation, here.words)
        self.told: UsualOf | None = usual_of_all(usual, [operation.key]).get(operation.key)
        self._stray = {one.tally_id: one for one in usual.strays}
        self._names = Names()

    @property
    def each(self) -> str:
        return minutes_shown(self.told.each) if self.told else ""

    @property
    def likely(self) -> str:
        return span(*self.told.likely) if self.told else ""

    @property
    def run(self) -> str:
        """ "a run of 24": what the usual time is of, the pieces of a pair of wheels."""
        return f"a run of {pieces_shown(self.told.pair.pieces)}" if self.told else ""

    @property
    def rests_on(self) -> str:
        return rests_on(self.usual, self.operation.key, self.told)

    @property
    def from_whom(self) -> str:
        """ "498 timings, 3 hands, 14 orders": what the usual time was worked out from."""
        if self.told is None or not self.told.timed:
            return ""
        place = self.usual.fit.place_of(self.operation.key)
        hands = int((self.usual.fit.pairs[:, 0] == place).sum())
        about = self.usual.rests_on.get(self.operation.key)
        parts = [counted(self.told.timed, "timing"), counted(hands, "hand")]
        return ", ".join(parts + ([counted(about.orders, "order")] if about else []))

    @property
    def since(self) -> date | None:
        about = self.usual.rests_on.get(self.operation.key)
        return about.since if about else None

    @property
    def longer(self) -> str:
        return longer_in_words(self.told.longer) if self.told else ""

    @property
    def runs(self) -> str:
        return runs_in_words(self.told) if self.told else ""

    @property
    def setting_up(self) -> str:
        return minutes_shown(self.told.pair.setting_up) if self.told else ""

    @property
    def book_minutes(self) -> float | None:
        seconds = self.operation.book_seconds
        return seconds / 60 if seconds else None

    @property
    def book(self) -> str:
        return minutes_shown(self.book_minutes) if self.book_minutes else ""

    @property
    def to_write(self) -> str:
        """The minutes to write as book time: to a tenth as it is kept, and none where they are there already."""
        if self.told is None or not self.told.timed:
            return ""
        tenths = f"{round(self.told.each, 1):g}" if self.told.each < 1000 else f"{round(self.told.each)}"
        return "" if self.book_minutes is not None and tenths == f"{self.book_minutes:g}" else tenths

    @property
    def against_book(self) -> str:
        """What the book time means on a pair, whose run it is of: "On the 24 of a pair ... 42 minutes too short.\""""
        if self.told is None or self.book_minutes is None or not self.told.timed:
            return ""
        pieces = self.told.pair.pieces
        over = pieces * (round(self.told.each, 1) - self.book_minutes)
        if abs(round(self.told.each, 1) - self.book_minutes) < ALIKE:
            return "The book time is what is usual."
        of = "On a pair" if pieces == PAIR else f"On the {pieces_shown(pieces)} of a pair"
        return f"{of} the book time is {minutes_shown(abs(over))} minutes too {'short' if over > 0 else 'long'}."

    @cached_property
    def _sound(self) -> list[Timing]:
        """What is drawn as a dot and teaches: neither stray nor left out."""
        return [one for one in self.newest.timings if self._kind(one) == "one"]

    def _kind(self, one: Timing) -> Kind:
        if one.row.counts is False or (one.row.counts is None and one.row.tally_id in self._stray):
            return "stray"
        return "apart" if one.row.hand_id in self._left_out else "one"

    @cached_property
    def _columns(self) -> list[int]:
        """Hands of the timings shown, by name."""
        return sorted({one.row.hand_id for one in self.newest.timings}, key=self._names.of)

    @cached_property
    def picture(self) -> Picture | None:
        if not self.newest.timings:
            return None
        columns = {hand: place for place, hand in enumerate(self._columns)}
        zone, by = self.here.zone, "hand by hand" if self.by_hand else "by date"
        return Picture(
            dots=[
                Dot(_moment(one, zone), one.minutes_a_piece, self._kind(one), columns[one.row.hand_id])
                for one in self.newest.timings
            ],
            title=f"Each timing of “{self.name}” in minutes a {self.piece}, {by}. {self.in_words}",
            likely=self.told.likely if self.told else None,
            book=self.book_minutes,
            columns=[self._names.of(hand) for hand in self._columns] if self.by_hand else (),
        )

    @property
    def scale_top(self) -> str:
        return minutes_shown(self.picture.high) if self.picture else ""

    @property
    def has_apart(self) -> bool:
        return any(self._kind(one) == "apart" for one in self.newest.timings)

    @property
    def strays_shown(self) -> int:
        return sum(self._kind(one) == "stray" for one in self.newest.timings)

    @property
    def strays_told(self) -> str:
        """How many stray or are left out, and how many more a person has counted: "4, and 1 that counts"."""
        counted_in = sum(row.is_counted for row in self.strays)
        more = f", and {counted_in} that count{'s' if counted_in == 1 else ''}" if counted_in else ""
        return f"{len(self.strays) - counted_in}{more}"

    @property
    def days_shown(self) -> str:
        days = [one.row.done_on for one in self.newest.timings]
        first, last = min(days), max(days)
        return day_in_words(first) if first == last else f"{day_in_words(first)} to {day_in_words(last)}"

    @property
    def in_words(self) -> str:
        """What the picture shows, in words."""
        minutes = sorted(one.minutes_a_piece for one in self._sound)
        if len(minutes) < 2:
            return f"{counted(len(self.newest.timings), 'timing')}, {self.days_shown}."
        apart = len(self.newest.timings) - len(minutes) - self.strays_shown
        drawn = counted(len(minutes), "timing")
        low, middle, high = statistics.quantiles(minutes, n=4, method="inclusive")
        besides = [counted(self.strays_shown, "stray")] if self.strays_shown else []
        besides += [f"{counted(apart, 'timing')} of apprentices"] if apart else []
        strays = f" {' and '.join(besides)} besides." if besides else ""
        return (
            f"{drawn}, {self.days_shown}. Half of them lie between {minutes_shown(low)} and {minutes_shown(high)}, "
            f"the middle one is {minutes_shown(middle)}, the longest {minutes_shown(minutes[-1])}.{strays}"
        )

    @cached_property
    def hands(self) -> list[HandRow]:
        """Each hand's usual time, of those who are in the picture and in the fit."""
        if self.told is None or not self.told.timed:
            return []
        known = known_hands(self.usual, self.operation.key)
        shown = [hand for hand in self._columns if hand in known and hand not in self._left_out]
        drawn = [one.row.hand_id for one in self._sound]
        return [
            HandRow(
                self._names.of(hand),
                minutes_shown(run.each),
                span(run.piece.quantile(0.1), run.piece.quantile(0.9)),
                drawn.count(hand),
            )
            for hand, run in usual_of_hands(self.usual, self.operation.key, shown).items()
        ]

    @cached_property
    def study(self) -> list[Study]:
        """How many timings the mean wants, on those that are drawn as dots and teach; none under two of them."""
        return studies([one.minutes_a_piece for one in self._sound])

    @cached_property
    def runs_drawn(self) -> list[float]:
        """Minutes a piece of each run that is drawn, a hand's work in one order, as in the run of a pair."""
        told = self.told
        return minutes_of_runs(self._sound, self.usual, self.operation.key, told.pair) if told else []

    @cached_property
    def sure(self) -> Sure | None:
        """What runs to come hold to, by those that are drawn; None where they are too few."""
        return sure_of(self.runs_drawn)

    @property
    def runs_wanted(self) -> str:
        """Why nothing is said with confidence yet."""
        there = len(self.runs_drawn)
        return f"nothing yet: that wants {FEW_RUNS} runs, and {there} {'is' if there == 1 else 'are'} drawn here"

    @property
    def studied(self) -> int:
        return len(self._sound)

    @cached_property
    def strays(self) -> list[StrayRow]:
        """Newest first: what strays of what is drawn, and what a person said of any of it."""
        return stray_rows(self.newest.timings, self._stray, self._names, self.here.zone, piece=self.piece)


def _moment(one: Timing, zone: tzinfo) -> float:
    at = one.row.done_at.astimezone(zone)
    seconds = at.hour * 3600 + at.minute * 60 + at.second
    # By the shop's day, which an entry of the desk may set apart from the moment it was made.
    return one.row.done_on.toordinal() + seconds / DAY_SECONDS
