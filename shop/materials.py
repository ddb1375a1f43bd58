"""What an owner does with the shop's list of materials, each with its line of who changed what.

What one costs is written down as any other rate: see `shop.rates_written.record_rate`.
"""

from collections.abc import Mapping
from datetime import datetime
from decimal import Decimal
from typing import Any

from django.contrib.auth.models import User

from jobs.cutting_list import Stock
from jobs.measures import Unit, exact_length
from jobs.turns import take_turns
from jobs.writing import writing
from shop.audit import Kind, note_change, note_differences, the_shop
from shop.models import Material

# Of which sizes a price is, by the unit that it is for.
SIZED_BY: Mapping[str, tuple[str, ...]] = {
    Material.Unit.EACH: ("thickness", "width", "girth", "length"),
    Material.Unit.METRE: ("thickness", "width"),
}
# Two forms that give the same name wait for each other.
MATERIALS = "names of materials"
LABELS = {
    "name": "name",
    "kind": "it is",
    "timber": "of",
    "unit": "bought by",
    "thickness_nm": "thickness",
    "width_nm": "width",
    "girth_nm": "girth",
    "length_nm": "length",
    "least_millionths": "keep at least",
}


class MaterialRefused(ValueError):
    """What was asked can't be done; the message is one sentence, and `field` where the form asks what is wrong."""

    def __init__(self, sentence: str, *, field: str) -> None:
        super().__init__(sentence)
        self.field = field


def add_material(*, by: User, **columns: Any) -> Material:
    """Put a material on the list; `columns` are those of `LABELS`. MaterialRefused where the name is taken."""
    with writing():
        take_turns(MATERIALS)
        _check_name(columns["name"])
        material = Material.objects.create(**columns)
        told = described(material)
        note_change(Kind.PRICE, told.pop("name"), by=by, after=f"added: {', '.join(filter(None, told.values()))}")
        return material


def edit_material(material: Material, *, by: User, **columns: Any) -> None:
    """Change a material. MaterialRefused where the name is taken, or where its prices would be for something else."""
    with writing():
        take_turns(MATERIALS)
        take_turns("rates")
        was = Material.objects.select_for_update().get(pk=material.pk)
        _check_name(columns["name"], but=was)
        if has := _told_by_its_unit(was):
            _check_prices_stand(was, columns, has)
        if was.offcuts.exists():
            _check_offcuts_stand(was, columns)
        for name, value in columns.items():
            setattr(material, name, value)
        material.save(update_fields=list(columns))
        note_differences(Kind.PRICE, was.name, described(was), described(material), by=by)


def _told_by_its_unit(was: Material) -> str:
    """What was written down of it by its unit: prices, or what came in, went out or was counted."""
    if was.rates.exists():
        return "prices"
    return "stock" if was.purchases.exists() or was.issues.exists() or was.counts.exists() else ""


def _check_prices_stand(was: Material, columns: Mapping[str, Any], has: str) -> None:
    """MaterialRefused where what was written down would be for another unit, or for a piece of another size."""
    if columns["unit"] != was.unit:
        raise MaterialRefused(f"It has {has} {was.per}: for another unit add another material.", field="unit")
    for name in SIZED_BY.get(was.unit, ()):
        if columns[f"{name}_nm"] != getattr(was, f"{name}_nm"):
            raise MaterialRefused(f"It has {has} {was.per} of this size: for another add another material.", field=name)


def _check_offcuts_stand(was: Material, columns: Mapping[str, Any]) -> None:
    """MaterialRefused where lengths that are kept would be of another bar."""
    for column, field in (("kind", "kind"), ("thickness_nm", "thickness"), ("width_nm", "width")):
        if columns[column] != getattr(was, column):
            raise MaterialRefused("Offcuts of this bar were kept: for another add another material.", field=field)


def retire_material(material: Material, *, at: datetime, by: User) -> None:
    """Take a material off what lists are reckoned from; its prices stay. Twice changes nothing."""
    with writing():
        if Material.objects.in_use().filter(pk=material.pk).update(retired_at=at):
            note_change(Kind.PRICE, material.name, by=by, before="in use", after="retired")


def restore_material(material: Material, *, by: User) -> None:
    """Take a retired material into use again. Twice changes nothing."""
    with writing():
        if Material.objects.exclude(retired_at=None).filter(pk=material.pk).update(retired_at=None):
            note_change(Kind.PRICE, material.name, by=by, before="retired", after="in use")


def described(material: Material) -> dict[str, str]:
    """A material as an owner sets it, each thing in words by its name."""
    unit: Unit = "in" if the_shop().units == "in" else "mm"
    least = material.least_millionths
    shown: Mapping[str, str] = {
        "kind": material.get_kind_display(),
        "unit": material.get_unit_display(),
        "least_millionths": f"{Decimal(least).scaleb(-6).normalize():f}" if least else "",
    }
    return {label: str(shown.get(name) or _value(getattr(material, name), unit)) for name, label in LABELS.items()}


def _value(value: object, unit: Unit) -> str:
    return exact_length(value, unit=unit) if isinstance(value, int) else str(value or "")


def stock_of(material: Material) -> Stock:
    """Its size, for the sums."""
    return Stock(material.length_nm or 0, material.width_nm or 0, material.thickness_nm, material.girth_nm)


def size_in_words(material: Material, unit: Unit) -> str:
    """The size in which it is stocked; goods have none."""
    return "" if material.is_goods else stock_in_words(stock_of(material), unit)


def stock_in_words(stock: Stock, unit: Unit) -> str:
    """A size as it was typed: "50 × 280 mm, 3000 mm long"; a log's by its girth, "48 in round, 120 in long"."""
    length = f"{exact_length(stock.length_nm, unit=unit)} long"
    if stock.girth_nm is not None:
        return f"{exact_length(stock.girth_nm, unit=unit)} round, {length}"
    width = exact_length(stock.width_nm, unit=unit)
    if stock.thickness_nm is None:
        return f"{width} wide, {length}, as thick as is wanted"
    thickness = exact_length(stock.thickness_nm, unit=unit)
    return f"{thickness.removesuffix(width[-3:])} × {width}, {length}"


def _check_name(name: str, but: Material | None = None) -> None:
    others = Material.objects.exclude(pk=but.pk) if but else Material.objects.all()
    if any(other.casefold() == name.casefold() for other in others.values_list("name", flat=True)):
        raise MaterialRefused(f"“{name}” is on the list already: give it a name of its own.", field="name")
