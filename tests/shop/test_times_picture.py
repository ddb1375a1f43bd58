"""The picture of timings: where dots stand, what lies beyond, and how many words fit below."""

import re
from datetime import date

import pytest

from shop.times_picture import ABOVE, Dot, Picture, days_between, scale_of
from shop.times_words import hours_span, longer_in_words, minutes_shown, span

MONDAY = date(2026, 3, 2).toordinal()


def picture(*dots, **others):
    return Picture(dots=dots, title="Six spokes <by> date", **others)


def places(svg, kind=""):
    found = re.findall(rf'<circle{kind} cx="([\d.]+)%" cy="(\d+)"', svg)
    return [(float(x), float(y)) for x, y in found]


def test_dots_stand_by_minutes_and_by_date_and_strays_are_rings():
    drawn = picture(
        Dot(MONDAY + 0.5, 10), Dot(MONDAY + 2.5, 12), Dot(MONDAY + 1.5, 8, "stray"), likely=(9, 13), book=11
    )
    svg = drawn.svg("timings")
    (first, later), (ring,) = places(svg), places(svg, ' class="stray"')
    assert first[0] < ring[0] < later[0]
    assert later[1] < first[1] < ring[1]
    assert drawn.y(13) < drawn.y(11) < drawn.y(9)
    assert "Six spokes &lt;by&gt; date" in svg
    assert 'id="timings-title"' in svg


def test_what_is_far_longer_stands_at_the_top_and_squeezes_nothing():
    usual = [Dot(MONDAY + n / 50, 10 + n % 5) for n in range(100)]
    drawn = picture(*usual, Dot(MONDAY, 400, "stray"), likely=(9, 15), book=11)
    assert drawn.high < 30
    assert [dot.minutes for dot in drawn.beyond] == [400]
    assert drawn.y(400) == ABOVE
    assert drawn.y(drawn.high) > ABOVE
    assert ">more<" in drawn.figures
    assert ">more<" not in picture(*usual).figures


@pytest.mark.parametrize(
    ("minutes", "likely", "book", "scale"),
    [
        ([10, 12, 14], (9, 13), 11, (8, 16, 2)),
        ([1, 2, 3], (1, 3), None, (0, 4, 1)),
        ([100, 110], None, 95, (90, 120, 5)),
        ([0.1], None, None, (0.095, 0.11, 0.005)),
    ],
)
def test_the_scale_is_of_round_figures_that_hold_all(minutes, likely, book, scale):
    low, high, step = scale_of([Dot(MONDAY, one) for one in minutes], likely, book)
    assert low <= min(minutes)
    assert high >= max([*minutes, *(likely or ()), book or 0])
    assert (high - low) / step <= 8
    assert (low, high, step) == pytest.approx(scale)


def test_hand_by_hand_each_has_a_column_with_its_name():
    names = ["Idris", "Maud", "Osk"]
    dots = [Dot(MONDAY + n, 10, "one", column) for column in range(3) for n in range(4)]
    drawn = picture(*dots, columns=names)
    across = [x for x, _ in places(drawn.svg("timings"))]
    columns = [across[4 * n : 4 * n + 4] for n in range(3)]
    assert max(columns[0]) < min(columns[1]) < max(columns[1]) < min(columns[2])
    svg = drawn.svg("timings")
    assert [name for name in names if f">{name}</text>" in svg] == names
    # A dozen long names stand in several rows, one under the other.
    many = picture(*dots, columns=[f"Bartholomew {n}" for n in range(12)])
    assert len(set(re.findall(r'y="([\d.]+)" text-anchor="middle">Bartholomew', many.svg("timings")))) > 4
    assert many.height > drawn.height


@pytest.mark.parametrize(("days", "wide"), [(0, 18.5), (6, 18.5), (40, 18.5), (420, 18.5), (420, 36), (9000, 18.5)])
def test_figures_of_days_stay_within_and_clear_of_each_other(days, wide):
    ticks = days_between(MONDAY, MONDAY + days + 1, width_em=wide)
    labels = [tick.label for tick in ticks if tick.label]
    assert labels
    assert all(MONDAY <= tick.at <= MONDAY + days + 1 for tick in ticks)
    assert sum(len(label) * 0.56 + 0.5 for label in labels) <= wide + 2.8


def test_minutes_shares_and_hours_are_told_as_a_person_would():
    assert [minutes_shown(one) for one in (8.84, 12, 29.96, 30.4, 1234)] == ["8.8", "12", "30", "30", "1,234"]
    assert (span(7.94, 12.3), span(8.01, 8.04)) == ("7.9 to 12.3", "8")
    assert [longer_in_words(one) for one in (0.083, -0.04, 0.001)] == ["8 % longer", "4 % shorter", "as long"]
    assert hours_span(30, 90) == "30 min to 1.5 h"
    assert hours_span(90, 150) == "1.5 to 2.5 h"
