"""The timber of a draft as a person saw it: what they saw is what is sent.

The search for the fewest planks is bound by seconds, so that a busy machine may find a plan of one plank more. A page
gives its figures along, signed, and the sending takes those, as long as nothing but the plan is another.
"""

from dataclasses import replace
from typing import Any

from django.core import signing

from shop.quoting.pricing import Cost
from shop.quoting.reckoning import Reckoned
from shop.quoting.rows import MaterialRow

SALT = "shop.quoting.shown"


def sign_timber(reckoned: Reckoned) -> str:
    """The figures of its timber, for a page to give along."""
    told = {row.key: [_but_the_plan(row), row.amount, row.pence] for row in reckoned.timber if _is_planned(row)}
    return signing.dumps(told, salt=SALT, compress=True)


def as_shown(reckoned: Reckoned, signed: str) -> Reckoned:
    """The same with the timber as it was signed, wherever only the plan differs. What nobody signed changes nothing."""
    try:
        told: dict[str, Any] = signing.loads(signed, salt=SALT)
    except signing.BadSignature:
        return reckoned
    timber = tuple(_shown(row, told.get(row.key)) for row in reckoned.timber)
    more = sum(row.pence or 0 for row in timber) - reckoned.timber_pence
    return replace(reckoned, timber=timber, cost=Cost(reckoned.cost.work, reckoned.cost.sure + more))


def _shown(row: MaterialRow, told: list[Any] | None) -> MaterialRow:
    if told is None or not _is_planned(row) or told[0] != _but_the_plan(row):
        return row
    return replace(row, amount=told[1], pence=told[2])


def _is_planned(row: MaterialRow) -> bool:
    return row.pence is not None and not row.is_own


def _but_the_plan(row: MaterialRow) -> list[str]:
    """What is wanted, how much of it with its spares, and of which material at what price."""
    return [row.wanted, row.amount.partition(" from ")[0], row.rests_on]
