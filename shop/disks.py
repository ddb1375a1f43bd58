"""Tells whether a file lies on a network drive, where SQLite's write-ahead log can't work: it wants shared memory."""

import re
from collections.abc import Iterable
from contextlib import suppress
from pathlib import Path, PurePath, PurePosixPath, PureWindowsPath
from typing import NamedTuple

import psutil

# File systems that are known to be another machine's, as Linux, macOS and the BSDs call them.
NETWORKED = re.compile(
    r"(fuse\.)?(sshfs|davfs2?|ceph|glusterfs|smbnetfs|curlftpfs|rclone|s3fs|moosefs)"
    r"|nfs\d?|cifs|smb\d?|smbfs|9p|k?afs|afpfs?|acfs|webdav|ncp|ncpfs|beegfs|lustre|coda|gfs2?"
)


class Mount(NamedTuple):
    """One mounted file system: where, of what type, and the system's own words on it."""

    place: str
    kind: str
    options: str


def network_drive_of(file: Path) -> str | None:
    """What kind of network drive a file lies on, in a word; None where it lies on none that is known as one."""
    with suppress(psutil.Error, OSError):
        mounts = [Mount(one.mountpoint, one.fstype, one.opts) for one in psutil.disk_partitions(all=True)]
        return kind_of_drive(file.resolve(), mounts)
    return None


def kind_of_drive(file: PurePath, mounts: Iterable[Mount]) -> str | None:
    """The same, of a file whose path has no links, among these mounts: the innermost, last mounted, holds it."""
    if isinstance(file, PureWindowsPath) and file.drive.startswith("\\\\"):
        return "a share"
    like = PureWindowsPath if isinstance(file, PureWindowsPath) else PurePosixPath
    holding = [one for one in mounts if file.is_relative_to(like(one.place))]
    if not holding:
        return None
    deepest = max(len(like(one.place).parts) for one in holding)
    mount = [one for one in holding if len(like(one.place).parts) == deepest][-1]
    if NETWORKED.fullmatch(mount.kind.lower()):
        return mount.kind.lower()
    # Windows names no type of its own for a drive of another machine.
    return "a remote drive" if "remote" in mount.options.split(",") and like is PureWindowsPath else None
