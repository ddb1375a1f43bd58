"""The clock that each hand sees: the only row of this room that changes."""

from django.conf import settings
from django.db import models
from django.db.models import Q

from jobs.models import Task
from timing.models.facts import Kind


class Clock(models.Model):
    """What a hand is at, and since when; shown, and never summed."""

    hand = models.OneToOneField(settings.AUTH_USER_MODEL, models.CASCADE, related_name="clock")
    kind = models.CharField(max_length=8, choices=Kind, default=Kind.WORK)
    task = models.ForeignKey(Task, models.SET_NULL, null=True, blank=True, related_name="clocks")
    # None while it stands still: taps still count then, untimed.
    started_at = models.DateTimeField(null=True, blank=True)
    changed_at = models.DateTimeField()

    class Meta:
        indexes = [models.Index(fields=["task"], condition=Q(started_at__isnull=False), name="clock_running_on_a_task")]

    def __str__(self) -> str:
        return f"{self.hand}: {self.get_kind_display()}"
