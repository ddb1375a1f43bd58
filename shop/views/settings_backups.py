"""Settings: the backups that the clock makes."""

from datetime import timedelta

from django.conf import settings
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST

from shop.access import may
from shop.asked import asked
from shop.backup_timer import running_timer
from shop.backup_words import every_in_words, in_words, late_words, moment_words
from shop.keeping import RULE


@may("owner")
def backups(request: HttpRequest) -> HttpResponse:
    """The last good one, where they lie and for how long, and what went wrong last."""
    here, timer = asked(request), running_timer()
    if timer is None:
        return render(request, "shop/settings/backups.html", {"is_off": settings.BACKUP_MINUTES == 0})
    good, failure = timer.good, timer.failure
    context = {
        "timer": timer,
        "every": every_in_words(timer.every),
        "rule": RULE,
        "good_at": moment_words(good.at, here.zone) if good else "",
        # A file's name says its moment to the second, and a later round is at least a minute off.
        "held_at": moment_words(timer.held_at, here.zone)
        if timer.held_at and not (good and timer.held_at - good.at < timedelta(seconds=1))
        else "",
        "failed_at": moment_words(failure.at, here.zone) if failure else "",
        "late": late_words(timer, here.now) if timer.is_late(here.now) else "",
        "late_after": in_words(timer.late_after),
        "same_disk": timer.source.is_on_disk_of(timer.folder),
    }
    return render(request, "shop/settings/backups.html", context)


@may("owner")
@require_POST
def backup_now(request: HttpRequest) -> HttpResponse:
    """Wake the clock; the answer does not wait for it."""
    timer = running_timer()
    if timer is None:
        messages.error(request, "No backup was begun: the clock that makes them does not run.")
    else:
        timer.make_now()
        messages.success(request, "A backup is being made, if anything has changed. Open this page again in a minute.")
    return redirect("shop:backups")
