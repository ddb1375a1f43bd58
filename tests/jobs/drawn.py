"""Reads a drawing back as what it shows."""

import re
from dataclasses import dataclass
from xml.etree import ElementTree

SVG = "{http://www.w3.org/2000/svg}"


@dataclass(frozen=True)
class Drawn:
    """The parsed picture; shapes are found by the classes that they carry."""

    root: ElementTree.Element

    def shapes(self, *classes: str) -> list[ElementTree.Element]:
        return [each for each in self.root.iter() if set(classes) <= set(each.get("class", "").split())]

    def angles(self, *classes: str) -> list[float]:
        return [
            float(re.findall(r"rotate\(([-\d.]+)\)", each.get("transform", ""))[0]) for each in self.shapes(*classes)
        ]

    def hatched(self, kind: str) -> list[ElementTree.Element]:
        return [each for each in self.root.iter() if each.get("fill") == f"url(#w-hatch-{kind})"]


def read(svg: str) -> Drawn:
    return Drawn(ElementTree.fromstring(svg))  # noqa: S314  (our own output)


def radii(shape: ElementTree.Element) -> list[float]:
    """The different radii of a path's arcs, largest first."""
    found = re.findall(r"A([\d.]+) ", shape.get("d", ""))
    return sorted({float(each) for each in found}, reverse=True)


def points(shape: ElementTree.Element) -> list[tuple[float, float]]:
    """The points that a path of straight lines goes through."""
    return [(float(x), float(y)) for x, y in re.findall(r"[ML]([-\d.]+) ([-\d.]+)", shape.get("d", ""))]
