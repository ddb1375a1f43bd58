"""What stands on a paper, from its head to its foot, in plain words and figures."""

from dataclasses import dataclass

from jobs.makeup import MakeUp
from jobs.patterns.drawing import Drawing


@dataclass(frozen=True, slots=True)
class Column:
    """`wide` is its share of the width; `figures` stand to the right, under each other.

    `strong` ones are bold, `small` ones notes and sources; in one that is `boxed` a pencil ticks off its rows.
    """

    head: str
    wide: float
    figures: bool = False
    strong: bool = False
    small: bool = False
    boxed: bool = False


@dataclass(frozen=True, slots=True)
class Cells:
    """A row, one cell to a column; `below` stands in smaller type under the first."""

    said: tuple[str, ...]
    below: str = ""


@dataclass(frozen=True, slots=True)
class Across:
    """Words over the whole width: how the row above came about, in smaller type; or `strong`, what is wrong with it."""

    said: str
    strong: bool = False


@dataclass(frozen=True, slots=True)
class Part:
    """The heading of the rows that follow."""

    said: str


@dataclass(frozen=True, slots=True)
class Boxes:
    """A row to be filled in with a pencil: whose it is, and which of the other columns have a box."""

    label: str
    boxed: tuple[bool, ...]


Line = Cells | Across | Part | Boxes


@dataclass(frozen=True, slots=True)
class Table:
    """Rows under heads that stand again on each page. No page ends within one of `blocks`.

    `beside` follows the name in lighter type.
    """

    name: str
    columns: tuple[Column, ...]
    blocks: tuple[tuple[Line, ...], ...]
    beside: str = ""


@dataclass(frozen=True, slots=True)
class Item:
    """A sentence or more, led by a word or two that are bold, as is what `warning` says at the end."""

    lead: str
    said: str
    warning: str = ""


@dataclass(frozen=True, slots=True)
class Box:
    """What has to be seen, in a frame: a heavy one for what may hurt."""

    name: str
    items: tuple[Item, ...]
    heavy: bool = False


@dataclass(frozen=True, slots=True)
class Words:
    """A paragraph; `small` for notes and sources."""

    said: str
    small: bool = False


@dataclass(frozen=True, slots=True)
class Pictures:
    """Drawings beside each other, each with its name and what it assumes."""

    drawings: tuple[Drawing, ...]


@dataclass(frozen=True, slots=True)
class Standing:
    """Wheels as they will be, all at one scale and on one ground line, each with words under it."""

    wheels: tuple[tuple[MakeUp, str], ...]


@dataclass(frozen=True, slots=True)
class Amount:
    """A sum of money and what it is; a `total` stands under a double line."""

    what: str
    said: str
    total: bool = False


@dataclass(frozen=True, slots=True)
class Amounts:
    """Sums under each other, as a bill has them."""

    rows: tuple[Amount, ...]


@dataclass(frozen=True, slots=True)
class Signing:
    """What is agreed to, and lines to write on, side by side; they stay on one page."""

    name: str
    said: str
    lines: tuple[str, ...]


Piece = Table | Box | Words | Pictures | Standing | Amounts | Signing


@dataclass(frozen=True, slots=True)
class Letterhead:
    """The head of a paper that goes to somebody else: whose it is and how they are reached, and what the paper is.

    `facts` stand under its title, each with its label.
    """

    lines: tuple[str, ...]
    facts: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Document:
    """A paper. `running` names it at the head of each page, beside whose it is; `printed` stands at the foot.

    With a `letterhead` the first page begins with that instead. `across` is written large and pale over every page.
    """

    title: str
    about: tuple[str, ...]
    running: str
    whose: str
    printed: str
    pieces: tuple[Piece, ...]
    letterhead: Letterhead | None = None
    across: str = ""
