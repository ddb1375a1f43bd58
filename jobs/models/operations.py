"""Operations and what each waits for: the shop's own list, which begins as `jobs.starting_operations`."""

from django.db import models
from django.db.models import F, Q


class PartKind(models.TextChoices):
    HUB = "hub", "hub"
    BAND = "band", "bands"
    SPOKE = "spoke", "spokes"
    FELLOE = "felloe", "felloes"
    TYRE = "tyre", "tyre"
    BOX = "box", "box"
    FINISH = "finish", "finish"
    WHEEL = "wheel", "whole wheel"


class Per(models.TextChoices):
    """What one unit of an operation is."""

    WHEEL = "wheel", "wheel"
    SPOKE = "spoke", "spoke"
    FELLOE = "felloe", "felloe"
    JOINT = "joint", "joint"
    BAND = "band", "band"
    COAT = "coat", "coat"
    HEAT = "heat", "heat"
    NUMBER = "number", "so many a wheel"


class Trade(models.TextChoices):
    BENCH = "bench", "bench"
    SMITH = "smith", "smith"
    PAINTER = "painter", "painter"


class Work(models.TextChoices):
    """The kind of work that a lot is: new wheels, or one of the repairs."""

    NEW = "new", "new wheels"
    RETYRE = "retyre", "re-tyre"
    CUT_AND_SHUT = "cut_and_shut", "cut and shut the tyre"
    NEW_FELLOES = "new_felloes", "new felloes"
    NEW_SPOKES = "new_spokes", "new spokes"
    NEW_HUB = "new_hub", "new hub"
    NEW_BOX = "new_box", "new box"


class OperationQuerySet(models.QuerySet["Operation"]):
    def in_use(self) -> "OperationQuerySet":
        return self.filter(retired_at=None)


class Operation(models.Model):
    """One kind of work on one kind of part, with the shop's book time for a unit."""

    key = models.SlugField(max_length=60, unique=True)
    # Names hold {hub}, {felloe}, {tyre} and their plurals, so that the shop's own words stand everywhere.
    name = models.CharField(max_length=80)
    done_word = models.CharField(max_length=40, default="done")
    part = models.CharField(max_length=6, choices=PartKind)
    per = models.CharField(max_length=6, choices=Per)
    per_number = models.PositiveSmallIntegerField(null=True, blank=True)
    for_lot = models.BooleanField(default=False)
    trade = models.CharField(max_length=8, choices=Trade, default=Trade.BENCH)
    hands = models.PositiveSmallIntegerField(default=1)
    book_seconds = models.PositiveIntegerField(null=True, blank=True)
    book_is_guess = models.BooleanField(default=True)
    position = models.PositiveIntegerField()
    # Which make-ups have it: {"rim": ["sawn"], "tyre": ["iron", "rubber"]}; empty for all.
    chosen_by = models.JSONField(default=dict, blank=True)
    # The kinds of work that have it from the start; what a repair is found to need is added to its order.
    works = models.JSONField(default=list, blank=True)
    notes = models.CharField(max_length=200, blank=True)
    retired_at = models.DateTimeField(null=True, blank=True)

    objects = OperationQuerySet.as_manager()

    class Meta:
        ordering = ["position", "id"]
        constraints = [
            models.CheckConstraint(
                name="operation_number_goes_with_per_number",
                condition=Q(per=Per.NUMBER, per_number__gte=1) | (~Q(per=Per.NUMBER) & Q(per_number=None)),
            ),
            models.CheckConstraint(name="operation_has_hands", condition=Q(hands__gte=1)),
        ]

    def __str__(self) -> str:
        return self.name


class Wait(models.Model):
    """An operation waits on another: how much of it must be done, and how long it then stands."""

    class How(models.TextChoices):
        PIECE = "piece", "piece by piece"
        FIRST = "first", "the first of it"
        WHEEL = "wheel", "the whole of that wheel"
        LOT = "lot", "the whole lot"
        ENOUGH = "enough", "enough in the lot for the wheel"

    operation = models.ForeignKey(Operation, models.CASCADE, related_name="waits")
    on_operation = models.ForeignKey(Operation, models.PROTECT, related_name="waited_on_by")
    how = models.CharField(max_length=6, choices=How)
    standing_minutes = models.PositiveIntegerField(default=0)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["operation", "on_operation"], name="wait_once_on_each_operation"),
            models.CheckConstraint(name="wait_not_on_itself", condition=~Q(operation=F("on_operation"))),
        ]

    def __str__(self) -> str:
        return f"{self.operation} waits on {self.on_operation} ({self.get_how_display()})"
