"""What was bought for the rack, and what a count found in it: rows are added, never edited.

Amounts are millionths of the unit that the material is bought by, so that a cubic centimetre of timber is one.
"""

from django.conf import settings
from django.db import models
from django.db.models import F, Q

from jobs.kept import Kept
from shop.models.materials import Material


class Purchase(Kept):
    """Material that came in, and what was paid for all of it. One that was wrong is taken back by a row that names it
    and carries amount and pence negated, on the same day."""

    material = models.ForeignKey(Material, models.PROTECT, related_name="purchases")
    amount_millionths = models.BigIntegerField()
    # As they were counted in, where they were counted.
    pieces = models.IntegerField(null=True, blank=True)
    paid_pence = models.BigIntegerField()
    on = models.DateField()
    supplier = models.CharField(max_length=120, blank=True)
    # Of timber: the day that it was felled or sawn, and what the meter said when it came.
    felled_on = models.DateField(null=True, blank=True)
    moisture_tenths = models.PositiveSmallIntegerField(null=True, blank=True)
    note = models.CharField(max_length=160, blank=True)
    recorded_at = models.DateTimeField()
    # The shop's day then, in the zone that it had; the release before, while two stand side by side, tells none.
    written_on = models.DateField(null=True, blank=True)
    recorded_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    token = models.UUIDField(unique=True)
    cancels = models.OneToOneField("self", models.PROTECT, null=True, blank=True, related_name="cancelled_by")

    class Meta:
        ordering = ["on", "id"]
        constraints = [
            models.CheckConstraint(
                name="purchase_negated_only_by_a_cancel",
                condition=Q(cancels=None, amount_millionths__gt=0, paid_pence__gte=0)
                | Q(cancels__isnull=False, amount_millionths__lt=0, paid_pence__lte=0),
            ),
            models.CheckConstraint(name="purchase_not_its_own_cancel", condition=~Q(cancels=F("id"))),
        ]

    def __str__(self) -> str:
        return f"{self.material}, {self.on}"


class StockCount(Kept):
    """What lay in the rack: when it was written, or at the end of an earlier day. One that was wrong is taken back by a
    row that names it, with its amount negated and on its day; neither counts then."""

    material = models.ForeignKey(Material, models.PROTECT, related_name="counts")
    amount_millionths = models.BigIntegerField()
    pieces = models.IntegerField(null=True, blank=True)
    on = models.DateField()
    # db_default: a count by the release before, while two stand side by side, knows no such columns.
    at_day_end = models.BooleanField(default=True, db_default=True)
    note = models.CharField(max_length=160, blank=True, db_default="")
    recorded_at = models.DateTimeField()
    # The shop's day then, in the zone that it had; the release before, while two stand side by side, tells none.
    written_on = models.DateField(null=True, blank=True)
    recorded_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    token = models.UUIDField(unique=True)
    cancels = models.OneToOneField("self", models.PROTECT, null=True, blank=True, related_name="cancelled_by")

    class Meta:
        ordering = ["on", "id"]
        constraints = [
            models.CheckConstraint(
                name="count_negated_only_by_a_cancel",
                condition=Q(cancels=None, amount_millionths__gte=0)
                | Q(cancels__isnull=False, amount_millionths__lte=0),
            ),
            models.CheckConstraint(name="count_not_its_own_cancel", condition=~Q(cancels=F("id"))),
        ]

    def __str__(self) -> str:
        return f"{self.material}, counted {self.on}"


class Offcut(Kept):
    """Lengths of bar that were left over when what an issue took was cut; `pieces` is less than nothing where it used
    some up. One that names no issue puts right what is kept, by whom and when. Kept is what all come to, in the order
    of their writing and never under nothing, without issues that were taken back."""

    material = models.ForeignKey(Material, models.PROTECT, related_name="offcuts")
    issue = models.ForeignKey("shop.Issue", models.PROTECT, null=True, blank=True, related_name="offcuts")
    length_nm = models.BigIntegerField()
    pieces = models.IntegerField()
    recorded_at = models.DateTimeField(null=True, blank=True)
    recorded_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+")

    class Meta:
        ordering = ["id"]
        constraints = [
            models.CheckConstraint(name="offcut_has_a_length", condition=Q(length_nm__gt=0)),
            models.CheckConstraint(name="offcut_is_some_pieces", condition=~Q(pieces=0)),
            models.CheckConstraint(
                name="offcut_of_an_issue_or_of_a_person",
                condition=Q(issue__isnull=False, recorded_at=None, recorded_by=None)
                | Q(issue=None, recorded_at__isnull=False, recorded_by__isnull=False),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.pieces} of {self.material}"
