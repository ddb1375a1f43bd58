"""Several devices in the same moment: one shop is opened, PINs are guessed no faster, names and time are told once."""

import threading
import uuid
from dataclasses import replace
from datetime import date, timedelta

import pytest
from django.test import Client
from django.urls import reverse

from jobs.models import Operation, Order
from jobs.operations import OperationRefused, add_operation
from jobs.starting import start_operations
from shop import pins
from shop.bench import keep_closing
from shop.door import AlreadyOpen, open_shop
from shop.leavers import replace_by_number
from shop.models import AuditLine, Bonus, Hand, PayRun, PaySheet, PinTry, Shop
from shop.pay_runs import RunRefused, close_run, draft
from shop.people import PersonRefused, add_hand, edit_hand, enrol_device, set_left, set_password
from tests.factories import NOW, HandFactory, ShopFactory, fact, take_pair, task
from tests.shop.order_forms import in_library
from tests.shop.typed import as_sent
from tests.timing.test_concurrency import THREADS, a_file, in_threads
from timing.models import Stretch
from timing.recount import find_faults

__all__ = ["a_file"]  # the fixture of a database that threads can share


@pytest.mark.usefixtures("a_file")
def test_one_shop_is_opened() -> None:
    late: list[int] = []

    def open_it(number: int) -> None:
        try:
            open_shop(owner=f"Owner {number}", password="a long wooden gate", shop={"name": f"Shop {number}"})
        except AlreadyOpen:
            late.append(number)

    in_threads(open_it)
    (winner,) = set(range(THREADS)) - set(late)
    assert len(late) == THREADS - 1
    assert Shop.objects.get().name == f"Shop {winner}"
    assert Hand.objects.get().name == f"Owner {winner}"


@pytest.mark.usefixtures("a_file")
def test_wrong_pins_sent_together_get_no_more_looks(monkeypatch: pytest.MonkeyPatch) -> None:
    osk, wren = HandFactory.create(name="Osk"), HandFactory.create(name="Wren")
    pins.set_pin(osk, "4071")
    tablet, _ = enrol_device(name="Tablet", by=wren.user, at=NOW)
    looks, counting = [0], threading.Lock()

    def look(pin: str, pin_hash: str) -> bool:
        with counting:
            looks[0] += 1
        return False

    def guess(number: int) -> None:
        for i in range(5):
            pins.check_pin(tablet, osk, f"{number}00{i}", NOW)

    monkeypatch.setattr(pins, "check_password", look)
    in_threads(guess)
    assert looks == [pins.FREE_TRIES + 1]
    assert PinTry.objects.get().wrong == pins.FREE_TRIES + 1


@pytest.mark.usefixtures("a_file")
def test_a_name_is_given_to_one_hand() -> None:
    told: list[str] = []

    def add(number: int) -> None:
        try:
            add_hand(name="Osk", role=Hand.Role.HAND, trade=Hand.Trade.BENCH, apprentice=False)
        except PersonRefused as refused:
            told.append(str(refused))

    in_threads(add)
    assert Hand.objects.get().name == "Osk"
    assert told == ["There is a Osk already: tell the two apart, for example by a second name."] * (THREADS - 1)


@pytest.mark.usefixtures("a_file")
@pytest.mark.parametrize("name", ["order-details", "order-promise", "lot-spares", "makeup-change", "hand", "words"])
def test_of_changes_of_one_thing_one_is_kept(name: str, wren: Hand, osk: Hand, order: Order) -> None:
    """All had the form open: who comes after the first is told."""
    keys = {
        "order-details": [order.number],
        "order-promise": [order.number],
        "lot-spares": [order.number, order.lots.get().pk],
        "makeup-change": [in_library().pk],
        "hand": [osk.pk],
        "words": [],
    }
    path = reverse(f"shop:{name}", args=keys[name])
    clients = [Client() for _ in range(THREADS)]
    sent = []
    for number, client in enumerate(clients):
        client.force_login(wren.user)
        typed = {field: text.format(number=number + 1, letter="abcd"[number]) for field, text in TYPED[name].items()}
        sent.append(as_sent(client.get(path).text, path, **typed))
    answers: list[int] = []
    in_threads(lambda number: answers.append(clients[number].post(path, sent[number]).status_code))
    assert sorted(answers) == [302, *[409] * (THREADS - 1)]


