"""Whose work is or will be rated: who is paid by the piece, and who does an operation."""

from datetime import timedelta

from jobs.models import Operation
from shop.agreeing import next_period_after
from shop.asked import Asked
from shop.models import Hand
from shop.pay.terms import DatedTerms
from shop.pay_terms import all_terms
from timing.models import Stretch

LATELY = timedelta(days=365)


def hands_by_pieces(here: Asked) -> list[Hand]:
    """Who is paid by the piece today, or will be in the next pay period: a notice is given before it."""
    terms, days = all_terms(), (here.today, next_period_after(here.today, here.shop))
    return [
        hand
        for hand in Hand.objects.working()
        if any(terms.get(hand.user_id, DatedTerms()).on(day).by_pieces for day in days)
    ]


def hands_who_do(operation: Operation, here: Asked) -> list[Hand]:
    """Who is paid by the piece today and does this work, as far as a year tells: who did nothing yet may do it."""
    terms = all_terms()
    worked = Stretch.objects.of_the_shop().filter(done_on__gte=here.today - LATELY, operation__isnull=False)
    at_any = set(worked.order_by().values_list("hand_id", flat=True).distinct())
    at_this = set(worked.filter(operation=operation).order_by().values_list("hand_id", flat=True).distinct())
    return [
        hand
        for hand in Hand.objects.working()
        if terms.get(hand.user_id, DatedTerms()).on(here.today).by_pieces
        and (hand.user_id in at_this or hand.user_id not in at_any)
    ]
