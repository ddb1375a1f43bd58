"""How each hand is paid from a day on, as it was written down, and bonuses: neither is ever edited."""

from collections.abc import Mapping
from dataclasses import fields
from datetime import date, datetime
from uuid import UUID

from django.contrib.auth.models import User

from shop.amounts import enter_once, take_back_once
from shop.audit import Kind, a_line, the_shop
from shop.days import day_in_words
from shop.models import AuditLine, Bonus, Hand, PayTerms
from shop.money import format_pence
from shop.pay.terms import DatedTerms, Terms

# The columns of a row that are its terms, in their order.
TERMS = tuple(field.name for field in fields(Terms))


def all_terms() -> Mapping[int, DatedTerms]:
    """The terms of every hand that has some, by user id: one query."""
    found: dict[int, list[tuple[date, Terms]]] = {}
    rows = PayTerms.objects.order_by("id").values_list("hand_id", "from_on", *TERMS)
    for hand_id, day, *told in rows:
        found.setdefault(hand_id, []).append((day, Terms(*told)))
    return {hand_id: DatedTerms.of(rows) for hand_id, rows in found.items()}


def terms_of(row: PayTerms) -> Terms:
    return Terms(row.by_pieces, row.band, row.hours_are_controlled)


def terms_in_words(terms: Terms) -> str:
    """How a hand is paid: "by pieces and hours; by law at least the full lowest wage"."""
    own = "" if terms.hours_are_controlled else "; it keeps its own hours"
    paid = "pieces and hours" if terms.by_pieces else "hours"
    return f"by {paid}; by law at least {PayTerms.Band(terms.band).label}{own}"


def add_bonus(*, token: UUID, hand: Hand, what: str, amount_pence: int, on: date, by: User, at: datetime) -> Bonus:
    """Enter a bonus. The same form sent twice makes one row. Raises ChargeRefused for other content."""
    content = {"hand_id": hand.user_id, "what": what, "amount_pence": amount_pence, "on": on}
    columns = {**content, "recorded_at": at, "recorded_by": by}
    return enter_once(Bonus, token, columns, same=list(content), line=_line_of)


def _line_of(row: Bonus) -> AuditLine:
    amount = format_pence(row.amount_pence, the_shop().currency)
    return a_line(Kind.PAY, _about(row), by=row.recorded_by, after=amount, at=row.recorded_at)


def _about(row: Bonus) -> str:
    name = Hand.objects.get(user=row.hand_id).name
    return f"{name}: bonus, {row.what}, {day_in_words(row.on)}"


def take_back_bonus(row: Bonus, *, token: UUID, reason: str, by: User, at: datetime) -> Bonus:
    """Cancel a bonus by a row with its amount negated, on its day; each is taken back once at most.

    Raises ChargeRefused.
    """
    keeps, told_as = {"hand_id": row.hand_id}, (Kind.PAY, _about(row))
    return take_back_once(row, token=token, reason=reason, by=by, at=at, keeps=keeps, told_as=told_as)
