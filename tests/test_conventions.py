"""The habits of this house that a machine can see. A rule nobody checks is a wish."""

import ast
import re
import statistics
from collections.abc import Iterator
from pathlib import Path

import pytest
from django.apps import apps
from django.conf import settings
from django.db import models

ROOT = Path(__file__).resolve().parent.parent
ROOMS = ("jobs", "timing", "shop")
SOURCES = [path for room in ROOMS for path in sorted((ROOT / room).rglob("*.py")) if "migrations" not in path.parts]
TEMPLATES = sorted((ROOT / "templates").rglob("*.html"))
SCRIPTS = sorted((ROOT / "static").rglob("*.js"))
TESTS = sorted((ROOT / "tests").rglob("test_*.py"))

INLINE = re.compile(
    r"""(?ix) \sstyle\s*=\s*["'] | <style\b | \shx-on\b | \s(on[a-z]+)\s*=\s*["'] | ["']js: | javascript: """
)
INLINE_SCRIPT = re.compile(r"(?i)<script\b(?![^>]*\bsrc\s*=)")

Function = ast.FunctionDef | ast.AsyncFunctionDef


def name_of(path: Path) -> str:
    return path.relative_to(ROOT).as_posix()


def read(path: Path) -> str:
    return path.read_text(encoding="utf-8")


def functions(path: Path) -> Iterator[Function]:
    for node in ast.walk(ast.parse(read(path))):
        if isinstance(node, Function):
            yield node


def lines_of(path: Path) -> int:
    return len(read(path).splitlines())


def longer(paths: list[Path], most: int) -> dict[str, int]:
    assert paths
    return {name_of(path): lines_of(path) for path in paths if lines_of(path) > most}


def test_modules_are_short():
    assert longer([*SOURCES, *TESTS], 400) == {}


def test_functions_are_short():
    lengths = {
        f"{name_of(path)}:{function.name}": (function.end_lineno or 0) - function.lineno + 1
        for path in SOURCES
        for function in functions(path)
    }
    assert {name: length for name, length in lengths.items() if length > 60} == {}
    assert statistics.quantiles(lengths.values(), n=10)[-1] <= 25


def test_templates_are_short():
    assert longer([path for path in TEMPLATES if not path.name.startswith("_")], 130) == {}


def test_fragments_are_short():
    assert longer([path for path in TEMPLATES if path.name.startswith("_")], 40) == {}


def test_scripts_are_short():
    assert {name_of(path): lines_of(path) for path in SCRIPTS if lines_of(path) > 150} == {}


def inline_parts(html: str) -> list[str]:
    without_comments = re.sub(r"(?s)\{#.*?#\}|\{% comment %\}.*?\{% endcomment %\}", "", html)
    return [match.group() for rule in (INLINE, INLINE_SCRIPT) for match in rule.finditer(without_comments)]


def test_templates_have_no_inline_style_script_or_handler():
    found = {name_of(path): inline_parts(read(path)) for path in TEMPLATES}
    assert {name: parts for name, parts in found.items() if parts} == {}


@pytest.mark.parametrize(
    "html",
    [
        '<p style="x">',
        "<style>",
        '<a onclick="f()">',
        "<script>x()</script>",
        '<b hx-on:click="f()">',
        "<a hx-vals='js:x'>",
    ],
)
def test_inline_parts_are_seen(html):
    assert inline_parts(html) != []


def test_python_makes_no_inline_style_or_handler():
    found = {name_of(path): re.findall(r"""\s(?:style|on[a-z]{4,})=\\?["'][^"']""", read(path)) for path in SOURCES}
    assert {name: parts for name, parts in found.items() if parts} == {}


def told_by_place(function: Function) -> list[str]:
    """Boolean parameters given by place, beside others: `record(mark, True)` tells a reader nothing."""
    placed = [*function.args.posonlyargs, *function.args.args]
    if len(placed) == 1:
        return []
    defaults = [None] * (len(placed) - len(function.args.defaults)) + list(function.args.defaults)
    return [
        parameter.arg
        for parameter, default in zip(placed, defaults, strict=True)
        if (isinstance(parameter.annotation, ast.Name) and parameter.annotation.id == "bool")
        or (isinstance(default, ast.Constant) and isinstance(default.value, bool))
    ]


def test_booleans_are_told_by_name():
    found = {
        f"{name_of(path)}:{function.name}": told_by_place(function)
        for path in SOURCES
        for function in functions(path)
        # What Django and its template filters call, they call their own way.
        if not function.decorator_list or not any("filter" in ast.unparse(one) for one in function.decorator_list)
    }
    assert {name: parameters for name, parameters in found.items() if parameters} == {}


