"""Writing down what pay by a country's law rests on: tests and estimates, notices given, overtime agreed.

Rows are added, never edited, and none changes what was paid: each is for days that no closed run holds.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from fractions import Fraction
from uuid import UUID, uuid5

from django.contrib.auth.models import User

from jobs.measures import exact_length
from jobs.models import Operation
from jobs.turns import take_turns
from jobs.words import in_words
from jobs.writing import writing
from shop.agreements import Agreements, rates_of
from shop.audit import Kind, note_change, the_shop
from shop.days import day_in_words
from shop.models import Hand, OutputMean, OutputNotice, OutputTried, OvertimeAgreement, PayRun, Shop
from shop.money import format_millipence, format_pence
from shop.pay.great_britain import OutputTried as OutputMade
from shop.pay.great_britain import mean_hourly_output, notice
from shop.pay.hours import in_hours
from shop.pay.output_work import Mean, Notice, PieceRates, mean_on
from shop.pay.periods import period_of
from shop.pay.united_states import Agreement
from shop.pay_guard import Entry, Known, Looked, NeedsTick, as_it_is, look_at
from shop.pay_guard import in_words as lowered_in_words
from shop.pay_runs import PAY_RUNS, closed_until
from shop.rates import RateBook

SEEN_WITH_OTHER_CONTENT = "This was sent before with other content: it is kept as it was then."
# Nobody is tried for longer, and what is typed by mistake is not a mean.
LONGEST_TEST_SECONDS = 1_000 * 3600
TESTS = (OutputMean.Basis.ALL, OutputMean.Basis.SAMPLE)


class AgreementRefused(ValueError):
    """What was asked can't be written down; the message is one sentence."""


class LowersTheLaw(NeedsTick, AgreementRefused):
    """The law would ask for less of days that were worked, and are not paid yet: a person has to say that it is so."""


@dataclass(frozen=True, slots=True)
class Made:
    """What a hand (a user id; None in an estimate) made in a test, and in how many seconds."""

    hand_id: int | None
    pieces: int
    seconds: int


@dataclass(frozen=True, slots=True)
class Tried:
    """A test, an estimate from one (`rests_on`, `why`), or the end of the rated work (nothing `made`)."""

    basis: str
    tried_on: date
    from_on: date
    made: tuple[Made, ...] = ()
    rests_on_id: int | None = None
    why: str = ""

    @property
    def columns(self) -> dict[str, object]:
        own = {"basis": self.basis, "tried_on": self.tried_on, "from_on": self.from_on}
        return own | {"rests_on_id": self.rests_on_id, "why": self.why}


def record_mean(
    operation: Operation, told: Tried, *, token: UUID, by: User, at: datetime, confirmed: str = ""
) -> OutputMean:
    """Write down how a mean hourly output was found. The same form sent twice makes one row.

    Raises AgreementRefused: for an estimate that rests on none but another estimate, a day that is paid, no data.
    LowersTheLaw: where the law would ask for less of days that were worked, and that is not what was `confirmed`.
    """
    looked = look_at(_entry_of_mean(operation, told), the_shop(), at)
    with writing():
        take_turns(PAY_RUNS)
        before = OutputMean.objects.filter(token=token).first()
        if before:
            if (before.operation_id, *_content(_told(before))) != (operation.pk, *_content(told)):
                raise AgreementRefused(SEEN_WITH_OTHER_CONTENT)
            return before
        _look_at(told)
        less = _look_at_law(looked, at, confirmed=confirmed)
        stood = mean_on(Agreements.load().means.get(operation.pk, ()), told.from_on)
        row = OutputMean.objects.create(
            operation=operation,
            token=token,
            recorded_at=at,
            recorded_by=by,
            **told.columns,
        )
        OutputTried.objects.bulk_create(
            OutputTried(mean=row, hand_id=one.hand_id, pieces=one.pieces, seconds=one.seconds) for one in told.made
        )
        standing = mean_on(Agreements.load().means[operation.pk], told.from_on)
        note_change(
            Kind.PAY,
            f"{in_words(operation.name, the_shop().words)}: mean hourly output, from {day_in_words(told.from_on)}",
            by=by,
            before=hourly_in_words(stood.hourly) if stood else "",
            after=hourly_in_words(standing.hourly if standing else None) + less,
            at=at,
        )
    return row


