"""A quotation as the customer gets it: what is made, for what price, until when, and where to sign.

Its price is one. The wheels share what the work takes (setting-up, a fire, the run of a hand), so that one lot without
the others would come to another sum: a price for each would promise what does not hold. Nothing stands here of hours of
work, of what they cost the shop, or of how sure that is.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from jobs.makeup import MakeUp
from jobs.papers import (
    Across,
    Amount,
    Amounts,
    Cells,
    Column,
    Document,
    Letterhead,
    Line,
    Part,
    Signing,
    Standing,
    Table,
    Words,
)
from jobs.papers.content import Piece
from shop.asked import Asked
from shop.days import day_in_words
from shop.models import QuoteItem, QuoteLot, Revision
from shop.money import format_pence
from shop.order_words import printed_in_words
from shop.quote_paper_words import (
    made_so,
    place_in_words,
    places_in_words,
    rate_in_words,
    repair_in_words,
    wheels_in_words,
    work_in_words,
)
from shop.quote_standing import Stands

PAIRS = (Column("", 11, small=True), Column("", 40), Column("", 9, small=True), Column("", 40))
LABELLED = (Column("", 21, strong=True), Column("", 79))
RATES = (Column("", 60), Column("", 40, figures=True))
MOST_DRAWN = 6
ALTERED = (
    "What is written here is what is made. Whatever is to be otherwise is priced first and agreed in writing, as an "
    "alteration, before it is done."
)
FOUND = (
    "An old wheel shows its faults only once it is stripped, so the price may change: what is found then is not in it. "
    "You are told first, and it is done only with your yes, at these rates{tax}."
)


@dataclass(frozen=True, slots=True)
class Price:
    """Whole pence: before tax, the tax, and what of both is asked beforehand."""

    pence: int
    tax: int
    deposit: int

    @property
    def total(self) -> int:
        return self.pence + self.tax


def quote_paper(revision: Revision, price: Price | None, stands: Stands, here: Asked) -> Document:
    """The paper of one revision as it stands today; a draft may have no price yet."""
    paper = _Paper(revision, price, stands, here)
    return Document(
        title=paper.title,
        about=paper.about,
        running=f"{paper.name}, for {paper.revision.customer}",
        whose=here.shop.name,
        printed=printed_in_words(here.today),
        pieces=tuple(paper.pieces()),
        letterhead=Letterhead(tuple(here.shop.contact_lines), paper.facts),
        across=stands.across,
    )


class _Paper:
    def __init__(self, revision: Revision, price: Price | None, stands: Stands, here: Asked) -> None:
        self.revision, self.price, self.stands, self.here = revision, price, stands, here
        self.quote = revision.quote
        self.lots: Sequence[QuoteLot] = list(revision.lots.all())
        self.items: Sequence[QuoteItem] = list(revision.items.all())
        self.name = f"Quotation {self.quote.number}, revision {revision.number}"

    @property
    def title(self) -> str:
        if self.quote.alters:
            return f"Alteration of order {self.quote.alters.number}"
        return "Draft of a quotation" if self.revision.is_draft else "Quotation"

    @property
    def facts(self) -> tuple[tuple[str, str], ...]:
        again = f", revision {self.revision.number}" if self.revision.number > 1 else ""
        sent = self.revision.sent_at
        written = sent.astimezone(self.here.zone).date() if sent else self.here.today
        facts = [("Number", f"{self.quote.number}{again}"), ("Date", day_in_words(written))]
        if self.revision.last_on:
            facts.append(("Holds until", day_in_words(self.revision.last_on)))
        return tuple(facts)

    @property
    def about(self) -> tuple[str, ...]:
        contact = [line.strip() for line in self.revision.customer.contact.splitlines() if line.strip()]
        return (f"For {self.revision.customer}", *contact)

    def money(self, pence: int) -> str:
        return format_pence(pence, self.revision.currency or self.here.shop.currency)

    def pieces(self) -> Iterator[Piece]:
        if self.stands.said:
            yield Words(self.stands.said)
        if self.lots:
            yield Standing(tuple(self.standing()))
            blocks = tuple(self.lot_block(lot) for lot in self.lots)
            yield Table(self.revision.carriage, PAIRS, blocks, wheels_in_words(self.wheels))
        included = [item.what for item in self.items if item.kind != QuoteItem.Kind.RATE]
        if included:
            yield Table("Included besides", LABELLED[1:], tuple((Cells((what,)),) for what in included))
        yield from self.rates()
        yield self.sums()
        yield Table("What is agreed", LABELLED, tuple(lines for lines in self.terms() if lines))
        if self.stands.may_sign and self.price:
            yield self.signing(self.price)

    @property
    def wheels(self) -> int:
        return sum(lot.wheels for lot in self.lots)

    def standing(self) -> Iterator[tuple[MakeUp, str]]:
        """Each wheel at its place; of more than a row holds, one of each kind."""
        for lot in self.lots:
            if self.wheels > MOST_DRAWN:
                yield lot.makeup, f"{_capital(lot.name)}: {wheels_in_words(lot.wheels)}"
            else:
                yield from ((lot.makeup, _capital(place_in_words(place) or lot.name)) for place in lot.places)

    def lot_block(self, lot: QuoteLot) -> tuple[Line, ...]:
        words, unit = self.here.words, self.here.unit
        instead = f", instead of the {lot.instead_of.name} as agreed" if lot.instead_of else ""
        head = f"{_capital(lot.name)}, {places_in_words(lot.places)}: {work_in_words(lot, words)}{instead}"
        pairs = made_so(lot.makeup, self.revision.boxes, words=words, unit=unit)
        rows = zip(pairs[:4], pairs[4:], strict=True)
        done = repair_in_words(lot, words)
        spares = _spares(lot, words["felloes"])
        return (
            Part(head),
            *(Cells((*wood, *iron)) for wood, iron in rows),
            *([Across(done)] if done else []),
            *([Across(spares)] if spares else []),
        )

    def rates(self) -> Iterator[Piece]:
        rates = [item for item in self.items if item.kind == QuoteItem.Kind.RATE]
        if not rates:
            return
        tax = f", with {self.tax_name} to be added" if self.revision.tax_bp else ""
        rows = [
            (Cells((item.what, rate_in_words(item, self.here.words, self.money(item.amount_pence)))),) for item in rates
        ]
        note = (Across(FOUND.format(tax=tax)),)
        yield Table("What stripping may find", RATES, (*rows, note))

    @property
    def tax_words(self) -> str:
        """What the shop calls the tax, as it did when this was sent."""
        return self.revision.tax_name or "tax" if self.revision.sent_at else self.here.shop.tax_words

    @property
    def tax_name(self) -> str:
        percent = f"{self.revision.tax_bp / 100:.2f}".rstrip("0").rstrip(".")
        return f"{self.tax_words} of {percent} %"

    def sums(self) -> Piece:
        price = self.price
        if price is None:
            return Words("No price follows yet from what is written in the draft.")
        total = "In all" if self.revision.tax_bp else "Price in all"
        rows = [Amount(total, self.money(price.total), total=True)]
        if self.revision.tax_bp:
            name = _capital(self.tax_name)
            rows[:0] = [Amount("Price", self.money(price.pence)), Amount(name, self.money(price.tax))]
        if price.deposit:
            share = f"{self.revision.deposit_bp / 100:.2f}".rstrip("0").rstrip(".")
            rows.append(Amount(f"Deposit, {share} % with the order", self.money(price.deposit)))
            rows.append(Amount("Then left to pay", self.money(price.total - price.deposit)))
        return Amounts(tuple(rows))

    def terms(self) -> Iterator[tuple[Line, ...]]:
        revision = self.revision
        if not revision.tax_bp:
            yield _labelled("Tax", f"No {self.tax_words} is added to this price.")
        yield _labelled("Ready", self.ready())
        if revision.last_on:
            last = day_in_words(revision.last_on)
            yield _labelled("This offer", f"holds until {last}, that day included, and is accepted in writing.")
        yield _labelled("Payment", revision.terms)
        yield _labelled("Not included", revision.excluded)
        yield _labelled("Changes", ALTERED)

    def ready(self) -> str:
        weeks = self.revision.weeks
        if not weeks and self.quote.alters:
            return "on the day that is promised already, unless another is agreed."
        if not weeks:
            return "on a day that is agreed when the order is placed."
        # From the day on which the order's own day is reckoned: see `accept`.
        paid = " and the deposit is paid" if self.revision.deposit_bp else ""
        return f"about {weeks} week{'' if weeks == 1 else 's'} after the order is placed{paid}."

    def signing(self, price: Price) -> Signing:
        on = dict(self.facts)["Date"]
        with_tax = f", {self.tax_words} included" if self.revision.tax_bp else ""
        said = (
            f"I accept {_small(self.name)}, of {on}, and order what is written in it for {self.money(price.total)}"
            f"{with_tax}. Once signed it binds us both."
        )
        return Signing("Acceptance", said, ("Signature", "Name in full", "Date"))


def _spares(lot: QuoteLot, felloes: str) -> str:
    """Pieces over are the customer's to keep."""
    counts = ((lot.spare_spokes, "spokes"), (lot.spare_felloes, felloes))
    said = ", ".join(f"{count} spare {noun}" for count, noun in counts if count)
    return f"With {said}." if said else ""


def _labelled(label: str, said: str) -> tuple[Line, ...]:
    """What a person wrote, line by line; nothing where nothing was written."""
    lines = [line.strip() for line in said.splitlines() if line.strip()]
    return tuple(Cells(("" if place else label, line)) for place, line in enumerate(lines))


def _capital(said: str) -> str:
    return said[:1].upper() + said[1:]


def _small(said: str) -> str:
    return said[:1].lower() + said[1:]
