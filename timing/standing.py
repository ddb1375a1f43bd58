"""When each task was last worked on, for what must stand before the next operation."""

from collections.abc import Iterable
from datetime import datetime, timedelta

from django.db.models import DateTimeField, DurationField, Exists, ExpressionWrapper, F, Max, OuterRef, QuerySet
from django.db.models.functions import Coalesce

from jobs.models import Order, Task
from timing.models import Stretch, Tally


def last_done(orders: Iterable[Order]) -> dict[int, datetime]:
    """The latest moment at which units of a task were made, by task id; only tasks that something stands on."""
    waited_on = Task.objects.filter(
        lot__order__in=[order.pk for order in orders], operation__waited_on_by__standing_minutes__gt=0
    )
    return last_made(Tally.objects.filter(task__in=waited_on.values("pk")))


def last_made(tallies: QuerySet[Tally]) -> dict[int, datetime]:
    """Of some tallies, the latest moment by the shop's clock at which units were made and not undone, by task id.

    A device's clock may be wrong: its error is added, as `timing.facts.device_error` has it.
    """
    undone = Stretch.objects.filter(cancels_token=OuterRef("stretch__token"))
    error = Coalesce(F("stretch__received_at") - F("stretch__sent_at"), timedelta(), output_field=DurationField())
    done_at = ExpressionWrapper(F("stretch__done_at") + error, output_field=DateTimeField())
    return dict(tallies.filter(~Exists(undone), made__gt=0).values_list("task_id").annotate(last_done_at=Max(done_at)))
