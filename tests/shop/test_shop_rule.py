"""The shop rule: round ticks, true places, words that never lie on each other."""

import re
from datetime import date, timedelta
from xml.etree import ElementTree

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from shop.shop_rule import ShopRule, Wedge, day_rule, number_rule
from shop.shop_rule_labels import FIGURE_EM, WORD_EM, place
from shop.shop_rule_ticks import plain_figure

TODAY = date(2027, 2, 24)
numbers = st.floats(-1e7, 1e7).map(lambda value: round(value, 3))
days = st.dates(date(1950, 1, 1), date(2150, 1, 1))
words = st.text("abc £19", min_size=1, max_size=24)


def labelled(rule: ShopRule) -> list[str]:
    return [tick.label for tick in rule.ticks if tick.label]


def pace(**more: float) -> ShopRule:
    return number_rule(title="Pace", band=(9, 13), wedges=[Wedge(at=11.6, words="11.6 today")], **more)


def test_it_works() -> None:
    assert labelled(pace()) == ["8", "9", "10", "11", "12", "13", "14"]


def test_narrow_rule_has_fewer_figures() -> None:
    assert labelled(pace(narrowest_em=8)) == ["8", "10", "12", "14"]


def test_places_are_shares_of_the_strip() -> None:
    rule = pace()
    first, last = rule.share(8), rule.share(14)
    assert rule.share(11) == pytest.approx((first + last) / 2) == pytest.approx(0.5)
    assert 0 < first < 0.1


def test_money_is_written_by_the_caller() -> None:
    rule = number_rule(title="Price", band=(305300, 371100), label=lambda pence: f"£{pence / 100:,.0f}")
    assert labelled(rule) == ["£2,500", "£3,000", "£3,500", "£4,000"]


def test_rule_does_not_run_under_nought_where_nothing_is() -> None:
    rule = number_rule(title="Small", wedges=[Wedge(at=0.2, words="now")])
    assert rule.ticks[0].at == 0


def test_weeks_are_labelled_on_mondays() -> None:
    rule = day_rule(title="Ready", band=(date(2027, 3, 9), date(2027, 3, 17)), wedges=[(TODAY, "today", "now")])
    assert labelled(rule) == ["22 Feb", "1 Mar", "8 Mar", "15 Mar", "22 Mar"]
    assert len(rule.ticks) == 29


def test_one_day_has_its_neighbours() -> None:
    rule = day_rule(title="Today", wedges=[(TODAY, "today", "now")])
    assert labelled(rule) == ["22 Feb", "23 Feb", "24 Feb", "25 Feb", "26 Feb"]


def test_long_rule_is_labelled_by_months_and_names_the_year() -> None:
    rule = day_rule(title="Long", wedges=[(date(2026, 11, 9), "a", "now"), (date(2027, 5, 2), "b", "due")])
    assert labelled(rule) == ["Nov", "2027", "Mar", "May", "Jul"]


@pytest.mark.parametrize(
    ("values", "told"),
    [
        ({}, "at least one mark"),
        ({"band": (3, 2)}, "begin before it ends"),
        ({"wedges": [Wedge(at=float("nan"), words="x")]}, "not a number"),
        ({"wedges": [Wedge(at=n, words="x") for n in range(5)]}, "at most 4 marks, not 5"),
    ],
)
def test_what_cannot_be_shown_is_refused(values: dict[str, object], told: str) -> None:
    with pytest.raises(ValueError, match=told):
        number_rule(title="x", **values)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("number", "figures"),
    [
        (9_999_960, "9,999,960"),
        (0.25, "0.25"),
        (1e-6, "0.000001"),
        (-1200.0, "-1,200"),
        (-0.0, "0"),
        (100, "100"),
        (9_999_999.9999, "9,999,999.9999"),
    ],
)
def test_figures_are_plain(number: float, figures: str) -> None:
    assert plain_figure(number) == figures


@given(st.lists(numbers, min_size=1, max_size=4))
@example([9999956.0, 9999995.0])
def test_any_numbers_have_ticks_round_about_them(values: list[float]) -> None:
    rule = number_rule(title="x", wedges=[Wedge(at=value, words="x") for value in values])
    assert rule.ticks[0].at <= min(values) <= max(values) <= rule.ticks[-1].at
    figures = labelled(rule)
    assert len(figures) == len(set(figures)) >= 2
    assert sum(len(figure) * FIGURE_EM for figure in figures) < rule.narrowest_em


@given(st.lists(days, min_size=1, max_size=4))
def test_any_days_have_ticks_round_about_them(values: list[date]) -> None:
    rule = day_rule(title="x", wedges=[(value, "x", "now") for value in values])
    assert rule.ticks[0].at <= min(values).toordinal() <= max(values).toordinal() <= rule.ticks[-1].at
    assert len(labelled(rule)) >= 2
    assert sum(len(figure) * FIGURE_EM for figure in labelled(rule)) < rule.narrowest_em


def span(share: float, text: str, side: str, offset: float, width: float) -> tuple[float, float]:
    wide, at = len(text) * WORD_EM, share * width
    left = {"left": at + offset - wide, "right": at + offset, "middle": at - wide / 2, "start": 0, "end": width - wide}
    return left[side], left[side] + wide


@given(st.lists(st.tuples(st.floats(0, 1), words), max_size=4), st.floats(1, 3))
def test_words_never_lie_on_words_at_this_width_or_wider(wedges: list[tuple[float, str]], wider: float) -> None:
    placed = place(wedges, width_em=20)
    spans = [
        (label.level, *span(share, text, label.side, label.offset_em, 20 * wider))
        for (share, text), label in zip(wedges, placed, strict=True)
    ]
    for index, (level, left, right) in enumerate(spans):
        for other, other_left, other_right in spans[index + 1 :]:
            assert level != other or right <= other_left or other_right <= left


def test_words_stand_beside_their_wedges_where_they_can() -> None:
    placed = place([(0.5, "likely 12th"), (0.7, "due 20th")], width_em=22)
    assert [(label.side, label.level) for label in placed] == [("left", 0), ("right", 0)]


def test_words_near_the_end_turn_inwards() -> None:
    assert place([(0.97, "due 20th")], width_em=22)[0].side == "left"
    assert place([(0.02, "today")], width_em=22)[0].side == "right"


def test_drawing_is_well_formed_escaped_and_titled() -> None:
    rule = number_rule(title="A < B & C", wedges=[Wedge(at=1, words="<b>", kind="due")])
    svg = ElementTree.fromstring(rule.svg("r1"))  # noqa: S314  our own drawing
    assert svg.get("role") == "img"
    assert svg[0].text == "A < B & C"
    assert svg.get("aria-labelledby") == svg[0].get("id")
    assert "<b>" in [text.text for text in svg.iter("text")]
    assert "style" not in rule.svg("r1")


def test_band_is_hatched_where_it_lies() -> None:
    rule = pace()
    drawn = re.search(r'class="rule-band" x="([\d.]+)%".*?width="([\d.]+)%".*?url\(#r1-hatch\)', rule.svg("r1"))
    assert drawn
    assert float(drawn[1]) == pytest.approx(100 * rule.share(9), abs=0.01)
    assert float(drawn[1]) + float(drawn[2]) == pytest.approx(100 * rule.share(13), abs=0.02)


def test_seasons_apart_still_draw() -> None:
    rule = day_rule(title="x", band=(TODAY, TODAY + timedelta(days=9000)))
    assert all(len(figure) == 4 for figure in labelled(rule))
