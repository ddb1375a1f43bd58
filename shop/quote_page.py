"""What the page of a quotation shows of one revision: its wheels, its price on the rule and as a plank, its parts."""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property

from django.urls import reverse
from django.utils.safestring import SafeString, mark_safe

from jobs.drawing import WheelProgress, draw_small, draw_wheel, set_scale
from jobs.makeup import MakeUp, describe
from jobs.measures import format_length
from jobs.models.operations import Trade, Work
from shop.asked import Asked
from shop.drawings import PAIR_HEIGHT, PAIR_PIXELS, SMALL_BELOW
from shop.file_answers import FileLink, paper_links
from shop.forms.quotes import FiguresForm
from shop.models import Quote, QuoteItem, QuoteLot, Revision
from shop.money import format_pence
from shop.own_words import own_words
from shop.quote_plank import PlankPart, plank
from shop.quote_rows import CostPart, cost_parts
from shop.quote_words import (
    about,
    chance_in_words,
    cost_in_words,
    is_expired,
    leaves_in_words,
    per_cent,
    price_choice,
    short_day,
    state_in_words,
)
from shop.quoting.actions import price_of
from shop.quoting.drafts import mark_of
from shop.quoting.pricing import PriceRefused, Spread, deposit_on, margin_of, markup_of, tax_on
from shop.quoting.reckoning import Reckoned
from shop.quoting.shown import sign_timber
from shop.shop_rule import ShopRule, Wedge, number_rule

A_ROW = 3
# Where each thing that is missing is mended, by words of its sentence.
MENDED = (
    ("in Rates", "Rates", "rates"),
    ("in Materials", "Materials", "materials"),
    ("them out anew", "Times", "times"),
)


@dataclass(frozen=True, slots=True)
class StandingLot:
    """Wheels of one make-up, drawn once."""

    lot: QuoteLot
    drawing: SafeString
    name: str
    wheels: str
    line: str
    work: str


@dataclass(frozen=True, slots=True)
class Missing:
    """What must be known first, and where it is mended ("" for here)."""

    sentence: str
    label: str = ""
    url: str = ""
    is_owners: bool = False


