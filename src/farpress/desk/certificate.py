"""A certificate made on this machine, so that a phone on the same network can be served encrypted.

Self-signed: it encrypts, but proves nothing about who serves; the fingerprint on the
terminal is what a careful person compares.
"""

from __future__ import annotations

import datetime
import ipaddress
import os
import shutil
import tempfile
from dataclasses import dataclass
from pathlib import Path

__all__ = ["Certificate", "own_certificate"]


@dataclass(frozen=True)
class Certificate:
    """Files of a certificate and its key, and the SHA-256 fingerprint to compare."""

    chain: Path
    key: Path
    fingerprint: str

    def remove(self) -> None:
        """Take the files away; they are of no use once the desk is closed."""
        shutil.rmtree(self.chain.parent, ignore_errors=True)


def own_certificate(addresses: list[str]) -> Certificate:
    """A fresh certificate for these addresses and this machine's own, valid for thirty days.

    The files lie in a new folder that only this user can read.
    """
    from cryptography import x509
    from cryptography.hazmat.primitives import hashes, serialization
    from cryptography.hazmat.primitives.asymmetric import ec
    from cryptography.x509.oid import NameOID

    key = ec.generate_private_key(ec.SECP256R1())
    name = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, "Farpress desk")])
    now = datetime.datetime.now(datetime.UTC)
    names: list[x509.GeneralName] = [x509.DNSName("localhost")]
    names += [
        x509.IPAddress(ipaddress.ip_address(address)) for address in dict.fromkeys(["127.0.0.1", *addresses])
    ]
    made = (
        x509.CertificateBuilder()
        .subject_name(name)
        .issuer_name(name)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(now - datetime.timedelta(hours=1))
        .not_valid_after(now + datetime.timedelta(days=30))
        .add_extension(x509.SubjectAlternativeName(names), critical=False)
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .sign(key, hashes.SHA256())
    )
    folder = Path(tempfile.mkdtemp(prefix="farpress-desk-"))
    chain, secret = folder / "certificate.pem", folder / "key.pem"
    chain.write_bytes(made.public_bytes(serialization.Encoding.PEM))
    handle = os.open(secret, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    with os.fdopen(handle, "wb") as stream:
        stream.write(
            key.private_bytes(
                serialization.Encoding.PEM, serialization.PrivateFormat.PKCS8, serialization.NoEncryption()
            )
        )
    digest = made.fingerprint(hashes.SHA256()).hex(":").upper()
    return Certificate(chain, secret, digest)
