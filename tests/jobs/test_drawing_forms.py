"""Names, small wheels, sets, racks, keys and words."""

from dataclasses import replace

import pytest

from jobs.drawing import (
    WheelProgress,
    counts_in_words,
    draw_rack,
    draw_set,
    draw_small,
    draw_wheel,
    set_scale,
    state_swatch,
)
from jobs.makeup.problems import PLAIN_WORDS
from jobs.starting_makeups import STARTING_MAKEUPS
from tests.jobs.drawn import read

LIBRARY = {each.name: each.makeup for each in STARTING_MAKEUPS}
HIND, FORE, GIG = LIBRARY["Wagonette, hind"], LIBRARY["Wagonette, fore"], LIBRARY["Gig"]
FINISHED = WheelProgress.finished(HIND)
UNDER_WAY = WheelProgress(hub=1, bands=("on", "smith"), spokes=(0.5,) * 9, felloes=(1, 1, 0.5), tyre="making")


@pytest.mark.parametrize("draw", [draw_wheel, draw_small])
def test_the_name_is_escaped_and_found_by_its_ident(draw) -> None:
    title = '9 of 14 <spokes> & "more"'
    svg = draw(HIND, UNDER_WAY, scale=0.1, title=title, ident="wheel-7")
    assert "<spokes>" not in svg
    named = read(svg).root
    assert named.get("role") == "img"
    assert named.get("aria-labelledby") == named[0].get("id") == "wheel-7-t"
    assert named[0].text == title
    assert read(draw(HIND, UNDER_WAY, scale=0.1, title=title)).root.get("aria-label") == title


@pytest.mark.parametrize("draw", [draw_wheel, draw_small])
def test_every_make_up_of_the_library_is_drawn_without_style_or_script(draw) -> None:
    for makeup in LIBRARY.values():
        for progress in (WheelProgress(), UNDER_WAY, WheelProgress.finished(makeup)):
            svg = draw(makeup, progress, scale=0.1, title="A wheel")
            assert "style" not in svg
            assert "nan" not in svg
            read(svg)


def test_a_small_wheel_strokes_its_spokes() -> None:
    drawn = read(draw_small(HIND, UNDER_WAY, scale=1 / 15, title="A wheel"))
    (solid,), (rest,) = drawn.shapes("w-stroke"), drawn.shapes("w-line", "w-todo")
    assert solid.get("d").count("M") == 9
    assert rest.get("d").count("M") == 14
    assert len(drawn.hatched("felloe")) == 1
    assert drawn.shapes("w-felloe", "w-done")[0].get("d").count("Z") == 2
    assert len(drawn.hatched("smith")) == 1


def test_a_small_wheel_shows_the_piece_in_hand() -> None:
    for piece in (("spoke", 3), ("felloe", 2), ("hub", 0), ("tyre", 0)):
        drawn = read(draw_small(HIND, WheelProgress(in_hand=piece), scale=1 / 15, title="A wheel"))
        assert len(drawn.shapes("w-hand")) == 1, piece


def test_a_set_stands_at_one_scale_within_its_room() -> None:
    wheels = [(makeup, FINISHED, f"wheel {place}") for place, makeup in enumerate((FORE, FORE, HIND, HIND))]
    drawn = [read(svg).root for svg in draw_set(wheels, width=900, height=400, gap=10, ident="order-3")]
    widths = [float(each.get("width")) for each in drawn]
    assert sum(widths) + 30 == pytest.approx(900, abs=0.5)
    assert (widths[2] - 2) / (widths[0] - 2) == pytest.approx(1190 / 990, abs=0.002)
    assert [each.get("aria-labelledby") for each in drawn] == [f"order-3-{place}-t" for place in (1, 2, 3, 4)]
    assert set_scale([HIND], width=900, height=121) == pytest.approx(119 / 1190)


