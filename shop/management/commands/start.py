"""`manage.py start`: sets the shop up where needed, and serves it."""

import logging
import signal
import socket
from argparse import ArgumentTypeError
from collections.abc import Callable
from contextlib import ExitStack
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core import checks
from django.core.handlers.wsgi import WSGIHandler
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.db import DatabaseError
from django.utils import timezone
from waitress.server import create_server

from shop.backup_timer import timed_backups
from shop.certificate import Certificate, read_certificate
from shop.disks import network_drive_of
from shop.full_disk import kept_open
from shop.models import Shop
from shop.running import AlreadyRunning, only_one
from shop.serving import (
    LOOPBACK,
    CantServe,
    addresses,
    allow_own_hosts,
    https_addresses,
    reserve,
    server_options,
    stop_on,
)
from shop.serving_tls import tls_server
from shop.usual_timer import usual_times_kept_up


def port_number(text: str) -> int:
    if not text.isascii() or not text.isdigit() or not 1 <= int(text) <= 65535:
        raise ArgumentTypeError(f"“{text}” is no port: it is a number from 1 to 65535.")
    return int(text)


class Command(BaseCommand):
    help = "Sets the shop up where needed and serves it; Ctrl-C stops it."
    requires_system_checks = []

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--example", action="store_true", help="load the example shop into an empty database")
        parser.add_argument(
            "--host",
            default="127.0.0.1",
            help="the address to listen at: 127.0.0.1 for this machine only (default), 0.0.0.0 for phones too",
        )
        parser.add_argument("--port", type=port_number, default=8000, help="the port to listen at (default: 8000)")
        parser.add_argument("--cert", type=Path, help="serve HTTPS with this certificate (PEM, its chain after it)")
        parser.add_argument("--key", type=Path, help="the certificate's private key (PEM, without a password)")

    def handle(
        self, *args: Any, example: bool, host: str, port: int, cert: Path | None, key: Path | None, **options: Any
    ) -> None:
        stop_on([signal.SIGINT, signal.SIGTERM])
        try:
            certificate = self.certificate_of(cert, key)
            with ExitStack() as stack:
                if settings.ON_SQLITE:
                    self.refuse_network_drive(Path(str(settings.DATABASES["default"]["NAME"])))
                    stack.enter_context(only_one(Path(str(settings.DATABASES["default"]["NAME"]))))
                # Before the work of setting up: a port that is taken should cost nobody that wait.
                listener = stack.enter_context(reserve(host, port))
                self.set_up(example=example)
                if settings.ON_SQLITE:
                    stack.enter_context(kept_open(Path(str(settings.DATABASES["default"]["NAME"]))))
                self.serve(listener, host, port, certificate)
        except (AlreadyRunning, CantServe) as error:
            raise CommandError(str(error)) from None
        except DatabaseError as error:
            raise CommandError(f"The database can't be used: {error}.") from error
        except OSError as error:
            raise CommandError(f"{error.filename or 'The data folder'} can't be used: {error.strerror}.") from error

    def refuse_network_drive(self, database: Path) -> None:
        kind = network_drive_of(database)
        if kind:
            raise CommandError(
                f"{database} lies on a network drive ({kind}), where SQLite can lose facts: keep it on this machine's "
                "own disk (SHOP_DATA), or use PostgreSQL."
            )

    def certificate_of(self, cert: Path | None, key: Path | None) -> Certificate | None:
        """The certificate to serve with, if one is given. Raises CantServe."""
        if cert is None and key is None:
            return None
        if cert is None or key is None or not settings.HTTPS:
            raise CantServe("A certificate is given as --cert FILE --key FILE, both words written out.")
        return read_certificate(cert, key, timezone.now())

    def set_up(self, *, example: bool) -> None:
        """Tables, files that browsers fetch, and the example if asked for. Raises CommandError."""
        call_command("migrate", verbosity=0, interactive=False, stdout=self.stdout)
        serious = [found for found in checks.run_checks(databases=["default"]) if found.is_serious(checks.ERROR)]
        if serious:
            raise CommandError(" ".join(found.msg for found in serious))
        call_command("clearsessions")
        call_command("collectstatic", verbosity=0, interactive=False)
        if example:
            self.load_example()

    def load_example(self) -> None:
        """Load the example into an empty database, once, and tell how to sign in. Raises CommandError."""
        from shop.example import SIGN_IN, ExampleRefused, load_example

        if not Shop.objects.filter(is_example=True).exists():
            self.stdout.write("Loading the example shop: invented people, orders and times …")
            self.stdout.flush()
            try:
                load_example()
            except ExampleRefused as error:
                raise CommandError(f"{error} Start without --example, or set SHOP_DATA to another folder.") from error
        self.stdout.write("This is the EXAMPLE shop; sign in as (never use these for a real one):")
        for line in SIGN_IN:
            self.stdout.write(f"  {line}")

    def say_where(self, host: str, port: int, certificate: Certificate | None) -> None:
        here, *others = https_addresses(host, port, certificate.names) if certificate else addresses(host, port)
        self.stdout.write(f"The shop is open at {here}")
        for address in others:
            self.stdout.write(f"  phones and tablets on the shop's network: {address}")
        if certificate:
            until = f"{certificate.until.day} {certificate.until:%B %Y}"
            self.stdout.write(f"  the certificate is good until {until}; with a new one start again")
        if host in LOOPBACK and (certificate or not settings.HTTPS):
            self.stdout.write("  this machine only; to let phones in, start with --host 0.0.0.0")
        if not Shop.objects.exists():
            self.stdout.write("It is empty: open that address to set up your shop or look round the example.")
        self.stdout.write("Ctrl-C stops it.")
        self.stdout.flush()

    def serve(self, listener: socket.socket, host: str, port: int, certificate: Certificate | None) -> None:
        # Only now: on loading, the application lists the files that collectstatic has just put there.
        from shop.wsgi import application

        allow_own_hosts(host, certificate.names if certificate else ())
        run, stop = self.tls(application, listener, certificate) if certificate else self.plain(application, listener)
        try:
            self.say_where(host, port, certificate)
            with timed_backups(), usual_times_kept_up():
                run()
        finally:
            stop()
            self.stdout.write("Stopped.")

    def plain(self, application: WSGIHandler, listener: socket.socket) -> tuple[Callable[[], None], Callable[[], None]]:
        """How to run and to stop a server of plain HTTP."""
        # It warns each time a request waits for a thread, which is what threads are for.
        logging.getLogger("waitress.queue").setLevel(logging.ERROR)
        server = create_server(application, sockets=[listener], **server_options())
        return server.run, server.close

    def tls(
        self, application: WSGIHandler, listener: socket.socket, certificate: Certificate
    ) -> tuple[Callable[[], None], Callable[[], None]]:
        """How to run and to stop a server of HTTPS."""
        server = tls_server(application, listener, certificate)
        server.prepare()
        return server.serve, server.stop
