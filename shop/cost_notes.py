"""What a sum of cost leaves out, in plain sentences: nothing is guessed."""

from collections.abc import Iterable, Mapping, Sequence

from jobs.durations import hours_and_minutes
from jobs.words import in_words
from shop.cost_sums import Gap
from shop.days import day_in_words


def left_out(
    untimed: Iterable[tuple[str, int]],
    gaps: Sequence[Gap],
    names: Mapping[int, str],
    words: Mapping[str, str],
    *,
    pieces: Iterable[tuple[str, int]] = (),
) -> tuple[str, ...]:
    """Sentences for untimed units, by the operation's name, and for time without a rate.

    `pieces` are those of the untimed units that were paid by the piece.
    """
    sentences = []
    for told, lack in ((untimed, "at no cost"), (pieces, "without overhead")):
        units: dict[str, int] = {}
        for name, made in told:
            units[name] = units.get(name, 0) + made
        rows = [f"{made} of “{in_words(name, words)}”" for name, made in units.items() if made]
        if rows:
            sentences.append(f"Made but not timed, so {lack} here: {', '.join(rows)}.")
    for gap in sorted(gaps, key=lambda gap: (gap.person_id is None, gap.first_on, gap.person_id or 0)):
        time = hours_and_minutes(gap.seconds)
        if gap.person_id is None:
            sentences.append(f"No overhead rate for {_days(gap)}: {time} bear none.")
        else:
            who = names.get(gap.person_id, "someone who is no hand now")
            if gap.is_pieces:
                sentences.append(
                    f"No cost rate, or no wage to set it beside, for {who} for {_days(gap)}: pieces cost what they "
                    "earned, and no more."
                )
                continue
            sentences.append(f"No cost rate for {who} for {_days(gap)}: {time} are left out.")
    return tuple(sentences)


def unpriced_material(names: Iterable[str]) -> tuple[str, ...]:
    """A sentence for each material that was issued from the rack with no price known."""
    return tuple(f"No price is known for “{name}”, so what was issued of it is at no cost here." for name in names)


def _days(gap: Gap) -> str:
    if gap.first_on == gap.last_on:
        return day_in_words(gap.first_on)
    return f"{day_in_words(gap.first_on)} to {day_in_words(gap.last_on)}"