def our_fields() -> "list[models.Field[object, object]]":
    return [
        field
        for room in ROOMS
        for model in apps.get_app_config(room).get_models()
        for field in model._meta.local_concrete_fields
    ]


def test_moments_end_at_and_days_end_on():
    for field in our_fields():
        if isinstance(field, models.DateTimeField):
            assert field.name.endswith("_at") or field.name == "wait_until", field
        elif isinstance(field, models.DateField):
            assert field.name.endswith("_on") or field.name == "on", field


def test_nothing_is_kept_as_a_float_or_decimal():
    assert [field for field in our_fields() if isinstance(field, models.FloatField | models.DecimalField)] == []


def broad(source: str) -> list[int]:
    """The lines on which everything is caught and not raised again; cleaning up after anything at all is right."""
    return [
        node.lineno
        for node in ast.walk(ast.parse(source))
        if isinstance(node, ast.ExceptHandler)
        and re.search(
            r"\b(BaseException|Exception|everything)\b", ast.unparse(node.type) if node.type else "everything"
        )
        and not any(isinstance(one, ast.Raise) and one.exc is None for one in node.body)
    ]


def test_nothing_is_caught_too_broadly():
    assert {name_of(path): lines for path in SOURCES if (lines := broad(read(path)))} == {}


@pytest.mark.parametrize(("handler", "lines"), [("except:", [3]), ("except Exception:", [3]), ("except OSError:", [])])
def test_what_catches_too_much_is_seen(handler, lines):
    assert broad(f"try:\n    x()\n{handler}\n    y()") == lines
    assert broad(f"try:\n    x()\n{handler}\n    raise") == []


def test_nothing_is_left_for_later():
    words = re.compile(r"\b(TODO|FIXME|XXX)\b|type: ignore(?!\[)|noqa(?!: )")
    assert [name_of(path) for path in SOURCES if words.search(read(path))] == []
    words = re.compile(r"\b(TODO|FIXME|XXX)\b|console\.log|debugger")
    assert [name_of(path) for path in [*TEMPLATES, *SCRIPTS] if words.search(read(path))] == []


def can_fail(function: Function, helpers: set[str]) -> bool:
    """Whether a test asserts, demands an error, or calls a helper that does."""
    if any(isinstance(node, ast.Assert) for node in ast.walk(function)):
        return True
    names = {node.id for node in ast.walk(function) if isinstance(node, ast.Name)}
    names |= {node.attr for node in ast.walk(function) if isinstance(node, ast.Attribute)}
    demands = {"raises", "run_state_machine_as_test"} | helpers
    return bool(names & demands) or any("assert" in name for name in names)


HELPERS = {
    function.name
    for path in sorted((ROOT / "tests").rglob("*.py"))
    for function in functions(path)
    if not function.name.startswith("test_") and can_fail(function, set())
}


def test_every_test_can_fail():
    found = {path: [one for one in functions(path) if one.name.startswith("test_")] for path in TESTS}
    cannot = {
        name_of(path): [function.name for function in tests if not can_fail(function, HELPERS)]
        for path, tests in found.items()
    }
    assert {name: tests for name, tests in cannot.items() if tests} == {}
    empty = [path for path, tests in found.items() if not tests]
    assert [name_of(path) for path in empty if not re.search(r"run_state_machine_as_test|\.TestCase", read(path))] == []


@pytest.mark.parametrize(("body", "fails"), [("x()", False), ("assert x", True), ("with pytest.raises(E): x()", True)])
def test_a_test_that_cannot_fail_is_seen(body, fails):
    (function,) = ast.parse(f"def test_it():\n    {body}").body
    assert isinstance(function, ast.FunctionDef)
    assert can_fail(function, set()) is fails


def test_skips_have_a_reason():
    for path in TESTS:
        for call in re.findall(r"(?:mark\.skip(?:if)?|pytest\.skip|importorskip)\b[^\n]*(?:\n[^\n]*)?", read(path)):
            assert "reason=" in call or re.search(r"skip\(\s*f?[\"']", call) or path == Path(__file__), (path, call)


def test_facts_have_no_page_of_django_to_edit_them():
    assert "django.contrib.admin" not in settings.INSTALLED_APPS
    assert not any("admin" in read(path) for path in (ROOT / "shop" / "urls").glob("*.py"))


def test_every_test_folder_is_a_package():
    assert [path for path in TESTS if not (path.parent / "__init__.py").exists()] == []
