import os
import signal
import socket
import subprocess
import sys
import threading
import urllib.error
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

import pytest
from django.core.management import CommandError
from waitress.server import create_server

from shop import example, serving
from shop.management.commands.start import Command
from shop.models import Shop
from tests import factories
from tests.commands import ROOT, free_port, lay_new_shop, refusal, surroundings


@dataclass
class Running:
    process: subprocess.Popen[str]
    port: int
    said: list[str]


@contextmanager
def started(data: Path, *words: str, **changes: str) -> Iterator[Running]:
    """A shop that is being served, once it says so."""
    port = free_port()
    command = [sys.executable, "manage.py", "start", "--port", str(port), *words]
    log = data / "server.log"
    with log.open("w") as errors:
        process = subprocess.Popen(
            command,
            cwd=ROOT,
            env=surroundings(data, **changes),
            stdout=subprocess.PIPE,
            stderr=errors,
            text=True,
            encoding="utf-8",
        )
    said = []
    try:
        for line in process.stdout:
            said.append(line.rstrip())
            if line.startswith("Ctrl-C"):
                break
        assert said, log.read_text()
        yield Running(process, port, said)
    finally:
        process.kill()
        process.wait()
        process.stdout.close()


@pytest.fixture(scope="module")
def running(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Running, Path]]:
    data = tmp_path_factory.mktemp("served")
    with started(data, "--host", "0.0.0.0") as shop:
        yield shop, data


def status(port: int, path: str = "/", **headers: str) -> int:
    request = urllib.request.Request(f"http://127.0.0.1:{port}{path}", headers=headers)
    try:
        with urllib.request.urlopen(request, timeout=10) as answer:
            return answer.status
    except urllib.error.HTTPError as error:
        with error:
            return error.code


def test_it_says_where_it_is_and_serves(running):
    shop, _ = running
    assert shop.said[0] == f"The shop is open at http://127.0.0.1:{shop.port}/"
    assert shop.said[-2].startswith("It is empty")
    assert status(shop.port, "/no-such-page/") == 404


@pytest.mark.skipif(os.name != "posix", reason="files have no such permissions on this system")
def test_only_its_own_account_reads_the_database(running):
    _, data = running
    made = [path for path in data.iterdir() if path.name.startswith("shop.sqlite3")]
    assert len(made) >= 2
    assert [path.name for path in made if path.stat().st_mode & 0o077] == []


def test_static_files_are_collected_and_kept_by_browsers_for_ever(running):
    shop, data = running
    (path,) = (data / "static" / "shop").glob("house.????????????.css")
    with urllib.request.urlopen(f"http://127.0.0.1:{shop.port}/static/shop/{path.name}", timeout=10) as answer:
        assert "immutable" in answer.headers["Cache-Control"]


def test_it_answers_to_its_own_names_and_to_no_other(running):
    shop, _ = running
    for own in [*serving.own_names(), *map(serving.in_url, serving.own_addresses())]:
        assert status(shop.port, "/no-such-page/", Host=own) == 404, own
    assert status(shop.port, "/no-such-page/", Host="evil.example") == 400


def test_a_second_start_and_a_restore_are_refused(running, tmp_path):
    shop, data = running
    said = refusal(data, "start", "--port", free_port())
    assert f"(process {shop.process.pid})" in said
    copy = tmp_path / "copy.sqlite3"
    copy.write_bytes((data / "shop.sqlite3").read_bytes())
    assert "runs already" in refusal(data, "restore", copy)


def test_sigterm_ends_it_well(tmp_path):
    lay_new_shop(tmp_path)
    with started(tmp_path) as shop:
        shop.process.send_signal(signal.SIGTERM)
        rest, _ = shop.process.communicate(timeout=20)
        assert rest == "Stopped.\n"
        assert shop.process.returncode == 0


def test_ctrl_c_ends_it_well(tmp_path):
    lay_new_shop(tmp_path)
    with started(tmp_path) as shop:
        shop.process.send_signal(signal.SIGINT)
        rest, _ = shop.process.communicate(timeout=20)
        assert rest == "Stopped.\n"
        assert shop.process.returncode == 0


def test_a_killed_shop_starts_again(tmp_path):
    lay_new_shop(tmp_path)
    with started(tmp_path) as shop:
        shop.process.kill()
        shop.process.wait()
    assert (tmp_path / "shop.sqlite3.running").read_text().strip() == str(shop.process.pid)
    with started(tmp_path) as again:
        assert again.said[0].startswith("The shop is open at")


def test_a_taken_port_is_one_sentence(tmp_path):
    with socket.create_server(("127.0.0.1", 0)) as taken:
        port = taken.getsockname()[1]
        said = refusal(tmp_path, "start", "--port", port)
    assert said == (
        f"CommandError: Port {port} on 127.0.0.1 can't be had (Address already in use): choose another with --port."
    )


