"""What a forecast must do, whatever its numbers are: rest on what there is, and say how surely."""

import numpy as np
import pytest

from timing.forecast import (
    Line,
    Operation,
    WorkRefused,
    fit_timings,
    forecast_lines,
    timings,
    usual_pieces_a_wheel,
)
from timing.forecast.keeping import FitOutdated, from_bytes, to_bytes

SHAVE = Operation("shave", "spoke", "spoke", 12, book_minutes=11)
TONGUE = Operation("tongue", "spoke", "spoke", 12)
TURN = Operation("turn", "hub", "wheel", 1, book_minutes=60)
OPERATIONS = [SHAVE, TONGUE, TURN]
HANDS = ["Wren", "Ash"]
SIZE_NM = 42 * 25_400_000


def shaved(orders, *, hands=(0,), minutes=10.0, spread=0.1):
    """Orders of twelve spokes shaved one by one, each order by one hand, with a seeded spread of the whole order."""
    chance = np.random.default_rng(7)
    count = 12 * orders
    order = np.repeat(np.arange(orders), 12)
    level = minutes * np.exp(spread * chance.standard_normal(orders))[order]
    return {
        "order": order,
        "operation": np.zeros(count),
        "hand": np.array(hands)[order % len(hands)],
        "wheel": order,
        "size_nm": np.full(count, SIZE_NM),
        "pieces": np.ones(count),
        "minutes": level * np.exp(0.2 * chance.standard_normal(count)),
    }


def forecast(fit, *lines):
    return forecast_lines(fit, lines).of()


def relative_width(one):
    return one.quantile(0.9) / one.quantile(0.1)


def test_without_timings_it_rests_on_book_times_and_says_so():
    fit = fit_timings(timings(), OPERATIONS, HANDS).fit
    assert fit.rests_on_book_times_alone
    booked = forecast(fit, Line("shave", 24, 2, SIZE_NM))
    # The book's 11 minutes are those of a pair's 24 spokes, setting-up included.
    assert booked.quantile(0.5) == pytest.approx(24 * 11, rel=0.1)
    unbooked = forecast(fit, Line("tongue", 24, 2, SIZE_NM))
    assert relative_width(unbooked) > relative_width(booked)
    # It is of the family that goes by the spoke: minutes, not an hour, a piece.
    assert 2 * 24 < unbooked.quantile(0.5) < 25 * 24


def test_a_shop_of_no_hands_and_no_book_still_gets_an_answer_from_families_alone():
    fit = fit_timings(timings(), [TONGUE], []).fit
    told = forecast(fit, Line("tongue", 12, 1, None))
    assert 1 < told.quantile(0.5) / 12 < 60
    assert relative_width(told) > 3


def test_timings_draw_the_forecast_to_themselves_and_narrow_it():
    widths = []
    for orders in (1, 4, 40):
        fit = fit_timings(timings(**shaved(orders, minutes=22.0)), OPERATIONS, HANDS).fit
        widths.append(relative_width(forecast(fit, Line("shave", 12, 1, SIZE_NM, "Wren"))))
    assert not fit.rests_on_book_times_alone
    assert widths[0] > widths[1] > widths[2]
    assert forecast(fit, Line("shave", 12, 1, SIZE_NM, "Wren")).quantile(0.5) == pytest.approx(12 * 22, rel=0.08)


def test_a_clock_left_running_is_told_and_moves_nothing():
    sound = shaved(6)
    strayed = {**sound, "minutes": sound["minutes"] * np.where(np.arange(72) == 30, 12, 1)}
    before, after = (fit_timings(timings(**rows), OPERATIONS, HANDS) for rows in (sound, strayed))
    assert np.flatnonzero(after.stray_chance > 0.5).tolist() == [30]
    assert before.stray_chance.max() < 0.5
    assert after.ratio[30] == pytest.approx(12 * before.ratio[30], rel=0.2)
    middle = [forecast(one.fit, Line("shave", 12, 1, SIZE_NM)).quantile(0.5) for one in (before, after)]
    assert middle[1] == pytest.approx(middle[0], rel=0.03)


def test_the_rounds_come_to_rest_where_there_is_no_setting_up_and_no_run():
    judged = fit_timings(timings(**shaved(10)), OPERATIONS, HANDS, still=1e-5)
    assert judged.rounds < 100
    level, _, run, log_setting_up = judged.fit.own(0)
    # What is left of them is less than a fifth of a piece, and a twentieth over ten pieces.
    assert np.exp(log_setting_up) < 0.2
    assert 10**run > 0.9
    assert np.exp(level) == pytest.approx(10, rel=0.15)


