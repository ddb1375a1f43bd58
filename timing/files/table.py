"""A CSV file (RFC 4180, in UTF-8) taken apart by the names in its first line; every line that is wrong is told."""

import csv
import io
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import Generic, TypeVar

from timing.files.cells import CellRefused

Row = TypeVar("Row")
Value = TypeVar("Value")

# A year of a large shop is some ten megabytes; beyond this it is some other file.
MOST_BYTES = 500_000_000
TOO_LONG = f"The file is longer than {MOST_BYTES // 1_000_000} MB, and is likely another than was meant."
EVERY = 2000
OTHER_UTF = {b"\xff\xfe\x00\x00": "UTF-32", b"\x00\x00\xfe\xff": "UTF-32", b"\xff\xfe": "UTF-16", b"\xfe\xff": "UTF-16"}
AS_UTF8 = "save it as CSV in UTF-8"
DIVIDERS = {";": "semicolons", "\t": "tabs", "|": "upright strokes"}

# Told how many lines were read, of how many.
Tick = Callable[[int, int], None]


class FileRefused(ValueError):
    """A file that can't be read; `sentences` say what is wrong, one a line of the file, in their order."""

    def __init__(self, sentences: Sequence[str]) -> None:
        super().__init__(sentences[0])
        self.sentences = list(sentences)


@dataclass(frozen=True, slots=True)
class Sheet(Generic[Row]):
    """The rows of a file in its order, and the names of columns that nobody asked for."""

    rows: list[Row]
    unread: list[str]


class Cells:
    """One line's values by the names of their columns. What is wrong with any of them is gathered, not raised."""

    def __init__(self, columns: Sequence[str], line: int, values: Sequence[str]) -> None:
        self.line = line
        self._values = dict(zip(columns, values, strict=True))
        self.wrong: list[str] = []

    def take(self, column: str, read: Callable[[str], Value], otherwise: Value) -> Value:
        """What `read` makes of the value, or `otherwise` where it refuses it."""
        try:
            return read(self._values[column])
        except CellRefused as refused:
            self.wrong.append(f"{column}: {refused}")
            return otherwise


def read_sheet(
    content: bytes, columns: Sequence[str], make: Callable[[Cells], Row], *, tick: Tick | None = None
) -> Sheet[Row]:
    """The rows of a file, each made by `make`, whatever the order of its columns. FileRefused with all that is wrong.

    Lines without any value are passed over. A column of another name is not read, and told.
    """
    text = as_text(content)
    lines = _lines(text)
    head = _head(lines)
    places = _places(head, columns)
    count = text.count("\n")
    rows: list[Row] = []
    wrong: list[str] = []
    try:
        for number, (line, values) in enumerate(lines, 1):
            if tick and number % EVERY == 0:
                tick(line, count)
            try:
                rows.append(_row(line, values, head, places, columns, make))
            except CellRefused as refused:
                wrong.append(f"Line {line}: {refused}")
    except CellRefused as refused:
        wrong.append(str(refused))
    if wrong:
        raise FileRefused(wrong)
    return Sheet(rows, [name for name in _names(head) if name and name not in columns])


def as_text(content: bytes) -> str:
    """A file's bytes as text, without a mark of their order. FileRefused where it is no text in UTF-8."""
    if len(content) > MOST_BYTES:
        raise FileRefused([TOO_LONG])
    for mark, name in OTHER_UTF.items():
        if content.startswith(mark):
            raise FileRefused([f"The file is written in {name}: {AS_UTF8}."])
    content = content.removeprefix(b"\xef\xbb\xbf")
    at = content.find(b"\0")
    if at >= 0:
        raise FileRefused([f"Line {_line_at(content, at)} holds a NUL, which no text does: {AS_UTF8}."])
    try:
        text = content.decode("utf-8")
    except UnicodeDecodeError as error:
        raise FileRefused([f"Line {_line_at(content, error.start)} is not written in UTF-8: {AS_UTF8}."]) from error
    if not text.strip():
        raise FileRefused(["The file is empty."])
    return text


def _line_at(content: bytes, at: int) -> int:
    return content.count(b"\n", 0, at) + 1


def _lines(text: str) -> Iterator[tuple[int, list[str]]]:
    """The lines that hold anything, each with the number where it begins. CellRefused where a quotation is bad."""
    reader = csv.reader(io.StringIO(text, newline=""), strict=True)
    begins = 1
    while True:
        try:
            values = next(reader, None)
        except csv.Error as error:
            raise CellRefused(
                f"Line {begins}: a quotation mark is opened and not closed, or stands in the middle of a text."
            ) from error
        if values is None:
            return
        values = [value.strip() for value in values]
        if any(values):
            yield begins, values
        begins = reader.line_num + 1


def _head(lines: Iterator[tuple[int, list[str]]]) -> list[str]:
    try:
        return next(lines, (1, list[str]()))[1]
    except CellRefused as refused:
        raise FileRefused([str(refused)]) from refused


def _names(head: Sequence[str]) -> list[str]:
    return [name.casefold() for name in head]


def _places(head: Sequence[str], columns: Sequence[str]) -> list[int]:
    """Where each column stands in the file."""
    names = _names(head)
    wanted = f"the first line must name {','.join(columns)}"
    if len(names) == 1:
        for mark, what in DIVIDERS.items():
            if mark in names[0]:
                raise FileRefused([f"The file divides its columns by {what}: divide them by commas."])
    twice = sorted({name for name in names if name and names.count(name) > 1})
    if twice:
        raise FileRefused([f"The first line names the column “{twice[0]}” more than once."])
    missing = [name for name in columns if name not in names]
    if missing:
        lacks = ", ".join(f"“{name}”" for name in missing)
        raise FileRefused([f"The file lacks the column{'s' * (len(missing) > 1)} {lacks}: {wanted}."])
    return [names.index(name) for name in columns]


def _row(
    line: int,
    values: Sequence[str],
    head: Sequence[str],
    places: Sequence[int],
    columns: Sequence[str],
    make: Callable[[Cells], Row],
) -> Row:
    if len(values) < len(head) or any(values[len(head) :]):
        raise CellRefused(
            f"there are {len(values)} values where the first line names {len(head)} columns; "
            "a number is written with a point, and a text with a comma in it stands in quotation marks."
        )
    cells = Cells(columns, line, [values[place] for place in places])
    made = make(cells)
    if cells.wrong:
        raise CellRefused(" ".join(cells.wrong))
    return made