def _entry_of_mean(operation: Operation, told: Tried) -> Entry:
    """It touches who was given notice of an output of this work."""
    tried = tuple(OutputMade(Fraction(one.pieces), in_hours(one.seconds)) for one in told.made)

    def change(known: Known) -> Known:
        means = (*known.agreed.means.get(operation.pk, ()), Mean(told.from_on, tried))
        return replace(known, agreed=replace(known.agreed, means={**known.agreed.means, operation.pk: means}))

    return Entry(
        told.from_on,
        change,
        lambda known: [hand for hand, work in known.agreed.notices if work == operation.pk],
        as_it_is,
    )


def _entry_of_notice(mean: OutputMean, hands: Sequence[Hand], given_on: date, begins: date, rates: PieceRates) -> Entry:
    given = Notice(given_on, hourly_of(mean), rates)

    def change(known: Known) -> Known:
        notices = dict(known.agreed.notices)
        for hand in hands:
            key = hand.user_id, mean.operation_id
            notices[key] = *notices.get(key, ()), given
        return replace(known, agreed=replace(known.agreed, notices=notices))

    return Entry(begins, change, lambda known: [hand.user_id for hand in hands], as_it_is)


def _look_at_law(looked: Looked, at: datetime, *, confirmed: str) -> str:
    """What is kept of what it lowers, empty where that is nothing. Raises LowersTheLaw unless that was `confirmed`."""
    shop = the_shop()
    looked = looked.again(shop, at)
    if not looked.open:
        return ""
    if confirmed != looked.shown:
        raise LowersTheLaw(
            f"That lowers what the law asks of days that were worked ({lowered_in_words(looked.open, shop)}): send it "
            "again with a tick, if it is right all the same.",
            looked.shown,
        )
    less = format_pence(sum(one.pence for one in looked.open), shop.currency)
    return f", by which the law asks {less} less of days that were worked"


def _content(told: Tried) -> tuple[Tried, frozenset[Made]]:
    """What is compared: in what order hands stood on the form says nothing."""
    return replace(told, made=()), frozenset(told.made)


def _told(row: OutputMean) -> Tried:
    """What was written down in a row."""
    made = tuple(Made(one.hand_id, one.pieces, one.seconds) for one in row.tried.order_by("id"))
    return Tried(row.basis, row.tried_on, row.from_on, made, row.rests_on_id, row.why)


def _look_at(told: Tried) -> None:
    paid = closed_until()
    if paid and told.from_on <= paid:
        raise AgreementRefused(f"Pay is closed until {day_in_words(paid)}: a mean output stands from a later day.")
    if (told.basis == OutputMean.Basis.ENDED) == bool(told.made):
        raise AgreementRefused("A test or an estimate says what was made in how long, and nothing else does.")
    if any(one.seconds > LONGEST_TEST_SECONDS for one in told.made):
        raise AgreementRefused("A test lasts 1,000 hours at the most.")
    if told.basis == OutputMean.Basis.ESTIMATE:
        rests_on = OutputMean.objects.filter(pk=told.rests_on_id or 0, basis__in=TESTS).first()
        if rests_on is None:
            raise AgreementRefused("An estimate rests on a test, and never on another estimate.")
        if told.tried_on < rests_on.tried_on:
            raise AgreementRefused(
                f"The test was on {day_in_words(rests_on.tried_on)}: an estimate from it is of that day or a later one."
            )


def hourly_in_words(hourly: Fraction | None) -> str:
    return "not rated" if hourly is None else f"{hourly_shown(hourly)} an hour"


def mean_row_on(operation: Operation, day: date) -> OutputMean | None:
    """The row that stands on a day; None where none does, or the work is not rated from then on."""
    rows = OutputMean.objects.filter(operation=operation, from_on__lte=day)
    row = rows.order_by("-from_on", "-id").first()
    return None if row is None or row.basis == OutputMean.Basis.ENDED else row


def next_period_after(day: date, shop: Shop) -> date:
    """The first day of the pay period after the one that holds a day: for it a notice of that day is in time."""
    run = PayRun.objects.filter(first_on__lte=day, last_on__gte=day).first()
    last = run.last_on if run else period_of(day, length=shop.pay_period, first_on=shop.pay_first_on)[1]
    return last + timedelta(days=1)


