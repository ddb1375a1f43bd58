"""The list of usual times: each operation in use, what a piece of it takes here, and what that rests on."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from jobs.measures import Unit, format_length
from jobs.models import Operation
from jobs.models.operations import PartKind, Per
from jobs.words import in_words
from shop.order_page import HEADINGS
from shop.own_words import own_words
from shop.times_words import counted, longer_in_words, minutes_shown, pieces_shown, span
from timing.forecast import Line
from timing.forecast.pieces import Run, longer_by, pieces_of, runs_of
from timing.usual import Usual

# Fewer timings than this still move a usual time much.
FEW = 10
HIGHER = 0.1
PAIR, SET_OF_FOUR = 2, 4


@dataclass(frozen=True, slots=True)
class UsualOf:
    """What the fit knows of one operation: its run in a pair of wheels, in one and in four, and how it turns."""

    pair: Run
    one: Run
    four: Run
    longer: float
    timed: int
    book_minutes: float | None

    @property
    def each(self) -> float:
        return self.pair.each

    @property
    def likely(self) -> tuple[float, float]:
        """From 10 to 90 % of single pieces, in minutes."""
        return self.pair.piece.quantile(0.1), self.pair.piece.quantile(0.9)


@dataclass(frozen=True, slots=True)
class TimesRow:
    """A row of the list; `usual` is None for an operation that was added since the times were worked out."""

    operation: Operation
    name: str
    piece: str
    usual: UsualOf | None
    rests_on: str

    @property
    def timed(self) -> str:
        """What it rests on, under a heading that says "Timings": "498 since Mar 2025"."""
        if self.usual is None or not self.usual.timed:
            return self.rests_on
        return self.rests_on.replace(" timings", "", 1).replace(" timing", "", 1)

    @property
    def each(self) -> str:
        return minutes_shown(self.usual.each) if self.usual else ""

    @property
    def likely(self) -> str:
        return span(*self.usual.likely) if self.usual else ""

    @property
    def longer(self) -> str:
        return longer_in_words(self.usual.longer) if self.usual else ""

    @property
    def setting_up(self) -> str:
        return minutes_shown(self.usual.pair.setting_up) if self.usual else ""

    @property
    def runs(self) -> str:
        """Minutes a piece in the run of one wheel and in that of a set of four: "10.1 in 12, 7.9 in 48"."""
        if self.usual is None:
            return ""
        runs = (self.usual.one, self.usual.four)
        return ", ".join(f"{minutes_shown(run.each)} in {pieces_shown(run.pieces)}" for run in runs)


@dataclass(frozen=True, slots=True)
class TimesPart:
    heading: str
    rows: tuple[TimesRow, ...]


def runs_in_words(usual: UsualOf) -> str:
    """ "11.4 in a run of 12, 10.6 in one of 48"."""
    one, four = usual.one, usual.four
    each = minutes_shown(one.each), minutes_shown(four.each)
    alone = "one alone" if one.pieces == 1 else f"a run of {pieces_shown(one.pieces)}"
    more = f"one of {pieces_shown(four.pieces)}" if one.pieces != 1 else f"a run of {pieces_shown(four.pieces)}"
    return f"{each[0]} in {alone}, {each[1]} in {more}"


def usual_of_all(usual: Usual, keys: Sequence[str]) -> dict[str, UsualOf]:
    """What the fit knows of these operations; those that it does not know are left out."""
    fit = usual.fit
    places = {one.key: place for place, one in enumerate(fit.operations)}
    known = [(key, places[key]) for key in keys if key in places]
    if not known:
        return {}
    pair, one, four = (
        runs_of(fit, [_line(usual, place, wheels) for _, place in known]) for wheels in (PAIR, 1, SET_OF_FOUR)
    )
    return {
        key: UsualOf(
            pair=pair[n],
            one=one[n],
            four=four[n],
            longer=longer_by(fit, place, HIGHER),
            timed=int(fit.timed[place]),
            book_minutes=fit.operations[place].book_minutes,
        )
        for n, (key, place) in enumerate(known)
    }


def _line(usual: Usual, place: int, wheels: float, hand: str | None = None) -> Line:
    one = usual.fit.operations[place]
    return Line(one.key, pieces_of(one, wheels), wheels, usual.fit.usual_size_nm, hand)


def known_hands(usual: Usual, key: str) -> list[int]:
    """The user ids of those whose timings of an operation the fit knows."""
    fit = usual.fit
    place = fit.place_of(key)
    return [int(fit.hands[hand]) for operation, hand in fit.pairs.tolist() if operation == place]


def usual_of_hands(usual: Usual, key: str, hands: Sequence[int]) -> dict[int, Run]:
    """The run of an operation in a pair of wheels, of each of these hands (user ids) by itself."""
    if not hands:
        return {}
    place = usual.fit.place_of(key)
    return dict(zip(hands, runs_of(usual.fit, [_line(usual, place, PAIR, str(hand)) for hand in hands]), strict=True))


def times_list(usual: Usual, operations: Sequence[Operation], words: Mapping[str, str]) -> list[TimesPart]:
    """Operations by part, in the order of the work."""
    known = usual_of_all(usual, [one.key for one in operations])
    by_part: dict[str, list[TimesRow]] = {}
    for one in operations:
        told = known.get(one.key)
        row = TimesRow(one, in_words(one.name, words), piece_of(one, words), told, rests_on(usual, one.key, told))
        by_part.setdefault(one.part, []).append(row)
    return [
        TimesPart(_capitalised(in_words(HEADINGS[PartKind(part)], words)), tuple(rows))
        for part, rows in by_part.items()
    ]


def piece_of(operation: Operation, words: Mapping[str, str]) -> str:
    """What one piece of it is: "spoke", "joint"; where so many a wheel are counted, "piece"."""
    return "piece" if operation.per == Per.NUMBER else own_words(operation.get_per_display(), words)


def rests_on(usual: Usual, key: str, told: UsualOf | None) -> str:
    """What a usual time rests on: "book time only", "498 timings since Mar 2025", "9 timings, so a wide range"."""
    if told is None:
        return "added since the times were worked out"
    if not told.timed:
        return "book time only" if told.book_minutes else "no book time and no timings: what such work takes"
    about = usual.rests_on.get(key)
    since = f" since {about.since:%b %Y}" if about and told.timed >= FEW else ""
    wide = "" if told.timed >= FEW else ", so a wide range"
    return f"{counted(told.timed, 'timing')}{since}{wide}"


def size_shown(usual: Usual, unit: Unit) -> str:
    """The height of wheel that the usual times are of, to the nearest millimetre or sixteenth."""
    whole = round(usual.fit.usual_size_nm, -6) if unit == "mm" else usual.fit.usual_size_nm
    return format_length(round(whole), unit=unit, denominator=16)


def _capitalised(text: str) -> str:
    return text[:1].upper() + text[1:]
