"""Issuing what a plan takes: timber by the piece, bars by what is cut from them."""

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction

from jobs.cutting import Bar
from jobs.measures import NM_PER_MM, Unit
from jobs.models import Order
from shop.asked import Asked
from shop.forms.cutting import LEAST_BAR_NM
from shop.models import Material
from shop.order_cutting import CutPlan
from shop.quoting.iron import Irons
from shop.quoting.iron import Section as Wanted
from shop.rates import RateBook
from shop.stores.amounts import bar_mass, millionths, of_pieces, pieces_for
from shop.stores.book import Stores
from shop.stores.given import given_to, lying, take_of_others
from shop.stores.offcuts import ByBar, Section, noted_by, without_noted
from shop.timber_stock import StockRow


@dataclass(slots=True)
class Planned:
    """What a plan takes of one material, in millionths; of a bar, the lengths that it leaves and those it uses up."""

    material: Material
    amount: int = 0
    left: Counter[int] = field(default_factory=Counter)
    used: Counter[int] = field(default_factory=Counter)


@dataclass(frozen=True, slots=True)
class ToIssue:
    """One line of what is issued, with what lies there and what the order had of it before."""

    planned: Planned
    amount: int
    lies: int
    issued: int


def of_timber(rows: Iterable[StockRow]) -> list[Planned]:
    """Whole planks, blanks and logs, by material."""
    counts: Counter[int] = Counter()
    for row in rows:
        if row.material_id:
            counts[row.material_id] += row.count
    materials = Material.objects.in_use().filter(pk__in=counts)
    return [Planned(one, of_pieces(one, counts[one.pk])) for one in materials if counts[one.pk]]


def of_bars(plans: Iterable[CutPlan], order: Order, here: Asked, kept: Mapping[Section, ByBar]) -> list[Planned]:
    """Bars by the material that serves their section, and offcuts by the bar that keeps them; by mass or length what is
    cut off them, and the rest stays in the rack."""
    bars = {one.pk: one for one in Material.objects.filter(kind=Material.Kind.BAR)}
    in_use = [one for one in bars.values() if one.retired_at is None]
    currency = here.shop.currency
    irons = Irons(RateBook.load(), in_use, on=here.today, unit=here.unit, currency=currency, lie=lying(in_use))
    given = given_to(order)
    found = []
    for one in plans:
        material = irons.best(Wanted(*one.section_nm), given)
        if material is not None and one.plan is not None and one.plan.bars:
            shared = _by_bar(one.plan.bars, material.pk, kept.get(one.section_nm, {}))
            found += [_of_bar(bars[pk], cut, here.unit) for pk, cut in shared.items()]
    return found


def _by_bar(cut: Iterable[Bar], best: int, kept: ByBar) -> dict[int, list[Bar]]:
    """What is cut, by the id of the bar whose it is: an offcut's the one that keeps it, the best sooner than others."""
    left = {pk: Counter(kept[pk]) for pk in sorted(kept, key=lambda pk: (pk != best, pk))}
    found: dict[int, list[Bar]] = {best: []}
    for bar in cut:
        keeps = (pk for pk, lengths in left.items() if bar.offcut and lengths[bar.length_nm] > 0)
        whose = next(keeps, None)
        if whose is not None:
            left[whose][bar.length_nm] -= 1
        found.setdefault(best if whose is None else whose, []).append(bar)
    return {pk: bars for pk, bars in found.items() if bars}


def _of_bar(material: Material, bars: Sequence[Bar], unit: Unit) -> Planned:
    cut_nm = sum(min(bar.length_nm, bar.taken_nm + bar.kerf_nm) for bar in bars)
    amount = {
        Material.Unit.EACH: Fraction(sum(not bar.offcut for bar in bars)),
        Material.Unit.METRE: Fraction(cut_nm, 1000 * NM_PER_MM),
    }.get(material.unit)  # type: ignore[call-overload]
    left = Counter(bar.left_nm for bar in bars if bar.left_nm >= LEAST_BAR_NM[unit])
    used = Counter(bar.length_nm for bar in bars if bar.offcut)
    return Planned(material, millionths(bar_mass(material, cut_nm) if amount is None else amount), left, used)


def to_issue(planned: Sequence[Planned], order: Order) -> list[ToIssue]:
    """What is still to be issued of it, less what the order was given before; of bars that are alike together."""
    stores = Stores([one.material.pk for one in planned])
    given, noted = given_to(order), noted_by(order)
    asked_for = {one.material.pk: one.amount for one in planned}
    over = {pk: max(0, had - asked_for.get(pk, 0)) for pk, had in given.items()}
    bars = list(Material.objects.filter(pk__in=[pk for pk, more in over.items() if more], kind=Material.Kind.BAR))
    rows = []
    for one in planned:
        had = given[one.material.pk]
        before = noted.get(one.material.pk)
        if before:
            one = replace(one, left=without_noted(one.left, before.left), used=without_noted(one.used, before.used))
        rest = max(0, one.amount - had)
        rest -= take_of_others(one.material, rest, over, bars)
        # Amounts were once rounded otherwise: a hair of a piece is none.
        rest = rest if one.material.is_bar or pieces_for(one.material, rest) else 0
        rows.append(ToIssue(one, rest, stores.rack(one.material.pk).amount, had))
    return rows
