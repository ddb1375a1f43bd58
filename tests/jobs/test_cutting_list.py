"""The cutting list: which blanks a wheel has, spares, what they are cut from, and that none is lost."""

import math
from collections import Counter
from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from jobs.cutting import CuttingError, FelloePlan, Plan, PlankPlan
from jobs.cutting_list import (
    USUAL,
    Allowances,
    Cutting,
    Line,
    Spoilt,
    Stock,
    blanks_of,
    cut_from,
    fits,
    lines_of,
    spares,
)
from jobs.makeup import MakeUp
from jobs.measures import parse_length
from tests.factories import IN, makeup

FOOT = 12 * IN
BOXED = {"box_large_nm": 3 * IN, "box_small_nm": 3 * IN, "box_length_nm": 10 * IN}
BOARD = Stock(10 * FOOT, 12 * IN, 2 * IN)


def of_part(part: str, **changes: object) -> list[Line]:
    lines = lines_of(makeup(**BOXED | changes), 2, USUAL, spoilt={}, whose="hind pair")
    return [line for line in lines if line.blank.part == part]


def test_each_blank_is_its_piece_with_what_is_left_on_it() -> None:
    hub, spoke, felloe = blanks_of(makeup(**BOXED), USUAL)
    assert (hub.a_wheel, hub.width_nm, hub.length_nm, hub.timber) == (1, 9 * IN, 11 * IN, "elm")
    assert (spoke.a_wheel, spoke.thickness_nm, spoke.width_nm) == (14, 7 * IN // 4, 9 * IN // 4)
    assert felloe.arc
    assert (felloe.a_wheel, felloe.thickness_nm) == (7, 7 * IN // 4)
    assert (felloe.arc.outer_nm, felloe.arc.inner_nm) == (23 * IN + IN // 8, 20 * IN + IN // 2 - IN // 8)
    # 2 R sin(180°/7 + end/R), worked by hand: 2 × 23.125 × sin(0.448799 + 0.010811) = 20.52 in.
    assert (felloe.length_nm or 0) / IN == pytest.approx(20.52, abs=0.005)


def test_a_bent_rim_wants_two_strips_and_a_bolted_hub_no_blank() -> None:
    bent = blanks_of(makeup(rim="bent", felloes=2, hub="bolted"), USUAL)
    assert [(blank.part, blank.a_wheel) for blank in bent] == [("spoke", 14), ("strip", 2)]
    # π × 21.75 in half-way in the depth, and 6 in over.
    assert (bent[1].length_nm or 0) / IN == pytest.approx(math.pi * 21.75 + 6, abs=1e-6)


def test_staggered_spokes_are_two_blanks_and_the_longer_makes_the_spares() -> None:
    made = makeup(**BOXED, stagger_nm=IN)
    lines = lines_of(made, 2, USUAL, spoilt={}, kept={"spoke": 3})
    spokes = {line.blank.row: line for line in lines if line.blank.part == "spoke"}
    assert (spokes["front"].needed, spokes["back"].needed) == (14, 17)
    assert (spokes["back"].blank.length_nm or 0) > (spokes["front"].blank.length_nm or 0)


def test_a_spoke_has_no_length_while_the_box_is_not_told() -> None:
    lines = lines_of(makeup(), 1, USUAL, spoilt={})
    spoke = next(line for line in lines if line.blank.part == "spoke")
    assert (spoke.blank.length_nm, spoke.blank.board_feet, spoke.number) == (None, None, 14)
    assert cut_from(BOARD, [spoke], kerf_nm=0).count == 0


def good_enough(needed: int, more: int, share: Fraction) -> Fraction:
    """The chance that no more than `more` of all are spoiled, one binomial term after another."""
    cut = needed + more
    return sum((math.comb(cut, bad) * share**bad * (1 - share) ** (cut - bad) for bad in range(more + 1)), Fraction(0))


@given(st.integers(0, 60), st.integers(0, 40), st.integers(0, 40))
def test_spares_are_the_fewest_that_are_enough_nine_times_in_ten(needed: int, begun: int, spoiled: int) -> None:
    known, more = Spoilt(begun, spoiled), spares(needed, Spoilt(begun, spoiled))
    share = known.share
    if not share:
        assert more == 0
        return
    assert more <= needed
    assert more == needed or good_enough(needed, more, share) >= Fraction(9, 10)
    assert more == 0 or good_enough(needed, more - 1, share) < Fraction(9, 10)


def test_a_hub_of_which_one_in_a_hundred_is_spoiled_wants_no_spare() -> None:
    assert (spares(2, Spoilt(100, 1)), spares(11, Spoilt(100, 1))) == (0, 1)
    # Where no piece spoiled is too unlikely for a float.
    assert 333 < spares(3000, Spoilt(10, 1)) < 400
    assert spares(5, Spoilt(7, 7)) == 5


@given(st.integers(320, 960), st.integers(20, 48), st.integers(1, 4))
def test_millimetres_and_inches_give_one_list(height: int, depth: int, wheels: int) -> None:
    def listed(text: str) -> list[Line]:
        def length(sixteenths: int) -> int:
            return parse_length(text.format(inch=f"{sixteenths}/16", mm=sixteenths * 1.5875), default_unit="mm")

        made = makeup(**BOXED, height_nm=length(height), felloe_depth_nm=length(depth))
        return lines_of(made, wheels, USUAL, spoilt={"spoke": Spoilt(100, 3)})

    assert listed("{inch} in") == listed("{mm} mm")


LOTS = st.lists(
    st.tuples(
        st.sampled_from([makeup(**BOXED), makeup(**BOXED, stagger_nm=IN), makeup(**BOXED, height_nm=40 * IN)]),
        st.integers(1, 6),
        st.integers(0, 3),
    ),
    min_size=1,
    max_size=3,
)


@given(LOTS, st.integers(0, 20))
def test_no_piece_is_lost_from_the_list_or_from_its_planks(lots: list[tuple[MakeUp, int, int]], spoiled: int) -> None:
    spoilt = {"spoke": Spoilt(100, spoiled), "felloe": Spoilt(100, spoiled)}
    lines = [
        line
        for place, (made, wheels, kept) in enumerate(lots)
        for line in lines_of(made, wheels, USUAL, spoilt=spoilt, kept={"spoke": kept}, whose=f"lot {place}")
    ]
    spokes = [line for line in lines if line.blank.part == "spoke"]
    felloes = [line for line in lines if line.blank.part == "felloe"]
    assert sum(line.needed for line in spokes) == sum(wheels * 14 + kept for _, wheels, kept in lots)
    assert sum(line.needed for line in felloes) == sum(wheels * 7 for _, wheels, _ in lots)
    for alike in (spokes, felloes):
        cutting = cut_from(Stock(10 * FOOT, 12 * IN, 3 * IN), alike, kerf_nm=IN // 8, seconds=0.3)
        assert sum(pieces_of(cutting).values()) == sum(line.number for line in alike)
        assert cutting.count >= cutting.least >= 1


def pieces_of(cutting: Cutting) -> Counter[str]:
    """How many of each a plan cuts, by name."""
    plan = cutting.plan
    if isinstance(plan, Plan):
        return Counter(cut.name for bar in plan.bars for cut in bar.cuts)
    if isinstance(plan, PlankPlan):
        return Counter(blank.name for laid in plan.planks for blank in laid)
    assert isinstance(plan, FelloePlan)
    return Counter(each.felloe.name for laid in plan.planks for each in laid)


def test_a_plank_thick_enough_is_ripped_the_narrow_way() -> None:
    # Blanks of 1 3/4 by 2 1/4 in: from a thick plank strips of 1 3/4, from a thinner one of 2 1/4.
    spokes = of_part("spoke")
    for thickness, strip in ((9 * IN // 4, 7 * IN // 4), (2 * IN, 9 * IN // 4)):
        plan = cut_from(replace(BOARD, thickness_nm=thickness), spokes, kerf_nm=0).plan
        assert isinstance(plan, PlankPlan)
        assert {blank.width_nm for laid in plan.planks for blank in laid} == {strip}


def test_hubs_go_into_a_log_whose_girth_goes_round_them() -> None:
    # 9 in through is 28.27 in round; eleven inches each, and a cut between: ten of them in 10 ft are 111.125 in.
    hubs = [replace(of_part("hub")[0], needed=10)]
    cut = cut_from(Stock(10 * FOOT, girth_nm=round(28.3 * IN)), hubs, kerf_nm=IN // 8)
    assert (cut.count, pieces_of(cut)) == (1, Counter({"hind pair": 10}))
    assert cut_from(Stock(111 * IN, girth_nm=29 * IN), hubs, kerf_nm=IN // 8).count == 2
    with pytest.raises(CuttingError, match=r"The blanks are 9 in through, and the log only about 8 29/32 in\."):
        cut_from(Stock(10 * FOOT, girth_nm=28 * IN), hubs, kerf_nm=0, unit="in")


@pytest.mark.parametrize(
    ("part", "stock", "says"),
    [
        ("spoke", Stock(10 * FOOT, 12 * IN, IN), "The blanks are 1 3/4 in thick, and the timber only 1 in."),
        ("spoke", Stock(FOOT, 12 * IN, 2 * IN), r"The blanks are about .* in long, and the timber only 12 in\."),
        ("felloe", Stock(10 * FOOT, 4 * IN, 2 * IN), "it takes a plank about 4 .* in wide, and this is 4 in"),
        ("hub", Stock(10 * FOOT, 8 * IN, 9 * IN), "The blanks are 9 in through, and the timber only 8 in wide."),
    ],
)
def test_what_a_stock_cannot_give_is_told_in_one_sentence(part: str, stock: Stock, says: str) -> None:
    lines = of_part(part)
    assert not fits(lines[0].blank, stock)
    with pytest.raises(CuttingError, match=says):
        cut_from(stock, lines, kerf_nm=0, unit="in")


def test_a_stock_is_measured_in_what_it_has() -> None:
    boards = cut_from(BOARD, of_part("felloe"), kerf_nm=IN // 8)
    # 12 in by 10 ft by 2 in are 20 board feet; 3.048 m; 1/12 of 20 cubic feet.
    assert boards.amount("each") == boards.count
    assert boards.amount("board_foot") == 20 * boards.count
    assert boards.amount("metre") == boards.count * Fraction("3.048")
    assert boards.amount("m3") == boards.count * Fraction(20, 12) * Fraction("0.3048") ** 3
    with pytest.raises(ValueError, match="not measured by hoppus_foot"):
        boards.amount("hoppus_foot")


@pytest.mark.parametrize("felloes", [1, 2])
def test_a_rim_of_one_or_two_sawn_pieces_is_cut_as_rectangles(felloes: int) -> None:
    lines = of_part("felloe", felloes=felloes)
    assert lines[0].blank.arc is None
    assert cut_from(Stock(10 * FOOT, 50 * IN, 2 * IN), lines, kerf_nm=0).count >= 1


def test_there_is_no_list_without_a_spoke_between_hub_and_rim() -> None:
    with pytest.raises(ValueError, match="no spoke"):
        blanks_of(makeup(hub_diameter_nm=44 * IN), USUAL)


@given(st.integers(6, 60), st.integers(2, 9), st.integers(0, 12))
def test_any_wheel_and_any_allowance_give_blanks_that_can_be_cut(height: int, pairs: int, over: int) -> None:
    made = makeup(height_nm=height * IN, spokes=2 * pairs, felloes=pairs, hub_diameter_nm=IN, felloe_depth_nm=IN)
    lines = lines_of(made, 1, Allowances(*[over * IN] * 9), spoilt={})
    felloes = [line for line in lines if line.blank.part == "felloe"]
    assert all((blank.length_nm or 0) >= made.wood_radius_nm for blank in (felloes[0].blank,) if pairs == 2)
    assert sum(pieces_of(cut_from(Stock(200 * IN, 200 * IN, 20 * IN), felloes, kerf_nm=0)).values()) == pairs
