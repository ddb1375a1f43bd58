"""Overhead that was really spent, as the owner writes it down: amounts with a day, added and never edited."""

from dataclasses import dataclass
from datetime import date, datetime
from uuid import UUID

from django.contrib.auth.models import User

from jobs.writing import writing
from shop.audit import Kind, a_line, the_shop, write_down
from shop.charges import SEEN_WITH_OTHER_CONTENT, ChargeRefused
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
    columns = {"what": told.what, "amount_pence": told.amount_pence, "on": told.on}
    with writing():
        row, is_new = OverheadSpent.objects.get_or_create(
            token=told.token, defaults={**columns, "recorded_at": at, "recorded_by": by}
        )
        if is_new:
            write_down([line_of(row, the_shop())])
    if not is_new and any(getattr(row, name) != value for name, value in columns.items()):
        raise ChargeRefused(SEEN_WITH_OTHER_CONTENT)
    return row


def take_back_overhead(row: OverheadSpent, *, token: UUID, reason: str, by: User, at: datetime) -> OverheadSpent:
    """Cancel a row by one with its amount negated, on the same day; once at most. Raises ChargeRefused."""
    if row.cancels_id is not None:
        raise ChargeRefused("That row takes another back already: write the amount down anew instead.")
    with writing():
        OverheadSpent.objects.select_for_update().get(pk=row.pk)
        done = OverheadSpent.objects.filter(cancels=row.pk).first()
        if done:
            return done
        contra = OverheadSpent.objects.create(
            what=reason,
            amount_pence=-row.amount_pence,
            on=row.on,
            recorded_at=at,
            recorded_by=by,
            token=token,
            cancels=row,
        )
        amount = format_pence(row.amount_pence, the_shop().currency)
        write_down([a_line(Kind.PRICE, _about(row), by=by, before=amount, after=f"taken back: {reason}", at=at)])
    return contra


def line_of(row: OverheadSpent, shop: Shop) -> AuditLine:
    """Who wrote it down, and how much."""
    amount = format_pence(row.amount_pence, shop.currency)
    return a_line(Kind.PRICE, _about(row), by=row.recorded_by, after=amount, at=row.recorded_at)


def _about(row: OverheadSpent) -> str:
    return f"Overhead of {day_in_words(row.on)}: {row.what}"
