"""The counts of a drawing in words, for its title and its caption."""

from collections import Counter
from collections.abc import Iterator, Mapping

from jobs.drawing.progress import IRON_STATES, IronState, WheelProgress
from jobs.makeup import MakeUp

_IRON_WORDS: dict[IronState, str] = {
    "none": "not begun",
    "making": "being made",
    "smith": "at the smith",
    "made": "made but not on",
    "on": "on",
}


def counts_in_words(makeup: MakeUp, progress: WheelProgress, *, words: Mapping[str, str]) -> str:
    """One line that says what the drawing shows, in the shop's own words."""
    return ", ".join(_phrases(makeup, progress, words))


def begun_in_words(makeup: MakeUp, progress: WheelProgress, *, words: Mapping[str, str]) -> str:
    """A shorter line for a caption, where the drawing's title has it all: only what has been begun."""
    begun = [
        phrase
        for phrase in _phrases(makeup, progress, words)
        if not phrase.endswith(" not begun") and not phrase.startswith("0 of ")
    ]
    return ", ".join(begun) or "not begun"


def _phrases(makeup: MakeUp, progress: WheelProgress, words: Mapping[str, str]) -> Iterator[str]:
    yield f"{words['hub']} {_share_in_words(progress.hub)}"
    total = len(makeup.bands)
    bands = Counter(progress.band(place) for place in range(total))
    for state in reversed(IRON_STATES):
        if total and bands[state] == total:
            yield f"{'bands' if total > 1 else 'band'} {_IRON_WORDS[state]}"
        elif bands[state]:
            yield f"{bands[state]} of {total} bands {_IRON_WORDS[state]}"
    driven = sum(progress.spoke(place) > 0 for place in range(makeup.spokes))
    yield f"{driven} of {makeup.spokes} spokes driven"
    pieces = words["felloes"] if makeup.rim == "sawn" else "half-rims"
    shares = [progress.felloe(place) for place in range(makeup.felloes)]
    offered, done = sum(share > 0 for share in shares), sum(share >= 1 for share in shares)
    if done < offered:
        yield f"{offered} of {makeup.felloes} {pieces} offered up"
    yield f"{done} of {makeup.felloes} {pieces} on"
    if makeup.tyre != "none":
        yield f"{words['tyre']} {_IRON_WORDS[progress.tyre]}"
    if makeup.box == "fitted":
        yield f"box {'fitted' if progress.box >= 1 else _share_in_words(progress.box)}"
    if makeup.coats:
        yield f"finish {_share_in_words(progress.finish)}"


def _share_in_words(share: float) -> str:
    if share >= 1:
        return "done"
    return "under way" if share > 0 else "not begun"
