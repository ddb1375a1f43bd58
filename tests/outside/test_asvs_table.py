"""The table of clauses in SECURITY.md, held to OWASP ASVS 5.0.0: each has a test that names it, or a reason."""

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


@pytest.mark.parametrize(("matter", "clauses", "where"), ROWS, ids=[row[1] for row in ROWS])
def test_a_row_names_a_test_that_names_it_or_a_reason(matter: str, clauses: str, where: str) -> None:
    files = re.findall(r"`(tests/[\w/]+\.py)`", where)
    source = "".join((ROOT / name).read_text(encoding="utf-8") for name in files)
    assert matter
    for clause in clauses.split(", "):
        by_test = clause in source or (clause in BY_FILE and "def test_" in source)
        assert by_test or where.startswith("not met: "), clause
