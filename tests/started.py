"""A shop that `manage.py start` serves in a process of its own, to be stopped, killed and started again."""

import socket
import subprocess
import sys
import time
from dataclasses import dataclass
from pathlib import Path

from tests.commands import ROOT, free_port, surroundings


class NotServed(RuntimeError):
    """The shop did not come up; the message holds what it printed."""


@dataclass
class Served:
    """A shop that `manage.py start` serves, and the process that does."""

    url: str
    data: Path
    process: "subprocess.Popen[bytes]"

    def kill(self) -> None:
        """End it at once. What the system has taken from it still reaches the disk, unlike after a power cut."""
        self.process.kill()
        self.process.wait(20)

    def stop(self) -> None:
        if self.process.poll() is None:
            self.process.terminate()
            self.process.wait(20)


def serve(data: Path, *options: str, port: int | None = None, **changes: str) -> Served:
    """Serve the shop whose data lie in a folder, and wait until it answers. Raises NotServed."""
    port = port or free_port()
    command = [sys.executable, "manage.py", "start", "--port", str(port), *options]
    # The port is held while the shop is set up: only the line that says so means that it is open.
    log = data / "server.log"
    before = log.read_text() if log.exists() else ""
    with log.open("a") as file:
        process = subprocess.Popen(
            command,
            cwd=ROOT,
            env=surroundings(data, **{"DJANGO_SETTINGS_MODULE": "shop.settings"} | changes),
            stdout=file,
            stderr=subprocess.STDOUT,
        )
    for _ in range(3600):
        said = log.read_text().removeprefix(before)
        if process.poll() is not None:
            raise NotServed(f"start ended with {process.returncode}: {said}")
        if f"open at http://127.0.0.1:{port}/" in said:
            with socket.socket() as probe:
                if probe.connect_ex(("127.0.0.1", port)) == 0:
                    return Served(f"http://127.0.0.1:{port}", data, process)
        time.sleep(0.05)
    process.kill()
    raise NotServed(f"start did not serve within three minutes: {log.read_text().removeprefix(before)}")
