"""The certificate and key that `start --cert FILE --key FILE` is given: read, or refused with a sentence."""

import ssl
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from cryptography import x509
from cryptography.exceptions import UnsupportedAlgorithm
from cryptography.hazmat.primitives.serialization import load_pem_private_key

from shop.serving import CantServe

# TLS 1.2 with keys that are new for each connection; 1.3 has no others.
CIPHERS = "ECDHE+AESGCM:ECDHE+CHACHA20"


@dataclass(frozen=True)
class Certificate:
    """What a server needs of it; `names` are the hosts that it is for."""

    context: ssl.SSLContext
    names: list[str]
    until: datetime


def read_certificate(cert: Path, key: Path, now: datetime) -> Certificate:
    """Read both files. Raises CantServe where they can't be read, don't belong together or are out of their time."""
    found = _certificate_in(cert)
    if _key_in(key).public_key() != found.public_key():  # type: ignore[attr-defined]
        raise CantServe(f"The key {key} does not fit the certificate {cert}: give the one that it was made with.")
    begins, until = found.not_valid_before_utc, found.not_valid_after_utc
    if now > until:
        raise CantServe(f"The certificate {cert} expired on {_day(until)}: make or fetch a new one.")
    if now < begins:
        raise CantServe(f"The certificate {cert} holds from {_day(begins)} on: is this machine's clock right?")
    context = ssl.create_default_context(ssl.Purpose.CLIENT_AUTH)
    context.minimum_version = ssl.TLSVersion.TLSv1_2
    context.set_ciphers(CIPHERS)
    try:
        context.load_cert_chain(cert, key)
    except ssl.SSLError as error:  # such as a key too short for the system's rules
        raise CantServe(f"The certificate {cert} can't be used: {error.reason or error}.") from None
    return Certificate(context, _names_in(found), until.astimezone(UTC))


def _bytes_in(path: Path, what: str) -> bytes:
    try:
        return path.read_bytes()
    except OSError as error:
        raise CantServe(f"The {what} {path} can't be read: {error.strerror}.") from None


def _certificate_in(path: Path) -> x509.Certificate:
    """The first one in the file, which is the server's own; those that vouch for it may follow."""
    try:
        return x509.load_pem_x509_certificates(_bytes_in(path, "certificate"))[0]
    except ValueError:
        raise CantServe(f"{path} holds no certificate: it must begin with -----BEGIN CERTIFICATE-----.") from None


def _key_in(path: Path) -> object:
    try:
        return load_pem_private_key(_bytes_in(path, "key"), None)
    except TypeError:
        raise CantServe(f"The key {path} is locked with a password: the shop needs one without.") from None
    except (ValueError, UnsupportedAlgorithm):
        raise CantServe(f"{path} holds no key that can be read: it must be a private key in PEM form.") from None


def _names_in(found: x509.Certificate) -> list[str]:
    try:
        of = found.extensions.get_extension_for_class(x509.SubjectAlternativeName).value
    except x509.ExtensionNotFound:
        return []
    numbers = [str(number) for number in of.get_values_for_type(x509.IPAddress)]
    return [name.lower() for name in of.get_values_for_type(x509.DNSName)] + numbers


def _day(moment: datetime) -> str:
    return f"{moment.day} {moment:%B %Y}"
