"""The file for an inspector: a document for each pay period, and what it rests on as tables, in one ZIP."""

import io
import zipfile
from collections.abc import Iterable, Iterator, Sequence
from datetime import date
from fractions import Fraction

from django.db.models import Q

from jobs.papers.pdf import write_document
from jobs.patterns.tiles import Paper
from jobs.words import in_words
from shop.attendance import event_of
from shop.csv_safe import Cell, csv_lines
from shop.day_book_page import HEADER as WORK
from shop.day_book_page import file_rows as work_rows
from shop.days import day_in_words
from shop.inspector import Records
from shop.inspector_paper import record_paper
from shop.models import (
    Attendance,
    Hand,
    OutputMean,
    OutputNotice,
    OutputTried,
    OvertimeAgreement,
    PayTerms,
    Rate,
    Shop,
)
from shop.money import MILLI
from shop.pay_facts import Scheme, passed_tokens, read_made, tallies_of
from shop.pay_runs import period_in_words
from shop.pay_seen import OF_PAY
from shop.pay_sheet import HEADER as PAY
from shop.pay_sheet import decimal, line_rows
from shop.rates import about
from timing.day_book import Asked, in_order

TOUCHES = ("day", "what", "at", "told_at", "entered_by", "received_at", "token", "takes_back")
PIECES = ("day", "operation", "made", "spoiled", "lost", "reason", "rate_pence", "seconds", "passed")
DAYS = (
    *("first_day", "last_day", "stands", "day", "paid_seconds", "at_pieces_seconds", "other_seconds"),
    *("wage_pence", "guarantee_pence", "bonus_pence"),
)
CHECKS = ("first_day", "last_day", "rules", "closed_at", "gross_pence", "what_was_found")
OUTPUT = ("work", "from_day", "basis", "tried_on", "who", "pieces", "seconds", "how")
NOTICES = ("given_on", "work", "said", "recorded_at", "recorded_by")
OVERTIME = ("agreed_on", "from_day", "until_day", "recorded_at", "recorded_by")
NOW = "with what was told since"
RATES = ("from_day", "what", "amount_pence", "recorded_at", "recorded_by")


