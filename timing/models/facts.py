"""Stretches of work with their tallies, and moves of pieces. Only `timing.record`, `bulk` and `moves` write these."""

from django.conf import settings
from django.db import models
from django.db.models import Q

from jobs.kept import Kept, KeptQuerySet, KeptRow
from jobs.models import Operation, Task


class Kind(models.TextChoices):
    WORK = "work", "work"
    SHOP = "shop", "shop work"
    WAITING = "waiting", "waiting"
    TRAINING = "training", "training"
    BREAK = "break", "break"


class Source(models.TextChoices):
    BENCH = "bench", "bench"
    DESK = "desk", "desk"
    # Said from a trade's list, where it may be undone the same day.
    LIST = "list", "trade's list"
    OLD_BOOK = "old_book", "old book"


class Reason(models.TextChoices):
    """Why a piece was spoiled: pay and cost may treat them differently."""

    NONE = "", "nothing spoiled"
    TIMBER = "timber", "the timber"
    WORK = "work", "the work"
    OTHER = "other", "something else"


class StretchQuerySet(KeptQuerySet["Stretch"]):
    def of_the_shop(self) -> "StretchQuerySet":
        """Without what was brought in from an old book."""
        return self.exclude(source=Source.OLD_BOOK)

    def newest_first(self) -> "StretchQuerySet":
        return self.order_by("-done_on", "-id")


class Stretch(KeptRow):
    """One run of work by one hand: its seconds, and through its tallies what it yielded.

    A cancelling stretch carries the negated seconds and tallies of the one that it names, on the same day, so
    that every count and sum is a plain SUM.
    """

    Kind = Kind
    Source = Source

    token = models.UUIDField(unique=True)
    content_hash = models.CharField(max_length=64)
    kind = models.CharField(max_length=8, choices=Kind)
    hand = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="stretches")
    operation = models.ForeignKey(Operation, models.PROTECT, null=True, blank=True, related_name="stretches")
    started_at = models.DateTimeField(null=True, blank=True)
    done_at = models.DateTimeField()
    done_on = models.DateField()
    sent_at = models.DateTimeField(null=True, blank=True)
    received_at = models.DateTimeField()
    seconds = models.IntegerField(null=True, blank=True)
    cancels_token = models.UUIDField(null=True, blank=True)
    source = models.CharField(max_length=8, choices=Source)
    # Who entered it, where that was not the hand: an owner's correction says so.
    entered_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+")
    note = models.CharField(max_length=200, blank=True)

    objects = StretchQuerySet.as_manager()

    class Meta:
        indexes = [
            models.Index(fields=["done_on", "id"], name="stretch_by_day"),
            models.Index(fields=["hand", "done_on", "id"], name="stretch_by_hand_and_day"),
            models.Index(fields=["operation", "done_at", "id"], name="stretch_by_operation"),
        ]
        constraints = [
            # Of the cancels alone: with all rows in it, SQLite would look up "cancels nothing" there, and find all.
            models.UniqueConstraint(
                fields=["cancels_token"], condition=Q(cancels_token__isnull=False), name="stretch_undone_once"
            ),
            models.CheckConstraint(
                name="stretch_seconds_negated_only_by_a_cancel",
                condition=Q(seconds=None)
                | Q(cancels_token=None, seconds__gte=0)
                | Q(cancels_token__isnull=False, seconds__lte=0),
            ),
            models.CheckConstraint(
                name="stretch_operation_goes_with_work",
                condition=Q(kind=Kind.WORK, operation__isnull=False) | (~Q(kind=Kind.WORK) & Q(operation=None)),
            ),
            models.CheckConstraint(
                name="stretch_ends_after_it_starts",
                condition=Q(started_at=None) | Q(done_at__gte=models.F("started_at")),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_kind_display()}, {self.done_on}"


class Helper(Kept):
    """Another hand in a stretch: the same seconds of that hand's time."""

    stretch = models.ForeignKey(Stretch, models.PROTECT, related_name="helpers")
    hand = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="helped")

    class Meta:
        constraints = [models.UniqueConstraint(fields=["stretch", "hand"], name="helper_once_in_a_stretch")]

    def __str__(self) -> str:
        return f"{self.hand} helped"


class Tally(Kept):
    """Units made and pieces spoiled for one task in one stretch; 0 made is unfinished time.

    `lost` are units of this same operation that went with the spoiled pieces, or that are to be cut again. A row from
    an old book names its order, wheel and diameter instead of a task.
    """

    Reason = Reason

    stretch = models.ForeignKey(Stretch, models.PROTECT, related_name="tallies")
    task = models.ForeignKey(Task, models.PROTECT, null=True, blank=True, related_name="tallies")
    made = models.IntegerField(default=0)
    spoiled = models.IntegerField(default=0)
    lost = models.IntegerField(default=0)
    reason = models.CharField(max_length=6, choices=Reason, default=Reason.NONE, blank=True)
    seconds = models.IntegerField(null=True, blank=True)
    old_order = models.CharField(max_length=80, blank=True)
    # db_default: a fact told by the release before, while two stand side by side, knows no such column.
    old_wheel = models.CharField(max_length=40, blank=True, db_default="")
    old_diameter_nm = models.BigIntegerField(null=True, blank=True)

    class Meta:
        verbose_name_plural = "tallies"
        constraints = [
            models.UniqueConstraint(fields=["stretch", "task"], name="tally_once_a_task_in_a_stretch"),
            models.CheckConstraint(
                name="tally_spoiled_has_a_reason",
                condition=Q(spoiled=0, lost=0) | ~Q(reason=Reason.NONE),
            ),
            models.CheckConstraint(
                name="tally_names_a_task_or_an_old_order",
                condition=Q(task__isnull=False, old_order="") | (Q(task=None) & ~Q(old_order="")),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.made} made, {self.spoiled} spoiled"


class AwaitedCancel(models.Model):
    """A cancel that came before the stretch that it names; it is carried out when that stretch comes."""

    token = models.UUIDField(unique=True)
    content_hash = models.CharField(max_length=64)
    cancels_token = models.UUIDField(unique=True)
    hand = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    done_at = models.DateTimeField()
    sent_at = models.DateTimeField(null=True, blank=True)
    received_at = models.DateTimeField()
    source = models.CharField(max_length=8, choices=Source)
    entered_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+")

    def __str__(self) -> str:
        return f"waits for {self.cancels_token}"


class Move(Kept):
    """Made pieces carried to another lot or wheel, with their cost and without pay."""

    token = models.UUIDField(unique=True)
    content_hash = models.CharField(max_length=64)
    from_task = models.ForeignKey(Task, models.PROTECT, related_name="moves_from")
    to_task = models.ForeignKey(Task, models.PROTECT, related_name="moves_to")
    pieces = models.IntegerField()
    reason = models.CharField(max_length=200)
    done_at = models.DateTimeField()
    done_on = models.DateField()
    received_at = models.DateTimeField()
    hand = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    cancels_token = models.UUIDField(null=True, blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["cancels_token"], condition=Q(cancels_token__isnull=False), name="move_undone_once"
            ),
            models.CheckConstraint(name="move_goes_elsewhere", condition=~Q(from_task=models.F("to_task"))),
            models.CheckConstraint(
                name="move_pieces_negated_only_by_a_cancel",
                condition=Q(cancels_token=None, pieces__gt=0) | Q(cancels_token__isnull=False, pieces__lt=0),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.pieces} moved"
