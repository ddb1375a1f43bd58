"""Who may open each address of the shop. A new address needs its row here, or the suite fails."""

import uuid
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

from django.utils import timezone

from jobs.models import LibraryMakeUp, Lot, Operation, Order, Task, Trip, Wait, Wheel
from jobs.orders import place_hold
from shop.agreeing import give_notices
from shop.attendance import Told, keep
from shop.models import (
    Attendance,
    Bonus,
    Device,
    Hand,
    Issue,
    Material,
    OutputMean,
    OutputTried,
    Outwork,
    OverheadSpent,
    PayRun,
    PaySheet,
    PayTerms,
    Rate,
    Shop,
)
from shop.pay_runs import close_run, draft
from shop.people import enrol_device
from shop.quoting.actions import start_quote
from shop.stores.actions import Entry, Much, Place, buy, count, issue
from tests import factories
from timing.models import Move, Stretch
from timing.models.facts import Source
from timing.moves import MoveWish, move_pieces
from timing.record import record

NOW = datetime(2026, 3, 2, 10, 0, tzinfo=UTC)


@dataclass
class Things:
    """One of each thing that an address may name."""

    order: Order
    lot: Lot
    wheel: Wheel
    task: Task
    operation: Operation
    makeup: LibraryMakeUp
    hand: Hand
    device: Device
    iron: Task
    material: Material


def make_things(order: Order, owner: Hand, hand: Hand) -> Things:
    lot = factories.lot_of(order)
    makeup = LibraryMakeUp.from_makeup(factories.makeup(), name="Wagonette hind")
    makeup.save()
    task = factories.task(order, "rough-spoke")
    device, _ = enrol_device(name="bench 2", by=owner.user, at=NOW)
    wheel = lot.wheels.all()[0]
    iron = factories.task(order, "weld-tyre", wheel)
    ash = factories.MaterialFactory.create()
    return Things(order, lot, wheel, task, task.operation, makeup, hand, device, iron, ash)


Kwargs = Callable[[Things], Mapping[str, int | str]]


def none(things: Things) -> Mapping[str, int | str]:
    return {}


@dataclass(frozen=True)
class Address:
    """`roles` may open it; `post` says that it only takes posts, `redirects` that a plain visit leads elsewhere."""

    roles: frozenset[str]
    kwargs: Kwargs = none
    post: bool = False
    redirects: bool = False
    # What other roles get that may open such pages, where the thing is another's.
    foreign: int = 403


def of_order(things: Things) -> Mapping[str, int | str]:
    return {"number": things.order.number}


def of_customer(things: Things) -> Mapping[str, int | str]:
    return {"pk": things.order.customer_id}


def of_lot(things: Things) -> Mapping[str, int | str]:
    return {"number": things.order.number, "pk": things.lot.pk}


def of_wheel(things: Things) -> Mapping[str, int | str]:
    return {"number": things.order.number, "pk": things.wheel.pk}


def of_hold(things: Things) -> Mapping[str, int | str]:
    hold = place_hold(things.order, kind="timber", what="elm", at=NOW)
    return {"number": things.order.number, "pk": hold.pk}


def of_move(things: Things) -> Mapping[str, int | str]:
    return {"number": things.order.number, "token": str(made_move(things).token)}


def of_task(things: Things) -> Mapping[str, int | str]:
    return {"pk": things.task.pk}


def of_iron(things: Things) -> Mapping[str, int | str]:
    return {"pk": things.iron.pk}


def of_iron_made(things: Things) -> Mapping[str, int | str]:
    now = timezone.now()
    told = factories.fact(things.iron, things.hand, minutes=None, done_at=now, source=Source.LIST)
    stretch = record(told, now=now).stretch
    assert stretch is not None
    return {"pk": stretch.pk}


def of_operation(things: Things) -> Mapping[str, int | str]:
    return {"pk": things.operation.pk}


def of_operation_key(things: Things) -> Mapping[str, int | str]:
    return {"key": things.operation.key}


