"""The timber page: what it answers, in the shop's units, and how it refuses."""

import pytest
from django.test import Client
from django.urls import reverse

from shop.forms.timber import PieceForm
from shop.models import Hand, Shop

TIMBER = reverse("shop:timber")
PIECE = {
    "what": "piece",
    "species": "white-ash",
    "part": "felloe",
    "moisture": "20",
    "width": "50 mm",
    "thickness": "70 mm",
    "grain": "radial",
    "temperature": "21.1",
    "humidity": "65",
    "limit": "",
}
WRITTEN = {"piece": PIECE, "boards": {"what": "boards"}, "log": {"what": "log"}}


@pytest.fixture
def bench(client: Client, osk: Hand) -> Client:
    client.force_login(osk.user)
    return client


def page(client: Client, query: dict[str, str], *, status: int = 200) -> str:
    answer = client.get(TIMBER, query)
    assert answer.status_code == status
    return " ".join(answer.content.decode().split())


def test_it_opens_with_its_questions_and_no_answer(bench: Client) -> None:
    shown = page(bench, {})
    assert "A piece, and where its wheel will be used" in shown
    assert "Dry enough" not in shown
    assert "0.00169 / 0.00274" in shown


def test_a_piece_is_judged_by_the_air_and_told_how_far_it_moves(bench: Client) -> None:
    shown = page(bench, PIECE)
    # By the equation of the air 21.1 °C and 65 % come to 12.0 %, so that 20 % is 8.0 % too much.
    assert "Not dry enough:" in shown
    assert "8.0 % too much" in shown
    # Ash, 50 mm radial and 70 mm tangential, 20 to 12.0 %: S of 4.9 and 7.8 by the wide equation.
    assert "−0.67 mm" in shown
    assert "−1.50 mm" in shown
    assert "runs 9.43 mm less round the sole, and the tyre is that much slacker" in shown
    assert "672 kg/m³" in shown


def test_a_hub_has_but_a_diameter_and_checks(bench: Client) -> None:
    shown = page(bench, PIECE | {"part": "hub", "species": "american-elm", "width": "200 mm", "thickness": ""})
    assert "Diameter across the rings" in shown
    assert "goes out of round by" in shown
    assert "With the heart of the log in it, checks open by" in shown


def test_a_limit_that_is_given_goes_before_the_airs(bench: Client) -> None:
    shown = page(bench, PIECE | {"limit": "20"})
    assert "Dry enough." in shown
    assert "It may have 20.0 %, the limit that was given." in shown


def test_a_shop_of_inches_is_asked_and_told_in_inches_and_fahrenheit(bench: Client, shop: Shop) -> None:
    metric = page(bench, PIECE)
    shop.units = "in"
    shop.save(update_fields=["units"])
    shown = page(bench, PIECE | {"temperature": "70", "width": "1.96850394 in", "thickness": "2.75590551 in"})
    assert "Warmth where it will be used, °F" in shown
    assert "in air of 70 °F and 65 % humidity" in shown
    # The same piece: −1.50 mm is −0.059 in.
    assert "−0.059 in" in shown
    assert "41.9 lb/ft³" in shown
    assert "672 kg/m³" in metric


def test_boards_are_counted_in_each_way(bench: Client) -> None:
    # American Hardwood Export Council's board, 2 in × 6 1/4 in × 8 ft: 4 1/6 square feet, a grader's 8 board feet.
    shown = page(bench, {"what": "boards", "thickness": "2 in", "width": "6 1/4 in", "length": "8 ft", "boards": "1"})
    assert "counted as 4 whole square feet" in shown
    assert "<b>8</b>" in shown
    assert "<b>8.33</b>" in shown
    assert "6 in wide, 8 ft long" in shown
    assert "0.0197" in shown


def test_a_log_is_counted_by_hoppus(bench: Client) -> None:
    shown = page(bench, {"what": "log", "girth": "48 in", "length": "10 ft"})
    assert "<b>10</b>" in shown
    assert "<b>0.200</b>" in shown
    assert "0.3605 m³" in shown


@pytest.mark.parametrize(
    ("what", "changes", "said"),
    [
        ("piece", {"moisture": "wet"}, "Write a number, like 12.5."),
        ("piece", {"moisture": "nan"}, "Write a number, like 12.5."),
        ("piece", {"moisture": "-1"}, "Write 0 or more."),
        ("piece", {"humidity": "101"}, "Write 100 or less."),
        ("piece", {"width": "broad"}, "cannot be read as a length"),
        ("piece", {"width": "0"}, "Write a length of more than nothing."),
        ("piece", {"thickness": ""}, "Write this too"),
        ("piece", {"species": "yew"}, "That is not offered here"),
        ("piece", {"species": "red-oak"}, "red oak from green is not known here"),
        ("boards", {"boards": "0", "thickness": "1 in"}, "Write 1 or more."),
        ("boards", {}, "Fill this in."),
        ("log", {"girth": "0", "length": "1 m"}, "Write a length of more than nothing."),
    ],
)
def test_what_cannot_be_read_is_said_beside_its_field(
    bench: Client, what: str, changes: dict[str, str], said: str
) -> None:
    shown = page(bench, WRITTEN[what] | changes, status=422)
    assert said in shown
    assert "Error: " in shown


def test_the_shops_own_words_stand_in_the_form(shop: Shop) -> None:
    form = PieceForm(PIECE | {"thickness": ""}, words=shop.words | {"hub": "nave", "felloe": "felly"}, unit="mm")
    assert form.fields["width"].label == "Width, or a nave’s diameter"
    assert form.errors["thickness"] == ["Write this too: only a nave has but a diameter."]


def test_the_make_ups_lead_there_and_a_smith_may_not(client: Client, osk: Hand, bram: Hand) -> None:
    client.force_login(osk.user)
    assert TIMBER in client.get(reverse("shop:makeups")).content.decode()
    client.force_login(bram.user)
    assert client.get(TIMBER).status_code == 403
