"""What is done from a trade's list: sent, back, made, and undone. Each is safe to send twice."""

from dataclasses import dataclass
from datetime import date, datetime, tzinfo
from uuid import UUID, uuid4

from django.contrib.auth.models import User
from django.db.models import Sum

from jobs.models import Task, Trip
from jobs.orders import put_in_hand
from jobs.work import load_lot
from jobs.writing import writing
from shop.amounts import ChargeRefused
from shop.charges import Charge, add_outwork
from shop.models import Hand, Outwork
from shop.models.money import STANDING
from shop.pieces import pieces_with
from timing.facts import Cancel, Fact, FactRefused, Yield
from timing.models import Stretch
from timing.models.facts import Source
from timing.record import cancel, record


class TradeRefused(ValueError):
    """What was asked can't be done; the message is one sentence for the person who asked."""


@dataclass(frozen=True, slots=True)
class Made:
    """What was made of a task from a list: units, and the minutes where they are known."""

    token: UUID
    task: Task
    units: int
    minutes: int | None
    hand: Hand
    by: User
    now: datetime


def worker_for(trade: str, acting: Hand) -> Hand:
    """In whose name a list records: the acting hand's where the trade is theirs, else that of its one hand, if any."""
    if acting.trade == trade:
        return acting
    hands = list(Hand.objects.working().filter(trade=trade)[:2])
    return hands[0] if len(hands) == 1 else acting


def send(task: Task, *, token: UUID, to_whom: str, expected_on: date | None, pieces: int | None, at: datetime) -> Trip:
    """Send pieces of a task away; all that are left and not away where no number is given.

    Pieces, not units: a wheel that wants three coats is one. The same form sent twice is one trip. Raises TradeRefused
    where there are not so many to send.
    """
    with writing():
        Task.objects.select_for_update().get(pk=task.pk)
        before = Trip.objects.filter(token=token).first()
        if before:
            return before
        left = pieces_with(task, _left(task))
        away = Trip.objects.filter(task=task, back_at=None).aggregate(pieces=Sum("pieces"))["pieces"] or 0
        here = max(0, left - away)
        wanted = here if pieces is None else pieces
        if wanted < 1 and away:
            raise TradeRefused("It is away already.")
        if wanted < 1:
            raise TradeRefused("Nothing of it is left to send.")
        if wanted > here:
            raise TradeRefused(f"Of it only {here} is here to send.")
        put_in_hand(task)
        return Trip.objects.create(
            task=task, token=token, to_whom=to_whom, expected_on=expected_on, pieces=wanted, sent_at=at
        )


def _left(task: Task) -> int:
    _, work = load_lot(task.lot_id)
    return work.counts.left(work.counts.lines[task.pk])


def bring_back(
    trip: Trip, *, at: datetime, made: Made | None = None, price: Charge | None = None, trade: str = "", zone: tzinfo
) -> bool:
    """It is back, with what was made there and its price where they are told: all are saved or nothing.

    Where another brought it back meanwhile it stays back since then, and what is told of it is saved all the same.
    The same form sent twice counts once; says whether it was away till now. Raises FactRefused or ChargeRefused.
    """
    with writing():
        Trip.objects.select_for_update().get(pk=trip.pk)
        was_away = bool(Trip.objects.filter(pk=trip.pk, back_at=None).update(back_at=max(at, trip.sent_at)))
        if made:
            say_made(made, zone=zone)
        if price:
            _check_not_priced(trip, price)
            add_outwork(price, trade=trade, to_whom=trip.to_whom, task=trip.task, trip=trip)
    return was_away


def _check_not_priced(trip: Trip, price: Charge) -> None:
    """Two who each enter what was paid would have it paid twice."""
    standing = Outwork.objects.filter(STANDING, trip=trip)
    if standing.exclude(token=price.token).exists():
        raise ChargeRefused("Its price is entered already: take that back first if it is wrong.")


def say_made(made: Made, *, zone: tzinfo) -> Stretch:
    """Record units made from the list, untimed unless the minutes are told. The same form sent twice counts once.

    Raises FactRefused with one sentence.
    """
    task = made.task
    fact = Fact(
        token=made.token,
        hand_id=made.hand.user_id,
        operation_id=task.operation_id,
        done_at=made.now,
        seconds=None if made.minutes is None else made.minutes * 60,
        yields=(Yield(made=made.units, task_id=task.pk),),
        source=Source.LIST,
        entered_by_id=made.by.pk if made.by.pk != made.hand.user_id else None,
    )
    try:
        with writing():
            stretch = record(fact, zone=zone, now=made.now).stretch
            put_in_hand(task)
    except FactRefused:
        # A form sent twice comes at two moments: it is the same by its token and its task.
        again = Stretch.objects.filter(token=made.token, tallies__task=task).first()
        if again is None:
            raise
        return again
    assert stretch is not None  # noqa: S101 - only a cancel has none
    return stretch


def take_back_made(stretch: Stretch, *, by: Hand, now: datetime) -> None:
    """Undo what was recorded from the list; twice changes nothing. Raises FactRefused."""
    cancel(
        Cancel(
            token=uuid4(),
            cancels_token=stretch.token,
            hand_id=by.user_id,
            done_at=now,
            source=Source.LIST,
        ),
        now=now,
    )
