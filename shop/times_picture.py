"""The picture of an operation's timings: every one a dot in minutes a piece, by date or hand by hand.

Numbers in, a picture out, which draws itself as SVG that needs no fixed width: places across are shares of the width
(per cent), heights are pixels, so that dots stay round and figures unstretched. Figures of the scale and the words of
the lines are drawings of their own beside it, outside the cloud.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date
from html import escape
from typing import Literal

from shop.shop_rule_labels import FIGURE_EM
from shop.shop_rule_ticks import Tick, day_ticks, plain_figure

Kind = Literal["one", "stray", "apart"]

TALL, ABOVE, BEYOND, ROW = 320.0, 14.0, 34.0, 22.0
# A phone 390 px wide less its margins and the figures of the scale, in em of 16 px.
NARROWEST_EM, WIDE_EM = 18.5, 36.0
INSET = 2.0
MOST_STEPS = 6
# What lies over this part of all timings does not stretch the scale: it is drawn at the top, beyond it.
WITHIN = 0.975
# From so many on a dot is drawn smaller.
SMALLER_FROM = (400, 1000)
APART, WIDE = ' class="apart"', ' class="dots-wide"'


@dataclass(frozen=True, slots=True)
class Dot:
    """A timing: its moment (days, as `date.toordinal`, with the part of the day), minutes a piece, and column."""

    at: float
    minutes: float
    kind: Kind = "one"
    column: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Picture:
    """Timings with the range of usual pieces and the book time, in minutes. With `columns` they stand hand by hand."""

    dots: Sequence[Dot]
    title: str
    likely: tuple[float, float] | None = None
    book: float | None = None
    columns: Sequence[str] = ()
    low: float = field(init=False)
    high: float = field(init=False)
    step: float = field(init=False)
    # What is longer than the scale reaches; it is drawn above it.
    beyond: tuple[Dot, ...] = field(init=False)

    def __post_init__(self) -> None:
        low, high, step = scale_of(self.dots, self.likely, self.book)
        object.__setattr__(self, "low", low)
        object.__setattr__(self, "high", high)
        object.__setattr__(self, "step", step)
        object.__setattr__(self, "beyond", tuple(dot for dot in self.dots if dot.minutes > high))

    def y(self, minutes: float) -> float:
        """Pixels from the top."""
        if minutes > self.high:
            return ABOVE
        return self._top + TALL * (self.high - minutes) / (self.high - self.low)

    @property
    def _top(self) -> float:
        return ABOVE + (BEYOND if self.beyond else 0)

    @property
    def height(self) -> float:
        return self._top + TALL + ROW * (self._rows + 0.6)

    @property
    def _rows(self) -> int:
        """Rows of words under the picture: names that find no room in one stand in turns."""
        if not self.columns:
            return 1
        longest = max(len(name) for name in self.columns) * FIGURE_EM + 0.8
        return math.ceil(len(self.columns) * longest / NARROWEST_EM)

    @property
    def figures(self) -> str:
        """The figures of the scale, as SVG to the left of the picture."""
        parts = [self._figure(self.y(value), plain_figure(value)) for value in self._values]
        if self.beyond:
            parts.append(self._figure(ABOVE, "more"))
        return self._beside("dots-scale", "2.9em", parts)

    @staticmethod
    def _figure(y: float, words: str) -> str:
        return f'<text x="2.5em" y="{y + 5.5:.1f}" text-anchor="end">{escape(words)}</text>'

    @property
    def words(self) -> str:
        """What the band and the book time are, as SVG to the right of the picture."""
        told = [(self.y(sum(self.likely) / 2), "usual", "dots-usual")] if self.likely else []
        told += [(self.y(self.book), "book time", "dots-book")] if self.book else []
        parts, last = [], -math.inf
        for y, words, kind in sorted(told):
            last = max(y, last + ROW)
            parts.append(f'<text class="{kind}" x="6" y="{last + 5.5:.1f}">{words}</text>')
        return self._beside("dots-words", "5.4em", parts)

    def _beside(self, kind: str, wide: str, parts: Sequence[str]) -> str:
        told = f'class="{kind}" aria-hidden="true" width="{wide}" height="{self.height:.0f}"'
        return f"<svg {told}>{''.join(parts)}</svg>"

    def svg(self, ident: str) -> str:
        """The picture as safe SVG. `ident` must be unique on the page."""
        name = f"{escape(ident)}-title"
        parts = [
            f'<svg class="dots" role="img" width="100%" height="{self.height:.0f}" aria-labelledby="{name}">'
            f'<title id="{name}">{escape(self.title)}</title>',
            *self._band(),
            *(self._across(self.y(value), "dots-line") for value in self._values),
            *([self._across(self._top - BEYOND / 2 + 4, "dots-end")] if self.beyond else []),
            *([self._across(self.y(self.book), "dots-book-line")] if self.book else []),
            *self._foot(),
            *self._dots(),
            "</svg>",
        ]
        return "".join(parts)

    @property
    def _values(self) -> list[float]:
        count = round((self.high - self.low) / self.step)
        return [round(self.low + n * self.step, 9) for n in range(count + 1)]

    def _band(self) -> list[str]:
        if self.likely is None:
            return []
        low, high = self.y(self.likely[0]), self.y(min(self.likely[1], self.high))
        return [
            f'<rect class="dots-band" y="{high:.1f}" width="100%" height="{low - high:.1f}"/>',
            self._across(high, "dots-edge"),
            self._across(low, "dots-edge"),
        ]

    @staticmethod
    def _across(y: float, kind: str) -> str:
        return f'<line class="{kind}" x2="100%" y1="{y:.1f}" y2="{y:.1f}"/>'

    def _dots(self) -> list[str]:
        radius = 3.4 - 0.6 * sum(len(self.dots) > many for many in SMALLER_FROM)
        drawn = [
            f'<circle cx="{x:.1f}%" cy="{self.y(dot.minutes):.0f}" r="{radius:.1f}"'
            f"{APART if dot.kind == 'apart' else ''}/>"
            for dot, x in self._placed()
            if dot.kind != "stray"
        ]
        rings = [
            f'<circle class="stray" cx="{x:.1f}%" cy="{self.y(dot.minutes):.0f}" r="5"/>'
            for dot, x in self._placed()
            if dot.kind == "stray"
        ]
        return ["<g>", *drawn, *rings, "</g>"]

    def _placed(self) -> list[tuple[Dot, float]]:
        """Each dot with its place across, in per cent."""
        if not self.columns:
            low, high = self._days
            return [(dot, self._share((dot.at - low) / (high - low))) for dot in self.dots]
        first, last = min(dot.at for dot in self.dots), max(dot.at for dot in self.dots)
        wide = (last - first) or 1.0
        # Within its column each hand's timings stand by date, so that none lies over another for want of room.
        return [
            (dot, self._share((dot.column + 0.1 + 0.8 * (dot.at - first) / wide) / len(self.columns)))
            for dot in self.dots
        ]

    @property
    def _days(self) -> tuple[float, float]:
        """The morning of the first day and the evening of the last."""
        return math.floor(min(dot.at for dot in self.dots)), math.floor(max(dot.at for dot in self.dots)) + 1

    @staticmethod
    def _share(part: float) -> float:
        return INSET + (100 - 2 * INSET) * part

    def _foot(self) -> list[str]:
        base = self._top + TALL
        line = self._across(base, "dots-foot")
        return [line, *(self._names(base) if self.columns else self._ticks(base))]

    def _ticks(self, base: float) -> list[str]:
        low, high = self._days
        always = {tick.at for tick in days_between(low, high, width_em=NARROWEST_EM) if tick.label}
        parts = []
        for tick in days_between(low, high, width_em=WIDE_EM):
            x = self._share((tick.at - low) / (high - low))
            parts.append(f'<line class="dots-foot" x1="{x:.2f}%" x2="{x:.2f}%" y1="{base:.1f}" y2="{base + 5:.1f}"/>')
            if tick.label:
                # The first and the last figure stay inside the picture.
                anchor = "start" if x < 4 else "end" if x > 96 else "middle"
                where = f'x="{x:.2f}%" y="{base + ROW:.1f}" text-anchor="{anchor}"'
                parts.append(f"<text{'' if tick.at in always else WIDE} {where}>{tick.label}</text>")
        return parts

    def _names(self, base: float) -> list[str]:
        parts = []
        for place, name in enumerate(self.columns):
            x = self._share((place + 0.5) / len(self.columns))
            y = base + ROW * (1 + place % self._rows)
            parts.append(f'<text x="{x:.2f}%" y="{y:.1f}" text-anchor="middle">{escape(name)}</text>')
        return parts


def days_between(low: float, high: float, *, width_em: float) -> tuple[Tick, ...]:
    """Ticks of days within two ordinals, with as many figures as stand clear of each other in that width."""
    first, last = date.fromordinal(math.floor(low)), date.fromordinal(math.floor(high))
    # The ticks of a rule go on to round days beyond both ends: without those there is room for more.
    for more in (2.0, 1.7, 1.4, 1.2, 1.0):
        ticks = [tick for tick in day_ticks(first, last, width_em=width_em * more) if low <= tick.at <= high]
        figures = [len(tick.label) * FIGURE_EM + 0.8 for tick in ticks if tick.label]
        if figures and len(figures) * max(figures) <= width_em:
            break
    return tuple(ticks)


def scale_of(dots: Sequence[Dot], likely: tuple[float, float] | None, book: float | None) -> tuple[float, float, float]:
    """Where the scale begins and ends, and its step, in minutes: round figures that hold all but the longest."""
    sound = sorted(dot.minutes for dot in dots if dot.kind != "stray") or [dot.minutes for dot in dots]
    marks = [*(likely or ()), *([book] if book else [])]
    top = max([sound[math.ceil(WITHIN * len(sound)) - 1] if sound else 1.0, *marks]) * 1.08
    foot = min([*(dot.minutes for dot in dots), *marks], default=0.0)
    foot = foot * 0.95 if foot > 0.4 * top else 0.0
    step = _step((top - foot) / MOST_STEPS)
    low, high = math.floor(foot / step) * step, math.ceil(top / step - 1e-9) * step
    return round(low, 9), round(high, 9), step


def _step(least: float) -> float:
    """The round step, 1, 2 or 5 of some power of ten, that is not under the least."""
    power = 10.0 ** math.floor(math.log10(least))
    return next(base * power for base in (1, 2, 5, 10) if base * power >= least * (1 - 1e-9))
