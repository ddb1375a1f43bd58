"""Reads papers back from their PDF, as a person would: the words in their order, and where on the page each stands."""

import re
import subprocess
from dataclasses import dataclass
from html import unescape

import numpy as np


@dataclass(frozen=True)
class Page:
    """Sizes are points of 1/72 in; each box is left, top, right and bottom, from the page's left top corner."""

    width: float
    height: float
    words: list[str]
    boxes: "np.ndarray[tuple[int, int], np.dtype[np.float64]]"

    @property
    def text(self) -> str:
        return " ".join(self.words)

    def overlapping(self) -> list[tuple[str, str]]:
        """Words that are written over each other."""
        left, top, right, bottom = self.boxes.T
        # What merely touches, by rounding, is no overlap.
        across = np.minimum.outer(right, right) - np.maximum.outer(left, left) > 0.5
        down = np.minimum.outer(bottom, bottom) - np.maximum.outer(top, top) > 0.5
        pairs = np.argwhere(np.triu(across & down, 1))
        return [(self.words[one], self.words[other]) for one, other in pairs]

    def margins(self) -> tuple[float, float, float, float]:
        """What is left of the page beyond its words: at its left, top, right and bottom."""
        left, top = self.boxes[:, :2].min(axis=0)
        right, bottom = self.boxes[:, 2:].max(axis=0)
        return left, top, self.width - right, self.height - bottom


def poppler_told(data: bytes, *asked: str) -> str:
    told = subprocess.run([*asked], input=data, check=True, capture_output=True).stdout
    return told.decode().replace("\N{NO-BREAK SPACE}", " ")


def text_of(data: bytes) -> str:
    """All words in the order in which they were written: a row after another, cell by cell."""
    return " ".join(poppler_told(data, "pdftotext", "-raw", "-", "-").split())


def pages_of(data: bytes) -> list[Page]:
    told = poppler_told(data, "pdftotext", "-bbox", "-", "-")
    found = []
    for page in told.split("<page ")[1:]:
        width, height = (float(each) for each in re.findall(r'(?:width|height)="(\S+)"', page)[:2])
        words = re.findall(r'xMin="(\S+)" yMin="(\S+)" xMax="(\S+)" yMax="(\S+)">(.*?)</word>', page)
        boxes = np.array([[float(each) for each in word[:4]] for word in words])
        found.append(Page(width, height, [unescape(word[4]) for word in words], boxes))
    return found
