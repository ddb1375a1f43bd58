"""How much of what it began the shop has spoiled, by kind of piece, over the facts of its newest lots of new wheels."""

from django.db.models import F, Max, Q, Sum

from jobs.cutting_list import Part, Spoilt
from jobs.models import Lot, Task
from jobs.models.operations import Work

COUNTED: tuple[Part, ...] = ("hub", "spoke", "felloe")

# Thousands of spokes, hundreds of hubs: enough to tell a share by, of work as it is done now, and read in a moment.
NEWEST_LOTS = 100


def read_spoilt() -> dict[Part, Spoilt]:
    """One query, over so many lots at most, however long the shop has kept them.

    A spoiled piece is begun anew, so that the pieces begun are the most that any one operation on them has had: those
    it made and kept, and those it spoiled. Spokes and felloes begin loose: those in a wheel were counted before, but
    may be spoiled there. Repairs are left out: they work on pieces that nobody here began.
    """
    had = (F("made") - F("lost")) / F("units") + F("spoiled")
    newest = Lot.objects.filter(work=Work.NEW).order_by("-id").values("id")[:NEWEST_LOTS]
    worked = Task.objects.filter(lot__in=newest, part__kind__in=COUNTED).exclude(made=0, spoiled=0)
    by_part = worked.order_by().values("part_id", kind=F("part__kind"), place=F("part__wheel_id"))
    by_part = by_part.annotate(had=Max(had), ruined=Sum("spoiled"))
    sums: dict[str, Sum] = {}
    for kind in COUNTED:
        begins = Q(kind=kind) if kind == "hub" else Q(kind=kind, place=None)
        sums[f"{kind}_begun"] = Sum("had", filter=begins, default=0)
        sums[f"{kind}_spoiled"] = Sum("ruined", filter=Q(kind=kind), default=0)
    told = by_part.aggregate(**sums)
    return {kind: Spoilt(told[f"{kind}_begun"], told[f"{kind}_spoiled"]) for kind in COUNTED}
