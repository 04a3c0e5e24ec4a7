"""A signing identity: a private key and an X.509 certificate in a password-protected PKCS#12 file.

``make_identity`` makes one: an ECDSA key on P-256 and a certificate that the signer issues to themselves (RFC 5280),
the name as common name, the credential ("Master technician, licence 1234") as title (X.520: the designated position
or function of the object), for digital signature and non-repudiation only, no authority over other certificates.
Such a certificate says nothing but what its maker typed: whoever receives a report compares the fingerprint over
another channel. ``load_identity`` reads one of these or one brought along (RSA or elliptic curve, with its chain).

The key may lie on a hardware token instead (:mod:`reports.token`): the file then names the token, the PIN takes the
place of the password, and all else is the same.

The file is encrypted with PBES2: PBKDF2 with HMAC-SHA-256, AES-256-CBC (RFC 8018), its integrity kept by HMAC-SHA-256.
One password locks both, so both take as many rounds as today's guidance asks: the weaker would give it away.
"""

from __future__ import annotations

import hashlib
import os
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path

from cryptography import x509
from cryptography.exceptions import InvalidSignature
from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.asymmetric import ec, rsa
from cryptography.hazmat.primitives.serialization import Encoding, PrivateFormat, PublicFormat, pkcs12
from cryptography.x509.oid import NameOID

from engcalc.case.file import read_whole, write_whole
from engcalc.errors import FileFault, InputError, InputFault
from engcalc.words.terms.foreign import hides_signs, visible
from engcalc.words.texts import report_texts
from reports.identity_file import SALT_BYTES, with_integrity_of
from reports.token import TokenKey, read_token_file, sought_on_token, token_file

TEXT_BYTES = 64  # UTF-8 bytes of name and of credential; RFC 5280 appendix A.1, ub-common-name 64 and ub-title 64
PASSWORD_LETTERS = 8  # least length of a password; common practice, no source
YEARS = range(1, 11)  # whole years a made identity may hold; common practice, no source
RSA_BITS = 2048  # least size of an RSA key brought along; NIST SP 800-131A rev. 2, from memory
KEY_ROUNDS = 600_000  # PBKDF2 rounds with HMAC-SHA-256; common practice of 2026, no source; well under a second
MAC_ROUNDS = 2 * KEY_ROUNDS  # of one hash each, where a round of PBKDF2 is two: a guess costs as much at either lock
DAYS_TO_RENEW = 60  # before its end from which an identity is to be renewed; common practice, no source
FILE_BYTES = 1 << 20  # an identity file is a few kilobytes; anything larger is something else

PrivateKey = ec.EllipticCurvePrivateKey | rsa.RSAPrivateKey


@dataclass(frozen=True, eq=False)
class Identity:
    """Who signs: the private key or where it is, its certificate, and the certificates above it (none for a self-issued
    one)."""

    key: PrivateKey | TokenKey = field(repr=False)
    certificate: x509.Certificate
    chain: tuple[x509.Certificate, ...] = ()

    @property
    def name(self) -> str:
        """The name in the certificate."""
        return name_of(self.certificate)

    @property
    def credential(self) -> str:
        """The credential in the certificate, as its holder stated it; empty when it carries none."""
        return credential_of(self.certificate)

    @property
    def fingerprint(self) -> str:
        """SHA-256 of the certificate in sixteen groups of four hexadecimal digits."""
        return fingerprint_of(self.certificate)

    @property
    def self_issued(self) -> bool:
        """Whether the certificate is vouched for by nobody but its own holder."""
        return is_self_issued(self.certificate)

    @property
    def not_before(self) -> datetime:
        """From when the identity holds."""
        return self.certificate.not_valid_before_utc

    @property
    def not_after(self) -> datetime:
        """Until when the identity holds."""
        return self.certificate.not_valid_after_utc


def make_identity(path: Path, name: str, credential: str, password: str, now: datetime, *, years: int = 3) -> Identity:
    """Make an identity, write it to ``path`` (which must not exist; mode 0600) and return it.

    ``now`` (with a time zone) starts its validity of ``years`` whole years. Raises InputError with every fault at
    once, FileFault when the file exists or cannot be written.
    """
    name, credential = name.strip(), credential.strip()
    faults = (*_text_faults(name, credential), *_number_faults(password, now, years))
    if faults:
        raise InputError(faults)
    key = ec.generate_private_key(ec.SECP256R1())
    identity = Identity(key, _self_issued_certificate(key, name, credential, now.astimezone(UTC), years))
    write_whole(path, _locked(identity, key, password), private=True, fresh=True)
    return identity


