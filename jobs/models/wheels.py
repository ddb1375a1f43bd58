"""Lots, wheels, their parts, and the tasks that make them."""

from datetime import datetime

from django.db import models
from django.db.models import F, Q

from jobs.models.makeups import MakeUpColumns
from jobs.models.operations import Operation, PartKind, Work
from jobs.models.orders import Order


class Lot(MakeUpColumns):
    """The wheels of an order that share a make-up, with the order's own, unchanging copy of it."""

    order = models.ForeignKey(Order, models.CASCADE, related_name="lots")
    name = models.CharField(max_length=80)
    work = models.CharField(max_length=12, choices=Work, default=Work.NEW)
    spare_spokes = models.PositiveSmallIntegerField(default=0)
    spare_felloes = models.PositiveSmallIntegerField(default=0)
    library = models.ForeignKey("jobs.LibraryMakeUp", models.SET_NULL, null=True, blank=True, related_name="+")
    replaces = models.ForeignKey("self", models.PROTECT, null=True, blank=True, related_name="replaced_by")
    dropped_at = models.DateTimeField(null=True, blank=True)

    class Meta(MakeUpColumns.Meta):
        ordering = ["id"]
        constraints = [
            *MakeUpColumns.Meta.constraints,
            models.CheckConstraint(
                name="lot_new_sawn_rim_has_even_spokes",
                condition=~Q(work=Work.NEW) | ~Q(rim="sawn") | Q(spokes=F("spokes") / 2 * 2),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.name}, {self.order}"


class Wheel(models.Model):
    """One wheel of a lot, with its place on the carriage."""

    class Place(models.TextChoices):
        NEAR_FORE = "near_fore", "near fore"
        OFF_FORE = "off_fore", "off fore"
        NEAR_HIND = "near_hind", "near hind"
        OFF_HIND = "off_hind", "off hind"
        NEAR = "near", "near"
        OFF = "off", "off"
        LOOSE = "loose", "loose"

    lot = models.ForeignKey(Lot, models.CASCADE, related_name="wheels")
    place = models.CharField(max_length=9, choices=Place)
    # The number stamped on the hub: counts from 1 in each order, and tells loose wheels apart.
    number = models.PositiveSmallIntegerField()
    dropped_at = models.DateTimeField(null=True, blank=True)
    replaces = models.ForeignKey("self", models.PROTECT, null=True, blank=True, related_name="replaced_by")

    class Meta:
        ordering = ["number", "id"]
        constraints = [
            models.UniqueConstraint(fields=["lot", "number"], name="wheel_number_once_in_a_lot"),
        ]

    def __str__(self) -> str:
        return f"{self.label}, {self.lot}"

    @property
    def label(self) -> str:
        """Its place in words; a loose wheel goes by its number."""
        if self.place == self.Place.LOOSE:
            return f"loose {self.number}"
        return self.get_place_display()


class Part(models.Model):
    """Pieces of one kind: loose ones made for a lot, or those that belong to one wheel."""

    lot = models.ForeignKey(Lot, models.CASCADE, related_name="parts")
    wheel = models.ForeignKey(Wheel, models.CASCADE, null=True, blank=True, related_name="parts")
    kind = models.CharField(max_length=6, choices=PartKind)
    pieces = models.PositiveSmallIntegerField()
    replaces = models.OneToOneField("self", models.PROTECT, null=True, blank=True, related_name="replaced_by")
    dropped_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["id"]
        constraints = [
            models.UniqueConstraint(
                fields=["lot", "wheel", "kind"],
                condition=Q(dropped_at=None, wheel__isnull=False),
                name="part_once_in_a_wheel",
            ),
            models.UniqueConstraint(
                fields=["lot", "kind"],
                condition=Q(dropped_at=None, wheel__isnull=True),
                name="part_once_loose_in_a_lot",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.pieces} {self.kind}"


class TaskQuerySet(models.QuerySet["Task"]):
    def live(self) -> "TaskQuerySet":
        return self.filter(dropped_at=None)

    def with_operation(self) -> "TaskQuerySet":
        """With the operation, but for what only laying out a lot asks of it."""
        unread = ("chosen_by", "works", "notes", "per_number", "retired_at", "book_is_guess")
        rows = self.select_related("operation").defer(*(f"operation__{name}" for name in unread))
        return rows.with_part_dropped()

    def with_away(self) -> "TaskQuerySet":
        """With `is_away`: whether pieces of it are at another's place now."""
        trips = self.model._meta.apps.get_model("jobs", "Trip").objects
        return self.annotate(read_is_away=models.Exists(trips.filter(task=models.OuterRef("pk"), back_at=None)))

    def with_part_dropped(self) -> "TaskQuerySet":
        """With `part_dropped_at`: when its part was made anew, if it was."""
        return self.annotate(read_part_dropped_at=F("part__dropped_at"))


class Task(models.Model):
    """An operation to be done on a part. Its four counters are written with the facts they count, and only so."""

    class Origin(models.TextChoices):
        MAKEUP = "makeup", "of the make-up"
        FOUND = "found", "found in a repair"
        REWORK = "rework", "made again"

    part = models.ForeignKey(Part, models.CASCADE, related_name="tasks")
    # Both are the part's own; they stand here too so that a tap finds its task by one index.
    lot = models.ForeignKey(Lot, models.CASCADE, related_name="tasks")
    wheel = models.ForeignKey(Wheel, models.CASCADE, null=True, blank=True, related_name="tasks")
    operation = models.ForeignKey(Operation, models.PROTECT, related_name="tasks")
    origin = models.CharField(max_length=6, choices=Origin, default=Origin.MAKEUP)
    units = models.PositiveSmallIntegerField(default=1)
    wanted = models.PositiveIntegerField()
    made = models.IntegerField(default=0)
    spoiled = models.IntegerField(default=0)
    lost = models.IntegerField(default=0)
    seconds = models.IntegerField(default=0)
    dropped_at = models.DateTimeField(null=True, blank=True)

    objects = TaskQuerySet.as_manager()

    class Meta:
        ordering = ["operation__position", "id"]
        indexes = [models.Index(fields=["lot", "wheel", "operation"], name="task_by_place_and_operation")]
        constraints = [
            models.UniqueConstraint(fields=["part", "operation"], name="task_once_on_a_part"),
            models.CheckConstraint(name="task_has_units", condition=Q(units__gte=1)),
        ]

    def __str__(self) -> str:
        return f"{self.operation.name}: {self.made} of {self.wanted}"

    @property
    def part_dropped_at(self) -> datetime | None:
        """When its part was made anew; only on rows of `with_part_dropped`."""
        moment: datetime | None = self.read_part_dropped_at  # type: ignore[attr-defined]
        return moment

    @property
    def is_away(self) -> bool:
        """Whether pieces of it are at another's place now; only on rows of `with_away`."""
        return bool(self.read_is_away)  # type: ignore[attr-defined]
