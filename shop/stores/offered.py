"""The form with which the desk issues what a plan takes, where the plan stands."""

from collections.abc import Sequence
from dataclasses import dataclass

from jobs.measures import Unit
from jobs.models import Order
from shop.asked import Asked
from shop.forms.cutting import offcuts_told
from shop.forms.stores import IssuePlanForm, plan_answers
from shop.models import Material
from shop.stores.amounts import about_pieces, amount_told
from shop.stores.plan_seen import seen_of
from shop.stores.plans import Planned, ToIssue, to_issue


@dataclass(frozen=True, slots=True)
class Offered:
    """The form; or none where the order had it all, or all is cut from offcuts of `whole_bars`, which cost no more."""

    form: IssuePlanForm | None
    whole_bars: tuple[Material, ...] = ()


def offer_issues(planned: Sequence[Planned], order: Order, here: Asked, *, plan_url: str) -> Offered | None:
    """For the desk, and an order in work; None for others, and where nothing of the plan is a material of the shop.

    `plan_url` is where the plan stands, as it was asked for.
    """
    if not (here.is_desk and planned and order.state in Order.WORK_STATES):
        return None
    rows = to_issue(planned, order)
    left = _to_offer(rows)
    if not left:
        return Offered(None, tuple(row.planned.material for row in rows if _costs_no_more(row)))
    form = IssuePlanForm(
        order=order,
        materials=[row.planned.material for row in left],
        today=here.today,
        unit=here.unit,
        initial=plan_answers(left, unit=here.unit)
        | {"seen": seen_of(order, [row.planned.material for row in left]), "plan": plan_url},
    )
    for row in left:
        form.fields[f"much-{row.planned.material.pk}"].help_text = _lies(row, here.unit)
    return Offered(form)


def _to_offer(rows: Sequence[ToIssue]) -> list[ToIssue]:
    """What has an amount, and beside it whole bars of which offcuts alone are used, which are noted with the rest."""
    amounts = [row for row in rows if row.amount]
    return [row for row in rows if row.amount or (amounts and _costs_no_more(row))]


def _costs_no_more(row: ToIssue) -> bool:
    """Of bars that are bought whole only offcuts are used: the bar was charged when it was cut first."""
    return bool(row.planned.used) and row.planned.material.unit == Material.Unit.EACH


def _lies(row: ToIssue, unit: Unit) -> str:
    """What lies there, what the order had of it before, and what its offcuts cost."""
    one = row.planned.material
    lies = ", ".join(filter(None, (amount_told(one, max(0, row.lies)), about_pieces(one, max(0, row.lies)))))
    told = [f"{lies} in the rack."]
    if row.issued > 0:
        told.append(f"Issued before: {amount_told(one, row.issued)}.")
    if row.planned.used:
        cost = "cost nothing more: the whole bar was charged" if _costs_no_more(row) else "are charged as this bar is"
        told.append(f"Offcuts of it that are used, {offcuts_told(row.planned.used, unit=unit)}, {cost}.")
    return " ".join(told)
