"""`start --cert FILE --key FILE`: real handshakes with a shop that serves HTTPS itself."""

import http.client
import signal
import socket
import ssl
from collections.abc import Iterator
from contextlib import ExitStack
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import pytest

from shop.certificate import read_certificate
from shop.serving import LARGEST_REQUEST, CantServe, https_addresses
from tests.certificates import Files, make_files
from tests.commands import free_port, lay_new_shop, refusal
from tests.shop.test_start import Running, started


@pytest.fixture(scope="module")
def files(tmp_path_factory: pytest.TempPathFactory) -> Files:
    return make_files(tmp_path_factory.mktemp("certificate"))


@pytest.fixture(scope="module")
def running(files: Files, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Running]:
    data = tmp_path_factory.mktemp("served")
    lay_new_shop(data)
    with started(data, *files.options) as shop:
        yield shop


def trusting(files: Files) -> ssl.SSLContext:
    return ssl.create_default_context(cafile=files.cert)


def asked(shop: Running, files: Files, path: str = "/open/", **given: object) -> http.client.HTTPResponse:
    connection = http.client.HTTPSConnection("127.0.0.1", shop.port, timeout=20, context=trusting(files))
    connection.request("POST" if "body" in given else "GET", path, **given)  # type: ignore[arg-type]
    answer = connection.getresponse()
    answer.read()
    connection.close()
    return answer


def test_it_tells_the_names_of_the_certificate_and_until_when(running: Running) -> None:
    assert running.said[0] == f"The shop is open at https://wheels.example:{running.port}/"
    assert "the certificate is good until" in running.said[1]


def test_pages_cookies_and_headers_are_for_https_alone(running: Running, files: Files) -> None:
    answer = asked(running, files)
    assert answer.status == 200
    assert answer.headers["Strict-Transport-Security"].startswith("max-age=31536000")
    cookie = answer.headers["Set-Cookie"]
    assert cookie.startswith("__Host-csrftoken=")
    assert {"Secure", "Path=/", "SameSite=Strict"} <= set(cookie.split("; "))
    assert "Domain" not in cookie


def test_it_answers_to_the_names_of_the_certificate_and_to_no_other(running: Running, files: Files) -> None:
    assert asked(running, files, headers={"Host": f"wheels.example:{running.port}"}).status == 200
    assert asked(running, files, headers={"Host": "evil.example"}).status == 400


def test_static_files_come_and_are_not_sent_twice(running: Running, files: Files) -> None:
    connection = http.client.HTTPSConnection("127.0.0.1", running.port, timeout=20, context=trusting(files))
    connection.request("GET", "/static/shop/wheel.svg")
    first = connection.getresponse()
    assert (first.status, len(first.read()) > 100) == (200, True)
    connection.request("GET", "/static/shop/wheel.svg", headers={"If-Modified-Since": first.headers["Last-Modified"]})
    again = connection.getresponse()
    assert (again.status, again.read()) == (304, b"")
    connection.close()


@pytest.mark.parametrize("version", [ssl.TLSVersion.TLSv1_2, ssl.TLSVersion.TLSv1_3])
def test_tls_1_2_and_1_3_are_spoken(running: Running, files: Files, version: ssl.TLSVersion) -> None:
    context = trusting(files)
    context.minimum_version = context.maximum_version = version
    plain = socket.create_connection(("127.0.0.1", running.port), 20)
    with context.wrap_socket(plain, server_hostname="wheels.example") as spoken:
        assert spoken.version() == version.name.replace("_", ".")
        assert {"GCM", "CHACHA20"} & set(spoken.cipher()[0].replace("-", "_").split("_"))


def test_nothing_older_is_spoken(files: Files) -> None:
    context = read_certificate(files.cert, files.key, datetime.now(UTC)).context
    assert context.minimum_version == ssl.TLSVersion.TLSv1_2
    assert all(cipher["name"].startswith(("TLS_", "ECDHE")) for cipher in context.get_ciphers())


def plainly(shop: Running, words: bytes) -> str:
    with socket.create_connection(("127.0.0.1", shop.port), 20) as plain:
        plain.sendall(words)
        return plain.makefile("rb").read().decode()


