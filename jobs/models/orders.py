"""Orders: a customer's job, its life, and the days promised for it."""

from django.conf import settings
from django.db import models
from django.db.models import Q

from jobs.kept import KeptQuerySet, KeptRow


class Customer(models.Model):
    name = models.CharField(max_length=120)
    contact = models.TextField(blank=True)
    # When the name was replaced by a number, for good; the room above knows when that may be.
    replaced_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name


class OrderQuerySet(KeptQuerySet["Order"]):
    def open(self) -> "OrderQuerySet":
        """Orders whose work may be waiting: not yet fetched, paid or dropped."""
        return self.filter(state__in=Order.OPEN_STATES)

    def at_work(self) -> "OrderQuerySet":
        """Orders that the bench may work on."""
        return self.filter(state__in=Order.WORK_STATES)

    def closed(self) -> "OrderQuerySet":
        return self.exclude(state__in=Order.OPEN_STATES)


class Order(KeptRow):
    """A customer's job: wheels for one carriage, loose wheels, or a repair."""

    class State(models.TextChoices):
        ENQUIRY = "enquiry", "enquiry"
        QUOTED = "quoted", "quoted"
        TAKEN = "taken", "taken"
        IN_HAND = "in_hand", "in hand"
        READY = "ready", "ready"
        FETCHED = "fetched", "fetched"
        PAID = "paid", "paid"
        DROPPED = "dropped", "dropped"

    OPEN_STATES = (State.ENQUIRY, State.QUOTED, State.TAKEN, State.IN_HAND, State.READY)
    WORK_STATES = (State.TAKEN, State.IN_HAND)

    number = models.PositiveIntegerField(unique=True)
    customer = models.ForeignKey(Customer, models.PROTECT, related_name="orders")
    carriage = models.CharField(max_length=80)
    state = models.CharField(max_length=8, choices=State, default=State.ENQUIRY)
    taken_on = models.DateField(null=True, blank=True)
    due_on = models.DateField(null=True, blank=True)
    ended_on = models.DateField(null=True, blank=True)
    # The day on which it was put to paid, where that is what it is.
    paid_on = models.DateField(null=True, blank=True)
    note = models.TextField(blank=True)
    # Minted with the form, so that a form sent twice makes one order.
    token = models.UUIDField(unique=True)
    created_at = models.DateTimeField(auto_now_add=True)

    objects = OrderQuerySet.as_manager()

    class Meta:
        ordering = ["-number"]
        indexes = [models.Index(fields=["state", "due_on"], name="order_by_state_and_due")]
        constraints = [
            models.CheckConstraint(name="order_number_from_one", condition=Q(number__gte=1)),
        ]

    def __str__(self) -> str:
        return f"{self.carriage} {self.number}"

    @property
    def is_open(self) -> bool:
        return self.state in self.OPEN_STATES


class Promise(models.Model):
    """A day promised for an order. The first stays the first; the newest stands."""

    order = models.ForeignKey(Order, models.CASCADE, related_name="promises")
    promised_on = models.DateField(null=True, blank=True)
    reason = models.CharField(max_length=200, blank=True)
    told_on = models.DateField(null=True, blank=True)
    recorded_at = models.DateTimeField(auto_now_add=True)
    recorded_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, related_name="+")

    class Meta:
        ordering = ["id"]

    def __str__(self) -> str:
        return f"{self.order}: {self.promised_on or 'no day'}"
