"""The table of a quotation: each part of the cost with its range and what it rests on."""

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction

from django.forms.boundfield import BoundField

from jobs.durations import hours_and_minutes
from jobs.models.operations import Trade
from shop.forms.quotes import FiguresForm
from shop.models import QuoteItem
from shop.money import round_half_up
from shop.quote_plank import Kind
from shop.quoting.pricing import Spread
from shop.quoting.reckoning import Reckoned
from shop.quoting.rows import MaterialRow, WorkRow

# An estimate of so many hours is told in whole ones.
WHOLE_FROM = 10


@dataclass(frozen=True, slots=True)
class Under:
    """One thing that a part is made of: its pence (None where unknown), and what it rests on or what is wanting."""

    name: str
    amount: str
    pence: int | None
    rests_on: str = ""
    wants: str = ""
    field: BoundField | None = None
    is_own: bool = False

    @property
    def is_open(self) -> bool:
        """Whether its field is wanted, used or wrong, so that it stands open."""
        return bool(self.field and (self.wants or self.is_own or self.field.errors))


@dataclass(frozen=True, slots=True)
class CostPart:
    """A part of the cost. Under labour stand operations, under the others what was bought for it."""

    kind: Kind
    name: str
    spread: Spread
    rests_on: str = ""
    under: tuple[Under, ...] = ()
    work: tuple["WorkTold", ...] = ()

    @property
    def folded(self) -> list[Under]:
        """Materials whose price does; a figure of one's own may be put in its place."""
        return [one for one in self.under if one.field and not one.is_open]


@dataclass(frozen=True, slots=True)
class WorkTold:
    """One operation in words: units and minutes as hours."""

    name: str
    units: int
    low: str
    likely: str
    high: str
    rests_on: str
    is_weak: bool


def cost_parts(reckoned: Reckoned, items: Iterable[QuoteItem], form: FiguresForm | None = None) -> list[CostPart]:
    """The parts that are there, in the order of the board; `form` has a field for each material."""
    items = list(items)
    of_kind = {
        kind: tuple(_item(item) for item in items if item.kind == kind)
        for kind in (QuoteItem.Kind.OUTWORK, QuoteItem.Kind.GOODS)
    }
    parts = [
        CostPart("labour", "Labour", reckoned.labour, hours_told(reckoned), work=work_told(reckoned.work)),
        CostPart("overhead", "Overhead", reckoned.overhead, "by the hour worked"),
        CostPart("timber", "Timber", Spread.sure(reckoned.timber_pence), under=_materials(reckoned.timber, form)),
        CostPart("iron", "Iron", Spread.sure(reckoned.iron_pence), under=_materials(reckoned.iron, form)),
        CostPart("outwork", "Outwork", Spread.sure(reckoned.outwork_pence), under=of_kind[QuoteItem.Kind.OUTWORK]),
        CostPart("goods", "Goods", Spread.sure(reckoned.goods_pence), under=of_kind[QuoteItem.Kind.GOODS]),
    ]
    return [part for part in parts if part.spread.high or part.under or part.work]


def hours_told(reckoned: Reckoned) -> str:
    """As "about 62 h: 55 h to 71 h"; to the minute under ten hours."""
    minutes = reckoned.hours
    if not minutes.high:
        return ""
    low, likely, high = (_about_hours(one) for one in (minutes.low, minutes.likely, minutes.high))
    return f"about {likely}: {low} to {high}"


def _about_hours(minutes: int) -> str:
    if minutes < 60 * WHOLE_FROM:
        return hours_and_minutes(60 * minutes)
    return f"{round_half_up(Fraction(minutes, 60)):,} h"


def work_told(rows: Iterable[WorkRow]) -> tuple[WorkTold, ...]:
    """Operations in words."""
    return tuple(
        WorkTold(
            name=row.name,
            units=row.units,
            low=hours_and_minutes(round(60 * row.low)),
            likely=hours_and_minutes(round(60 * row.likely)),
            high=hours_and_minutes(round(60 * row.high)),
            rests_on=row.rests_on,
            is_weak=row.is_weak,
        )
        for row in rows
    )


def _materials(rows: Iterable[MaterialRow], form: FiguresForm | None) -> tuple[Under, ...]:
    return tuple(
        Under(
            name=row.name,
            amount=row.amount,
            pence=row.pence,
            rests_on=row.rests_on,
            wants=row.missing if row.pence is None else "",
            field=form[row.key] if form and row.key in form.fields else None,
            is_own=row.is_own,
        )
        for row in rows
    )


def _item(item: QuoteItem) -> Under:
    trade = Trade(item.trade).label if item.trade else ""
    return Under(item.what, f"the {trade}’s" if trade else "", item.amount_pence, "your figure")
