"""The disk of the power cuts by itself: what must be there afterwards, and what may."""

import os
import random
import subprocess
import sys
from pathlib import Path

import pytest

from tests.faults.cutting import built
from tests.faults.disk import SECTOR, Disk, NotAsLogged

pytestmark = pytest.mark.usefixtures("gcc")
WAYS = 200


@pytest.fixture(scope="module")
def watcher(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return built(tmp_path_factory.mktemp("watcher"))


def left_after(tmp_path: Path, watcher: Path, doing: str, *, meddle: str = "") -> list[dict[str, bytes]]:
    """Every state that many cuts leave after a program has worked in a folder that holds a file "old"."""
    folder, log = tmp_path / "watched", tmp_path / "log"
    folder.mkdir()
    (folder / "old").write_bytes(b"o" * 2 * SECTOR)
    disk = Disk(folder, log)
    surroundings = os.environ | {"LD_PRELOAD": str(watcher), "WATCHED": str(folder), "WATCHED_LOG": str(log)}
    subprocess.run([sys.executable, "-c", f"import os\n{doing}"], cwd=folder, env=surroundings, check=True)
    if meddle:
        (folder / meddle).write_bytes(b"unseen")
    disk.read()
    disk.check()
    chance = random.Random(1)
    found = []
    for number in range(WAYS):
        state = tmp_path / f"left-{number}"
        state.mkdir()
        disk.leave(state, chance)
        found.append({path.name: path.read_bytes() for path in state.iterdir()})
    return found


WRITE = "f = os.open('old', os.O_RDWR)\nos.pwrite(f, b'n' * 1024, 0)\n"
MAKE = "f = os.open('new', os.O_RDWR | os.O_CREAT)\nos.write(f, b'n' * 1024)\n"


def test_what_was_synced_stays(tmp_path: Path, watcher: Path) -> None:
    found = left_after(tmp_path, watcher, f"{WRITE}os.fsync(f)")
    assert {state["old"] for state in found} == {b"n" * 2 * SECTOR}


def test_of_what_was_not_synced_each_sector_may_be_old_or_new(tmp_path: Path, watcher: Path) -> None:
    found = left_after(tmp_path, watcher, WRITE)
    old, new = b"o" * SECTOR, b"n" * SECTOR
    assert {state["old"] for state in found} == {old + old, old + new, new + old, new + new}


def test_what_was_written_after_the_sync_may_be_lost(tmp_path: Path, watcher: Path) -> None:
    found = left_after(tmp_path, watcher, f"{WRITE}os.fdatasync(f)\nos.pwrite(f, b'x', 0)")
    assert {state["old"][:2] for state in found} == {b"nn", b"xn"}


def test_a_length_may_be_any_it_had(tmp_path: Path, watcher: Path) -> None:
    found = left_after(tmp_path, watcher, "f = os.open('old', os.O_RDWR)\nos.ftruncate(f, 0)\nos.write(f, b'n')")
    assert {len(state["old"]) for state in found} == {0, 1, 2 * SECTOR}


def test_a_synced_file_whose_folder_was_not_may_lose_its_name(tmp_path: Path, watcher: Path) -> None:
    found = left_after(tmp_path, watcher, f"{MAKE}os.fsync(f)")
    assert {tuple(sorted(state)) for state in found} == {("old",), ("new", "old")}
    assert {state["new"] for state in found if "new" in state} == {b"n" * 1024}


def test_a_name_stays_with_its_folder(tmp_path: Path, watcher: Path) -> None:
    found = left_after(tmp_path, watcher, f"{MAKE}os.fsync(f)\nos.fsync(os.open('.', os.O_RDONLY))\nos.unlink('old')")
    assert {tuple(sorted(state)) for state in found} == {("new",), ("new", "old")}


def test_a_renamed_file_is_under_one_name_or_the_other(tmp_path: Path, watcher: Path) -> None:
    found = left_after(tmp_path, watcher, "os.rename('old', 'now')")
    assert {tuple(sorted(state)) for state in found} == {("now",), ("old",)}


def test_a_change_that_the_log_does_not_tell_ends_the_run(tmp_path: Path, watcher: Path) -> None:
    with pytest.raises(NotAsLogged, match="bytes that its log does not tell of"):
        left_after(tmp_path, watcher, WRITE, meddle="old")


def test_a_file_that_the_log_does_not_tell_ends_the_run(tmp_path: Path, watcher: Path) -> None:
    with pytest.raises(NotAsLogged, match="unseen"):
        left_after(tmp_path, watcher, WRITE, meddle="unseen")
