"""The timestamp that a signature carries among its unsigned attributes, and whether it may be believed.

Anyone can put a timestamp there, or take it away, without any key: no signature covers it. So it counts only when an
authority issued it whom the caller trusts for timestamps, with a certificate made for timestamps and nothing else
(RFC 3161 section 2.3). A trusted name says nothing of times: the roots of both are kept apart.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime

from asn1crypto import x509 as asn1_x509
from cryptography import x509
from cryptography.hazmat.primitives.serialization import Encoding
from pyhanko.pdf_utils.reader import PdfFileReader
from pyhanko.sign.general import find_cms_attribute_iter
from pyhanko.sign.validation import validate_pdf_timestamp
from pyhanko.sign.validation.dss import DocumentSecurityStore
from pyhanko.sign.validation.pdf_embedded import EmbeddedPdfSignature
from pyhanko.sign.validation.status import PdfSignatureStatus, SignatureCoverageLevel
from pyhanko_certvalidator import ValidationContext

from reports.as_signed import stamped_as_written
from reports.identity import name_of

TIMESTAMP = "signature_time_stamp_token"  # RFC 3161 appendix A


@dataclass(frozen=True)
class FoundTimestamp:
    """A timestamp: when it says, who issued it (a name of theirs), whether it is damaged, whether it is trusted, and
    until when the certificate of its authority holds."""

    when: datetime
    authority: str
    damaged: bool
    trusted: bool
    until: datetime


@dataclass(frozen=True)
class Seal:
    """A timestamp over the whole document as it was then (ISO 32000-2 clause 12.8.5). ``last`` covers the file to its
    last byte, written as such a timestamp is written."""

    stamp: FoundTimestamp
    last: bool


def unsigned_attributes(embedded: EmbeddedPdfSignature) -> tuple[str, ...]:
    """The names (or numbers) of what stands unsigned in the signature, in its order."""
    attributes = embedded.signer_info["unsigned_attrs"]
    return tuple(str(one["type"].native) for one in attributes) if attributes else ()


def timestamp_context(
    embedded: EmbeddedPdfSignature, roots: tuple[x509.Certificate, ...], otherwise: datetime
) -> ValidationContext:
    """What may vouch for a timestamp: ``roots``, judged at the time it says; ``otherwise`` where there is none."""
    trusted = [asn1_x509.Certificate.load(one.public_bytes(Encoding.DER)) for one in roots]
    moment = otherwise
    if TIMESTAMP in unsigned_attributes(embedded):
        token = next(iter(find_cms_attribute_iter(embedded.signer_info["unsigned_attrs"], TIMESTAMP)))
        moment = token["content"]["encap_content_info"]["content"].parsed["gen_time"].native
    return ValidationContext(trust_roots=trusted, moment=moment, allow_fetching=False, revocation_mode="soft-fail")


def timestamp_of(status: PdfSignatureStatus, roots: tuple[x509.Certificate, ...]) -> FoundTimestamp | None:
    """The timestamp of an examined signature; None without one."""
    stamp = status.timestamp_validity
    if stamp is None:
        return None
    certificate = x509.load_der_x509_certificate(stamp.signing_cert.dump())
    damaged = not (stamp.intact and stamp.valid)
    trusted = bool(roots) and not damaged and bool(stamp.trusted) and _only_for_timestamps(certificate)
    until = certificate.not_valid_after_utc
    return FoundTimestamp(stamp.timestamp.astimezone(UTC), name_of(certificate), damaged, trusted, until)


def proof_in(reader: PdfFileReader) -> DocumentSecurityStore | None:
    """The certificates and lists of withdrawn ones that a file carries; None where there are none that can be read."""
    try:
        return DocumentSecurityStore.read_dss(reader)
    except Exception:  # hostile bytes make the parser fail in ways that no list of errors covers
        return None


def seals_of(reader: PdfFileReader, data: bytes, roots: tuple[x509.Certificate, ...]) -> tuple[Seal, ...]:
    """The timestamps over the document, in their order; one that cannot be read is none."""
    found = []
    for embedded in reader.embedded_timestamp_signatures:
        try:
            found.append(_seal_found(embedded, data, roots))
        except Exception:  # as in proof_in
            continue
    return tuple(found)


def _seal_found(embedded: EmbeddedPdfSignature, data: bytes, roots: tuple[x509.Certificate, ...]) -> Seal:
    """A timestamp over the whole file: whether it is whole, covers all, and counts under a root for timestamps."""
    says = embedded.signed_data["encap_content_info"]["content"].parsed["gen_time"].native
    trusted = [asn1_x509.Certificate.load(one.public_bytes(Encoding.DER)) for one in roots]
    context = ValidationContext(trust_roots=trusted, moment=says, allow_fetching=False, revocation_mode="soft-fail")
    status = validate_pdf_timestamp(embedded, context)
    certificate = x509.load_der_x509_certificate(status.signing_cert.dump())
    damaged = not (status.intact and status.valid and stamped_as_written(embedded, data))
    counts = bool(roots) and not damaged and bool(status.trusted) and _only_for_timestamps(certificate)
    when, until = status.timestamp.astimezone(UTC), certificate.not_valid_after_utc
    stamp = FoundTimestamp(when, name_of(certificate), damaged, counts, until)
    return Seal(stamp, not damaged and status.coverage is SignatureCoverageLevel.ENTIRE_FILE)


def _only_for_timestamps(certificate: x509.Certificate) -> bool:
    """Whether its extended key usage is timestamps, critical, and nothing else (RFC 3161 section 2.3)."""
    try:
        usage = certificate.extensions.get_extension_for_class(x509.ExtendedKeyUsage)
    except x509.ExtensionNotFound:
        return False
    return usage.critical and list(usage.value) == [x509.oid.ExtendedKeyUsageOID.TIME_STAMPING]
