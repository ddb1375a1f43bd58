"""The search for a plan: as few new bars as can be, then as little length of them as can be.

It loads NumPy and SciPy, which takes a while: import it only to search.
"""

import math
import time
from collections.abc import Sequence

from jobs.cutting.choosing import choose
from jobs.cutting.generating import TRUST, generate
from jobs.cutting.packing import packings
from jobs.cutting.patterns import MOST_PATTERNS, TooMany, all_patterns, best_fit
from jobs.cutting.plan import CuttingError
from jobs.cutting.problem import Pattern, Problem, fits, material_bound


def search(problem: Problem, *, until: float) -> tuple[list[Pattern], int]:
    """Patterns to cut, and a number of new bars that no plan can come under.

    `until` is a moment of the monotonic clock. Raises CuttingError, where the pieces can't all be cut or no way
    was found in time.
    """
    # Where there are several lengths to choose among, some time is left for choosing the shorter ones.
    cut, least, patterns = _fewest(problem, _part(until, 0.7) if len(problem.rooms) > 1 else until)
    if len(problem.rooms) > 1:
        cut = _shortest(problem, patterns, cut, until)
    return cut, least


def _fewest(problem: Problem, until: float) -> tuple[list[Pattern], int, list[Pattern]]:
    """Patterns to cut, the fewest new bars that can be, and the patterns that were chosen among."""
    if _too_little(problem):
        raise CuttingError("The bars at hand are too little for all the pieces: give more of them.")
    greedy = best_fit(problem)
    least = material_bound(problem)
    try:
        patterns, whole = all_patterns(problem), True
    except TooMany:
        patterns, whole = greedy or [], False
    if greedy is None or _new_bars(problem, greedy) > least:
        if whole:
            greedy, least = _exactly(problem, patterns, greedy, least, until)
        else:
            patterns, greedy, least = _nearly(problem, patterns, greedy, least, until)
    return greedy, least, patterns


def _too_little(problem: Problem) -> bool:
    return None not in problem.counts and problem.total > sum(
        room * (count or 0) for room, count in zip(problem.rooms, problem.counts, strict=True)
    )


def _exactly(
    problem: Problem, patterns: list[Pattern], greedy: list[Pattern] | None, least: int, until: float
) -> tuple[list[Pattern], int]:
    """With every pattern at hand, what HiGHS proves is so."""
    costs = [problem.costs[each.bar] for each in patterns]
    chosen = choose(problem, patterns, costs, until=until, new_bars=(least, math.inf))
    if chosen.impossible:
        raise CuttingError("The pieces don't all fit on the bars at hand, however they are cut: give more of them.")
    least = max(least, _whole(chosen.least))
    return _better(problem, greedy, chosen.cut), least


def _nearly(
    problem: Problem, patterns: list[Pattern], greedy: list[Pattern] | None, least: int, until: float
) -> tuple[list[Pattern], list[Pattern], int]:
    """With the good patterns only: whole plans by turns, then all their bars together as HiGHS would have them."""
    made = generate(problem, patterns, least=least, until=_part(until, 0.4))
    least, best = made.least, greedy
    patterns = made.patterns
    seen = set(patterns)
    for packed in packings(problem, until=_part(until, 0.4)):
        if best is None or _new_bars(problem, packed) < _new_bars(problem, best):
            best = packed
        if _new_bars(problem, best) <= least or len(patterns) > MOST_PATTERNS:
            break
        patterns += [each for each in dict.fromkeys(packed) if each not in seen]
        seen.update(packed)
    if best is not None and _new_bars(problem, best) <= least:
        return patterns, best, least
    costs = [problem.costs[each.bar] for each in patterns]
    chosen = choose(problem, patterns, costs, until=_part(until, 0.7), new_bars=(least, least))
    if chosen.cut is None:
        chosen = choose(problem, patterns, costs, until=until, new_bars=(least + 1, math.inf))
    return patterns, _better(problem, best, chosen.cut), least


def _part(until: float, share: float) -> float:
    """The moment at which that share of the time that is left will have gone."""
    now = time.monotonic()
    return now + share * (until - now)


def _better(problem: Problem, greedy: list[Pattern] | None, chosen: list[Pattern] | None) -> list[Pattern]:
    plans = [plan for plan in (greedy, chosen) if plan is not None]
    if not plans:
        raise CuttingError("No way to cut all the pieces was found in the time given: give more bars, or more time.")
    return min(plans, key=lambda plan: _new_bars(problem, plan))


def _new_bars(problem: Problem, cut: Sequence[Pattern]) -> int:
    return sum(problem.costs[each.bar] for each in cut)


def _whole(bound: float) -> int:
    return math.ceil(bound - TRUST) if math.isfinite(bound) else 0


def _shortest(problem: Problem, patterns: list[Pattern], cut: list[Pattern], until: float) -> list[Pattern]:
    """The same number of new bars at less length, where the time allows; each pattern on every bar that takes it."""
    rest = range(len(problem.rooms))
    tried = {Pattern(bar, each.counts) for each in (*patterns, *cut) for bar in rest if fits(problem, each.counts, bar)}
    everywhere = sorted(tried, key=lambda each: (each.bar, each.counts))
    lengths = [_length(problem, each) for each in everywhere]
    chosen = choose(problem, everywhere, lengths, until=until, new_bars=(0, _new_bars(problem, cut)))
    if chosen.cut is None:
        return cut
    return min(cut, chosen.cut, key=lambda plan: math.fsum(_length(problem, each) for each in plan))


def _length(problem: Problem, pattern: Pattern) -> float:
    """In parts of the longest bar; an offcut's counts only to choose among offcuts."""
    share = problem.lengths_nm[pattern.bar] / max(problem.lengths_nm)
    return share if problem.costs[pattern.bar] else share / 1000
