"""How the ranges of quotations held, over the orders that have ended."""

from collections import defaultdict
from dataclasses import dataclass
from html import escape

from django.utils.safestring import SafeString, mark_safe

from jobs.models import Order
from shop.costs_at_once import spent_on
from shop.quote_outcome import accepted_of, order_of, quoted_cost, quoted_minutes
from shop.quoting.frozen import thaw
from shop.quoting.outcome import fell_in_words, held, held_in_words, lean_in_words
from shop.quoting.pricing import HIGH, LOW
from shop.quoting.reckoning import Reckoned

# The latest of them: what was quoted long ago tells little of how it is done now.
MOST = 300
WORST = 5
ENDED = (Order.State.FETCHED, Order.State.PAID)
# The picture is a square, in pixels, with room for figures at its left and foot.
SIDE, EDGE, FOOT, DOT = 260, 44, 46, 6


@dataclass(frozen=True, slots=True)
class HeldOrder:
    """An order that has ended: the chances that its quotation gave to no more hours and no more cost than it took.

    `hours` are None where none were quoted.
    """

    order: Order
    hours: float | None
    cost: float

    @property
    def miss(self) -> float:
        """How far the cost fell from the middle of its range: from 0 to 1/2."""
        return abs(self.cost - 0.5)

    @property
    def fell(self) -> str:
        return fell_in_words(self.cost)


@dataclass(frozen=True, slots=True)
class Held:
    """What the page shows."""

    orders: list[HeldOrder]

    @property
    def cost_said(self) -> str:
        return held_in_words([one.cost for one in self.orders])

    @property
    def hours_said(self) -> str:
        return held_in_words([one.hours for one in self.orders if one.hours is not None])

    @property
    def lean(self) -> str:
        return lean_in_words([one.cost for one in self.orders])

    @property
    def worst(self) -> list[HeldOrder]:
        """Those whose cost fell out of the range, the farthest first."""
        out = [one for one in self.orders if not held(one.cost)]
        return sorted(out, key=lambda one: -one.miss)[:WORST]

    @property
    def picture(self) -> SafeString:
        title = (
            f"Each of {len(self.orders)} orders as a dot, ordered by where its cost fell in what was quoted, beside "
            f"the line on which right ranges lie. {self.cost_said}"
        )
        return draw_held(sorted(one.cost for one in self.orders), title=title)


def read_held() -> Held:
    """The latest orders that came from quotations and have ended; what was sure had no range to hold."""
    orders = list(
        Order.objects.filter(state__in=ENDED, quote__revisions__state="accepted").order_by("-ended_on", "-number")[
            :MOST
        ]
    )
    told: dict[int, list[Reckoned]] = defaultdict(list)
    for revision in accepted_of([order.pk for order in orders]):
        told[order_of(revision)].append(thaw(revision.frozen or {}))
    spent = spent_on([order.pk for order in orders])
    rows = []
    for order in orders:
        cost, minutes = quoted_cost(told[order.pk]), quoted_minutes(told[order.pk])
        if cost.parts:
            rows.append(
                HeldOrder(
                    order,
                    hours=minutes.chance_within(spent[order.pk].minutes) if minutes.parts else None,
                    cost=cost.chance_within(float(spent[order.pk].pence)),
                )
            )
    return Held(rows)


def draw_held(chances: list[float], *, title: str) -> SafeString:
    """Ordered chances against even spacing: full dots within the range, rings out of it."""
    wide, high = EDGE + SIDE + DOT * 2, SIDE + FOOT + DOT * 2
    low, top = EDGE + LOW * SIDE, EDGE + HIGH * SIDE
    parts = [
        f'<svg class="held" role="img" width="{wide}" height="{high}" viewBox="0 0 {wide} {high}" '
        f'aria-labelledby="held-title"><title id="held-title">{escape(title)}</title>',
        f'<rect class="held-ground" x="{EDGE}" y="{DOT}" width="{SIDE}" height="{SIDE}"/>',
        f'<rect class="held-range" x="{low:.1f}" y="{DOT}" width="{top - low:.1f}" height="{SIDE}"/>',
        f'<line class="held-even" x1="{EDGE}" y1="{SIDE + DOT}" x2="{EDGE + SIDE}" y2="{DOT}"/>',
    ]
    count = len(chances)
    for place, chance in enumerate(chances):
        x, y = EDGE + chance * SIDE, DOT + SIDE * (1 - (place + 0.5) / count)
        kind = "held-dot" if held(chance) else "held-dot held-out"
        parts.append(f'<circle class="{kind}" cx="{x:.1f}" cy="{y:.1f}" r="{DOT}"/>')
    foot = SIDE + DOT + 20
    for share, said in ((0.0, "0"), (LOW, "1"), (0.5, "5"), (HIGH, "9"), (1.0, "10")):
        parts.append(f'<text class="held-figure" x="{EDGE + share * SIDE:.1f}" y="{foot}">{said}</text>')
    parts.append(f'<text class="held-figure" x="{EDGE + SIDE / 2}" y="{foot + 20}">dearer than so many of 10</text>')
    turned = f'transform="rotate(-90 18 {SIDE / 2 + DOT})"'
    parts.append(
        f'<text class="held-figure" x="18" y="{SIDE / 2 + DOT}" {turned}>orders, one above another</text></svg>'
    )
    return mark_safe("".join(parts))  # noqa: S308  drawn from numbers; the title is escaped
