"""What a person does with the rack: buy, count, issue, bring back. Rows are added; each sent twice makes one."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from typing import Any, TypeVar
from uuid import UUID, uuid5

from django.contrib.auth.models import User
from django.db.models import Sum

from jobs.models import Lot, Order, Wheel
from jobs.writing import writing
from shop.amounts import SEEN_WITH_OTHER_CONTENT, TAKES_BACK, ChargeRefused
from shop.audit import Kind, a_line, note_change, the_shop, write_down
from shop.charges import check_place
from shop.days import day_in_words
from shop.models import AuditLine, Issue, Material, Purchase, Shop, StockCount
from shop.money import format_pence
from shop.stores.amounts import amount_told, pieces_told

Row = TypeVar("Row", Purchase, StockCount, Issue)
CameRow = TypeVar("CameRow", Purchase, StockCount)
Columns = dict[str, Any]


@dataclass(frozen=True, slots=True)
class Much:
    """So much of a material in millionths of its unit; `pieces` where it was told in pieces."""

    material: Material
    amount: int
    pieces: int | None = None

    def columns(self) -> Columns:
        return {"material": self.material, "amount_millionths": self.amount, "pieces": self.pieces}

    @property
    def words(self) -> str:
        """ "12 planks, 63 board feet"."""
        told = amount_told(self.material, self.amount)
        if self.pieces is None or self.material.unit == Material.Unit.EACH:
            return told
        return f"{pieces_told(self.material, self.pieces)}, {told}"


@dataclass(frozen=True, slots=True)
class Entry:
    """Who writes something down, when, and for which day. `token` is minted with the form."""

    token: UUID
    on: date
    by: User
    at: datetime

    def columns(self) -> Columns:
        return {
            "on": self.on,
            "recorded_at": self.at,
            "written_on": self.at.astimezone(the_shop().zone).date(),
            "recorded_by": self.by,
        }


@dataclass(frozen=True, slots=True)
class Place:
    """What is issued to: the whole order, one of its lots, or one wheel."""

    order: Order
    lot: Lot | None = None
    wheel: Wheel | None = None

    def columns(self) -> Columns:
        return {"order": self.order, "lot": self.lot or (self.wheel.lot if self.wheel else None), "wheel": self.wheel}


def buy(much: Much, entry: Entry, *, paid_pence: int, **about: Any) -> Purchase:
    """Write a purchase down; `about` are its supplier, felled_on and moisture_tenths. ChargeRefused as `_add`."""
    return _add(Purchase, entry, much.columns() | {"paid_pence": paid_pence} | about)


def count(much: Much, entry: Entry, *, at_day_end: bool = True) -> StockCount:
    """Write down what lies in the rack now, or lay there at the end of a day. ChargeRefused as `_add`."""
    return _add(StockCount, entry, much.columns() | {"at_day_end": at_day_end})


def issue(much: Much, entry: Entry, *, place: Place, what: str = "") -> Issue:
    """Take something from the rack, whether the rack is known to have it or not. ChargeRefused as `_add`."""
    return issue_all([(much, what)], entry, place=place)[0]


def issue_all(
    these: Sequence[tuple[Much, str]],
    entry: Entry,
    *,
    place: Place,
    check: Callable[[], None] | None = None,
    and_then: Callable[[list[Issue]], None] | None = None,
) -> list[Issue]:
    """Several at once under one token, all of them or none; the same again adds nothing. ChargeRefused as `_add`, where
    more or fewer were issued under this token, and where the order had ended before the day.

    The first time `check` is asked before anything is written, and `and_then` writes what goes with it.
    """
    check_place(place.order, place.columns()["lot"], place.wheel)
    with writing():
        # Two that issue to one order wait for each other, so that the later is checked against what the other did.
        order = Order.objects.select_for_update().get(pk=place.order.pk)
        told = Issue.objects.filter(token__in=[_token(entry, number) for number in range(len(these) + 1)]).count()
        was_told = Issue.objects.filter(token=entry.token).exists()
        if was_told and told != len(these):
            raise ChargeRefused(SEEN_WITH_OTHER_CONTENT)
        if not was_told:
            _check_not_ended(order, entry.on)
            if check:
                check()
        rows = [
            _add(
                Issue,
                replace(entry, token=_token(entry, number)),
                much.columns() | place.columns() | {"amount_pence": 0, "what": what or much.material.name},
            )
            for number, (much, what) in enumerate(these)
        ]
        if and_then and not was_told:
            and_then(rows)
        return rows


def _check_not_ended(order: Order, on: date) -> None:
    """What an order took, it took by the day on which it was fetched or dropped; that may be told later."""
    if order.ended_on and on > order.ended_on:
        how = "dropped" if order.state == Order.State.DROPPED else "fetched"
        raise ChargeRefused(
            f"Order {order.number} was {how} on {day_in_words(order.ended_on)}: it takes nothing after that day. What "
            "it took by then is told with the day on which it was taken."
        )


def _token(entry: Entry, number: int) -> UUID:
    """Of the rows that are issued under one token each has one that follows from it."""
    return uuid5(entry.token, str(number)) if number else entry.token


def bring_back(row: Issue, much: Much, entry: Entry) -> Issue:
    """What was not needed of an issue goes back into the rack. ChargeRefused for more than is still out."""
    if row.material_id is None or row.returns_id or row.cancels_id:
        raise ChargeRefused("Only what was issued from the rack comes back to it.")
    if entry.on < row.on:
        raise ChargeRefused(f"It was issued on {day_in_words(row.on)}: it can’t come back before.")
    with writing():
        Issue.objects.select_for_update().get(pk=row.pk)
        columns = {
            "material": much.material,
            "amount_millionths": -much.amount,
            "pieces": None if much.pieces is None else -much.pieces,
            "order": row.order,
            "lot": row.lot,
            "wheel": row.wheel,
            "amount_pence": 0,
            "what": row.what,
            "returns": row,
        }
        if not Issue.objects.filter(token=entry.token).exists():
            out = still_out(row)
            if much.amount > out:
                raise ChargeRefused(f"Only {amount_told(much.material, out)} of it can come back: no more is out.")
        return _add(Issue, entry, columns)


def still_out(row: Issue) -> int:
    """How much of an issue has neither come back nor been taken back, in millionths."""
    rows = Issue.objects.filter(returns=row).aggregate(back=Sum("amount_millionths"))
    if Issue.objects.filter(cancels=row).exists():
        return 0
    return (row.amount_millionths or 0) + (rows["back"] or 0)


def take_purchase_back(row: Purchase, *, token: UUID, reason: str, by: User, at: datetime) -> Purchase:
    """Cancel a purchase by a row with amount and pence negated, on its day; once at most. ChargeRefused."""
    paid = format_pence(row.paid_pence, the_shop().currency)
    negated: Columns = {"paid_pence": -row.paid_pence, "supplier": row.supplier}
    return _take_back(row, negated, Entry(token, row.on, by, at), before=paid, reason=reason)


def take_count_back(row: StockCount, *, token: UUID, reason: str, by: User, at: datetime) -> StockCount:
    """Cancel a count by a row that names it, on its day; once at most. ChargeRefused."""
    same: Columns = {"at_day_end": row.at_day_end}
    return _take_back(row, same, Entry(token, row.on, by, at), before=much_of(row).words, reason=reason)


def _take_back(row: CameRow, columns: Columns, entry: Entry, *, before: str, reason: str) -> CameRow:
    """With its amount negated, and these columns besides."""
    kind = type(row)
    if row.cancels_id is not None:
        raise ChargeRefused(TAKES_BACK)
    with writing():
        kind._default_manager.select_for_update().get(pk=row.pk)
        done = kind._default_manager.filter(cancels=row).first()
        if done:
            return done
        if kind._default_manager.filter(token=entry.token).exists():
            raise ChargeRefused(SEEN_WITH_OTHER_CONTENT)
        negated = Much(row.material, -row.amount_millionths, None if row.pieces is None else -row.pieces)
        contra = kind._default_manager.create(
            **negated.columns(), **columns, **entry.columns(), note=reason, token=entry.token, cancels=row
        )
        after = f"taken back: {reason}"
        note_change(Kind.PRICE, about(row), by=entry.by, before=before, after=after, at=entry.at)
    return contra


def _add(kind: type[Row], entry: Entry, columns: Columns) -> Row:
    """ChargeRefused where the token was seen with other content."""
    with writing():
        row, is_new = kind._default_manager.get_or_create(token=entry.token, defaults=columns | entry.columns())
        if is_new:
            write_down([line_of(row, the_shop())])
    # Where a count stands follows from the day on which it was sent first.
    same = {name: value for name, value in columns.items() if name != "at_day_end"} | {"on": entry.on}
    if not is_new and {name: getattr(row, name) for name in same} != same:
        raise ChargeRefused(SEEN_WITH_OTHER_CONTENT)
    return row


def much_of(row: Purchase | StockCount | Issue) -> Much:
    if row.material is None or row.amount_millionths is None:
        raise ValueError("Only what is of the rack has an amount.")
    return Much(row.material, row.amount_millionths, row.pieces)


def line_of(row: Purchase | StockCount | Issue, shop: Shop) -> AuditLine:
    """Who wrote it down, and how much it was."""
    after = much_of(row).words
    if isinstance(row, Purchase):
        after += f" for {format_pence(row.paid_pence, shop.currency)}"
    return a_line(Kind.PRICE, about(row), by=row.recorded_by, after=after, at=row.recorded_at)


def about(row: Purchase | StockCount | Issue) -> str:
    """What a row is, in words: "Ash boards: bought 2 March 2026"."""
    if isinstance(row, Issue):
        done = "back in the rack" if row.returns_id else "from the rack"
        return f"Order {row.order.number}, {row.order.carriage}: {row.what}, {done} {day_in_words(row.on)}"
    return f"{row.material}: {'bought' if isinstance(row, Purchase) else 'counted'} {day_in_words(row.on)}"
