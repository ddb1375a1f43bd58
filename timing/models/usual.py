"""What the facts taught: the fit as it is kept, and what a person said of timings that stray."""

from django.conf import settings
from django.db import models

from timing.models.facts import Tally


class SavedFit(models.Model):
    """The shop's usual times as they were last worked out: the newest row stands, and is the only one.

    It can be made again from the facts at any time; nothing is lost with it.
    """

    made_at = models.DateTimeField()
    # What it was made from, by `timing.usual.saved.made_from_now`; another now means that it is out of date.
    made_from = models.JSONField()
    timings = models.PositiveIntegerField()
    # Of the tallies that likely stray: [id, chance that it strays, its minutes to those to be expected].
    strays = models.JSONField(default=list)
    # Of the timings of each operation, by its key: [how many orders they are of, the day of the first].
    rests_on = models.JSONField(default=dict)
    content = models.BinaryField()

    def __str__(self) -> str:
        return f"{self.timings} timings, {self.made_at}"


class Verdict(models.Model):
    """What a person said of one timing: it counts, however long it took, or it is left out of usual times.

    Cost, counts and pay go by the facts alone, and never by this.
    """

    tally = models.OneToOneField(Tally, models.CASCADE, related_name="verdict")
    counts = models.BooleanField()
    said_at = models.DateTimeField()
    said_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")

    def __str__(self) -> str:
        return "counts" if self.counts else "left out"