class QuotePage:
    """One revision: a draft as it is reckoned now, or what was sent as it was then."""

    def __init__(
        self, quote: Quote, revision: Revision, reckoned: Reckoned, here: Asked, figures: FiguresForm | None = None
    ) -> None:
        self.quote, self.revision, self.reckoned, self.here = quote, revision, reckoned, here
        self.currency = revision.currency or here.shop.currency
        self.items: list[QuoteItem] = list(revision.items.all())
        self.lots: list[QuoteLot] = list(revision.lots.all())
        self.parts: list[CostPart] = cost_parts(reckoned, self.items, figures)
        self.price_refused = ""
        self.price = self._price()

    def _price(self) -> int | None:
        if not self.revision.is_draft:
            return self.revision.price_pence
        try:
            return price_of(self.revision, self.reckoned)
        except PriceRefused as refused:
            self.price_refused = str(refused)
            return None

    @property
    def papers(self) -> list[FileLink]:
        """What it is on paper, once it has a price that lacks nothing."""
        if self.price is None or (self.revision.is_draft and self.reckoned.missing):
            return []
        asked = {"revision": str(self.revision.number)}
        return paper_links("quote-paper", self.quote.number, asked=asked)

    @property
    def taken_off(self) -> int:
        """Pence of what is not spent yet on wheels that an alteration replaces; less than nothing, for the table."""
        return -self.reckoned.taken_off_pence

    @property
    def has_open_figures(self) -> bool:
        """Whether a field for a figure of one's own stands in the table."""
        return any(under.is_open for part in self.parts for under in part.under)

    @property
    def spread(self) -> Spread:
        return self.reckoned.cost.spread

    @cached_property
    def state(self) -> str:
        return state_in_words(self.revision, self.quote, today=self.here.today, zone=self.here.zone)

    @property
    def is_expired(self) -> bool:
        return is_expired(self.revision, self.here.today)

    @property
    def may_be_taken(self) -> bool:
        return self.revision.state == Revision.State.SENT and not self.is_expired

    @cached_property
    def revisions(self) -> list[tuple[Revision, str]]:
        """All of them with how each stands, the newest first."""
        rows = self.quote.revisions.defer("frozen").order_by("-number")
        return [(row, state_in_words(row, self.quote, today=self.here.today, zone=self.here.zone)) for row in rows]

    @property
    def told_revisions(self) -> list[tuple[Revision, str, str]]:
        """The same with the price of each, in the money that it was written in."""
        shops = self.here.shop.currency
        return [
            (row, state, "" if row.price_pence is None else format_pence(row.price_pence, row.currency or shops))
            for row, state in self.revisions
        ]

    @property
    def draft(self) -> Revision | None:
        """The draft beside what is shown, if there is one."""
        return next((row for row, _ in self.revisions if row.is_draft and row != self.revision), None)

    @property
    def may_be_revised(self) -> bool:
        """Whether a draft may go on from here: not after acceptance, nor where one is there."""
        states = {row.state for row, _ in self.revisions}
        return not states & {Revision.State.DRAFT, Revision.State.ACCEPTED}

    @property
    def mark(self) -> str:
        """What is sent along with "Write out", so that nothing is sent that nobody saw."""
        return mark_of(self.revision, self.price, self.reckoned)

    @property
    def timber_shown(self) -> str:
        """Its timber's figures, sent along too: they are what is written out."""
        return sign_timber(self.reckoned)

    @property
    def changed_at(self) -> str:
        """What is sent along with "Give it up"."""
        return self.revision.changed_at.isoformat()

    @property
    def sentences(self) -> list[str]:
        """What the price means beside the cost."""
        if self.price is None:
            return [cost_in_words(self.spread, self.currency)]
        said = [
            cost_in_words(self.spread, self.currency),
            leaves_in_words(self.price, self.spread, self.currency),
        ]
        # Of wheels that replace others the range is of the new ones whole: no chance follows from it.
        chance = "" if self.taken_off else chance_in_words(self.price, self.reckoned.cost)
        return [" ".join(said), *filter(None, [self.margins, chance])]

    @property
    def margins(self) -> str:
        """Margin and markup, both named, since one is often taken for the other."""
        likely = self.spread.likely
        if self.price is None or likely <= 0:
            return ""
        margin, markup = per_cent(margin_of(self.price, likely)), per_cent(markup_of(self.price, likely))
        return (
            f"At the likely cost that is a margin of {margin} of the price, which is a markup of {markup} on the cost."
        )

    @property
    def follows(self) -> str:
        """What the price follows; empty where it is one of the person's own."""
        own = self.revision.price_by == Revision.PriceBy.PRICE
        return "" if own else f"at {price_choice(self.revision, self.currency)}"

    @property
    def profit(self) -> Spread | None:
        """What is left of the price: least where the work costs most."""
        if self.price is None:
            return None
        return Spread(*(self.price - one for one in (self.spread.high, self.spread.likely, self.spread.low)))

    @cached_property
    def rule(self) -> ShopRule | None:
        if not self.spread.high or self.price is None:
            return None
        low, likely, high = self.spread.low, self.spread.likely, self.spread.high
        wedges = [
            Wedge(at=likely, words=f"likely cost {about(likely, self.currency)}", kind="likely"),
            Wedge(at=self.price, words=f"price {about(self.price, self.currency)}"),
        ]
        if likely > self.price:
            wedges.reverse()
        return number_rule(
            title=" ".join([f"The price beside the cost: {about(self.price, self.currency)}.", *self.sentences]),
            wedges=wedges,
            band=(low, high) if low < high else None,
            label=lambda pence: format_pence(round(pence), self.currency).removesuffix(".00"),
        )

    @cached_property
    def plank(self) -> SafeString:
        """The price, sawn into what it pays for; where it is less than the cost, the cost with a saw line.

        Empty where something comes off the cost: no board is cut into less than nothing.
        """
        whole = sum(part.spread.likely for part in self.parts)
        if self.price is None or self.taken_off or not (self.price or whole):
            return SafeString("")
        cut = [
            PlankPart(part.kind, part.name, part.spread.likely, self._about(part.spread.likely)) for part in self.parts
        ]
        left = self.price - sum(part.pence for part in cut)
        if left > 0 and self.profit:
            # The likely parts of a forecast add up to nearly the likely whole: the figure is the table's.
            cut.append(PlankPart("profit", "Profit", left, self._about(self.profit.likely)))
        said = ", ".join(f"{part.name.lower()} {part.said}" for part in cut if part.pence)
        title = f"The price in its parts: {said}."
        return mark_safe(plank(cut, title=title, ident="plank", price=self.price))  # noqa: S308  it escapes its words

    def _about(self, pence: int) -> str:
        return about(pence, self.currency)

    @cached_property
    def missing(self) -> list[Missing]:
        """What must be known before it is written out, each with where that is mended."""
        return [self._missing(sentence) for sentence in self.reckoned.missing]

    def _missing(self, sentence: str) -> Missing:
        for words, label, name in MENDED:
            if words in sentence:
                return Missing(sentence, label, reverse(f"shop:{name}"), is_owners=name != "times")
        if "until the make-up tells" in sentence:
            return Missing(sentence, "Its wheels", reverse("shop:quote-wheels", args=[self.quote.number]))
        return Missing(sentence)

    @property
    def tax(self) -> int | None:
        if not self.revision.is_draft or self.price is None:
            return self.revision.tax_pence
        return tax_on(self.price, Fraction(self.revision.tax_bp, 10_000))

    @property
    def total(self) -> int | None:
        """Price and tax together."""
        return None if self.price is None or self.tax is None else self.price + self.tax

    @property
    def deposit(self) -> int | None:
        if not self.revision.is_draft or self.total is None:
            return self.revision.deposit_pence
        return deposit_on(self.total, Fraction(self.revision.deposit_bp, 10_000))

    @property
    def outside(self) -> str:
        """The trades whose work is done outside, in words."""
        return " and ".join(f"the {Trade(trade).label}’s" for trade in self.revision.outside)

    @property
    def rates(self) -> list[QuoteItem]:
        """What is asked for each thing that stripping may find."""
        return [item for item in self.items if item.kind == QuoteItem.Kind.RATE]

    @property
    def is_repair(self) -> bool:
        return any(lot.work != Work.NEW for lot in self.lots)

    @property
    def last_on(self) -> str:
        return short_day(self.revision.last_on, self.here.today) if self.revision.last_on else ""

    @cached_property
    def stand(self) -> list[list[StandingLot]]:
        """One wheel of each lot, all at one scale, in rows on their ground."""
        return stand_lots(self.lots, self.here)