def load_identity(path: Path, password: str) -> Identity:
    """Read an identity from a PKCS#12 file, or from the token that a file of :func:`bring_token` names.

    Raises FileFault when the file is missing or is no PKCS#12 with a key and its certificate, InputError (at
    ``identity.password``) for a wrong password. An expired one loads: ``usable_at`` tells, and signing refuses it.
    """
    data = read_whole(path, "an identity file", FILE_BYTES)
    if data[:1] == b"{":
        found = read_token_file(path, data, password)
        return Identity(found.key, found.certificate, found.chain)
    if not _is_pkcs12(data):
        raise FileFault(str(path), report_texts.NOT_AN_IDENTITY_FILE)
    key, certificate, chain = _key_and_certificates(path, data, password)
    if key is None or certificate is None:
        raise FileFault(str(path), report_texts.HOLDS_NO_PRIVATE_KEY_WITH_ITS_CERTIFICATE)
    if key.public_key() != certificate.public_key():
        raise FileFault(str(path), report_texts.ITS_PRIVATE_KEY_DOES_NOT_BELONG)
    return Identity(key, certificate, chain)


def bring_token(path: Path, module: Path, pin: str) -> Identity:
    """Write a file to ``path`` (which must not exist) that names the token which the library ``module`` reaches.

    Raises InputError for a wrong PIN and where not exactly one token with one key is there, FileFault as
    :func:`make_identity`.
    """
    found = sought_on_token(module, pin)
    write_whole(path, token_file(found), private=True, fresh=True)
    return Identity(found.key, found.certificate, found.chain)


def renew_identity(path: Path, password: str, now: datetime, *, years: int = 3) -> Identity:
    """Give the identity in ``path`` ``years`` more from ``now`` on, in the same file under the same password.

    Key, name and credential stay, so whoever knows its key knows it on; the fingerprint is another, since the
    certificate is. Raises FileFault and InputError as :func:`load_identity`, and InputError for an identity that an
    authority issued: only that one can renew it.
    """
    faults = _number_faults(password, now, years, least=0)
    if faults:
        raise InputError(faults)
    old = load_identity(path, password)
    key = _key_of_file(old, path)
    if not old.self_issued:
        wanted = report_texts.IT_WAS_ISSUED_BY.format(issuer_of=visible(issuer_of(old.certificate)))
        raise InputError((InputFault("identity", str(path), wanted),))
    issued = _self_issued_certificate(key, old.name, old.credential, now.astimezone(UTC), years)
    renewed = Identity(key, issued)
    write_whole(path, _locked(renewed, key, password), private=True)
    return renewed


def change_password(path: Path, old: str, new: str) -> Identity:
    """Lock the identity in ``path`` with another password, at today's rounds; nothing else of it changes.

    Raises FileFault and InputError as :func:`load_identity`, and InputError for a new password that is too short.
    """
    identity = load_identity(path, old)
    if len(new) < PASSWORD_LETTERS:
        raise InputError((_password_fault("identity.new_password"),))
    write_whole(path, _locked(identity, _key_of_file(identity, path), new), private=True)
    return identity


def _key_of_file(identity: Identity, path: Path) -> PrivateKey:
    """The key, where it is in the file. InputError for one on a token."""
    if isinstance(identity.key, TokenKey):
        wanted = report_texts.ITS_KEY_AND_PIN_ARE_THE_TOKENS_OWN
        raise InputError((InputFault("identity", str(path), wanted),))
    return identity.key


def days_left(identity_ends: datetime, now: datetime) -> int:
    """Whole days until an identity ends; negative once it has."""
    return (identity_ends - now).days


def key_print_of(certificate: x509.Certificate) -> str:
    """SHA-256 of the public key (SubjectPublicKeyInfo, RFC 5280 section 4.1.2.7), in groups: the same after renewal."""
    key = certificate.public_key().public_bytes(Encoding.DER, PublicFormat.SubjectPublicKeyInfo)
    return _in_groups(hashlib.sha256(key).hexdigest())


