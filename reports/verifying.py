"""Is a signed report intact, who signed it, and which case does it carry?

``verify_report`` never raises: whatever the bytes are, it answers with a ``Verification`` whose outcome is passed,
failed or could-not-tell, and says why in words. Three questions are kept apart:

- Is the file still what was signed? (``intact``, ``covers_whole_file``) Arithmetic; needs to trust nobody.
- Is the signer who the name says? (``vouched``) Only when a certificate authority that the caller trusts says so.
  An identity made by the signer is vouched for by nobody; its fingerprint is to be compared by other means.
- When was it signed? The signer's own clock, unless an authority attests it whom the caller trusts for timestamps.

A signature counts as intact when the bytes and the mathematics agree, it stands in the file as a signer writes it
(``as_signed``), its whole revision is covered, the certificate allowed signing at the stated time, and whatever was
appended since is of a kind the signer allowed (a reviewer's signature; ``later_changes``). The report passes when all
its signatures are intact and the newest covers the file to its last byte, or all but proof under a timestamp over the
document (B-LTA). With anything else appended it is could-not-tell, because the picture in an empty field may have been
changed. Standards: ISO 32000-2 clause 12.8, ETSI EN 319 142-1.
"""

from __future__ import annotations

import hashlib
import logging
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from io import BytesIO
from typing import Any

from asn1crypto import x509 as asn1_x509
from cryptography import x509
from cryptography.hazmat.primitives.asymmetric import ec, rsa
from cryptography.hazmat.primitives.serialization import Encoding
from pyhanko.pdf_utils.decode_limits import DecodeLimits, DocumentDecodeBudget, StreamDecodeLimits
from pyhanko.pdf_utils.misc import PdfDecodeLimitError
from pyhanko.pdf_utils.reader import PdfFileReader
from pyhanko.sign.diff_analysis import ModificationLevel
from pyhanko.sign.fields import enumerate_sig_fields
from pyhanko.sign.validation import validate_pdf_signature
from pyhanko.sign.validation.dss import DocumentSecurityStore
from pyhanko.sign.validation.pdf_embedded import EmbeddedPdfSignature, read_certification_data
from pyhanko.sign.validation.settings import KeyUsageConstraints
from pyhanko.sign.validation.status import PdfSignatureStatus, SignatureCoverageLevel
from pyhanko_certvalidator import ValidationContext

from engcalc.words.terms.foreign import quoted
from engcalc.words.texts import verification_texts
from reports.as_signed import stands_as_signed
from reports.identity import RSA_BITS, credential_of, fingerprint_of, is_self_issued, issuer_of, may_sign, name_of
from reports.known_signer import known_among
from reports.later_changes import LaterChanges, changes_after
from reports.timestamps import (
    TIMESTAMP,
    FoundTimestamp,
    Seal,
    proof_in,
    seals_of,
    timestamp_context,
    timestamp_of,
    unsigned_attributes,
)
from reports.trust_store import KnownPerson
from reports.verification import Coverage, SignatureFinding, Verification, VerifyAnswer
from reports.verification_words import notes_on, summary_of, summary_of_unsigned, the_signature

