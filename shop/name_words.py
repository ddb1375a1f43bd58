"""A name in a text: as a word by itself, or nearly so. Texts in, texts out."""

import re
import unicodedata
from collections.abc import Iterable
from dataclasses import dataclass

_RUN = re.compile(r"[A-Za-z0-9]+")
# Accents that stand after their letter.
_MARKS = "\u0300-\u036f"


@dataclass(frozen=True, slots=True)
class Sought:
    """The names of somebody, and the longer names of others that hold one of them: those are left alone.

    `shared` are names that others have too, so that a text may mean either.
    """

    names: tuple[str, ...]
    longer: tuple[str, ...] = ()
    shared: frozenset[str] = frozenset()

    @classmethod
    def of(cls, names: Iterable[str], others: Iterable[str]) -> "Sought":
        """`others` are the names of everybody else."""
        own = sorted(set(names), key=len, reverse=True)
        folded = {fold(name) for name in own}
        known = sorted({other for other in others if any(name in fold(other) for name in folded)}, key=len)[::-1]
        shared = frozenset(name for name in own if fold(name) in {fold(other) for other in known})
        return cls(tuple(own), tuple(other for other in known if fold(other) not in folded), shared)

    def put(self, text: str, number: str) -> str:
        """A text with a number where a name stands as it is written, as a word by itself."""
        names = [name for name in self.names if name not in self.shared]
        return _sub(pattern_of(*names, but=self.longer), text, number) if names else text

    def put_nearly(self, text: str, number: str) -> str:
        """The same with other capitals, in quotes, as a part of a word with a hyphen, with accents, apostrophes
        and spaces typed otherwise, and where the name is another's too."""
        names = [unicodedata.normalize("NFC", name) for name in self.names]
        longer = [unicodedata.normalize("NFC", other) for other in self.longer]
        plain = unicodedata.normalize("NFC", text)
        put = _sub(_near(names, longer), plain, number)
        return text if put == plain else put

    @property
    def stems(self) -> tuple[str, ...]:
        """The longest plain letters of each name that has some, which any database finds however the rest is written:
        letters with an accent are none, for they are one letter in some texts and two in others."""
        return tuple({stem for name in self.names if (stem := _stem(name))})

    @property
    def spelled(self) -> tuple[str, ...]:
        """The other names, as a pattern that any database knows: each letter small or capital, its accent in it or
        after it."""
        return tuple({_spelled(name) for name in self.names if not _stem(name)})


def _stem(name: str) -> str:
    """Empty where too little is left to look for."""
    composed = unicodedata.normalize("NFC", name)
    stem = max(_RUN.findall(composed), key=len, default="")
    return stem if len(stem) > 1 or composed.isascii() else ""


def _spelled(name: str) -> str:
    return "".join(_either(letter) for letter in unicodedata.normalize("NFC", name))


def _either(letter: str) -> str:
    cases = (letter, letter.lower(), letter.upper(), letter.title())
    forms = {unicodedata.normalize(form, case) for case in cases for form in ("NFC", "NFD")}
    return f"(?:{'|'.join(sorted(map(re.escape, forms), key=len, reverse=True))})"


def fold(text: str) -> str:
    """A text as two are compared: small and capital letters alike, however accents were typed."""
    return unicodedata.normalize("NFC", unicodedata.normalize("NFC", text).casefold())


def pattern_of(*names: str, but: Iterable[str] = ()) -> re.Pattern[str]:
    """Names as words by themselves, in their own capitals; not as a month between a day and its year, and not within
    one of the longer names `but`."""
    return re.compile(_left_alone(but) + "|".join(rf"(?<![\w'’-]){_no_month(name)}(?![\w{_MARKS}-])" for name in names))


def _near(names: Iterable[str], longer: Iterable[str]) -> re.Pattern[str]:
    either = "|".join(rf"(?<![^\W_]){_loosely(_no_month(name))}(?![^\W_])" for name in names)
    return re.compile(_left_alone(longer) + either, re.IGNORECASE)


def _loosely(pattern: str) -> str:
    """Of a name: with any space between its words, and with the apostrophe that phones write or the typewriter's."""
    return re.sub("['’]", "['’]", pattern.replace(r"\ ", r"\s+"))


def _left_alone(longer: Iterable[str]) -> str:
    return "".join(rf"(?<!\w)(?P<another{place}>{re.escape(other)})(?!\w)|" for place, other in enumerate(longer))


def _no_month(name: str) -> str:
    return rf"(?!(?<=\d\s){re.escape(name)}\s\d{{4}}){re.escape(name)}"


def _sub(pattern: re.Pattern[str], text: str, number: str) -> str:
    # Only another's longer name is a group.
    return pattern.sub(lambda match: match[0] if match.lastgroup else number, text)
