"""Wheels as a quotation tells them to a customer: what they will be, in pairs of a part and its measures and timber."""

from collections.abc import Mapping

from jobs.makeup import MakeUp
from jobs.measures import Unit, format_length, format_section
from jobs.models import Wheel
from jobs.models.operations import Work
from shop.models import QuoteItem, QuoteLot
from shop.own_words import own_words

Pair = tuple[str, str]

NUMBERS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve")
PER = QuoteItem.Per


def number_in_words(count: int) -> str:
    return NUMBERS[count] if count < len(NUMBERS) else f"{count:,}"


def places_in_words(places: list[str]) -> str:
    """As "near hind, off hind"; loose ones are counted, for nothing tells them apart."""
    labels = dict(Wheel.Place.choices)
    counts = {place: places.count(place) for place in dict.fromkeys(places)}
    said = [str(labels[place]) if count == 1 else f"{labels[place]} × {count}" for place, count in counts.items()]
    return ", ".join(said)


# Whose the boxes are, as `Revision.Boxes` has it, and who fits them.
BOXES: Mapping[str, str] = {"": "fitted by us", "ours": "ours, fitted by us", "theirs": "yours, fitted by us"}


def place_in_words(place: str) -> str:
    """As "near hind"; empty for a loose wheel, which has none."""
    return "" if place == Wheel.Place.LOOSE else str(dict(Wheel.Place.choices)[place])


def wheels_in_words(count: int) -> str:
    return f"{number_in_words(count)} wheel{'' if count == 1 else 's'}"


def made_so(makeup: MakeUp, boxes: str, *, words: Mapping[str, str], unit: Unit) -> list[Pair]:
    """Eight pairs, those of the wood before those of what is put on it. `boxes` tells whose those are."""
    return [
        ("Height", _height(makeup, words, unit)),
        (_capital(words["hub"]), _hub(makeup, unit)),
        ("Spokes", _spokes(makeup, unit)),
        (_capital(words["felloes"]) if makeup.rim == "sawn" else "Rim", _rim(makeup, words, unit)),
        (_capital(words["tyre"]), _tyre(makeup, unit)),
        ("Bands", _bands(makeup, words, unit)),
        ("Box", BOXES[boxes] if makeup.box == "fitted" else "none"),
        ("Finish", _finish(makeup)),
    ]


def _height(makeup: MakeUp, words: Mapping[str, str], unit: Unit) -> str:
    wood = f"{format_length(makeup.wood_diameter_nm, unit=unit)} over the wood"
    if makeup.tyre == "none":
        return wood
    over = "iron" if makeup.tyre == "iron" else words["tyre"]
    return f"{format_length(makeup.tyre_diameter_nm, unit=unit)} over the {over}, {wood}"


def _hub(makeup: MakeUp, unit: Unit) -> str:
    kind = "two-piece, bolted" if makeup.hub == "bolted" else makeup.hub_timber
    size = (
        f"{format_length(makeup.hub_diameter_nm, unit=unit)} by {format_length(makeup.hub_length_nm, unit=unit)} long"
    )
    return ", ".join(filter(None, [kind, size]))


def _spokes(makeup: MakeUp, unit: Unit) -> str:
    section = format_section(makeup.spoke_width_nm, makeup.spoke_thickness_nm, unit=unit)
    return ", ".join(filter(None, [str(makeup.spokes), makeup.spoke_timber, section]))


def _rim(makeup: MakeUp, words: Mapping[str, str], unit: Unit) -> str:
    section = format_section(makeup.felloe_width_nm, makeup.felloe_depth_nm, unit=unit)
    count = str(makeup.felloes) if makeup.rim == "sawn" else f"{makeup.felloes} bent half-rims"
    return ", ".join(filter(None, [count, makeup.felloe_timber, section]))


def _tyre(makeup: MakeUp, unit: Unit) -> str:
    if makeup.tyre == "none":
        return "none"
    section = format_section(makeup.tyre_width_nm, makeup.tyre_thickness_nm, unit=unit)
    if makeup.tyre == "rubber":
        return f"rubber in a channel, {section} together"
    bolts = f"{makeup.tyre_bolts} bolts" if makeup.tyre_bolts > 1 else "one bolt" if makeup.tyre_bolts else "no bolts"
    return f"iron, {section}, {bolts}"


def _bands(makeup: MakeUp, words: Mapping[str, str], unit: Unit) -> str:
    if not makeup.bands:
        return "none"
    sections = [format_section(band.width_nm, band.thickness_nm, unit=unit) for band in makeup.bands]
    alike = [f"{sections.count(one)} of {one}" for one in dict.fromkeys(sections)]
    return f"iron, on the {words['hub']}: {', '.join(alike)}"


def _finish(makeup: MakeUp) -> str:
    if not makeup.coats:
        return "left in the wood"
    return f"{makeup.coats} coat{'' if makeup.coats == 1 else 's'}{', lined' if makeup.lined else ''}"


def repair_in_words(lot: QuoteLot, words: Mapping[str, str]) -> str:
    """What is done to old wheels for the price: they are stripped and looked over before anybody knows the rest."""
    if lot.work == Work.NEW:
        return ""
    if lot.work == Work.NEW_BOX:
        return f"Taken in and measured, the old box drawn, and a new one fitted. The {words['tyre']} stays on."
    said = (
        f"Taken in, tagged, measured and photographed; stripped, with the {words['tyre']} off; looked over, and all "
        "that is found written down for you."
    )
    iron = f" The iron for a new {words['tyre']} is in the price." if lot.work == Work.RETYRE else ""
    return f"{said}{iron}"


def work_in_words(lot: QuoteLot, words: Mapping[str, str]) -> str:
    """As "new wheels", "repair: new fellies"."""
    label = own_words(lot.get_work_display(), words)
    return label if lot.work == Work.NEW else f"repair: {label}"


def rate_in_words(item: QuoteItem, words: Mapping[str, str], money: str) -> str:
    """As "£26.00 for each spoke", "£38.00 for each hour"."""
    noun = {PER.SPOKE: "spoke", PER.FELLOE: words["felloe"], PER.HUB: words["hub"], PER.WHEEL: "wheel"}
    return f"{money} for each {noun.get(PER(item.per), 'hour')}"


def _capital(word: str) -> str:
    return word[:1].upper() + word[1:]
