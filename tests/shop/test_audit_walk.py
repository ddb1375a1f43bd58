"""Every address that changes what an owner sets leaves one line of who changed it; the others say why they need none.

A new address has to take its place in one of the two, or `test_every_address_says...` fails.
"""

import uuid
from collections.abc import Callable
from datetime import UTC, date, datetime
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from jobs.models import Operation, Order
from shop.audit import Kind
from shop.forms.operations import OperationForm
from shop.models import AuditLine, Hand, Shop
from shop.models.settings import ALLOWANCES
from shop.operations import retire_operation
from shop.pay_runs import draft
from shop.people import set_password
from shop.pins import set_pin
from shop.stores.plan_seen import seen_of
from tests import addresses
from tests.addresses import ADDRESSES, Things
from tests.shop.test_door import OPENING

GATE = "a long wooden gate"
PLAIN_DAY = {"day": "2", "month": "March", "year": "2026"}
WORDS = {"word_hub": "nave", "word_hubs": "naves", "word_felloe": "felly", "word_felloes": "fellies"}
SHOP = {"name": "Alder Lane Wheel Shop", "units": "in", "currency": "GBP", "time_zone": "Europe/London"}

ASH = {"kind": "plank", "timber": "ash", "unit": "board_foot", "thickness": "50 mm", "width": "300 mm"}

Answers = Callable[[Things], dict[str, Any]]


def day(name: str) -> dict[str, str]:
    return {f"{name}_{part}": text for part, text in PLAIN_DAY.items()}


def same(**answers: object) -> Answers:
    return lambda things: answers


def charge(things: Things) -> dict[str, Any]:
    what = {"token": uuid.uuid4(), "what": "Ash plank", "amount": "12.50", "place": "order"}
    return what | {"trade": "smith", "to_whom": "Bram"} | day("on")


def taken_back(things: Things) -> dict[str, Any]:
    return {"token": uuid.uuid4(), "reason": "entered twice"}


def closing(things: Things) -> dict[str, Any]:
    return {"token": uuid.uuid4(), "digest": draft(Shop.objects.get(), now=timezone.now()).digest}


def bonus(things: Things) -> dict[str, Any]:
    told = {"token": uuid.uuid4(), "hand": things.hand.user_id, "what": "Hot days", "amount": "25"}
    return told | day("on")


def name_replaced(things: Things) -> dict[str, Any]:
    """Of a hand who left so long ago that no record need be kept with the name."""
    Hand.objects.filter(pk=things.hand.pk).update(left_on=date(2015, 3, 6))
    return {"sure": "on"}


def customer_replaced(things: Things) -> dict[str, Any]:
    """Of a customer whose only order ended long ago."""
    told = {"state": "paid", "ended_on": date(2015, 3, 6), "created_at": datetime(2015, 3, 6, tzinfo=UTC)}
    Order.objects.filter(pk=things.order.pk).update(**told)
    return {"sure": "on"}


def rack(**others: str) -> dict[str, Any]:
    return {"token": uuid.uuid4(), "amount": "12", "counted_in": "unit"} | day("on") | others


def output_test(things: Things) -> dict[str, Any]:
    addresses.rated(things)
    made = {f"pieces-{things.hand.pk}": "30", f"time-{things.hand.pk}": "1 h"}
    return {"token": uuid.uuid4(), "basis": "all", **made, **day("tried_on"), **day("from_on")}


def output_estimate(things: Things) -> dict[str, Any]:
    told = {"token": uuid.uuid4(), "rests_on": addresses.rated(things).pk, "like": "Like work in the same conditions"}
    return told | {"pieces": "20", "time": "1 h", "why": "longer", **day("tried_on"), **day("from_on")}


def output_notice(things: Things) -> dict[str, Any]:
    addresses.rated(things)
    return {"token": uuid.uuid4(), "hands": [things.hand.pk], **day("given_on")}


def plan(things: Things) -> dict[str, Any]:
    seen = {"seen": seen_of(things.order, [things.material])}
    return rack(place="order") | {f"much-{things.material.pk}": "3"} | seen


