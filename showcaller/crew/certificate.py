"""A certificate made on the spot: nobody has signed it, so its fingerprint is shown to be compared."""

import ssl
from collections.abc import Iterable
from datetime import UTC, datetime, timedelta
from ipaddress import ip_address
from pathlib import Path

from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

LASTS_DAYS = 397
"""Browsers believe no longer one (CA/Browser Forum baseline requirements, 6.3.2)."""


def make_certificate(names: Iterable[str], now: datetime) -> tuple[bytes, bytes]:
    """(certificate, key) as PEM for these host names and addresses, valid from a day before ``now``."""
    key = ec.generate_private_key(ec.SECP256R1())
    subject = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, "showcaller crew pages")])
    found = x509.SubjectAlternativeName([_name(name) for name in names])
    made = (
        x509.CertificateBuilder()
        .subject_name(subject)
        .issuer_name(subject)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(now - timedelta(days=1))
        .not_valid_after(now + timedelta(days=LASTS_DAYS - 1))
        .add_extension(found, critical=False)
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
        .sign(key, hashes.SHA256())
    )
    private = key.private_bytes(
        serialization.Encoding.PEM, serialization.PrivateFormat.PKCS8, serialization.NoEncryption()
    )
    return made.public_bytes(serialization.Encoding.PEM), private


def _name(name: str) -> x509.GeneralName:
    try:
        return x509.IPAddress(ip_address(name))
    except ValueError:
        return x509.DNSName(name)


def is_good(pem: bytes, names: Iterable[str], now: datetime) -> bool:
    """Whether a certificate is still valid for a week and names all of these."""
    try:
        found = x509.load_pem_x509_certificate(pem)
        there = found.extensions.get_extension_for_class(x509.SubjectAlternativeName).value
    except (ValueError, x509.ExtensionNotFound):
        return False
    in_time = found.not_valid_before_utc <= now <= found.not_valid_after_utc - timedelta(days=7)
    return in_time and all(_name(name) in there for name in names)


def fingerprint(pem: bytes) -> str:
    """Its SHA-256 as browsers show it, ``AB:12:…``."""
    return x509.load_pem_x509_certificate(pem).fingerprint(hashes.SHA256()).hex(":").upper()


def tls(certificate: Path, key: Path) -> ssl.SSLContext:
    """What a server needs to speak TLS 1.2 or later by it."""
    context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    context.minimum_version = ssl.TLSVersion.TLSv1_2
    context.load_cert_chain(certificate, key)
    return context


def now_utc() -> datetime:
    """Certificates are dated in UTC."""
    return datetime.now(UTC)
