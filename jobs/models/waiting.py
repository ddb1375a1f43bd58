"""What the work waits for besides work, what goes away and comes back, and measures as made."""

from django.conf import settings
from django.db import models
from django.db.models import F, Q

from jobs.models.orders import Order
from jobs.models.wheels import Lot, Task, Wheel


class Hold(models.Model):
    """What an order, a lot or a wheel waits for besides work."""

    class Kind(models.TextChoices):
        TIMBER = "timber", "timber"
        GOODS = "goods", "goods"
        CUSTOMER = "customer", "the customer's word"
        OTHER = "other", "something else"

    order = models.ForeignKey(Order, models.CASCADE, related_name="holds")
    lot = models.ForeignKey(Lot, models.CASCADE, null=True, blank=True, related_name="holds")
    wheel = models.ForeignKey(Wheel, models.CASCADE, null=True, blank=True, related_name="holds")
    kind = models.CharField(max_length=8, choices=Kind)
    what = models.CharField(max_length=200)
    expected_on = models.DateField(null=True, blank=True)
    placed_at = models.DateTimeField()
    lifted_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["id"]
        constraints = [
            models.CheckConstraint(
                name="hold_lifted_after_placed",
                condition=Q(lifted_at=None) | Q(lifted_at__gte=F("placed_at")),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.order} waits for {self.what}"


class FoundUnits(models.Model):
    """Units of an operation that a wheel under repair was found to need, under the hold that asks the customer.

    Work of one kind may be asked for more than once, and be agreed to or not each time: its task wants the sum.
    """

    hold = models.ForeignKey(Hold, models.CASCADE, related_name="found")
    task = models.ForeignKey(Task, models.CASCADE, related_name="found")
    wheel = models.ForeignKey(Wheel, models.CASCADE, related_name="found")
    units = models.PositiveIntegerField()
    # When the customer said no, or the wheel was left out.
    left_out_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["id"]
        constraints = [models.CheckConstraint(name="found_has_units", condition=Q(units__gte=1))]

    def __str__(self) -> str:
        return f"{self.units} × {self.task.operation.name}, {self.wheel.label}"


class Trip(models.Model):
    """Pieces of a task that go away to be worked: sent, expected, back.

    `pieces` are pieces, not units: a wheel that goes for three coats is one.
    """

    task = models.ForeignKey(Task, models.CASCADE, related_name="trips")
    pieces = models.PositiveSmallIntegerField(default=1)
    to_whom = models.CharField(max_length=120)
    sent_at = models.DateTimeField()
    expected_on = models.DateField(null=True, blank=True)
    back_at = models.DateTimeField(null=True, blank=True)
    token = models.UUIDField(unique=True)

    class Meta:
        ordering = ["sent_at", "id"]
        indexes = [models.Index(fields=["task"], condition=Q(back_at=None), name="trip_still_away")]
        constraints = [
            models.CheckConstraint(
                name="trip_back_after_sent", condition=Q(back_at=None) | Q(back_at__gte=F("sent_at"))
            ),
            models.CheckConstraint(name="trip_has_pieces", condition=Q(pieces__gte=1)),
        ]

    def __str__(self) -> str:
        return f"{self.pieces} to {self.to_whom}"


class Measure(models.Model):
    """A measure of a wheel as made. A newer one of its kind stands; the older stays readable."""

    class Kind(models.TextChoices):
        RUN = "run", "run of the rim"
        DRAW = "draw", "draw"
        INSIDE_RUN = "inside_run", "inside run of the hoop, cold"
        DISH_BEFORE = "dish_before", "dish before tyring"
        DISH_AFTER = "dish_after", "dish after tyring"
        FRONT_SEAT = "front_seat", "front band seat"
        BACK_SEAT = "back_seat", "back band seat"

    wheel = models.ForeignKey(Wheel, models.CASCADE, related_name="measures")
    kind = models.CharField(max_length=11, choices=Kind)
    value_nm = models.BigIntegerField()
    taken_at = models.DateTimeField()
    taken_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")

    class Meta:
        ordering = ["id"]
        constraints = [models.CheckConstraint(name="measure_not_negative", condition=Q(value_nm__gte=0))]

    def __str__(self) -> str:
        return f"{self.get_kind_display()} of {self.wheel}"
