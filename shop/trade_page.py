"""A trade's list as its page shows it: by when it is ready, by bar, each piece with its words and its picture."""

import uuid
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date

from django.utils.safestring import SafeString, mark_safe

from jobs.drawing import draw_small
from jobs.measures import Unit, format_length, format_section
from jobs.models import Measure, Trip
from jobs.models.operations import PartKind
from jobs.words import in_words
from shop.asked import Asked
from shop.many_wheels import MOST_SHOWN, More, PageLink, Wished, page_of, spell_out
from shop.pieces import pieces_with
from shop.trades import TradeList, Wanted, When

DRAWN_PIXELS, SMALLEST_DRAWN = 76.0, 40.0
COLUMNS_OF_ACTS = 2
# What is shown as measured of each part; the others are on the wheel's own page.
MEASURED: dict[str, dict[str, str]] = {
    PartKind.TYRE: {
        Measure.Kind.RUN: "run",
        Measure.Kind.DRAW: "draw",
        Measure.Kind.INSIDE_RUN: "inside",
        Measure.Kind.DISH_BEFORE: "dish",
    },
    PartKind.BAND: {Measure.Kind.FRONT_SEAT: "front seat", Measure.Kind.BACK_SEAT: "back seat"},
}
MEASURE_FIRST = {PartKind.TYRE: "measure the rim", PartKind.BAND: "measure the seats"}


@dataclass(frozen=True, slots=True)
class Row:
    """One piece as it is listed. `token` is for the row's own form: pressed twice, it counts once."""

    wanted: Wanted
    name: str
    where: str
    drawing: SafeString
    measured: list[tuple[str, str]]
    measure_first: str
    waits: list[str]
    then: list[tuple[int, str]]
    waiting: str
    sent: str
    made_label: str
    token: uuid.UUID
    more: More | None = None

    @property
    def many(self) -> bool:
        return self.wanted.left > 1


@dataclass(frozen=True, slots=True)
class Bar:
    """The rows that want the same bar; `name` is empty for a trade that uses none."""

    name: str
    rows: list[Row]
    units: int


@dataclass(frozen=True, slots=True)
class Section:
    """Pieces that are alike ready. `columns` are those of their ledgers; nothing is pressed on what is later."""

    heading: str
    bars: list[Bar]
    columns: int
    is_later: bool


def seen_of(listed: TradeList, wished: Wished) -> tuple[list[Wanted], tuple[PageLink, ...]]:
    """What stands on the list for itself: all of it, or a page of a lot's wheels that want one operation then."""
    rows = [row for row in listed.rows if listed.stands_alone(row)]
    if not wished.is_of_operation:
        return rows, ()
    place = (wished.lot_id, wished.operation_id)
    wheels = [row for row in rows if row.wheel and (row.lot.pk, row.task.operation_id) == place]
    wheels = [row for row in wheels if wished.part in (0, row.when + 1)]
    return page_of(sorted(wheels, key=_number), wished, number=_number)


def sections(
    listed: TradeList, seen: Sequence[Wanted], asked: Asked, *, trade: str, day: date | None, most: int = MOST_SHOWN
) -> list[Section]:
    """Ready now, ready if the bench finishes first, and further off; a part with nothing in it is left out.

    Of a lot with more than `most` rows in a part only some are listed.
    """
    draw = _Drawer(listed)
    headings = {When.NOW: _now(day), When.SOON: _soon(day, asked.today), When.LATER: "Further off"}
    found = []
    for when, heading in headings.items():
        here = [wanted for wanted in seen if wanted.when == when]
        bars = {bar: Bar(bar, [], units) for bar, units in _units_by_bar(here, trade, asked.unit).items()}
        rows, more = spell_out(
            here, lot=lambda wanted: wanted.lot.pk, kind=lambda wanted: wanted.task.operation_id, most=most
        )
        for place, wanted in enumerate(rows):
            row = _row(listed, wanted, asked, draw)
            if place in more:
                row = replace(
                    row, more=More(more[place], Wished(wanted.lot.pk, wanted.task.operation_id, when + 1).url())
                )
            bars[_bar(wanted, trade, asked.unit)].rows.append(row)
        if bars:
            is_later = when == When.LATER
            columns = 2 + (trade == "smith") + (0 if is_later else COLUMNS_OF_ACTS)
            found.append(Section(heading, list(bars.values()), columns, is_later))
    return found


def _units_by_bar(rows: Iterable[Wanted], trade: str, unit: Unit) -> dict[str, int]:
    units: dict[str, int] = defaultdict(int)
    for wanted in rows:
        units[_bar(wanted, trade, unit)] += wanted.left
    return units


def _bar(wanted: Wanted, trade: str, unit: Unit) -> str:
    return bar_of(wanted, unit) if trade == "smith" else ""


def _number(wanted: Wanted) -> int:
    return wanted.wheel.number if wanted.wheel else 0


def bar_of(wanted: Wanted, unit: Unit) -> str:
    """The bar that a piece is made of, by the lot's make-up: "Bar 38 × 10 mm"."""
    makeup = wanted.lot.makeup
    if wanted.part == PartKind.BAND:
        sizes = dict.fromkeys(format_section(band.width_nm, band.thickness_nm, unit=unit) for band in makeup.bands)
        return f"Bar {' and '.join(sizes)}" if sizes else ""
    if wanted.part == PartKind.TYRE and makeup.tyre != "none":
        return f"Bar {format_section(makeup.tyre_width_nm, makeup.tyre_thickness_nm, unit=unit)}"
    return ""


