"""How the backups stand, in words for pages."""

from datetime import datetime, timedelta, tzinfo

from django.http import HttpRequest

from shop.access import roles_of
from shop.asked import Asked
from shop.backup_timer import BackupTimer, running_timer


def in_words(span: timedelta) -> str:
    """A span as a person says it, rounded down: "40 minutes", "3 hours", "2 days"."""
    minutes = max(0, int(span.total_seconds() // 60))
    for unit, size in (("day", 24 * 60), ("hour", 60), ("minute", 1)):
        # 1 day is said as 24 hours, so that nothing is rounded by as much as half.
        if minutes >= 2 * size or (unit == "minute" and minutes):
            return f"{minutes // size} {unit}{'' if minutes // size == 1 else 's'}"
    return "less than a minute"


def every_in_words(every: timedelta) -> str:
    """The rounds of the clock: "every hour", "every 15 minutes", "every day"."""
    names = {timedelta(hours=1): "hour", timedelta(days=1): "day", timedelta(minutes=1): "minute"}
    return f"every {names.get(every) or in_words(every)}"


def moment_words(moment: datetime, zone: tzinfo) -> str:
    """A moment by the shop's own clock."""
    local = moment.astimezone(zone)
    return f"{local:%A} {local.day} {local:%B %Y}, {local:%H.%M}"


def how_backups_stand(*, zone: tzinfo, now: datetime) -> str:
    """One line for the list of settings."""
    timer = running_timer()
    if timer is None:
        return "none are made by the clock"
    if timer.good is None:
        return "none yet"
    return f"the last good one: {moment_words(timer.good.at, zone)}"


def late_backup(request: HttpRequest, here: Asked) -> str:
    """What the owner is warned of in the order book; "" for others, and while all is well."""
    timer = running_timer()
    if timer is None or not timer.is_late(here.now) or "owner" not in roles_of(request):
        return ""
    return late_words(timer, here.now)


def late_words(timer: BackupTimer, now: datetime) -> str:
    """What is not safe: it is worth saying, since it must be put right by hand."""
    if timer.held_at is None:
        return "The shop has no good backup."
    if timer.is_ahead(now):
        return "The shop's machine had its clock put back: how old the newest good backup is can't be told."
    return f"The shop has had no good backup for {in_words(now - timer.held_at)}."
