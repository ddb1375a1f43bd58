"""The classes and hatches that carry a piece's state, the same on every drawing.

Dashed outline: not begun. Hatched with a solid outline: under way. Solid with an outline: done. Iron is
hatched the other way while it is at the smith, and a hoop made but not yet on is an outline with a light
ground.
"""

from typing import Literal

from jobs.drawing.progress import IronState

Wood = Literal["hub", "spoke", "felloe"]

_IRON = {
    "none": 'class="w-iron w-todo"',
    "making": 'class="w-iron" fill="url(#w-hatch-iron)"',
    "smith": 'class="w-iron" fill="url(#w-hatch-smith)"',
    "made": 'class="w-iron w-made"',
    "on": 'class="w-iron w-done"',
}


def wood(kind: Wood, share: float, *, in_hand: bool = False) -> str:
    """Attributes of a wooden piece by its share of work done; the piece in hand is at least under way."""
    hand = " w-hand" if in_hand else ""
    if share >= 1:
        return f'class="w-{kind} w-done{hand}"'
    if share > 0 or in_hand:
        return f'class="w-{kind}{hand}" fill="url(#w-hatch-{kind})"'
    return f'class="w-{kind} w-todo"'


def iron(state: IronState, *, in_hand: bool = False) -> str:
    """Attributes of an iron piece; the piece in hand is at least under way."""
    if in_hand:
        state = "making" if state == "none" else state
        return _IRON[state].replace('"w-iron', '"w-iron w-hand', 1)
    return _IRON[state]


def iron_by_share(share: float) -> IronState:
    """The state of iron that is worked in the house, as a box or a flange is."""
    if share >= 1:
        return "on"
    return "making" if share > 0 else "none"
