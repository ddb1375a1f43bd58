"""Works the usual times out anew while `start` serves the shop, in a thread of its own, once the bench is quiet.

Where two servers run on one PostgreSQL each may do the same work; that costs time and nothing else, since the newest
fit alone is kept. A server other than `start` has no such clock.
"""

import logging
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import datetime, timedelta

from django.db import DatabaseError
from django.utils import timezone

from shop.apart import ends_well
from shop.usual_times import is_out_of_date, work_out_for_shop
from timing.forecast import WorkRefused
from timing.models import Stretch
from timing.usual import is_kept

log = logging.getLogger(__name__)

LOOK_EVERY = timedelta(minutes=1)
QUIET_FOR = timedelta(minutes=10)
# However busy the bench is, the times are never older than this behind what is known.
LATEST_AFTER = timedelta(hours=3)
RETRY_AFTER = timedelta(minutes=15)


class UsualTimer:
    """The clock that keeps one shop's usual times up to date."""

    def __init__(self, *, clock: Callable[[], datetime] = timezone.now) -> None:
        self.clock = clock
        # Since when the times are known to be out of date; None while they are not.
        self.out_since: datetime | None = None
        self._wake = threading.Event()
        self._stopping = False
        self._thread = threading.Thread(target=self._run, name="usual times", daemon=True)

    def begin(self) -> None:
        self._thread.start()

    def stop(self) -> None:
        """End the clock. A fit that is under way is let go: nothing of it is kept."""
        self._stopping = True
        self._wake.set()
        self._thread.join(1)

    def round(self) -> bool:
        """Work the times out if they are due. False for a failure, which is logged and not raised."""
        try:
            if self.is_due(self.clock()):
                work_out_for_shop(self.clock())
                self.out_since = None
        except (DatabaseError, WorkRefused, OSError) as error:
            log.error("The usual times were not worked out: %s", error)
            return False
        return True

    def is_due(self, now: datetime) -> bool:
        """Whether there is more to learn, and the bench is quiet, or has not been for hours, or nothing is kept yet."""
        last = Stretch.objects.order_by("-pk").values_list("received_at", flat=True).first()
        if not is_out_of_date():
            self.out_since = None
            return False
        if not is_kept():
            # None yet, or one of an older program, which is not read. With no facts book times need none to be kept.
            return last is not None
        # A clock that was put back leaves moments ahead of now: what they say is not known.
        if self.out_since is None or self.out_since > now:
            self.out_since = now
        is_quiet = last is None or not now - QUIET_FOR < last <= now
        return is_quiet or now - self.out_since >= LATEST_AFTER

    def _run(self) -> None:
        pause = timedelta(0)
        while not self._stopping:
            self._wake.wait(pause.total_seconds())
            if not self._stopping:
                pause = LOOK_EVERY if self._round_apart() else RETRY_AFTER

    def _round_apart(self) -> bool:
        outcome: list[bool] = []
        return ends_well(lambda: outcome.append(self.round()), name="usual times") and all(outcome)


@contextmanager
def usual_times_kept_up() -> Iterator[UsualTimer]:
    """Keep the usual times up to date meanwhile."""
    timer = UsualTimer()
    timer.begin()
    try:
        yield timer
    finally:
        timer.stop()
