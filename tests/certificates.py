"""Certificates made for a test, as a shop's own authority or a tool makes them."""

import ipaddress
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path

from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import NameOID

NAMES = ("wheels.example", "127.0.0.1")


@dataclass(frozen=True)
class Files:
    cert: Path
    key: Path

    @property
    def options(self) -> list[str]:
        return ["--cert", str(self.cert), "--key", str(self.key)]


def make_files(folder: Path, *, begins: int = -1, ends: int = 30, secret: str = "", name: str = "shop") -> Files:
    """A certificate that vouches for itself, from one day to another as counted from today, and its key."""
    key = ec.generate_private_key(ec.SECP256R1())
    called = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, "Alder Lane Wheel Shop")])
    numbers = [x509.IPAddress(ipaddress.ip_address(one)) for one in NAMES[1:]]
    made = (
        x509.CertificateBuilder()
        .subject_name(called)
        .issuer_name(called)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(datetime.now(UTC) + timedelta(days=begins))
        .not_valid_after(datetime.now(UTC) + timedelta(days=ends))
        .add_extension(x509.SubjectAlternativeName([x509.DNSName(NAMES[0]), *numbers]), critical=False)
        .add_extension(x509.BasicConstraints(ca=True, path_length=0), critical=True)
        .sign(key, hashes.SHA256())
    )
    files = Files(folder / f"{name}.pem", folder / f"{name}.key")
    files.cert.write_bytes(made.public_bytes(serialization.Encoding.PEM))
    lock = serialization.BestAvailableEncryption(secret.encode()) if secret else serialization.NoEncryption()
    form = serialization.PrivateFormat.PKCS8
    files.key.write_bytes(key.private_bytes(serialization.Encoding.PEM, form, lock))
    return files
