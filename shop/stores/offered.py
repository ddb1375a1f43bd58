"""The form with which the desk issues what a plan takes, where the plan stands."""

from collections.abc import Sequence
from dataclasses import dataclass

from jobs.models import Order
from shop.asked import Asked
from shop.forms.stores import IssuePlanForm, plan_answers
from shop.stores.amounts import about_pieces, amount_told
from shop.stores.plan_seen import seen_of
from shop.stores.plans import Planned, ToIssue, to_issue


@dataclass(frozen=True, slots=True)
class Offered:
    """The form, or none where `all_issued` says that the order had it all."""

    form: IssuePlanForm | None
    all_issued: bool


def offer_issues(planned: Sequence[Planned], order: Order, here: Asked, *, plan_url: str) -> Offered | None:
    """For the desk, and an order in work; None for others, and where nothing of the plan is a material of the shop.

    `plan_url` is where the plan stands, as it was asked for.
    """
    if not (here.is_desk and planned and order.state in Order.WORK_STATES):
        return None
    rows = to_issue(planned, order)
    left = [row for row in rows if row.amount]
    if not left:
        return Offered(None, all_issued=True)
    form = IssuePlanForm(
        order=order,
        materials=[row.planned.material for row in left],
        today=here.today,
        unit=here.unit,
        initial=plan_answers(left, unit=here.unit)
        | {"seen": seen_of(order, [row.planned.material.pk for row in left]), "plan": plan_url},
    )
    for row in left:
        form.fields[f"much-{row.planned.material.pk}"].help_text = _lies(row)
    return Offered(form, all_issued=False)


def _lies(row: ToIssue) -> str:
    """What lies there, and what the order had of it before."""
    one = row.planned.material
    lies = ", ".join(filter(None, (amount_told(one, max(0, row.lies)), about_pieces(one, max(0, row.lies)))))
    return f"{lies} in the rack.{f' Issued before: {amount_told(one, row.issued)}.' if row.issued > 0 else ''}"