def notice_of(mean: OutputMean, rates: PieceRates, shop: Shop) -> tuple[str, ...]:
    """The sentences of a notice. Expects the mean's operation; `rates` are not none."""
    is_estimate = mean.basis == OutputMean.Basis.ESTIMATE
    return notice(
        piece=in_words(mean.operation.name, shop.words).lower(),
        mean=hourly_shown(hourly_of(mean)),
        rate=rates_in_words(rates, shop),
        found="an estimate, from a test," if is_estimate else "a test",
    )


def hourly_of(mean: OutputMean) -> Fraction:
    """The mean output of a row that tried something."""
    return mean_hourly_output([OutputMade(Fraction(one.pieces), in_hours(one.seconds)) for one in mean.tried.all()])


def hourly_shown(hourly: Fraction) -> str:
    """To the hundredth, with a mark where that is not all of it."""
    return f"{'' if hourly * 100 == int(hourly * 100) else 'about '}{float(hourly):.2f}"


def rates_in_words(rates: PieceRates, shop: Shop) -> str:
    """ "£1.85 for each, and £2.15 for each on wheels from 1200 mm"."""
    told = []
    for height, amount in rates:
        wheels = (
            ""
            if height is None
            else f" on wheels from {exact_length(height, unit='in' if shop.units == 'in' else 'mm')}"
        )
        told.append(f"{format_millipence(amount, shop.currency)} for each{wheels}")
    return ", and ".join(told)


def give_notices(
    mean: OutputMean,
    hands: Sequence[Hand],
    *,
    given_on: date,
    shop: Shop,
    token: UUID,
    by: User,
    at: datetime,
    confirmed: str = "",
) -> list[OutputNotice]:
    """Write down that hands were given the notice of a mean, and of the rates of the period that follows.

    The same form sent twice gives it once. Raises AgreementRefused where nothing could be told, or it is late, and
    where it would tell of a test that was yet to come. LowersTheLaw: where the law would ask for less of days that were
    worked, and that is not what was `confirmed`.
    """
    if given_on < mean.tried_on:
        raise AgreementRefused(
            f"The test was on {day_in_words(mean.tried_on)}: no notice of it was given on {day_in_words(given_on)}."
        )
    begins = next_period_after(given_on, shop)
    rates = rates_of(RateBook.load(), mean.operation_id, begins)
    if not rates:
        raise AgreementRefused(f"No piece rate of this work stands on {day_in_words(begins)}: write one down first.")
    told = {"mean": mean, "given_on": given_on, "rates": rates, "told": list(notice_of(mean, rates, shop))}
    tokens = {hand.pk: uuid5(token, str(hand.pk)) for hand in hands}
    looked = look_at(_entry_of_notice(mean, hands, given_on, begins, rates), shop, at)
    given, fresh, less = [], 0, ""
    with writing():
        take_turns(PAY_RUNS)
        paid = PayRun.objects.order_by("-last_on").first()
        if paid and given_on < paid.first_on:
            raise AgreementRefused(
                f"Pay is closed until {day_in_words(paid.last_on)}: a notice of {day_in_words(given_on)} would change "
                "it."
            )
        if not OutputNotice.objects.filter(token__in=tokens.values()).exists():
            less = _look_at_law(looked, at, confirmed=confirmed)
        for hand in hands:
            row, is_new = OutputNotice.objects.get_or_create(
                token=tokens[hand.pk],
                defaults=told | {"hand": hand.user, "recorded_at": at, "recorded_by": by},
            )
            if (row.mean_id, row.given_on) != (mean.pk, given_on):
                raise AgreementRefused(SEEN_WITH_OTHER_CONTENT)
            given.append(row)
            fresh += is_new
        if fresh:
            about = f"Notice of rated output work, {in_words(mean.operation.name, shop.words).lower()}"
            after = f"given to {fresh} hand{'' if fresh == 1 else 's'} on {day_in_words(given_on)}{less}"
            note_change(Kind.PAY, about, by=by, after=after, at=at)
    return given


