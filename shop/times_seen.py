"""Whose timings a person may see."""

from django.http import HttpRequest

from shop.access import roles_of
from shop.asked import asked
from shop.context import current_hand


def whose_times(request: HttpRequest) -> int | None:
    """None for everybody's, or the user id of who asks, whose own are shown alone.

    Owner and desk see all; a hand sees those of others only where the owner has said so.
    """
    hand = current_hand(request)
    if hand is None or "desk" in roles_of(request) or asked(request).shop.hands_see_times:
        return None
    return hand.user_id
