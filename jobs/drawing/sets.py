"""The wheels of one order at one scale, standing on one ground line."""

from collections.abc import Sequence

from jobs.drawing.progress import WheelProgress
from jobs.drawing.small import draw_small
from jobs.drawing.wheel import MARGIN, draw_wheel
from jobs.makeup import MakeUp

# Below this height over all, in pixels, the largest wheel of a set is drawn in small.
SMALL_BELOW = 120.0


def draw_set(
    wheels: Sequence[tuple[MakeUp, WheelProgress, str]],
    *,
    width: float,
    height: float = 240.0,
    gap: float = 12.0,
    ident: str | None = None,
) -> list[str]:
    """One SVG a wheel (make-up, progress, title), in order, all at the largest scale that fits.

    Side by side with `gap` between them they take at most `width` pixels, the largest at most `height`. Each
    ends at the ground, so a row aligned at its lower edge stands them on one line. `ident` becomes `ident-1`,
    `ident-2`, …
    """
    if not wheels:
        return []
    scale = set_scale([makeup for makeup, _, _ in wheels], width=width, height=height, gap=gap)
    tallest = max(makeup.tyre_diameter_nm for makeup, _, _ in wheels) / 1_000_000 * scale
    draw = draw_small if tallest < SMALL_BELOW else draw_wheel
    return [
        draw(makeup, progress, scale=scale, title=title, ident=None if ident is None else f"{ident}-{place}")
        for place, (makeup, progress, title) in enumerate(wheels, start=1)
    ]


def set_scale(makeups: Sequence[MakeUp], *, width: float, height: float, gap: float = 12.0) -> float:
    """Pixels to the millimetre at which these wheels fit side by side in `width` and `height` pixels."""
    millimetres = [makeup.tyre_diameter_nm / 1_000_000 for makeup in makeups]
    across = width - gap * (len(millimetres) - 1) - 2 * MARGIN * len(millimetres)
    if across <= 0 or height <= 2 * MARGIN:
        raise ValueError(f"{len(millimetres)} wheels do not fit in {width:g} by {height:g} pixels.")
    return min(across / sum(millimetres), (height - 2 * MARGIN) / max(millimetres))
