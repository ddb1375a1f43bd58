"""Loads the example shop into an empty database, all or nothing."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from random import Random
from zoneinfo import ZoneInfo

from django.contrib.auth.models import User

from jobs.models import Order
from jobs.starting import start_library, start_operations
from jobs.writing import tell_sizes, writing
from shop.example.changes import enter_changes
from shop.example.materials import enter_materials
from shop.example.money import enter_charges, enter_overheads, enter_rates
from shop.example.pay import enter_pay
from shop.example.people import SHOP_NAME, SIGN_IN, SMITH, SignIn, enter_people, hashed_secrets
from shop.example.quoted import enter_quotations
from shop.example.quotes import enter_quotes
from shop.example.stores import enter_stores, rack_from
from shop.example.story import tell_story
from shop.example.taking import take_orders
from shop.example.telling import facts_of
from shop.example.work import MadeUpShop
from shop.models import Shop
from shop.usual_times import work_out_for_shop
from timing.bulk import record_many
from timing.models import Stretch

SEED = 1896
ZONE = ZoneInfo("Europe/London")
WEEKS = 62


class ExampleRefused(RuntimeError):
    """The example can't be loaded; the message is one sentence."""


@dataclass(frozen=True, slots=True)
class Loaded:
    """What was loaded, and how to sign in."""

    orders: int
    stretches: int
    sign_in: Sequence[SignIn]


def load_example(today: date | None = None) -> Loaded:
    """Fill an empty database with the example, so that it looks as on the morning of `today` (the shop's own day).

    The same week gives the same people, orders and work; what lies after the morning of `today` is left out.
    Raises ExampleRefused where the shop holds anything, with nothing changed.
    """
    today = today or datetime.now(ZONE).date()
    monday = today - timedelta(days=today.weekday())
    until = datetime.combine(today, time(0, 0))
    hashes = hashed_secrets()
    # One write, so that a load that fails leaves the shop empty; nobody waits for it, as nobody is there yet.
    with writing():
        _refuse_unless_empty()
        start_operations()
        start_library()
        first = monday - timedelta(weeks=WEEKS)
        hands = enter_people(hashes, since=first)
        shop = _open_shop()
        works = take_orders(monday, by=hands["Tamsin"].user)
        yard = MadeUpShop(works, Random(SEED))  # noqa: S311 - an invented shop
        yard.work(first, monday + timedelta(days=5))
        users = {name: hand.user_id for name, hand in hands.items()}
        facts = facts_of(yard.drafts, users=users, zone=ZONE, until=until)
        recorded = record_many(facts, zone=ZONE, now=until.replace(tzinfo=ZONE))
        trips = tell_story(works, yard.away, users=users, zone=ZONE, until=until)
        enter_rates(hands, first=first, by=hands["Wren"].user, zone=ZONE)
        added = enter_materials(first=first, by=hands["Wren"].user, zone=ZONE)
        desk = hands["Tamsin"].user
        enter_charges(works, trips, by=desk, zone=ZONE, until=until, rack_from=rack_from(monday))
        enter_stores(works, shop=shop, monday=monday, by=desk, zone=ZONE, until=until)
        enter_overheads(first=first, by=hands["Wren"].user, zone=ZONE, until=until)
        enter_changes(hands, first=first, owner=hands["Wren"], zone=ZONE, others=added)
        enter_quotations(works, shop=shop, by=desk, zone=ZONE)
        enter_pay(hands, monday=monday, until=until, by=hands["Wren"].user, zone=ZONE)
        tell_sizes()
    # After the write: by now there is a shop, whose settings say whose time teaches.
    work_out_for_shop(until.replace(tzinfo=ZONE))
    # By those times; each is a write of its own, as in a shop.
    enter_quotes(today=today, by=hands["Tamsin"].user, zone=ZONE)
    return Loaded(orders=len(works), stretches=recorded.fresh, sign_in=SIGN_IN)


def _refuse_unless_empty() -> None:
    shop = Shop.objects.first()
    if shop or User.objects.exists() or Order.objects.exists() or Stretch.objects.exists():
        name = f"“{shop.name}”" if shop else "other data"
        raise ExampleRefused(f"This database holds {name}, and the example goes only into an empty one.")


def _open_shop() -> Shop:
    return Shop.objects.create(
        name=SHOP_NAME,
        address="Ford Lane\nWithy Ford",
        # Numbers that are kept for plays and films (Ofcom), and an address that leads nowhere (RFC 2606).
        phone="01632 960018",
        email="shop@withyford.example",
        tax_name="VAT",
        tax_number="none: an invented shop",
        currency="GBP",
        time_zone=str(ZONE),
        units=Shop.Units.MM,
        dinner_from=time(12, 0),
        dinner_to=time(12, 45),
        smith_days=[3],
        smith_name=SMITH,
        is_example=True,
        **Shop.usual_allowances("mm"),
    )
