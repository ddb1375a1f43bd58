"""The shop rule: one drawn scale, like a boxwood rule, for a pace, a day or a price.

Numbers in, a rule out, and the rule draws itself as SVG that needs no fixed width: positions across are shares
of the width (per cent), heights are in em, so figures are never stretched. Labels are set so that they clear
each other at the narrowest width the rule will be shown at; at any greater width they only move apart.
"""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from datetime import date
from html import escape
from typing import Literal

from shop.shop_rule_labels import FIGURE_EM, Placed, place
from shop.shop_rule_ticks import Tick, day_ticks, number_ticks, plain_figure

Kind = Literal["likely", "due", "now"]
MOST_WEDGES = 4
# A phone 390 px wide, less the page's margins, at the type size of the rule.
NARROWEST_EM = 22.0
ROW_EM, STRIP_EM, FOOT_EM = 1.4, 2.0, 1.6
SPARE_SHARE, FEWEST_DAYS = 0.15, 4


@dataclass(frozen=True, slots=True, kw_only=True)
class Wedge:
    """A mark on the rule with its words. `at` is in the rule's own unit (days: `date.toordinal()`)."""

    at: float
    words: str
    kind: Kind = "now"


@dataclass(frozen=True, slots=True, kw_only=True)
class ShopRule:
    """A rule ready to be drawn: ends, ticks, hatched band and wedges in one unit, and its narrowest width in em."""

    low: float
    high: float
    ticks: tuple[Tick, ...]
    band: tuple[float, float] | None
    wedges: tuple[Wedge, ...]
    title: str
    narrowest_em: float = NARROWEST_EM
    labels: tuple[Placed, ...] = field(init=False)

    def __post_init__(self) -> None:
        shares = [(self.share(wedge.at), wedge.words) for wedge in self.wedges]
        object.__setattr__(self, "labels", place(shares, width_em=self.narrowest_em))

    def share(self, at: float) -> float:
        """Where a value stands, from 0 at the left end of the strip to 1 at the right."""
        return (at - self.low) / (self.high - self.low)

    def svg(self, ident: str) -> str:
        """The rule as safe SVG. `ident` must be unique on the page: it names the hatch."""
        top = ROW_EM * (1 + max((label.level for label in self.labels), default=0)) + 0.15
        parts = [
            f'<svg class="rule" role="img" width="100%" height="{top + STRIP_EM + FOOT_EM:.2f}em" '
            f'aria-labelledby="{escape(ident)}-title"><title id="{escape(ident)}-title">{escape(self.title)}</title>',
            f'<rect class="rule-strip" y="{top:.2f}em" width="100%" height="{STRIP_EM}em"/>',
            *self._band(ident, top),
            *(self._tick(tick, top + STRIP_EM) for tick in self.ticks),
            *(self._wedge(*pair, top) for pair in zip(self.wedges, self.labels, strict=True)),
            "</svg>",
        ]
        return "".join(parts)

    def _x(self, at: float) -> str:
        return f"{100 * self.share(at):.2f}%"

    def _band(self, ident: str, top: float) -> list[str]:
        if self.band is None:
            return []
        wide = 100 * (self.share(self.band[1]) - self.share(self.band[0]))
        name = f"{escape(ident)}-hatch"
        return [
            f'<pattern id="{name}" width="8" height="8" patternUnits="userSpaceOnUse" patternTransform="rotate(45)">'
            '<rect class="rule-hatch-ground" width="8" height="8"/>'
            '<line class="rule-hatch" x1="1" x2="1" y2="8"/></pattern>',
            f'<rect class="rule-band" x="{self._x(self.band[0])}" y="{top:.2f}em" width="{wide:.2f}%" '
            f'height="{STRIP_EM}em" fill="url(#{name})"/>',
        ]

    def _tick(self, tick: Tick, foot: float) -> str:
        x = self._x(tick.at)
        rise = 0.8 if tick.label else 0.4
        line = f'<line class="rule-tick" x1="{x}" x2="{x}" y1="{foot - rise:.2f}em" y2="{foot:.2f}em"/>'
        if not tick.label:
            return line
        return (
            f'{line}<text class="rule-figure" x="{x}" y="{foot + 1.25:.2f}em" text-anchor="middle">'
            f"{escape(tick.label)}</text>"
        )

    def _wedge(self, wedge: Wedge, label: Placed, top: float) -> str:
        x = self._x(wedge.at)
        baseline = top - 0.15 - ROW_EM * label.level - 0.32
        stem = (
            f'<line class="rule-stem" x1="{x}" x2="{x}" y1="{baseline + label.stem_from_em:.2f}em" y2="{top:.2f}em"/>'
            if label.level
            else ""
        )
        # The words hang from a nested drawing, so that their distance from the wedge is in em at any width.
        words_x = {"start": "0%", "end": "100%"}.get(label.side, x)
        return (
            f'<g class="wedge wedge-{wedge.kind}">{stem}'
            f'<line class="rule-line" x1="{x}" x2="{x}" y1="{top:.2f}em" y2="{top + STRIP_EM:.2f}em"/>'
            f'<svg x="{x}" y="{top:.2f}em" overflow="visible"><path d="M-8-11H8L0 2z"/></svg>'
            f'<svg x="{words_x}" y="{baseline:.2f}em" overflow="visible">'
            f'<text x="{label.offset_em}em" text-anchor="{label.anchor}">{escape(wedge.words)}</text></svg></g>'
        )