def test_hands_differ_and_an_unknown_hand_has_the_wider_range():
    rows = shaved(40, hands=(0, 1), spread=0.02)
    rows["minutes"] = rows["minutes"] * np.where(rows["hand"] == 1, 1.6, 1.0)
    fit = fit_timings(timings(**rows), OPERATIONS, HANDS).fit
    wren, ash, any_hand, stranger = (
        forecast(fit, Line("shave", 12, 1, SIZE_NM, hand)) for hand in ("Wren", "Ash", None, "Rowan")
    )
    assert ash.quantile(0.5) / wren.quantile(0.5) == pytest.approx(1.6, rel=0.1)
    assert wren.quantile(0.5) < any_hand.quantile(0.5) < ash.quantile(0.5)
    assert relative_width(any_hand) > relative_width(wren)
    assert relative_width(stranger) > relative_width(wren)


def test_any_hand_is_as_the_work_was_shared_and_not_the_time():
    told = shaved(40, hands=(0, 1), spread=0.0)
    told["minutes"] = told["minutes"] * np.where(told["hand"] == 0, 1.0, 3.0)
    fit = fit_timings(timings(**told), OPERATIONS, HANDS).fit
    quick, slow, any_hand = (
        np.log(forecast(fit, Line("shave", 12, 1, SIZE_NM, hand)).quantile(0.5)) for hand in ("Wren", "Ash", None)
    )
    # Half of the pieces went through each; three quarters of the time was the slow hand's.
    assert (any_hand - quick) / (slow - quick) == pytest.approx(0.5, abs=0.03)


def test_what_a_minute_is_worth_makes_of_minutes_their_cost():
    fit = fit_timings(timings(**shaved(30)), OPERATIONS, HANDS).fit
    lines = forecast_lines(fit, [Line("shave", 24, 2, SIZE_NM), Line("turn", 2, 2, SIZE_NM)])
    both, dear = lines.of(), lines.of(worth=[0.5, 0.5])
    for chance in (0.1, 0.5, 0.9):
        assert dear.quantile(chance) == pytest.approx(both.quantile(chance) / 2, rel=1e-12)
    # Where turning is worth nearly nothing, the cost is as sure as shaving alone.
    shaving = lines.of([0], worth=[2.0])
    assert lines.of(worth=[2.0, 1e-9]).quantile(0.9) == pytest.approx(shaving.quantile(0.9), rel=1e-6)
    for wrong in ([1.0], [1.0, 0.0]):
        with pytest.raises(ValueError, match="above 0"):
            lines.of(worth=wrong)


def test_setting_up_comes_once_a_batch_and_the_order_is_shared():
    rows = shaved(10)
    # The first spoke of each order has twenty minutes of setting-up in it.
    rows["minutes"] = rows["minutes"] + 20 * (np.arange(120) % 12 == 0)
    fit = fit_timings(timings(**rows), OPERATIONS, HANDS).fit
    one = forecast_lines(fit, [Line("shave", 12, 1, SIZE_NM, "Wren"), Line("shave", 12, 1, SIZE_NM, "Wren")])
    two = forecast_lines(fit, [Line("shave", 12, 1, SIZE_NM, "Wren"), Line("shave", 12, 1, SIZE_NM, "Ash")])
    whole = forecast(fit, Line("shave", 24, 2, SIZE_NM, "Wren"))
    assert one.of([0]).quantile(0.5) - one.of([1]).quantile(0.5) == pytest.approx(20, abs=6)
    assert two.of().quantile(0.5) - one.of().quantile(0.5) > 15
    assert one.of().quantile(0.5) == pytest.approx(whole.quantile(0.5), rel=0.01)
    # Lines of one order are slow or quick together: their sum's range is no narrower than the order's own.
    assert one.of().log_sd > fit.variances.order.value**0.5


def test_a_forecast_reads_both_ways_and_refuses_a_chance_that_is_none():
    one = forecast(fit_timings(timings(), OPERATIONS, HANDS).fit, Line("turn", 2, 2, SIZE_NM))
    for chance in (0.05, 0.5, 0.93):
        assert one.chance_within(one.quantile(chance)) == pytest.approx(chance)
    assert one.chance_within(0) == 0
    with pytest.raises(ValueError, match="between 0 and 1"):
        one.quantile(1)


