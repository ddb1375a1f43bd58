"""Network drives are known by the file system that holds the file, and nothing else is refused."""

from collections import namedtuple
from pathlib import Path, PurePosixPath, PureWindowsPath

import psutil
import pytest
from django.core.management import CommandError, call_command

from shop.disks import Mount, kind_of_drive, network_drive_of
from shop.management.commands.start import Command

LINUX = [
    Mount("/", "ext4", "rw,relatime"),
    Mount("/srv", "nfs4", "rw,vers=4.2"),
    Mount("/srv/local", "xfs", "rw"),
    Mount("/mnt/yard", "autofs", "rw"),
    Mount("/mnt/yard", "cifs", "rw"),
    Mount("/people/wren/far", "fuse.sshfs", "rw"),
    Mount("/mnt/pocket", "fuseblk", "rw"),
    Mount("/new", "somethingfs", "rw,remote"),
]
WINDOWS = [
    Mount("C:\\", "NTFS", "rw,fixed"),
    Mount("Z:\\", "NTFS", "rw,remote"),
    Mount("E:\\", "exFAT", "rw,removable"),
]


@pytest.mark.parametrize(
    ("file", "kind"),
    [
        ("/people/wren/shop.sqlite3", None),
        ("/srv/shop.sqlite3", "nfs4"),
        ("/srvs/shop.sqlite3", None),
        ("/srv/local/shop.sqlite3", None),
        ("/mnt/yard/a/shop.sqlite3", "cifs"),
        ("/people/wren/far/shop.sqlite3", "fuse.sshfs"),
        ("/mnt/pocket/shop.sqlite3", None),
        ("/new/shop.sqlite3", None),
    ],
)
def test_the_innermost_file_system_tells(file: str, kind: str | None) -> None:
    assert kind_of_drive(PurePosixPath(file), LINUX) == kind


@pytest.mark.parametrize(
    ("file", "kind"),
    [
        ("C:\\shop\\shop.sqlite3", None),
        ("z:\\shop.sqlite3", "a remote drive"),
        ("E:\\shop.sqlite3", None),
        ("\\\\server\\wheels\\shop.sqlite3", "a share"),
        ("Q:\\shop.sqlite3", None),
    ],
)
def test_so_do_drives_of_windows(file: str, kind: str | None) -> None:
    assert kind_of_drive(PureWindowsPath(file), WINDOWS) == kind


def test_a_link_is_followed_to_where_the_file_is(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "far").mkdir()
    (tmp_path / "near").symlink_to(tmp_path / "far")
    assert network_drive_of(tmp_path / "near" / "shop.sqlite3") is None
    mount_far(tmp_path / "far", monkeypatch)
    assert network_drive_of(tmp_path / "near" / "shop.sqlite3") == "nfs"


def test_a_system_that_does_not_tell_its_mounts_is_let_pass(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def fail(**options: bool) -> None:
        raise psutil.AccessDenied

    monkeypatch.setattr(psutil, "disk_partitions", fail)
    assert network_drive_of(tmp_path / "shop.sqlite3") is None


def test_start_refuses_it_in_one_sentence(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, settings: object) -> None:
    settings.ON_SQLITE = True  # type: ignore[attr-defined]
    mount_far(tmp_path, monkeypatch)
    monkeypatch.setitem(settings.DATABASES["default"], "NAME", tmp_path / "shop.sqlite3")  # type: ignore[attr-defined]
    monkeypatch.setattr("shop.management.commands.start.stop_on", lambda signals: None)
    with pytest.raises(CommandError, match=r"lies on a network drive \(nfs\), where SQLite can lose facts: keep it"):
        call_command(Command())
    assert list(tmp_path.iterdir()) == []


def mount_far(place: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    part = namedtuple("part", "mountpoint fstype opts")
    far = part(str(place.resolve()), "nfs", "rw")
    monkeypatch.setattr(psutil, "disk_partitions", lambda **options: [part("/", "ext4", "rw"), far])
