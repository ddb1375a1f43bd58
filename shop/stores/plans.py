"""Issuing what a plan takes: timber by the piece, bars by what is cut from them."""

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction

from jobs.cutting import Plan
from jobs.measures import NM_PER_MM, Unit
from jobs.models import Order
from shop.asked import Asked
from shop.forms.cutting import LEAST_BAR_NM
from shop.models import Material
from shop.order_cutting import CutPlan
from shop.quoting.iron import Irons, Section
from shop.rates import RateBook
from shop.stores.amounts import bar_mass, millionths, of_pieces, pieces_for
from shop.stores.book import Stores
from shop.stores.given import given_to, lying
from shop.stores.offcuts import noted_by, without_noted
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


def of_bars(plans: Iterable[CutPlan], order: Order, here: Asked) -> list[Planned]:
    """Bars by the material that serves their section; by mass or length what is cut off them, and the rest stays in the
    rack."""
    bars = list(Material.objects.in_use().filter(kind=Material.Kind.BAR))
    currency = here.shop.currency
    irons = Irons(RateBook.load(), bars, on=here.today, unit=here.unit, currency=currency, lie=lying(bars))
    given = given_to(order)
    found = []
    for one in plans:
        material = irons.best(Section(*one.section_nm), given)
        if material is not None and one.plan is not None and one.plan.bars:
            found.append(_of_bar(material, one.plan, here.unit))
    return found


def _of_bar(material: Material, plan: Plan, unit: Unit) -> Planned:
    cut_nm = sum(min(bar.length_nm, bar.taken_nm + bar.kerf_nm) for bar in plan.bars)
    amount = {
        Material.Unit.EACH: Fraction(plan.new_bars),
        Material.Unit.METRE: Fraction(cut_nm, 1000 * NM_PER_MM),
    }.get(material.unit)  # type: ignore[call-overload]
    left = Counter(bar.left_nm for bar in plan.bars if bar.left_nm >= LEAST_BAR_NM[unit])
    used = Counter(bar.length_nm for bar in plan.bars if bar.offcut)
    return Planned(material, millionths(bar_mass(material, cut_nm) if amount is None else amount), left, used)


def to_issue(planned: Sequence[Planned], order: Order) -> list[ToIssue]:
    """What is still to be issued of it, less what the order was given before."""
    stores = Stores([one.material.pk for one in planned])
    given = given_to(order)
    rows = []
    for one in planned:
        had = given[one.material.pk]
        if had > 0 and one.material.is_bar:
            noted = noted_by(order, one.material)
            one = replace(one, left=without_noted(one.left, noted.left), used=without_noted(one.used, noted.used))
        rest = max(0, one.amount - had)
        # Amounts were once rounded otherwise: a hair of a piece is none.
        rest = rest if one.material.is_bar or pieces_for(one.material, rest) else 0
        rows.append(ToIssue(one, rest, stores.rack(one.material.pk).amount, had))
    return rows
