"""Hands, the devices they work from, and tries at a PIN or a password."""

from django.conf import settings
from django.db import models
from django.db.models import Q

from jobs.kept import KeptQuerySet, KeptRow


class HandQuerySet(KeptQuerySet["Hand"]):
    def working(self) -> "HandQuerySet":
        return self.filter(left_on=None)


class Hand(KeptRow):
    """A person who works in the shop; one that signs in at a desk has a password, one at the bench may have a PIN."""

    class Role(models.TextChoices):
        OWNER = "owner", "owner"
        DESK = "desk", "desk"
        HAND = "hand", "hand"
        SMITH = "smith", "smith"

    class Trade(models.TextChoices):
        BENCH = "bench", "bench"
        SMITH = "smith", "smith"
        PAINTER = "painter", "painter"

    user = models.OneToOneField(settings.AUTH_USER_MODEL, models.PROTECT, related_name="shop_hand")
    name = models.CharField(max_length=60, unique=True)
    role = models.CharField(max_length=5, choices=Role, default=Role.HAND)
    trade = models.CharField(max_length=7, choices=Trade, default=Trade.BENCH)
    apprentice = models.BooleanField(default=False)
    pin_hash = models.CharField(max_length=128, blank=True)
    left_on = models.DateField(null=True, blank=True)
    # When the name of one who left was replaced by a number, for good: see `shop.leavers`.
    replaced_at = models.DateTimeField(null=True, blank=True)

    objects = HandQuerySet.as_manager()

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name


class Device(models.Model):
    """A phone or tablet that an owner has enrolled for the bench; it holds the secret, we hold its hash."""

    name = models.CharField(max_length=60)
    secret_hash = models.CharField(max_length=64, unique=True)
    enrolled_at = models.DateTimeField()
    enrolled_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    revoked_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name


class PinTry(models.Model):
    """Wrong PINs in a row, for one hand on one device: a colleague elsewhere is never locked out by them."""

    hand = models.ForeignKey(Hand, models.CASCADE, related_name="pin_tries")
    device = models.ForeignKey(Device, models.CASCADE, related_name="pin_tries")
    wrong = models.PositiveIntegerField(default=0)
    wait_until = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["hand", "device"], name="pin_tries_once_a_hand_and_device"),
            models.CheckConstraint(name="pin_tries_not_negative", condition=Q(wrong__gte=0)),
        ]

    def __str__(self) -> str:
        return f"{self.hand} on {self.device}: {self.wrong} wrong"


class SignInTry(models.Model):
    """Wrong passwords in a row for one account: from one address, or from all at which it never came in.

    The key is a keyed hash of the account and the address (`shop.throttle`). `right_at`: when the right password last
    came from there.
    """

    key_hash = models.CharField(max_length=64, unique=True)
    wrong = models.PositiveIntegerField(default=0)
    wait_until = models.DateTimeField(null=True, blank=True)
    right_at = models.DateTimeField(null=True, blank=True)
    last_at = models.DateTimeField(db_index=True)

    class Meta:
        constraints = [models.CheckConstraint(name="sign_in_tries_not_negative", condition=Q(wrong__gte=0))]

    def __str__(self) -> str:
        return f"{self.key_hash[:8]}: {self.wrong} wrong"
