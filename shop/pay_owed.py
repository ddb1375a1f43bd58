"""What a closed period owes each hand by its facts as they are now, kept in this process until there are other facts.

Late facts stay late until the next closing, and the page of pay is looked at many times before it.
"""

from collections.abc import Mapping
from datetime import datetime
from typing import Any
from uuid import UUID

from shop.agreements import Agreements
from shop.models import PayRun, Shop
from shop.pay_facts import Scheme
from shop.pay_reckoned import Period, Settings, reckon_period
from shop.pay_seen import Counts

# By the run's token: by what it was reckoned, and pence by hand. One entry a run; replaced as a whole.
KEPT: dict[UUID, tuple[tuple[Any, ...], Mapping[int, int]]] = {}


def owed_for(
    run: PayRun, counts: Counts, shop: Shop, *, now: datetime, scheme: Scheme, agreed: Agreements
) -> Mapping[int, int]:
    """Pence by hand, reckoned by the run's own settings.

    As many facts are the same facts, so that they are reckoned once: `counts` were taken before anything was read, and
    what came meanwhile makes them others. The shop's zone and the operations' names are no facts, and may change.
    """
    by = (counts, shop.time_zone, tuple(scheme.names.items()))
    kept = KEPT.get(run.token)
    if kept and kept[0] == by:
        return kept[1]
    period = Period(run.first_on, run.last_on, Settings.read(run.settings))
    earned = reckon_period(period, shop, now=now, scheme=scheme, agreed=agreed)
    owed = {pk: one.pence for pk, one in earned.by_hand.items()}
    KEPT[run.token] = by, owed
    return owed
