"""Drawings for pages: a made-up wheel finished, an order's wheels on one ground, loose pieces beside them."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from django.utils.safestring import SafeString, mark_safe

from jobs.drawing import WheelProgress, counts_in_words, draw_rack, draw_small, draw_wheel, set_scale
from jobs.drawing.setting_out import draw_felloe, draw_section
from jobs.drawing.words import begun_in_words
from jobs.makeup import MakeUp, describe
from jobs.measures import Unit, format_length
from jobs.models import Lot, Order, Wheel
from jobs.models.operations import Work as KindOfWork
from jobs.progress import Rack
from jobs.sizes import Sizes
from jobs.work import Work
from shop.many_wheels import MOST_SHOWN, Window
from shop.own_words import own_words

# About 1 px to 15 mm, in the order book and the library alike, so that one may be laid beside the other.
BOOK_SCALE = 1 / 15
BOOK_WHEELS = 4
LONE_PIXELS = 330.0
# Two stand side by side on a phone; from a tablet up they are drawn 1.4 times as large.
PAIR_PIXELS, PAIR_HEIGHT = 336.0, 176.0
ROW_WHEELS, NARROW_WHEELS = 6, 2
SMALL_BELOW = 100.0


def finished_wheel(makeup: MakeUp, *, words: Mapping[str, str], unit: Unit, ident: str) -> SafeString:
    """A wheel as it will be, large."""
    title = f"Drawing: {describe(makeup, words=words, unit=unit)}"
    scale = set_scale([makeup], width=LONE_PIXELS, height=LONE_PIXELS)
    return _safe(draw_wheel(makeup, WheelProgress.finished(makeup), scale=scale, title=title, ident=ident))


def small_finished_wheel(makeup: MakeUp, *, title: str, ident: str) -> SafeString:
    """A wheel as it will be, at the order book's scale."""
    return _safe(draw_small(makeup, WheelProgress.finished(makeup), scale=BOOK_SCALE, title=title, ident=ident))


def cut_wheel(makeup: MakeUp, sizes: Sizes, *, words: Mapping[str, str], unit: Unit) -> SafeString:
    """A wheel cut through along its axle, with the lengths of its spokes."""
    title = f"The wheel cut through: {describe(makeup, words=words, unit=unit)}"
    return _safe(draw_section(makeup, sizes, words=words, unit=unit, title=title, ident="cut-wheel"))


def felloe_in_plank(makeup: MakeUp, sizes: Sizes, *, words: Mapping[str, str]) -> SafeString | None:
    """A sawn felloe in the plank that it wants; None for a bent rim, and for one that is all one piece."""
    felloe = sizes.rim.felloe
    if felloe is None or makeup.felloes < 2:
        return None
    title = f"A {words['felloe']} in its plank"
    return _safe(draw_felloe(felloe, depth_nm=makeup.felloe_depth_nm, title=title, ident="felloe-in-plank"))


def book_wheels(work: Work, order: Order, words: Mapping[str, str]) -> tuple[list[SafeString], int]:
    """The first few wheels of an order, small, as they stand; and how many more there are."""
    standing = [(wheel, lot) for lot in work.lots(order) for wheel in work.wheels(lot)]
    standing.sort(key=lambda pair: pair[0].number)
    drawn = []
    for wheel, lot in standing[:BOOK_WHEELS]:
        makeup, progress = lot.makeup, work.progress(wheel, lot)
        title = f"{wheel.label}: {counts_in_words(makeup, progress, words=words)}"
        drawn.append(_safe(draw_small(makeup, progress, scale=BOOK_SCALE, title=title, ident=f"wheel-{wheel.pk}")))
    return drawn, max(0, len(standing) - BOOK_WHEELS)


@dataclass(frozen=True, slots=True)
class DrawnWheel:
    """One wheel on its ground: the drawing carries all the counts, the caption what has been begun."""

    wheel: Wheel
    drawing: SafeString
    caption: str


@dataclass(frozen=True, slots=True)
class DrawnLot:
    """The wheels of a lot in rows on their ground, and its loose pieces with their counts in words."""

    lot: Lot
    heading: str
    rows: tuple[tuple[DrawnWheel, ...], ...]
    rack: SafeString
    rack_words: str
    may_grow: bool
    window: Window

    @property
    def is_narrow(self) -> bool:
        """Whether two such lots fit beside each other; by all its wheels, since of many a page may show one alone."""
        return self.window.total <= NARROW_WHEELS


