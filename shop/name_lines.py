"""Where lines of who changed what name somebody: by the form in which the program wrote them, and in words of people.

A line is of one kind, and begins with what it is about. Only some begin with a hand; what is about material or an
operation never tells of one, though it may be called the same.
"""

import re
from collections.abc import Iterable

from shop.models import AuditLine, Rate

Kind = AuditLine.Kind
OF_HANDS = "|".join(re.escape(Rate.Kind(kind).label) for kind in ("wage", "cost", "guarantee"))
# What follows the name of a hand, where a line is about one.
ABOUT = {
    Kind.PERSON: re.compile(r"^(?P<subject>.+?)(?P<rest>(?:: (?:PIN|password))?)$", re.DOTALL),
    Kind.RATE: re.compile(rf"^(?P<subject>.+?)(?P<rest>: (?:{OF_HANDS}), from .*)$", re.DOTALL),
    Kind.PAY: re.compile(r"^(?P<subject>.+?)(?P<rest>: (?:how paid, from |bonus, |overtime at ).*)$", re.DOTALL),
}
NAMED = re.compile(r"^name: (?P<subject>.+?)(?P<rest>(?:; (?:may use|works as|apprentice): .*)?)$", re.DOTALL)
OPENED = re.compile(r"^opened, (?P<subject>.+) its owner$", re.DOTALL)
TAKEN_BACK = "taken back: "
# A line of pay that is about an operation.
OF_WORK = ": mean hourly output, from "


def subject_of(kind: str, column: str, text: str) -> re.Match[str] | None:
    """The place in a column of a line in which the program itself puts the name of a person."""
    if column == "what":
        return ABOUT[Kind(kind)].match(text) if kind in ABOUT else None
    if kind == Kind.PERSON:
        return NAMED.match(text)
    return OPENED.match(text) if kind == Kind.SHOP and column == "after" else None


def put_in_its_form(kind: str, column: str, text: str, names: Iterable[str], number: str) -> str:
    """A text with a number where the program wrote one of the names."""
    found = subject_of(kind, column, text)
    if found is None or found["subject"] not in set(names):
        return text
    return f"{text[: found.start('subject')]}{number}{text[found.end('subject') :]}"


def words_of(kind: str, column: str, text: str) -> tuple[str, str]:
    """A text in two: what the program put there, and the words of people in it."""
    found = subject_of(kind, column, text)
    if found:
        return text[: found.end("subject")], text[found.end("subject") :]
    is_words = {
        Kind.RATE: False,
        Kind.PAY: OF_WORK not in text,
        Kind.OPERATION: False,
        Kind.PRICE: text.startswith(TAKEN_BACK if column != "what" else ("Order ", "Overhead of ")),
    }.get(Kind(kind), True)
    return ("", text) if is_words else (text, "")
