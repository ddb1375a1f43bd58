"""Who changed what in the example shop: the lines that its rates, prices and people would have left."""

from collections.abc import Iterable, Mapping
from datetime import date, datetime
from zoneinfo import ZoneInfo

from jobs.writing import writing
from shop import charges, overheads, rates
from shop.audit import Kind, a_line, write_down
from shop.models import AuditLine, Hand, Issue, Outwork, OverheadSpent, Purchase, Rate, Shop, StockCount
from shop.stores import actions


def enter_changes(
    hands: Mapping[str, Hand], *, first: date, owner: Hand, zone: ZoneInfo, others: Iterable[AuditLine] = ()
) -> None:
    """Write the lines down, with `others`, in the order of their days; the shop was opened on the day `first`."""
    shop = Shop.objects.get()
    opened_at = datetime(first.year, first.month, first.day, 8, tzinfo=zone)
    lines = [a_line(Kind.SHOP, shop.name, by=owner.user, after=f"opened, {owner.name} its owner", at=opened_at)]
    lines += [
        a_line(Kind.PERSON, hand.name, by=owner.user, after=f"taken on: {hand.get_role_display()}", at=opened_at)
        for hand in hands.values()
        if hand != owner
    ]
    lines += [*_rates(shop), *others]
    for kind in (Outwork, Issue):
        joined = ("order", "recorded_by", *(["material"] if kind is Issue else []))
        rows = kind._default_manager.select_related(*joined)
        lines += [charges.line_of(row, shop) for row in rows]
    lines += [overheads.line_of(row, shop) for row in OverheadSpent.objects.select_related("recorded_by")]
    for came in (Purchase, StockCount):
        lines += [actions.line_of(row, shop) for row in came._default_manager.select_related("material", "recorded_by")]
    with writing():
        write_down(sorted(lines, key=lambda line: line.made_at))


def _rates(shop: Shop) -> list[AuditLine]:
    lines, standing = [], dict[tuple[str, int | None], int]()
    for rate in Rate.objects.select_related("hand", "operation", "material", "recorded_by").order_by("from_on", "id"):
        subject = (rate.kind, rate.hand_id or rate.operation_id or rate.material_id)
        lines.append(rates.line_of(rate, standing.get(subject), shop))
        standing[subject] = rate.amount_millipence
    return lines
