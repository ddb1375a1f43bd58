"""Work in a thread that may die without its caller."""

import threading
from collections.abc import Callable

from django.db import connection


def ends_well(work: Callable[[], None], *, name: str) -> bool:
    """Do it in a thread of its own and wait for it. False where it broke off: Python has written the error down."""
    done = threading.Event()

    def work_and_say() -> None:
        try:
            work()
        finally:
            connection.close()  # PostgreSQL's, which was this thread's own
        done.set()

    worker = threading.Thread(target=work_and_say, name=name, daemon=True)
    worker.start()
    worker.join()
    return done.is_set()
