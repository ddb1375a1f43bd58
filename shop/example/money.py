"""Rates, outwork, materials and overhead of the example shop. Every amount is invented."""

import uuid
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from fractions import Fraction
from zoneinfo import ZoneInfo

from django.contrib.auth.models import User

from jobs.makeup import MakeUp
from jobs.models import Operation, Trip
from jobs.models.operations import Work
from shop.example.people import SMITH
from shop.example.taking import TOKENS, LotWork, OrderWork
from shop.models import Hand, Issue, Outwork, OverheadSpent, Rate
from shop.money import round_half_up

# Pence an hour at first and after the rise half way: what it costs the shop, and what the hand is paid.
COST = {"Osk": (2310, 2420), "Idris": (2090, 2190), "Maud": (2245, 2350), "Nell": (2150, 2255), "Pip": (1105, 1240)}
WAGE = {"Osk": (1790, 1880), "Idris": (1610, 1690), "Maud": (1735, 1820), "Nell": (1660, 1745), "Pip": (855, 960)}
SMITH_IN_THE_YARD = (3400, 3600)
OWNER_AND_DESK = {"Wren": (2600, 2700), "Tamsin": (1950, 2050)}
OVERHEAD = (845, 910)
PIECE_RATES = {"shave-spoke": 310, "chop-mortise": 265, "saw-felloe": 240}
RISE_AFTER = timedelta(weeks=30)

# Pence: what the smith asks for a piece welded at his own forge, by operation, before and after 1 1/2 in of width.
FORGE = {"weld-tyre": (4800, 6900), "weld-channel": (7200, 8600), "cut-and-weld": (3600, 4900)}
BROAD_NM = 45_000_000

# Iron's is as that of mild steel, EN 1993-1-2, 3.2.2 (from memory); the price is invented.
IRON_KG_A_CUBIC_METRE, IRON_PENCE_A_KG = 7850, 190
PI = Fraction(355, 113)
CUBIC_METRE_NM3 = 10**27

# Pence of overhead that the shop pays each month, and by how much more in the winter.
OVERHEADS = {"Rent": (62_000, 0), "Light, heat and coal": (9_400, 14_800), "Insurance": (9_650, 0)}
OVERHEADS |= {"Desk and book-keeping": (48_000, 0), "Tools and sharpening stones": (6_700, 0)}
WINTER = (11, 12, 1, 2, 3)
PAID_ON = 27


def enter_rates(hands: Mapping[str, Hand], *, first: date, by: User, zone: ZoneInfo) -> None:
    """What an hour and a piece cost from a day on, with a rise half way."""
    operations = {row.key: row for row in Operation.objects.filter(key__in=PIECE_RATES)}
    rates = []
    for after, index in ((timedelta(), 0), (RISE_AFTER, 1)):
        day = first + after
        common = {
            "from_on": day,
            "recorded_at": datetime(day.year, day.month, day.day, 9, tzinfo=zone),
            "recorded_by": by,
        }

        def rate(kind: str, pence: int, common: Mapping[str, object] = common, **subject: object) -> Rate:
            return Rate(kind=kind, amount_millipence=pence * 1000, **common, **subject)

        costs = COST | OWNER_AND_DESK | {SMITH: SMITH_IN_THE_YARD}
        rates += [rate(Rate.Kind.COST, pence[index], hand=hands[name].user) for name, pence in costs.items()]
        rates += [rate(Rate.Kind.WAGE, pence[index], hand=hands[name].user) for name, pence in WAGE.items()]
        rates.append(rate(Rate.Kind.OVERHEAD, OVERHEAD[index]))
        if index == 0:
            rates += [rate(Rate.Kind.PIECE, pence, operation=operations[key]) for key, pence in PIECE_RATES.items()]
    Rate.objects.bulk_create(rates)


def enter_overheads(*, first: date, by: User, zone: ZoneInfo, until: datetime) -> None:
    """What the shop paid month by month that no wheel is charged with, up to the morning of `until`."""
    months = [first.replace(day=1)]
    while months[-1] < until.date():
        months.append((months[-1] + timedelta(days=31)).replace(day=1))
    days = [month.replace(day=PAID_ON) for month in months]
    OverheadSpent.objects.bulk_create(
        OverheadSpent(
            what=what,
            amount_pence=always + (winter if day.month in WINTER else 0),
            on=day,
            recorded_at=datetime(day.year, day.month, day.day, 17, tzinfo=zone),
            recorded_by=by,
            token=uuid.uuid5(TOKENS, f"overhead {day} {what}"),
        )
        for day in days
        if first <= day < until.date()
        for what, (always, winter) in OVERHEADS.items()
    )


