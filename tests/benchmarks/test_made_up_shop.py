"""The made-up shop is what it says it is: else whatever is judged by it is judged by something else."""

import numpy as np

from tests.benchmarks.made_up_shop import HANDS, OPERATIONS, Nature, draw_orders, draw_shop, pieces_of
from tests.benchmarks.made_up_work import true_quantiles, true_totals, write_log


def test_the_log_tells_each_piece_of_its_orders_once_and_all_their_minutes():
    shop = draw_shop(3, Nature(left_running=0, cut_short=0))
    orders = draw_orders(shop, 60, 3)
    log = write_log(shop, orders, 3)
    assert log.pieces.sum() == orders.cell_pieces.sum()
    written = np.bincount(log.order, log.minutes)
    assert np.allclose(written, true_totals(shop, orders, 3), rtol=0.02)
    assert log.first_orders(4).order.max() == 3
    never = [place for place, (*_, how) in enumerate(OPERATIONS) if how == "never"]
    assert not np.isin(log.operation, never).any()


def test_the_truth_holds_what_it_claims_of_orders_that_it_did_not_draw():
    shop = draw_shop(4)
    orders = draw_orders(shop, 400, 4)
    low, middle, high = true_quantiles(shop, orders, (0.1, 0.5, 0.9), 5, draws=300).T
    minutes = true_totals(shop, orders, 6)
    # Each of 400 hits or misses: three standard errors are 0.06 of 80 %, and 0.075 of a half.
    assert abs(np.mean((minutes > low) & (minutes < high)) - 0.8) < 0.06
    assert abs(np.mean(minutes < middle) - 0.5) < 0.075


def test_draws_are_those_that_are_asked_for():
    shops = [draw_shop(seed) for seed in range(60)]
    exponents = np.array([shop.size_exponent for shop in shops])
    assert abs(exponents.mean() - 0.8) < 0.02
    assert exponents.min() >= 0
    assert exponents.max() <= 1.4
    hands = np.array([shop.hand for shop in shops])
    assert hands.shape == (60, HANDS)
    assert abs(hands.std() - 0.15) < 0.03
    assert abs(np.mean([np.isnan(shop.book).mean() for shop in shops]) - 0.3) < 0.03
    orders = draw_orders(shops[0], 3000, 1)
    wheels = np.bincount(orders.wheel_order)
    assert np.allclose([(wheels == count).mean() for count in (1, 2, 4)], [0.35, 0.35, 0.30], atol=0.03)
    assert pieces_of(np.array([10, 16]))[:, 9].tolist() == [10, 16]


def test_strays_are_as_many_as_asked_for_and_far_off():
    shop = draw_shop(5, Nature(left_running=0.10, cut_short=0.0))
    orders = draw_orders(shop, 200, 5)
    ratio = (
        write_log(shop, orders, 5).minutes
        / write_log(draw_shop(5, Nature(left_running=0, cut_short=0)), orders, 5).minutes
    )
    assert abs((ratio > 3).mean() - 0.10) < 0.01
    assert ratio.max() < 25
