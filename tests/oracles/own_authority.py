"""An authority that a test makes on this machine: a root, a list of withdrawn certificates, a clock, and one server for
both of them on the loopback address."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer

from asn1crypto import keys as asn1_keys
from asn1crypto import tsp
from asn1crypto import x509 as asn1_x509
from cryptography import x509
from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.asymmetric import ec, rsa
from cryptography.hazmat.primitives.serialization import Encoding, NoEncryption, PrivateFormat
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID
from pyhanko.sign.timestamps import DummyTimeStamper

from reports.identity import Identity

PrivateKey = ec.EllipticCurvePrivateKey | rsa.RSAPrivateKey


@dataclass
class OwnAuthority:
    """A root with a clock below it; ``address`` is where its server answers, ``asked`` what it was asked for."""

    now: datetime
    address: str
    days: int = 900
    key: ec.EllipticCurvePrivateKey = field(default_factory=lambda: ec.generate_private_key(ec.SECP256R1()))
    clock_key: rsa.RSAPrivateKey = field(default_factory=lambda: rsa.generate_private_key(65537, 2048))
    withdrawn: list[int] = field(default_factory=list)
    asked: list[str] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.root = self._issue("Own root", self.key, ca=True)
        usage = x509.ExtendedKeyUsage([ExtendedKeyUsageOID.TIME_STAMPING])
        self.clock = self._issue("Own clock", self.clock_key, usage)

    def identity(self, name: str) -> Identity:
        """An identity that this authority issues."""
        key = ec.generate_private_key(ec.SECP256R1())
        return Identity(key, self._issue(name, key), (self.root,))

    def certificate_for(self, name: str, key: PrivateKey, *more: x509.ExtensionType) -> x509.Certificate:
        """A certificate for a key that is somewhere else."""
        return self._issue(name, key, *more)

    def stamper(self, moment: datetime | None = None) -> DummyTimeStamper:
        """The clock without a server."""
        plain = self.clock_key.private_bytes(Encoding.DER, PrivateFormat.PKCS8, NoEncryption())
        certificates = [asn1_x509.Certificate.load(one.public_bytes(Encoding.DER)) for one in (self.clock, self.root)]
        store = certificates[1:]
        return DummyTimeStamper(
            certificates[0], asn1_keys.PrivateKeyInfo.load(plain), store, fixed_dt=moment or self.now
        )

    def list_of_withdrawn(self) -> bytes:
        """The list, as DER."""
        builder = (
            x509.CertificateRevocationListBuilder()
            .issuer_name(self.root.subject)
            .last_update(self.now - timedelta(days=1))
            .next_update(self.now + timedelta(days=30))
            .add_extension(x509.AuthorityKeyIdentifier.from_issuer_public_key(self.key.public_key()), critical=False)
            .add_extension(x509.CRLNumber(1), critical=False)
        )
        for serial in self.withdrawn:
            when = self.now - timedelta(days=2)
            entry = x509.RevokedCertificateBuilder().serial_number(serial).revocation_date(when).build()
            builder = builder.add_revoked_certificate(entry)
        return builder.sign(self.key, hashes.SHA256()).public_bytes(Encoding.DER)

    def _issue(self, name: str, key: PrivateKey, *more: x509.ExtensionType, ca: bool = False) -> x509.Certificate:
        named = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, name)])
        usage = x509.KeyUsage(not ca, not ca, False, False, False, ca, ca, False, False)
        own, ours = key.public_key(), self.key.public_key()
        builder = (
            x509.CertificateBuilder()
            .subject_name(named)
            .issuer_name(named if ca else self.root.subject)
            .public_key(own)
            .serial_number(x509.random_serial_number())
            .not_valid_before(self.now - timedelta(days=400 if ca else 10))
            .not_valid_after(self.now + timedelta(days=4000 if ca else self.days))
            .add_extension(x509.BasicConstraints(ca=ca, path_length=None), critical=True)
            .add_extension(usage, critical=True)
            .add_extension(x509.SubjectKeyIdentifier.from_public_key(own), critical=False)
            .add_extension(x509.AuthorityKeyIdentifier.from_issuer_public_key(ours), critical=False)
        )
        if not ca:
            place = [x509.UniformResourceIdentifier(f"{self.address}list.crl")]
            points = x509.CRLDistributionPoints([x509.DistributionPoint(place, None, None, None)])
            builder = builder.add_extension(points, critical=False)
        for one in more:
            builder = builder.add_extension(one, critical=True)
        return builder.sign(self.key, hashes.SHA256())


@contextmanager
def served(now: datetime, *, days: int = 900) -> Iterator[OwnAuthority]:
    """An authority whose server answers on the loopback address until the end."""

    class Answering(BaseHTTPRequestHandler):
        def do_POST(self) -> None:
            asked = tsp.TimeStampReq.load(self.rfile.read(int(self.headers["Content-Length"])))
            authority.asked.append("time")
            self._answer("application/timestamp-reply", authority.stamper().request_tsa_response(asked).dump())

        def do_GET(self) -> None:
            authority.asked.append("list")
            self._answer("application/pkix-crl", authority.list_of_withdrawn())

        def _answer(self, kind: str, body: bytes) -> None:
            self.send_response(200)
            self.send_header("Content-Type", kind)
            self.send_header("Content-Length", str(len(body)))
            self.end_headers()
            self.wfile.write(body)

        def log_message(self, format: str, *args: object) -> None:
            """Nothing is printed."""

    server = ThreadingHTTPServer(("127.0.0.1", 0), Answering)
    authority = OwnAuthority(now, f"http://127.0.0.1:{server.server_address[1]}/", days)
    thread = threading.Thread(target=server.serve_forever, daemon=True)
    thread.start()
    try:
        yield authority
    finally:
        server.shutdown()
        server.server_close()
        thread.join()
