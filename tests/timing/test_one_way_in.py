"""Facts and the counters of a task are written in three modules and nowhere else; their notes, and mending, apart."""

import ast
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent.parent
WRITERS = {"timing/record.py", "timing/bulk.py", "timing/moves.py"}
# It puts a number where a note names somebody, and touches no figure.
NOTES = "timing/notes.py"
# It puts rows in for `timing.bulk` alone, in SQL.
INSERTS = "timing/bulk_rows.py"
MENDS = "timing/recount.py"
FACTS = {"Stretch", "Tally", "Helper", "Move", "AwaitedCancel"}
COUNTERS = {"made", "spoiled", "lost", "seconds"}
WRITES = {"create", "bulk_create", "get_or_create", "update_or_create", "update", "bulk_update", "delete", "save"}
MODULES = sorted(
    str(path.relative_to(ROOT))
    for room in ("jobs", "timing", "shop")
    for path in (ROOT / room).rglob("*.py")
    if "migrations" not in path.parts and "models" not in path.parts
)


def writes(source: str) -> set[str]:
    """What a source writes of facts and counters: facts made, tables written, counters set."""
    found = set()
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.Call):
            found |= _written_by(node)
        elif isinstance(node, ast.Assign | ast.AugAssign):
            targets = node.targets if isinstance(node, ast.Assign) else [node.target]
            set_on = [one for one in targets if isinstance(one, ast.Attribute) and one.attr in COUNTERS]
            found |= {f"sets {ast.unparse(one)}" for one in set_on if ast.unparse(one.value).endswith("task")}
    return found


def _written_by(call: ast.Call) -> set[str]:
    """What one call writes: a fact built, a write that begins at a table of facts, an update of counters."""
    named = ast.unparse(call.func)
    if named in FACTS:
        return {f"builds {named}"}
    if not isinstance(call.func, ast.Attribute) or call.func.attr not in WRITES:
        return set()
    counted = COUNTERS & {word.arg for word in call.keywords}
    if named.split(".")[0] in FACTS or counted:
        return {f"calls {named}"}
    return set()


@pytest.mark.parametrize("module", [module for module in MODULES if module not in WRITERS | {NOTES}])
def test_nothing_else_writes_facts_or_counters(module: str) -> None:
    assert writes((ROOT / module).read_text(encoding="utf-8")) == set()


def test_notes_alone_are_written_beside_them() -> None:
    source = ast.parse((ROOT / NOTES).read_text(encoding="utf-8"))
    calls = [
        node for node in ast.walk(source) if isinstance(node, ast.Call) and ast.unparse(node.func)[-7:] == ".update"
    ]
    assert [[word.arg for word in call.keywords] for call in calls] == [["note"], ["reason"], [None]]
    assert writes((ROOT / NOTES).read_text(encoding="utf-8")) == {f"calls {ast.unparse(call.func)}" for call in calls}


@pytest.mark.parametrize("module", sorted(WRITERS))
def test_the_writers_are_seen_to_write(module: str) -> None:
    assert writes((ROOT / module).read_text(encoding="utf-8"))


@pytest.mark.parametrize(
    "source",
    [
        "Tally(made=1)",
        "Stretch.objects.filter(pk=1).delete()",
        "Move.objects.create(pieces=1)",
        "Task.objects.filter(pk=1).update(made=0)",
        "task.made += 1",
    ],
)
def test_a_second_way_in_is_seen(source: str) -> None:
    assert writes(source)


def test_only_the_command_that_is_told_to_mends_counters() -> None:
    """It sets them to what the facts say, by names that it reads from a list."""
    callers = [module for module in MODULES if "mend(" in (ROOT / module).read_text(encoding="utf-8")]
    assert callers == ["timing/management/commands/recount.py", MENDS]


def test_only_bulk_puts_rows_in_by_sql() -> None:
    callers = [module for module in MODULES if "insert_rows(" in (ROOT / module).read_text(encoding="utf-8")]
    assert callers == ["timing/bulk.py", INSERTS]
