"""Every column of words, by what is done with it where a number takes the place of a name.

In some people write what they like, and may have named somebody; some stay as they are, and are shown where they name
somebody; the rest hold no words of people, for the reason beside them. `tests/shop/test_name_places.py` asks for each
column of each table.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from django.contrib.auth.models import Group, Permission, User
from django.contrib.contenttypes.models import ContentType
from django.contrib.sessions.models import Session
from django.db.models import Model

from jobs.models import Customer, Hold, LibraryMakeUp, Lot, Operation, Order, Promise, Trip
from shop.models import (
    Attendance,
    AuditLine,
    Bonus,
    Device,
    Hand,
    Issue,
    Material,
    OutputMean,
    OutputNotice,
    Outwork,
    OverheadSpent,
    PayRun,
    PaySheet,
    Purchase,
    RulesBefore,
    Shop,
    SignInTry,
    StockCount,
)
from shop.models.quotes import Quote, QuoteItem, QuoteLot, Revision
from timing.models import AwaitedCancel, Move, SavedFit, Stretch, Tally

Columns = tuple[tuple[type[Model], str], ...]


@dataclass(frozen=True, slots=True)
class Place:
    """Columns in which people write what they like, under one name on the page."""

    key: str
    label: str
    columns: Columns


@dataclass(frozen=True, slots=True)
class Staying:
    """Columns that no number is put into, under one name on the page, and why not."""

    label: str
    why: str
    columns: Columns


LINE = ("what", "before", "after")
LINES = Place("lines", "Other words in Who changed what", tuple((AuditLine, name) for name in LINE))
PLACES = (
    Place("work", "Notes of work", ((Stretch, "note"), (Move, "reason"))),
    Place("hours", "Notes of coming and going", ((Attendance, "note"),)),
    Place("outputs", "How mean outputs were estimated", ((OutputMean, "why"),)),
    Place("bonuses", "Bonuses, on pay sheets too", ((Bonus, "what"), (PaySheet, "told"))),
    Place(
        "orders",
        "Orders: carriages, wheels, notes, holds and promises",
        (
            *((Order, "carriage"), (Order, "note"), (Lot, "name"), (Hold, "what"), (Promise, "reason")),
            (Customer, "contact"),
        ),
    ),
    Place("old_book", "Orders and wheels of old books", ((Tally, "old_order"), (Tally, "old_wheel"))),
    Place(
        "quotes",
        "Quotations: carriages, wheels, terms and notes",
        (
            *((Quote, "carriage"), (Revision, "carriage"), (Revision, "excluded"), (Revision, "terms")),
            *((Revision, "answer_note"), (QuoteItem, "what"), (QuoteLot, "name")),
        ),
    ),
    Place(
        "makeups",
        "The library of make-ups",
        tuple((LibraryMakeUp, name) for name in ("name", "carriage", "source", "status")),
    ),
    Place(
        "things",
        "Material and operations",
        ((Material, "name"), *((Operation, name) for name in ("name", "done_word", "notes"))),
    ),
    Place(
        "money",
        "Outwork, material and overheads",
        (
            *((Outwork, "what"), (Outwork, "to_whom"), (Trip, "to_whom"), (Issue, "what"), (OverheadSpent, "what")),
            *((Purchase, "supplier"), (Purchase, "note"), (StockCount, "note")),
        ),
    ),
    Place("devices", "Names of devices, and of the smith", ((Device, "name"), (Shop, "smith_name"))),
    LINES,
)
# What a thing is called: it may be called as somebody is (ash, rose), so that it never surely means them.
OF_THINGS = frozenset({(Material, "name"), (Operation, "name"), (Operation, "done_word")})

_TIMBERS = ("hub_timber", "spoke_timber", "felloe_timber", "bands")
STAYING = (
    Staying(
        "Quotations, as they were reckoned when they were sent",
        "What a price rests on was frozen when it was sent: that is a record, and stays as it was.",
        ((Revision, "frozen"),),
    ),
    Staying(
        "Pay sheets, beside bonuses",
        "A closed sheet calls the shop and its operations what they were called then.",
        ((PaySheet, "told"),),
    ),
    Staying(
        "Notices of rated output work",
        "A written notice stays in the words in which it was given.",
        ((OutputNotice, "told"),),
    ),
    Staying(
        "Timber and bands of make-ups",
        "By these words wheels and timber are matched. Change them by hand where you can: in the library, in an order "
        "that is not begun, at the material.",
        (
            *((model, name) for model in (LibraryMakeUp, Lot, QuoteLot) for name in _TIMBERS),
            (Material, "timber"),
        ),
    ),
    Staying(
        "Short names of operations",
        "Facts, files and usual times know an operation by it for ever.",
        ((Operation, "key"),),
    ),
    Staying(
        "The shop’s own name and address",
        "They are the shop’s to say: change them in Settings, The shop.",
        tuple((Shop, name) for name in ("name", "address", "phone", "email", "tax_number")),
    ),
)
# The columns of each table that hold no words in which people may have named somebody else.
NO_WORDS: Mapping[str, Mapping[type[Model], tuple[str, ...]]] = {
    "a name of one's own, which goes as its owner's": {
        Hand: ("name",),
        Customer: ("name",),
        User: ("username", "first_name", "last_name", "email"),
    },
    "a secret, or a sum of content, that nobody can read": {
        Hand: ("pin_hash",),
        Device: ("secret_hash",),
        SignInTry: ("key_hash",),
        User: ("password",),
        Stretch: ("content_hash",),
        AwaitedCancel: ("content_hash",),
        Move: ("content_hash",),
        Attendance: ("content_hash",),
    },
    "chosen from what the program offers": {
        LibraryMakeUp: ("place",),
        Operation: ("chosen_by", "works"),
        QuoteLot: ("places", "wheel_ids"),
        Revision: ("outside", "currency"),
        RulesBefore: ("rules",),
        PayRun: ("settings",),
        Shop: ("currency", "time_zone", "smith_days", "pay_rules"),
    },
    "figures by the program's own keys": {
        PayRun: ("seen",),
        OutputNotice: ("rates",),
        # Of a timber the key follows the make-up's word for it, which is looked at there.
        Revision: ("own_pence", "own_for"),
        SavedFit: ("made_from", "strays", "rests_on", "content"),
    },
    "the shop's own word for a part or a tax": {
        Shop: ("tax_name", *(f"word_{noun}" for noun in ("hub", "hubs", "felloe", "felloes", "tyre", "tyres"))),
        Revision: ("tax_name",),
    },
    "Django's own": {
        ContentType: ("app_label", "model"),
        Permission: ("name", "codename"),
        Group: ("name",),
        Session: ("session_key", "session_data"),
    },
}
