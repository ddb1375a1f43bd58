"""What must hold after any request at all, and after many."""

from django.http import HttpResponse
from django.test import Client

from tests.fuzz.world import World
from tests.written import Written, written
from timing.recount import find_faults

ANSWERS = {200, 204, 302, 303, 400, 403, 404, 405, 409, 413, 415, 422, 429}
# What owners are told of: each change of one of these leaves one line of who changed it.
TOLD = {
    *("shop_rate", "shop_material", "shop_outwork", "shop_issue", "shop_hand", "shop_device", "shop_shop"),
    *("jobs_operation", "jobs_wait", "jobs_promise", "auth_user"),
    *("shop_payterms", "shop_bonus", "shop_payrun", "shop_overheadspent"),
    *("shop_outputmean", "shop_outputnotice", "shop_overtimeagreement"),
}
# An order that is taken brings the first day promised with it.
TAKING = ("jobs_order", "INSERT")


def faults_of(answer: HttpResponse, *, method: str) -> list[str]:
    """What is wrong with how one request was answered, and with what it left written."""
    left = written()
    found = []
    if answer.status_code not in ANSWERS:
        found.append(f"answered {answer.status_code}")
    if answer.status_code >= 400 and left:
        found.append(f"was refused with {answer.status_code} and left written {dict(left)}")
    if method == "GET" and left:
        found.append(f"was only asked, and wrote {dict(left)}")
    if answer.status_code < 400:
        found += _told(left)
    return found


def _told(left: Written) -> list[str]:
    """Whether a change that owners are told of left its one line, and nothing else did."""
    changed = {name for name, _ in left} & TOLD
    if left[TAKING]:
        changed.discard("jobs_promise")
    lines = left["shop_auditline", "INSERT"]
    if lines != (1 if changed else 0):
        return [f"left {lines} lines of who changed {sorted(changed) or 'nothing'}"]
    return []


def faults_after(world: World, *, look: bool) -> list[str]:
    """What is wrong with the shop after many requests: counters that are off, and pages that no longer open."""
    found = [f"miscounted: {fault.sentence}" for fault in find_faults()]
    for (role, _), path in world.pages.items() if look else ():
        answer = _open(world.client(role), path)
        if answer.status_code not in ANSWERS:
            found.append(f"{path} answers {answer.status_code} to {role}")
    return found


def _open(client: Client, path: str) -> HttpResponse:
    return client.get(path)
