"""A small invented shop with one of everything that its tables can hold, told through the shop's own actions."""

import uuid
from datetime import UTC, date, datetime, time, timedelta

from django.contrib.auth.models import User

from jobs.as_made import write_down
from jobs.changes import change_makeup, drop_wheel
from jobs.found import Found, leave_found_out, list_found
from jobs.models import Hold, Lot, Operation, Order, Task, Wheel
from jobs.models.operations import Work
from jobs.orders import WheelRow, lift_hold, place_hold, promise, set_state, take_order
from jobs.starting import start_library, start_operations
from shop.charges import Charge, add_issue, add_outwork, take_back
from shop.materials import add_material
from shop.models import Hand, Issue, Outwork, Rate, Shop
from shop.people import add_hand, enrol_device, set_left, set_password
from shop.pins import set_pin
from shop.rates_written import record_rate
from shop.trade_acts import Made, bring_back, say_made, send
from tests.factories import IN, fact, makeup, task
from timing.clock import set_clock
from timing.facts import Cancel, Fact
from timing.models import Stretch
from timing.moves import MoveWish, cancel_move, move_pieces
from timing.record import cancel, record

NOW = datetime(2026, 3, 2, 10, 0, tzinfo=UTC)
TODAY = NOW.date()
OWNER, PASSWORD = "Hazel", "landed-owner"


def token(name: str) -> uuid.UUID:
    """The same each time that the story is told."""
    return uuid.uuid5(uuid.NAMESPACE_DNS, f"{name}.mill-end.invalid")


def tell() -> None:
    """Tell it into a database with empty tables."""
    start_operations()
    start_library()
    Shop.objects.create(
        name="Mill End Wheel Shop",
        word_hub="nave",
        word_hubs="naves",
        dinner_from=time(12),
        dinner_to=time(12, 45),
        smith_days=[3],
        smith_name="Ferris",
    )
    people = take_on()
    pair = take_pair(people["Hazel"].user)
    work_on_spokes(pair, people)
    change_hind(pair, people)
    send_iron(pair, people)
    pay(pair, people["Hazel"].user)
    look_over_a_repair(people)
    drop_an_order()
    buy_ash(people["Hazel"].user)


def take_on() -> dict[str, Hand]:
    roles = {"Hazel": "owner", "Wilf": "desk", "Ansel": "hand", "Jory": "hand", "Ferris": "smith"}
    hands = {
        name: add_hand(name=name, role=role, trade="smith" if role == "smith" else "bench", apprentice=name == "Jory")
        for name, role in roles.items()
    }
    set_password(hands[OWNER], PASSWORD)
    set_pin(hands["Ansel"], "5150")
    set_left(add_hand(name="Corwin", role="hand", trade="painter", apprentice=False), date(2026, 2, 27))
    by = hands[OWNER].user
    enrol_device(name="tablet at the vice", by=by, at=NOW)
    on = date(2026, 1, 1)
    for name, pence in {"Ansel": 2200, "Jory": 1100, "Ferris": 3300}.items():
        record_rate(
            kind=Rate.Kind.COST, amount_millipence=pence * 1000, from_on=on, at=NOW, by=by, hand=hands[name].user
        )
    record_rate(kind=Rate.Kind.OVERHEAD, amount_millipence=800_000, from_on=on, at=NOW, by=by)
    record_rate(kind=Rate.Kind.OVERHEAD, amount_millipence=840_000, from_on=on, at=NOW, by=by)
    shave = Operation.objects.get(key="shave-spoke")
    record_rate(kind=Rate.Kind.PIECE, amount_millipence=310_000, from_on=on, at=NOW, by=by, operation=shave)
    return hands


def take_pair(by: User) -> Order:
    order = take_order(
        token=token("pair"),
        customer="Thornbury livery yard",
        contact="01632 960144",
        carriage="Gig",
        rows=[WheelRow(makeup(), "hind pair", ["near_hind", "off_hind"], spare_spokes=1)],
        due_on=date(2026, 4, 10),
        taken_on=date(2026, 2, 16),
        note="Old wheels come back for their boxes.",
        by=by,
    )
    promise(order, date(2026, 4, 17), reason="timber came late", told_on=TODAY, by=by)
    timber = place_hold(order, kind=Hold.Kind.TIMBER, what="elm for naves", at=NOW, expected_on=date(2026, 3, 9))
    lift_hold(timber, at=NOW + timedelta(days=1))
    place_hold(order, kind=Hold.Kind.GOODS, what="boxes", at=NOW, lot=order.lots.get())
    return order


def did(name: str, one: Task, hand: Hand, **changes: object) -> Stretch:
    stretch = record(fact(one, hand, token=token(name), **changes), now=NOW).stretch  # type: ignore[arg-type]
    assert stretch is not None
    return stretch