def draw_lots(
    work: Work, lots: Iterable[Lot], *, seen: Mapping[int, Window], words: Mapping[str, str], unit: Unit
) -> list[DrawnLot]:
    """All the lots of an order at one scale; `seen` are their wheels that are drawn, by lot."""
    lots = [lot for lot in lots if work.wheels(lot)]
    if not lots:
        return []
    scale = min(
        set_scale([lot.makeup] * min(2, len(work.wheels(lot))), width=PAIR_PIXELS, height=PAIR_HEIGHT) for lot in lots
    )
    if sum(len(work.wheels(lot)) for lot in lots) > ROW_WHEELS:
        scale = min(scale, *(set_scale([lot.makeup], width=SMALL_BELOW, height=SMALL_BELOW) for lot in lots))
    return [_draw_lot(work, lot, seen[lot.pk], scale, words=words, unit=unit) for lot in lots]


def _draw_lot(work: Work, lot: Lot, window: Window, scale: float, *, words: Mapping[str, str], unit: Unit) -> DrawnLot:
    wheels = [_draw_wheel(work, wheel, lot, scale, words) for wheel in window.wheels]
    rows = tuple(tuple(wheels[first : first + ROW_WHEELS]) for first in range(0, len(wheels), ROW_WHEELS))
    rack = work.rack(lot)
    rack_words = rack_in_words(rack, words)
    return DrawnLot(
        lot=lot,
        heading=_heading(lot, words, unit, wheels=window.total),
        rows=rows,
        # Thousands of loose pieces are told in words alone: nobody counts them in a picture.
        rack=SafeString("") if window.is_large else _draw_rack(lot, rack, scale, rack_words),
        rack_words=rack_words,
        may_grow=not _is_small(lot, scale),
        window=window,
    )


def _heading(lot: Lot, words: Mapping[str, str], unit: Unit, *, wheels: int) -> str:
    """The lot and its make-up as short as it can be told from another; of many wheels, how many."""
    makeup = lot.makeup
    rim = "half-rims" if makeup.rim == "bent" else words["felloe" if makeup.felloes == 1 else "felloes"]
    name = f"{lot.name[:1].upper()}{lot.name[1:]}"
    height = format_length(makeup.height_nm, unit=unit)
    repair = "" if lot.work == KindOfWork.NEW else f": {own_words(lot.get_work_display(), words)}"
    many = f", {wheels} wheels" if wheels > MOST_SHOWN else ""
    return f"{name}{many}, {height}, {makeup.spokes} spokes, {makeup.felloes} {rim}{repair}"


def _draw_wheel(work: Work, wheel: Wheel, lot: Lot, scale: float, words: Mapping[str, str]) -> DrawnWheel:
    makeup, progress = lot.makeup, work.progress(wheel, lot)
    title = f"{wheel.label}: {counts_in_words(makeup, progress, words=words)}"
    draw = draw_small if _is_small(lot, scale) else draw_wheel
    drawing = draw(makeup, progress, scale=scale, title=title, ident=f"wheel-{wheel.pk}")
    return DrawnWheel(wheel, _safe(drawing), begun_in_words(makeup, progress, words=words))


def _is_small(lot: Lot, scale: float) -> bool:
    return lot.makeup.tyre_diameter_nm / 1_000_000 * scale < SMALL_BELOW


def draw_one(work: Work, wheel: Wheel, lot: Lot, words: Mapping[str, str]) -> DrawnWheel:
    """One wheel as large as a phone is wide."""
    scale = set_scale([lot.makeup], width=LONE_PIXELS, height=LONE_PIXELS)
    return _draw_wheel(work, wheel, lot, scale, words)


def _draw_rack(lot: Lot, rack: Rack, scale: float, title: str) -> SafeString:
    drawing = draw_rack(
        lot.makeup,
        spokes=rack.spokes,
        spokes_wanted=rack.spokes_wanted,
        felloes=rack.felloes,
        felloes_wanted=rack.felloes_wanted,
        scale=scale,
        title=f"Loose pieces: {title}",
        ident=f"rack-{lot.pk}",
        max_width=340,
    )
    return _safe(drawing)


def rack_in_words(rack: Rack, words: Mapping[str, str]) -> str:
    """As "9 of 28 spokes ready, 6 under way; 3 of 14 felloes ready"; empty when no loose piece is wanted."""
    both = (
        _pieces_in_words(rack.spokes, rack.spokes_wanted, "spokes"),
        _pieces_in_words(rack.felloes, rack.felloes_wanted, words["felloes"]),
    )
    return "; ".join(said for said in both if said)


def _pieces_in_words(groups: Sequence[tuple[float, int]], wanted: int, noun: str) -> str:
    ready = sum(number for share, number in groups if share >= 1)
    begun = sum(number for share, number in groups if share < 1)
    if not (wanted or ready or begun):
        return ""
    said = f"{ready} of {max(wanted, ready)} {noun} ready"
    return f"{said}, {begun} under way" if begun else said


def _safe(svg: str) -> SafeString:
    return mark_safe(svg)  # noqa: S308  drawn by jobs.drawing, which escapes the title
