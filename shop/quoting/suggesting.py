"""Rates to suggest for what stripping an old wheel may find: so much for each spoke, felloe, hour.

They are what one such piece costs by the shop's own usual times, with its share of a wheel's timber, at what the draft
asks over its cost. A person looks at them before anybody is told. Setting-up comes once, however many are found, so
that one alone costs about twice as much as one of many: they are reckoned as one of `TOGETHER`, which the page says.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from math import log

from jobs.layout import pieces_in_a_wheel, units_in_a_wheel
from jobs.models import Lot, Operation
from jobs.models.operations import Per, Trade, Work
from jobs.starting_operations import USUALLY_FOUND
from shop.currencies import currency_of
from shop.models import QuoteItem, Revision
from shop.quoting.actions import MOST_PENCE, Item, as_lot, price_of
from shop.quoting.pricing import Cost, PriceRefused, margin_of, price_by_margin, price_by_markup
from shop.quoting.reckoning import Reckoned, Reckoner
from shop.quoting.timber import timber_rows
from timing.usual import WorkLine

PerPiece = QuoteItem.Per
# A new piece of each kind: the part it is, what is usually found to be done for it, and its units that go with one
# piece. What belongs to the whole wheel is done once, however many pieces are found.
PIECES = (
    (PerPiece.SPOKE, "spoke", Work.NEW_SPOKES, (Per.SPOKE,)),
    (PerPiece.FELLOE, "felloe", Work.NEW_FELLOES, (Per.FELLOE, Per.JOINT, Per.SPOKE)),
)

# An assumption, with no source: enough for the setting-up to be shared, and few enough to be found in a pair of wheels.
TOGETHER = 4


@dataclass(frozen=True, slots=True)
class Suggested:
    """Rates, and the names of what could not be reckoned."""

    items: list[Item]
    left_out: list[str]


def suggest_rates(draft: Revision, reckoned: Reckoned, reckoner: Reckoner) -> Suggested:
    """For the first of the draft's wheels that are repaired; none where nothing is."""
    lot = next((lot for lot in draft.lots.all() if lot.work != Work.NEW), None)
    if lot is None:
        return Suggested([], [])
    items, left_out = [], []
    by_key = {operation.key: operation for operation in reckoner.operations}
    for per, part, work, units in PIECES:
        noun = reckoner.words.get(part, part)
        done = [by_key[key] for key in USUALLY_FOUND[work] if key in by_key and by_key[key].per in units]
        cost = _cost(as_lot(lot), part, done, reckoner)
        if cost is None:
            left_out.append(f"a {noun}")
        else:
            items.append(_item(f"A new {noun}, with its timber", per, _asked(draft, reckoned, cost), reckoner))
    hour = _hour(reckoner)
    if hour is None:
        left_out.append("an hour")
    else:
        items.append(_item("Other work that is found", PerPiece.HOUR, _asked(draft, reckoned, hour), reckoner))
    return Suggested(items, left_out)


def _item(what: str, per: PerPiece, pence: int, reckoner: Reckoner) -> Item:
    """In whole pounds, rounded up: nobody is asked for the pennies of a guess."""
    major = 10 ** currency_of(reckoner.shop.currency).digits
    return Item(QuoteItem.Kind.RATE, what, min(-(-pence // major) * major, MOST_PENCE), per=per)


def _cost(lot: Lot, part: str, done: Sequence[Operation], reckoner: Reckoner) -> Cost | None:
    """Of one piece of those found together; None where an hour of that work, or its timber, has no known cost."""
    makeup = lot.makeup
    pieces = max(1, pieces_in_a_wheel(part, makeup))
    units = {one.key: -(-units_in_a_wheel(one, makeup) // pieces) for one in done}
    work = [WorkLine(one, 0, units[one.key] * TOGETHER, 1, lot.height_nm) for one in done]
    spent, timber = reckoner.cost_of(work), _timber(lot, part, reckoner)
    if spent is None or timber is None:
        return None
    return Cost(replace(spent, log_median=spent.log_median - log(TOGETHER)), timber)


def _timber(lot: Lot, part: str, reckoner: Reckoner) -> Fraction | None:
    """Pence of one piece's share in the timber of a new wheel like it; None where it has no price."""
    new = Lot.from_makeup(lot.makeup, name=lot.name, work=Work.NEW)
    rows, told = timber_rows(
        [(new, 1)], reckoner.timbers, reckoner.shop.allowances, words=reckoner.words, unit=reckoner.unit
    )
    parts = ("felloe", "strip") if part == "felloe" else (part,)
    for row, group in zip(rows, told.groups, strict=True):
        if group.part in parts and row.pence is not None:
            return Fraction(row.pence, sum(line.number for line in group.lines))
    return None


def _hour(reckoner: Reckoner) -> Cost | None:
    """What an hour of one hand at the bench costs, overhead included."""
    rate = reckoner.hours.of_trade(Trade.BENCH)
    return None if rate is None else Cost(None, rate / 1000)


def _asked(draft: Revision, reckoned: Reckoned, cost: Cost) -> int:
    """The price of a cost, found as the draft's is; a price of one's own counts by its margin."""
    likely, share = cost.spread.likely, Fraction(draft.price_figure, 10_000)
    if draft.price_by == Revision.PriceBy.CHANCE and share and cost.work is not None:
        return cost.at(float(share))
    if draft.price_by == Revision.PriceBy.MARKUP:
        return price_by_markup(likely, share)
    if draft.price_by == Revision.PriceBy.MARGIN:
        return price_by_margin(likely, share)
    return price_by_margin(likely, max(_margin_of(draft, reckoned), Fraction(0)))


def _margin_of(draft: Revision, reckoned: Reckoned) -> Fraction:
    """The draft's own; none where no price follows, or where there is no cost for it to be a margin over."""
    whole = reckoned.cost.spread.likely
    try:
        price = price_of(draft, reckoned)
    except PriceRefused:
        return Fraction(0)
    return (margin_of(price, whole) if whole > 0 else None) or Fraction(0)
