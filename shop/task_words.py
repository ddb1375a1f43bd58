"""What tasks wait for, in plain words, over several lots and wheels at once."""

from collections.abc import Mapping, Sequence
from datetime import datetime, tzinfo

from jobs.models import Task
from jobs.words import in_words
from jobs.work import Work

MOST_NAMED = 3


def blocked_in_words(work: Work, tasks: Sequence[Task], words: Mapping[str, str], zone: tzinfo) -> str:
    """Why none of these can be gone on with: each reason once, however many wheels share it.

    What comes before another reason is left out: who waits for the tongues waits for the spokes too.
    """
    held = False
    undone: set[int] = set()
    standing: dict[int, datetime] = {}
    for task in tasks:
        readiness = work.ready(task)
        held = held or readiness.held
        for block in readiness.blocked:
            if block.until:
                standing[block.on_operation_id] = max(block.until, standing.get(block.on_operation_id, block.until))
            else:
                undone.add(block.on_operation_id)
    implied = {earlier for key in undone for earlier in work.counts.comes_after(key)}
    nearest = sorted(undone - implied, key=lambda key: work.operations[key].position)
    said = ["on hold"] if held else []
    if nearest:
        said.append(f"waits for {_listed([_name(work, key, words) for key in nearest])}")
    for key, moment in standing.items():
        until = moment.astimezone(zone)
        said.append(f"stands after {_name(work, key, words)} until {until:%H.%M} on {until.day} {until:%B}")
    return "; ".join(said) or "its turn"


def _name(work: Work, key: int, words: Mapping[str, str]) -> str:
    name = in_words(work.operations[key].name, words)
    return f"“{name[:1].lower()}{name[1:]}”"


def _listed(names: Sequence[str]) -> str:
    if len(names) > MOST_NAMED:
        return f"{', '.join(names[:MOST_NAMED])} and {len(names) - MOST_NAMED} more"
    return " and ".join([", ".join(names[:-1]), names[-1]] if len(names) > 1 else names)
