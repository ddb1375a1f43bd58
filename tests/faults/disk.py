"""What a power cut may leave of a folder, worked out from the log that `watch.c` keeps of all that was done to it.

What had been synced is there. Of what had not, each sector of 512 bytes may hold what it held at the last sync or
after any write since, each file may have any length it had since, and names may stand as after any step since their
folder was synced. This is more than a file system with a journal does to a shop, and no more than POSIX allows it.
It takes the disk at its word: one that says "synced" of what it still holds in memory can lose anything.
"""

import random
import struct
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

SECTOR = 512
HEAD = struct.Struct("<c7xQQQQ")


class NotAsLogged(RuntimeError):
    """The folder holds something else than the log says: something was changed unseen."""


@dataclass(frozen=True, slots=True)
class Step:
    """One entry of the log. `kind` is a letter of `enum kind` in watch.c; `offset` of a sync tells its thread."""

    kind: str
    inode: int
    offset: int
    names: tuple[str, ...]
    content: bytes


@dataclass
class File:
    """What of a file is safe, what it holds, and what was done to it since it was synced."""

    safe: bytes = b""
    held: bytearray = field(default_factory=bytearray)
    since: list[Step] = field(default_factory=list)
    asked: dict[int, int] = field(default_factory=dict)  # by thread, how much of `since` its sync will hold

    @classmethod
    def whole(cls, content: bytes) -> "File":
        return cls(content, bytearray(content))

    def change(self, step: Step) -> None:
        _apply(self.held, step)
        self.since.append(step)

    def ask(self, thread: int) -> None:
        self.asked[thread] = len(self.since)

    def sync(self, thread: int) -> None:
        number = self.asked.pop(thread)
        safe = bytearray(self.safe)
        for step in self.since[:number]:
            _apply(safe, step)
        self.safe, self.since = bytes(safe), self.since[number:]
        self.asked = {other: max(0, held - number) for other, held in self.asked.items()}

    def after_a_cut(self, chance: random.Random) -> bytes:
        """One of the contents that a cut may leave."""
        playing = bytearray(self.safe)
        lengths = [len(playing)]
        sectors: dict[int, list[bytes]] = {}
        for step in self.since:
            before = len(playing)
            _apply(playing, step)
            lengths.append(len(playing))
            first, last = (before, step.offset) if step.kind == "L" else (min(before, step.offset), _end(step))
            for sector in range(min(first, last) // SECTOR, -(-max(first, last) // SECTOR)):
                place = sector * SECTOR
                kept = sectors.setdefault(sector, [self.safe[place : place + SECTOR]])
                kept.append(bytes(playing[place : place + SECTOR]))
        length = chance.choice(lengths)
        left = bytearray(self.safe.ljust(max(lengths), b"\0"))
        for sector, versions in sectors.items():
            place = sector * SECTOR
            size = len(left[place : place + SECTOR])
            left[place : place + size] = chance.choice(versions).ljust(size, b"\0")
        return bytes(left[:length])


def _end(step: Step) -> int:
    return step.offset + len(step.content)


def _apply(content: bytearray, step: Step) -> None:
    if step.kind == "L":
        del content[step.offset :]
        content.extend(bytes(step.offset - len(content)))
    else:
        content.extend(bytes(max(0, step.offset - len(content))))
        content[step.offset : _end(step)] = step.content


class Disk:
    """A folder of plain files between two cuts: as it stood, and what its log says was done since."""

    def __init__(self, folder: Path, log: Path) -> None:
        """Take the folder as it stands: all that is in it is safe."""
        self.folder, self.log = folder, log
        self.number = folder.stat().st_ino
        paths = list(folder.iterdir())
        self.files = {path.stat().st_ino: File.whole(path.read_bytes()) for path in paths}
        self.names = {path.name: self.files[path.stat().st_ino] for path in paths}
        self.safe_names = dict(self.names)
        self.renamings: list[dict[str, File]] = []  # the names after each step since the folder was synced
        self.asked: dict[int, int] = {}
        self.last: Step | None = None

    def read(self) -> None:
        """Play the whole log; once."""
        for step in _steps(self.log):
            self._take(step)
            self.last = step

    def _take(self, step: Step) -> None:
        if step.kind in "MGNK":
            self._take_names(step)
        elif step.inode == self.number:
            self._sync_names(step)
        elif step.kind == "A":
            self.files[step.inode].ask(step.offset)
        elif step.kind == "S":
            self.files[step.inode].sync(step.offset)
        else:
            self.files[step.inode].change(step)

    def _take_names(self, step: Step) -> None:
        names = dict(self.names)
        if step.kind == "M":
            # A number is used again once its file is gone: what was known of it is another file's.
            names[step.names[0]] = self.files[step.inode] = File()
        elif step.kind == "G":
            del names[step.names[0]]
        else:
            old, new = step.names
            names[new] = names[old] if step.kind == "K" else names.pop(old)
        self.names = names
        self.renamings.append(names)

    def _sync_names(self, step: Step) -> None:
        if step.kind == "A":
            self.asked[step.offset] = len(self.renamings)
            return
        number = self.asked.pop(step.offset)
        if number:
            self.safe_names = self.renamings[number - 1]
        self.renamings = self.renamings[number:]
        self.asked = {other: max(0, held - number) for other, held in self.asked.items()}

    @property
    def unsynced(self) -> int:
        """How many steps a cut may undo."""
        return len(self.renamings) + sum(len(file.since) for file in {id(f): f for f in self.names.values()}.values())

    def check(self) -> None:
        """Raise NotAsLogged where the folder differs from the log, but for a last step that was begun and no more.

        `-shm` is mapped into memory, holds nothing that must last, and is let be.
        """
        there = {path.name for path in self.folder.iterdir()}
        known = set(self.names)
        doubtful = set(self.last.names) if self.last and self.last.kind in "MGNK" else set()
        if (there ^ known) - doubtful:
            raise NotAsLogged(f"{self.folder} holds {sorted(there)}, its log tells of {sorted(known)}.")
        for name in there & known - doubtful:
            if name.endswith("-shm"):
                continue
            found, file = (self.folder / name).read_bytes(), self.names[name]
            if found != bytes(file.held) and not (self.last in file.since[-1:] and self._is_half_done(found, file)):
                raise NotAsLogged(f"{self.folder / name} holds {len(found)} bytes that its log does not tell of.")

    def _is_half_done(self, found: bytes, file: File) -> bool:
        """Whether a file is as before its last step, or as in the midst of it."""
        before = bytearray(file.safe)
        for step in file.since[:-1]:
            _apply(before, step)
        last = file.since[-1]
        if last.kind == "L" or found == bytes(before):
            return found == bytes(before)
        done = max(0, len(found) - last.offset) if len(found) > len(before) else len(last.content)
        for part in range(done + 1):
            whole = bytearray(before)
            _apply(whole, Step("W", 0, last.offset, (), last.content[:part]))
            if bytes(whole) == found:
                return True
        return False

    def leave(self, folder: Path, chance: random.Random) -> None:
        """Write into an empty folder one of the states that a cut now may leave."""
        names = chance.choice([self.safe_names, *self.renamings])
        contents: dict[int, bytes] = {}
        for name, file in names.items():
            content = contents.setdefault(id(file), file.after_a_cut(chance))
            if name.endswith("-shm"):
                content = chance.randbytes(len(content))
            (folder / name).write_bytes(content)
            (folder / name).chmod(0o600)


def _steps(log: Path) -> Iterator[Step]:
    """The steps of a log, without a last one that is cut short."""
    content = memoryview(log.read_bytes())
    at = 0
    while at + HEAD.size <= len(content):
        kind, inode, offset, name_bytes, size = HEAD.unpack_from(content, at)
        at += HEAD.size
        if at + name_bytes + size > len(content):
            return
        names = bytes(content[at : at + name_bytes]).decode()
        at += name_bytes
        yield Step(
            kind.decode(), inode, offset, tuple(names.split("\0")) if names else (), bytes(content[at : at + size])
        )
        at += size
