"""Settings of the devices at the bench."""

from django.http import HttpResponse
from django.test import Client

from shop.models import Device
from shop.people import DEVICE_COOKIE


def text(page: HttpResponse) -> str:
    return page.content.decode()


def test_the_device_that_asks_is_enrolled_and_ended(owner: Client) -> None:
    page = owner.post("/settings/devices/", {"name": "Bench tablet"})
    cookie = page.cookies[DEVICE_COOKIE]
    assert cookie["httponly"]
    assert "Bench tablet" in text(owner.get("/settings/devices/"))
    assert "the one in your hand" in text(owner.get("/settings/devices/"))
    device = Device.objects.get()
    assert device.secret_hash != cookie.value
    owner.post(f"/settings/devices/{device.pk}/revoke/")
    device.refresh_from_db()
    assert device.revoked_at
    assert "the one in your hand" not in text(owner.get("/settings/devices/"))


def test_a_device_enrolled_anew_is_one_device(owner: Client) -> None:
    owner.post("/settings/devices/", {"name": "Tablet"})
    owner.post("/settings/devices/", {"name": "Bench tablet"})
    assert list(Device.objects.filter(revoked_at=None).values_list("name", flat=True)) == ["Bench tablet"]


def test_a_device_without_a_name_is_not_enrolled(owner: Client) -> None:
    page = owner.post("/settings/devices/", {"name": " "})
    assert (page.status_code, DEVICE_COOKIE in page.cookies, Device.objects.count()) == (422, False, 0)
