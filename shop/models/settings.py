"""The shop's own settings: one row."""

from dataclasses import fields
from datetime import date
from typing import Any
from zoneinfo import ZoneInfo

from django.db import models
from django.db.models import F, Q

from jobs.cutting_list.allowances import USUAL, Allowances, usual
from jobs.kept import Kept
from jobs.measures import Unit
from shop.pay.terms import PaysSpoiled

# The columns of the allowances.
ALLOWANCES = tuple(f"allow_{field.name}" for field in fields(Allowances))


class Shop(models.Model):
    """The one shop. Its words, units, zone and hours stand on every page and paper."""

    class Units(models.TextChoices):
        MM = "mm", "millimetres"
        IN = "in", "inches"

    id = models.PositiveSmallIntegerField(primary_key=True, default=1)
    name = models.CharField(max_length=80)
    # How customers reach the shop, and what its tax is called and registered under: on papers that go to them.
    address = models.TextField(max_length=300, blank=True)
    phone = models.CharField(max_length=40, blank=True)
    email = models.CharField(max_length=120, blank=True)
    tax_name = models.CharField(max_length=20, blank=True)
    tax_number = models.CharField(max_length=40, blank=True)
    currency = models.CharField(max_length=3, default="GBP")
    time_zone = models.CharField(max_length=60, default="Europe/London")
    units = models.CharField(max_length=2, choices=Units, default=Units.MM)
    word_hub = models.CharField(max_length=20, default="hub")
    word_hubs = models.CharField(max_length=20, default="hubs")
    word_felloe = models.CharField(max_length=20, default="felloe")
    word_felloes = models.CharField(max_length=20, default="felloes")
    word_tyre = models.CharField(max_length=20, default="tyre")
    word_tyres = models.CharField(max_length=20, default="tyres")
    dinner_from = models.TimeField(null=True, blank=True)
    dinner_to = models.TimeField(null=True, blank=True)
    # Days of the week on which the smith works for the shop, 0 for Monday.
    smith_days = models.JSONField(default=list, blank=True)
    smith_name = models.CharField(max_length=80, blank=True)
    # Whether hands may see what others' timings were; their own they see always, owner and desk all.
    hands_see_times = models.BooleanField(default=False, db_default=False)
    # From usual times; for cost an apprentice's time counts like any other.
    leaves_out_apprentices = models.BooleanField(default=False, db_default=False)
    # Spoiled work that is normal, in hundredths of the work on wheels: common practice, no source, until an owner says.
    normal_spoiled_percent = models.PositiveSmallIntegerField(default=5, db_default=5)
    # What is left on blanks: see `jobs.cutting_list.Allowances`, whose names these are.
    allow_hub_diameter_nm = models.BigIntegerField(default=USUAL.hub_diameter_nm)
    allow_hub_length_nm = models.BigIntegerField(default=USUAL.hub_length_nm)
    allow_spoke_section_nm = models.BigIntegerField(default=USUAL.spoke_section_nm)
    allow_spoke_length_nm = models.BigIntegerField(default=USUAL.spoke_length_nm)
    allow_felloe_thickness_nm = models.BigIntegerField(default=USUAL.felloe_thickness_nm)
    allow_felloe_depth_nm = models.BigIntegerField(default=USUAL.felloe_depth_nm)
    allow_felloe_end_nm = models.BigIntegerField(default=USUAL.felloe_end_nm)
    allow_strip_section_nm = models.BigIntegerField(default=USUAL.strip_section_nm)
    allow_strip_length_nm = models.BigIntegerField(default=USUAL.strip_length_nm)
    # How pay is reckoned: a key of `shop.pay.rules`, the period, and a day on which one begins.
    pay_rules = models.CharField(max_length=8, default="plain")
    pay_period = models.CharField(max_length=5, choices=[("week", "a week"), ("month", "a month")], default="week")
    pay_first_on = models.DateField(default=date(2026, 1, 5))
    # Which spoiled pieces are paid, by what spoiled them.
    pays_spoiled_timber = models.BooleanField(default=True)
    pays_spoiled_work = models.BooleanField(default=False)
    pays_spoiled_other = models.BooleanField(default=False)
    # Whether a break too short for a meal is paid.
    pays_short_breaks = models.BooleanField(default=True)
    # For how many years the shop keeps its records; a law that asks for more goes before it (`shop.pay.retention`).
    records_years = models.PositiveSmallIntegerField(default=6, db_default=6)
    is_example = models.BooleanField(default=False)

    class Meta:
        constraints = [
            models.CheckConstraint(name="only_one_shop", condition=Q(id=1)),
            models.CheckConstraint(name="normal_spoiled_is_a_share", condition=Q(normal_spoiled_percent__lte=100)),
            models.CheckConstraint(
                name="allowances_not_negative",
                condition=Q(**{f"{name}__gte": 0 for name in ALLOWANCES}),
            ),
            models.CheckConstraint(
                name="dinner_has_both_ends_or_none",
                condition=Q(dinner_from=None, dinner_to=None) | Q(dinner_to__gt=F("dinner_from")),
            ),
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def contact_lines(self) -> list[str]:
        """What stands under the shop's name on a paper for a customer; none where nothing is told."""
        reached = ", ".join(filter(None, [self.phone, self.email]))
        number = f"{self.tax_words[:1].upper()}{self.tax_words[1:]} number {self.tax_number}" if self.tax_number else ""
        lines = [line.strip() for line in self.address.splitlines()]
        return [line for line in (*lines, reached, number) if line]

    @property
    def tax_words(self) -> str:
        """What the tax on a price is called here: "VAT"."""
        return self.tax_name or "tax"

    @property
    def zone(self) -> ZoneInfo:
        return ZoneInfo(self.time_zone)

    @staticmethod
    def usual_allowances(unit: Unit) -> dict[str, int]:
        """The columns of what a new shop leaves on its blanks."""
        told = usual(unit)
        return {name: getattr(told, name.removeprefix("allow_")) for name in ALLOWANCES}

    @property
    def allowances(self) -> Allowances:
        """What this shop leaves on its blanks."""
        return Allowances(**{name.removeprefix("allow_"): getattr(self, name) for name in ALLOWANCES})

    @property
    def pays_rests(self) -> bool:
        """Whether breaks too short for a meal are paid: in the United States they are work (29 CFR 785.18)."""
        return self.pays_short_breaks or self.pay_rules == "us"

    @property
    def pays_spoiled(self) -> PaysSpoiled:
        """For what spoiled pieces the shop pays."""
        paid = {reason for reason in ("timber", "work", "other") if getattr(self, f"pays_spoiled_{reason}")}
        return PaysSpoiled(frozenset(paid))

    @property
    def words(self) -> dict[str, str]:
        """The shop's own words, by the names that operations and pages use."""
        nouns: dict[str, Any] = {
            noun: getattr(self, f"word_{noun}") for noun in ("hub", "hubs", "felloe", "felloes", "tyre", "tyres")
        }
        return {noun: str(word) for noun, word in nouns.items()}


class RulesBefore(Kept):
    """Rules of pay that this shop had chosen, and the last day on which they stood: records of it are kept by them."""

    rules = models.CharField(max_length=8)
    last_on = models.DateField()

    class Meta:
        ordering = ["last_on", "id"]
        verbose_name_plural = "rules chosen before"

    def __str__(self) -> str:
        return f"{self.rules} until {self.last_on}"
