"""Amounts that are written down with a day: entered once by their token, and taken back once by a row negated."""

from collections.abc import Callable, Mapping, Sequence
from datetime import datetime
from typing import Any, TypeVar
from uuid import UUID

from django.contrib.auth.models import User

from jobs.writing import writing
from shop.audit import note_change, the_shop, write_down
from shop.models import AuditLine, Bonus, Issue, Outwork, OverheadSpent
from shop.money import format_pence

Row = TypeVar("Row", Outwork, Issue, OverheadSpent, Bonus)

SEEN_WITH_OTHER_CONTENT = "This was sent before with other content: it is kept as it was then."
TAKES_BACK = "That row takes another back already: enter the amount anew instead."


class ChargeRefused(ValueError):
    """What was asked can't be done; the message is one sentence for the person who asked."""


def enter_once(
    kind: type[Row], token: UUID, columns: Mapping[str, Any], *, same: Sequence[str], line: Callable[[Row], AuditLine]
) -> Row:
    """Add a row with its line of who entered it. The same form sent twice makes one row.

    ChargeRefused where the row of this token is another by the columns named in `same`.
    """
    with writing():
        row, is_new = kind._default_manager.get_or_create(token=token, defaults=dict(columns))
        if is_new:
            write_down([line(row)])
    if not is_new and any(getattr(row, name) != columns[name] for name in same):
        raise ChargeRefused(SEEN_WITH_OTHER_CONTENT)
    return row


def take_back_once(
    row: Row,
    *,
    token: UUID,
    reason: str,
    by: User,
    at: datetime,
    keeps: Mapping[str, Any],
    told_as: tuple[str, str],
    amount: str | None = None,
) -> Row:
    """Cancel a row by one with its amount negated, on its day and with the columns `keeps`; each is once at most.

    `told_as` are the kind of the line of who did it, and what the row is in words; `amount` is how much, where its
    pence don't say it. Raises ChargeRefused.
    """
    if row.cancels_id is not None:
        raise ChargeRefused(TAKES_BACK)
    kind = type(row)
    with writing():
        kind._default_manager.select_for_update().get(pk=row.pk)
        done = kind._default_manager.filter(cancels=row.pk).first()
        if done:
            return done
        contra = kind(
            what=reason,
            amount_pence=-row.amount_pence,
            on=row.on,
            recorded_at=at,
            recorded_by=by,
            token=token,
            cancels_id=row.pk,
            **keeps,
        )
        contra.save(force_insert=True)
        before = format_pence(row.amount_pence, the_shop().currency) if amount is None else amount
        note_change(*told_as, by=by, before=before, after=f"taken back: {reason}", at=at)
    return contra
