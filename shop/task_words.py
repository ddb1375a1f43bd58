"""What tasks wait for, in plain words, over several lots and wheels at once."""

from collections.abc import Mapping, Sequence
from datetime import tzinfo

from jobs.counts import Blocked
from jobs.models import Task
from jobs.words import in_words
from jobs.work import Work

MOST_REASONS = 3


def blocked_in_words(work: Work, tasks: Sequence[Task], words: Mapping[str, str], zone: tzinfo) -> list[str]:
    """Why none of these can be gone on with: each reason once, however many wheels share it."""
    reasons: dict[str, None] = {}
    for task in tasks:
        readiness = work.ready(task)
        if readiness.held:
            reasons["on hold"] = None
        for block in readiness.blocked:
            reasons[_block_in_words(work, block, words, zone)] = None
    said = list(reasons)
    if len(said) > MOST_REASONS:
        said = [*said[:MOST_REASONS], f"and {len(said) - MOST_REASONS} more"]
    return said or ["its turn"]


def _block_in_words(work: Work, block: Blocked, words: Mapping[str, str], zone: tzinfo) -> str:
    name = in_words(work.operations[block.on_operation_id].name, words)
    name = name[:1].lower() + name[1:]
    if block.until:
        until = block.until.astimezone(zone)
        return f"stands after “{name}” until {until:%H.%M} on {until.day} {until:%B}"
    return f"waits for “{name}”"
