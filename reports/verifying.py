"""Is a signed report intact, who signed it, and which case does it carry?

``verify_report`` never raises: whatever the bytes are, it answers with a ``Verification`` whose outcome is passed,
failed or could-not-tell, and says why in words. Three questions are kept apart:

- Is the file still what was signed? (``intact``, ``covers_whole_file``) Arithmetic; needs to trust nobody.
- Is the signer who the name says? (``vouched``) Only when a certificate authority that the caller trusts says so.
  An identity made by the signer is vouched for by nobody; its fingerprint is to be compared by other means.
- When was it signed? The signer's word, unless a timestamp authority attests it.

A signature counts as intact when the bytes and the mathematics agree, the gap in the signed range holds the signature
and nothing else, its whole revision is covered, the certificate allowed signing at the stated time, and whatever was
appended since is of a kind the signer allowed (a reviewer's signature). The report passes when all its signatures are
intact and the newest covers the file to its last byte; with anything appended after that it is could-not-tell, because
the picture in an empty field may have been changed. Standards: ISO 32000-2 clause 12.8, ETSI EN 319 142-1.
"""

from __future__ import annotations

import hashlib
import logging
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from enum import Enum
from io import BytesIO

from asn1crypto import parser as asn1_parser
from asn1crypto import x509 as asn1_x509
from cryptography import x509
from cryptography.hazmat.primitives.asymmetric import ec, rsa
from cryptography.hazmat.primitives.serialization import Encoding
from pyhanko.pdf_utils.reader import PdfFileReader
from pyhanko.sign.fields import enumerate_sig_fields
from pyhanko.sign.validation import validate_pdf_signature
from pyhanko.sign.validation.pdf_embedded import EmbeddedPdfSignature, read_certification_data
from pyhanko.sign.validation.settings import KeyUsageConstraints
from pyhanko.sign.validation.status import PdfSignatureStatus, SignatureCoverageLevel
from pyhanko_certvalidator import ValidationContext

from reports.identity import (
    HOW_TO_CHECK,
    RSA_BITS,
    credential_of,
    fingerprint_of,
    is_self_issued,
    issuer_of,
    may_sign,
    name_of,
)

AUTHOR_FIELD = "Author"
REVIEWER_FIELD = "Reviewer"
CASE_NAME = "case.heatcase.json"
LARGEST_FILE = 100 << 20  # bytes; a report is a few hundred kilobytes
HEADER_WITHIN = 1024  # bytes in which readers look for %PDF-; common practice, no source
CURVES = {"secp256r1": "P-256", "secp384r1": "P-384", "secp521r1": "P-521"}  # NIST SP 800-186 names
SOUND_DIGESTS = frozenset({"sha256", "sha384", "sha512", "sha3_256", "sha3_384", "sha3_512"})  # NIST FIPS 180-4, 202
SIGNING_USAGE = KeyUsageConstraints(key_usage={"digital_signature", "non_repudiation"})  # either of the two will do
SIGNATURE_MARK = b"/ByteRange"  # stands in clear text in every signed PDF

# The library's running remarks are for programmers; a person gets the words of Verification.
for _name in ("pyhanko", "pyhanko_certvalidator"):
    logging.getLogger(_name).addHandler(logging.NullHandler())


class VerifyAnswer(Enum):
    """The answer to one question. Its truth is asked for by name: an Outcome has no truth value of its own."""

    PASSED = "passed"
    FAILED = "failed"
    UNDETERMINED = "could not tell"

    def __bool__(self) -> bool:
        raise TypeError("compare an Outcome with Outcome.PASSED")

    @property
    def as_bool(self) -> bool | None:
        """True, False, or None for could-not-tell: for JSON."""
        return {VerifyAnswer.PASSED: True, VerifyAnswer.FAILED: False, VerifyAnswer.UNDETERMINED: None}[self]


class Coverage(Enum):
    """How far a signature reaches."""

    WHOLE_FILE = "the whole file"
    WHOLE_REVISION = "the file as it was when signed"
    OTHER = "not all of what it should"


