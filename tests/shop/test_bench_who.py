"""Who is at work: names on an enrolled device, PINs, and no more than three touches to work."""

import re

import pytest
from django.test import Client
from django.urls import reverse

from jobs.models import Order
from shop.models import Device, Hand
from shop.people import revoke_device, set_left
from shop.pins import set_pin
from tests.factories import NOW
from tests.shop.benching import Bench, Wall, text_of
from timing.models import Clock

WHO = reverse("shop:bench")


@pytest.fixture
def wall(monkeypatch: pytest.MonkeyPatch) -> Wall:
    return Wall(monkeypatch)


def come_in(bench: Bench, pin: str) -> object:
    return bench.client.post(reverse("shop:bench-come-in", args=[bench.hand.pk]), {"pin": pin})


def test_it_works(osk: Hand, bram: Hand, wall: Wall) -> None:
    page = text_of(Bench(osk).client.get(WHO))
    assert "Who is at work?" in page
    assert "Osk" in page
    assert "Bram" in page


def test_a_device_that_is_not_enrolled_is_told_how(osk: Hand) -> None:
    page = text_of(Client().get(WHO))
    assert "not enrolled yet" in page
    assert "Under Settings, Devices, they enrol it" in page
    assert "Osk" not in page


def test_a_device_that_was_ended_is_told_so_and_whom_to_ask(osk: Hand, wren: Hand, wall: Wall) -> None:
    bench = Bench(osk, device="bench 7").come_in()
    revoke_device(Device.objects.get(), at=NOW)
    answer = bench.client.get(reverse("shop:bench-jobs"))
    assert answer.headers["Location"] == WHO
    page = text_of(bench.client.get(WHO))
    assert "This device was taken off the list" in page
    assert "It was called bench 7 , and was ended on 2 March 2026." in page
    assert "Ask Wren to enrol it again" in page
    assert "Osk" not in page
    assert "_auth_user_id" not in bench.client.session


def test_who_scans_a_wheels_card_comes_in_as_at_the_bench_and_then_to_the_wheel(
    osk: Hand, bram: Hand, order: Order, wall: Wall
) -> None:
    set_pin(bram, "4071")
    bench = Bench(osk)
    wheel = reverse("shop:wheel", args=[order.number, order.lots.get().wheels.all()[0].pk])
    names = bench.client.get(wheel, follow=True).content.decode()
    assert "Who is at work?" in names
    pad = re.findall(rf'href="({reverse("shop:bench-come-in", args=[bram.pk])}[^"]*)"', names)[0]
    assert bench.client.post(pad, {"pin": "1111", "next": wheel}).status_code == 422
    desk = re.findall(r'href="([^"]+)">Sign in for the desk', names)[0].replace("&amp;", "&")
    assert f'name="next" value="{wheel}"' in bench.client.get(desk).content.decode()
    come = reverse("shop:bench-come-in", args=[osk.pk])
    assert f'name="next" value="{wheel}"' in names
    elsewhere = Bench(osk).client.post(come, {"next": "https://elsewhere.example/"})
    assert elsewhere.headers["Location"].startswith("/bench/")
    for odd in ("foo", "/settings/"):
        assert Bench(osk).client.post(come, {"next": odd}).headers["Location"].startswith("/bench/")
    assert bench.client.post(come, {"next": wheel}).headers["Location"] == wheel
    assert bench.client.get(wheel).status_code == 200


def test_a_page_that_the_bench_may_not_open_asks_for_a_password(osk: Hand, order: Order, wall: Wall) -> None:
    for page in (f"/orders/{order.number}/cost/", "/no-such-page/"):
        answer = Bench(osk).client.get(f"/sign-in/?next={page}")
        assert "For work at the desk." in answer.content.decode()


def test_nobody_comes_in_on_a_device_that_is_not_enrolled(osk: Hand) -> None:
    client = Client()
    client.post(reverse("shop:bench-come-in", args=[osk.pk]))
    assert "_auth_user_id" not in client.session


def test_from_the_name_to_work_under_way_are_three_touches(order: Order, osk: Hand, wall: Wall) -> None:
    bench = Bench(osk)
    assert f'action="{reverse("shop:bench-come-in", args=[osk.pk])}"' in bench.client.get(WHO).content.decode()
    jobs = bench.client.post(reverse("shop:bench-come-in", args=[osk.pk]), follow=True)  # the first touch: the name
    first = re.search(r'name="task" value="(\d+)"', jobs.content.decode())
    assert first is not None
    bench.post("bench-start", task=first[1])  # the second: Start
    assert Clock.objects.get(hand=osk.user).started_at == wall.now
    assert 'data-clock="running">Clock running' in bench.job()


def test_the_right_pin_lets_in_and_a_wrong_one_does_not(osk: Hand, wall: Wall) -> None:
    set_pin(osk, "4071")
    bench = Bench(osk)
    assert f'href="{reverse("shop:bench-come-in", args=[osk.pk])}"' in bench.client.get(WHO).content.decode()
    wrong = come_in(bench, "1111")
    assert wrong.status_code == 422  # type: ignore[attr-defined]
    assert "That is not the PIN" in text_of(wrong)  # type: ignore[arg-type]
    assert "_auth_user_id" not in bench.client.session
    assert come_in(bench, "4071").status_code == 302  # type: ignore[attr-defined]
    assert bench.client.session["_auth_user_id"] == str(osk.user_id)


def test_the_wait_after_wrong_pins_is_told_and_held(osk: Hand, wall: Wall) -> None:
    set_pin(osk, "4071")
    bench = Bench(osk)
    for _ in range(4):
        come_in(bench, "1111")
    throttled = come_in(bench, "1111")
    assert throttled.status_code == 429  # type: ignore[attr-defined]
    assert "looked at after 10.00.30" in text_of(throttled)  # type: ignore[arg-type]
    assert come_in(bench, "4071").status_code == 429  # type: ignore[attr-defined]
    wall.on(seconds=31)
    assert come_in(bench, "4071").status_code == 302  # type: ignore[attr-defined]


def test_one_who_left_is_not_among_the_names(osk: Hand, wren: Hand, wall: Wall) -> None:
    bench = Bench(osk)
    set_left(osk, NOW.date())
    assert "Osk" not in text_of(bench.client.get(WHO))
    assert come_in(bench, "").status_code == 404  # type: ignore[attr-defined]


def test_one_who_is_at_work_goes_on_to_it(order: Order, osk: Hand, wall: Wall) -> None:
    bench = Bench(osk).come_in()
    assert bench.client.get(WHO, follow=True).redirect_chain[-1][0] == reverse("shop:bench-jobs")


def test_leaving_shows_the_names_again(osk: Hand, wall: Wall) -> None:
    bench = Bench(osk).come_in()
    assert bench.post("bench-leave").status_code == 302
    assert "Who is at work?" in text_of(bench.client.get(WHO))
    assert bench.client.get(reverse("shop:bench-jobs")).status_code == 302


@pytest.mark.parametrize("page", ["bench-jobs", "bench-job", "bench-mine", "bench-number", "bench-spoiled"])
def test_strangers_sign_in_first_and_a_smith_at_the_desk_has_no_bench(page: str, bram: Hand) -> None:
    client = Client()
    assert client.get(reverse(f"shop:{page}")).status_code == 302
    client.force_login(bram.user)
    assert client.get(reverse(f"shop:{page}")).status_code == 403