def of_timing(things: Things) -> Mapping[str, int | str]:
    return {"pk": own_stretch(things, things.hand).tallies.get().pk}


def of_wait(things: Things) -> Mapping[str, int | str]:
    return {"pk": Wait.objects.all()[0].pk}


def of_makeup(things: Things) -> Mapping[str, int | str]:
    return {"pk": things.makeup.pk}


def of_lot_pattern(things: Things) -> Mapping[str, int | str]:
    return {**of_lot(things), "drawing": "felloe", "form": "svg"}


def of_makeup_pattern(things: Things) -> Mapping[str, int | str]:
    return {**of_makeup(things), "drawing": "felloe", "form": "svg"}


def of_lot_paper(things: Things) -> Mapping[str, int | str]:
    return {**of_lot(things), "paper": "a4"}


def of_order_paper(things: Things) -> Mapping[str, int | str]:
    return {**of_order(things), "paper": "a4"}


def of_makeup_paper(things: Things) -> Mapping[str, int | str]:
    return {**of_makeup(things), "paper": "letter"}


def of_quote(things: Things) -> Mapping[str, int | str]:
    row = factories.WheelRow(factories.makeup(), "hind pair", ["near", "off"])
    told = {"customer": "Corbel Hall stables", "carriage": "Wagonette", "rows": [row]}
    return {"number": start_quote(token=uuid.uuid4(), by=things.hand.user, at=NOW, **told).number}  # type: ignore[arg-type]


def of_quote_paper(things: Things) -> Mapping[str, int | str]:
    return {**of_quote(things), "paper": "a4"}


def of_hand(things: Things) -> Mapping[str, int | str]:
    return {"pk": things.hand.pk}


def of_device(things: Things) -> Mapping[str, int | str]:
    return {"pk": things.device.pk}


def of_rate(things: Things) -> Mapping[str, int | str]:
    return {"kind": "cost", "pk": things.hand.pk}


def of_material(things: Things) -> Mapping[str, int | str]:
    return {"pk": things.material.pk}


def of_stretch(things: Things) -> Mapping[str, int | str]:
    return {"pk": own_stretch(things, things.hand).pk}


def of_own(things: Things) -> Mapping[str, int | str]:
    """A stretch of the hand "Osk": his own, and foreign to everyone else."""
    return {"token": str(own_stretch(things, things.hand).token)}


def of_draft(things: Things) -> Mapping[str, int | str]:
    """A quotation that is a draft."""
    row = factories.WheelRow(factories.makeup(), "hind pair", ["near_hind", "off_hind"])
    told = {"token": uuid.uuid4(), "customer": "Lettice Orme", "carriage": "gig", "rows": [row]}
    return {"number": start_quote(**told, by=things.hand.user, at=NOW).number}


def of_trip(things: Things) -> Mapping[str, int | str]:
    return {"pk": Trip.objects.create(task=things.iron, to_whom="forge", sent_at=NOW, token=uuid.uuid4()).pk}


def of_trade(things: Things) -> Mapping[str, int | str]:
    return {"trade": "painter"}


def of_outwork(things: Things) -> Mapping[str, int | str]:
    return {"pk": charged(Outwork, things, trade="smith", to_whom="forge").pk}


def of_issue(things: Things) -> Mapping[str, int | str]:
    return {"pk": charged(Issue, things).pk}


def of_overhead(things: Things) -> Mapping[str, int | str]:
    told = {"what": "rent", "amount_pence": 95_000, "on": NOW.date(), "token": uuid.uuid4()}
    return {"pk": OverheadSpent.objects.create(**told, recorded_at=NOW, recorded_by=things.hand.user).pk}


def of_purchase(things: Things) -> Mapping[str, int | str]:
    return {"pk": buy(Much(things.material, 40_000_000), entry(things, 1), paid_pence=18_000).pk}


