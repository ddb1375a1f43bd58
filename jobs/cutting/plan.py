"""What is to be cut, from what, and the plan that comes of it. Lengths are whole nanometres."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from jobs.measures import Unit, format_length

MOST_PIECES = 20_000


class CuttingError(ValueError):
    """A cutting that can't be planned; the message is one sentence for the person who asked for it."""


@dataclass(frozen=True, slots=True)
class Piece:
    """A length that is wanted so many times, and what it is for."""

    length_nm: int
    wanted: int = 1
    name: str = ""


@dataclass(frozen=True, slots=True)
class Stock:
    """A length to cut from: as many as `count` says, or as many as it takes. What fits offcuts is cut from them."""

    length_nm: int
    count: int | None = None
    offcut: bool = False


@dataclass(frozen=True, slots=True)
class Cut:
    """One piece as it is cut."""

    length_nm: int
    name: str = ""


@dataclass(frozen=True, slots=True)
class Bar:
    """One bar, the pieces cut from it, and the width of the cut."""

    length_nm: int
    offcut: bool
    cuts: tuple[Cut, ...]
    kerf_nm: int

    @property
    def taken_nm(self) -> int:
        """Pieces and the cuts between them: at most the bar's length."""
        return sum(cut.length_nm for cut in self.cuts) + self.kerf_nm * (len(self.cuts) - 1)

    @property
    def left_nm(self) -> int:
        """What is left when the last piece is cut off, too."""
        return max(0, self.length_nm - self.taken_nm - self.kerf_nm)


@dataclass(frozen=True, slots=True)
class Plan:
    """Every piece on a bar. `least_new` is a number of new bars that no plan can come under."""

    bars: tuple[Bar, ...]
    least_new: int

    @property
    def new_bars(self) -> int:
        return sum(not bar.offcut for bar in self.bars)

    @property
    def gap(self) -> int:
        """New bars that a better plan might spare; nothing where this one is proven the least."""
        return self.new_bars - self.least_new

    @property
    def proven(self) -> bool:
        return self.gap == 0

    @property
    def stock_nm(self) -> int:
        return sum(bar.length_nm for bar in self.bars)

    @property
    def pieces_nm(self) -> int:
        return sum(cut.length_nm for bar in self.bars for cut in bar.cuts)

    @property
    def yield_share(self) -> float:
        """The share of the stock that ends in pieces."""
        return self.pieces_nm / self.stock_nm if self.bars else 1.0


def check_asked(pieces: Sequence[Piece], stocks: Sequence[Stock], kerf_nm: int, *, unit: Unit) -> None:
    """Raises CuttingError where something asked can't be, whatever the plan."""
    if kerf_nm < 0:
        raise CuttingError("The width of the cut can't be less than nothing.")
    for piece in pieces:
        name = f"“{piece.name}”" if piece.name else "a piece"
        if piece.length_nm <= 0:
            raise CuttingError(f"The length of {name} must be more than nothing.")
        if piece.wanted < 0:
            raise CuttingError(f"The number wanted of {name} can't be less than nothing.")
    for stock in stocks:
        if stock.length_nm <= 0:
            raise CuttingError("The length of a bar must be more than nothing.")
        if stock.count is not None and stock.count < 0:
            raise CuttingError("The number of bars at hand can't be less than nothing.")
        if stock.offcut and stock.count is None:
            raise CuttingError("Say how many offcuts of a length there are: they don't come without end.")
    if sum(piece.wanted for piece in pieces) > MOST_PIECES:
        raise CuttingError(f"More than {MOST_PIECES} pieces are too many for one plan: plan them in parts.")
    _check_lengths(pieces, stocks, unit)


def _check_lengths(pieces: Sequence[Piece], stocks: Sequence[Stock], unit: Unit) -> None:
    wanted = [piece for piece in pieces if piece.wanted]
    if not wanted:
        return
    longest = max((stock.length_nm for stock in stocks if stock.count != 0), default=0)
    if not longest:
        raise CuttingError("There is nothing to cut from: give at least one length of bar.")
    worst = max(wanted, key=lambda piece: piece.length_nm)
    if worst.length_nm > longest:
        name = f"“{worst.name}”" if worst.name else "A piece"
        raise CuttingError(
            f"{name} is {format_length(worst.length_nm, unit=unit)} long, "
            f"and the longest bar only {format_length(longest, unit=unit)}."
        )


def check_plan(plan: Plan, pieces: Sequence[Piece], stocks: Sequence[Stock]) -> None:
    """Proves that a plan cuts every piece once and overcuts no bar.

    Raises AssertionError, which would be a slip of ours and not of who asked.
    """
    wanted = Counter[tuple[int, str]]()
    for piece in pieces:
        wanted[piece.length_nm, piece.name] += piece.wanted
    cut = Counter((cut.length_nm, cut.name) for bar in plan.bars for cut in bar.cuts)
    if cut != +wanted:
        raise AssertionError(f"a plan cuts {cut - wanted} too many and {wanted - cut} too few")
    if any(bar.taken_nm > bar.length_nm or not bar.cuts for bar in plan.bars):
        raise AssertionError("a plan takes more from a bar than there is, or nothing")
    used = Counter((bar.length_nm, bar.offcut) for bar in plan.bars)
    for (length_nm, offcut), count in used.items():
        alike = [each.count for each in stocks if (each.length_nm, each.offcut) == (length_nm, offcut)]
        if None not in alike and count > sum(each or 0 for each in alike):
            raise AssertionError(f"a plan takes {count} bars of {length_nm} nm, more than there are")