def operation(things: Things, **changes: object) -> dict[str, Any]:
    form = OperationForm(words=Shop().words, operation=things.operation)
    given = {name: form[name].value() for name in form.fields} | changes
    return {name: value for name, value in given.items() if value not in (None, "", False)}


def wait(things: Things) -> dict[str, Any]:
    first = Operation.objects.in_use()[0]
    return {"on": first.pk, "how": "wheel", "standing_minutes": "90"}


def rate() -> Answers:
    return same(amount="18.50", **day("from_on"))


# What each address is told, and the kind of the one line that it leaves.
LINES: dict[str, tuple[Kind, Answers]] = {
    "order-promise": (Kind.PROMISE, same(reason="late timber", **day("promised_on"))),
    "outwork-new": (Kind.PRICE, charge),
    "issue-new": (Kind.PRICE, charge),
    "overhead-new": (Kind.PRICE, lambda things: {"token": uuid.uuid4(), "what": "Coal", "amount": "80", **day("on")}),
    "overhead-take-back": (Kind.PRICE, taken_back),
    "outwork-take-back": (Kind.PRICE, taken_back),
    "issue-take-back": (Kind.PRICE, taken_back),
    "purchase-new": (Kind.PRICE, lambda things: rack(paid="180.00")),
    "stock-count": (Kind.PRICE, lambda things: rack()),
    "material-offcuts": (Kind.PRICE, same(lengths="1200 mm × 2")),
    "from-rack": (Kind.PRICE, lambda things: rack(place="order")),
    "back-to-rack": (Kind.PRICE, lambda things: rack()),
    "issue-plan": (Kind.PRICE, plan),
    "purchase-take-back": (Kind.PRICE, taken_back),
    "count-take-back": (Kind.PRICE, taken_back),
    "trade-back": (Kind.PRICE, lambda things: {"token": uuid.uuid4(), "amount": "48"}),
    "settings-shop": (Kind.SHOP, same(**SHOP)),
    "words": (Kind.SHOP, same(**WORDS, word_tyre="tire", word_tyres="tires")),
    "hand-new": (Kind.PERSON, same(name="Perrin", role="hand", trade="painter")),
    "hand": (Kind.PERSON, same(name="Osk", role="desk", trade="painter")),
    "hand-pin": (Kind.PERSON, same(pin="4071")),
    "hand-password": (Kind.PERSON, same(password=GATE, again=GATE)),
    "hand-left": (Kind.PERSON, same(**day("left_on"))),
    "devices": (Kind.DEVICE, same(name="Bench tablet")),
    "device-revoke": (Kind.DEVICE, same()),
    "rate-overhead": (Kind.RATE, rate()),
    "rate": (Kind.RATE, rate()),
    "allowances": (Kind.SHOP, same(**dict.fromkeys(ALLOWANCES, "8 mm"))),
    "pay-close": (Kind.PAY, closing),
    "pay-terms": (Kind.PAY, same(paid_by="pieces", band="adult", **day("from_on"))),
    "overtime-agreed": (Kind.PAY, same(**day("agreed_on"), **day("begins_on"))),
    "piece-output-test": (Kind.PAY, output_test),
    "piece-output-estimate": (Kind.PAY, output_estimate),
    "piece-output-end": (Kind.PAY, lambda things: {"token": uuid.uuid4(), **day("from_on")}),
    "piece-notice": (Kind.PAY, output_notice),
    "bonuses": (Kind.PAY, bonus),
    "bonus-take-back": (Kind.PAY, taken_back),
    "settings-pay": (Kind.SHOP, same(pay_rules="gb", pay_period="week", **day("pay_first_on"))),
    "material-new": (Kind.PRICE, same(**ASH, name="Ash butts", length="3 m")),
    "material": (Kind.PRICE, same(**ASH, name="Ash boards", length="3 m")),
    "material-retire": (Kind.PRICE, same()),
    "operation-new": (Kind.OPERATION, lambda things: operation(things, name="Oil felt", done_word="oiled")),
    "operation": (Kind.OPERATION, lambda things: operation(things, minutes="7.5", hands="2")),
    "book-time": (Kind.OPERATION, same(minutes="7.5")),
    "operation-retire": (Kind.OPERATION, same()),
    "operation-restore": (Kind.OPERATION, same()),
    "wait-add": (Kind.OPERATION, wait),
    "wait-drop": (Kind.OPERATION, same()),
    "records": (Kind.SHOP, same(years="8")),
    "records-hand": (Kind.PERSON, name_replaced),
    "records-customer": (Kind.PERSON, customer_replaced),
}

