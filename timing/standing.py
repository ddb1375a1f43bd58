"""When each task was last worked on, for what must stand before the next operation."""

from collections.abc import Iterable
from datetime import datetime

from django.db.models import Exists, Max, OuterRef

from jobs.models import Order, Task
from timing.models import Stretch, Tally


def last_done(orders: Iterable[Order]) -> dict[int, datetime]:
    """The latest moment at which units of a task were made, by task id; only tasks that something stands on."""
    waited_on = Task.objects.filter(
        lot__order__in=[order.pk for order in orders], operation__waited_on_by__standing_minutes__gt=0
    )
    undone = Stretch.objects.filter(cancels_token=OuterRef("stretch__token"))
    return dict(
        Tally.objects.filter(~Exists(undone), task__in=waited_on.values("pk"), made__gt=0)
        .values_list("task_id")
        .annotate(Max("stretch__done_at"))
    )