def of_bar(things: Things) -> Mapping[str, int | str]:
    told = {"kind": "bar", "timber": "iron", "unit": "kg", "width_nm": 38_000_000, "thickness_nm": 12_000_000}
    bar, _ = Material.objects.get_or_create(name="Tyre bar", defaults=told | {"length_nm": 6_000_000_000})
    return {"pk": bar.pk}


def of_count(things: Things) -> Mapping[str, int | str]:
    return {"pk": count(Much(things.material, 40_000_000), entry(things, 3)).pk}


def of_rack_issue(things: Things) -> Mapping[str, int | str]:
    return {"pk": issue(Much(things.material, 20_000_000), entry(things, 2), place=Place(things.order)).pk}


def entry(things: Things, number: int) -> Entry:
    """Under a token of its own, so that asked for twice it is there once."""
    return Entry(uuid.UUID(int=number), NOW.date(), things.hand.user, NOW)


def charged(model: type[Outwork] | type[Issue], things: Things, **others: str) -> Outwork | Issue:
    return model.objects.create(
        order=things.order,
        what="iron",
        amount_pence=1250,
        on=NOW.date(),
        recorded_at=NOW,
        recorded_by=things.hand.user,
        token=uuid.uuid4(),
        **others,
    )


def of_touch(things: Things) -> Mapping[str, int | str]:
    return {"pk": made_touch(things.hand).pk}


def of_bonus(things: Things) -> Mapping[str, int | str]:
    user, token = things.hand.user, uuid.uuid4()
    told = {"what": "Hot days", "amount_pence": 2500, "on": NOW.date(), "recorded_at": NOW}
    return {"pk": Bonus.objects.create(hand=user, recorded_by=user, token=token, **told).pk}


def rated(things: Things) -> OutputMean:
    """Osk is paid by the piece for an operation whose mean output was tested: 24 an hour."""
    user, on = things.hand.user, {"from_on": NOW.date(), "recorded_at": NOW, "recorded_by": things.hand.user}
    PayTerms.objects.get_or_create(hand=user, by_pieces=True, hours_are_controlled=False, defaults=on)
    piece = {"kind": "piece", "operation": things.operation, "amount_millipence": 62_500}
    Rate.objects.get_or_create(**piece, defaults=on)
    told = {"basis": "all", "tried_on": NOW.date(), "token": uuid.uuid4(), **on}
    mean, is_new = OutputMean.objects.get_or_create(operation=things.operation, defaults=told)
    if is_new:
        OutputTried.objects.create(mean=mean, hand=user, pieces=24, seconds=3600)
    return mean


def of_rated(things: Things) -> Mapping[str, int | str]:
    return {"key": rated(things).operation.key}


def of_notice(things: Things) -> Mapping[str, int | str]:
    told = {"mean": rated(things), "by": things.hand.user, "at": NOW, "shop": Shop.objects.get()}
    return {"pk": give_notices(hands=[things.hand], given_on=NOW.date(), token=uuid.uuid4(), **told)[0].pk}  # type: ignore[arg-type]


def closed_sheet(things: Things) -> PaySheet:
    """A week of Osk's in which a bonus was paid."""
    monday = NOW.date()
    if not Bonus.objects.exists():
        of_bonus(things)
    Shop.objects.update(pay_first_on=monday)
    later, shop = NOW + timedelta(days=8), Shop.objects.get()
    if not PayRun.objects.exists():
        digest = draft(shop, now=later).digest
        close_run(token=uuid.uuid4(), digest=digest, shop=shop, by=things.hand.user, now=later)
    return PaySheet.objects.get(hand=things.hand.user)


def of_run(things: Things) -> Mapping[str, int | str]:
    return {"pk": closed_sheet(things).run_id}


def of_sheet(things: Things) -> Mapping[str, int | str]:
    return {"pk": closed_sheet(things).pk}


def made_touch(hand: Hand) -> Attendance:
    """A coming of a hand."""
    return keep(Told(uuid.uuid4(), hand.user_id, "came", NOW), Shop.objects.get(), now=NOW)