WORK = "work is told in facts, which say themselves by whom, and are never edited"
ORDER = "the order, its wheels and its moves keep what was done with them, each with its day"
READ = "only read"
DOOR = "signing in is in the log, and opening a shop is tested below"
COPY = "a backup changes nothing, and its folder says when it was made"
VERDICT = "what a person said of a timing stands beside it, by whom and when"
FIT = "usual times follow from the facts, and say when they were worked out"
QUOTED = "each revision of a quotation keeps who sent it, who answered, and when"
QUOTE = "a quotation keeps each revision that was sent, by whom and when, with all that it rested on"
LIBRARY = "orders keep their own copy of a make-up"
SILENT = {
    **dict.fromkeys(["home", "sign-in", "sign-out", "bench", "bench-come-in", "first-run", "open-example"], DOOR),
    **dict.fromkeys(
        ["order-new", "order-state", "order-drop", "order-hold", "hold-lift", "order-details", "order-add"], ORDER
    ),
    **dict.fromkeys(
        ["order-move", "move-undo", "lot-change", "lot-pieces", "lot-spares", "wheel-drop", "wheel-found"], ORDER
    ),
    **dict.fromkeys([name for name in ADDRESSES if name.startswith("quote-")], QUOTE),
    **dict.fromkeys(["quotes", "quote"], READ),
    **dict.fromkeys(["makeup-new", "makeup-change", "makeup-retire"], LIBRARY),
    **dict.fromkeys([name for name in ADDRESSES if name.startswith("bench-") and name != "bench-come-in"], WORK),
    **dict.fromkeys(["trade-piece", "trade-send", "trade-made", "trade-undo", "as-made", "put-right"], WORK),
    **dict.fromkeys(["attendance-new", "attendance-right", "attendance-undo", "day-book-undo"], WORK),
    "passing": "what is passed says by whom and when, and is never edited",
    "backup-now": COPY,
    "timing-verdict": VERDICT,
    "times-work-out": FIT,
    **dict.fromkeys(["times", "operation-times", "makeup-pace", "lot-pace"], READ),
    **dict.fromkeys(["alterations", "alteration-add", "alteration-change"], QUOTED),
    **dict.fromkeys(["order-book", "orders-closed", "order", "lot", "wheel", "makeups", "makeup", "smith"], READ),
    **dict.fromkeys(["lot-sizes", "makeup-sizes", "lot-patterns", "makeup-patterns"], READ),
    **dict.fromkeys(["lot-pattern", "makeup-pattern", "wheel-card"], READ),
    **dict.fromkeys(["lot-sizes-paper", "makeup-sizes-paper", "order-iron-paper", "hot-day-paper"], READ),
    **dict.fromkeys(["makeup-timber-paper", "order-timber-paper", "quote-paper"], READ),
    **dict.fromkeys(["outcome", "quotes-held", "costs", "work-in-progress", "work-in-progress-csv"], READ),
    **dict.fromkeys(["stores", "material-stock"], READ),
    **dict.fromkeys(["order-iron", "hot-day", "order-cutting", "order-timber", "makeup-timber", "timber"], READ),
    **dict.fromkeys(["trade", "cost", "task-facts", "day-book", "day-book-csv", "settings", "hands"], READ),
    **dict.fromkeys(["attendance", "pay-runs", "pay-run", "pay-run-csv", "pay-sheet", "pay-sheet-paper"], READ),
    **dict.fromkeys(["piece-rate", "inspector", "inspector-file", "records-customers"], READ),
    **dict.fromkeys(["piece-output", "output-notice", "output-notice-paper"], READ),
    **dict.fromkeys(["rates", "materials", "operations", "changes", "backups"], READ),
}


