"""Writing down how a hand is paid from a day on: never so that days which are paid have earned less."""

from dataclasses import astuple, replace
from datetime import date, datetime

from django.contrib.auth.models import User

from jobs.turns import take_turns
from jobs.writing import writing
from shop.audit import Kind, note_change, the_shop
from shop.days import day_in_words
from shop.models import Hand, PayTerms
from shop.money import format_pence
from shop.pay.terms import DatedTerms, Terms
from shop.pay_guard import Entry, Known, Looked, closed_in_words, in_words, look_at
from shop.pay_runs import PAY_RUNS
from shop.pay_terms import TERMS, terms_in_words, terms_of


class TermsRefused(ValueError):
    """They can't be written down for that day; the message is one sentence."""


class LowersTheLaw(TermsRefused):
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
    was_mistake: bool = False,
    looked: Looked | None = None,
) -> PayTerms:
    """Write down how a hand is paid from a day on. The same sent twice is one row; another for that day corrects it.

    `was_mistake`: what stood until now was wrong. `looked`: as it was looked at before, if the caller is inside a write
    already. Raises TermsRefused where a closed period would earn the hand less; LowersTheLaw where the law would ask
    for less of other days that it has worked, and what stood was no mistake.
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
        if looked.open and not was_mistake:
            raise LowersTheLaw(
                f"That would lower what the law asks of days that were worked ({in_words(looked.open, shop)}): write "
                "the first day of a later pay period, or say that what stood was a mistake."
            )
        rows = [(day, Terms(*told)) for day, *told in own.order_by("id").values_list("from_on", *TERMS)]
        before = DatedTerms.of(rows).on(from_on)
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


def _entry(hand: Hand, terms: Terms, from_on: date) -> Entry:
    def with_terms(known: Known, told: Terms) -> Known:
        dated = known.scheme.terms.get(hand.user_id, DatedTerms()).with_entry(from_on, told)
        return replace(known, scheme=replace(known.scheme, terms={**known.scheme.terms, hand.user_id: dated}))

    def by_law(known: Known) -> Known:
        """What a day earns beside the law may change until it is paid: what has to count for the law may not."""
        stood = known.scheme.terms.get(hand.user_id, DatedTerms()).on(from_on)
        return with_terms(known, replace(stood, by_pieces=terms.by_pieces))

    return Entry(from_on, lambda known: with_terms(known, terms), lambda known: [hand.user_id], by_law)
