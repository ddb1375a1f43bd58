"""How a quotation stands, and what its figures mean, in plain words."""

from datetime import date
from fractions import Fraction
from zoneinfo import ZoneInfo

from shop.currencies import currency_of
from shop.models import Quote, Revision
from shop.money import format_pence, round_half_up
from shop.order_words import FAR
from shop.quoting.pricing import Cost, Spread

# What is estimated is told in whole pounds from this many on: pennies would say that they are known.
ROUND_FROM = 10


def about(pence: int, currency: str) -> str:
    """An estimate as it is read: "£3,053"; under ten pounds to the penny."""
    digits = currency_of(currency).digits
    major = 10**digits
    if not digits or abs(pence) < ROUND_FROM * major:
        return format_pence(pence, currency)
    whole = round_half_up(Fraction(pence, major)) * major
    return format_pence(whole, currency).removesuffix("." + "0" * digits)


def per_cent(share: Fraction | None) -> str:
    """A share of one to a tenth of a per cent, halves up: "19.3 %", "20 %"; "none" where there is none."""
    if share is None:
        return "none"
    whole, part = divmod(abs(round_half_up(share * 1000)), 10)
    return f"{'−' if share < 0 else ''}{whole}{f'.{part}' if part else ''}\N{NO-BREAK SPACE}%"


def odds(chance: float) -> str:
    """A chance as it is said: "9 in 10"; nearly sure or hardly likely ones in a hundred."""
    if 0.095 <= chance <= 0.905:
        return f"{round(chance * 10)} in 10"
    if chance > 0.995:
        return "more than 99 in 100"
    return "less than 1 in 100" if chance < 0.005 else f"{round(chance * 100)} in 100"


def cost_in_words(cost: Spread, currency: str) -> str:
    """As "Cost likely £3,053 to £3,711."."""
    if cost.low == cost.high:
        return f"Cost {format_pence(cost.likely, currency)}, all of it known."
    return f"Cost likely {about(cost.low, currency)} to {about(cost.high, currency)}."


def leaves_in_words(price: int, cost: Spread, currency: str) -> str:
    """What the price leaves over the cost: "That leaves £179 to £837, most likely £581."."""
    least, likely, most = (price - one for one in (cost.high, cost.likely, cost.low))
    if least == most:
        return f"That leaves {format_pence(least, currency)}." if least >= 0 else _loss(-least, currency)
    low, middle, high = (about(abs(one), currency) for one in (least, likely, most))
    if least >= 0:
        return f"That leaves {low} to {high}, most likely {middle}."
    if most < 0:
        return f"That is a loss of {high} to {low}, most likely {middle}."
    said = f"a loss of {middle}" if likely < 0 else middle
    return f"That leaves anything from a loss of {low} to {high}, most likely {said}."


def _loss(pence: int, currency: str) -> str:
    return f"That is a loss of {format_pence(pence, currency)}."


def chance_in_words(price: int, cost: Cost) -> str:
    """How likely the work comes in under the price, and a loss."""
    if cost.work is None:
        return ""
    within = cost.chance_within(price)
    return f"The chance that the work comes in under the price is {odds(within)}, of a loss {odds(1 - within)}."


def price_choice(revision: Revision, currency: str) -> str:
    """What the price follows, as "a margin of 20 %"."""
    by, figure = revision.price_by, revision.price_figure
    if by == Revision.PriceBy.PRICE:
        return f"a price of {format_pence(figure, currency)}"
    share = per_cent(Fraction(figure, 10_000))
    if by == Revision.PriceBy.CHANCE:
        return f"a chance of {share} to come in under it"
    return f"a {'margin' if by == Revision.PriceBy.MARGIN else 'markup'} of {share}"


def short_day(day: date, today: date) -> str:
    """A day without its weekday, and with its year where that is not plain: "3 March"."""
    said = f"{day.day} {day:%B}"
    return f"{said} {day.year}" if abs((day - today).days) > FAR else said


def is_expired(revision: Revision, today: date) -> bool:
    """Whether it was sent, and may be accepted no longer."""
    return revision.state == Revision.State.SENT and revision.last_on is not None and revision.last_on < today


def state_in_words(revision: Revision, quote: Quote, *, today: date, zone: ZoneInfo) -> str:
    """As "sent 3 March, good until 2 April", "accepted: order 155"."""
    state = Revision.State
    if revision.state == state.DRAFT:
        return "draft" if revision.number == 1 else f"draft of revision {revision.number}"
    if is_expired(revision, today) and revision.last_on:
        return f"expired {short_day(revision.last_on, today)}"
    if revision.state == state.SENT and revision.sent_at and revision.last_on:
        sent_on = short_day(revision.sent_at.astimezone(zone).date(), today)
        return f"sent {sent_on}, good until {short_day(revision.last_on, today)}"
    if revision.state == state.ACCEPTED:
        order = quote.order or quote.alters
        return f"accepted: order {order.number}" if order else "accepted"
    return str(revision.get_state_display())