def usable_at(identity: Identity, now: datetime) -> tuple[InputFault, ...]:
    """The reasons why ``identity`` cannot sign at ``now``; empty when it can."""
    if now > identity.not_after:
        wanted = report_texts.THIS_IDENTITY_HAS_EXPIRED
        return (InputFault("identity", f"{identity.not_after:%Y-%m-%d}", wanted),)
    if now < identity.not_before:
        wanted = report_texts.THIS_IDENTITY_IS_NOT_VALID_YET
        return (InputFault("identity", f"{identity.not_before:%Y-%m-%d %H:%M}Z", wanted),)
    if hides_signs(identity.name + identity.credential):
        wanted = report_texts.NAME_OR_CREDENTIAL_IN_THIS_CERTIFICATE
        return (InputFault("identity", visible(identity.name), wanted),)
    if not may_sign(identity.certificate):
        wanted = report_texts.THIS_CERTIFICATE_IS_NOT_FOR_SIGNING
        return (InputFault("identity", identity.name, wanted),)
    return ()


def may_sign(certificate: x509.Certificate) -> bool:
    """Whether the certificate, if it limits its key's usage, allows signing (RFC 5280 section 4.2.1.3)."""
    try:
        usage = certificate.extensions.get_extension_for_class(x509.KeyUsage).value
    except x509.ExtensionNotFound:
        return True
    return usage.content_commitment or usage.digital_signature


def name_of(certificate: x509.Certificate) -> str:
    """The common name, or the whole subject when there is none."""
    return _attribute(certificate.subject, NameOID.COMMON_NAME) or certificate.subject.rfc4514_string()


def issuer_of(certificate: x509.Certificate) -> str:
    """The common name of who issued it, or the whole name when there is none."""
    return _attribute(certificate.issuer, NameOID.COMMON_NAME) or certificate.issuer.rfc4514_string()


def credential_of(certificate: x509.Certificate) -> str:
    """The title in the subject; empty when there is none."""
    return _attribute(certificate.subject, NameOID.TITLE)


def fingerprint_of(certificate: x509.Certificate) -> str:
    """SHA-256 of the certificate's DER bytes, grouped for reading aloud."""
    return _in_groups(certificate.fingerprint(hashes.SHA256()).hex())


def _in_groups(digits: str) -> str:
    capitals = digits.upper()
    return " ".join(capitals[start : start + 4] for start in range(0, len(capitals), 4))


def is_self_issued(certificate: x509.Certificate) -> bool:
    """Whether the certificate's own key signed it."""
    try:
        certificate.verify_directly_issued_by(certificate)
    except (ValueError, TypeError, InvalidSignature):
        return False
    return True


def _attribute(name: x509.Name, oid: x509.ObjectIdentifier) -> str:
    values = [attribute.value for attribute in name.get_attributes_for_oid(oid)]
    return ", ".join(value if isinstance(value, str) else value.decode("utf-8", "replace") for value in values)


def _text_faults(name: str, credential: str) -> tuple[InputFault, ...]:
    faults = []
    for path, text, missing in (
        ("identity.name", name, report_texts.NAME_MISSING),
        ("identity.credential", credential, report_texts.CREDENTIAL_MISSING),
    ):
        if not text:
            faults.append(InputFault(path, "", missing))
        elif not text.isprintable():
            faults.append(InputFault(path, text[:40], report_texts.MUST_BE_ONE_LINE_WITHOUT_CONTROL_CHARACTERS))
        elif len(text.encode()) > TEXT_BYTES:
            wanted = report_texts.TOO_LONG_FOR_A_CERTIFICATE.format(text_bytes=TEXT_BYTES)
            faults.append(InputFault(path, f"{text[:20]}...", wanted))
    return tuple(faults)


def _password_fault(path: str) -> InputFault:
    return InputFault(
        path, "", report_texts.CHOOSE_A_PASSWORD_OF_AT_LEAST_LETTERS.format(password_letters=PASSWORD_LETTERS)
    )


