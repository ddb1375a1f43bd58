"""How an order stands, in plain words."""

from datetime import date

from jobs.durations import hours_and_minutes
from jobs.models import Order
from jobs.work import Content

FAR = 300  # days: a day further off than this is said with its year


def share_in_words(content: Content) -> str:
    """How much of the work is done, as one would say it across the shop."""
    if content.done_seconds == 0:
        return "nothing done yet"
    for most, words in (
        (12, "just begun"),
        (37, "about a quarter done"),
        (62, "about half done"),
        (87, "about three quarters done"),
        (99, "nearly done"),
    ):
        if content.per_cent <= most:
            return words
    return "all done"


def day_in_words(day: date, *, today: date | None = None) -> str:
    """A day with its weekday, and its year where that is not plain."""
    said = f"{day:%A} {day.day} {day:%B}"
    return f"{said} {day.year}" if today and abs((day - today).days) > FAR else said


def printed_in_words(day: date) -> str:
    """What stands at the foot of a paper."""
    return f"Printed {day.day} {day:%B} {day.year}"


def stands_in_words(order: Order, content: Content, *, is_unknown: bool = False) -> str:
    """One sentence: how far the whole is. `is_unknown`: what is still to be done hangs on the customer's word."""
    state = order.State
    if order.state == state.DROPPED:
        return "Dropped. What was done is kept below."
    if order.state in (state.FETCHED, state.PAID):
        return f"{order.get_state_display().capitalize()}."
    if order.state in (state.ENQUIRY, state.QUOTED):
        whole = hours_and_minutes(content.wanted_seconds)
        return f"{'An enquiry' if order.state == state.ENQUIRY else 'Quoted'}: about {whole} of work by book time."
    if order.state == state.READY:
        return "Ready to be fetched."
    share = share_in_words(content)
    left = hours_and_minutes(content.left_seconds)
    whole = hours_and_minutes(content.wanted_seconds)
    if is_unknown:
        return "What is to be done next waits for the customer’s word."
    if content.left_seconds == 0:
        return "All the work is done."
    return f"{share[:1].upper()}{share[1:]}: {left} of {whole} still to do by book time."


def due_in_words(order: Order, today: date) -> str:
    """As "Due Friday 20 March." or what there is instead."""
    if order.due_on is None:
        return "No day is promised."
    if not order.is_open:
        return f"It was promised for {day_in_words(order.due_on, today=today)}."
    return f"Due {day_in_words(order.due_on, today=today)}."


def late_in_words(days: int) -> str:
    """As "3 days late"; empty for none."""
    if days <= 0:
        return ""
    return "1 day late" if days == 1 else f"{days} days late"
