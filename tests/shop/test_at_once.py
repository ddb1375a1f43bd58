"""Several devices in the same moment: one shop is opened, PINs are guessed no faster, names are given once."""

import threading

import pytest

from jobs.models import Operation
from jobs.operations import OperationRefused, add_operation
from shop import pins
from shop.door import AlreadyOpen, open_shop
from shop.models import Hand, PinTry, Shop
from shop.people import PersonRefused, add_hand, enrol_device
from tests.factories import NOW, HandFactory
from tests.timing.test_concurrency import THREADS, a_file, in_threads

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