def _row(listed: TradeList, wanted: Wanted, asked: Asked, draw: "_Drawer") -> Row:
    kinds = MEASURED.get(wanted.part, {})
    measured = [
        (label, format_length(wanted.measures[kind].value_nm, unit=asked.unit))
        for kind, label in kinds.items()
        if kind in wanted.measures
    ]
    asks = wanted.wheel and wanted.left and not measured
    first = MEASURE_FIRST.get(PartKind(wanted.part), "") if asks else ""
    makeup = wanted.lot.makeup
    height = format_length(makeup.height_nm, unit=asked.unit)
    return Row(
        wanted=wanted,
        name=in_words(wanted.task.operation.name, asked.words),
        where=f"{wanted.wheel.label if wanted.wheel else wanted.lot.name}, {height}",
        drawing=draw.of(wanted, asked.words),
        measured=measured,
        measure_first=first,
        waits=_waits(listed, wanted, asked),
        then=_then(listed, wanted, asked),
        waiting=_waiting(wanted, asked),
        sent=_sent(wanted, asked),
        made_label=made_label(wanted),
        token=uuid.uuid4(),
    )


def _waits(listed: TradeList, wanted: Wanted, asked: Asked) -> list[str]:
    """Why no more of it can be made now."""
    if wanted.task.dropped_at:
        return ["left out of the order"]
    if not wanted.left:
        return ["all done"]
    return listed.work.waiting_for(wanted.task, asked.words, asked.zone) if not wanted.ready_units else []


def _then(listed: TradeList, wanted: Wanted, asked: Asked) -> list[tuple[int, str]]:
    """What follows, by the task's id and name; the same work on several wheels is named once."""
    if wanted.follows or wanted.when == When.LATER:
        return []
    names: dict[str, int] = {}
    for other in sorted(listed.then(wanted), key=lambda row: row.task.operation.position):
        name = in_words(other.task.operation.name, asked.words)
        names.setdefault(name[:1].lower() + name[1:], other.task.pk)
    return [(task_id, name) for name, task_id in names.items()]


def made_label(wanted: Wanted) -> str:
    """What to press when a piece is made: "Hoop made" before it goes on, else the operation's own word."""
    if wanted.part == PartKind.TYRE and wanted.wheel and wanted.steps_after:
        return "Hoop made"
    return wanted.task.operation.done_word.capitalize()


def _waiting(wanted: Wanted, asked: Asked) -> str:
    if wanted.since is None or not wanted.ready_units:
        return ""
    days = (asked.today - wanted.since.astimezone(asked.zone).date()).days
    return "since today" if days <= 0 else "1 day" if days == 1 else f"{days} days"


def _sent(wanted: Wanted, asked: Asked) -> str:
    counted = pieces_with(wanted.task, wanted.left) > 1
    return "; ".join(_trip_in_words(trip, asked, counted=counted) for trip in wanted.trips)


def _trip_in_words(trip: Trip, asked: Asked, *, counted: bool) -> str:
    sent = trip.sent_at.astimezone(asked.zone)
    when = f"{sent:%H.%M} today" if sent.date() == asked.today else f"{weekday_in_words(sent.date(), asked.today)}"
    back = f", expected {weekday_in_words(trip.expected_on, asked.today)}" if trip.expected_on else ""
    many = f"{trip.pieces} " if counted or trip.pieces > 1 else ""
    return f"{many}sent {when} to {trip.to_whom}{back}"


def weekday_in_words(day: date, today: date) -> str:
    """A day near today as "Thursday 26th", or "Thursday 3 December"; without its weekday beyond two weeks."""
    if abs((day - today).days) <= 14:
        return f"{day:%A} {ordinal(day.day)}" if day.month == today.month else f"{day:%A} {day.day} {day:%B}"
    return f"{day.day} {day:%B %Y}" if day.year != today.year else f"{day.day} {day:%B}"


def ordinal(number: int) -> str:
    """1st, 2nd, 3rd, 4th, 11th, 21st, …"""
    if number % 100 in (11, 12, 13):
        return f"{number}th"
    return f"{number}{ {1: 'st', 2: 'nd', 3: 'rd'}.get(number % 10, 'th') }"


def _now(day: date | None) -> str:
    return f"{day:%A} {ordinal(day.day)}: ready now" if day else "Ready now"


def _soon(day: date | None, today: date) -> str:
    if day is None:
        return "Ready if the bench finishes first"
    if day == today:
        return "Ready if finished today"
    before = date.fromordinal(day.toordinal() - 1)
    return f"Ready if finished {'today' if before == today else f'by {before:%A}'}"


class _Drawer:
    """Small drawings, all at one scale, so that a fore wheel looks smaller than a hind one."""

    def __init__(self, listed: TradeList) -> None:
        heights: Sequence[int] = [row.lot.makeup.tyre_diameter_nm for row in listed.rows]
        self._work = listed.work
        self._scale = DRAWN_PIXELS / (max(heights, default=1) / 1_000_000)

    def of(self, wanted: Wanted, words: Mapping[str, str]) -> SafeString:
        makeup = wanted.lot.makeup
        wheels = self._work.wheels(wanted.lot)
        wheel = wanted.wheel or (wheels[0] if wheels else None)
        if wheel is None or makeup.tyre_diameter_nm / 1_000_000 * self._scale < SMALLEST_DRAWN:
            return SafeString("")
        title = f"{wheel.label}: {self._work.words_for(wheel, wanted.lot, words)}"
        progress = self._work.progress(wheel, wanted.lot)
        drawn = draw_small(makeup, progress, scale=self._scale, title=title, ident=f"task-{wanted.task.pk}")
        return mark_safe(drawn)  # noqa: S308  the title was escaped as it was drawn