TYPED = {
    "order-details": {"carriage": "Gig {number}"},
    "order-promise": {
        "promised_on_day": "{number}",
        "promised_on_month": "12",
        "promised_on_year": "2026",
        "reason": "frost",
    },
    "lot-spares": {"spokes": "{number}"},
    "makeup-change": {"source": "drawing {number}"},
    "hand": {"name": "Osk {letter}"},
    "words": {"word_hub": "nave{letter}"},
}


@pytest.mark.usefixtures("a_file")
def test_a_name_is_given_to_one_operation() -> None:
    refused: list[int] = []

    def add(number: int) -> None:
        try:
            add_operation(after=None, name="Oil felt", part="hub", per="wheel")
        except OperationRefused:
            refused.append(number)

    in_threads(add)
    assert Operation.objects.get().name == "Oil felt"
    assert len(refused) == THREADS - 1


@pytest.mark.usefixtures("a_file")
def test_devices_that_come_back_together_tell_a_stretch_once() -> None:
    """Each closes the same hour: one of them is believed, and by nobody is it made longer."""
    start_operations()
    shop, osk = ShopFactory.create(), HandFactory.create(name="Osk")
    rough = task(take_pair(), "rough-spoke")
    ends = [NOW - timedelta(hours=ago) for ago in range(20)]
    hours = [fact(rough, osk, made=0, started_at=end - timedelta(hours=1), done_at=end) for end in ends]

    def tell(number: int) -> None:
        for hour in hours:
            keep_closing(replace(hour, token=uuid.uuid4()), shop, now=NOW)

    in_threads(tell)
    assert [row.seconds for row in Stretch.objects.all()] == [3600] * 20
    assert find_faults() == []


@pytest.mark.usefixtures("a_file")
def test_a_period_is_closed_once() -> None:
    """By several owners at once, each with a form of their own: one run, and every hand is paid once."""
    shop, wren = ShopFactory.create(pay_first_on=NOW.date()), HandFactory.create(name="Wren")
    told = {"recorded_at": NOW, "recorded_by": wren.user, "on": NOW.date()}
    Bonus.objects.create(hand=wren.user, what="Fair", amount_pence=500, token=uuid.uuid4(), **told)
    now = NOW + timedelta(days=7)
    digest, refused = draft(shop, now=now).digest, list[str]()

    def close(number: int) -> None:
        try:
            close_run(token=uuid.uuid4(), digest=digest, shop=shop, by=wren.user, now=now)
        except RunRefused as why:
            refused.append(str(why))

    in_threads(close)
    assert (PayRun.objects.count(), len(refused)) == (1, THREADS - 1)
    assert [row.gross_pence for row in PaySheet.objects.all()] == [500]


@pytest.mark.usefixtures("a_file")
def test_a_name_that_goes_in_the_same_moment_is_gone_for_good(monkeypatch: pytest.MonkeyPatch) -> None:
    """While it is replaced others put the hand back, or set a name, a PIN, a password: they wait, and are refused."""
    shop, wren, osk = ShopFactory.create(), HandFactory.create(name="Wren"), HandFactory.create(name="Osk")
    set_left(osk, date(2010, 1, 1))
    half_done, others_wait = threading.Event(), threading.Event()
    refused: list[int] = []

    def note_it(*args: object, **others: object) -> None:
        half_done.set()
        others_wait.wait(0.5)

    monkeypatch.setattr("shop.leavers.note_change", note_it)
    known = {"role": "hand", "trade": "painter", "apprentice": False}
    ways = {
        1: [lambda hand: set_left(hand, None)],
        2: [lambda hand: edit_hand(hand, name="Osk", **known)],
        3: [lambda hand: pins.set_pin(hand, "4071"), lambda hand: set_password(hand, "a long wooden gate")],
    }

    def act(number: int) -> None:
        if number == 0:
            replace_by_number(Hand.objects.get(pk=osk.pk), texts=[], at=NOW, shop=shop, by=wren.user)
            return
        hand = Hand.objects.select_related("user").get(pk=osk.pk)
        half_done.wait(5)
        for way in ways[number]:
            try:
                way(hand)
            except PersonRefused:
                refused.append(number)

    in_threads(act)
    now = Hand.objects.select_related("user").get(pk=osk.pk)
    assert sorted(refused) == [1, 2, 3, 3]
    assert (now.name, now.user.username, now.left_on) == (f"Hand {osk.pk}", f"Hand {osk.pk}", date(2010, 1, 1))
    assert (now.user.is_active, now.user.has_usable_password(), now.pin_hash) == (False, False, "")
    assert not [line for line in AuditLine.objects.values_list("what", flat=True)[1:] if "Osk" in line]
