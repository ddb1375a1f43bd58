"""A bar as it is cut: each piece in its length, and what is left."""

from collections.abc import Sequence

from jobs.drawing.svg import num, svg

TALL = 14.0
MARGIN = 1.0
# A cut is drawn this wide, however thin it is.
CUT = 1.6


def draw_bar(
    length_nm: int, pieces_nm: Sequence[int], *, longest_nm: int, width: float, title: str, kind: str = "iron"
) -> str:
    """The bar at the scale at which `longest_nm` is `width` pixels long: pieces solid, what is left dashed.

    `kind` is what it is drawn as: "iron", or "hub" for a log.
    """
    scale = width / longest_nm
    body, x = [], 0.0
    for piece in pieces_nm:
        long = max(piece * scale - CUT, CUT)
        body.append(f'<path class="w-{kind} w-done" d="M{num(x)} 0h{num(long)}v{num(TALL)}h-{num(long)}z"/>')
        x += long + CUT
    if (left := length_nm * scale - x) > CUT:
        body.append(f'<path class="w-{kind} w-todo" d="M{num(x)} 0h{num(left)}v{num(TALL)}h-{num(left)}z"/>')
    box = (-MARGIN, -MARGIN, max(length_nm * scale, x) + 2 * MARGIN, TALL + 2 * MARGIN)
    return svg("".join(body), box=box, title=title, ident=None, kind="w-bar")
