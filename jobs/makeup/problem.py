"""One thing wrong with a make-up, and what is needed to say it in a sentence."""

from collections.abc import Mapping
from dataclasses import dataclass

from jobs.makeup.makeup import MakeUp
from jobs.measures import Unit, format_length

PLAIN_WORDS = {
    "hub": "hub",
    "hubs": "hubs",
    "felloe": "felloe",
    "felloes": "felloes",
    "tyre": "tyre",
    "tyres": "tyres",
}


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing wrong with a field of a make-up. `refuse`: it cannot be made; else it is a warning."""

    field: str
    sentence: str
    refuse: bool


@dataclass(frozen=True, slots=True)
class Look:
    """A make-up under inspection, with the words and units to speak of it."""

    makeup: MakeUp
    words: Mapping[str, str]
    unit: Unit
    new_work: bool

    def length(self, nm: float) -> str:
        return format_length(round(nm), unit=self.unit)


def refuse(field: str, sentence: str) -> Problem:
    return Problem(field, sentence, refuse=True)


def warn(field: str, sentence: str) -> Problem:
    return Problem(field, sentence, refuse=False)