def look_at_overtime(hand: Hand, *, agreed_on: date, begins_on: date, ends_on: date | None, at: datetime) -> Looked:
    """What an agreement on overtime, or its end, would lower, reckoned before the write."""
    told = Agreement(agreed_on, begins_on, ends_on)
    changed, paid = _changed_from(begins_on, ends_on, _last_from(hand, begins_on)), closed_until()
    if paid and changed <= paid:
        # It is refused: what it would lower is nobody's question.
        changed = date.max

    def change(known: Known) -> Known:
        own = {one.begins_on: one for one in known.agreed.overtime.get(hand.user_id, ())} | {begins_on: told}
        overtime = {**known.agreed.overtime, hand.user_id: tuple(own[begins] for begins in sorted(own))}
        return replace(known, agreed=replace(known.agreed, overtime=overtime))

    return look_at(Entry(changed, change, lambda known: [hand.user_id], as_it_is), the_shop(), at)


def record_overtime(
    hand: Hand,
    *,
    agreed_on: date,
    begins_on: date,
    ends_on: date | None,
    by: User,
    at: datetime,
    confirmed: str = "",
    looked: Looked | None = None,
) -> OvertimeAgreement:
    """Write down an agreement on overtime at one and a half times the piece rate, or its end.

    The same sent twice is one row; another that begins on that day puts it right. `looked`: as it was looked at before,
    if the caller is inside a write already. Raises AgreementRefused where it would change what was paid, or where
    another agreement covers some of the same days. LowersTheLaw: where the law would ask for less of days that were
    worked, and that is not what was `confirmed`.
    """
    looked = looked or look_at_overtime(hand, agreed_on=agreed_on, begins_on=begins_on, ends_on=ends_on, at=at)
    with writing():
        take_turns(PAY_RUNS)
        last = _last_from(hand, begins_on)
        if last and (last.agreed_on, last.ends_on) == (agreed_on, ends_on):
            return last
        _look_at_paid(begins_on, ends_on, last)
        _look_at_others(hand, begins_on, ends_on, last)
        less = _look_at_law(looked, at, confirmed=confirmed)
        row = OvertimeAgreement.objects.create(
            hand=hand.user, agreed_on=agreed_on, begins_on=begins_on, ends_on=ends_on, recorded_at=at, recorded_by=by
        )
        note_change(
            Kind.PAY,
            f"{hand.name}: overtime at one and a half times the piece rate, from {day_in_words(begins_on)}",
            by=by,
            before=overtime_in_words(last) if last else "",
            after=overtime_in_words(row) + less,
            at=at,
        )
    return row


def _last_from(hand: Hand, begins_on: date) -> OvertimeAgreement | None:
    return OvertimeAgreement.objects.filter(hand=hand.user_id, begins_on=begins_on).order_by("-id").first()


def _changed_from(begins_on: date, ends_on: date | None, before: OvertimeAgreement | None) -> date:
    """The first day that would be under an agreement, or no longer be; the last of all days where none is."""
    if before is None:
        return begins_on
    ends, stood = ends_on or date.max, before.ends_on or date.max
    return date.max if ends == stood else min(ends, stood) + timedelta(days=1)


def _look_at_paid(begins_on: date, ends_on: date | None, before: OvertimeAgreement | None) -> None:
    """Raise where days that are paid would be under an agreement, or no longer be."""
    changed, paid = _changed_from(begins_on, ends_on, before), closed_until()
    if paid and changed <= paid:
        raise AgreementRefused(f"Pay is closed until {day_in_words(paid)}: this would change what was paid.")


def standing_overtime(hand: Hand) -> list[OvertimeAgreement]:
    """What stands of a hand's agreements, in the order of their beginnings: of one beginning the newest."""
    rows = OvertimeAgreement.objects.filter(hand=hand.user_id).order_by("begins_on", "id")
    return list({row.begins_on: row for row in rows}.values())


def _look_at_others(hand: Hand, begins_on: date, ends_on: date | None, before: OvertimeAgreement | None) -> None:
    """Raise where two agreements would cover a day, but that an end may always be written down, and an earlier one."""
    ends = ends_on or date.max
    if before and ends <= (before.ends_on or date.max):
        return
    for other in standing_overtime(hand):
        if other.begins_on != begins_on and other.begins_on <= ends and begins_on <= (other.ends_on or date.max):
            until = f"until {day_in_words(other.ends_on)}" if other.ends_on else "without an end"
            raise AgreementRefused(
                f"The agreement from {day_in_words(other.begins_on)} {until} covers some of these days: write down its "
                "end first."
            )


def overtime_in_words(row: OvertimeAgreement) -> str:
    until = f", until {day_in_words(row.ends_on)}" if row.ends_on else ""
    return f"agreed on {day_in_words(row.agreed_on)}{until}"
