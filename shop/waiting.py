"""What an order waits for: the one answer that the order book and the order's own page both show."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from jobs.models import Hold, Order, Trip
from jobs.models.operations import Trade
from jobs.words import in_words
from jobs.work import Work
from shop.asked import Asked
from shop.order_words import day_in_words

MOST_NAMED = 4


@dataclass(frozen=True, slots=True)
class Waiting:
    """One thing waited for: `what` in a few words, a note for who asks more, the hold to be lifted where it is one."""

    what: str
    note: str = ""
    hold: Hold | None = None


def trips_away(orders: Sequence[Order]) -> defaultdict[int, list[Trip]]:
    """What is away and not yet back, by order, in one query."""
    found: defaultdict[int, list[Trip]] = defaultdict(list)
    trips = Trip.objects.filter(task__lot__order__in=[order.pk for order in orders], back_at=None)
    for trip in trips.select_related("task__lot", "task__operation", "task__wheel"):
        found[trip.task.lot.order_id].append(trip)
    return found


def waits_for(order: Order, work: Work, away: Sequence[Trip], asked: Asked) -> list[Waiting]:
    """What is waited for besides work first, else whose turn it is. A closed order waits for nothing: an empty list."""
    if not order.is_open:
        return []
    said = [Waiting(_OFFER[order.state])] if order.state in _OFFER else []
    said += [*_holds(order, work, asked), *_away(away, asked)]
    return said or [Waiting(_turn(order, work))]


def awaits_customer(order: Order, work: Work) -> bool:
    """Whether the customer is still to say what is to be done on an order at work."""
    return order.state in Order.WORK_STATES and any(hold.kind == Hold.Kind.CUSTOMER for hold in work.holds(order))


_OFFER = {
    Order.State.ENQUIRY.value: "An enquiry: to be taken",
    Order.State.QUOTED.value: "The customer’s answer",
}


def _holds(order: Order, work: Work, asked: Asked) -> Iterable[Waiting]:
    names = {lot.pk: lot.name for lot in work.lots(order)}
    labels = {wheel.pk: wheel.label for lot in work.lots(order) for wheel in work.wheels(lot)}
    for hold in work.holds(order):
        where = labels.get(hold.wheel_id or 0) or names.get(hold.lot_id or 0) or "the whole order"
        what, about = _upper(hold.what), _upper(hold.get_kind_display())
        if hold.kind == Hold.Kind.CUSTOMER:
            what, about = "The customer’s word", what
        if hold.expected_on:
            was = "was " if hold.expected_on < asked.today else ""
            what += f", {was}expected {hold.expected_on.day} {hold.expected_on:%B}"
        yield Waiting(what, f"{about}; {where}", hold)


def _away(away: Sequence[Trip], asked: Asked) -> Iterable[Waiting]:
    """Pieces that went together for the same work are one thing."""
    together: dict[tuple[str, str], list[Trip]] = defaultdict(list)
    for trip in away:
        together[trip.to_whom, in_words(trip.task.operation.name, asked.words)].append(trip)
    for (to_whom, name), trips in together.items():
        # The wheels of a lot are mostly sent on one day: the same words stand once.
        places: dict[str, list[str]] = defaultdict(list)
        for trip in trips:
            places[_since(trip, asked)].append(trip.task.wheel.label if trip.task.wheel else "loose")
        said = "; ".join(f"{_named(where)}, {since}" for since, where in places.items())
        pieces = sum(trip.pieces for trip in trips)
        yield Waiting(f"{pieces} with {to_whom}: {name[:1].lower()}{name[1:]}", said)


def _named(places: Sequence[str]) -> str:
    """The places, each once; of many the first few, and how many more."""
    names = list(dict.fromkeys(places))
    rest = f" and {len(names) - MOST_NAMED} more" if len(names) > MOST_NAMED else ""
    return ", ".join(names[:MOST_NAMED]) + rest


def _since(trip: Trip, asked: Asked) -> str:
    back = f", expected {day_in_words(trip.expected_on)}" if trip.expected_on else ""
    return f"since {day_in_words(trip.sent_at.astimezone(asked.zone).date())}{back}"


def _turn(order: Order, work: Work) -> str:
    """Whose turn it is, where nothing else is waited for."""
    if order.state == Order.State.READY:
        return "Nothing: to be fetched"
    tasks = work.tasks(order=order)
    left = [task for task in tasks if work.left(task)]
    if not left:
        return "Nothing: the work is done"
    # The first trade that has something to do, the bench before others, without asking about every task.
    for trade in sorted({task.operation.trade for task in left}):
        if any(task.operation.trade == trade and work.ready(task).units for task in left):
            if trade != Trade.BENCH:
                return f"The {trade}"
            begun = any(task.made or task.seconds for task in tasks)
            return "Its next turn at the bench" if begun else "Its turn at the bench"
    return "Work that stands or waits"


def _upper(text: str) -> str:
    return text[:1].upper() + text[1:]