@dataclass(frozen=True, slots=True)
class Bought:
    """Material of a lot: what, and its pence a wheel."""

    what: str
    pence: int


def enter_charges(
    works: Sequence[OrderWork], trips: Iterable[Trip], *, by: User, zone: ZoneInfo, until: datetime, rack_from: date
) -> None:
    """The smith's prices for what came back, and the materials of what was begun; from a day on the rack gives most."""
    jobs = {job.task_id: job for work in works for job in work.jobs}
    outwork = []
    for trip in trips:
        if trip.back_at is None:
            continue
        job = jobs[trip.task_id]
        narrow, broad = FORGE[job.key]
        outwork.append(
            Outwork(
                trade="smith",
                to_whom=trip.to_whom,
                what="Old tyre cut and welded" if job.key == "cut-and-weld" else "Bent and welded at his forge",
                order=job.lot.order.order,
                lot=job.lot.lot,
                wheel_id=job.wheel_id,
                task_id=job.task_id,
                trip=trip,
                amount_pence=broad if job.lot.makeup.tyre_width_nm > BROAD_NM else narrow,
                on=trip.back_at.astimezone(zone).date(),
                recorded_at=trip.back_at,
                recorded_by=by,
                token=uuid.uuid5(trip.token, "price"),
            )
        )
    Outwork.objects.bulk_create(outwork)
    Issue.objects.bulk_create(_issues(works, by, zone, until, rack_from))


def _issues(works: Sequence[OrderWork], by: User, zone: ZoneInfo, until: datetime, rack_from: date) -> list[Issue]:
    issues = []
    for work in works:
        begun = min((job.last_at for job in work.jobs if job.last_at), default=None)
        if begun is None or begun >= until:
            continue
        for lot in work.lots:
            issues += [
                _issue(work, lot, bought, begun, by, zone)
                for bought in _bought(lot, from_rack=begun.date() >= rack_from)
            ]
        if len(work.lots) > 1:
            issues.append(_issue(work, None, Bought("Carriage of the timber", 4550), begun, by, zone))
    return issues


def _issue(work: OrderWork, lot: LotWork | None, bought: Bought, begun: datetime, by: User, zone: ZoneInfo) -> Issue:
    place = f"{work.order.number} {work.lots.index(lot) if lot else 'order'} {bought.what}"
    return Issue(
        order=work.order,
        lot=lot.lot if lot else None,
        what=bought.what,
        amount_pence=bought.pence * (lot.wheels if lot else 1),
        on=begun.date(),
        recorded_at=begun.replace(tzinfo=zone),
        recorded_by=by,
        token=uuid.uuid5(TOKENS, f"issue {place}"),
    )


def _bought(lot: LotWork, *, from_rack: bool) -> list[Bought]:
    """Timber and iron, by what is made new: spokes at 3.40, felloes at 6.15, iron by its weight.

    What the rack gives new wheels is not among them.
    """
    makeup, work = lot.makeup, lot.lot.work
    bar = Bought("Tyre bar", tyre_bar_pence(makeup))
    if work == Work.NEW and from_rack:
        return [Bought("Paint and varnish", 290 * makeup.coats)]
    if work == Work.NEW:
        bought = [
            Bought(f"{makeup.spoke_timber.capitalize()} for spokes", 340 * makeup.spokes),
            Bought(f"{makeup.felloe_timber.capitalize()} for the rims", 615 * makeup.felloes),
            Bought("Paint and varnish", 290 * makeup.coats),
        ]
        if makeup.hub == "wood":
            bought.append(Bought(f"{makeup.hub_timber.capitalize()} for hubs", 2850))
        if makeup.tyre == "iron":
            bought.append(bar)
        return bought
    if work == Work.RETYRE:
        return [bar] if lot.jobs and any(job.is_found for job in lot.jobs) else []
    return [Bought("Ash for felloes", 1845)] if work == Work.NEW_FELLOES and any(j.is_found for j in lot.jobs) else []


def tyre_bar_pence(makeup: MakeUp) -> int:
    """The iron of one tyre in pence, exact and rounded half up: its mean circumference, its section, its weight."""
    mean_diameter_nm = makeup.tyre_diameter_nm - makeup.tyre_thickness_nm
    volume_nm3 = PI * mean_diameter_nm * makeup.tyre_width_nm * makeup.tyre_thickness_nm
    return round_half_up(volume_nm3 / CUBIC_METRE_NM3 * IRON_KG_A_CUBIC_METRE * IRON_PENCE_A_KG)