def number_rule(
    *,
    title: str,
    wedges: Sequence[Wedge] = (),
    band: tuple[float, float] | None = None,
    label: Callable[[float], str] = plain_figure,
    narrowest_em: float = NARROWEST_EM,
    reach: tuple[float, float] | None = None,
) -> ShopRule:
    """A rule of numbers: minutes a piece, or money (give a `label` that writes the shop's money).

    With `reach` the rule shows at least that far, so that two near values are seen to be near.
    Raises ValueError when there is nothing to show, a value is not finite, or the band runs backwards.
    """
    low, high = _ends(wedges, band)
    if reach:
        low, high = min(low, reach[0]), max(high, reach[1])
    # Some strip to either side, so that a band is seen to end; but never under nought where nothing is.
    spare = (high - low) * SPARE_SHARE or max(abs(low) * SPARE_SHARE, 1.0)
    ticks = number_ticks(
        low - spare if low < 0 else max(low - spare, 0.0), high + spare, label=label, width_em=narrowest_em
    )
    return _rule(ticks, band, wedges, title, narrowest_em)


def day_rule(
    *,
    title: str,
    wedges: Sequence[tuple[date, str, Kind]] = (),
    band: tuple[date, date] | None = None,
    narrowest_em: float = NARROWEST_EM,
) -> ShopRule:
    """A rule of days: due, likely, today. Labelled on Mondays where it is short, on firsts of months where it is long.

    Raises ValueError when there is nothing to show or the band runs backwards.
    """
    marks = tuple(Wedge(at=day.toordinal(), words=words, kind=kind) for day, words, kind in wedges)
    days = (float(band[0].toordinal()), float(band[1].toordinal())) if band else None
    low, high = (int(end) for end in _ends(marks, days))
    if high - low < FEWEST_DAYS:
        low, high = low - FEWEST_DAYS // 2, high + FEWEST_DAYS // 2
    ticks = day_ticks(date.fromordinal(low), date.fromordinal(high), width_em=narrowest_em)
    return _rule(ticks, days, marks, title, narrowest_em)


def _ends(wedges: Sequence[Wedge], band: tuple[float, float] | None) -> tuple[float, float]:
    values = [wedge.at for wedge in wedges] + list(band or ())
    if not values:
        raise ValueError("A rule needs at least one mark or a band.")
    if len(wedges) > MOST_WEDGES:
        raise ValueError(f"A rule answers one question: at most {MOST_WEDGES} marks, not {len(wedges)}.")
    if not all(math.isfinite(value) for value in values):
        raise ValueError("A rule can't show a value that is not a number.")
    if band and band[1] < band[0]:
        raise ValueError("The band of a rule must begin before it ends.")
    return min(values), max(values)


def _rule(
    ticks: tuple[Tick, ...],
    band: tuple[float, float] | None,
    wedges: Sequence[Wedge],
    title: str,
    narrowest_em: float,
) -> ShopRule:
    # Room at both ends for half of the longest figure, so that none hangs over the strip's end.
    longest = max(len(tick.label) for tick in ticks) * FIGURE_EM
    spare = min(longest / 2 / narrowest_em, 0.2)
    low, high = ticks[0].at, ticks[-1].at
    over = (high - low) * spare / (1 - 2 * spare)
    return ShopRule(
        low=low - over,
        high=high + over,
        ticks=ticks,
        band=band,
        wedges=tuple(wedges),
        title=title,
        narrowest_em=narrowest_em,
    )
