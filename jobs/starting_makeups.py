"""Make-ups that a new shop's library begins with: everyday wheels, and wheels whose measures are in print."""

from dataclasses import dataclass, replace
from typing import Literal

from jobs.makeup import Band, MakeUp
from jobs.measures import NM_PER_INCH, parse_length

Status = Literal["common practice, no source", "published"]


@dataclass(frozen=True, slots=True)
class StartingMakeUp:
    """A make-up with where it comes from.

    `given` names the fields whose values the printed source gives; every other field is common practice, no
    source.
    """

    name: str
    carriage: str
    place: str
    source: str
    status: Status
    makeup: MakeUp
    given: frozenset[str] = frozenset()


def _mm(millimetres: int) -> int:
    return millimetres * 1_000_000


def _in(inches: str) -> int:
    return parse_length(inches, default_unit="in")


def _everyday(name: str, carriage: str, place: str, makeup: MakeUp) -> StartingMakeUp:
    return StartingMakeUp(name, carriage, place, "", "common practice, no source", makeup)


@dataclass(frozen=True, slots=True)
class _Fitted:
    """Mortises and a box in millimetres, as a wheel of its size has them: common practice, no source."""

    mortise: tuple[int, int]
    box: tuple[int, int, int]
    bore: tuple[int, int]

    def on(self, makeup: MakeUp) -> MakeUp:
        return replace(
            makeup,
            mortise_length_nm=_mm(self.mortise[0]),
            mortise_width_nm=_mm(self.mortise[1]),
            box_large_nm=_mm(self.box[0]),
            box_small_nm=_mm(self.box[1]),
            box_length_nm=_mm(self.box[2]),
            bore_large_nm=_mm(self.bore[0]),
            bore_small_nm=_mm(self.bore[1]),
        )


_LIGHT_BANDS = (Band("back band", _mm(25), _mm(5)), Band("front band", _mm(22), _mm(5)))
_HEAVY_BANDS = (
    Band("back breast band", _mm(38), _mm(8)),
    Band("front breast band", _mm(38), _mm(8)),
    Band("nose band", _mm(50), _mm(6)),
)

_WAGONETTE_HIND = MakeUp(
    height_nm=_mm(1170),
    height_over="wood",
    spokes=14,
    rim="sawn",
    felloes=7,
    hub="wood",
    hub_diameter_nm=_mm(190),
    hub_length_nm=_mm(230),
    spoke_width_nm=_mm(50),
    spoke_thickness_nm=_mm(30),
    tongue="round",
    felloe_depth_nm=_mm(57),
    felloe_width_nm=_mm(38),
    tyre="iron",
    tyre_width_nm=_mm(38),
    tyre_thickness_nm=_mm(10),
    fastening="bolted",
    bands=_LIGHT_BANDS,
    box="fitted",
    coats=5,
    lined=True,
    dish_nm=_mm(32),
    hub_timber="elm",
    spoke_timber="cleft oak",
    felloe_timber="ash",
)
_WAGONETTE_FORE = replace(_WAGONETTE_HIND, height_nm=_mm(970), spokes=12, felloes=6, dish_nm=_mm(25))
_DOG_CART = replace(
    _WAGONETTE_HIND,
    height_nm=_mm(1220),
    hub_diameter_nm=_mm(180),
    hub_length_nm=_mm(210),
    spoke_width_nm=_mm(46),
    spoke_thickness_nm=_mm(28),
    felloe_depth_nm=_mm(54),
)
_GIG = replace(
    _DOG_CART,
    height_nm=_mm(1270),
    spokes=16,
    rim="bent",
    felloes=2,
    hub_diameter_nm=_mm(165),
    hub_length_nm=_mm(200),
    spoke_width_nm=_mm(42),
    spoke_thickness_nm=_mm(26),
    felloe_depth_nm=_mm(44),
    felloe_width_nm=_mm(32),
    tyre="rubber",
    tyre_width_nm=_mm(32),
    tyre_thickness_nm=_mm(32),
    fastening="plain",
    felloe_timber="hickory",
)
_FARM_CART = replace(
    _WAGONETTE_HIND,
    height_nm=_mm(1370),
    spokes=12,
    felloes=6,
    hub_diameter_nm=_mm(300),
    hub_length_nm=_mm(340),
    spoke_width_nm=_mm(80),
    spoke_thickness_nm=_mm(48),
    tongue="square",
    felloe_depth_nm=_mm(95),
    felloe_width_nm=_mm(76),
    tyre_width_nm=_mm(76),
    tyre_thickness_nm=_mm(16),
    fastening="plain",
    bands=_HEAVY_BANDS,
    coats=3,
    lined=False,
    dish_nm=_mm(50),
)
_BARROW = replace(
    _WAGONETTE_HIND,
    height_nm=_mm(420),
    spokes=8,
    felloes=4,
    hub_diameter_nm=_mm(110),
    hub_length_nm=_mm(190),
    spoke_width_nm=_mm(34),
    spoke_thickness_nm=_mm(22),
    felloe_depth_nm=_mm(45),
    felloe_width_nm=_mm(44),
    tyre_width_nm=_mm(44),
    tyre_thickness_nm=_mm(6),
    fastening="plain",
    bands=(Band("back band", _mm(25), _mm(3)), Band("front band", _mm(25), _mm(3))),
    box="none",
    coats=2,
    lined=False,
    dish_nm=0,
)

