"""Settings of operations and what they wait on."""

from typing import get_args

import pytest
from django.http import HttpResponse
from django.test import Client

from jobs.makeup import makeup as makeups
from jobs.models import Operation, Order, Wait
from shop.forms.operations import CHOICES, OperationForm
from shop.models import Shop
from tests.conftest import operation


def text(page: HttpResponse) -> str:
    return page.content.decode()


def asked(one: Operation, **changes: object) -> dict[str, object]:
    """The answers of the form as it comes, with some changed."""
    form = OperationForm(words=Shop.objects.get().words, operation=one)
    given = {name: form[name].value() for name in form.fields}
    after = given["after"]
    given["after"] = after.pk if isinstance(after, Operation) else after
    return {name: value for name, value in given.items() if value not in (None, False)} | changes


def test_the_form_kept_as_it_came_changes_no_operation(owner: Client) -> None:
    before = list(Operation.objects.values())
    for one in Operation.objects.all():
        assert owner.post(f"/settings/operations/{one.pk}/", asked(one)).status_code == 302
    assert list(Operation.objects.values()) == before


def test_an_operation_is_changed_in_the_shops_own_words(owner: Client) -> None:
    Shop.objects.update(word_hub="nave", word_hubs="naves")
    turn = operation("turn-hub")
    assert 'value="Turn nave"' in text(owner.get(f"/settings/operations/{turn.pk}/"))
    owner.post(f"/settings/operations/{turn.pk}/", asked(turn, name="Turn nave true", minutes="72.5"))
    turn.refresh_from_db()
    assert (turn.name, turn.book_seconds) == ("Turn {hub} true", 4350)


def test_an_operation_is_added(owner: Client) -> None:
    answers = {
        "name": "Scrape spoke", "done_word": "scraped", "part": "spoke", "per": "spoke", "trade": "bench", "hands": "1",
        "works": ["new", "new_spokes"], "for_rim": ["sawn"], "minutes": "", "after": operation("shave-spoke").pk,
    }  # fmt: skip
    page = owner.post("/settings/operations/new/", answers)
    added = operation("scrape-spoke")
    assert page["Location"] == f"/settings/operations/{added.pk}/"
    assert (added.chosen_by, added.works, added.book_seconds) == ({"rim": ["sawn"]}, ["new", "new_spokes"], None)


def test_the_same_sent_twice_adds_one_operation(owner: Client) -> None:
    answers = {
        "name": "Oil hub", "done_word": "oiled", "part": "hub", "per": "wheel", "trade": "bench", "hands": "1",
        "works": ["new"], "notes": "raw linseed",
    }  # fmt: skip
    pages = [owner.post("/settings/operations/new/", answers) for _ in range(2)]
    assert [page.status_code for page in pages] == [302, 422]
    assert "There is “Oil hub” already" in text(pages[1])
    assert "raw linseed" in text(pages[1])
    assert Operation.objects.filter(name="Oil {hub}").count() == 1
    owner.post(f"/settings/operations/{operation('oil-hub').pk}/retire/")
    assert owner.post("/settings/operations/new/", answers).status_code == 302


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        ({"per": "number"}, "how many of them a wheel has"),
        ({"per_number": "3"}, "Leave this empty"),
        ({"minutes": "-4"}, "Write 0.1 or more."),
        ({"hands": "0"}, "Write 1 or more."),
        ({"name": ""}, "required"),
        ({"part": "axle"}, "That is not offered here"),
    ],
)
def test_a_wrong_operation_changes_nothing(owner: Client, changes: dict[str, str], sentence: str) -> None:
    turn = operation("turn-hub")
    page = owner.post(f"/settings/operations/{turn.pk}/", asked(turn, notes="kept", **changes))
    assert page.status_code == 422
    assert sentence in text(page)
    assert 'value="kept"' in text(page)
    assert operation("turn-hub") == turn
    assert operation("turn-hub").notes == turn.notes