@dataclass(frozen=True)
class SignatureFinding:
    """What was found about one signature.

    ``intact`` and ``vouched`` answer two questions (see the module); ``problem`` says in words why ``intact`` is not
    PASSED. ``credential`` is the signer's own statement. ``signed_at`` is the signer's word unless ``time_attested``.
    Texts are empty and times None where the signature could not be read.
    """

    field: str
    intact: VerifyAnswer
    vouched: VerifyAnswer = VerifyAnswer.UNDETERMINED
    problem: str = ""
    coverage: Coverage = Coverage.OTHER
    certified: bool = False
    signer: str = ""
    credential: str = ""
    issuer: str = ""
    self_issued: bool | None = None
    fingerprint: str = ""
    signed_at: datetime | None = None
    time_attested: VerifyAnswer = VerifyAnswer.UNDETERMINED
    algorithm: str = ""
    reason: str = ""
    location: str = ""
    later_changes: str = ""


@dataclass(frozen=True)
class Verification:
    """What was found about a file.

    ``outcome`` is about integrity, never about trust: see ``vouched`` of each signature. ``signed``, ``intact`` and
    ``covers_whole_file`` are None where that could not be told. ``case_bytes`` is the attached case, None without one;
    it is given for a broken file too, and is then as doubtful as the file. ``summary`` holds plain sentences.
    """

    outcome: VerifyAnswer
    sha256: str
    signed: bool | None = None
    intact: bool | None = None
    covers_whole_file: bool | None = None
    signatures: tuple[SignatureFinding, ...] = ()
    case_bytes: bytes | None = None
    problem: str = ""
    summary: tuple[str, ...] = ()

    @property
    def author(self) -> SignatureFinding | None:
        """The first signature, which is the author's."""
        return self.signatures[0] if self.signatures else None

    @property
    def reviewer(self) -> SignatureFinding | None:
        """The signature in the reviewer's field, if it is filled."""
        return next((found for found in self.signatures if found.field == REVIEWER_FIELD), None)

    @property
    def case_sha256(self) -> str | None:
        """SHA-256 of the attached case."""
        return None if self.case_bytes is None else hashlib.sha256(self.case_bytes).hexdigest()


class _CannotTellError(Exception):
    """The file is of a kind about which nothing can be said."""


class _DamagedError(Exception):
    """The file cannot be what somebody signed."""


def verify_report(data: bytes, trust_roots: Sequence[x509.Certificate] = ()) -> Verification:
    """Say who signed ``data``, whether it is intact, and which case it carries. Never raises on any bytes.

    ``trust_roots`` are the certificates whose word on names the caller takes; none by default. Certificates are judged
    as of the stated time of signing. Revocation is not looked up: nothing is fetched from anywhere. A timestamp over
    the whole document, appended by another program, counts as something that nobody signed.
    """
    sha256 = hashlib.sha256(data).hexdigest()
    try:
        reader = _opened(data)
        found = _signatures(reader, data, tuple(trust_roots))
        case = _case_or_none(reader)
    except _CannotTellError as fault:
        return Verification(VerifyAnswer.UNDETERMINED, sha256, problem=str(fault), summary=(str(fault),))
    except _DamagedError as fault:
        words = str(fault)
        return Verification(
            VerifyAnswer.FAILED, sha256, intact=False, covers_whole_file=False, problem=words, summary=(words,)
        )
    return _judged(sha256, found, case, marked=SIGNATURE_MARK in data)


# ---- reading ---------------------------------------------------------------------------------------------------------


def _opened(data: bytes) -> PdfFileReader:
    if len(data) > LARGEST_FILE:
        raise _CannotTellError(
            f"The file is larger than {LARGEST_FILE >> 20} MB; a report never is. It was not examined."
        )
    if b"%PDF-" not in data[:HEADER_WITHIN] and SIGNATURE_MARK not in data:
        raise _CannotTellError("This is not a PDF file, so there is no signature to check.")
    try:
        reader = PdfFileReader(BytesIO(data))
        encrypted = reader.encrypted
        reader.root.get("/Pages")
    except Exception as fault:  # hostile bytes make the parser fail in ways that no list of errors covers
        raise _DamagedError(f"The file is damaged: it cannot be read as a PDF ({_first_line(fault)}).") from fault
    if encrypted:
        raise _CannotTellError("The file is encrypted; reports are not. Nothing can be said about it as it stands.")
    return reader


