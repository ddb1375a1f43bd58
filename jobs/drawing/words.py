"""The counts of a drawing in words, for its title and its caption."""

from collections import Counter
from collections.abc import Iterator, Mapping

from jobs.drawing.progress import IRON_STATES, IronState, WheelProgress
from jobs.makeup import MakeUp

AS_CAME = "as it came in"
_IRON_WORDS: dict[IronState, str] = {
    "none": "not begun",
    "making": "being made",
    "smith": "at the smith",
    "made": "made but not on",
    "on": "on",
}


def counts_in_words(makeup: MakeUp, progress: WheelProgress, *, words: Mapping[str, str]) -> str:
    """One line that says what the drawing shows, in the shop's own words.

    Of an old wheel on which nothing is wanted yet it is one phrase for all of its parts.
    """
    parts = list(_parts(makeup, progress, words))
    return AS_CAME if all(came for _, came in parts) else ", ".join(phrase for phrase, _ in parts)


def begun_in_words(makeup: MakeUp, progress: WheelProgress, *, words: Mapping[str, str]) -> str:
    """A shorter line for a caption, where the drawing's title has it all: only what has been begun."""
    parts = list(_parts(makeup, progress, words))
    if all(came for _, came in parts):
        return AS_CAME
    begun = [
        phrase
        for phrase, came in parts
        if not came and not phrase.endswith(" not begun") and not phrase.startswith("0 of ")
    ]
    return ", ".join(begun) or "not begun"


def _parts(makeup: MakeUp, progress: WheelProgress, words: Mapping[str, str]) -> Iterator[tuple[str, bool]]:
    """A phrase for each part, and whether all of the part is as it came in."""
    came = progress.as_came
    yield _or_as_came(f"{words['hub']} {_share_in_words(progress.hub)}", words["hub"], came.get("hub"))
    if came.get("band"):
        yield _or_as_came("", "bands" if len(makeup.bands) > 1 else "band", came["band"])
    else:
        yield from ((phrase, False) for phrase in _bands(makeup, progress))
    driven = sum(progress.spoke(place) > 0 for place in range(makeup.spokes))
    yield _pieces(driven, makeup.spokes, came.get("spoke", 0), "spokes", "driven")
    pieces = words["felloes"] if makeup.rim == "sawn" else "half-rims"
    shares = [progress.felloe(place) for place in range(makeup.felloes)]
    offered, done = sum(share > 0 for share in shares), sum(share >= 1 for share in shares)
    if done < offered:
        yield _pieces(offered, makeup.felloes, came.get("felloe", 0), pieces, "offered up", last=False)
    yield _pieces(done, makeup.felloes, came.get("felloe", 0), pieces, "on")
    if makeup.tyre != "none":
        yield _or_as_came(f"{words['tyre']} {_IRON_WORDS[progress.tyre]}", words["tyre"], came.get("tyre"))
    if makeup.box == "fitted":
        box = f"box {'fitted' if progress.box >= 1 else _share_in_words(progress.box)}"
        yield _or_as_came(box, "box", came.get("box"))
    if makeup.coats:
        yield _or_as_came(f"finish {_share_in_words(progress.finish)}", "finish", came.get("finish"))


def _bands(makeup: MakeUp, progress: WheelProgress) -> Iterator[str]:
    total = len(makeup.bands)
    bands = Counter(progress.band(place) for place in range(total))
    for state in reversed(IRON_STATES):
        if total and bands[state] == total:
            yield f"{'bands' if total > 1 else 'band'} {_IRON_WORDS[state]}"
        elif bands[state]:
            yield f"{bands[state]} of {total} bands {_IRON_WORDS[state]}"


def _pieces(number: int, total: int, came: int, noun: str, done: str, *, last: bool = True) -> tuple[str, bool]:
    """As "9 of 14 spokes driven"; of an old wheel "1 of 4 new spokes driven, 12 as they came in"."""
    if not came:
        return f"{number} of {total} {noun} {done}", False
    if came >= total:
        return f"{noun} as they came in", True
    kept = f", {came} as {'it' if came == 1 else 'they'} came in" if last else ""
    return f"{number - came} of {total - came} new {noun} {done}{kept}", False


def _or_as_came(phrase: str, noun: str, came: int | None) -> tuple[str, bool]:
    return (f"{noun} as {'they' if noun == 'bands' else 'it'} came in", True) if came else (phrase, False)


def _share_in_words(share: float) -> str:
    if share >= 1:
        return "done"
    return "under way" if share > 0 else "not begun"
