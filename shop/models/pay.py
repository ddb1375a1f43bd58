"""How hands are paid, and what they are paid beside pieces and hours: rows are added, never edited."""

from django.conf import settings
from django.db import models
from django.db.models import F, Q

from jobs.kept import Kept
from timing.models import Stretch


class PayTerms(Kept):
    """How one hand is paid from a day on. The newest row of a day stands; before the first, by the wage alone."""

    class Band(models.TextChoices):
        ADULT = "adult", "the full lowest wage"
        YOUNG = "young", "that of 18 to 20"
        SCHOOL = "school", "that of under 18"
        APPRENTICE = "apprentice", "that of apprentices"

    hand = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="pay_terms")
    by_pieces = models.BooleanField(default=False)
    band = models.CharField(max_length=10, choices=Band, default=Band.ADULT)
    # Whether the shop sets the hours, or when the hand begins and ends: then its pieces are never rated output work.
    hours_are_controlled = models.BooleanField(default=True, db_default=True)
    from_on = models.DateField()
    recorded_at = models.DateTimeField()
    recorded_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, related_name="+")

    class Meta:
        ordering = ["from_on", "id"]

    def __str__(self) -> str:
        return f"{'pieces' if self.by_pieces else 'wage'} from {self.from_on}"


class Bonus(Kept):
    """Money for a hand on a day beside what pieces and hours earn. A row that cancels another carries it negated."""

    hand = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="bonuses")
    what = models.CharField(max_length=160)
    amount_pence = models.BigIntegerField()
    on = models.DateField()
    recorded_at = models.DateTimeField()
    recorded_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    token = models.UUIDField(unique=True)
    cancels = models.OneToOneField("self", models.PROTECT, null=True, blank=True, related_name="cancelled_by")

    class Meta:
        ordering = ["on", "id"]
        indexes = [models.Index(fields=["on", "id"], name="bonus_by_day")]
        constraints = [
            models.CheckConstraint(
                name="bonus_negated_only_by_a_cancel",
                condition=Q(cancels=None, amount_pence__gt=0) | Q(cancels__isnull=False, amount_pence__lt=0),
            ),
            models.CheckConstraint(name="bonus_not_its_own_cancel", condition=~Q(cancels=F("id"))),
        ]

    def __str__(self) -> str:
        return f"{self.what}, {self.on}"


class Passed(Kept):
    """A stretch whose pieces the foreman has looked at and passed: only those are paid. What undoes it follows it."""

    stretch = models.OneToOneField(Stretch, models.PROTECT, related_name="passed")
    passed_at = models.DateTimeField()
    passed_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")

    class Meta:
        ordering = ["id"]

    def __str__(self) -> str:
        return f"{self.stretch}, passed"


class PayRun(Kept):
    """A period that is paid: closed once, with the settings it was reckoned by. Never edited."""

    token = models.UUIDField(unique=True)
    first_on = models.DateField(unique=True)
    last_on = models.DateField(unique=True)
    closed_at = models.DateTimeField()
    closed_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    # Rules, spoiled pieces and breaks, as `shop.pay_reckoned.Settings` writes them.
    settings = models.JSONField()
    # How many facts this run saw: of its own period, and of earlier ones that it reckoned anew, by the run's id.
    seen = models.JSONField()

    class Meta:
        ordering = ["first_on"]
        constraints = [
            models.CheckConstraint(name="pay_run_ends_after_it_begins", condition=Q(last_on__gte=F("first_on")))
        ]

    def __str__(self) -> str:
        return f"{self.first_on} to {self.last_on}"


class PaySheet(Kept):
    """What one hand is paid for a period, with every line and what it came from. Never edited."""

    run = models.ForeignKey(PayRun, models.PROTECT, related_name="sheets")
    hand = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="pay_sheets")
    # Of the period itself; what late facts of earlier ones add or take is in `adjustments`.
    own_pence = models.BigIntegerField()
    gross_pence = models.BigIntegerField()
    told = models.JSONField()

    class Meta:
        ordering = ["run", "id"]
        constraints = [models.UniqueConstraint(fields=["run", "hand"], name="pay_sheet_once_a_run_and_hand")]

    def __str__(self) -> str:
        return f"{self.hand}, {self.run}"


class PayAdjustment(Kept):
    """What a sheet pays, or takes back, for late facts of an earlier period.

    Of its own run: what it leaves owed back, which the next takes off.
    """

    sheet = models.ForeignKey(PaySheet, models.PROTECT, related_name="adjustments")
    of_run = models.ForeignKey(PayRun, models.PROTECT, related_name="later_adjustments")
    pence = models.BigIntegerField()

    class Meta:
        ordering = ["of_run", "id"]
        constraints = [
            models.UniqueConstraint(fields=["sheet", "of_run"], name="pay_adjustment_once_a_sheet_and_run"),
            models.CheckConstraint(name="pay_adjustment_is_something", condition=~Q(pence=0)),
        ]

    def __str__(self) -> str:
        return f"{self.sheet}: late facts of {self.of_run}"
