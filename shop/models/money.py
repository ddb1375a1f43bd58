"""Rates from a day on, outwork, and material issued: rows are added, never edited.

A correction is a row that names the one it cancels and carries its amount negated.
"""

from django.conf import settings
from django.db import models
from django.db.models import F, Q

from jobs.kept import Kept
from jobs.models import Lot, Operation, Order, Task, Trip, Wheel
from shop.models.materials import Material


class Rate(Kept):
    """What an hour, a piece or a material costs or earns from a day on. The newest row of a day stands."""

    class Kind(models.TextChoices):
        WAGE = "wage", "wage an hour"
        COST = "cost", "cost of an hour to the shop"
        PIECE = "piece", "piece rate"
        OVERHEAD = "overhead", "overhead an hour"
        PRICE = "price", "price"
        MATERIAL = "material", "price of a material"
        GUARANTEE = "guarantee", "guarantee an hour at pieces"

    kind = models.CharField(max_length=9, choices=Kind)
    hand = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="rates")
    operation = models.ForeignKey(Operation, models.PROTECT, null=True, blank=True, related_name="rates")
    material = models.ForeignKey(Material, models.PROTECT, null=True, blank=True, related_name="rates")
    amount_millipence = models.BigIntegerField()
    # Of a piece rate: for wheels of so much and higher; None for every wheel.
    from_height_nm = models.BigIntegerField(null=True, blank=True)
    from_on = models.DateField()
    recorded_at = models.DateTimeField()
    recorded_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, related_name="+")

    class Meta:
        ordering = ["from_on", "id"]
        constraints = [
            models.CheckConstraint(name="rate_not_negative", condition=Q(amount_millipence__gte=0)),
            models.CheckConstraint(
                name="rate_names_its_subject",
                condition=Q(kind__in=["wage", "cost", "guarantee"], hand__isnull=False, operation=None, material=None)
                | Q(kind__in=["piece", "price"], operation__isnull=False, hand=None, material=None)
                | Q(kind="overhead", hand=None, operation=None, material=None)
                | Q(kind="material", material__isnull=False, hand=None, operation=None),
            ),
            models.CheckConstraint(
                name="rate_by_height_is_of_pieces",
                condition=Q(from_height_nm=None) | Q(kind="piece", from_height_nm__gt=0),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_kind_display()} from {self.from_on}"


class Charge(Kept):
    """Money laid out on an order, on one of its lots or on one wheel."""

    order = models.ForeignKey(Order, models.PROTECT, related_name="%(class)s_rows")
    lot = models.ForeignKey(Lot, models.PROTECT, null=True, blank=True, related_name="%(class)s_rows")
    wheel = models.ForeignKey(Wheel, models.PROTECT, null=True, blank=True, related_name="%(class)s_rows")
    what = models.CharField(max_length=160)
    amount_pence = models.BigIntegerField()
    on = models.DateField()
    recorded_at = models.DateTimeField()
    recorded_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    token = models.UUIDField(unique=True)
    cancels = models.OneToOneField("self", models.PROTECT, null=True, blank=True, related_name="cancelled_by")

    class Meta:
        abstract = True
        ordering = ["on", "id"]
        indexes = [models.Index(fields=["on"], name="%(class)s_by_day")]
        constraints = [
            models.CheckConstraint(
                name="%(class)s_negated_only_by_a_cancel",
                condition=Q(cancels=None, amount_pence__gte=0) | Q(cancels__isnull=False, amount_pence__lte=0),
            ),
            models.CheckConstraint(
                name="%(class)s_wheel_goes_with_its_lot", condition=Q(wheel=None) | Q(lot__isnull=False)
            ),
            models.CheckConstraint(name="%(class)s_not_its_own_cancel", condition=~Q(cancels=F("id"))),
        ]

    def __str__(self) -> str:
        return f"{self.what}, {self.on}"


# Charges that nobody took back, nor are themselves such a taking back. Of `cancels` it is asked so that no index
# serves: SQLite trusts one that is unique also where nearly all is null, and would read every charge there ever was.
STANDING = Q(cancelled_by=None) & ~Q(cancels__gt=0)


class Outwork(Charge):
    """Work done outside, or by an outside trade, with its price."""

    trade = models.CharField(max_length=8, choices=[("smith", "smith"), ("painter", "painter"), ("other", "other")])
    to_whom = models.CharField(max_length=120)
    task = models.ForeignKey(Task, models.PROTECT, null=True, blank=True, related_name="outwork_rows")
    trip = models.ForeignKey(Trip, models.PROTECT, null=True, blank=True, related_name="outwork_rows")


class Issue(Charge):
    """Material for the work: bought for it, at what it cost, or taken from the rack, whose facts say what that cost.

    One from the rack has a material and an amount, in millionths of its unit, and no pence of its own. What came back
    to the rack is a row of less than nothing that names its issue, on the day that it came.
    """

    material = models.ForeignKey(Material, models.PROTECT, null=True, blank=True, related_name="issues")
    amount_millionths = models.BigIntegerField(null=True, blank=True)
    pieces = models.IntegerField(null=True, blank=True)
    returns = models.ForeignKey("self", models.PROTECT, null=True, blank=True, related_name="returned_by")
    # Of what is of the rack, as of a purchase.
    written_on = models.DateField(null=True, blank=True)

    class Meta(Charge.Meta):
        abstract = False
        constraints = [
            *Charge.Meta.constraints,
            models.CheckConstraint(
                name="issue_from_the_rack_has_an_amount",
                condition=Q(material=None, amount_millionths=None, pieces=None, returns=None)
                | Q(material__isnull=False, amount_millionths__isnull=False, amount_pence=0),
            ),
            # What is null passes a comparison: of what was not taken from the rack no amount is asked.
            models.CheckConstraint(
                name="issue_of_less_than_nothing_says_of_which",
                condition=Q(cancels=None, returns=None, amount_millionths__gt=0)
                | Q(cancels=None, returns__isnull=False, amount_millionths__lt=0)
                | Q(cancels__isnull=False, returns=None, amount_millionths__lt=0)
                | Q(cancels__isnull=False, returns__isnull=False, amount_millionths__gt=0),
            ),
        ]


class OverheadSpent(Kept):
    """Overhead that was really spent, by the day on which it counts: rent, heat, insurance, whatever no wheel is
    charged with."""

    what = models.CharField(max_length=160)
    amount_pence = models.BigIntegerField()
    on = models.DateField(db_index=True)
    recorded_at = models.DateTimeField()
    recorded_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    token = models.UUIDField(unique=True)
    cancels = models.OneToOneField("self", models.PROTECT, null=True, blank=True, related_name="cancelled_by")

    class Meta:
        verbose_name_plural = "overhead spent"
        ordering = ["on", "id"]
        constraints = [
            models.CheckConstraint(
                name="overhead_negated_only_by_a_cancel",
                condition=Q(cancels=None, amount_pence__gte=0) | Q(cancels__isnull=False, amount_pence__lte=0),
            ),
            models.CheckConstraint(name="overhead_not_its_own_cancel", condition=~Q(cancels=F("id"))),
        ]

    def __str__(self) -> str:
        return f"{self.what}, {self.on}"