def test_a_set_is_drawn_small_when_it_comes_out_small() -> None:
    assert "w-small" in draw_set([(HIND, FINISHED, "A wheel")], width=80)[0]
    assert "w-small" not in draw_set([(HIND, FINISHED, "A wheel")], width=180)[0]
    assert draw_set([], width=80) == []
    with pytest.raises(ValueError, match="12 wheels do not fit in 100"):
        draw_set([(HIND, FINISHED, "A wheel")] * 12, width=100)


def test_the_rack_holds_what_is_loose_and_leaves_room_for_the_rest() -> None:
    drawn = read(
        draw_rack(
            HIND,
            spokes=[(0.5, 6), (1.0, 9)],
            spokes_wanted=30,
            felloes=[(1, 3), (0.25, 4)],
            felloes_wanted=15,
            scale=0.155,
            title="9 of 30 spokes ready",
        )
    )
    assert len(drawn.shapes("w-spoke", "w-done")) == 9
    assert len(drawn.hatched("spoke")) == 6
    assert len(drawn.shapes("w-spoke", "w-todo")) == 15
    # Done ones stand first, places to be filled last.
    assert drawn.shapes("w-spoke")[:9] == drawn.shapes("w-spoke", "w-done")
    assert drawn.shapes("w-spoke")[15:] == drawn.shapes("w-spoke", "w-todo")
    assert len(drawn.shapes("w-felloe", "w-done")) == 3
    assert len(drawn.hatched("felloe")) == 4
    assert len(drawn.shapes("w-felloe", "w-todo")) == 8


@pytest.mark.parametrize("makeup", [HIND, GIG, LIBRARY["Barrow"]])
@pytest.mark.parametrize("wanted", [1, 15, 80, 400])
def test_the_rack_keeps_within_its_width(makeup, wanted: int) -> None:
    svg = draw_rack(
        makeup, spokes=[(1, 2)], spokes_wanted=wanted, felloes=[], felloes_wanted=wanted, scale=0.15, title="Rack",
        max_width=358,
    )  # fmt: skip
    assert float(read(svg).root.get("width")) <= 361


def test_a_rack_of_nothing_is_nothing() -> None:
    assert draw_rack(HIND, spokes=[], spokes_wanted=0, felloes=[], felloes_wanted=0, scale=0.1, title="") == ""


def test_the_first_loose_piece_not_done_is_in_hand() -> None:
    drawn = read(
        draw_rack(
            HIND, spokes=[(1, 9)], spokes_wanted=28, felloes=[], felloes_wanted=0, scale=0.1, title="", in_hand="spoke"
        )
    )
    (hand,) = drawn.shapes("w-hand")
    assert drawn.shapes("w-spoke").index(hand) == 9
    assert hand.get("fill") == "url(#w-hatch-spoke)"


def test_the_counts_stand_in_words() -> None:
    assert counts_in_words(HIND, UNDER_WAY, words=PLAIN_WORDS) == (
        "hub done, 1 of 2 bands on, 1 of 2 bands at the smith, 9 of 14 spokes driven, 3 of 7 felloes offered up, "
        "2 of 7 felloes on, tyre being made, box not begun, finish not begun"
    )
    plain = replace(GIG, box="none", coats=0, bands=(), tyre="none")
    words = {**PLAIN_WORDS, "hub": "nave"}
    assert counts_in_words(plain, WheelProgress.finished(plain), words=words) == (
        "nave done, 16 of 16 spokes driven, 2 of 2 half-rims on"
    )


def test_a_key_shows_each_state_and_hides_from_screen_readers() -> None:
    assert len({state_swatch("spoke", state) for state in ("todo", "doing", "done")}) == 3
    assert len({state_swatch("iron", state) for state in ("todo", "doing", "smith", "made", "done")}) == 5
    assert read(state_swatch("iron", "smith")).root.get("aria-hidden") == "true"
    with pytest.raises(ValueError, match="only iron is"):
        state_swatch("hub", "smith")


def test_an_order_of_four_is_light() -> None:
    busy = replace(UNDER_WAY, spokes=(0.5,) * 14, felloes=(0.5,) * 7)
    assert sum(len(svg) for svg in draw_set([(HIND, busy, "A wheel, its counts told here")] * 4, width=900)) < 25_000
