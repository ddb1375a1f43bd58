"""Hot iron and the fire after it: the published times and distances. Local rules and the insurer's come first."""

from jobs.measures import NM_PER_FOOT

# 29 CFR 1910.252 (a)(2)(iii)(B), United States: at least half an hour after the work is done.
LEAST_WATCH_MINUTES = 30
# NFPA 51B: half an hour in 2014, an hour since 2019, and up to three more looked in on where the permit says so.
USUAL_WATCH_MINUTES = 60
LOOKED_IN_ON_HOURS = 3
LONGEST_WATCH_MINUTES = 24 * 60
# Summaries of 29 CFR 1910.252: what burns is moved away, or covered, within so far.
CLEAR_NM = 35 * NM_PER_FOOT


def watch_warning(minutes: int) -> str:
    """What is to be said of a fire watch of so many minutes: nothing, where it is long enough by every rule here."""
    if minutes < LEAST_WATCH_MINUTES:
        return (
            f"{minutes} minutes is under the {LEAST_WATCH_MINUTES} that United States rules ask for at the least "
            "(29 CFR 1910.252)."
        )
    if minutes < USUAL_WATCH_MINUTES:
        return f"{minutes} minutes is under the {USUAL_WATCH_MINUTES} that NFPA 51B asks for since 2019."
    return ""
