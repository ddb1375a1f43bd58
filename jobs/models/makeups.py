"""Make-ups: the measures and choices of a kind of wheel, in the library and in each lot's own copy."""

from dataclasses import asdict, fields
from typing import Any, Self

from django.db import models
from django.db.models import F, Q

from jobs.makeup import Band, MakeUp


class MakeUpColumns(models.Model):
    """The columns that hold a `MakeUp`; lengths are whole nanometres."""

    height_nm = models.BigIntegerField()
    height_over = models.CharField(max_length=4, choices=[("wood", "over the wood"), ("tyre", "over the tyre")])
    spokes = models.PositiveSmallIntegerField()
    rim = models.CharField(max_length=4, choices=[("sawn", "sawn felloes"), ("bent", "bent half-rims")])
    felloes = models.PositiveSmallIntegerField()
    hub = models.CharField(max_length=6, choices=[("wood", "wooden, mortised"), ("bolted", "two-piece, bolted")])
    hub_diameter_nm = models.BigIntegerField()
    hub_length_nm = models.BigIntegerField()
    spoke_width_nm = models.BigIntegerField()
    spoke_thickness_nm = models.BigIntegerField()
    tongue = models.CharField(max_length=6, choices=[("round", "round"), ("square", "square")])
    felloe_depth_nm = models.BigIntegerField()
    felloe_width_nm = models.BigIntegerField()
    tyre = models.CharField(
        max_length=6, choices=[("iron", "iron"), ("rubber", "rubber in a channel"), ("none", "none")]
    )
    tyre_width_nm = models.BigIntegerField()
    tyre_thickness_nm = models.BigIntegerField()
    fastening = models.CharField(max_length=6, choices=[("bolted", "bolted"), ("plain", "no bolts")])
    bands = models.JSONField(default=list)
    box = models.CharField(max_length=6, choices=[("fitted", "fitted"), ("none", "none")])
    coats = models.PositiveSmallIntegerField()
    lined = models.BooleanField()
    dish_nm = models.BigIntegerField()
    hub_timber = models.CharField(max_length=40, blank=True)
    spoke_timber = models.CharField(max_length=40, blank=True)
    felloe_timber = models.CharField(max_length=40, blank=True)
    stagger_nm = models.BigIntegerField(default=0)
    mortise_length_nm = models.BigIntegerField(null=True, blank=True)
    mortise_width_nm = models.BigIntegerField(null=True, blank=True)
    box_large_nm = models.BigIntegerField(null=True, blank=True)
    box_small_nm = models.BigIntegerField(null=True, blank=True)
    box_length_nm = models.BigIntegerField(null=True, blank=True)
    bore_large_nm = models.BigIntegerField(null=True, blank=True)
    bore_small_nm = models.BigIntegerField(null=True, blank=True)
    draw_nm = models.BigIntegerField(null=True, blank=True)

    class Meta:
        abstract = True
        constraints = [
            models.CheckConstraint(
                name="%(class)s_measures_make_a_wheel",
                condition=Q(
                    height_nm__gt=0,
                    spokes__gt=0,
                    felloes__gt=0,
                    felloes__lte=F("spokes"),
                    hub_diameter_nm__gt=0,
                    hub_diameter_nm__lt=F("height_nm"),
                    hub_length_nm__gt=0,
                    felloe_depth_nm__gt=0,
                    felloe_width_nm__gt=0,
                    spoke_width_nm__gt=0,
                    spoke_thickness_nm__gt=0,
                    tyre_width_nm__gte=0,
                    tyre_thickness_nm__gte=0,
                    tyre_thickness_nm__lt=F("felloe_depth_nm"),
                    dish_nm__gte=0,
                ),
            ),
            # What is not told is null, and passes.
            models.CheckConstraint(
                name="%(class)s_setting_out_is_possible",
                condition=Q(
                    stagger_nm__gte=0,
                    mortise_length_nm__gt=0,
                    mortise_width_nm__gt=0,
                    box_large_nm__gt=0,
                    box_small_nm__gt=0,
                    box_length_nm__gt=0,
                    bore_large_nm__gt=0,
                    bore_small_nm__gt=0,
                    draw_nm__gte=0,
                ),
            ),
        ]

    @property
    def makeup(self) -> MakeUp:
        """The measures as a value, for the sums."""
        columns: dict[str, Any] = {field.name: getattr(self, field.name) for field in fields(MakeUp)}
        columns["bands"] = tuple(Band(**band) for band in self.bands)
        return MakeUp(**columns)

    @classmethod
    def columns_of(cls, makeup: MakeUp) -> dict[str, Any]:
        """Keyword arguments that give a row this make-up."""
        columns = asdict(makeup)
        columns["bands"] = list(columns["bands"])
        return columns

    @classmethod
    def from_makeup(cls, makeup: MakeUp, **others: Any) -> Self:
        """An unsaved row with this make-up."""
        return cls(**cls.columns_of(makeup), **others)


class LibraryMakeUp(MakeUpColumns):
    """A make-up in the shop's library. Lots copy it, so a change here changes no order."""

    name = models.CharField(max_length=80, unique=True)
    carriage = models.CharField(max_length=80, blank=True)
    place = models.CharField(max_length=20, blank=True)
    source = models.TextField(blank=True)
    status = models.CharField(max_length=40, blank=True)
    retired_at = models.DateTimeField(null=True, blank=True)

    class Meta(MakeUpColumns.Meta):
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name
