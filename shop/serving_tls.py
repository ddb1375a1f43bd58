"""HTTPS without a proxy: cheroot serves it, as waitress knows no TLS."""

import logging
import re
import socket
import ssl
from typing import Any

from cheroot.makefile import MakeFile
from cheroot.server import HTTPConnection
from cheroot.ssl import Adapter
from cheroot.wsgi import Server

from shop.certificate import Certificate
from shop.serving import LARGEST_REQUEST

# A thread is held while a client sends its request, however slowly: more of them than waitress needs, which reads
# requests without one.
THREADS = 24
LARGEST_HEAD = 32 * 1024
# Seconds in which a client must send the next piece of what it has begun.
PATIENCE = 10
TLS_HANDSHAKE = b"\x16"
LOG = logging.getLogger("shop.serving")


class _Adapter(Adapter):
    """Wraps a caller's socket and leaves the handshake to its connection."""

    def __init__(self, context: ssl.SSLContext) -> None:
        self.context = context

    def bind(self, sock: socket.socket) -> socket.socket:
        return sock

    def wrap(self, sock: socket.socket) -> tuple[socket.socket, dict[str, Any]]:
        wrapped = self.context.wrap_socket(sock, server_side=True, do_handshake_on_connect=False)
        return wrapped, self.get_environ()

    def get_environ(self) -> dict[str, Any]:
        return {"wsgi.url_scheme": "https", "HTTPS": "on"}

    def makefile(self, sock: socket.socket, mode: str = "r", bufsize: int = -1) -> Any:
        return MakeFile(sock, mode, bufsize)


class _Connection(HTTPConnection):
    """Shakes hands in one of the threads.

    cheroot does it where callers are let in: one that is slow would keep out all others.
    """

    is_awaited = False
    is_shaken = False

    def communicate(self) -> bool:
        if not self.is_shaken:
            try:
                # Of the plain socket below: what the caller sends first tells whether it speaks TLS at all.
                if socket.socket.recv(self.socket, 1, socket.MSG_PEEK) != TLS_HANDSHAKE:
                    return self.send_to_https()
                self.socket.do_handshake()
            except OSError:  # silent, gone, or of no common protocol
                return False
            self.is_shaken = True
        return bool(super().communicate())  # type: ignore[no-untyped-call]

    def send_to_https(self) -> bool:
        """Answer a caller who speaks plain HTTP."""
        head = socket.socket.recv(self.socket, LARGEST_HEAD).decode("latin-1")
        page = re.match(r"(?:GET|HEAD) (/\S*) HTTP/1", head)
        host = re.search(r"\r\nHost: *([\w.\-:\[\]]+)\r\n", head, re.IGNORECASE)
        line, words = "400 Bad Request", "This address speaks HTTPS: it begins with https://.\n"
        if page and host:
            line = f"301 Moved Permanently\r\nLocation: https://{host[1]}{page[1]}"
        answer = (
            f"HTTP/1.1 {line}\r\nContent-Type: text/plain\r\nContent-Length: {len(words)}\r\nConnection: close\r\n\r\n"
        )
        socket.socket.sendall(self.socket, (answer + words).encode("latin-1"))
        return False


class _Server(Server):
    ConnectionClass = _Connection
    keep_alive_conn_limit = 200

    def __init__(self, application: Any, listener: socket.socket) -> None:
        self.listener = listener
        place = listener.getsockname()[:2]
        super().__init__(place, application, THREADS, "shop", request_queue_size=128, timeout=PATIENCE)
        self.max_request_body_size = LARGEST_REQUEST
        self.max_request_header_size = LARGEST_HEAD

    def process_conn(self, conn: _Connection) -> None:
        """A new caller is given a thread once something has come from there, as one who asks again is."""
        if conn.is_awaited:
            super().process_conn(conn)
        else:
            conn.is_awaited = True
            self.put_conn(conn)

    def bind(self, family: int, type: int, proto: int = 0) -> socket.socket:
        """The socket that was reserved before the shop was set up."""
        self.socket = self.listener
        return self.listener

    def error_log(self, msg: str = "", level: int = logging.INFO, traceback: object = None) -> None:
        LOG.log(level, msg, exc_info=bool(traceback))


def tls_server(application: Any, listener: socket.socket, certificate: Certificate) -> Server:
    """A server on a reserved socket, to be prepared, served and stopped."""
    server = _Server(application, listener)
    server.ssl_adapter = _Adapter(certificate.context)
    return server
