"""A small piece in each state, for the key beside a drawing and the rows of a table."""

from typing import Literal

from jobs.drawing.progress import IronState
from jobs.drawing.states import iron, wood

SwatchKind = Literal["hub", "spoke", "felloe", "iron"]
SwatchState = Literal["todo", "doing", "done", "smith", "made"]

_IRON: dict[SwatchState, IronState] = {
    "todo": "none",
    "doing": "making",
    "smith": "smith",
    "made": "made",
    "done": "on",
}
_SHARES: dict[SwatchState, float] = {"todo": 0.0, "doing": 0.5, "done": 1.0}


def state_swatch(kind: SwatchKind, state: SwatchState) -> str:
    """A decorative SVG, 28 by 14 px, hidden from screen readers: the words beside it carry the state.

    Raises ValueError for wood at the smith.
    """
    if kind == "iron":
        attributes = iron(_IRON[state])
    elif state in _SHARES:
        attributes = wood(kind, _SHARES[state])
    else:
        raise ValueError(f"A {kind} is never {state!r}: only iron is.")
    return (
        '<svg class="w-swatch" width="28" height="14" viewBox="0 0 28 14" aria-hidden="true" focusable="false">'
        f'<path d="M1 2.2L27 1V13L1 11.8Z" {attributes}/></svg>'
    )
