"""What pay by a country's law rests on: outputs tried, notices given, overtime agreed.

Rows are added, never edited.
"""

from django.conf import settings
from django.db import models
from django.db.models import F, Q

from jobs.kept import Kept
from jobs.models import Operation


class OutputMean(Kept):
    """The mean hourly output of an operation from a day on, or from then on none. The newest row of a day stands.

    The mean itself is never stored: it follows from `tried`, what each hand made in how long.
    """

    class Basis(models.TextChoices):
        ALL = "all", "a test of every hand who does this work"
        SAMPLE = "sample", "a test of hands who stand for all who do it"
        ESTIMATE = "estimate", "an estimate from a test"
        ENDED = "ended", "not rated from then on"

    operation = models.ForeignKey(Operation, models.PROTECT, related_name="output_means")
    basis = models.CharField(max_length=8, choices=Basis)
    # The day of the test; of an estimate, the day on which it was made.
    tried_on = models.DateField()
    from_on = models.DateField()
    # The test that an estimate goes by, and how that work is like this one.
    rests_on = models.ForeignKey("self", models.PROTECT, null=True, blank=True, related_name="estimates")
    why = models.CharField(max_length=200, blank=True)
    token = models.UUIDField(unique=True)
    recorded_at = models.DateTimeField()
    recorded_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")

    class Meta:
        ordering = ["from_on", "id"]
        constraints = [
            models.CheckConstraint(
                name="output_mean_estimate_rests_on_a_test",
                condition=Q(basis="estimate", rests_on__isnull=False) | (~Q(basis="estimate") & Q(rests_on=None)),
            ),
            models.CheckConstraint(name="output_mean_not_its_own_test", condition=~Q(rests_on=F("id"))),
            models.CheckConstraint(name="output_mean_after_its_test", condition=Q(from_on__gte=F("tried_on"))),
        ]

    def __str__(self) -> str:
        return f"{self.operation}, {self.get_basis_display()}, from {self.from_on}"


class OutputTried(Kept):
    """What one hand made in a test, and in how long; of an estimate, what a hand is reckoned to make (no hand)."""

    mean = models.ForeignKey(OutputMean, models.PROTECT, related_name="tried")
    hand = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+")
    pieces = models.PositiveIntegerField()
    seconds = models.PositiveIntegerField()

    class Meta:
        verbose_name_plural = "output tried"
        ordering = ["id"]
        constraints = [
            models.UniqueConstraint(fields=["mean", "hand"], name="output_tried_once_a_hand"),
            models.CheckConstraint(name="output_tried_is_something", condition=Q(pieces__gt=0, seconds__gt=0)),
        ]

    def __str__(self) -> str:
        return f"{self.pieces} in {self.seconds} s"


class OutputNotice(Kept):
    """The written notice of rated output work that a hand was given on a day, for ever as it was given."""

    hand = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="output_notices")
    mean = models.ForeignKey(OutputMean, models.PROTECT, related_name="notices")
    given_on = models.DateField()
    # What was told of pay: [[nanometres from which a wheel earns it, or none; millipence], …].
    rates = models.JSONField()
    # The sentences, in order.
    told = models.JSONField()
    token = models.UUIDField(unique=True)
    recorded_at = models.DateTimeField()
    recorded_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")

    class Meta:
        ordering = ["given_on", "id"]

    def __str__(self) -> str:
        return f"{self.hand}, {self.given_on}"


class OvertimeAgreement(Kept):
    """What a hand agreed to: pieces of overtime hours earn one and a half times their rate.

    The newest row that begins on a day stands: one with an end, or an earlier end, puts it right.
    """

    hand = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="overtime_agreements")
    agreed_on = models.DateField()
    begins_on = models.DateField()
    ends_on = models.DateField(null=True, blank=True)
    recorded_at = models.DateTimeField()
    recorded_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")

    class Meta:
        ordering = ["begins_on", "id"]
        constraints = [
            models.CheckConstraint(name="overtime_agreed_before_it_begins", condition=Q(begins_on__gte=F("agreed_on"))),
            models.CheckConstraint(
                name="overtime_agreement_ends_after_it_begins",
                condition=Q(ends_on=None) | Q(ends_on__gte=F("begins_on")),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.hand}, from {self.begins_on}"