def write_records(records: Records, shop: Shop, *, today: date, paper: Paper) -> bytes:
    """The whole file."""
    held = io.BytesIO()
    with zipfile.ZipFile(held, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("what-is-here.txt", _what_is_here(records, shop, today))
        for record in records.periods:
            name = f"{record.sheet.first} to {record.sheet.last}.pdf"
            archive.writestr(name, write_document(record_paper(record, shop, today=today), paper=paper))
        for name, header, rows in _tables(records, shop):
            archive.writestr(f"{name}.csv", "".join(csv_lines(header, rows)))
    return held.getvalue()


def _what_is_here(records: Records, shop: Shop, today: date) -> str:
    days = period_in_words(records.first, records.last)
    # As on a machine of any make.
    return "\r\n".join(
        [
            f"Records of {records.hand.name}, {days}: {shop.name}.",
            f"Written out on {day_in_words(today)}. Days are widened to whole pay periods.",
            "",
            "A PDF for each pay period of which anything is kept: hours, pieces, rates, pay, what it was checked by.",
            "attendance.csv  every touch at coming, going and breaks; one that takes another back names it",
            "work.csv        every stretch on the job clock; one that undoes another carries minus",
            "pieces.csv      what was made at work that has a piece rate, and whether it was passed",
            "days.csv        the time that was paid on each day: at pieces is paid by them, and other by the hour;",
            "                where more was told since it was closed, each day as it was paid and as it is by now",
            "pay.csv         every line of each sheet, with late facts of earlier periods",
            "checks.csv      by what rules each period was checked, and what was found: how many hours of rated",
            "                output work count, and the hours really worked at what is not rated",
            "rates.csv       wages, guarantees, piece rates and how the hand is paid, by the day from which each stood",
            "output.csv      how each mean output was found that a notice tells, or that the hand was tested for",
            "notices.csv     written notices of rated output work, as they were given",
            "overtime.csv    agreements on overtime at one and a half times the piece rate",
            "",
            f"Moments are in UTC, days those of the shop ({shop.time_zone}). Amounts are in the smallest coin of "
            f"{shop.currency}.",
            "",
        ]
    )


def _tables(records: Records, shop: Shop) -> Iterator[tuple[str, Sequence[str], Iterable[Sequence[Cell]]]]:
    hand, first, last = records.hand, records.first, records.last
    names = dict(Hand.objects.values_list("user_id", "name"))
    yield "attendance", TOUCHES, _touches(hand, names, first, last)
    yield "work", WORK, work_rows(in_order(Asked(from_on=first, to_on=last, hand_id=hand.user_id)), shop.words)
    yield "pieces", PIECES, _pieces(hand, shop, first, last)
    yield "days", DAYS, _days(records)
    yield "pay", PAY, (row for one in records.periods for row in line_rows(one.sheet, one.reckoned))
    yield "checks", CHECKS, _checks(records)
    yield "rates", RATES, _rates(hand, shop, names, last)
    yield "output", OUTPUT, _output(hand, shop, last)
    yield "notices", NOTICES, _notices(hand, shop, names, last)
    yield "overtime", OVERTIME, _overtime(hand, names, last)


def _touches(hand: Hand, names: dict[int, str], first: date, last: date) -> Iterator[list[Cell]]:
    for row in Attendance.objects.filter(hand=hand.user_id, done_on__gte=first, done_on__lte=last):
        by = names.get(row.entered_by_id, "") if row.entered_by_id else ""
        told: list[Cell] = [row.done_on, row.get_kind_display(), event_of(row).at, row.get_source_display(), by]
        yield [*told, row.received_at, row.token, row.cancels_token]


def _pieces(hand: Hand, shop: Shop, first: date, last: date) -> Iterator[list[Cell]]:
    rows = tallies_of(first, last).filter(stretch__hand=hand.user_id)
    for one in read_made(rows, Scheme.load(shop.words), passed_tokens(first, last)):
        told: list[Cell] = [one.on, one.name, one.made, one.spoiled, one.lost, one.reason]
        yield [*told, _pence(one.rate), one.seconds, one.is_passed]


def _days(records: Records) -> Iterator[list[Cell]]:
    for one in records.periods:
        for stands, reckoned in (("as paid" if one.closed_at else one.stands, one.reckoned), (NOW, one.now)):
            for day in reckoned.days if reckoned else ():
                at_pieces = min(day.piece_seconds, day.seconds)
                told: list[Cell] = [one.sheet.first, one.sheet.last, str(stands), day.on, day.seconds, at_pieces]
                yield [*told, day.other_seconds, _pence(day.wage), _pence(day.guarantee), day.bonus]


def _checks(records: Records) -> Iterator[list[Cell]]:
    for one in records.periods:
        sheet = one.sheet
        about: list[Cell] = [sheet.first, sheet.last, sheet.rules, one.closed_at]
        for sentence in sheet.said or ("Nothing was found.",):
            yield [*about, sheet.gross_pence, sentence]
        if one.now and one.closed_at:
            yield [*about, one.now.pence, "What the period comes to with what was told since it was closed."]
            yield from ([*about, one.now.pence, sentence] for sentence in one.now.said if sentence not in sheet.said)


def _rates(hand: Hand, shop: Shop, names: dict[int, str], last: date) -> Iterator[list[Cell]]:
    """Everything that sets this hand's pay and was written down for a day up to the last one."""
    rates = Rate.objects.filter(kind__in=OF_PAY, from_on__lte=last).filter(Q(hand=hand.user_id) | Q(hand=None))
    for row in rates.select_related("operation", "hand"):
        by = names.get(row.recorded_by_id, "") if row.recorded_by_id else ""
        what = f"{hand.name}: {row.get_kind_display()}" if row.hand_id else about(row, shop)
        yield [row.from_on, what, _pence(row.amount_millipence), row.recorded_at, by]
    for terms in PayTerms.objects.filter(hand=hand.user_id, from_on__lte=last):
        by = names.get(terms.recorded_by_id, "") if terms.recorded_by_id else ""
        paid = "by pieces and hours" if terms.by_pieces else "by hours"
        paid += "" if terms.hours_are_controlled else ", keeping its own hours"
        yield [terms.from_on, f"{hand.name}: paid {paid}, {terms.get_band_display()}", None, terms.recorded_at, by]


def _output(hand: Hand, shop: Shop, last: date) -> Iterator[list[Cell]]:
    """Regulation 59: the data that show how a mean was found. Who else was tested is not named."""
    own = OutputMean.objects.filter(Q(notices__hand=hand.user_id) | Q(tried__hand=hand.user_id), from_on__lte=last)
    means = OutputMean.objects.filter(Q(pk__in=own.values("pk")) | Q(estimates__in=own.values("pk")))
    rows = OutputTried.objects.filter(mean__in=means).select_related("mean__operation")
    for row in rows.order_by("mean__from_on", "id"):
        mean = row.mean
        who = hand.name if row.hand_id == hand.user_id else "another hand" if row.hand_id else "an estimate"
        told: list[Cell] = [in_words(mean.operation.name, shop.words), mean.from_on, mean.get_basis_display()]
        yield [*told, mean.tried_on, who, row.pieces, row.seconds, mean.why]


def _notices(hand: Hand, shop: Shop, names: dict[int, str], last: date) -> Iterator[list[Cell]]:
    rows = OutputNotice.objects.filter(hand=hand.user_id, given_on__lte=last).select_related("mean__operation")
    for row in rows:
        work = in_words(row.mean.operation.name, shop.words)
        yield [row.given_on, work, " ".join(row.told), row.recorded_at, names.get(row.recorded_by_id, "")]


def _overtime(hand: Hand, names: dict[int, str], last: date) -> Iterator[list[Cell]]:
    """29 CFR 516.25: the date and the period of the agreement."""
    for row in OvertimeAgreement.objects.filter(hand=hand.user_id, begins_on__lte=last):
        told: list[Cell] = [row.agreed_on, row.begins_on, row.ends_on, row.recorded_at]
        yield [*told, names.get(row.recorded_by_id, "")]


def _pence(millipence: int) -> Cell:
    return decimal(Fraction(millipence, MILLI))
