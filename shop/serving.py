"""Serves the shop on its own network: which names and addresses it answers to, and how requests are worked."""

import ipaddress
import os
import signal
import socket
import sys
from collections.abc import Iterable
from contextlib import suppress
from types import FrameType
from typing import Any, NoReturn

from django.conf import settings

# One process with threads. SQLite takes one writer at a time: threads of one process wait their turn at one lock
# (jobs.writing), which several processes could not share. Waitress is plain Python, so that the same holds on
# Windows and macOS. Eight threads are more than a shop's hands tap at once, and few enough to leave two cores quick.
THREADS = 8
LARGEST_REQUEST = 10 * 1024 * 1024
LOOPBACK = ("localhost", "127.0.0.1", "::1")


class CantServe(RuntimeError):
    """The server can't begin; the message is one sentence."""


def own_addresses() -> list[str]:
    """This machine's addresses on its networks, without the loopback; empty where it has no network."""
    found = {
        # Nothing is sent: connecting a datagram socket only asks which address the route would leave by. The two
        # targets are set aside for documentation.
        _address_towards(socket.AF_INET, "192.0.2.1"),
        _address_towards(socket.AF_INET6, "2001:db8::1"),
    }
    # A machine whose own name is not known to it still has the route's address.
    with suppress(OSError):
        found |= {str(info[4][0]) for info in socket.getaddrinfo(socket.gethostname(), None)}
    addresses = [ipaddress.ip_address(text.partition("%")[0]) for text in found if text]
    ordered = sorted(addresses, key=lambda one: (one.version, int(one)))
    return [str(one) for one in ordered if not one.is_loopback and not one.is_link_local]


def _address_towards(family: socket.AddressFamily, target: str) -> str:
    """Which address of this machine a packet to `target` would leave by; empty where there is no way."""
    with socket.socket(family, socket.SOCK_DGRAM) as asking:
        try:
            asking.connect((target, 9))
        except OSError:
            return ""
        return str(asking.getsockname()[0])


def own_names() -> list[str]:
    """The machine's name, plain and as announced on a local network."""
    name = socket.gethostname().lower()
    return [name, f"{name.partition('.')[0]}.local"]


def allow_own_hosts(host: str, names: Iterable[str] = ()) -> None:
    """Answer to this machine's names and addresses, to `host` and to a certificate's names, besides the settings'."""
    numbers = [*own_addresses(), *([] if is_wildcard(host) else [host])]
    certified = [name.removeprefix("*") for name in names]  # Django writes “*.wheels.example” as “.wheels.example”
    for name in [*own_names(), *(in_url(name) for name in [*numbers, *certified])]:
        if name not in settings.ALLOWED_HOSTS:
            settings.ALLOWED_HOSTS.append(name)


def is_wildcard(host: str) -> bool:
    """True of 0.0.0.0 and ::, which stand for every network of the machine."""
    try:
        return ipaddress.ip_address(host).is_unspecified
    except ValueError:
        return False


def in_url(host: str) -> str:
    """The host as an address line has it: an IPv6 address in brackets."""
    return f"[{host}]" if ":" in host else host


def addresses(host: str, port: int) -> list[str]:
    """What a browser may be given: first on this machine, then from phones on the network."""
    if settings.HTTPS:
        return [f"https://{name}/" for name in settings.PUBLIC_HOSTS] or [f"http://127.0.0.1:{port}/"]
    hosts = ["127.0.0.1", *own_addresses()] if is_wildcard(host) else [host]
    return [f"http://{in_url(name)}:{port}/" for name in hosts]


def https_addresses(host: str, port: int, names: Iterable[str]) -> list[str]:
    """What a browser may be given where the shop has a certificate for these names: no other opens unwarned."""
    elsewhere = [name for name in names if "*" not in name and name not in LOOPBACK]
    known = elsewhere or (["localhost", *own_addresses()] if is_wildcard(host) else [host])
    return [f"https://{in_url(name)}:{port}/".replace(":443/", "/") for name in known]


def server_options() -> dict[str, Any]:
    """How waitress works a request. A proxy on this machine may say that it was reached by HTTPS; nobody else may."""
    options: dict[str, Any] = {
        "threads": THREADS,
        "ident": None,
        "max_request_body_size": LARGEST_REQUEST,
        "clear_untrusted_proxy_headers": True,
    }
    if settings.HTTPS:
        options |= {
            "trusted_proxy": "127.0.0.1",
            "trusted_proxy_count": 1,
            "trusted_proxy_headers": {"x-forwarded-for", "x-forwarded-proto"},
        }
    return options


def reserve(host: str, port: int) -> socket.socket:
    """The socket that the shop will be served on; it takes no caller before the server listens on it.

    Raises CantServe where the address can't be had.
    """
    try:
        family, _, _, _, place = socket.getaddrinfo(host, port, type=socket.SOCK_STREAM)[0]
        return _bound(family, (str(place[0]), port), both=family == socket.AF_INET6 and is_wildcard(host))
    except (socket.gaierror, UnicodeError):
        raise CantServe(f"“{host}” is no address of this machine: try 127.0.0.1 or 0.0.0.0.") from None
    except PermissionError:
        raise CantServe(f"Port {port} is not open to this account: choose one above 1023.") from None
    except OSError as error:
        raise CantServe(f"Port {port} on {host} can't be had ({_why(error)}): choose another with --port.") from None


def _bound(family: int, place: tuple[str, int], *, both: bool) -> socket.socket:
    found = socket.socket(family, socket.SOCK_STREAM)
    try:
        if os.name == "posix":  # else a shop that was stopped can't be started again for some minutes
            found.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        if both and socket.has_dualstack_ipv6():
            found.setsockopt(socket.IPPROTO_IPV6, socket.IPV6_V6ONLY, 0)
        found.bind(place)
    except OSError:
        found.close()
        raise
    return found


def _why(error: OSError) -> str:
    """The system's own words, without the address that Python adds to some of them."""
    return os.strerror(error.errno) if error.errno else str(error)


def stop_on(signals: Iterable[signal.Signals]) -> None:
    """Leave by the ordinary way out at these signals: requests that were begun are finished, up to 5 seconds."""

    def leave(number: int, frame: FrameType | None) -> NoReturn:
        sys.exit(0)

    for one in signals:
        signal.signal(one, leave)
