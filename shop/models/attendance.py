"""Coming, going and breaks of each hand: facts, added and never edited. Only `shop.attendance` writes these."""

from django.conf import settings
from django.db import models
from django.db.models import Q

from jobs.kept import Kept


class Attendance(Kept):
    """One touch at coming, going or a break, or the taking back of one, on the original's day."""

    class Kind(models.TextChoices):
        CAME = "came", "came"
        WENT = "went", "went"
        BREAK = "break", "break from"
        BACK = "back", "back from it"

    class Source(models.TextChoices):
        BENCH = "bench", "bench"
        DESK = "desk", "desk"

    token = models.UUIDField(unique=True)
    content_hash = models.CharField(max_length=64)
    hand = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="attendance")
    kind = models.CharField(max_length=5, choices=Kind)
    done_at = models.DateTimeField()
    done_on = models.DateField()
    sent_at = models.DateTimeField(null=True, blank=True)
    received_at = models.DateTimeField()
    cancels_token = models.UUIDField(null=True, blank=True)
    source = models.CharField(max_length=5, choices=Source)
    # Who entered it, where that was not the hand.
    entered_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+")
    note = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["done_on", "id"]
        indexes = [
            models.Index(fields=["done_on", "id"], name="attendance_by_day"),
            models.Index(fields=["hand", "done_on", "id"], name="attendance_by_hand_and_day"),
        ]
        constraints = [
            models.UniqueConstraint(
                fields=["cancels_token"], condition=Q(cancels_token__isnull=False), name="attendance_taken_back_once"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_kind_display()}, {self.done_on}"
