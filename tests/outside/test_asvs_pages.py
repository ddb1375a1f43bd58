"""Pages, forms and files, held to OWASP ASVS 5.0.0 (chapters 1, 2, 3, 5 and 16).

Source of every clause: OWASP Application Security Verification Standard 5.0.0, owasp.org/asvs. What is met otherwise or
not at all stands with its reason in SECURITY.md.
"""

import re
from pathlib import Path

import pytest
from django.conf import settings
from django.http import HttpResponse
from django.test import Client
from django.urls import reverse
from pytest_django import DjangoDbBlocker

from shop import csv_safe, rates_written
from shop.csv_safe import csv_lines
from shop.models import Hand, Rate
from shop.people import DEVICE_COOKIE, set_password
from tests.addresses import ADDRESSES
from tests.outside.test_asvs_sign_in import GATE
from tests.shop.test_addresses import Cast, cast, standing  # noqa: F401 - fixtures
from tests.written import install, written

ROOT = Path(csv_safe.__file__).resolve().parent.parent
NAMES = sorted(ADDRESSES)
ROLES = ("owner", "desk", "hand", "smith", "bench", "stranger")


def watched_url_of(name: str, cast: Cast) -> str:  # noqa: F811
    """An address, with what is written from now on to be seen: its thing may have been laid down for it."""
    url = url_of(name, cast)
    written()
    return url


def url_of(name: str, cast: Cast) -> str:  # noqa: F811
    return reverse(f"shop:{name}", kwargs=ADDRESSES[name].kwargs(cast.things))


def test_v3_3_2_cookies_are_same_site_and_v3_3_4_hidden_from_scripts(cast: Cast) -> None:  # noqa: F811
    """ASVS 3.3.2: SameSite set; 3.3.4: HttpOnly where scripts need not read it. Only the token of forms is read."""
    set_password(Hand.objects.get(name="Wren"), GATE)
    client = Client()
    client.get("/sign-in/")
    client.post("/sign-in/", {"name": "Wren", "password": GATE})
    client.post("/settings/devices/", {"name": "Bench tablet"})
    told = {name: (one["samesite"], bool(one["httponly"])) for name, one in client.cookies.items()}
    read_by_scripts = settings.CSRF_COOKIE_NAME
    assert {settings.SESSION_COOKIE_NAME, DEVICE_COOKIE, read_by_scripts} <= told.keys()
    assert told.pop(read_by_scripts) == ("Strict", False)
    assert set(told.values()) == {("Strict", True)}


@pytest.fixture(scope="module")
def watched(standing: Cast, django_db_blocker: DjangoDbBlocker) -> None:  # noqa: F811
    """Every table is watched, from what stands on: what a test writes is rolled back with its notes."""
    with django_db_blocker.unblock():
        install()


@pytest.mark.usefixtures("watched")
@pytest.mark.parametrize("name", NAMES)
def test_v3_5_1_no_form_is_taken_without_its_token(name: str, cast: Cast) -> None:  # noqa: F811
    """ASVS 3.5.1: forged requests are refused, whoever is signed in."""
    url = watched_url_of(name, cast)
    for role in ("owner", "bench", "stranger"):
        forged = Client(enforce_csrf_checks=True)
        forged.cookies = cast.clients[role].cookies
        assert forged.post(url, {"name": "forged"}).status_code == 403
    assert written() == {}


@pytest.mark.usefixtures("watched")
@pytest.mark.parametrize("name", NAMES)
def test_v3_5_3_what_only_asks_changes_nothing_and_v3_4_3_carries_its_headers(name: str, cast: Cast) -> None:  # noqa: F811
    """ASVS 3.5.3, 3.4.3, 3.4.4, 3.4.5, 3.4.6: safe methods have no effect, and every answer has its headers.

    Every table is watched, row by row; who is signed in is no effect.
    """
    url = watched_url_of(name, cast)
    asked = f"{url}?token=5f0a4d1e-7f0e-4a7b-9a51-2f1d3a6c8e11&state=paid&away=1&made=1"
    answers = [cast.clients[role].get(asked) for role in ROLES]
    answers += [cast.clients["owner"].head(url), cast.clients["owner"].options(url)]
    assert written() == {}
    for answer in answers:
        check_headers(answer)


def check_headers(answer: HttpResponse) -> None:
    """ASVS 3.4.3: CSP with object-src and base-uri none; 3.4.4 nosniff; 3.4.5 referrer; 3.4.6 frame-ancestors."""
    policy = answer["Content-Security-Policy"].split("; ")
    assert {"object-src 'none'", "base-uri 'none'", "frame-ancestors 'none'", "script-src 'self'"} <= set(policy)
    assert answer["X-Content-Type-Options"] == "nosniff"
    assert answer["Referrer-Policy"] == "same-origin"


def test_v5_2_and_v5_3_no_file_is_taken_in() -> None:
    """ASVS 5.2.1, 5.2.2, 5.3.2 are about files that are sent in: no form has one, and nothing reads one."""
    pages = "".join(path.read_text(encoding="utf-8") for path in (ROOT / "templates").rglob("*.html"))
    assert 'type="file"' not in pages
    assert "multipart" not in pages
    rooms = [path.read_text() for room in ("jobs", "timing", "shop") for path in (ROOT / room).rglob("*.py")]
    assert not [text for text in rooms if re.search(r"\.FILES\b|FileField|ImageField", text)]


def test_v5_2_1_a_body_larger_than_any_form_is_refused(cast: Cast) -> None:  # noqa: F811
    large = "x" * (settings.DATA_UPLOAD_MAX_MEMORY_SIZE + 1)
    body = f"name={large}"
    answer = cast.clients["owner"].post("/settings/hands/new/", body, content_type="application/x-www-form-urlencoded")
    assert answer.status_code in (400, 413)


@pytest.mark.parametrize("text", ["=1+1", "+44", "-2", "@x", "\tx", "\0x"])
def test_v1_2_10_no_cell_is_a_formula(text: str) -> None:
    """ASVS 1.2.10: = + - @ tab and NUL at the head of a cell are made text by a single quote."""
    assert list(csv_lines(["a"], [[text]]))[1].lstrip('"').startswith("'")


def test_v16_5_1_a_fault_is_a_plain_page(cast: Cast, monkeypatch: pytest.MonkeyPatch) -> None:  # noqa: F811
    """ASVS 16.5.1: a generic message; no trace, query, key or token."""

    def fail(*args: object, **others: object) -> None:
        raise RuntimeError("SELECT secret FROM keys")

    monkeypatch.setattr("shop.views.settings_rates.RateBook.load", fail)
    owner = cast.clients["owner"]
    owner.raise_request_exception = False
    answer = owner.get("/settings/rates/")
    assert answer.status_code == 500
    page = answer.content.decode()
    assert not [word for word in ("SELECT secret", "Traceback", ".py", settings.SECRET_KEY) if word in page]


def test_v2_3_3_an_act_is_done_whole_or_not_at_all(cast: Cast, monkeypatch: pytest.MonkeyPatch) -> None:  # noqa: F811
    """ASVS 2.3.3: what fails at its last step leaves nothing of its first. The fuzz looks for others."""

    def fail(*args: object) -> None:
        raise RuntimeError("the last step")

    monkeypatch.setattr(rates_written, "write_down", fail)
    owner = cast.clients["owner"]
    owner.raise_request_exception = False
    answers = {"amount": "8.45", "from_on_day": "2", "from_on_month": "3", "from_on_year": "2026"}
    assert owner.post("/settings/rates/overhead/", answers).status_code == 500
    assert not Rate.objects.exists()
