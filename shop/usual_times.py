"""The shop's usual times as pages, the clock and the commands work them out: with the same hands left out."""

from datetime import datetime

from shop.audit import the_shop
from shop.models import Hand
from timing import usual
from timing.usual import Usual


def left_out_hands() -> frozenset[int]:
    """The user ids of hands whose time does not count for usual times: apprentices, where the shop says so.

    It goes by who is an apprentice now: the day that one is none any more, all their time counts.
    """
    if not the_shop().leaves_out_apprentices:
        return frozenset()
    return frozenset(Hand.objects.filter(apprentice=True).values_list("user_id", flat=True))


def is_out_of_date() -> bool:
    """Whether the usual times that are kept don't know all that they would be made from now."""
    return usual.is_out_of_date(without_hands=left_out_hands())


def work_out_for_shop(at: datetime) -> Usual:
    """Work the usual times out anew and keep them. It takes seconds: only when somebody asks for it, or apart.

    WorkRefused where the shop has no operations.
    """
    return usual.work_out(at=at, without_hands=left_out_hands())
