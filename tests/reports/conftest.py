"""A small unsigned report, identities and a frozen clock for the tests of signing and verifying."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from io import BytesIO
from pathlib import Path

import pytest
from cryptography import x509
from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.asymmetric import ec, rsa
from cryptography.x509.oid import NameOID
from reportlab.pdfgen.canvas import Canvas

from reports import fonts
from reports.identity import Identity, make_identity
from reports.signing import PageBox, Stamp, attach_case, sign_report

PASSWORD = "a long pässword"
AUTHOR_PLACE = PageBox(-1, (60, 60, 290, 130))
REVIEWER_PLACE = PageBox(-1, (300, 60, 530, 130))


@pytest.fixture(scope="session")
def moment() -> datetime:
    return datetime(2026, 3, 2, 9, 30, tzinfo=UTC)


@pytest.fixture(scope="session")
def password() -> str:
    return PASSWORD


@pytest.fixture(scope="session")
def identity_path(tmp_path_factory: pytest.TempPathFactory, moment: datetime) -> Path:
    path = tmp_path_factory.mktemp("identity") / "author.p12"
    make_identity(path, "Åsa Lindqvist", "Master technician, licence 1234", PASSWORD, moment - timedelta(days=30))
    return path


@pytest.fixture(scope="session")
def author(tmp_path_factory: pytest.TempPathFactory, moment: datetime) -> Identity:
    path = tmp_path_factory.mktemp("identity") / "author.p12"
    start = moment - timedelta(days=30)
    return make_identity(path, "Åsa Lindqvist", "Master technician, licence 1234", PASSWORD, start)


@pytest.fixture(scope="session")
def reviewer(tmp_path_factory: pytest.TempPathFactory, moment: datetime) -> Identity:
    path = tmp_path_factory.mktemp("identity") / "reviewer.p12"
    return make_identity(path, "Jürgen Maß", "Chartered engineer", PASSWORD, moment - timedelta(days=30))


@pytest.fixture(scope="session")
def case_bytes() -> bytes:
    """Not tidy on purpose: what comes out must be what went in, byte for byte."""
    return b'{"format": "heatdocket-case/1",\r\n "job": {"title": "50 \xc2\xb0C"}}\n\n\x00\xff' * 7


@pytest.fixture(scope="session")
def unsigned(case_bytes: bytes) -> bytes:
    """Three pages with embedded type, and the case attached."""
    fonts.register()
    buffer = BytesIO()
    canvas = Canvas(buffer, invariant=1, lang="en")
    canvas.setTitle("Coolant check")
    for page in range(3):
        canvas.setFont(fonts.REGULAR, 12)
        canvas.drawString(60, 760, f"Page {page + 1}: coolant leaves at 88 °C")
        canvas.showPage()
    canvas.save()
    return attach_case(buffer.getvalue(), case_bytes)


@pytest.fixture(scope="session")
def stamp() -> Stamp:
    return Stamp(AUTHOR_PLACE, "HD-2026-0007")


@pytest.fixture(scope="session")
def signed(unsigned: bytes, author: Identity, stamp: Stamp, moment: datetime) -> bytes:
    return sign_report(unsigned, author, stamp, moment, reviewer=REVIEWER_PLACE)


@dataclass(frozen=True)
class Authority:
    """A certificate authority of the tests' own."""

    key: ec.EllipticCurvePrivateKey
    certificate: x509.Certificate
    issue: Callable[..., Identity]


@pytest.fixture(scope="session")
def authority(moment: datetime) -> Authority:
    key = ec.generate_private_key(ec.SECP384R1())
    root = _certificate("Test root", key.public_key(), "Test root", key, moment, ca=True)

    def issue(
        name: str,
        leaf: ec.EllipticCurvePrivateKey | rsa.RSAPrivateKey,
        *,
        starts: datetime,
        non_repudiation: bool = True,
    ) -> Identity:
        issued = _certificate(
            name, leaf.public_key(), "Test root", key, starts, ca=False, non_repudiation=non_repudiation
        )
        return Identity(leaf, issued, (root,))

    return Authority(key, root, issue)


def _certificate(
    name: str,
    public: ec.EllipticCurvePublicKey | rsa.RSAPublicKey,
    issuer: str,
    signing_key: ec.EllipticCurvePrivateKey,
    starts: datetime,
    *,
    ca: bool,
    non_repudiation: bool = True,
) -> x509.Certificate:
    usage = x509.KeyUsage(not ca, not ca and non_repudiation, False, False, False, ca, ca, False, False)
    builder = (
        x509.CertificateBuilder()
        .subject_name(x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, name)]))
        .issuer_name(x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, issuer)]))
        .public_key(public)
        .serial_number(x509.random_serial_number())
        .not_valid_before(starts - timedelta(days=400 if ca else 1))
        .not_valid_after(starts + timedelta(days=900))
        .add_extension(x509.BasicConstraints(ca=ca, path_length=None), critical=True)
        .add_extension(usage, critical=True)
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(public), critical=False)
        .add_extension(x509.AuthorityKeyIdentifier.from_issuer_public_key(signing_key.public_key()), critical=False)
    )
    return builder.sign(signing_key, hashes.SHA256())
