"""Serves a database on a free port with the server that `manage.py start` uses, until its input closes."""

import os
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]


def environment(database: Path) -> dict[str, str]:
    """An environment in which Django opens this database file."""
    return os.environ | {
        "DATABASE_URL": f"sqlite:///{database}",
        "DJANGO_SETTINGS_MODULE": "tests.benchmarks.settings",
        "PYTHONPATH": str(ROOT),
        "PYTHONWARNINGS": "default",
    }


@contextmanager
def served(database: Path) -> Iterator[int]:
    """The port of a server of its own process."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = int(probe.getsockname()[1])
    command = [sys.executable, "-m", "tests.benchmarks.serving", str(port)]
    process = subprocess.Popen(command, cwd=ROOT, env=environment(database))
    try:
        _wait_for(port, process)
        yield port
    finally:
        process.terminate()
        process.wait(10)


def _wait_for(port: int, process: "subprocess.Popen[bytes]") -> None:
    for _ in range(200):
        if process.poll() is not None:
            raise RuntimeError(f"the server ended with {process.returncode}")
        with socket.socket() as probe:
            if probe.connect_ex(("127.0.0.1", port)) == 0:
                return
        time.sleep(0.05)
    raise RuntimeError("the server did not come up in 10 s")


if __name__ == "__main__":
    from waitress import serve

    from shop.wsgi import application

    serve(application, host="127.0.0.1", port=int(sys.argv[1]), threads=8)