def _signatures(
    reader: PdfFileReader, data: bytes, roots: tuple[x509.Certificate, ...]
) -> tuple[SignatureFinding, ...]:
    try:
        embedded = reader.embedded_regular_signatures
        facts = _Facts(data, roots, _certifying(reader), _fields_when_first_signed(reader, embedded))
    except Exception as fault:  # as in _opened
        raise _DamagedError(f"The file is damaged: its signatures cannot be read ({_first_line(fault)}).") from fault
    return tuple(_examined(one, facts) for one in embedded)


def _certifying(reader: PdfFileReader) -> object:
    """The reference of the signature that certifies the document; None without one."""
    found = read_certification_data(reader)
    return found.author_sig.container_ref if found else None


def _fields_when_first_signed(reader: PdfFileReader, embedded: list[EmbeddedPdfSignature]) -> frozenset[str]:
    """The signature fields that the first signer saw.

    Form filling lets anyone add a further signature field, and its picture may hide what the author wrote; so a
    signature counts only in a field that was there when the first was made.
    """
    if not embedded:
        return frozenset()
    then = reader.get_historical_resolver(embedded[0].signed_revision)
    return frozenset(str(name) for name, _, _ in enumerate_sig_fields(then))


def _case_or_none(reader: PdfFileReader) -> bytes | None:
    """The attachment named CASE_NAME; None when there is none or it cannot be read."""
    try:
        names = reader.root["/Names"]["/EmbeddedFiles"]["/Names"]
        for place in range(0, len(names), 2):
            if str(names[place]) == CASE_NAME:
                return bytes(names[place + 1]["/EF"]["/F"].data)
    except Exception:  # as in _opened: a missing or mangled name tree is a file without a case
        return None
    return None


# ---- one signature ---------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class _Facts:
    """What the examination of each signature has in common."""

    data: bytes
    roots: tuple[x509.Certificate, ...]
    certifying: object
    fields: frozenset[str]


def _examined(embedded: EmbeddedPdfSignature, facts: _Facts) -> SignatureFinding:
    field = str(embedded.fq_name)
    try:
        certificate = x509.load_der_x509_certificate(embedded.signer_cert.dump())
        stated = embedded.self_reported_timestamp
        if stated is None:
            return SignatureFinding(field, VerifyAnswer.FAILED, problem="it does not say when it was made")
        context = _context(certificate, facts.roots, stated)
        status = validate_pdf_signature(embedded, context, key_usage_settings=SIGNING_USAGE)
        return _finding(embedded, status, certificate, facts)
    except Exception as fault:  # as in _opened
        return SignatureFinding(field, VerifyAnswer.FAILED, problem=f"it cannot be read ({_first_line(fault)})")


def _context(certificate: x509.Certificate, roots: tuple[x509.Certificate, ...], moment: datetime) -> ValidationContext:
    """What the library may trust: the caller's roots, and a self-issued certificate for what it says of itself."""
    own = (certificate,) if is_self_issued(certificate) else ()
    trusted = [asn1_x509.Certificate.load(_der(one)) for one in (*roots, *own)]
    return ValidationContext(trust_roots=trusted, moment=moment, allow_fetching=False, revocation_mode="soft-fail")


def _finding(
    embedded: EmbeddedPdfSignature, status: PdfSignatureStatus, certificate: x509.Certificate, facts: _Facts
) -> SignatureFinding:
    problem = _problem(embedded, status, certificate, facts)
    own_reference = embedded.sig_object.container_ref
    return SignatureFinding(
        field=str(embedded.fq_name),
        intact=VerifyAnswer.FAILED if problem else VerifyAnswer.PASSED,
        vouched=_vouched(status, certificate, facts.roots),
        problem=problem,
        coverage=_coverage(status),
        certified=facts.certifying is not None and own_reference == facts.certifying,
        signer=name_of(certificate),
        credential=credential_of(certificate),
        issuer=issuer_of(certificate),
        self_issued=is_self_issued(certificate),
        fingerprint=fingerprint_of(certificate),
        signed_at=_time(status),
        time_attested=_time_attested(status),
        algorithm=_algorithm(certificate, status),
        reason=str(embedded.sig_object.get("/Reason", "")),
        location=str(embedded.sig_object.get("/Location", "")),
        later_changes=_later_changes(status),
    )


