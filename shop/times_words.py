"""Minutes, shares and spans of them in words, for the pages of times."""

from jobs.durations import minutes_of

# From so many minutes on, tenths of them say nothing.
WHOLE_FROM = 30
EVEN = 0.005


def minutes_shown(minutes: float) -> str:
    """Minutes as a person says them: to a tenth under half an hour, whole from there on."""
    return minutes_of(minutes * 60) if minutes < WHOLE_FROM else f"{round(minutes):,}"


def span(low: float, high: float) -> str:
    """A range in minutes: "7.9 to 12.3"; of one figure where both ends are shown alike."""
    shown = minutes_shown(low), minutes_shown(high)
    return shown[0] if shown[0] == shown[1] else f"{shown[0]} to {shown[1]}"


def longer_in_words(share: float) -> str:
    """How much longer: "8 % longer", "3 % shorter", "as long"."""
    if abs(share) < EVEN:
        return "as long"
    return f"{abs(share) * 100:.0f} % {'longer' if share > 0 else 'shorter'}"


def counted(number: int, one: str, many: str = "") -> str:
    """A count with its noun: "1 order", "1,204 timings"."""
    return f"{number:,} {one if number == 1 else many or f'{one}s'}"


def pieces_shown(pieces: float) -> str:
    """Pieces of a run, which may be parts of one in an old book."""
    return f"{pieces:,.0f}" if pieces == int(pieces) else f"{pieces:,.1f}"


def hours_shown(minutes: float) -> str:
    """Hours of work to a tenth, "24.6 h"; under an hour in minutes."""
    return f"{round(minutes)} min" if minutes < 59.5 else f"{minutes / 60:,.1f} h"


def hours_span(low: float, high: float) -> str:
    """A range in hours, with the unit once where both ends have it."""
    first, last = hours_shown(low), hours_shown(high)
    if first == last:
        return first
    unit = last.rpartition(" ")[2]
    return f"{first.removesuffix(f' {unit}')} to {last}"