def test_a_kept_fit_says_the_same_and_one_that_is_damaged_or_outdated_is_told(monkeypatch):
    fit = fit_timings(timings(**shaved(3)), OPERATIONS, HANDS).fit
    kept = to_bytes(fit, made_from="36 timings up to stretch 36")
    again, made_from = from_bytes(kept)
    lines = [Line("shave", 12, 1, SIZE_NM, "Wren"), Line("tongue", 12, 1, None)]
    assert made_from == "36 timings up to stretch 36"
    assert forecast(again, *lines) == forecast(fit, *lines)
    for damaged in (b"", b"PK no zip", kept[:-200]):
        with pytest.raises(FitOutdated, match="damaged"):
            from_bytes(damaged)
    monkeypatch.setattr("timing.forecast.keeping.VERSION", 2)
    with pytest.raises(FitOutdated, match="version 1"):
        from_bytes(kept)


def test_what_cannot_be_reckoned_with_is_refused_by_row_and_name():
    rows = shaved(1)
    for column, value, words in (
        ("minutes", 0, r"Row 3 .* minutes"),
        ("pieces", -1, r"Row 3 .* pieces"),
        ("size_nm", 0, r"Row 3 .* size"),
    ):
        wrong = np.array(rows[column], dtype=float)
        wrong[2] = value
        with pytest.raises(WorkRefused, match=words):
            timings(**{**rows, column: wrong})
    with pytest.raises(WorkRefused, match=r"Row 1 .* operation"):
        fit_timings(timings(**{**rows, "operation": np.full(12, 3)}), OPERATIONS, HANDS)
    with pytest.raises(WorkRefused, match="named “Wren”"):
        fit_timings(timings(**rows), OPERATIONS, ["Wren", "Wren"])
    with pytest.raises(WorkRefused, match="no operation “bore”"):
        forecast(fit_timings(timings(**rows), OPERATIONS, HANDS).fit, Line("bore", 1))
    with pytest.raises(WorkRefused, match="no work to forecast"):
        forecast(fit_timings(timings(**rows), OPERATIONS, HANDS).fit)
    with pytest.raises(WorkRefused, match="no operations"):
        fit_timings(timings(), [], HANDS)
    with pytest.raises(WorkRefused, match="book time of “x”"):
        Operation("x", "hub", "wheel", 1, book_minutes=0)


def test_neither_numbers_of_orders_nor_rows_of_others_between_change_anything():
    rows = shaved(5)
    turned = np.argsort(rows["order"] % 2, kind="stable")
    shuffled = {name: column[turned] for name, column in rows.items()} | {"order": 1000 - rows["order"][turned] * 7}
    fits = [fit_timings(timings(**one), OPERATIONS, HANDS).fit for one in (rows, shuffled)]
    assert np.allclose(fits[0].numbers, fits[1].numbers, atol=1e-8)


def test_a_wheel_that_is_not_named_is_told_by_how_far_the_run_has_come():
    """Two wheels of twelve spokes in each order, the second half as slow again: named or not, it is the same shop."""
    chance = np.random.default_rng(2)
    order, piece = np.divmod(np.arange(24 * 12), 24)
    wheel = order * 2 + piece // 12
    minutes = 10 * np.exp(0.3 * chance.standard_normal(24)[wheel] + 0.1 * chance.standard_normal(len(order)))
    none = np.zeros(len(order))
    named, unnamed = (
        fit_timings(
            timings(
                order=order,
                operation=none,
                hand=none,
                wheel=names,
                size_nm=none + SIZE_NM,
                pieces=none + 1,
                minutes=minutes,
            ),
            OPERATIONS,
            HANDS,
        ).fit
        for names in (wheel, none - 1)
    )
    assert unnamed.variances.wheel.value == pytest.approx(named.variances.wheel.value)
    assert unnamed.variances.wheel.value > 0.15**2


def test_what_goes_by_a_word_or_a_number_has_its_usual_pieces_a_wheel():
    assert [usual_pieces_a_wheel(per) for per in ("wheel", "spoke", "joint", "3")] == [1, 12, 6, 3]
    with pytest.raises(WorkRefused, match="“rung” is none of wheel, spoke"):
        usual_pieces_a_wheel("rung")