def _problem(
    embedded: EmbeddedPdfSignature, status: PdfSignatureStatus, certificate: x509.Certificate, facts: _Facts
) -> str:
    """The first reason why the signature does not hold, in words; empty when it holds."""
    stamp = status.timestamp_validity
    signed_at = _time(status)
    held = signed_at and certificate.not_valid_before_utc <= signed_at <= certificate.not_valid_after_utc
    reasons = (
        (not status.intact, "the file was changed after it was signed"),
        (not status.valid, "the signature itself is damaged or forged"),
        (not _gap_holds_signature_only(embedded, facts.data), "bytes that nobody signed stand beside the signature"),
        (_coverage(status) is Coverage.OTHER, "it does not cover all of the file as it was when signed"),
        (not status.docmdp_ok, "something was added after signing that the signer did not allow"),
        (not status.seed_value_ok, "it breaks the conditions set for its field"),
        (embedded.fq_name not in facts.fields, "it stands in a field that the first signer did not make"),
        (_weak(certificate, status), "it was made with a key or a digest too weak to rely on"),
        (not held, "the certificate was not valid at the stated time of signing"),
        (not may_sign(certificate), "the certificate is not for signing"),
        (stamp is not None and not (stamp.intact and stamp.valid), "its timestamp is damaged or forged"),
    )
    return next((words for broken, words in reasons if broken), "")


def _gap_holds_signature_only(embedded: EmbeddedPdfSignature, data: bytes) -> bool:
    """Whether the gap in the signed range is the signature in hexadecimal, zeros to its end, and only that."""
    start, before, resume, after = (int(number) for number in embedded.byte_range)
    container = bytes(embedded.pkcs7_content)
    gap = data[before:resume]
    if start != 0 or resume + after > len(data) or gap.lower() != b"<" + container.hex().encode() + b">":
        return False
    return not container[asn1_parser.peek(container) :].strip(b"\0")


def _coverage(status: PdfSignatureStatus) -> Coverage:
    if status.coverage is SignatureCoverageLevel.ENTIRE_FILE:
        return Coverage.WHOLE_FILE
    return Coverage.WHOLE_REVISION if status.coverage is SignatureCoverageLevel.ENTIRE_REVISION else Coverage.OTHER


def _later_changes(status: PdfSignatureStatus) -> str:
    if status.coverage is SignatureCoverageLevel.ENTIRE_FILE:
        return ""
    return "only what the signer allowed" if status.docmdp_ok else "something the signer did not allow"


def _weak(certificate: x509.Certificate, status: PdfSignatureStatus) -> bool:
    """Whether anyone with the means could forge it: a digest with known collisions, or a short RSA key."""
    key = certificate.public_key()
    short = isinstance(key, rsa.RSAPublicKey) and key.key_size < RSA_BITS
    return short or status.md_algorithm not in SOUND_DIGESTS


def _vouched(
    status: PdfSignatureStatus, certificate: x509.Certificate, roots: tuple[x509.Certificate, ...]
) -> VerifyAnswer:
    """PASSED under one of the caller's roots, FAILED when revoked, else nobody known says anything."""
    if status.revoked:
        return VerifyAnswer.FAILED
    known = {_der(root) for root in roots}
    if is_self_issued(certificate) and _der(certificate) not in known:
        return VerifyAnswer.UNDETERMINED
    return VerifyAnswer.PASSED if roots and status.trusted else VerifyAnswer.UNDETERMINED


def _time(status: PdfSignatureStatus) -> datetime | None:
    """When it was signed: what a timestamp attests, else what the signer stated."""
    stamp = status.timestamp_validity
    when = stamp.timestamp if stamp is not None and stamp.intact and stamp.valid else status.signer_reported_dt
    return when.astimezone(UTC) if when is not None else None


def _time_attested(status: PdfSignatureStatus) -> VerifyAnswer:
    stamp = status.timestamp_validity
    if stamp is None:
        return VerifyAnswer.UNDETERMINED
    if not (stamp.intact and stamp.valid):
        return VerifyAnswer.FAILED
    return VerifyAnswer.PASSED if stamp.trusted else VerifyAnswer.UNDETERMINED


def _algorithm(certificate: x509.Certificate, status: PdfSignatureStatus) -> str:
    key = certificate.public_key()
    digest = str(status.md_algorithm).upper().replace("SHA", "SHA-").replace("SHA--", "SHA-")
    if isinstance(key, ec.EllipticCurvePublicKey):
        return f"ECDSA {CURVES.get(key.curve.name, key.curve.name)}, {digest}"
    if isinstance(key, rsa.RSAPublicKey):
        return f"RSA {key.key_size}, {digest}"
    return f"{status.pkcs7_signature_mechanism}, {digest}"


