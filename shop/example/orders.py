"""The orders of the example shop: who wants what, when, and how far it has come. All of it is invented.

Weeks are counted back from the Monday of the week in which the example is looked at, so that it looks the same
in any year.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field

from jobs.models.operations import Work
from jobs.models.orders import Order

FORE, HIND = ("near_fore", "off_fore"), ("near_hind", "off_hind")
PAIR, ONE = ("near", "off"), ("loose",)


@dataclass(frozen=True, slots=True)
class Stop:
    """How far a lot has come that is in hand: every operation up to `through`, and so many units of others.

    `more` gives units by operation, and by place for what belongs to a wheel.
    """

    through: str | None
    more: Mapping[tuple[str, str | None], int] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Found:
    """What a repaired wheel was found to need: an operation and how many units, at a wheel or for the lot."""

    key: str
    wanted: int
    at_lot: bool = False


@dataclass(frozen=True, slots=True)
class Row:
    library: str
    name: str
    places: tuple[str, ...]
    work: str = Work.NEW
    # What this customer wanted otherwise than in the library; then the make-up is the order's own.
    own: Mapping[str, object] = field(default_factory=dict)
    spare_spokes: int = 0
    spare_felloes: int = 0
    stop: Stop | None = None
    found: tuple[Found, ...] = ()


@dataclass(frozen=True, slots=True)
class Moved:
    """A promise moved by so many days, why, and told so many days before the first promised day."""

    days: int
    reason: str
    told_before: int


@dataclass(frozen=True, slots=True)
class Plan:
    """One order. `weeks` before this Monday it was taken; `minutes` of work a day are given to it at most."""

    customer: str
    carriage: str
    weeks: float
    due_weeks: float
    rows: tuple[Row, ...]
    minutes: int = 260
    state: str = Order.State.PAID
    moved: Moved | None = None
    note: str = ""
    # Operations that are not begun before so many days ahead of this Monday (negative: after it).
    not_before: Mapping[str, int] = field(default_factory=dict)
    forge_weeks: int = 1
    hold: tuple[str, str, int] | None = None

    @property
    def is_closed(self) -> bool:
        return self.state in (Order.State.PAID, Order.State.FETCHED)


def pair(library: str, name: str = "pair", places: tuple[str, ...] = PAIR, **others: object) -> tuple[Row, ...]:
    return (Row(library, name, places, **others),)  # type: ignore[arg-type]


def four(fore: str, hind: str, *, spare: int = 0) -> tuple[Row, ...]:
    return (
        Row(fore, "fore pair", FORE, spare_spokes=spare),
        Row(hind, "hind pair", HIND, spare_spokes=spare, spare_felloes=1 if spare else 0),
    )


def retyre(library: str, places: tuple[str, ...], bolts: int) -> tuple[Row, ...]:
    found = [
        Found("tighten-rim", 1),
        Found("run-wheel", 1),
        Found("weld-tyre", 1),
        Found("fire", 1, at_lot=True),
        Found("shrink-tyre", 1),
    ]
    if bolts:
        found.append(Found("bolt-tyre", bolts))
    return (Row(library, "re-tyre", places, Work.RETYRE, found=tuple(found)),)


def cut_and_shut(library: str, places: tuple[str, ...]) -> tuple[Row, ...]:
    keys = ("tighten-rim", "run-wheel", "cut-and-weld", "shrink-tyre")
    found = (*(Found(key, 1) for key in keys), Found("fire", 1, at_lot=True))
    return (Row(library, "cut and shut", places, Work.CUT_AND_SHUT, found=found),)


_REPAIRED_RIM = ("run-wheel", "cut-and-weld", "shrink-tyre")


def new_felloes(library: str, places: tuple[str, ...], felloes: int) -> tuple[Row, ...]:
    each = ("knock-off-felloe", "offer-up-felloe", "cut-joint", "dowel-joint", "chamfer-felloe", "put-on-rim")
    found = (
        *(Found(key, felloes) for key in each),
        *(Found(key, felloes, at_lot=True) for key in ("saw-felloe", "plane-felloe")),
        *(Found(key, 2 * felloes) for key in ("make-good-tongue", "bore-tongue-hole", "wedge-tongue")),
        *(Found(key, 1) for key in _REPAIRED_RIM),
        Found("fire", 1, at_lot=True),
    )
    return (Row(library, "new felloes", places, Work.NEW_FELLOES, found=found),)


def new_spokes(library: str, places: tuple[str, ...], spokes: int) -> tuple[Row, ...]:
    felloes = (spokes + 1) // 2
    found = (
        *(Found(key, felloes) for key in ("knock-off-felloe", "put-on-rim")),
        *(Found(key, spokes) for key in ("draw-foot", "clean-mortise", "drive-spoke", "tongue-spoke", "wedge-tongue")),
        *(Found(key, spokes, at_lot=True) for key in ("rough-spoke", "cut-foot", "shave-spoke")),
        *(Found(key, 1) for key in _REPAIRED_RIM),
        Found("fire", 1, at_lot=True),
    )
    return (Row(library, "new spokes", places, Work.NEW_SPOKES, found=found),)


def new_box(library: str, places: tuple[str, ...]) -> tuple[Row, ...]:
    return (Row(library, "new boxes", places, Work.NEW_BOX),)


_ASH = Moved(12, "The ash came in wet and had to stand", 6)
_SMITH_AWAY = Moved(7, "The smith was away a week", 3)
_SHAKES = Moved(9, "Shakes in the oak: spokes made again", 4)
_PAINT = Moved(5, "Damp weather: varnish would not dry", 2)
_ESCORT = ("Escort wagon of 1901, front", "Escort wagon of 1901, rear")
_IRON_HUB = {"hub": "bolted", "hub_timber": "", "bands": ()}
_ARMY = ("Six-mule army wagon, fore", "Six-mule army wagon, hind")

CLOSED: tuple[Plan, ...] = (
    Plan("Hollin Bank farm", "Farm cart", 62, 7, pair("Farm cart")),
    Plan("Mrs Averill", "Gig", 61, 6, pair("Gig"), minutes=200),
    Plan("Corbel Hall stables", "Wagonette", 59, 9, four("Wagonette, fore", "Wagonette, hind", spare=2), moved=_ASH),
    Plan("Tolland mill", "Sack barrow", 57, 3, pair("Barrow"), state=Order.State.FETCHED),
    Plan("J. Pascoe, carrier", "Dog-cart", 56, 7, pair("Dog-cart")),
    Plan("Nether Combe show society", "Escort wagon", 54, 9, four(*_ESCORT)),
    Plan("Mr Quill", "Gig", 53, 4, retyre("Dog-cart", PAIR, 7), minutes=150),
    Plan("Fernhay farm", "Farm cart", 51, 6, pair("Farm cart"), moved=_SMITH_AWAY),
    Plan("The Lantern brewery", "Dray", 50, 9, four("General farm wagon", "Two-horse farm wagon", spare=2)),
    Plan("Mrs Averill", "Gig", 48, 4, new_box("Dog-cart", PAIR), minutes=120, state=Order.State.FETCHED),
    Plan("Rushmere museum", "Fire engine", 47, 8, pair("Wagonette, hind", own=_IRON_HUB), minutes=220),
    Plan("Hollin Bank farm", "Wagon", 45, 5, new_felloes("General farm wagon", HIND, 3), minutes=180, moved=_ASH),
    Plan("Ashcombe driving club", "Wagonette", 44, 9, four("Wagonette, fore", "Wagonette, hind")),
    Plan("D. Wyndham", "Dog-cart", 42, 6, pair("Dog-cart"), moved=_SHAKES),
    Plan("Tolland mill", "Hand cart", 41, 3, pair("Barrow")),
    Plan("Fernhay farm", "Wagon", 40, 4, cut_and_shut("General farm wagon", FORE + HIND), minutes=200),
    Plan("Ivo Marchetti", "Gig", 38, 6, pair("Gig"), minutes=200),
    Plan("Nether Combe show society", "Army wagon", 37, 10, four(*_ARMY, spare=2)),
    Plan("J. Pascoe, carrier", "Trolley", 35, 6, pair("General farm wagon", "fore pair", FORE), moved=_PAINT),
    Plan("Corbel Hall stables", "Wagonette", 34, 4, new_spokes("Wagonette, hind", ("near_hind",), 4), minutes=150),
    Plan("Old Ford garden", "Barrow", 33, 3, pair("Barrow", "loose wheels", ("loose", "loose", "loose"))),
    Plan("Mrs Tregarth", "Dog-cart", 31, 7, pair("Dog-cart", spare_spokes=1)),
    Plan("Rushmere museum", "Field gun", 30, 9, pair("British 9-pounder field wheel")),
    Plan("The Lantern brewery", "Dray", 28, 4, retyre("Two-horse farm wagon", HIND, 6), minutes=150),
    Plan("Upcott livery", "Wagonette", 27, 9, four("Wagonette, fore", "Wagonette, hind"), moved=_SMITH_AWAY),
    Plan("Hollin Bank farm", "Farm cart", 25, 6, pair("Farm cart")),
    Plan("Mr Quill", "Dog-cart", 24, 6, pair("Dog-cart")),
    Plan("Ashcombe driving club", "Gig", 22, 6, pair("Gig"), minutes=200, moved=_PAINT),
    Plan("Upcott livery", "Wagonette", 21, 4, new_felloes("Wagonette, fore", ("near_fore",), 2), minutes=150),
    Plan("Ivo Marchetti", "Farm wagon", 19, 9, four("General farm wagon", "Two-horse farm wagon")),
    Plan("Old Ford garden", "Hand cart", 18, 4, pair("Barrow"), state=Order.State.FETCHED),
    Plan("D. Wyndham", "Dog-cart", 16, 7, pair("Dog-cart"), moved=_SHAKES),
    Plan("Mrs Tregarth", "Wagon", 14, 4, cut_and_shut("Two-horse farm wagon", HIND), minutes=150),
    Plan("Fernhay farm", "Farm cart", 13, 6, pair("Farm cart"), state=Order.State.FETCHED),
)

AT_THE_FORGE = Plan(
    "Lady Harcombe",
    "Wagonette",
    9,
    11,
    (
        Row("Wagonette, fore", "fore pair", FORE, spare_spokes=1, stop=Stop("clean-off")),
        Row(
            "Wagonette, hind",
            "hind pair",
            HIND,
            spare_spokes=1,
            stop=Stop(
                "clean-off",
                {("run-wheel", "near_hind"): 1, ("run-wheel", "off_hind"): 1, ("weld-tyre", "near_hind"): 1},
            ),
        ),
    ),
    minutes=190,
    state=Order.State.IN_HAND,
    not_before={"run-wheel": 7, "weld-tyre": 5},
    forge_weeks=2,
    moved=Moved(7, "Checks in the elm: a hub got out again", 10),
)
HALF_DRIVEN = Plan(
    "Ashcombe driving club",
    "Two-horse wagon",
    5,
    8,
    (
        Row(
            "General farm wagon",
            "fore pair",
            FORE,
            stop=Stop("shave-spoke", {("drive-spoke", "near_fore"): 12, ("drive-spoke", "off_fore"): 5}),
        ),
        Row(
            "Two-horse farm wagon",
            "hind pair",
            HIND,
            stop=Stop(
                "shrink-band",
                {
                    ("chop-mortise", "near_hind"): 9,
                    ("rough-spoke", None): 17,
                    ("saw-felloe", None): 12,
                    ("plane-felloe", None): 11,
                },
            ),
        ),
    ),
    minutes=80,
    state=Order.State.IN_HAND,
    not_before={"drive-spoke": 5, "saw-felloe": 0, "plane-felloe": -2},
)
WAITING_FOR_ELM = Plan(
    "Tolland mill",
    "Farm cart",
    2.5,
    10,
    pair("Farm cart", stop=Stop(None, {("rough-spoke", None): 9})),
    minutes=60,
    state=Order.State.IN_HAND,
    hold=("timber", "Elm for the hubs: still at 24 % in the stack", 12),
    not_before={"rough-spoke": 5},
)
BEING_PAINTED = Plan(
    "Mrs Averill",
    "Dog-cart",
    10,
    11,
    pair("Dog-cart", stop=Stop("fit-box", {("coat", None): 9})),
    minutes=200,
    state=Order.State.IN_HAND,
    not_before={"coat": 4},
)
READY = Plan("Old Ford garden", "Barrow", 5, 6, pair("Barrow"), minutes=120, state=Order.State.READY)
WORD_ON_FELLOES = Plan(
    "J. Pascoe, carrier",
    "Dog-cart",
    2,
    5,
    (Row("Dog-cart", "new felloes", PAIR, Work.NEW_FELLOES, stop=Stop("look-over")),),
    minutes=120,
    state=Order.State.TAKEN,
    hold=("customer", "Mr Pascoe's word on four felloes and two tongues found soft", 4),
)
WORD_ON_TYRE = Plan(
    "Upcott livery",
    "Wagonette",
    1.5,
    4,
    (Row("Wagonette, fore", "re-tyre", FORE, Work.RETYRE, stop=Stop("look-over")),),
    minutes=120,
    state=Order.State.TAKEN,
    hold=("customer", "The livery's word: new iron, or cut and shut the old", 2),
)
ENQUIRY = Plan(
    "Sister Benedicta, Holm priory",
    "Gig",
    0.5,
    10,
    pair("Gig", stop=Stop(None)),
    state=Order.State.ENQUIRY,
    note="Asks whether her own boxes can be used again.",
)
QUOTED = Plan(
    "Rushmere museum",
    "Army wagon",
    1.2,
    16,
    tuple(
        Row(library, name, places, stop=Stop(None))
        for library, name, places in zip(_ARMY, ("fore pair", "hind pair"), (FORE, HIND), strict=True)
    ),
    state=Order.State.QUOTED,
)
DROPPED = Plan(
    "Mr Quill",
    "Gig",
    23,
    8,
    pair("Gig", stop=Stop(None)),
    state=Order.State.DROPPED,
    note="Bought a finished gig elsewhere.",
)

PLANS: tuple[Plan, ...] = tuple(
    sorted(
        (
            *CLOSED,
            AT_THE_FORGE,
            HALF_DRIVEN,
            WAITING_FOR_ELM,
            BEING_PAINTED,
            READY,
            WORD_ON_FELLOES,
            WORD_ON_TYRE,
            ENQUIRY,
            QUOTED,
            DROPPED,
        ),
        key=lambda plan: -plan.weeks,
    )
)
