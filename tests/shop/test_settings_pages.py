"""The pages of settings are the owner's, and nobody else's."""

import pytest
from django.http import HttpResponse
from django.test import Client

from shop.models import Hand

PAGES = [
    "",
    "shop/",
    "words/",
    "hands/",
    "hands/new/",
    "devices/",
    "rates/",
    "rates/overhead/",
    "operations/",
    "backups/",
    "changes/",
    "records/",
]


def text(page: HttpResponse) -> str:
    return page.content.decode()


@pytest.mark.parametrize("page", [*PAGES, "operations/new/"])
def test_the_page_is_the_owners(client: Client, page: str, wren: Hand, tamsin: Hand, osk: Hand, bram: Hand) -> None:
    assert client.get(f"/settings/{page}")["Location"] == f"/sign-in/?next=/settings/{page}"
    for hand, status in ((tamsin, 403), (osk, 403), (bram, 403), (wren, 200)):
        client.force_login(hand.user)
        assert client.get(f"/settings/{page}").status_code == status


def test_settings_lead_to_each_page(owner: Client) -> None:
    page = text(owner.get("/settings/"))
    for there in ("shop/", "words/", "hands/", "devices/", "rates/", "operations/", "backups/", "changes/", "records/"):
        assert f'href="/settings/{there}"' in page


def test_the_lists_ask_as_often_however_long_they_are(
    owner: Client, osk: Hand, django_assert_max_num_queries: object
) -> None:
    for path in ("operations/", "rates/", "hands/"):
        with django_assert_max_num_queries(8):  # type: ignore[operator]
            owner.get(f"/settings/{path}")
