"""The look holds: contrast in both schemes, sizes to read and to touch, weight over the wire, and no inline style."""

import gzip
import re
from pathlib import Path
from urllib.parse import unquote

import pytest
from django.template.loader import render_to_string

from tests.shop.colours import FURNITURE, HOUSE, QUOTES, STATIC, WHEEL, contrast, schemes

TEMPLATES = Path(__file__).resolve().parents[2] / "templates"
CSS = HOUSE + FURNITURE + WHEEL + QUOTES
GROUNDS = ("paper", "sheet", "well")
WORDS = {
    **dict.fromkeys(("ink", "ink2", "madder-dark", "prussian"), GROUNDS),
    "cream": ("act", "act-pressed", "band"),
}
RULE_WORDS = ("ink", "madder-dark", "prussian")
BOUNDARIES = {
    "edge": GROUNDS,
    "woodline": (*GROUNDS, "boxwood", "likely"),
    "iron": GROUNDS,
    "madder": GROUNDS,
    "prussian": GROUNDS,
    "act-edge": ("paper",),
    "cream": ("act", "band"),
    **dict.fromkeys(RULE_WORDS, ("boxwood", "likely")),
}
# Under 3:1 by themselves, and so always drawn with an outline or words: ornament and fills.
ORNAMENT = {"hair", "hub", "spoke", "felloe", "band-edge"}


def pairs(table: dict[str, tuple[str, ...]]) -> list[tuple[str, str, str]]:
    return [(scheme, on, ground) for scheme in schemes() for on, grounds in table.items() for ground in grounds]


def test_contrast_agrees_with_the_standards_own_ends() -> None:
    assert contrast("#ffffff", "#000000") == pytest.approx(21)
    assert contrast("#777777", "#777777") == pytest.approx(1)


@pytest.mark.parametrize(("scheme", "on", "ground"), pairs(WORDS))
def test_words_are_read(scheme: str, on: str, ground: str) -> None:
    colours = schemes()[scheme]
    assert contrast(colours[on], colours[ground]) >= 4.5


@pytest.mark.parametrize(("scheme", "on", "ground"), pairs(BOUNDARIES))
def test_boundaries_are_seen(scheme: str, on: str, ground: str) -> None:
    colours = schemes()[scheme]
    assert contrast(colours[on], colours[ground]) >= 3


def test_every_colour_is_judged() -> None:
    judged = {*WORDS, *BOUNDARIES, *ORNAMENT}.union(*WORDS.values(), *BOUNDARIES.values())
    assert set(schemes()["light"]) == judged


def test_words_use_only_colours_that_are_judged_as_words() -> None:
    used = set(re.findall(r"(?<![-\w])color:\s*var\(--([a-z0-9-]+)", HOUSE + FURNITURE + QUOTES))
    assert used <= {*WORDS, "band"}, "the open menu's band colour on cream is the pair cream on band"


def test_dark_scheme_changes_every_ground() -> None:
    light, dark = schemes()["light"], schemes()["dark"]
    assert all(light[ground] != dark[ground] for ground in (*GROUNDS, "boxwood", "likely", "band", "act"))


def test_linings_are_drawn_in_the_schemes_own_colours() -> None:
    drawn = re.findall(r'--lining-wood: url\("([^"]+)"\)', HOUSE)
    assert len(drawn) == 2
    for svg, colours in zip(drawn, schemes().values(), strict=True):
        assert set(re.findall(r"#[0-9a-f]{6}", unquote(svg))) == {colours["woodline"], colours["madder"]}


def test_every_colour_used_is_declared() -> None:
    used = set(re.findall(r"var\(--([a-z0-9-]+)(?!-)(?:\)|,)", HOUSE + FURNITURE + QUOTES))
    declared = set(re.findall(r"--([a-z0-9-]+):", HOUSE))
    assert used <= declared


def test_no_words_under_16_px() -> None:
    sizes = re.findall(r"(?:font-size|font):[^;}]*?([\d.]+)(rem|px|em)", CSS)
    tokens = re.findall(r"--s(\d+): ([\d.]+)rem", HOUSE)
    assert tokens, "the sizes of the house are gone"
    assert all(float(rem) * 16 == int(name) >= 16 for name, rem in tokens)
    assert all(float(size) * (16 if unit == "rem" else 1) >= 16 for size, unit in sizes)


@pytest.mark.parametrize("name", ["act", "act-link", "nav a"])
def test_acts_are_48_px_to_the_finger(name: str) -> None:
    rule = re.search(rf"\.{name}\b[^{{}}]*{{[^}}]*min-height: (\d+)px", HOUSE)
    assert rule
    assert int(rule[1]) >= 48


def test_one_done_is_large_on_a_phone() -> None:
    rule = re.search(r"\.one-done {[^}]*min-height: (\d+)px", FURNITURE)
    assert rule
    assert int(rule[1]) >= 116


@pytest.mark.parametrize(
    "where", [".ledger.folds .title", ".names .act-outline", ".choice", ".tick label", ".act-warn"]
)
def test_a_name_of_one_long_word_widens_no_phone(where: str) -> None:
    rules = re.findall(r"([^{}]+){[^}]*overflow-wrap: anywhere", re.sub(r"/\*.*?\*/", "", FURNITURE))
    assert where in {selector.strip() for rule in rules for selector in rule.split(",")}


@pytest.mark.parametrize(
    "where", [".ledger tbody th", ".ledger tbody td:not([class])", ".ledger .wide", ".ledger .named", "figcaption"]
)
def test_a_name_of_one_long_word_widens_no_desk(where: str) -> None:
    """Nor may it be broken only on a phone: the rule stands outside any query of width."""
    anywhere = re.sub(r"@media[^{]*{(?:[^{}]*{[^{}]*})*[^{}]*}", "", re.sub(r"/\*.*?\*/", "", FURNITURE))
    rules = re.findall(r"([^{}]+){[^}]*overflow-wrap: anywhere", anywhere)
    assert where in {selector.strip() for rule in rules for selector in rule.split(",")}


def test_the_mark_of_a_fold_keeps_clear_of_its_words() -> None:
    assert re.search(r"details\.more > summary::before {[^}]*flex: none", FURNITURE)


def test_motion_can_be_stilled() -> None:
    assert "@media (prefers-reduced-motion: reduce)" in HOUSE


def test_stylesheets_are_light_over_the_wire() -> None:
    files = [*STATIC.glob("shop/*.css"), *STATIC.glob("jobs/*.css")]
    # Three on every page; those of quotations and of times are asked for by their own pages alone.
    assert len(files) <= 5
    base = (TEMPLATES / "base.html").read_text()
    assert base.count('rel="stylesheet"') == 3
    assert sum(len(gzip.compress(file.read_bytes(), 6)) for file in files) < 16_000


def test_templates_hold_nothing_inline() -> None:
    files = list(TEMPLATES.rglob("*.html"))
    assert files
    for file in files:
        text = file.read_text()
        assert not re.search(r"\sstyle=|<style|\son[a-z]+=|hx-on|<script(?![^>]*\ssrc=)", text), file


def test_templates_keep_to_their_length() -> None:
    for file in TEMPLATES.rglob("*.html"):
        most = 40 if file.name.startswith("_") else 130
        assert len(file.read_text().splitlines()) <= most, file


@pytest.mark.parametrize("name", ["400.html", "403.html", "403_csrf.html", "404.html", "500.html"])
def test_error_pages_stand_without_a_request(name: str) -> None:
    page = render_to_string(name)
    assert page.count("<h1>") == 1
    assert "shop/house.css" in page
