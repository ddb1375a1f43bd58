"""The table of clauses in SECURITY.md, held to OWASP ASVS 5.0.0: each has a test that names it, or a reason."""

import ast
import re
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent.parent
TABLE = (ROOT / "SECURITY.md").read_text(encoding="utf-8").split("## Clause by clause")[1]
ROWS = [re.split(r"\s*\|\s*", row.strip("| ")) for row in TABLE.splitlines() if row.startswith("| ")][1:]
# Met by the whole of a test file, whose tests are not named for clauses.
BY_FILE = {"6.1.1", "6.3.1", "8.2.1", "8.2.2", "2.3.4"}


def test_every_clause_stands_once() -> None:
    clauses = [clause for _, told, _ in ROWS for clause in told.split(", ")]
    assert len(clauses) == len(set(clauses))
    assert {"6.2.1", "6.3.3", "6.3.8", "7.2.3", "7.4.1", "3.3.2", "3.4.3", "3.5.3", "5.2.1", "1.2.10"} <= set(clauses)


def is_tested(clause: str, source: str) -> bool:
    """Whether a test is named for a clause, or is said to be of the ASVS at that clause; a mention is not enough."""
    named = re.compile(rf"_v{clause.replace('.', '_')}(?!_?\d)")
    said = re.compile(rf"ASVS .*?(?<![\d.]){re.escape(clause)}(?![\d.]*\d)")
    tests = [node for node in ast.parse(source).body if isinstance(node, ast.FunctionDef)]
    tests = [test for test in tests if test.name.startswith("test_")]
    return any(named.search(test.name) or said.match(ast.get_docstring(test) or "") for test in tests)


def test_a_mention_is_no_test() -> None:
    source = '"""ASVS 1.2.3."""\nA = "4.5.6"\ndef test_v7_8_9_it():\n    """ASVS 1.1.1: and 1.1.12."""\n    # 2.2.2\n'
    source += 'def test_other():\n    """It fails 3.3.3."""\ndef helper():\n    """ASVS 6.6.6"""\n'
    assert [clause for clause in ("7.8.9", "1.1.1", "1.1.12") if not is_tested(clause, source)] == []
    no_test = ("1.2.3", "4.5.6", "2.2.2", "3.3.3", "6.6.6", "1.1.2", "7.8.90", "7.8")
    assert [clause for clause in no_test if is_tested(clause, source)] == []


@pytest.mark.parametrize(("matter", "clauses", "where"), ROWS, ids=[row[1] for row in ROWS])
def test_a_row_names_a_test_that_names_it_or_a_reason(matter: str, clauses: str, where: str) -> None:
    files = re.findall(r"`(tests/[\w/]+\.py)`", where)
    source = "".join((ROOT / name).read_text(encoding="utf-8") for name in files)
    assert matter
    for clause in clauses.split(", "):
        by_test = is_tested(clause, source) or (clause in BY_FILE and "def test_" in source)
        assert by_test or where.startswith("not met: "), clause