_ARMY_WAGON_FORE = MakeUp(
    height_nm=46 * NM_PER_INCH,
    height_over="tyre",
    spokes=12,
    rim="sawn",
    felloes=6,
    hub="wood",
    hub_diameter_nm=10 * NM_PER_INCH,
    hub_length_nm=_in("14 1/4"),
    spoke_width_nm=_in("2 1/2"),
    spoke_thickness_nm=_in("1 3/4"),
    tongue="round",
    felloe_depth_nm=_in("2 3/4"),
    felloe_width_nm=_in("2 1/2"),
    tyre="iron",
    tyre_width_nm=_in("2 1/2"),
    tyre_thickness_nm=_in("5/8"),
    fastening="bolted",
    bands=(
        Band("sand band", _in("2 3/4"), _in("0.165")),
        Band("linch-pin band", _in("2 3/4"), _in("0.165")),
        Band("outside driving band", _in("1 1/4"), _in("1/4")),
        Band("inside driving band", _in("1"), _in("3/16")),
    ),
    box="fitted",
    coats=2,
    lined=False,
    dish_nm=_in("1/2"),
    hub_timber="gum",
    spoke_timber="white oak",
    felloe_timber="white oak",
)
_ARMY_WAGON_HIND = replace(
    _ARMY_WAGON_FORE, height_nm=58 * NM_PER_INCH, spokes=14, felloes=7, hub_diameter_nm=_in("10 1/4")
)
_ARMY_WAGON_GIVEN = frozenset(
    {
        "height_nm",
        "hub_diameter_nm",
        "felloe_depth_nm",
        "felloe_width_nm",
        "tyre",
        "tyre_width_nm",
        "tyre_thickness_nm",
        "fastening",
        "bands",
        "box",
        "hub_timber",
        "spoke_timber",
        "felloe_timber",
    }
)
_ARMY_WAGON_SOURCE = (
    "US Army specification of the six-mule wagon, read in two later transcriptions (one at hansenwheel.com). "
    "The thickness of the sand and linch-pin bands is given as No. 8 iron; 0.165 in for it is from memory."
)
_GUN_WHEEL = replace(
    _ARMY_WAGON_HIND,
    height_nm=_in("57 3/4"),
    hub="bolted",
    hub_diameter_nm=_in("9"),
    hub_length_nm=_in("12"),
    bands=(),
    dish_nm=_in("3/4"),
    hub_timber="",
)
_NINE_POUNDER = replace(
    _ARMY_WAGON_HIND,
    height_nm=60 * NM_PER_INCH,
    spokes=12,
    felloes=6,
    hub_diameter_nm=_in("12"),
    hub_length_nm=_in("14"),
    felloe_depth_nm=_in("3 1/4"),
    bands=_HEAVY_BANDS,
    dish_nm=_in("2"),
    hub_timber="elm",
    spoke_timber="oak",
    felloe_timber="ash",
)
_TWO_HORSE_WAGON = replace(
    _ARMY_WAGON_FORE,
    height_nm=_in("50"),
    height_over="wood",
    hub_diameter_nm=_in("8 1/2"),
    hub_length_nm=_in("11"),
    spoke_width_nm=_in("2 1/2"),
    spoke_thickness_nm=_in("1 3/8"),
    felloe_depth_nm=_in("2"),
    felloe_width_nm=_in("1 1/2"),
    tyre_width_nm=_in("1 1/2"),
    tyre_thickness_nm=_in("1/2"),
    bands=_LIGHT_BANDS,
    hub_timber="oak",
    dish_nm=_in("3/8"),
)
_FARM_WAGON = replace(
    _TWO_HORSE_WAGON,
    height_nm=_in("44"),
    hub_diameter_nm=_in("8"),
    hub_length_nm=_in("10"),
    spoke_width_nm=_in("2 1/4"),
    dish_nm=_in("3/16"),
)
_ESCORT_FRONT = replace(
    _ARMY_WAGON_FORE,
    height_nm=48 * NM_PER_INCH,
    hub_diameter_nm=_in("9"),
    hub_length_nm=_in("12"),
    bands=_LIGHT_BANDS,
    hub_timber="oak",
)
_ESCORT_REAR = replace(_ESCORT_FRONT, height_nm=57 * NM_PER_INCH, spokes=14, felloes=7)
_ESCORT_SOURCE = "US escort wagon, model of 1901, second-hand and weak: a collector's page at lovettartillery.com."

