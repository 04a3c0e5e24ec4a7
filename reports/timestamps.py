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
from pyhanko.sign.general import find_cms_attribute_iter
from pyhanko.sign.validation.pdf_embedded import EmbeddedPdfSignature
from pyhanko.sign.validation.status import PdfSignatureStatus
from pyhanko_certvalidator import ValidationContext

from reports.identity import name_of

TIMESTAMP = "signature_time_stamp_token"  # RFC 3161 appendix A


@dataclass(frozen=True)
class FoundTimestamp:
    """A timestamp: when it says, who issued it (a name of theirs), whether it is damaged, whether it is trusted."""

    when: datetime
    authority: str
    damaged: bool
    trusted: bool


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
    return FoundTimestamp(stamp.timestamp.astimezone(UTC), name_of(certificate), damaged, trusted)


def _only_for_timestamps(certificate: x509.Certificate) -> bool:
    """Whether its extended key usage is timestamps, critical, and nothing else (RFC 3161 section 2.3)."""
    try:
        usage = certificate.extensions.get_extension_for_class(x509.ExtendedKeyUsage)
    except x509.ExtensionNotFound:
        return False
    return usage.critical and list(usage.value) == [x509.oid.ExtendedKeyUsageOID.TIME_STAMPING]
