"""PINs: what may be one, and how wrong ones are slowed."""

from datetime import datetime, timedelta

import pytest

from shop.models import Device, Hand, PinTry
from shop.people import enrol_device
from shop.pins import check_pin, read_pin, set_pin
from tests.factories import NOW


@pytest.fixture
def tablet(wren: Hand) -> Device:
    return enrol_device(name="Bench tablet", by=wren.user, at=NOW)[0]


@pytest.fixture
def osk_with_pin(osk: Hand) -> Hand:
    set_pin(osk, "4071")
    return osk


def wrong_tries(device: Device, hand: Hand, times: int, now: datetime = NOW) -> datetime:
    """Try a wrong PIN so often, each time as soon as one is looked at; the moment of the next look."""
    for _ in range(times):
        now = check_pin(device, hand, "0000", now).wait_until or now
    return now


def test_the_right_pin_is_right_and_is_not_kept(tablet: Device, osk_with_pin: Hand) -> None:
    assert check_pin(tablet, osk_with_pin, " 4071 ", NOW).right
    assert not check_pin(tablet, osk_with_pin, "4072", NOW).right
    assert "4071" not in osk_with_pin.pin_hash


def test_a_hand_without_a_pin_needs_none(tablet: Device, osk: Hand) -> None:
    assert check_pin(tablet, osk, "", NOW).right


def test_the_fifth_wrong_pin_brings_a_wait_in_which_none_is_looked_at(tablet: Device, osk_with_pin: Hand) -> None:
    assert wrong_tries(tablet, osk_with_pin, 4) == NOW
    until = wrong_tries(tablet, osk_with_pin, 1)
    assert until == NOW + timedelta(seconds=30)
    refused = check_pin(tablet, osk_with_pin, "4071", until - timedelta(seconds=1))
    assert (refused.right, refused.wait_until) == (False, until)
    assert check_pin(tablet, osk_with_pin, "4071", until).right


def test_a_hundred_in_a_row_are_looked_at_and_then_one_a_day(tablet: Device, osk_with_pin: Hand) -> None:
    until = wrong_tries(tablet, osk_with_pin, 100)
    assert until - NOW > timedelta(days=1)
    refused = check_pin(tablet, osk_with_pin, "4071", until - timedelta(seconds=1))
    assert (refused.right, refused.wait_until) == (False, until)
    assert check_pin(tablet, osk_with_pin, "0000", until).wait_until == until + timedelta(days=1)


def test_a_try_during_the_wait_makes_it_no_longer(tablet: Device, osk_with_pin: Hand) -> None:
    until = wrong_tries(tablet, osk_with_pin, 5)
    for _ in range(20):
        check_pin(tablet, osk_with_pin, "0000", NOW)
    assert PinTry.objects.get().wait_until == until
    assert PinTry.objects.get().wrong == 5


def test_the_right_pin_begins_the_row_anew(tablet: Device, osk_with_pin: Hand) -> None:
    wrong_tries(tablet, osk_with_pin, 4)
    assert check_pin(tablet, osk_with_pin, "4071", NOW).right
    assert wrong_tries(tablet, osk_with_pin, 4) == NOW


def test_others_are_not_held_up(tablet: Device, osk_with_pin: Hand, tamsin: Hand, wren: Hand) -> None:
    set_pin(tamsin, "123456")
    phone, _ = enrol_device(name="Phone", by=wren.user, at=NOW)
    wrong_tries(tablet, osk_with_pin, 9)
    assert check_pin(tablet, tamsin, "123456", NOW).right
    assert check_pin(phone, osk_with_pin, "4071", NOW).right
    assert not check_pin(tablet, osk_with_pin, "4071", NOW).right


def test_a_new_pin_forgets_the_wrong_tries(tablet: Device, osk_with_pin: Hand) -> None:
    wrong_tries(tablet, osk_with_pin, 9)
    set_pin(osk_with_pin, "5566")
    osk_with_pin.refresh_from_db()
    assert check_pin(tablet, osk_with_pin, "5566", NOW).right


def test_a_pin_taken_away_is_gone(osk_with_pin: Hand) -> None:
    set_pin(osk_with_pin, "")
    osk_with_pin.refresh_from_db()
    assert osk_with_pin.pin_hash == ""


@pytest.mark.parametrize("text", ["", "123", "123456789", "12a4", "١٢٣٤", "12 34", "-123"])
def test_what_is_no_pin(text: str) -> None:
    with pytest.raises(ValueError, match="4 to 8 digits"):
        read_pin(text)


@pytest.mark.parametrize("text", ["1234", "00000000", " 4071\n"])
def test_what_is_a_pin(text: str) -> None:
    assert read_pin(text) == text.strip()