_WAGONETTE_FITTED = _Fitted((44, 15), (70, 58, 210), (50, 38))

STARTING_MAKEUPS: tuple[StartingMakeUp, ...] = (
    _everyday("Gig", "gig", "", _Fitted((36, 12), (62, 50, 185), (42, 32)).on(_GIG)),
    _everyday("Dog-cart", "dog-cart", "", _Fitted((40, 14), (66, 54, 195), (46, 34)).on(_DOG_CART)),
    _everyday("Wagonette, fore", "wagonette", "fore", _WAGONETTE_FITTED.on(_WAGONETTE_FORE)),
    _everyday("Wagonette, hind", "wagonette", "hind", _WAGONETTE_FITTED.on(_WAGONETTE_HIND)),
    _everyday("Farm cart", "farm cart", "", _Fitted((74, 26), (110, 90, 320), (70, 55)).on(_FARM_CART)),
    _everyday("Barrow", "barrow", "", _BARROW),
    StartingMakeUp(
        "Six-mule army wagon, fore",
        "six-mule army wagon",
        "fore",
        f"{_ARMY_WAGON_SOURCE} They differ on the hub's length (14 1/2, 14 1/4 in): not taken as given.",
        "published",
        _ARMY_WAGON_FORE,
        _ARMY_WAGON_GIVEN,
    ),
    StartingMakeUp(
        "Six-mule army wagon, hind",
        "six-mule army wagon",
        "hind",
        _ARMY_WAGON_SOURCE,
        "published",
        _ARMY_WAGON_HIND,
        _ARMY_WAGON_GIVEN | {"hub_length_nm"},
    ),
    StartingMakeUp(
        "Archibald field-gun wheel",
        "3.2-inch field gun",
        "",
        "Height: Dyer, Handbook for Light Artillery, chapter IV. Spokes and felloes: “artillery wheel” in "
        "Webster's dictionary, supplement of 1913. The bolted hub is from memory.",
        "published",
        _GUN_WHEEL,
        frozenset({"height_nm", "spokes", "felloes"}),
    ),
    StartingMakeUp(
        "British 9-pounder field wheel",
        "9-pounder field gun",
        "",
        "Height and dish: Encyclopaedia Britannica, 9th edition, volume 11, page 311, GUNNERY.",
        "published",
        _NINE_POUNDER,
        frozenset({"height_nm", "dish_nm"}),
    ),
    StartingMakeUp(
        "Two-horse farm wagon",
        "two-horse farm wagon",
        "",
        "Hub and its timber, tyre (1/2 or 5/8 in thick), mortises 2 1/2 in long: Richardson, Practical "
        "Carriage Building, volume 1, 1891, Wagon Wheels.",
        "published",
        _TWO_HORSE_WAGON,
        frozenset({"hub_diameter_nm", "hub_length_nm", "hub_timber", "tyre_width_nm", "tyre_thickness_nm"}),
    ),
    StartingMakeUp(
        "General farm wagon",
        "farm wagon",
        "",
        "Hub and spokes: Richardson, Practical Carriage Building, volume 1, 1891, Farm Wagon Wheels.",
        "published",
        _FARM_WAGON,
        frozenset({"hub_diameter_nm", "hub_length_nm", "spoke_width_nm"}),
    ),
    StartingMakeUp(
        "Escort wagon of 1901, front",
        "escort wagon",
        "fore",
        _ESCORT_SOURCE,
        "published",
        _ESCORT_FRONT,
        frozenset({"height_nm"}),
    ),
    StartingMakeUp(
        "Escort wagon of 1901, rear",
        "escort wagon",
        "hind",
        _ESCORT_SOURCE,
        "published",
        _ESCORT_REAR,
        frozenset({"height_nm"}),
    ),
)
