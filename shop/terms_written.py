"""Writing down how a hand is paid from a day on: never so that days which it has worked earn less."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import astuple, replace
from datetime import date, datetime

from django.contrib.auth.models import User

from jobs.turns import take_turns
from jobs.writing import writing
from shop.audit import Kind, note_change, the_shop
from shop.days import day_in_words
from shop.models import Hand, PayRun, PayTerms, Shop
from shop.pay.periods import period_after
from shop.pay.terms import DatedTerms, Terms
from shop.pay_facts import Scheme
from shop.pay_reckoned import Period, Settings, reckon_each
from shop.pay_runs import PAY_RUNS, next_period, period_in_words
from shop.pay_terms import TERMS, terms_in_words, terms_of


class TermsRefused(ValueError):
    """They can't be written down for that day; the message is one sentence."""


def record_terms(hand: Hand, terms: Terms, *, from_on: date, at: datetime, by: User) -> PayTerms:
    """Write down how a hand is paid from a day on. The same sent twice is one row; another for that day corrects it.

    Raises TermsRefused where a closed period would earn the hand less, or the law would ask for less of days that it
    has worked already.
    """
    with writing():
        take_turns(PAY_RUNS)
        own = PayTerms.objects.filter(hand=hand.user_id)
        last = own.filter(from_on=from_on).order_by("-id").first()
        if last and terms_of(last) == terms:
            return last
        rows = [(day, Terms(*told)) for day, *told in own.order_by("id").values_list("from_on", *TERMS)]
        before = DatedTerms.of(rows).on(from_on)
        _look_at_worked(hand, rows, terms, from_on, at)
        told = dict(zip(TERMS, astuple(terms), strict=True))
        row = PayTerms.objects.create(hand=hand.user, from_on=from_on, recorded_at=at, recorded_by=by, **told)
        note_change(
            Kind.PAY,
            f"{hand.name}: how paid, from {day_in_words(from_on)}",
            by=by,
            before=terms_in_words(before),
            after=terms_in_words(terms),
            at=at,
        )
    return row


def _look_at_worked(hand: Hand, rows: list[tuple[date, Terms]], terms: Terms, from_on: date, now: datetime) -> None:
    """Raise where days that were worked would earn less than by the terms that are there."""
    shop = the_shop()
    if from_on > now.astimezone(shop.zone).date():
        return
    scheme, stood = Scheme.load(shop.words), DatedTerms.of(rows).on(from_on)
    # What a day earns beside the law may change until it is paid: what has to count for the law may not.
    by_law = [*rows, (from_on, replace(stood, by_pieces=terms.by_pieces))]
    after = _with_terms(scheme, hand, [*rows, (from_on, terms)])
    for periods, told in ((list(_closed(from_on)), rows), (list(_open(shop, from_on, now)), by_law)):
        before = _with_terms(scheme, hand, told)
        earned = (reckon_each(periods, shop, now=now, scheme=each, hand_id=hand.user_id) for each in (before, after))
        for period, was, becomes in zip(periods, *earned, strict=True):
            if was and becomes and becomes.pence < was.pence and _is_paid(hand, period.last, before):
                raise TermsRefused(
                    f"That would lower what {hand.name} has earned in {period_in_words(period.first, period.last)}: "
                    "write a day after that pay period."
                )


def _is_paid(hand: Hand, on: date, scheme: Scheme) -> bool:
    """Whether any pay was agreed with the hand: a master's hours, and a smith's who sends bills, earn none."""
    wage = scheme.book.wage(hand.user_id, on)
    return wage is not None or scheme.terms.get(hand.user_id, DatedTerms()).on(on).by_pieces


def _closed(from_on: date) -> Iterator[Period]:
    for run in PayRun.objects.filter(last_on__gte=from_on):
        yield Period(run.first_on, run.last_on, Settings.read(run.settings))


def _open(shop: Shop, from_on: date, now: datetime) -> Iterator[Period]:
    """The periods until today that are not closed, and end on a day or after it."""
    period = next_period(shop)
    while period.first <= now.astimezone(shop.zone).date():
        if period.last >= from_on:
            yield period
        first, last = period_after(period.last, length=shop.pay_period, first_on=shop.pay_first_on)
        period = replace(period, first=first, last=last)


def _with_terms(scheme: Scheme, hand: Hand, rows: Iterable[tuple[date, Terms]]) -> Scheme:
    terms: Mapping[int, DatedTerms] = {**scheme.terms, hand.user_id: DatedTerms.of(rows)}
    return replace(scheme, terms=terms)
