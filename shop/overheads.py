"""Overhead that was really spent, as the owner writes it down: amounts with a day, added and never edited."""

from dataclasses import dataclass
from datetime import date, datetime
from uuid import UUID

from django.contrib.auth.models import User

from shop.amounts import enter_once, take_back_once
from shop.audit import Kind, a_line, the_shop
from shop.days import day_in_words
from shop.models import AuditLine, OverheadSpent, Shop
from shop.money import format_pence


@dataclass(frozen=True, slots=True)
class Overhead:
    """What was paid for, how much and the day. `token` is minted with the form, so that it is entered once."""

    token: UUID
    what: str
    amount_pence: int
    on: date


def add_overhead(told: Overhead, *, by: User, at: datetime) -> OverheadSpent:
    """Write an amount down. The same form sent twice makes one row. Raises ChargeRefused for other content."""
    content = {"what": told.what, "amount_pence": told.amount_pence, "on": told.on}
    columns = {**content, "recorded_at": at, "recorded_by": by}
    return enter_once(OverheadSpent, told.token, columns, same=list(content), line=lambda row: line_of(row, the_shop()))


def take_back_overhead(row: OverheadSpent, *, token: UUID, reason: str, by: User, at: datetime) -> OverheadSpent:
    """Cancel a row by one with its amount negated, on the same day; once at most. Raises ChargeRefused."""
    told_as = (Kind.PRICE, _about(row))
    return take_back_once(row, token=token, reason=reason, by=by, at=at, keeps={}, told_as=told_as)


def line_of(row: OverheadSpent, shop: Shop) -> AuditLine:
    """Who wrote it down, and how much."""
    amount = format_pence(row.amount_pence, shop.currency)
    return a_line(Kind.PRICE, _about(row), by=row.recorded_by, after=amount, at=row.recorded_at)


def _about(row: OverheadSpent) -> str:
    return f"Overhead of {day_in_words(row.on)}: {row.what}"
