"""`shop` may use `timing` and `jobs`; `timing` may use `jobs`; `jobs` uses neither."""

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
MAY_USE = {"jobs": {"jobs"}, "timing": {"timing", "jobs"}, "shop": {"shop", "timing", "jobs"}}
# {% url "shop:order" %}, {% include "jobs/_wheel.html" %}, {% extends "shop/…" %}
TAG = re.compile(r"""\{%\s*(?:url|include|extends)\s+["'](\w+)[:/]""")


def imports_of(source: str) -> Iterator[str]:
    """The first word of every module that a source imports."""
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.Import):
            yield from (alias.name.split(".")[0] for alias in node.names)
        elif isinstance(node, ast.ImportFrom) and node.module:
            assert node.level == 0, "imports are absolute"
            yield node.module.split(".")[0]


def wrong(used: set[str], room: str) -> set[str]:
    return (used & set(MAY_USE)) - MAY_USE[room]


@pytest.mark.parametrize("room", MAY_USE)
def test_imports_go_down_only(room):
    files = sorted((ROOT / room).rglob("*.py"))
    assert files
    found = {str(file): wrong(set(imports_of(file.read_text(encoding="utf-8"))), room) for file in files}
    assert {file: rooms for file, rooms in found.items() if rooms} == {}


@pytest.mark.parametrize("room", MAY_USE)
def test_templates_go_down_only(room):
    files = sorted((ROOT / "templates" / room).rglob("*.html"))
    found = {str(file): wrong(set(TAG.findall(file.read_text(encoding="utf-8"))), room) for file in files}
    assert {file: rooms for file, rooms in found.items() if rooms} == {}


def test_upward_imports_and_links_are_seen():
    assert wrong(set(imports_of("def f():\n    from shop.models import Rate")), "jobs") == {"shop"}
    assert wrong(set(imports_of("import timing.record")), "jobs") == {"timing"}
    assert wrong(set(TAG.findall("{% url 'shop:order' 3 %} {% include \"timing/_row.html\" %}")), "jobs") == {
        "shop",
        "timing",
    }


def test_pages_never_import_the_tests():
    for room in MAY_USE:
        for file in (ROOT / room).rglob("*.py"):
            assert "tests" not in set(imports_of(file.read_text(encoding="utf-8"))), file
