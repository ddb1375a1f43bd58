"""Who changed rates, prices, people and the rest of what an owner sets: lines are added, never edited."""

from typing import Any, NoReturn

from django.conf import settings
from django.db import models


class AuditQuerySet(models.QuerySet["AuditLine"]):
    """Lines are read and added; what would change or take away many at once is refused."""

    def newest_first(self) -> "AuditQuerySet":
        return self.order_by("-made_at", "-id")

    def _refuse(self, *args: Any, **kwargs: Any) -> NoReturn:
        raise TypeError(NEVER_EDITED)

    update = bulk_update = update_or_create = delete = _refuse

    def put_number(self, **texts: str) -> int:
        """Put other texts into lines, where a number takes the place of a name (`shop.name_places`), and for no other
        end: who changed what, and when, stays."""
        if not texts.keys() <= {"what", "before", "after"}:
            raise TypeError(NEVER_EDITED)
        return super().update(**texts)


NEVER_EDITED = "A line of who changed what is added, and never edited or taken away."


class AuditLine(models.Model):
    """One change: when, who, what, and how it stood before and after, in the words of that day."""

    class Kind(models.TextChoices):
        RATE = "rate", "rates"
        PRICE = "price", "outwork and materials"
        PERSON = "person", "people"
        DEVICE = "device", "devices"
        OPERATION = "operation", "operations"
        SHOP = "shop", "the shop and its words"
        PAY = "pay", "pay"
        PROMISE = "promise", "days promised"

    made_at = models.DateTimeField()
    # None where nobody was signed in: a command, at the machine itself.
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, related_name="+", db_index=False)
    kind = models.CharField(max_length=9, choices=Kind)
    what = models.TextField()
    before = models.TextField(blank=True)
    after = models.TextField(blank=True)

    objects = AuditQuerySet.as_manager()

    class Meta:
        indexes = [
            models.Index(fields=["made_at", "id"], name="audit_by_moment"),
            models.Index(fields=["by", "made_at", "id"], name="audit_by_person"),
            models.Index(fields=["kind", "made_at", "id"], name="audit_by_kind"),
        ]

    def __str__(self) -> str:
        return f"{self.what}: {self.before or 'nothing'} to {self.after or 'nothing'}"

    def save(self, *args: Any, **kwargs: Any) -> None:
        if self.pk is not None:
            raise TypeError(NEVER_EDITED)
        super().save(*args, **kwargs)

    def delete(self, *args: Any, **kwargs: Any) -> NoReturn:
        raise TypeError(NEVER_EDITED)
