"""Sessions that end: when nothing was asked for a while, and at the latest after a working day.

The row's `expire_date` is the nearer of the two ends. It is moved on now and then, and alone, so that most requests
write nothing and none writes back what another has changed in the session meanwhile.
"""

from datetime import UTC, datetime, timedelta
from typing import Any

from django.conf import settings
from django.contrib.auth import SESSION_KEY
from django.contrib.sessions.backends.db import SessionStore as DatabaseStore
from django.contrib.sessions.models import Session
from django.db import DatabaseError
from django.http import HttpRequest
from django.utils import timezone

from jobs.writing import writing
from shop.full_disk import is_full_disk
from shop.people import BENCH_SESSION

BEGAN = "began_at"
# The row is moved on when a twentieth of the idle time has gone: a half-hour at the bench, where a tap must be quick.
MOVED_ON_AFTER = 1 / 20


class SessionStore(DatabaseStore):
    """Django's own sessions in the database, with the ends of `settings.SESSION_ENDS`."""

    # Of a request that a page made by itself: nobody need be there, so it moves no end on.
    is_by_itself = False

    def load(self) -> dict[str, Any]:
        row: Session | None = self._get_session_from_db()  # type: ignore[attr-defined]
        if row is None:
            return {}
        data: dict[str, Any] = self.decode(row.session_data)
        end = min(row.expire_date, _end_of(data)) if self.is_by_itself else _end_of(data)
        # One that says not when it began was made by an older version, and would have no end.
        if end <= timezone.now() or (SESSION_KEY in data and BEGAN not in data):
            self._session_key = None
            return {}
        if abs(end - row.expire_date) >= _ends_of(data)[0] * MOVED_ON_AFTER:
            self._move_on(row, end)
        return data

    def _move_on(self, row: Session, end: datetime) -> None:
        """Keep the new end. On a full disk it is let be: the session stands, and pages can be read meanwhile."""
        try:
            with writing():
                Session.objects.filter(session_key=row.session_key).update(expire_date=end)
        except DatabaseError as error:
            if not is_full_disk(error):
                raise

    def get_expiry_date(self, **given: Any) -> datetime:
        """The end of the row, as it stands now."""
        return _end_of(self._session)  # type: ignore[attr-defined]

    def get_expiry_age(self, **given: Any) -> int:
        """Seconds for the cookie: the whole length, since the row alone knows of the last request."""
        return int(_ends_of(self._session)[1].total_seconds())  # type: ignore[attr-defined]


def begin(sender: type, request: HttpRequest, **given: Any) -> None:
    """Somebody has signed in: their session begins now, and those that have ended are cleared."""
    if BEGAN in request.session:  # Django keeps the key where the same person signs in once more
        request.session.cycle_key()
    request.session[BEGAN] = int(timezone.now().timestamp())
    with writing():
        SessionStore.clear_expired()


def _ends_of(data: dict[str, Any]) -> tuple[timedelta, timedelta]:
    """How long the session stands with nothing asked, and how long at most."""
    return settings.SESSION_ENDS["bench" if BENCH_SESSION in data else "desk"]


def _end_of(data: dict[str, Any]) -> datetime:
    idle, whole = _ends_of(data)
    now = timezone.now()
    began = datetime.fromtimestamp(data[BEGAN], UTC) if BEGAN in data else now
    return min(now + idle, began + whole)
