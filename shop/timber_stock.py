"""What the blanks of a cutting list are cut from: the materials that serve, how they are cut, and their price."""

import re
from collections import Counter
from collections.abc import Container, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from typing import TypedDict, cast

from django.utils.safestring import SafeString, mark_safe

from jobs.cutting import CuttingError, Plan, PlankPlan
from jobs.cutting_list import Cutting, Stock, cut_from, fits, is_thick_enough
from jobs.cutting_list.stock import Measure
from jobs.drawing.bar import draw_bar
from jobs.drawing.planks import draw_arcs, draw_blanks
from jobs.measures import Unit
from shop.forms.timber_list import Offer, TimberListForm
from shop.materials import SIZED_BY, stock_in_words, stock_of
from shop.models import Material
from shop.money import format_millipence, round_half_up
from shop.rates import RateBook
from shop.stores.amounts import millionths, of_pieces
from shop.timber_list import TimberGroup, amount_in_words

# For all the plans of a page together: a person waits for it.
SECONDS = 1.5
PIXELS = 620.0


class Scale(TypedDict):
    """How large a drawing is, and what it is called."""

    longest_nm: int
    width: float
    title: str


@dataclass(frozen=True, slots=True)
class Pattern:
    """Planks or logs that are cut alike: how many, what of each, and a drawing."""

    count: int
    cuts: str
    drawing: SafeString


@dataclass(frozen=True, slots=True)
class StockRow:
    """What one group is cut from, `pieces` of it: "3 planks". `bought` is their measure where they are not bought by
    the piece. `pence` is None where no price is kept, and `missing` says what is to be done.
    """

    material: str
    stocked: str
    pieces: str = ""
    bought: str = ""
    price: str = ""
    pence: int | None = None
    sentence: str = ""
    missing: str = ""
    refused: str = ""
    patterns: tuple[Pattern, ...] = ()
    # What an issue from the rack would be, where the plan is of the size that is stocked.
    material_id: int | None = None
    count: int = 0
    bought_millionths: int = 0


@dataclass(frozen=True, slots=True)
class Terms:
    """The saw's cut, the seconds of one search, the longest stock that is drawn, and the shop's words."""

    kerf_nm: int
    seconds: float
    longest_nm: int
    words: Mapping[str, str]


class Timbers:
    """The shop's materials and their prices on a day, read once."""

    def __init__(self, *, on: date, unit: Unit, currency: str) -> None:
        self.unit, self.currency, self.on = unit, currency, on
        self.materials = {material.pk: material for material in Material.objects.in_use()}
        self.book = RateBook.load()

    def offers(self, groups: Iterable[TimberGroup], given: Container[int] = ()) -> list[Offer]:
        """What each group of an order may be cut from, the best first: what is thick enough, as planks are asked for no
        thicker.

        Where the order was given another material that serves as well, and that is the best for none of its groups,
        that one is first.
        """
        served = [(group, sorted(self._served(group), key=lambda one: self._rank(one, group))) for group in groups]
        usual = {best[0].pk for _, best in served if best}
        return [self._offer(group, self._given_first(group, best, given, usual)) for group, best in served]

    def _given_first(
        self, group: TimberGroup, best: list[Material], given: Container[int], usual: Container[int]
    ) -> list[Material]:
        if not best or best[0].pk in given:
            return best
        # A sort keeps what is alike in its order.
        return sorted(best, key=lambda one: one.pk not in given or one.pk in usual or not _fits(group, one))

    def _offer(self, group: TimberGroup, best: Iterable[Material]) -> Offer:
        return Offer(group.key, group.heading, group.part == "hub", [(one.pk, one.name, stock_of(one)) for one in best])

    def _served(self, group: TimberGroup) -> list[Material]:
        return [
            material
            for material in self.materials.values()
            if serves(material, group) and all(is_thick_enough(line.blank, stock_of(material)) for line in group.lines)
        ]

    def _rank(self, material: Material, group: TimberGroup) -> tuple[bool, bool, int, int, str]:
        """What fits before what does not, what has a price, what is named most nearly, and what is thinnest."""
        return (
            not _fits(group, material),
            self.book.material(material.pk, self.on) is None,
            -len(words_of(material.timber)),
            material.thickness_nm or material.girth_nm or 0,
            material.name,
        )

    def rows(
        self, groups: Sequence[TimberGroup], form: TimberListForm, *, words: Mapping[str, str]
    ) -> dict[str, StockRow]:
        """The row of each group by its key, as a valid form asks."""
        searches = sum(len({line.blank.width_nm for line in group.lines}) + 1 for group in groups)
        seconds = SECONDS / max(1, searches)
        chosen = {offer.key: form.chosen(offer) for offer in form.offers}
        # One scale for all the drawings of a page.
        longest = max((stock.length_nm for _, stock in chosen.values() if stock), default=1)
        terms = Terms(form.cleaned_data["kerf"], seconds, longest, words)
        return {group.key: self._row(group, *chosen[group.key], terms) for group in groups}

    def _row(self, group: TimberGroup, pk: int | None, stock: Stock | None, terms: Terms) -> StockRow:
        material = self.materials[pk] if pk else None
        millipence = self.book.material(material.pk, self.on) if material else None
        missing = "" if millipence is not None else self._missing(group, material)
        if material and stock and millipence is not None and not is_priced_so(material, stock):
            millipence, missing = None, f"The price of “{material.name}” is {material.per} of the size that is stocked."
        if stock is None:
            return StockRow("", "", missing=missing)
        name, stocked = material.name if material else "", stock_in_words(stock, self.unit)
        try:
            cutting = cut_from(stock, group.lines, kerf_nm=terms.kerf_nm, seconds=terms.seconds, unit=self.unit)
        except CuttingError as refused:
            return StockRow(name, stocked, missing=missing, refused=str(refused))
        measure: Measure = cast(Measure, material.unit) if material else "each"
        amount = cutting.amount(measure)
        is_stocked = material is not None and stock == stock_of(material)
        return StockRow(
            material=name,
            stocked=stocked,
            pieces=_pieces(cutting, is_blank=material is not None and material.kind == Material.Kind.BLANK),
            bought="" if measure == "each" else amount_in_words(amount, measure),
            price=f"{format_millipence(millipence, self.currency)} {material.per}"
            if material and millipence is not None
            else "",
            pence=None if millipence is None or not cutting.count else price_of(amount, millipence),
            sentence=_sentence(cutting),
            missing=missing,
            patterns=_patterns(cutting, group, terms),
            material_id=material.pk if material and is_stocked else None,
            count=cutting.count,
            bought_millionths=of_pieces(material, cutting.count) if material and is_stocked else millionths(amount),
        )

    def _missing(self, group: TimberGroup, material: Material | None) -> str:
        what = f"“{material.name}”" if material else group.timber
        if not what:
            return "The make-up doesn’t say of what timber, so that it has no price."
        if material is None and any(serves(each, group) for each in self.materials.values()):
            return f"No {what} is kept that is thick enough for these: set it and its price in Materials."
        return f"No price kept for {what}: set it in Materials."