def work_on_spokes(order: Order, people: dict[str, Hand]) -> None:
    """Pieces by tap, by number and without a clock; a spoiled one, a cancel, a cancel that came first; a break."""
    ansel, jory = people["Ansel"], people["Jory"]
    rough, shave = task(order, "rough-spoke"), task(order, "shave-spoke")
    did("roughed", rough, ansel, made=12, minutes=96, helper_ids=(jory.user_id,))
    did("untimed", rough, jory, made=3, minutes=None)
    for piece in ("first", "second", "third"):
        did(piece, shave, ansel)
    spoiled = fact(shave, ansel).yields[0]
    yields = (type(spoiled)(made=0, spoiled=1, lost=0, reason="timber", lot_id=spoiled.lot_id),)
    did("split", shave, ansel, yields=yields)
    did("twice", shave, ansel)
    cancel(Cancel(token("undone"), token("twice"), ansel.user_id, NOW), now=NOW)
    cancel(Cancel(token("early"), token("never-came"), ansel.user_id, NOW), now=NOW)
    record(
        Fact(token("swept"), jory.user_id, NOW, kind="shop", started_at=NOW - timedelta(minutes=20), note="swept"),
        now=NOW,
    )
    set_clock(ansel.user_id, now=NOW, started_at=NOW, task=shave)
    set_state(order, Order.State.IN_HAND, on=TODAY)


def change_hind(order: Order, people: dict[str, Hand]) -> None:
    """The off wheel is to have a wider tyre: another lot, two spokes carried over, and one carried and carried back."""
    wheel = order.lots.get().wheels.get(place="off_hind")
    source = task(order, "shave-spoke")
    broad = makeup(tyre_width_nm=2 * IN, stagger_nm=IN // 2, box_large_nm=3 * IN, draw_nm=IN // 2)
    lot = change_makeup([wheel], broad, name="off hind, broad", at=NOW)
    target = lot.tasks.get(operation=source.operation_id)
    hand_id = people["Wilf"].user_id
    for name in ("carried", "carried-in-error"):
        move_pieces(MoveWish(token(name), source.pk, target.pk, 1, "fits", hand_id, NOW), now=NOW)
    cancel_move(token("carried-in-error"), cancel_token=token("carried-back"), hand_id=hand_id, now=NOW)


def send_iron(order: Order, people: dict[str, Hand]) -> None:
    """A hoop that is away, and one that came back with its price."""
    near, off = (lot.tasks.get(operation__key="weld-tyre", dropped_at=None) for lot in order.lots.order_by("pk"))
    ferris, by = people["Ferris"], people[OWNER].user
    to_whom = "Ferris, Lower Forge"
    send(near, token=token("away"), to_whom=to_whom, expected_on=date(2026, 3, 5), pieces=1, at=NOW)
    trip = send(off, token=token("there"), to_whom=to_whom, expected_on=None, pieces=1, at=NOW)
    back = Made(token("welded"), off, 1, 75, ferris, by, NOW)
    price = Charge(token("price"), order, "tyre welded", 5250, TODAY, by, NOW, wheel=off.wheel)
    bring_back(trip, at=NOW, made=back, price=price, trade="smith", zone=UTC)
    assert off.wheel is not None
    write_down(off.wheel, {"run": 3_600_000_000, "dish_after": 14_000_000}, by=by, at=NOW)
    say_made(Made(token("hub-turned"), task(order, "turn-hub"), 1, 40, people["Ansel"], by, NOW), zone=UTC)


def pay(order: Order, by: User) -> None:
    """Materials on the order and a lot; outwork that was entered wrongly and taken back."""
    lot = order.lots.order_by("pk")[0]
    add_issue(Charge(token("oak"), order, "Oak for spokes", 8640, TODAY, by, NOW, lot=lot))
    add_issue(Charge(token("carriage"), order, "Carriage of the timber", 1999, TODAY, by, NOW))
    wrong = Charge(token("wrong"), order, "Boxes bored", 1200, TODAY, by, NOW)
    row = add_outwork(wrong, trade="other", to_whom="Garrick")
    take_back(row, token=token("taken-back"), reason="another order's", by=by, at=NOW)
    assert (Issue.objects.count(), Outwork.objects.count()) == (2, 3)


def repair_of(name: str) -> Lot:
    order = take_order(
        token=token(name),
        customer="A. Pell",
        carriage="Milk float",
        rows=[WheelRow(makeup(spokes=12, felloes=6), "fore pair", ["near_fore", "off_fore"], work=Work.NEW_FELLOES)],
        taken_on=TODAY,
    )
    return order.lots.get()


def look_over_a_repair(people: dict[str, Hand]) -> None:
    """One wheel's felloes wait for the customer's word, the other's were left out at a no."""
    lot = repair_of("repair")
    near, off = lot.wheels.order_by("number")
    look = task(lot.order, "look-over", near)
    did("looked", look, people["Ansel"], minutes=25)
    numbers = {Operation.objects.get(key=key): 2 for key in ("saw-felloe", "offer-up-felloe")}
    list_found(Found(near, numbers, "near fore: 2 felloes"), seen=0, at=NOW)
    refused = list_found(Found(off, numbers, "off fore: 2 felloes"), seen=4, at=NOW)
    leave_found_out(refused, at=NOW)
    lift_hold(refused, at=NOW)


def drop_an_order() -> None:
    lot = repair_of("dropped")
    drop_wheel(Wheel.objects.get(lot=lot, place="off_fore"), at=NOW)
    set_state(lot.order, Order.State.DROPPED, on=TODAY)


def buy_ash(by: User) -> None:
    ash = add_material(
        by=by,
        name="Ash boards",
        kind="plank",
        timber="ash",
        unit="board_foot",
        thickness_nm=2 * IN,
        width_nm=12 * IN,
        length_nm=120 * IN,
    )
    record_rate(
        kind=Rate.Kind.MATERIAL, amount_millipence=435_000, from_on=date(2026, 1, 1), at=NOW, by=by, material=ash
    )