@pytest.mark.parametrize("host", ["nowhere.invalid", "a" * 70, "300.1.2.3"])
def test_a_bad_host_is_one_sentence(tmp_path, host):
    assert "is no address of this machine" in refusal(tmp_path, "start", "--host", host, "--port", free_port())


@pytest.mark.parametrize("port", ["0", "65536", "-1", "http", "²"])
def test_a_bad_port_is_refused(port):
    with pytest.raises(CommandError, match="is no port"):
        Command().create_parser("manage.py", "start").parse_args([f"--port={port}"])


def test_a_data_folder_that_cannot_be_made_is_one_sentence(tmp_path):
    (tmp_path / "file").write_text("in the way")
    said = refusal(tmp_path / "file" / "data", "start", "--port", free_port())
    assert said == f"Error: The folder {tmp_path / 'file' / 'data'} can't be made: Not a directory."


def test_a_file_in_the_way_of_static_files_is_one_sentence(tmp_path):
    lay_new_shop(tmp_path)
    (tmp_path / "static").write_text("in the way")
    assert f"{tmp_path / 'static'}" in refusal(tmp_path, "start", "--port", free_port())


def test_a_damaged_database_is_one_sentence(tmp_path):
    (tmp_path / "shop.sqlite3").write_text("no database at all " * 100)
    assert "can't be used: file is not a database." in refusal(tmp_path, "start", "--port", free_port())


def test_the_example_goes_into_an_empty_shop_once(db, monkeypatch, capsys):
    calls = []

    def load_quickly() -> None:
        calls.append("loaded")
        factories.ShopFactory.create(is_example=True)

    monkeypatch.setattr(example, "load_example", load_quickly)
    Command().load_example()
    said = capsys.readouterr().out
    assert said.startswith("Loading the example shop")
    assert "EXAMPLE" in said
    assert all(f"  {line}\n" in said for line in example.SIGN_IN)
    Command().load_example()
    assert calls == ["loaded"]
    again = capsys.readouterr().out
    assert said.endswith(again)
    assert "Loading" not in again


def test_the_example_is_refused_over_a_shop(shop):
    with pytest.raises(CommandError, match=r"holds “Alder Lane Wheel Shop”.* Start without --example"):
        Command().load_example()
    assert Shop.objects.count() == 1


def test_the_example_is_refused_over_people_without_a_shop(db):
    factories.HandFactory.create()
    with pytest.raises(CommandError, match="holds other data"):
        Command().load_example()
    assert Shop.objects.count() == 0


def test_every_address_of_a_wildcard_is_told(settings, monkeypatch):
    monkeypatch.setattr(serving, "own_addresses", lambda: ["192.0.2.7", "2001:db8::7"])
    told = ["http://127.0.0.1:80/", "http://192.0.2.7:80/", "http://[2001:db8::7]:80/"]
    assert serving.addresses("0.0.0.0", 80) == serving.addresses("::", 80) == told
    assert serving.addresses("192.0.2.7", 80) == ["http://192.0.2.7:80/"]
    settings.HTTPS, settings.PUBLIC_HOSTS = True, ["shop.example"]
    assert serving.addresses("127.0.0.1", 80) == ["https://shop.example/"]


def test_own_addresses_leave_the_loopback_out(monkeypatch):
    infos = [(0, 0, 0, "", (address, 0)) for address in ("127.0.1.1", "::1", "fe80::1%eth0", "192.0.2.7")]
    monkeypatch.setattr(socket, "getaddrinfo", lambda *_: infos)
    monkeypatch.setattr(serving, "_address_towards", lambda *_: "")
    assert serving.own_addresses() == ["192.0.2.7"]


# Who asked, as the shop is told: the last that the proxy on this machine adds to what the caller claims, or the caller.
@pytest.mark.parametrize(("https", "told"), [(False, ("http", "127.0.0.1")), (True, ("https", "192.0.2.7"))])
def test_only_with_https_set_is_a_proxy_on_this_machine_believed(settings, https, told):
    settings.HTTPS = https
    seen = []

    def application(environ, start_response):
        seen.append((environ["wsgi.url_scheme"], environ["REMOTE_ADDR"]))
        start_response("200 OK", [])
        return [b""]

    listener = serving.reserve("127.0.0.1", 0)
    server = create_server(application, sockets=[listener], **serving.server_options())
    answers = []
    headers = {"X-Forwarded-Proto": "https", "X-Forwarded-For": "203.0.113.1, 192.0.2.7"}
    port = listener.getsockname()[1]
    asking = threading.Thread(target=lambda: answers.append(status(port, **headers)))
    asking.start()
    # Here, and not in a thread of its own: closed from outside, it would still be listening to what is no more.
    while asking.is_alive():
        server.asyncore.loop(timeout=0.05, map=server._map, count=1)
    server.close()
    assert answers == [200]
    assert seen == [told]
