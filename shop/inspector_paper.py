"""What is kept of a hand for one pay period, as a single document: hours as they were told, pieces, and the sheet."""

from collections.abc import Iterator
from datetime import date

from jobs.durations import hours_and_minutes
from jobs.papers import Cells, Column, Document, Table, Words
from jobs.papers.content import Box, Item, Piece
from shop.attendance_page import HandDay
from shop.days import day_in_words
from shop.inspector import Recorded, Stands
from shop.models import Shop
from shop.money import format_millipence, format_pence
from shop.order_words import printed_in_words
from shop.pay.reckoning import Reckoned
from shop.pay.sheet import Day
from shop.pay_paper import LINES, line_blocks

HOURS = (
    Column("Day", 20),
    Column("As it was told", 44),
    Column("Paid time", 12, figures=True),
    Column("At pieces", 13, figures=True),
    Column("Other", 11, figures=True),
)
PIECES = (
    Column("Day", 22),
    Column("Work", 38),
    Column("Units paid", 13, figures=True),
    Column("A unit", 13, figures=True),
    Column("Time at it", 14, figures=True),
)
LATER = (Column("When", 70), Column("Amount", 30, figures=True, strong=True))


def record_paper(record: Recorded, shop: Shop, *, today: date) -> Document:
    """The document of one pay period."""
    sheet = record.sheet
    title = f"Record of {sheet.hand}, {sheet.period}"
    gross = format_pence(sheet.gross_pence, sheet.currency)
    about: tuple[str, ...] = (
        f"{gross} before tax and stoppages. {_stands(record, shop)}",
        sheet.why,
        f"Paid {record.paid_by}.",
    )
    if record.stands is Stands.BEFORE:
        about = (f"{_stands(record, shop)} Nothing is reckoned or paid for it.", f"Paid {record.paid_by}.")
    return Document(title, about, title, shop.name, printed_in_words(today), tuple(_pieces(record)))


def _stands(record: Recorded, shop: Shop) -> str:
    if record.closed_at is None:
        return (
            "Pay began later in this shop’s books."
            if record.stands is Stands.BEFORE
            else "Not closed yet: what is told later may change it."
        )
    without = ", without a sheet of this hand" if record.stands is Stands.CLOSED_WITHOUT else ""
    return f"Closed on {day_in_words(record.closed_at.astimezone(shop.zone).date())}{without}."


def _pieces(record: Recorded) -> Iterator[Piece]:
    sheet, paid = record.sheet, record.reckoned.days
    if paid or record.now is None:
        yield from _facts(record, record.reckoned, "")
    if sheet.lines:
        yield Table("Pay", LINES, tuple(line_blocks(sheet)))
    if record.now:
        if record.closed_at:
            comes_to = format_pence(record.now.pence, sheet.currency)
            yield Words(
                "More was told since it was closed. With all of that, by the same rules, the period comes to "
                f"{comes_to} before tax and stoppages."
            )
        yield from _facts(record, record.now, ", with what was told since" if paid else "")
    if record.paid_later:
        later = tuple((Cells((one.name, format_pence(one.pence, sheet.currency))),) for one in record.paid_later)
        yield Table("Paid later for this period", LATER, later)
    yield from map(Words, sheet.said)
    if record.now:
        yield from (Words(sentence) for sentence in record.now.said if sentence not in sheet.said)
    yield Box("Rules", (Item(sheet.rules, sheet.caution),))


def _facts(record: Recorded, reckoned: Reckoned, since: str) -> Iterator[Piece]:
    """Hours and pieces of each day, as they were paid or as they are by now."""
    days, there = {day.on: day for day in reckoned.days}, {day.on: day for day in record.there}
    rows = tuple((Cells(_hours(on, there.get(on), days.get(on))),) for on in sorted({*days, *there}))
    if rows:
        yield Table(f"Hours{since}", HOURS, rows)
    made = tuple(_made(day, record.sheet.currency) for day in reckoned.days if day.pieces)
    if made:
        yield Table(f"Pieces{since}", PIECES, made)


def _hours(on: date, there: HandDay | None, day: Day | None) -> tuple[str, ...]:
    """What was told of a day, and what of it was paid; at pieces is what pieces are paid for, and no wage."""
    told = told_in_words(there) if there else ""
    if day is None:
        return day_in_words(on), told, "", "", ""
    seconds = (day.seconds, min(day.piece_seconds, day.seconds), day.other_seconds)
    return day_in_words(on), told, *(hours_and_minutes(each) if each else "" for each in seconds)


def told_in_words(there: HandDay) -> str:
    """ "came 8.00, break from 12.00, back from it 12.30, went 16.30; taken back: came 7.00"."""
    if there.by_clock:
        return "by the job clock"

    def words(*, undone: bool) -> str:
        return ", ".join(
            f"{touch.words} {touch.clock}" + (f" (entered by {touch.entered_by})" if touch.entered_by else "")
            for touch in there.touches
            if touch.is_undone == undone
        )

    stands, gone = words(undone=False), words(undone=True)
    return "; ".join(filter(None, [stands, f"taken back: {gone}" if gone else "", *there.said]))


def _made(day: Day, currency: str) -> tuple[Cells, ...]:
    return tuple(
        Cells(
            (
                day_in_words(day.on) if place == 0 else "",
                one.name,
                str(one.units),
                format_millipence(one.rate, currency),
                hours_and_minutes(one.seconds) if one.seconds else "not timed",
            )
        )
        for place, one in enumerate(day.pieces)
    )
