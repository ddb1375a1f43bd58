"""The elements of a time study as a person writes them, one a line: "fetch 90 % every 2: 0.44 0.50 0.43"."""

import re

from django import forms

from timing.standard_time import Element

MOST_ELEMENTS, MOST_READINGS, MOST_MINUTES, MOST_EVERY = 30, 100, 6000, 1000
MOST_RATING = 200
HEAD = re.compile(
    r"(?P<name>.*?)\s*\b(?P<rating>\d+(?:\.\d+)?)\s*%?(?:\s+every\s+(?P<every>\d+))?", re.IGNORECASE | re.ASCII
)
NUMBER = re.compile(r"\d{1,6}(?:\.\d{1,6})?|\.\d{1,6}", re.ASCII)


def read_elements(text: str) -> list[Element]:
    """Each line as an element; empty lines are let be. ValidationError says which line and what is wrong with it."""
    lines = [(number, line.strip()) for number, line in enumerate(text.splitlines(), 1) if line.strip()]
    if len(lines) > MOST_ELEMENTS:
        raise forms.ValidationError(f"Write at most {MOST_ELEMENTS} elements: there are {len(lines)}.")
    return [_element(number, line) for number, line in lines]


def _element(number: int, line: str) -> Element:
    head, colon, rest = line.rpartition(":")
    found = HEAD.fullmatch(" ".join(head.split()))
    if not colon or not found:
        raise _wrong(number, "write its rating, a colon and its readings, like “90 %: 0.44 0.50 0.43”")
    rating, every = float(found["rating"]), int((found["every"] or "1")[:9])
    if not 0 < rating <= MOST_RATING:
        raise _wrong(number, f"a rating is above 0 and up to {MOST_RATING} %")
    if not 0 < every <= MOST_EVERY:
        raise _wrong(number, f"it is done at every piece, or every 2nd, up to every {MOST_EVERY}th")
    readings = [_reading(number, one) for one in re.split(r"[\s;]+|,\s+", rest.strip().rstrip(",;")) if one]
    if not 0 < len(readings) <= MOST_READINGS:
        raise _wrong(number, f"write from 1 to {MOST_READINGS} readings after the colon")
    return Element(found["name"].strip() or f"Element {number}", rating / 100, readings, every)


def _reading(number: int, text: str) -> float:
    if not NUMBER.fullmatch(text):
        raise _wrong(number, f"“{text[:20]}” is not minutes: write them like 0.45")
    minutes = float(text)
    if not 0 < minutes <= MOST_MINUTES:
        raise _wrong(number, f"a reading is above 0 and up to {MOST_MINUTES:,} minutes")
    return minutes


def _wrong(number: int, what: str) -> forms.ValidationError:
    return forms.ValidationError(f"Line {number}: {what}.")