def test_every_address_says_which_line_it_leaves_or_why_none() -> None:
    assert set(LINES) | set(SILENT) == set(ADDRESSES)
    assert set(LINES) & set(SILENT) == set()


@pytest.fixture
def things(wren: Hand, osk: Hand, order: Order) -> Things:
    return addresses.make_things(order, wren, osk)


def address(name: str, things: Things) -> str:
    asked = f"?material={things.material.pk}" if name == "from-rack" else ""
    return reverse(f"shop:{name}", kwargs=ADDRESSES[name].kwargs(things)) + asked


def tell(owner: Client, name: str, things: Things) -> None:
    url = address(name, things)
    response = owner.post(url, LINES[name][1](things))
    assert response.status_code == 302, response.content.decode()


@pytest.mark.parametrize("name", sorted(LINES))
def test_a_change_leaves_one_line(name: str, owner: Client, wren: Hand, things: Things) -> None:
    if name == "operation-restore":
        retire_operation(things.operation, at=addresses.NOW, by=wren.user)
    ADDRESSES[name].kwargs(things)  # what the address needs is made first: an outwork to take back, a trip
    before = AuditLine.objects.count()
    tell(owner, name, things)
    line = AuditLine.objects.newest_first()[0]
    assert AuditLine.objects.count() == before + 1
    assert (line.kind, line.by) == (LINES[name][0], wren.user)
    assert line.what
    assert line.before != line.after


@pytest.mark.parametrize("name", sorted(set(LINES) - {"hand-pin", "hand-password", "wait-drop", "devices"}))
def test_the_same_again_leaves_no_other_line(name: str, owner: Client, things: Things) -> None:
    answers = LINES[name][1](things)
    url = address(name, things)
    owner.post(url, answers)
    before = AuditLine.objects.count()
    owner.post(url, answers)
    assert AuditLine.objects.count() == before


@pytest.mark.parametrize(
    ("name", "answers"),
    [("hand-pin", {"pin": "12x"}), ("hand", {"name": ""}), ("rate", {"amount": "x"}), ("settings-shop", {"name": ""})],
)
def test_what_is_refused_leaves_no_line(name: str, answers: dict[str, str], owner: Client, things: Things) -> None:
    before = AuditLine.objects.count()
    url = reverse(f"shop:{name}", kwargs=ADDRESSES[name].kwargs(things))
    assert owner.post(url, answers).status_code == 422
    assert AuditLine.objects.count() == before


@pytest.mark.parametrize("name", ["hand-pin", "hand-password"])
def test_taking_away_what_is_not_there_leaves_no_line(name: str, owner: Client, things: Things) -> None:
    before = AuditLine.objects.count()
    things.hand.user.set_unusable_password()
    things.hand.user.save(update_fields=["password"])
    owner.post(reverse(f"shop:{name}", args=[things.hand.pk]), {"away": "1"})
    assert AuditLine.objects.count() == before


def test_no_line_holds_a_secret(owner: Client, wren: Hand, things: Things) -> None:
    set_pin(things.hand, "83159264", by=wren.user)
    set_password(things.hand, GATE, by=wren.user)
    owner.post("/settings/devices/", {"name": "Bench tablet"})
    hashes = [Hand.objects.get(pk=things.hand.pk).pin_hash, things.hand.user.password]
    kept = str(list(AuditLine.objects.values()))
    for secret in ("83159264", GATE, owner.cookies["bench-device"].value, *hashes):
        assert secret
        assert secret not in kept


def test_opening_a_shop_leaves_its_line(client: Client, db: None) -> None:
    assert client.post("/open/", OPENING).status_code == 302
    line = AuditLine.objects.get()
    assert (line.what, line.after, line.by) == (
        "Quern Bridge Wheels",
        "opened, Ida Thorne its owner",
        Hand.objects.get().user,
    )
