"""What a smith sees of a heat: colours in words, with the bands that were printed for them.

The books differ by up to 100 °C, for eyes and light differ: judge in the shade. The bands are for showing; no sum
uses them.
"""

from dataclasses import dataclass

from jobs.iron.expansion import celsius_of


@dataclass(frozen=True, slots=True)
class Colour:
    """A colour from so many degrees Celsius; `to_c` is where the next begins, none for the last."""

    word: str
    from_c: float
    to_c: float | None


def _bands(*rows: tuple[str, float]) -> tuple[Colour, ...]:
    ends = [start for _, start in rows[1:]]
    return tuple(Colour(word, start, end) for (word, start), end in zip(rows, [*ends, None], strict=True))


CHAPMAN = "Chapman, Workshop Technology"
# His bands by their first degree Celsius; each ends one degree before the next.
CHAPMAN_BANDS = _bands(
    ("black red", 426),
    ("very dark red", 594),
    ("dark red", 705),
    ("cherry red", 815),
    ("light cherry red", 871),
    ("orange", 982),
    ("yellow", 1093),
    ("yellow white", 1259),
    ("white", 1315),
)
STIRLING = "Stirling Boiler Company, 1905"
STIRLING_BANDS = _bands(
    ("red just visible", 525),
    ("dull red", 700),
    ("dull cherry red", 800),
    ("full cherry red", 900),
    ("clear cherry red", 1000),
    ("deep orange", 1100),
    ("clear orange", 1200),
    ("white", 1300),
    ("bright white", 1400),
    ("dazzling white", 1500),
)
DOOLEY = "Dooley, Applied Science for Metal Workers"
# Printed in Fahrenheit.
DOOLEY_BANDS = _bands(
    ("first red", celsius_of(957)),
    ("dull red", celsius_of(1290)),
    ("dark cherry red", celsius_of(1470)),
    ("cherry red", celsius_of(1655)),
    ("bright red", celsius_of(1870)),
    ("dull orange", celsius_of(2010)),
    ("bright orange", celsius_of(2190)),
    ("white", celsius_of(2370)),
    ("bright white", celsius_of(2550)),
)
BOOKS: dict[str, tuple[Colour, ...]] = {
    CHAPMAN: CHAPMAN_BANDS,
    STIRLING: STIRLING_BANDS,
    DOOLEY: DOOLEY_BANDS,
}


def colour_in(bands: tuple[Colour, ...], celsius: float) -> str:
    """The word of a book for this heat; nothing below its first."""
    return next((band.word for band in reversed(bands) if celsius >= band.from_c), "")


def in_the_books(celsius: float) -> list[tuple[str, str]]:
    """Each book with its word for this heat: "no red yet" below the first."""
    return [(book, colour_in(bands, celsius) or "no red yet") for book, bands in BOOKS.items()]


def smiths_words(celsius: float) -> str:
    """The heat as a smith would say it: black, or the colour by Chapman's bands.

    From 426 °C Chapman calls it black red, while Dooley and the Stirling tables have the first red that is
    seen at 514 and 525 °C.
    """
    if celsius < CHAPMAN_BANDS[0].from_c:
        return "black heat, no red"
    if celsius < DOOLEY_BANDS[0].from_c:
        return "black heat, no red but in the dark"
    if celsius < CHAPMAN_BANDS[1].from_c:
        return "the first red, seen in deep shade"
    return colour_in(CHAPMAN_BANDS, celsius)
