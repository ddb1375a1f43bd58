"""Whether a revision is an offer on a day, and what is said where it is none."""

from dataclasses import dataclass
from datetime import date, tzinfo

from shop.days import day_in_words
from shop.models import Revision

State = Revision.State


@dataclass(frozen=True, slots=True)
class Stands:
    """What is written across a paper that must not be taken for an offer, and the sentence that says why.

    Only an offer that stands today may be signed.
    """

    across: str = ""
    said: str = ""
    may_sign: bool = False


def how_it_stands(revision: Revision, *, today: date) -> Stands:
    """How a revision stands on the shop's day."""
    if revision.is_draft:
        return Stands("DRAFT", "This is a draft and no offer: it can’t be accepted, and its price may still change.")
    if revision.state == State.REPLACED:
        return Stands("REPLACED", f"This is no longer an offer: it was replaced by {_later(revision)}.")
    if revision.state == State.REFUSED:
        return Stands("NOT TAKEN UP", "This is no longer an offer: it was not taken up.")
    if revision.state == State.ACCEPTED:
        return Stands(said=f"Accepted{_order(revision)}.")
    if revision.last_on is not None and revision.last_on < today:
        last = day_in_words(revision.last_on)
        return Stands("EXPIRED", f"This offer ended on {last} and can’t be accepted any more: ask us for a new one.")
    return Stands(may_sign=True)


def _later(revision: Revision) -> str:
    later = revision.quote.revisions.filter(number__gt=revision.number).exclude(state=State.DRAFT).first()
    return f"revision {later.number}" if later else "a later one"


def _order(revision: Revision) -> str:
    order = revision.quote.order or revision.quote.alters
    return f": it is order {order.number}" if order else ""


def state_in_words(revision: Revision, *, today: date, zone: tzinfo) -> str:
    """As "sent 3 March 2026, holds until 2 April 2026", "accepted 9 March 2026", "draft"."""
    answered = f" {day_in_words(revision.answered_at.astimezone(zone).date())}" if revision.answered_at else ""
    if revision.state != State.SENT or revision.sent_at is None or revision.last_on is None:
        return f"{revision.get_state_display()}{answered}"
    last = day_in_words(revision.last_on)
    if revision.last_on < today:
        return f"expired {last}"
    return f"sent {day_in_words(revision.sent_at.astimezone(zone).date())}, holds until {last}"
