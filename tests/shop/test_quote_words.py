"""What is said of a quotation, and how its price is drawn as a plank. No database."""

from fractions import Fraction

import pytest

from jobs.models import Wheel
from shop.forms.quote_rows import split_places
from shop.quote_plank import PlankPart, place_words, plank
from shop.quote_words import about, chance_in_words, cost_in_words, leaves_in_words, odds, per_cent
from shop.quoting.pricing import Cost, Spread
from shop.shop_rule_labels import WORD_EM
from timing.forecast import Forecast

COST = Spread(305_300, 330_900, 371_100)


@pytest.mark.parametrize(
    ("price", "said"),
    [
        (389_000, "That leaves £179 to £837, most likely £581."),
        (350_000, "That leaves anything from a loss of £211 to £447, most likely £191."),
        (310_000, "That leaves anything from a loss of £611 to £47, most likely a loss of £209."),
        (300_000, "That is a loss of £53 to £711, most likely £309."),
    ],
)
def test_what_a_price_leaves(price: int, said: str) -> None:
    assert leaves_in_words(price, COST, "GBP") == said
    assert cost_in_words(COST, "GBP") == "Cost likely £3,053 to £3,711."


def test_a_cost_that_is_known_is_told_to_the_penny() -> None:
    known = Spread.sure(1234)
    assert cost_in_words(known, "GBP") == "Cost £12.34, all of it known."
    assert leaves_in_words(2000, known, "GBP") == "That leaves £7.66."
    assert leaves_in_words(1000, known, "GBP") == "That is a loss of £2.34."
    assert chance_in_words(2000, Cost(None, Fraction(1234))) == ""


def test_estimates_are_round_and_chances_are_said() -> None:
    assert [about(pence, "GBP") for pence in (99_949, 99_950, 999, -100_050)] == ["£999", "£1,000", "£9.99", "−£1,001"]
    assert about(1_234, "JPY") == "¥1,234"
    assert [per_cent(share) for share in (Fraction(1, 5), Fraction(2, 11), Fraction(-1, 8), None)] == [
        "20\N{NO-BREAK SPACE}%",
        "18.2\N{NO-BREAK SPACE}%",
        "−12.5\N{NO-BREAK SPACE}%",
        "none",
    ]
    assert [odds(one) for one in (0.9, 0.52, 0.94, 0.9999, 0.03, 0.0)] == [
        "9 in 10",
        "5 in 10",
        "94 in 100",
        "more than 99 in 100",
        "3 in 100",
        "less than 1 in 100",
    ]
    sure = Cost(Forecast(8.0, 0.1, 1e9), Fraction(100))
    assert chance_in_words(sure.at(0.9), sure).endswith("under the price is 9 in 10, of a loss 1 in 10.")


@pytest.mark.parametrize(
    "pence",
    [
        (1898, 505, 418, 212, 276, 40, 581),
        (10, 10, 10, 10, 10, 10, 5000),
        (5000, 10, 10, 10, 10, 10, 10),
        (1, 1, 1, 1, 1, 1, 1),
    ],
)
def test_no_words_of_a_plank_lie_on_others(pence: tuple[int, ...]) -> None:
    whole, left, parts = sum(pence), 0.0, []
    for one in pence:
        parts.append((left, left + one / whole, "Overhead", f"£{one}"))
        left += one / whole
    for width in (22.0, 60.0):
        spans: dict[int, list[tuple[float, float]]] = {}
        for word in place_words(parts, width_em=22.0):
            wide, at = len(word.text) * WORD_EM, word.at * width
            begins = {"end": at - wide, "start": at, "middle": at - wide / 2}[word.anchor]
            spans.setdefault(word.row, []).append((begins, begins + wide))
        for row in spans.values():
            assert all(one[1] <= other[0] for one, other in zip(sorted(row), sorted(row)[1:], strict=False))


def test_a_plank_is_as_wide_as_its_parts_and_says_them() -> None:
    parts = [PlankPart("labour", "Labour", 300, "£3.00"), PlankPart("iron", "Iron & brass", 100, "£1.00")]
    drawn = plank(parts, title="Labour £3.00, iron £1.00", ident="plank")
    assert 'class="plank-labour" x="0.00%"' in drawn
    assert 'width="75.00%"' in drawn
    assert "Iron &amp; brass £1.00" in drawn
    assert "plank-price" not in drawn
    # Under the cost, a saw line says where the price ends.
    assert '<line class="plank-price" x1="50.00%"' in plank(parts, title="", ident="plank", price=200)
    with pytest.raises(ValueError, match="at least one part"):
        plank([PlankPart("iron", "Iron", 0, "")], title="", ident="plank")
    with pytest.raises(ValueError, match="never less than nothing"):
        plank([PlankPart("iron", "Iron", -1, "")], title="", ident="plank")


def test_wheels_are_entered_as_pairs_singles_and_loose_ones() -> None:
    place = Wheel.Place
    four = [place.NEAR_HIND, place.NEAR_FORE, place.OFF_FORE, place.OFF_HIND]
    assert list(split_places(four)) == [("fore_pair", 2), ("hind_pair", 2)]
    assert list(split_places([place.NEAR_FORE, place.OFF_HIND])) == [("near_fore", 1), ("off_hind", 1)]
    assert list(split_places([place.LOOSE] * 130)) == [("loose", 60), ("loose", 60), ("loose", 10)]
