"""Timber and iron as the shop buys them: planks, squared blanks, round logs and bars, each with its stocked size; and
other goods, that have none.

What it costs is a `Rate` from a day on, like a wage.
"""

from django.db import models
from django.db.models import Q


class MaterialQuerySet(models.QuerySet["Material"]):
    def in_use(self) -> "MaterialQuerySet":
        return self.filter(retired_at=None)


class Material(models.Model):
    """One timber or iron, in one form and size: a log has girth and length, all else thickness, width and length. Goods
    have no size, and nothing is cut from them."""

    class Kind(models.TextChoices):
        PLANK = "plank", "planks"
        BLANK = "blank", "squared blanks"
        LOG = "log", "round logs"
        BAR = "bar", "bars of iron or steel"
        GOODS = "goods", "other goods"

    class Unit(models.TextChoices):
        EACH = "each", "each"
        BOARD_FOOT = "board_foot", "board foot"
        CUBIC_METRE = "m3", "cubic metre"
        METRE = "metre", "metre"
        HOPPUS_FOOT = "hoppus_foot", "Hoppus foot"
        KILOGRAM = "kg", "kilogram"
        LITRE = "litre", "litre"

    name = models.CharField(max_length=80, unique=True)
    kind = models.CharField(max_length=5, choices=Kind)
    # As make-ups call it: a make-up that says "cleft oak" may be cut from what is kept here as "oak". Of a bar: of what
    # it is. Of goods: nothing, or what they are of.
    timber = models.CharField(max_length=40, blank=True)
    unit = models.CharField(max_length=11, choices=Unit)
    thickness_nm = models.BigIntegerField(null=True, blank=True)
    width_nm = models.BigIntegerField(null=True, blank=True)
    girth_nm = models.BigIntegerField(null=True, blank=True)
    length_nm = models.BigIntegerField(null=True, blank=True)
    # What should never be missing in the rack, in millionths of the unit: what lies there less is to be bought.
    least_millionths = models.BigIntegerField(null=True, blank=True)
    retired_at = models.DateTimeField(null=True, blank=True)

    objects = MaterialQuerySet.as_manager()

    class Meta:
        ordering = ["name"]
        constraints = [
            # What is null passes a comparison, so that what must be there is asked for first.
            models.CheckConstraint(
                name="material_has_the_sizes_of_its_kind",
                condition=Q(kind="goods", length_nm=None, girth_nm=None, thickness_nm=None, width_nm=None)
                | Q(length_nm__isnull=False, length_nm__gt=0)
                & (
                    Q(kind="log", girth_nm__isnull=False, girth_nm__gt=0, thickness_nm=None, width_nm=None)
                    | Q(
                        kind__in=["plank", "blank", "bar"],
                        girth_nm=None,
                        thickness_nm__isnull=False,
                        thickness_nm__gt=0,
                        width_nm__isnull=False,
                        width_nm__gt=0,
                    )
                ),
            ),
            models.CheckConstraint(
                name="material_unit_goes_with_its_kind",
                condition=Q(kind="log", unit__in=["each", "hoppus_foot", "m3"])
                | Q(kind__in=["plank", "blank"], unit__in=["each", "board_foot", "m3", "metre"])
                | Q(kind="bar", unit__in=["each", "metre", "kg"])
                | Q(kind="goods", unit__in=["each", "metre", "kg", "litre"]),
            ),
            models.CheckConstraint(
                name="material_keeps_more_than_nothing",
                condition=Q(least_millionths=None) | Q(least_millionths__gt=0),
            ),
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def per(self) -> str:
        """What its price is for, in words: "a board foot"."""
        return "each" if self.unit == self.Unit.EACH else f"a {self.get_unit_display()}"

    @property
    def bought_by(self) -> str:
        """What it is bought by, in words: "by the board foot"."""
        return "by the piece" if self.unit == self.Unit.EACH else f"by the {self.get_unit_display()}"

    @property
    def section_nm(self) -> tuple[int, int]:
        """Of a bar: its width and thickness."""
        return self.width_nm or 0, self.thickness_nm or 0

    @property
    def is_log(self) -> bool:
        return self.kind == self.Kind.LOG

    @property
    def is_bar(self) -> bool:
        return self.kind == self.Kind.BAR

    @property
    def is_goods(self) -> bool:
        return self.kind == self.Kind.GOODS

    @property
    def is_timber(self) -> bool:
        return not (self.is_bar or self.is_goods)
