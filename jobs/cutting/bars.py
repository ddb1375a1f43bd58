"""The plan of the bars: offcuts first, then as few new bars as can be, then as little length of them as can be."""

import time
from collections.abc import Sequence

from jobs.cutting.plan import Piece, Plan, Stock, check_asked, check_plan
from jobs.cutting.problem import problem_of
from jobs.measures import Unit

# What a plan may take where nobody says: so much, and so much more for each piece, up to the most.
SECONDS, SECONDS_A_PIECE, MOST_SECONDS = 1.2, 0.02, 8.0


def plan_bars(
    pieces: Sequence[Piece],
    stocks: Sequence[Stock],
    *,
    kerf_nm: int = 0,
    seconds: float | None = None,
    unit: Unit = "mm",
) -> Plan:
    """Every piece on a bar, on offcuts before new bars, on the fewest new bars that were found in the time given.

    The plan says what no plan can come under. Among plans of so many new bars it looks for the least length
    of stock. Raises CuttingError, with its lengths in `unit`, where the pieces can't all be cut or no plan was
    found in time.
    """
    check_asked(pieces, stocks, kerf_nm, unit=unit)
    if not any(piece.wanted for piece in pieces):
        return Plan((), 0)
    # Half a second to load, which only who plans should wait for, and no command beside.
    from jobs.cutting.naming import bars_of
    from jobs.cutting.search import search

    problem = problem_of(pieces, stocks, kerf_nm)
    if seconds is None:
        seconds = min(MOST_SECONDS, SECONDS + SECONDS_A_PIECE * sum(problem.wanted))
    cut, least = search(problem, until=time.monotonic() + seconds)
    plan = Plan(bars_of(problem, cut, pieces, kerf_nm), least)
    check_plan(plan, pieces, stocks)
    return plan
