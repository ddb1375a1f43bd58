"""The shop's usual times as pages and the example work them out: with the same hands left out."""

from datetime import datetime

from timing import usual
from timing.usual import Usual


def left_out_hands() -> frozenset[int]:
    """The user ids of hands whose time does not count for usual times."""
    return frozenset()


def is_out_of_date() -> bool:
    """Whether the usual times that are kept don't know all that they would be made from now."""
    return usual.is_out_of_date(without_hands=left_out_hands())


def work_out_for_shop(at: datetime) -> Usual:
    """Work the usual times out anew and keep them. WorkRefused where the shop has no operations."""
    return usual.work_out(at=at, without_hands=left_out_hands())