@pytest.mark.parametrize(("field", "most"), [("name", 80), ("done_word", 40), ("notes", 200)])
def test_what_is_too_long_once_its_words_are_marked_is_told(owner: Client, field: str, most: int) -> None:
    turn = operation("turn-hub")
    typed = ("hub " * 60)[: most - most % 4 - 1]
    page = owner.post(f"/settings/operations/{turn.pk}/", asked(turn, **{field: typed}))
    assert page.status_code == 422
    assert "too long to keep" in text(page)
    assert typed in text(page)
    fits = ("hub " * 60)[: most // 6 * 4 - 1]
    assert owner.post(f"/settings/operations/{turn.pk}/", asked(turn, **{field: fits})).status_code == 302
    assert len(getattr(operation("turn-hub"), field)) <= most


def test_what_is_counted_stays_once_there_is_work(owner: Client, order: Order) -> None:
    turn = operation("turn-hub")
    assert "what it counts is fixed" in text(owner.get(f"/settings/operations/{turn.pk}/"))
    owner.post(f"/settings/operations/{turn.pk}/", asked(turn, per="spoke", name="Turn it"))
    turn.refresh_from_db()
    assert (turn.per, turn.name) == ("wheel", "Turn it")


def test_an_operation_is_retired_and_used_again(owner: Client) -> None:
    turn = operation("turn-hub")
    owner.post(f"/settings/operations/{turn.pk}/retire/")
    assert operation("turn-hub").retired_at
    assert "1 retired" in text(owner.get("/settings/operations/"))
    owner.post(f"/settings/operations/{turn.pk}/restore/")
    assert operation("turn-hub").retired_at is None


def test_a_wait_is_added_and_taken_off(owner: Client) -> None:
    box, turn = operation("fit-box"), operation("turn-hub")
    url = f"/settings/operations/{box.pk}/waits/"
    owner.post(url, {"on": turn.pk, "how": "wheel", "standing_minutes": "960"})
    wait = Wait.objects.get(operation=box, on_operation=turn)
    assert "then stands 16 h" in text(owner.get(f"/settings/operations/{box.pk}/"))
    assert owner.post(f"/settings/waits/{wait.pk}/drop/")["Location"] == f"/settings/operations/{box.pk}/#waits"
    assert not Wait.objects.filter(pk=wait.pk).exists()


def test_a_circle_of_waits_is_refused_by_name(owner: Client) -> None:
    turn, chop = operation("turn-hub"), operation("chop-mortise")
    page = owner.post(
        f"/settings/operations/{turn.pk}/waits/", {"on": chop.pk, "how": "wheel", "standing_minutes": "0"}
    )
    assert page.status_code == 422
    assert "They would wait in a circle: “Turn hub” waits on “Chop mortise”" in text(page)
    assert not Wait.objects.filter(operation=turn, on_operation=chop).exists()


def test_the_choices_are_those_of_a_make_up() -> None:
    known = {
        "hub": makeups.Hub, "rim": makeups.Rim, "tongue": makeups.Tongue, "tyre": makeups.Tyre,
        "fastening": makeups.Fastening, "box": makeups.Box,
    }  # fmt: skip
    assert {choice: tuple(values) for choice, (_, values) in CHOICES.items() if choice in known} == {
        choice: get_args(values) for choice, values in known.items()
    }


def test_every_starting_choice_is_on_the_form(shop: Shop) -> None:
    asked_for = {choice for one in Operation.objects.all() for choice in one.chosen_by}
    assert asked_for
    assert asked_for <= set(CHOICES)


def test_the_list_is_folded_by_part_of_the_wheel(owner: Client, shop: Shop) -> None:
    page = owner.get("/settings/operations/")
    parts = [(heading, [one.key for one in rows]) for heading, rows in page.context["parts"]]
    assert [heading for heading, _ in parts][:4] == ["hubs", "bands", "spokes", "felloes"]
    assert dict(parts)["bands"] == ["make-band", "shrink-band"]
    assert sum(len(keys) for _, keys in parts) == Operation.objects.filter(retired_at=None).count()
    assert page.content.decode().count('<details class="more">') == len(parts)
