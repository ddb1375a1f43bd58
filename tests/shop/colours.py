"""The colours that the stylesheet itself declares, in each scheme, and the contrast between two of them.

Contrast as in WCAG 2.2, "relative luminance" and "contrast ratio": https://www.w3.org/TR/WCAG22/#dfn-contrast-ratio
"""

import re
from pathlib import Path

STATIC = Path(__file__).resolve().parents[2] / "static"
HOUSE = (STATIC / "shop" / "house.css").read_text()
FURNITURE = (STATIC / "shop" / "furniture.css").read_text()
QUOTES = (STATIC / "shop" / "quotes.css").read_text()
WHEEL = (STATIC / "jobs" / "wheel.css").read_text()
DARK_AT = "@media screen and (prefers-color-scheme: dark)"


def declared(css: str) -> dict[str, str]:
    """Custom properties that are plain colours."""
    return dict(re.findall(r"--([a-z0-9-]+):\s*(#[0-9a-f]{6});", css))


def schemes() -> dict[str, dict[str, str]]:
    light_css, dark_css = HOUSE.split(DARK_AT)
    dark_css = dark_css.split("/* ---- ground and type ---- */")[0]
    light = declared(light_css)
    return {"light": light, "dark": light | declared(dark_css)}


def luminance(colour: str) -> float:
    parts = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    red, green, blue = (part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    darker, lighter = sorted((luminance(one), luminance(other)))
    return (lighter + 0.05) / (darker + 0.05)
