"""Makes a served shop's disk full, as far as its process can tell, and makes room again."""

import resource
from collections.abc import Iterator
from contextlib import contextmanager


@contextmanager
def no_room(process_id: int) -> Iterator[None]:
    """Meanwhile not a byte that a process writes to a file is taken: the limit is on the size that a file may have."""
    before = resource.prlimit(process_id, resource.RLIMIT_FSIZE)
    resource.prlimit(process_id, resource.RLIMIT_FSIZE, (0, before[1]))
    try:
        yield
    finally:
        resource.prlimit(process_id, resource.RLIMIT_FSIZE, before)


def write_nothing() -> None:
    """For `preexec_fn`: the command that follows can write no byte to any file."""
    resource.setrlimit(resource.RLIMIT_FSIZE, (0, resource.RLIM_INFINITY))