def stand_lots(lots: Sequence[QuoteLot], here: Asked) -> list[list[StandingLot]]:
    """One wheel of each, in rows that stand on their ground."""
    if not lots:
        return []
    rows = [lots[first : first + A_ROW] for first in range(0, len(lots), A_ROW)]
    scale = min(
        set_scale(
            [lot.makeup for lot in row] if len(lots) > 1 else [row[0].makeup] * 2, width=PAIR_PIXELS, height=PAIR_HEIGHT
        )
        for row in rows
    )
    return [[_standing(lot, scale, here) for lot in row] for row in rows]


def _standing(lot: QuoteLot, scale: float, here: Asked) -> StandingLot:
    makeup = lot.makeup
    line = describe(makeup, words=here.words, unit=here.unit)
    drawn = drawn_finished(makeup, scale=scale, title=f"{lot.name}: {line}", ident=f"lot-{lot.pk}")
    return StandingLot(
        lot=lot,
        drawing=drawn,
        name=lot.name[:1].upper() + lot.name[1:],
        wheels=f"{lot.wheels} wheel{'' if lot.wheels == 1 else 's'}, {format_length(makeup.height_nm, unit=here.unit)}",
        line=line,
        work="" if lot.work == Work.NEW else own_words(lot.get_work_display(), here.words),
    )


def drawn_finished(makeup: MakeUp, *, scale: float, title: str, ident: str) -> SafeString:
    """A wheel as it will be, at a scale."""
    draw = draw_small if makeup.tyre_diameter_nm / 1_000_000 * scale < SMALL_BELOW else draw_wheel
    svg = draw(makeup, WheelProgress.finished(makeup), scale=scale, title=title, ident=ident)
    return mark_safe(svg)  # noqa: S308  drawn by jobs.drawing, which escapes the title
