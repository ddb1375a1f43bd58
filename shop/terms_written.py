"""Writing down how a hand is paid from a day on: never so that days which are paid have earned less."""

from dataclasses import astuple, replace
from datetime import date, datetime, timedelta

from django.contrib.auth.models import User

from jobs.turns import take_turns
from jobs.writing import writing
from shop.audit import Kind, note_change, the_shop
from shop.days import day_in_words
from shop.models import Hand, PayRun, PaySheet, PayTerms, Shop
from shop.money import format_pence
from shop.pay.terms import DatedTerms, Terms
from shop.pay_guard import Entry, Known, Looked, NeedsTick, closed_in_words, in_words, look_at
from shop.pay_runs import PAY_RUNS, next_period
from shop.pay_terms import TERMS, terms_in_words, terms_of


class TermsRefused(ValueError):
    """They can't be written down for that day; the message is one sentence."""


class LowersTheLaw(NeedsTick, TermsRefused):
    """The law would ask for less of days that were worked, and are not paid yet: right only if what stood was not."""


def look_at_terms(hand: Hand, terms: Terms, *, from_on: date, at: datetime) -> Looked:
    """What they would lower, reckoned before the write."""
    return look_at(_entry(hand, terms, from_on), the_shop(), at)


def record_terms(
    hand: Hand,
    terms: Terms,
    *,
    from_on: date,
    at: datetime,
    by: User,
    was_mistake: str = "",
    looked: Looked | None = None,
) -> PayTerms:
    """Write down how a hand is paid from a day on. The same sent twice is one row; another for that day corrects it.

    `was_mistake`: what stood until now was wrong, said of what was `shown`. `looked`: as it was looked at before, if
    the caller is inside a write already. Raises TermsRefused where a closed period would earn the hand less, now or
    once a late piece is told; LowersTheLaw where the law would ask for less of other days that it has worked, and what
    stood was no mistake.
    """
    looked = looked or look_at_terms(hand, terms, from_on=from_on, at=at)
    with writing():
        take_turns(PAY_RUNS)
        own = PayTerms.objects.filter(hand=hand.user_id)
        last = own.filter(from_on=from_on).order_by("-id").first()
        if last and terms_of(last) == terms:
            return last
        shop = the_shop()
        looked = looked.again(shop, at)
        if looked.closed:
            raise TermsRefused(closed_in_words(looked.closed, shop))
        rows = [(day, Terms(*told)) for day, *told in own.order_by("id").values_list("from_on", *TERMS)]
        stands = DatedTerms.of(rows)
        before = stands.on(from_on)
        if terms.by_pieces:
            _check_no_hours_paid(hand, stands.with_entry(from_on, terms), from_on, shop)
        if looked.open and was_mistake != looked.shown:
            raise LowersTheLaw(
                f"That would lower what the law asks of days that were worked ({in_words(looked.open, shop)}): write "
                "the first day of a later pay period, or say that what stood was a mistake.",
                looked.shown,
            )
        told = dict(zip(TERMS, astuple(terms), strict=True))
        row = PayTerms.objects.create(hand=hand.user, from_on=from_on, recorded_at=at, recorded_by=by, **told)
        less = format_pence(sum(one.pence for one in looked.open), shop.currency)
        mistake = f"; what stood was a mistake, and the law asks {less} less of days that were worked"
        note_change(
            Kind.PAY,
            f"{hand.name}: how paid, from {day_in_words(from_on)}",
            by=by,
            before=terms_in_words(before),
            after=terms_in_words(terms) + (mistake if looked.open else ""),
            at=at,
        )
    return row


def _check_no_hours_paid(hand: Hand, after: DatedTerms, from_on: date, shop: Shop) -> None:
    """Raises TermsRefused: hours that were paid would be hours at pieces once a piece of their day is told late.

    What stood when a run last paid is asked, so that hours written by mistake since may be put back to pieces.
    """
    paid = PaySheet.objects.filter(hand=hand.user_id, run__last_on__gte=from_on, gross_pence__gt=0)
    spans = list(paid.values_list("run__first_on", "run__last_on"))
    newest = PayRun.objects.order_by("-closed_at").first()
    if newest is None or not spans:
        return
    own = PayTerms.objects.filter(hand=hand.user_id, recorded_at__lte=newest.closed_at).order_by("id")
    stood = DatedTerms.of([(day, Terms(*told)) for day, *told in own.values_list("from_on", *TERMS)])
    days = (first + timedelta(n) for first, last in spans for n in range((last - first).days + 1))
    if any(after.on(day).by_pieces and not stood.on(day).by_pieces for day in days if day >= from_on):
        begins = day_in_words(next_period(shop).first)
        raise TermsRefused(
            f"{hand.name} was paid by the hour in days that are closed: write pieces from {begins} on, the first day "
            "that is not paid. What is due beside for pieces of days before is a bonus."
        )


def _entry(hand: Hand, terms: Terms, from_on: date) -> Entry:
    def with_terms(known: Known, told: Terms) -> Known:
        dated = known.scheme.terms.get(hand.user_id, DatedTerms()).with_entry(from_on, told)
        return replace(known, scheme=replace(known.scheme, terms={**known.scheme.terms, hand.user_id: dated}))

    def by_law(known: Known) -> Known:
        """What a day earns beside the law may change until it is paid: what has to count for the law may not."""
        stood = known.scheme.terms.get(hand.user_id, DatedTerms()).on(from_on)
        return with_terms(known, replace(stood, by_pieces=terms.by_pieces))

    return Entry(from_on, lambda known: with_terms(known, terms), lambda known: [hand.user_id], by_law)
