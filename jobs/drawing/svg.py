"""Small pieces of SVG text."""

import math
from html import escape


def num(value: float) -> str:
    """A coordinate to a tenth of a pixel, without needless digits."""
    return f"{value:.1f}".removesuffix(".0")


def turn(degrees: float) -> str:
    """An angle to a hundredth of a degree."""
    return f"{degrees:.2f}".rstrip("0").rstrip(".")


def at(radius: float, degrees: float) -> str:
    """The point so far from the hub, clockwise from the top."""
    angle = math.radians(degrees)
    return f"{num(radius * math.sin(angle))} {num(-radius * math.cos(angle))}"


def circle(radius: float, attributes: str) -> str:
    return f'<circle r="{num(radius)}" {attributes}/>'


def ring_path(outer: float, inner: float) -> str:
    """Two circles; filled with `fill-rule="evenodd"` it is a hoop seen end on."""
    a, b = num(outer), num(inner)
    return f"M{a} 0A{a} {a} 0 1 1-{a} 0A{a} {a} 0 1 1 {a} 0ZM{b} 0A{b} {b} 0 1 1-{b} 0A{b} {b} 0 1 1 {b} 0Z"


def sector_path(outer: float, inner: float, start: float, end: float) -> str:
    """A closed piece of rim from `start` to `end` degrees."""
    a, b = num(outer), num(inner)
    large = 1 if end - start > 180 else 0
    return (
        f"M{at(outer, start)}A{a} {a} 0 {large} 1 {at(outer, end)}"
        f"L{at(inner, end)}A{b} {b} 0 {large} 0 {at(inner, start)}Z"
    )


def arcs_path(outer: float, inner: float, start: float, end: float) -> str:
    """The sole and the belly of a piece of rim, open at its ends."""
    a, b = num(outer), num(inner)
    large = 1 if end - start > 180 else 0
    return (
        f"M{at(outer, start)}A{a} {a} 0 {large} 1 {at(outer, end)}"
        f"M{at(inner, start)}A{b} {b} 0 {large} 1 {at(inner, end)}"
    )


def svg(body: str, *, box: tuple[float, float, float, float], title: str, ident: str | None, kind: str) -> str:
    """The whole picture with its name; `box` is left, top, width and height in pixels."""
    left, top, width, height = (num(value) for value in box)
    name, told = f'aria-label="{escape(title)}"', ""
    if ident is not None:
        name, told = f'aria-labelledby="{escape(ident)}-t"', f'<title id="{escape(ident)}-t">{escape(title)}</title>'
    return (
        f'<svg class="{kind}" role="img" {name} width="{width}" height="{height}" '
        f'viewBox="{left} {top} {width} {height}">{told}{body}</svg>'
    )