CASE_NAME = "case.heatcase.json"
LARGEST_FILE = 100 << 20  # bytes; a report is a few hundred kilobytes
MOST_UNPACKED = 64 << 20  # bytes that all compressed parts of a file may unpack to
_UNPACKING = DecodeLimits(
    per_stream=StreamDecodeLimits(max_output_size=MOST_UNPACKED // 2),
    document_budget=DocumentDecodeBudget(base_allowance=MOST_UNPACKED, max_ratio=1.0),
)
REACHES_ALL = (Coverage.WHOLE_FILE, Coverage.SEALED)
HEADER_WITHIN = 1024  # bytes in which readers look for %PDF-; common practice, no source
CURVES = {"secp256r1": "P-256", "secp384r1": "P-384", "secp521r1": "P-521"}  # NIST SP 800-186 names
SOUND_DIGESTS = frozenset({"sha256", "sha384", "sha512", "sha3_256", "sha3_384", "sha3_512"})  # NIST FIPS 180-4, 202
SIGNING_USAGE = KeyUsageConstraints(key_usage={"digital_signature", "non_repudiation"})  # either of the two will do
_END_MARK = b"startxref"  # ISO 32000-2 clause 7.5.5
END_WITHIN = 4096  # bytes of a file's end; else a reader would search all of it, byte by byte; no source
SIGNATURE_MARK = b"/ByteRange"  # stands in clear text in every signed PDF

# The library's running remarks are for programmers; a person gets the words of Verification.
for _name in ("pyhanko", "pyhanko_certvalidator"):
    logging.getLogger(_name).addHandler(logging.NullHandler())


class _CannotTellError(Exception):
    """The file is of a kind about which nothing can be said."""


class _DamagedError(Exception):
    """The file cannot be what somebody signed."""


@dataclass(frozen=True)
class Trusted:
    """Whose word counts: ``names`` are the roots for who a signer is, ``timestamps`` those for when; none at first.
    ``persons`` are those whose fingerprints the reader compared with them."""

    names: tuple[x509.Certificate, ...] = ()
    timestamps: tuple[x509.Certificate, ...] = ()
    persons: tuple[KnownPerson, ...] = ()


def verify_report(
    data: bytes,
    trust_roots: Sequence[x509.Certificate] = (),
    *,
    timestamp_roots: Sequence[x509.Certificate] = (),
    persons: Sequence[KnownPerson] = (),
    now: datetime | None = None,
) -> Verification:
    """Say who signed ``data``, whether it is intact, and which case it carries. Never raises on any bytes.

    ``trust_roots`` are the certificates whose word on names the caller takes, ``timestamp_roots`` those whose word on
    times, ``persons`` those whom the caller knows; none by default. Certificates are judged as of the time of signing;
    with ``now`` (which carries its time zone) it is said which have ended since, and which time lies ahead. What was
    withdrawn is told as far as the file itself carries lists of it: nothing is fetched from anywhere.
    """
    sha256 = hashlib.sha256(data).hexdigest()
    trusted = Trusted(tuple(trust_roots), tuple(timestamp_roots), tuple(persons))
    try:
        reader = _opened(data)
        facts, found = _signatures(reader, data, trusted, now)
        carried = _attached(reader)
    except _CannotTellError as fault:
        return Verification(VerifyAnswer.UNDETERMINED, sha256, problem=str(fault), summary=(str(fault),))
    except _DamagedError as fault:
        words = str(fault)
        return Verification(
            VerifyAnswer.FAILED, sha256, intact=False, covers_whole_file=False, problem=words, summary=(words,)
        )
    return _judged(sha256, found, carried, facts.seals, marked=SIGNATURE_MARK in data)


# ---- reading ---------------------------------------------------------------------------------------------------------


def _opened(data: bytes) -> PdfFileReader:
    if len(data) > LARGEST_FILE:
        raise _CannotTellError(verification_texts.FILE_TOO_LARGE.format(megabytes=LARGEST_FILE >> 20))
    if b"%PDF-" not in data[:HEADER_WITHIN] and SIGNATURE_MARK not in data:
        raise _CannotTellError(verification_texts.NOT_A_PDF)
    if _END_MARK not in data[-END_WITHIN:]:
        raise _DamagedError(verification_texts.FILE_IS_DAMAGED)
    try:
        reader = PdfFileReader(BytesIO(data), decode_limits=_UNPACKING)
        encrypted = reader.encrypted
        reader.root.get("/Pages")
    except PdfDecodeLimitError as fault:
        raise _too_much(fault) from fault
    except Exception as fault:  # hostile bytes make the parser fail in ways that no list of errors covers
        raise _DamagedError(verification_texts.NOT_READABLE.format(why=_first_line(fault))) from fault
    if encrypted:
        raise _CannotTellError(verification_texts.FILE_IS_ENCRYPTED)
    return reader


def _too_much(_fault: PdfDecodeLimitError) -> _DamagedError:
    most = MOST_UNPACKED >> 20
    return _DamagedError(verification_texts.UNPACKS_TOO_LARGE.format(megabytes=most))


def _signatures(
    reader: PdfFileReader, data: bytes, trusted: Trusted, now: datetime | None
) -> tuple[_Facts, tuple[SignatureFinding, ...]]:
    try:
        embedded = reader.embedded_regular_signatures
        fields = _fields_when_first_signed(reader, embedded)
        seals = seals_of(reader, data, trusted.timestamps)
        facts = _Facts(reader, data, trusted, _certifying(reader), fields, now, seals, proof_in(reader))
    except PdfDecodeLimitError as fault:
        raise _too_much(fault) from fault
    except Exception as fault:  # as in _opened
        raise _DamagedError(verification_texts.SIGNATURES_NOT_READABLE.format(why=_first_line(fault))) from fault
    return facts, tuple(_examined(one, facts) for one in embedded)


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


def _attached(reader: PdfFileReader) -> dict[str, bytes]:
    """What the report carries, by name; nothing where it cannot be read."""
    try:
        names = reader.root["/Names"]["/EmbeddedFiles"]["/Names"]
        pairs = [(str(names[at]), names[at + 1]) for at in range(0, len(names), 2)]
        return {name: bytes(spec["/EF"]["/F"].data) for name, spec in pairs}
    except Exception:  # as in _opened: a missing or mangled name tree is a file without a case
        return {}


# ---- one signature ---------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class _Facts:
    """What the examination of each signature has in common."""

    reader: PdfFileReader
    data: bytes
    trusted: Trusted
    certifying: object
    fields: frozenset[str]
    now: datetime | None
    seals: tuple[Seal, ...]
    proof: DocumentSecurityStore | None

    @property
    def sealed(self) -> bool:
        """Whether a timestamp covers the file to its last byte."""
        return any(one.last for one in self.seals)


@dataclass(frozen=True)
class _Examined:
    """One signature with what the library and we found about it."""

    embedded: EmbeddedPdfSignature
    status: PdfSignatureStatus
    certificate: x509.Certificate
    stamp: FoundTimestamp | None
    later: LaterChanges
    stated_at: datetime

    @property
    def signed_at(self) -> datetime:
        """What a trusted timestamp attests, else what the signer's own clock said."""
        return self.stamp.when if self.stamp is not None and self.stamp.trusted else self.stated_at


def _examined(embedded: EmbeddedPdfSignature, facts: _Facts) -> SignatureFinding:
    field = str(embedded.fq_name)
    try:
        certificate = x509.load_der_x509_certificate(embedded.signer_cert.dump())
        stated = embedded.self_reported_timestamp
        if stated is None:
            return SignatureFinding(
                field, VerifyAnswer.FAILED, problem=verification_texts.IT_DOES_NOT_SAY_WHEN_IT_WAS_MADE
            )
        roots = facts.trusted.timestamps
        status = validate_pdf_signature(
            embedded,
            _context(certificate, facts, stated),
            timestamp_context(embedded, roots, stated),
            key_usage_settings=SIGNING_USAGE,
        )
        stamp, later = timestamp_of(status, roots), changes_after(facts.reader, embedded)
        return _finding(_Examined(embedded, status, certificate, stamp, later, stated.astimezone(UTC)), facts)
    except Exception as fault:  # as in _opened
        return SignatureFinding(
            field,
            VerifyAnswer.FAILED,
            problem=verification_texts.IT_CANNOT_BE_READ.format(first_line=_first_line(fault)),
        )


def _context(certificate: x509.Certificate, facts: _Facts, moment: datetime) -> ValidationContext:
    """What the library may trust: the caller's roots, and a self-issued certificate for what it says of itself; with
    the lists of withdrawn certificates that the file carries, each signed by its authority."""
    own = (certificate,) if is_self_issued(certificate) else ()
    trusted = [asn1_x509.Certificate.load(_der(one)) for one in (*facts.trusted.names, *own)]
    words: dict[str, Any] = {
        "trust_roots": trusted,
        "moment": moment,
        "allow_fetching": False,
        "revocation_mode": "soft-fail",
    }
    return ValidationContext(**words) if facts.proof is None else facts.proof.as_validation_context(words)


def _finding(one: _Examined, facts: _Facts) -> SignatureFinding:
    problem = _problem(one, facts)
    own_reference = one.embedded.sig_object.container_ref
    certificate = one.certificate
    return SignatureFinding(
        field=str(one.embedded.fq_name),
        intact=VerifyAnswer.FAILED if problem else VerifyAnswer.PASSED,
        vouched=_vouched(one.status, certificate, facts.trusted.names),
        problem=problem,
        coverage=_coverage(one.status, facts),
        certified=facts.certifying is not None and own_reference == facts.certifying,
        signer=name_of(certificate),
        credential=credential_of(certificate),
        issuer=issuer_of(certificate),
        self_issued=is_self_issued(certificate),
        fingerprint=fingerprint_of(certificate),
        signed_at=one.signed_at,
        time_attested=_time_attested(one.stamp),
        algorithm=_algorithm(certificate, one.status),
        reason=str(one.embedded.sig_object.get("/Reason", "")),
        location=str(one.embedded.sig_object.get("/Location", "")),
        later_changes=_later_changes(one),
        known=None if problem else known_among(facts.trusted.persons, certificate),
        level=_level(one, facts),
        notes=notes_on(certificate, one.stamp, _unknown(one.embedded), one.signed_at, facts.now),
    )


def _unknown(embedded: EmbeddedPdfSignature) -> tuple[str, ...]:
    """What stands unsigned in the signature and is no timestamp."""
    return tuple(name for name in unsigned_attributes(embedded) if name != TIMESTAMP)


def _problem(one: _Examined, facts: _Facts) -> str:
    """The first reason why the signature does not hold, in words; empty when it holds."""
    status, certificate, stamp = one.status, one.certificate, one.stamp
    held = certificate.not_valid_before_utc <= one.signed_at <= certificate.not_valid_after_utc
    reasons = (
        (not status.intact, verification_texts.FILE_WAS_CHANGED_AFTER_IT_WAS_SIGNED),
        (not status.valid, verification_texts.SIGNATURE_ITSELF_IS_DAMAGED_OR_FORGED),
        (not stands_as_signed(one.embedded, facts.data), verification_texts.NOT_AS_SIGNED),
        (_coverage(status, facts) is Coverage.OTHER, verification_texts.IT_DOES_NOT_COVER_ALL_OF_THE_FILE),
        (not status.docmdp_ok, verification_texts.SOMETHING_WAS_ADDED_AFTER_SIGNING),
        (
            bool(one.later.refused),
            verification_texts.AFTER_SIGNING_OTHER_WORDS_WERE_PUT_INTO.format(refused=", ".join(one.later.refused)),
        ),
        (not status.seed_value_ok, verification_texts.IT_BREAKS_THE_CONDITIONS_SET_FOR_ITS_FIELD),
        (one.embedded.fq_name not in facts.fields, verification_texts.IT_STANDS_IN_A_FIELD_THAT_THE_FIRST),
        (_weak(certificate, status), verification_texts.IT_WAS_MADE_WITH_A_KEY_OR_A_DIGEST_TOO),
        (not held, verification_texts.CERTIFICATE_WAS_NOT_VALID),
        (not may_sign(certificate), verification_texts.CERTIFICATE_IS_NOT_FOR_SIGNING),
        (stamp is not None and stamp.damaged, verification_texts.ITS_TIMESTAMP_IS_DAMAGED_OR_FORGED),
    )
    return next((words for broken, words in reasons if broken), "")


def _level(one: _Examined, facts: _Facts) -> str:
    """The level of PAdES that the signature has (ETSI EN 319 142-1 clause 6), whether or not its clock is trusted."""
    if one.stamp is None or one.stamp.damaged:
        return "B-B"
    if facts.proof is None:
        return "B-T"
    return "B-LTA" if facts.sealed else "B-LT"


def _coverage(status: PdfSignatureStatus, facts: _Facts) -> Coverage:
    """How far the signature reaches. What came later may be nothing but proof under a timestamp: then no page, field or
    word can have changed, and the file counts as covered."""
    if status.coverage is SignatureCoverageLevel.ENTIRE_FILE:
        return Coverage.WHOLE_FILE
    only_proof = status.docmdp_ok and status.modification_level is ModificationLevel.LTA_UPDATES
    if status.coverage is SignatureCoverageLevel.ENTIRE_REVISION and only_proof and facts.sealed:
        return Coverage.SEALED
    return Coverage.WHOLE_REVISION if status.coverage is SignatureCoverageLevel.ENTIRE_REVISION else Coverage.OTHER


def _later_changes(one: _Examined) -> str:
    if one.status.coverage is SignatureCoverageLevel.ENTIRE_FILE:
        return ""
    named = ", ".join((*one.later.allowed, *one.later.refused)) or verification_texts.SOMETHING_THAT_HAS_NO_NAME_HERE
    return named if one.status.docmdp_ok else verification_texts.SOMETHING_THE_SIGNER_DID_NOT_ALLOW.format(named=named)


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


def _time_attested(stamp: FoundTimestamp | None) -> VerifyAnswer:
    if stamp is None:
        return VerifyAnswer.UNDETERMINED
    if stamp.damaged:
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


# ---- judging ---------------------------------------------------------------------------------------------------------


def _judged(
    sha256: str,
    found: tuple[SignatureFinding, ...],
    carried: dict[str, bytes],
    seals: tuple[Seal, ...],
    *,
    marked: bool,
) -> Verification:
    case, files = carried.get(CASE_NAME), tuple((name, data) for name, data in carried.items() if name != CASE_NAME)
    if not found:
        return _unsigned(sha256, case, files, marked=marked)
    hold = all(one.intact is VerifyAnswer.PASSED for one in found)
    whole = any(one.intact is VerifyAnswer.PASSED and one.coverage in REACHES_ALL for one in found)
    outcome = VerifyAnswer.FAILED if not hold else VerifyAnswer.PASSED if whole else VerifyAnswer.UNDETERMINED
    problem = "; ".join(f"{the_signature(one)}: {one.problem}" for one in found if one.problem)
    if outcome is VerifyAnswer.UNDETERMINED:
        problem = verification_texts.SOMETHING_WAS_ADDED_AFTER_THE_LAST_SIGNATURE
    made = Verification(outcome, sha256, True, outcome.as_bool, whole, found, case, problem, files=files, seals=seals)
    return replace(made, summary=summary_of(made))


def _unsigned(sha256: str, case: bytes | None, files: tuple[tuple[str, bytes], ...], *, marked: bool) -> Verification:
    if marked:
        problem = verification_texts.SIGNATURE_REMAINS
        return Verification(VerifyAnswer.FAILED, sha256, None, False, False, (), case, problem, (problem,), files)
    problem = verification_texts.NOT_SIGNED
    made = Verification(VerifyAnswer.UNDETERMINED, sha256, False, None, None, (), case, problem, files=files)
    return replace(made, summary=summary_of_unsigned(made))


def _der(certificate: x509.Certificate) -> bytes:
    return certificate.public_bytes(Encoding.DER)


def _first_line(fault: Exception) -> str:
    text = str(fault).strip().splitlines()
    return quoted(text[0][:120] if text else type(fault).__name__)