def _number_faults(
    password: str, now: datetime, years: int, *, least: int = PASSWORD_LETTERS
) -> tuple[InputFault, ...]:
    faults = []
    if len(password) < least:
        faults.append(_password_fault("identity.password"))
    if now.tzinfo is None:
        faults.append(InputFault("identity.now", now.isoformat(), report_texts.TIME_WITH_ITS_TIME_ZONE_IS_WANTED))
    if years not in YEARS:
        wanted = report_texts.TO_WHOLE_YEARS_ARE_POSSIBLE.format(start=YEARS.start, stop=YEARS.stop - 1)
        faults.append(InputFault("identity.years", str(years), wanted))
    return tuple(faults)


def _self_issued_certificate(
    key: PrivateKey, name: str, credential: str, now: datetime, years: int
) -> x509.Certificate:
    title = [x509.NameAttribute(NameOID.TITLE, credential)] if credential else []
    subject = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, name), *title])
    start = now.replace(microsecond=0)
    builder = (
        x509.CertificateBuilder()
        .subject_name(subject)
        .issuer_name(subject)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(start)
        .not_valid_after(_years_later(start, years))
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(_signing_only(), critical=True)
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(key.public_key()), critical=False)
    )
    return builder.sign(key, hashes.SHA256())


def _signing_only() -> x509.KeyUsage:
    return x509.KeyUsage(
        digital_signature=True,
        content_commitment=True,  # the present name of non-repudiation
        key_encipherment=False,
        data_encipherment=False,
        key_agreement=False,
        key_cert_sign=False,
        crl_sign=False,
        encipher_only=False,
        decipher_only=False,
    )


def _years_later(start: datetime, years: int) -> datetime:
    leap_day = start.month == 2 and start.day == 29
    return start.replace(year=start.year + years, day=28 if leap_day else start.day)


def _locked(identity: Identity, key: PrivateKey, password: str) -> bytes:
    encryption = (
        PrivateFormat.PKCS12.encryption_builder()
        .kdf_rounds(KEY_ROUNDS)
        .key_cert_algorithm(pkcs12.PBES.PBESv2SHA256AndAES256CBC)
        .hmac_hash(hashes.SHA256())
        .build(password.encode())
    )
    label = identity.name.encode()
    chain = list(identity.chain) or None
    file = pkcs12.serialize_key_and_certificates(label, key, identity.certificate, chain, encryption)
    return with_integrity_of(file, password, os.urandom(SALT_BYTES), MAC_ROUNDS)


def _is_pkcs12(data: bytes) -> bool:
    """Whether the bytes open as a PFX does: a sequence whose first element is the integer 3 (RFC 7292 section 4)."""
    return data[:1] == b"\x30" and b"\x02\x01\x03" in data[2:10]


def _key_and_certificates(
    path: Path, data: bytes, password: str
) -> tuple[PrivateKey | None, x509.Certificate | None, tuple[x509.Certificate, ...]]:
    """Key, certificate and issuers of a locked file. FileFault where the password is wrong or the key is too weak."""
    try:
        key, certificate, others = pkcs12.load_key_and_certificates(data, password.encode() or None)
    except ValueError as fault:
        raise _not_opened(path, fault, typed=bool(password)) from fault
    if key is None:
        return None, certificate, tuple(others)
    if isinstance(key, rsa.RSAPrivateKey) and key.key_size < RSA_BITS:
        raise FileFault(str(path), report_texts.ITS_RSA_KEY_HAS_BITS.format(key_size=key.key_size, rsa_bits=RSA_BITS))
    if not isinstance(key, (rsa.RSAPrivateKey, ec.EllipticCurvePrivateKey)):
        raise FileFault(str(path), report_texts.ITS_KEY_IS_NEITHER_RSA_NOR_ELLIPTIC_CURVE)
    return key, certificate, tuple(others)


def _not_opened(path: Path, fault: ValueError, *, typed: bool) -> InputError:
    """A wrong password and damage inside the locked part cannot be told apart: the same checksum fails."""
    if "password" in str(fault).lower():
        wanted = report_texts.THIS_PASSWORD_DOES_NOT_OPEN.format(
            name=path.name, check_password=report_texts.CHECK_PASSWORD
        )
        if not typed:
            wanted = report_texts.TYPE_THE_PASSWORD_THAT_WAS_CHOSEN.format(name=path.name)
        return InputError((InputFault("identity.password", "", wanted),))
    return FileFault(str(path), report_texts.IDENTITY_FILE_IS_DAMAGED)