def test_plain_http_is_sent_on_or_told(running: Running) -> None:
    asked = plainly(running, b"GET /orders/?find=a HTTP/1.1\r\nHost: wheels.example:8000\r\n\r\n")
    assert asked.startswith("HTTP/1.1 301 ")
    assert "\r\nLocation: https://wheels.example:8000/orders/?find=a\r\n" in asked
    for words in (b"POST / HTTP/1.1\r\nHost: a\r\n\r\n", b"GET / HTTP/1.1\r\nHost: a/b\r\n\r\n", b"hello\r\n\r\n"):
        told = plainly(running, words)
        assert told.startswith("HTTP/1.1 400 ")
        assert "it begins with https://" in told


def test_callers_who_are_silent_keep_nobody_out(running: Running, files: Files) -> None:
    with ExitStack() as held:
        for _ in range(60):
            held.enter_context(socket.create_connection(("127.0.0.1", running.port), 20))
        half = held.enter_context(socket.create_connection(("127.0.0.1", running.port), 20))
        half.sendall(b"\x16\x03\x01")
        assert asked(running, files).status == 200


def test_a_body_that_is_too_large_is_refused(running: Running, files: Files) -> None:
    assert asked(running, files, body=b"", headers={"Content-Length": str(LARGEST_REQUEST + 1)}).status == 413


def test_what_a_caller_says_of_a_proxy_is_not_believed(running: Running, files: Files) -> None:
    answer = asked(running, files, headers={"X-Forwarded-Proto": "http", "X-Forwarded-For": "192.0.2.1"})
    assert answer.status == 200


def test_sigterm_ends_it_well(files: Files, tmp_path: Path) -> None:
    lay_new_shop(tmp_path)
    with started(tmp_path, *files.options) as shop:
        assert asked(shop, files).status == 200
        shop.process.send_signal(signal.SIGTERM)
        rest, _ = shop.process.communicate(timeout=20)
        assert (rest, shop.process.returncode) == ("Stopped.\n", 0)


def test_unfit_files_are_one_sentence_each(tmp_path: Path) -> None:
    good, other = make_files(tmp_path), make_files(tmp_path, name="other")
    empty, missing = tmp_path / "empty.pem", tmp_path / "missing.pem"
    empty.write_text("nothing")
    for files, sentence in {
        Files(missing, good.key): f"The certificate {missing} can't be read: No such file or directory.",
        Files(good.cert, missing): f"The key {missing} can't be read: No such file or directory.",
        Files(tmp_path, good.key): f"The certificate {tmp_path} can't be read: Is a directory.",
        Files(empty, good.key): f"{empty} holds no certificate: it must begin with",
        Files(good.key, good.key): f"{good.key} holds no certificate",
        Files(good.cert, good.cert): f"{good.cert} holds no key that can be read",
        Files(good.cert, other.key): f"The key {other.key} does not fit the certificate {good.cert}",
        make_files(tmp_path, name="late", begins=-9, ends=-2): "late.pem expired on ",
        make_files(tmp_path, name="early", begins=2): "early.pem holds from ",
        make_files(tmp_path, name="locked", secret="gate"): "locked.key is locked with a password",
    }.items():
        with pytest.raises(CantServe) as refused:
            read_certificate(files.cert, files.key, datetime.now(UTC))
        assert sentence in str(refused.value)


def test_the_command_ends_with_the_sentence(tmp_path: Path, files: Files) -> None:
    alone = refusal(tmp_path, "start", *files.options[:2])
    assert alone == "CommandError: A certificate is given as --cert FILE --key FILE, both words written out."
    short = refusal(tmp_path, "start", *replace(files, cert=tmp_path / "none.pem").options)
    assert short == f"CommandError: The certificate {tmp_path / 'none.pem'} can't be read: No such file or directory."
    with socket.create_server(("127.0.0.1", 0)) as taken:
        said = refusal(tmp_path, "start", *files.options, "--port", taken.getsockname()[1])
    assert "can't be had (Address already in use): choose another with --port." in said
    assert "both words written out" in refusal(tmp_path, "start", f"--ce={files.cert}", "--port", free_port())


def test_addresses_are_the_names_of_the_certificate(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("shop.serving.own_addresses", lambda: ["192.0.2.7"])
    assert https_addresses("0.0.0.0", 443, ["wheels.lan", "*.lan", "127.0.0.1"]) == ["https://wheels.lan/"]
    assert https_addresses("0.0.0.0", 8443, []) == ["https://localhost:8443/", "https://192.0.2.7:8443/"]
    assert https_addresses("::1", 8443, ["2001:db8::7"]) == ["https://[2001:db8::7]:8443/"]
