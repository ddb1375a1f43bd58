"""What every answer tells the browser, and its cookies: plain and under HTTPS."""

import json
import sys
from pathlib import Path
from subprocess import run

import pytest
from django.conf import settings
from django.http import HttpRequest
from django.test import Client, override_settings

from tests.commands import ROOT, lay_new_shop, surroundings

HEADERS = {
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "same-origin",
    "X-Frame-Options": "DENY",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
}
POLICIES = {"default-src 'self'", "object-src 'none'", "base-uri 'none'", "frame-ancestors 'none'"}


def broken(request: HttpRequest) -> None:
    raise RuntimeError("the words of the fault")


def assert_headers(answer: object) -> None:
    told = answer.headers  # type: ignore[attr-defined]
    assert {name: told.get(name) for name in HEADERS} == HEADERS
    assert set(told["Content-Security-Policy"].split("; ")) >= POLICIES
    assert "unsafe" not in told["Content-Security-Policy"]


@pytest.mark.parametrize(
    ("path", "status"),
    [("/sign-in/", 200), ("/orders/", 302), ("/no-such-page/", 404), ("/sign-out/", 405), ("/static/house.css", 200)],
)
def test_every_kind_of_answer_carries_them(shop: object, tmp_path: Path, path: str, status: int) -> None:
    (tmp_path / "house.css").write_text("body {}")
    with override_settings(STATIC_ROOT=tmp_path):
        answer = Client().get(path)
    assert answer.status_code == status
    assert_headers(answer)
    answer.close()


def test_refusals_of_forged_forms_and_hosts_carry_them(shop: object) -> None:
    forged = Client(enforce_csrf_checks=True).post("/sign-in/", {"name": "Wren", "password": "x"})
    foreign = Client().get("/sign-in/", headers={"Host": "elsewhere.example"})
    assert (forged.status_code, foreign.status_code) == (403, 400)
    assert_headers(forged)
    assert_headers(foreign)


def test_a_fault_is_a_plain_page_without_trace(shop: object, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("shop.views.door.current_shop", broken)
    client = Client(raise_request_exception=False)
    answer = client.get("/sign-in/")
    assert answer.status_code == 500
    assert_headers(answer)
    assert "Something broke here" in answer.content.decode()
    assert not any(word in answer.content.decode() for word in ("the words of the fault", "Traceback", ".py"))


UNDER_HTTPS = """
import django, json
django.setup()
from django.test import Client
from django.utils import timezone
from tests import factories
from shop.people import enrol_device, set_password, DEVICE_COOKIE
factories.ShopFactory.create()
wren = factories.HandFactory.create(name="Wren", role="owner")
set_password(wren, "a long wooden gate")
client = Client()
plain = client.get("/sign-in/")
client.get("/sign-in/", secure=True)
client.post("/sign-in/", {"name": "Wren", "password": "a long wooden gate"}, secure=True)
client.post("/settings/devices/", {"name": "Tablet"}, secure=True)
told = {name: [bool(cookie["secure"]), cookie["samesite"], cookie["path"], cookie["domain"], bool(cookie["httponly"])]
        for name, cookie in client.cookies.items() if cookie.value}
page = client.get("/settings/devices/", secure=True)
print(json.dumps([plain.status_code, plain["Location"], page.status_code, page["Strict-Transport-Security"], told]))
"""


def test_under_https_cookies_are_for_this_host_alone_and_plain_requests_are_sent_on(tmp_path: Path) -> None:
    changes = {"SHOP_HTTPS": "True", "SHOP_HOSTS": "testserver", "DJANGO_SETTINGS_MODULE": "tests.settings"}
    lay_new_shop(tmp_path)
    command = [sys.executable, "-W", "ignore", "-c", UNDER_HTTPS]
    environment = surroundings(tmp_path, **changes)
    done = run(command, cwd=ROOT, env=environment, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    status, location, page, hsts, cookies = json.loads(done.stdout)
    assert (status, location, page) == (301, "https://testserver/sign-in/", 200)
    assert hsts.startswith("max-age=31536000")
    for_scripts = [True, "Strict", "/", "", False]
    hidden = [True, "Strict", "/", "", True]
    assert cookies == {
        "__Host-csrftoken": for_scripts,
        "__Host-sessionid": hidden,
        "__Host-bench-device": hidden,
        "__Host-messages": hidden,
    }


def test_plain_cookies_have_plain_names() -> None:
    assert (settings.SESSION_COOKIE_NAME, settings.CSRF_COOKIE_NAME) == ("sessionid", "csrftoken")
