"""How much one piece of a material is: never nothing, and so many of them are so many times one."""

from shop.models import Material
from shop.stores.amounts import about_pieces, of_pieces, one_piece, piece_millionths, pieces_for
from tests.factories import IN

PLANK = {"kind": "plank", "thickness_nm": 2 * IN, "width_nm": 11 * IN}


def test_pieces_add_up_however_they_are_counted() -> None:
    for length in (96, 118, 120):
        oak = Material(unit="m3", length_nm=length * IN, **PLANK)
        assert of_pieces(oak, 10) == 10 * of_pieces(oak, 1)
        assert abs(of_pieces(oak, 1) - one_piece(oak) * 1_000_000) <= 0.5


def test_a_small_piece_is_not_nothing() -> None:
    """A grader goes by whole square feet of face, by which a small blank would be none: 1 × 1 × 12 in is a twelfth."""
    blank = Material(kind="blank", unit="board_foot", thickness_nm=IN, width_nm=IN, length_nm=12 * IN)
    assert one_piece(blank) * 12 == 1
    assert about_pieces(blank, of_pieces(blank, 50)) == "about 50 blanks"
    peg = Material(kind="bar", unit="kg", thickness_nm=1_000_000, width_nm=1_000_000, length_nm=3_000_000)
    assert piece_millionths(peg) == 1
    assert about_pieces(peg, 3) == "about 3 bars"


def test_what_is_to_buy_is_enough_whole_pieces() -> None:
    plank = Material(unit="board_foot", length_nm=96 * IN, **PLANK)
    one = of_pieces(plank, 1)
    assert about_pieces(plank, one * 14 // 10) == "about 1 plank"
    assert about_pieces(plank, one * 14 // 10, at_least=True) == "about 2 planks"
    # Rounding of what was written down before leaves a hair, which is no plank.
    amounts = (0, one // 2000, one, one + one // 2000, one + one // 500)
    assert [pieces_for(plank, amount) for amount in amounts] == [0, 0, 1, 1, 2]