# ---- judging and wording ---------------------------------------------------------------------------------------------


def _judged(sha256: str, found: tuple[SignatureFinding, ...], case: bytes | None, *, marked: bool) -> Verification:
    if not found:
        return _unsigned(sha256, case, marked=marked)
    hold = all(one.intact is VerifyAnswer.PASSED for one in found)
    whole = any(one.intact is VerifyAnswer.PASSED and one.coverage is Coverage.WHOLE_FILE for one in found)
    outcome = VerifyAnswer.FAILED if not hold else VerifyAnswer.PASSED if whole else VerifyAnswer.UNDETERMINED
    problem = "; ".join(f"{_role(one)}'s signature: {one.problem}" for one in found if one.problem)
    if outcome is VerifyAnswer.UNDETERMINED:
        problem = "something was added after the last signature, and nobody signed that"
    why = [f"Why: {problem}."] if problem else []
    summary = (_headline(outcome), *why, *_sentences(found), _case_sentence(case))
    return Verification(outcome, sha256, True, outcome.as_bool, whole, found, case, problem, summary)


def _unsigned(sha256: str, case: bytes | None, *, marked: bool) -> Verification:
    if marked:
        problem = "The file holds remains of a signature that cannot be read: it is not the file that was signed."
        return Verification(VerifyAnswer.FAILED, sha256, None, False, False, (), case, problem, (problem,))
    problem = "The file is not signed: it may be a draft, and anyone may have changed it."
    return Verification(
        VerifyAnswer.UNDETERMINED, sha256, False, None, None, (), case, problem, (problem, _case_sentence(case))
    )


def _headline(outcome: VerifyAnswer) -> str:
    return {
        VerifyAnswer.PASSED: "Intact: nothing was changed since it was signed.",
        VerifyAnswer.FAILED: "Broken: this is not what was signed. "
        "Do not rely on it; ask the signer for the report again.",
        VerifyAnswer.UNDETERMINED: "Undecided: what was signed is still there, but so is something that nobody signed.",
    }[outcome]


def _sentences(found: tuple[SignatureFinding, ...]) -> list[str]:
    lines = []
    for one in found:
        lines += _about(one)
    if any(one.self_issued and one.vouched is not VerifyAnswer.PASSED for one in found):
        lines.append(HOW_TO_CHECK)
    return lines


def _about(one: SignatureFinding) -> list[str]:
    if not one.signer:
        return [f"{_role(one)}'s signature cannot be read."]
    lines = [f"{_role(one)}: {one.signer}.", _trust_sentence(one), f"Fingerprint: {one.fingerprint}."]
    if one.credential:
        lines.insert(1, f"Credential, stated by the signer: {one.credential}.")
    if one.signed_at is not None:
        attested = (
            "attested by a timestamp" if one.time_attested is VerifyAnswer.PASSED else "by the signer's own clock"
        )
        lines.append(f"Signed on {one.signed_at:%Y-%m-%d %H:%M} UTC ({attested}), {one.algorithm}.")
    if one.later_changes:
        lines.append(f"Added after this signature: {one.later_changes}.")
    return lines


def _trust_sentence(one: SignatureFinding) -> str:
    if one.vouched is VerifyAnswer.PASSED:
        return f"The name is vouched for by an issuer you trust ({one.issuer})."
    if one.vouched is VerifyAnswer.FAILED:
        return "The certificate was withdrawn: do not trust the name."
    if one.self_issued:
        return "The signer made this identity: the name is the signer's word, not vouched for by others."
    return f"The identity was issued by {one.issuer}; no issuer that you trust confirms the name."


def _case_sentence(case: bytes | None) -> str:
    if case is None:
        return "It carries no case that can be read."
    return f"It carries its case ({len(case):,} bytes), from which the numbers can be run again."


def _role(one: SignatureFinding) -> str:
    return {AUTHOR_FIELD: "Author", REVIEWER_FIELD: "Reviewer"}.get(one.field, f"Signer in {one.field!r}")


def _der(certificate: x509.Certificate) -> bytes:
    return certificate.public_bytes(Encoding.DER)


def _first_line(fault: Exception) -> str:
    text = str(fault).strip().splitlines()
    return (text[0] if text else type(fault).__name__)[:120]