def _fits(group: TimberGroup, material: Material) -> bool:
    return all(fits(line.blank, stock_of(material)) for line in group.lines)


def is_priced_so(material: Material, stock: Stock) -> bool:
    """Whether its price is for stock of this size too."""
    kept = stock_of(material)
    return all(getattr(kept, f"{name}_nm") == getattr(stock, f"{name}_nm") for name in SIZED_BY.get(material.unit, ()))


def price_of(amount: Fraction, millipence: int) -> int:
    """Amount by price in whole pence, a half rounded up: once, for each timber."""
    return round_half_up(amount * millipence / 1000)


def words_of(timber: str) -> frozenset[str]:
    return frozenset(re.findall(r"[^\W\d_]+", timber.lower()))


def serves(material: Material, group: TimberGroup) -> bool:
    """Whether a group may be cut from it: each word of its timber is in the make-up's, and logs make but hubs."""
    named = words_of(material.timber)
    if not material.is_timber:
        return False
    return bool(named) and named <= words_of(group.timber) and (group.part == "hub" or not material.is_log)


def _pieces(cutting: Cutting, *, is_blank: bool) -> str:
    name = "log" if cutting.stock.girth_nm is not None else "squared blank" if is_blank else "plank"
    return f"{cutting.count:,} {name}{'' if cutting.count == 1 else 's'}"


def _sentence(cutting: Cutting) -> str:
    plan = cutting.plan
    if not cutting.count:
        return ""
    gap = cutting.count - cutting.least
    face = "length" if isinstance(plan, Plan) else "face"
    share = f"{100 * plan.yield_share:.0f}\N{NO-BREAK SPACE}% of the {face} ends in blanks."
    if not gap:
        return f"{share} Cut so, fewer won’t do."
    return f"{share} Cut so, {'one' if gap == 1 else gap} fewer {'is' if gap == 1 else 'are'} not ruled out."


def _patterns(cutting: Cutting, group: TimberGroup, terms: Terms) -> tuple[Pattern, ...]:
    """What is cut alike together."""
    plan = cutting.plan
    found: list[tuple[int, str, str]] = []
    if isinstance(plan, Plan):
        for bar, count in Counter(plan.bars).items():
            cuts, lengths = _cuts(group, terms, (cut.name for cut in bar.cuts)), [cut.length_nm for cut in bar.cuts]
            scale: Scale = {"longest_nm": terms.longest_nm, "width": PIXELS, "title": cuts}
            found.append((count, cuts, draw_bar(bar.length_nm, lengths, kind="hub", **scale)))
    elif isinstance(plan, PlankPlan):
        for laid, count in Counter(plan.planks).items():
            cuts = _cuts(group, terms, (blank.name for blank in laid))
            scale = {"longest_nm": terms.longest_nm, "width": PIXELS, "title": cuts}
            found.append((count, cuts, draw_blanks(plan.plank, laid, **scale)))
    else:
        for arcs, count in Counter(plan.planks).items():
            cuts = _cuts(group, terms, (each.felloe.name for each in arcs))
            scale = {"longest_nm": terms.longest_nm, "width": PIXELS, "title": cuts}
            found.append((count, cuts, draw_arcs(plan.plank, arcs, **scale)))
    return tuple(Pattern(count, cuts, _safe(drawn)) for count, cuts, drawn in found)


def _cuts(group: TimberGroup, terms: Terms, names: Iterable[str]) -> str:
    """What one plank gives, in words: "8 felloes, hind pair; 2 felloes, fore pair"."""
    words = terms.words
    one, many = {
        "hub": (words["hub"], words["hubs"]),
        "felloe": (words["felloe"], words["felloes"]),
        "strip": ("strip", "strips"),
    }.get(group.part, ("spoke", "spokes"))
    return "; ".join(
        f"{number} {one if number == 1 else many}{f', {name}' if name else ''}"
        for name, number in Counter(names).items()
    )


def _safe(drawn: str) -> SafeString:
    return mark_safe(drawn)  # noqa: S308  our own drawing, which escapes its title