def own_stretch(things: Things, hand: Hand) -> Stretch:
    stretch = record(factories.fact(things.task, hand), now=NOW).stretch
    assert stretch is not None
    return stretch


def made_move(things: Things) -> Move:
    """A spoke carried to another order's lot."""
    own_stretch(things, things.hand)
    other = factories.task(factories.take_pair(), "rough-spoke")
    wish = MoveWish(uuid.uuid4(), things.task.pk, other.pk, 1, "fits", things.hand.user_id, NOW)
    return move_pieces(wish, now=NOW)[0]


ANYONE = frozenset({"anyone"})
OWNER = frozenset({"owner"})
DESK = frozenset({"owner", "desk"})
BENCH = frozenset({"owner", "desk", "hand", "bench"})
TRADES = frozenset({"owner", "desk", "hand", "bench", "smith"})

ADDRESSES: Mapping[str, Address] = {
    # The door.
    "home": Address(TRADES, redirects=True),
    "first-run": Address(ANYONE, redirects=True),
    "open-example": Address(ANYONE, post=True, redirects=True),
    "sign-in": Address(ANYONE),
    "sign-out": Address(ANYONE, post=True, redirects=True),
    # Orders.
    "order-book": Address(BENCH),
    "orders-closed": Address(BENCH),
    "order-new": Address(DESK),
    "order": Address(BENCH, of_order),
    "order-state": Address(DESK, of_order, post=True),
    "order-drop": Address(DESK, of_order),
    "order-promise": Address(DESK, of_order),
    "order-hold": Address(DESK, of_order),
    "hold-lift": Address(DESK, of_hold),
    "order-details": Address(DESK, of_order),
    "order-add": Address(DESK, of_order),
    "order-move": Address(DESK, of_order),
    "move-undo": Address(DESK, of_move, post=True),
    "lot": Address(BENCH, of_lot),
    "lot-sizes": Address(BENCH, of_lot),
    "lot-sizes-paper": Address(BENCH, of_lot_paper),
    "lot-patterns": Address(BENCH, of_lot),
    "lot-pattern": Address(BENCH, of_lot_pattern),
    "lot-change": Address(DESK, of_lot),
    "lot-pieces": Address(DESK, of_lot, redirects=True),
    "lot-spares": Address(DESK, of_lot),
    "wheel": Address(BENCH, of_wheel),
    "wheel-card": Address(BENCH, of_wheel),
    "wheel-drop": Address(DESK, of_wheel),
    "wheel-found": Address(DESK, of_wheel, redirects=True),
    "makeups": Address(BENCH),
    "makeup-new": Address(DESK),
    "makeup": Address(BENCH, of_makeup),
    "makeup-sizes": Address(BENCH, of_makeup),
    "makeup-sizes-paper": Address(BENCH, of_makeup_paper),
    "makeup-patterns": Address(BENCH, of_makeup),
    "makeup-pattern": Address(BENCH, of_makeup_pattern),
    "makeup-change": Address(DESK, of_makeup),
    "makeup-retire": Address(DESK, of_makeup, post=True),
    "makeup-timber": Address(BENCH, of_makeup),
    "makeup-timber-paper": Address(BENCH, of_makeup_paper),
    "order-timber": Address(BENCH, of_order),
    "order-timber-paper": Address(BENCH, of_order_paper),
    "timber": Address(BENCH),
    # Quotations.
    "quotes": Address(DESK),
    "quote-new": Address(DESK),
    "quote": Address(DESK, of_draft),
    "quote-price": Address(DESK, of_draft, post=True),
    "quote-figures": Address(DESK, of_draft, post=True),
    "quote-wheels": Address(DESK, of_draft),
    "quote-terms": Address(DESK, of_draft),
    "quote-items": Address(DESK, of_draft),
    "quote-what-if": Address(DESK, of_draft),
    "quote-send": Address(DESK, of_draft, post=True),
    "quote-accept": Address(DESK, of_draft, post=True),
    "quote-refuse": Address(DESK, of_draft, post=True),
    "quote-revise": Address(DESK, of_draft, post=True),
    "quote-give-up": Address(DESK, of_draft, post=True),
    "quote-take-out": Address(DESK, of_draft, post=True),
    # The bench.
    "bench": Address(ANYONE),
    "bench-come-in": Address(ANYONE, of_hand, redirects=True),
    "bench-leave": Address(BENCH, post=True),
    "bench-jobs": Address(BENCH),
    "bench-start": Address(BENCH, post=True),
    "bench-pause": Address(BENCH, post=True),
    "bench-go-on": Address(BENCH, post=True),
    "bench-job": Address(BENCH, redirects=True),
    "bench-number": Address(BENCH, redirects=True),
    "bench-spoiled": Address(BENCH, redirects=True),
    "bench-helpers": Address(BENCH, redirects=True),
    "bench-fact": Address(BENCH, post=True),
    "bench-undo": Address(BENCH, post=True),
    "bench-kept": Address(BENCH),
    "bench-worker": Address(ANYONE),
    "bench-here": Address(BENCH),
    "bench-here-tell": Address(BENCH, post=True),
    "bench-pay": Address(BENCH),
    # At the bench everyone is asked for the PIN first, whosever sheet it is.
    "bench-pay-sheet": Address(frozenset({"hand", "bench"}), of_sheet, foreign=404),
    "bench-told": Address(BENCH),
    "bench-notice": Address(frozenset({"hand", "bench"}), of_notice, foreign=404),
    "bench-notice-paper": Address(
        frozenset({"hand", "bench"}), lambda things: {**of_notice(things), "paper": "a4"}, foreign=404
    ),
    "bench-mine": Address(BENCH),
    "bench-correct": Address(frozenset({"hand"}), of_own, foreign=404),
    "bench-dispute": Address(frozenset({"hand"}), of_own, foreign=404),
    # The smith and other trades.
    "smith": Address(TRADES),
    "hot-day": Address(TRADES),
    "hot-day-paper": Address(TRADES, lambda things: {"paper": "letter"}),
    "order-iron": Address(TRADES, of_order),
    "order-iron-paper": Address(TRADES, of_order_paper),
    "order-cutting": Address(TRADES, of_order),
    "trade": Address(BENCH, of_trade),
    "trade-piece": Address(TRADES, of_iron),
    "trade-send": Address(TRADES, of_iron, post=True),
    "trade-made": Address(TRADES, of_iron, post=True),
    "trade-back": Address(TRADES, of_trip, post=True),
    # What another hand told is the desk's to undo, or theirs.
    "trade-undo": Address(DESK | {"hand"}, of_iron_made, post=True),
    "as-made": Address(TRADES, of_wheel),
    # Quotations.
    "quote-paper": Address(DESK, of_quote_paper),
    "alterations": Address(DESK, of_order),
    "outcome": Address(DESK, of_order),
    "quotes-held": Address(DESK),
    "alteration-add": Address(DESK, of_order),
    "alteration-change": Address(DESK, of_lot),
    # Money and books.
    "cost": Address(DESK, of_order),
    "outwork-new": Address(DESK, of_order),
    "issue-new": Address(DESK, of_order),
    "outwork-take-back": Address(DESK, of_outwork),
    "issue-take-back": Address(DESK, of_issue),
    "from-rack": Address(DESK, of_order),
    "issue-plan": Address(DESK, of_order, post=True),
    "back-to-rack": Address(DESK, of_rack_issue),
    "task-facts": Address(DESK, of_task),
    "day-book": Address(DESK),
    "day-book-csv": Address(DESK),
    "costs": Address(OWNER),
    "overhead-new": Address(OWNER),
    "overhead-take-back": Address(OWNER, of_overhead),
    "work-in-progress": Address(OWNER),
    "work-in-progress-csv": Address(OWNER),
    "put-right": Address(OWNER, of_stretch),
    "day-book-undo": Address(OWNER, of_stretch, post=True),
    # Stores.
    "stores": Address(BENCH),
    "material-stock": Address(BENCH, of_material),
    "purchase-new": Address(DESK, of_material),
    "stock-count": Address(DESK, of_material),
    "material-offcuts": Address(DESK, of_bar),
    "purchase-take-back": Address(DESK, of_purchase),
    "count-take-back": Address(DESK, of_count),
    # Times.
    "times": Address(BENCH),
    "times-work-out": Address(DESK, post=True),
    "operation-times": Address(BENCH, of_operation_key),
    "book-time": Address(OWNER, of_operation_key, post=True),
    "timing-verdict": Address(DESK, of_timing, post=True),
    "makeup-pace": Address(BENCH, of_makeup),
    "lot-pace": Address(BENCH, of_lot),
    # Hours and pay.
    "attendance": Address(DESK),
    "attendance-new": Address(DESK),
    "attendance-right": Address(DESK, of_touch),
    "attendance-undo": Address(DESK, of_touch, post=True),
    "pay-runs": Address(OWNER),
    "pay-close": Address(OWNER, post=True),
    "pay-run": Address(OWNER, of_run),
    "pay-run-csv": Address(OWNER, of_run),
    "pay-sheet": Address(OWNER, of_sheet),
    "pay-sheet-paper": Address(OWNER, lambda things: {**of_sheet(things), "paper": "a4"}),
    "piece-rate": Address(OWNER, of_operation_key),
    "piece-output": Address(OWNER, of_rated),
    "piece-output-test": Address(OWNER, of_operation_key),
    "piece-output-estimate": Address(OWNER, of_rated),
    "piece-output-end": Address(OWNER, of_rated),
    "piece-notice": Address(OWNER, of_rated),
    "output-notice": Address(OWNER, of_notice),
    "output-notice-paper": Address(OWNER, lambda things: {**of_notice(things), "paper": "a4"}),
    "passing": Address(OWNER),
    "bonuses": Address(OWNER),
    "bonus-take-back": Address(OWNER, of_bonus),
    # Settings.
    "settings": Address(OWNER),
    "settings-shop": Address(OWNER),
    "words": Address(OWNER),
    "hands": Address(OWNER),
    "hand-new": Address(OWNER),
    "hand": Address(OWNER, of_hand),
    "hand-pin": Address(OWNER, of_hand, post=True),
    "hand-password": Address(OWNER, of_hand, post=True),
    "hand-left": Address(OWNER, of_hand, post=True),
    "devices": Address(OWNER),
    "device-revoke": Address(OWNER, of_device, post=True),
    "backups": Address(OWNER),
    "backup-now": Address(OWNER, post=True),
    "rates": Address(OWNER),
    "rate-overhead": Address(OWNER),
    "rate": Address(OWNER, of_rate),
    "settings-pay": Address(OWNER),
    "pay-terms": Address(OWNER, of_hand),
    "overtime-agreed": Address(OWNER, of_hand),
    "materials": Address(OWNER),
    "allowances": Address(OWNER),
    "material-new": Address(OWNER),
    "material": Address(OWNER, of_material),
    "material-retire": Address(OWNER, of_material, post=True),
    "operations": Address(OWNER),
    "operation-new": Address(OWNER),
    "operation": Address(OWNER, of_operation),
    "operation-retire": Address(OWNER, of_operation, post=True),
    "operation-restore": Address(OWNER, of_operation, post=True),
    "wait-add": Address(OWNER, of_operation, post=True),
    "wait-drop": Address(OWNER, of_wait, post=True),
    "changes": Address(OWNER),
    "inspector": Address(OWNER),
    "inspector-file": Address(OWNER),
    "records": Address(OWNER),
    "records-hand": Address(OWNER, of_hand),
    "records-customers": Address(OWNER),
    "records-customer": Address(OWNER, of_customer),
}
