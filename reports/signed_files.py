"""A signature beside a file that is no report: CMS, detached (RFC 5652), by the identity that signs reports.

It lies beside the file under the file's name and ``.p7s``, and ``openssl cms -verify`` reads it too.
"""

from __future__ import annotations

import asyncio
import hashlib
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from asn1crypto import cms
from cryptography import x509
from pyhanko.sign.general import extract_certificate_info, extract_signer_info
from pyhanko.sign.signers.pdf_cms import PdfCMSSignedAttributes
from pyhanko.sign.validation.generic_cms import validate_sig_integrity

from engcalc.case.file import is_there, read_whole, write_whole
from engcalc.errors import FileFault
from engcalc.words.texts import report_texts
from reports.identity import Identity, fingerprint_of, name_of
from reports.known_signer import known_among
from reports.signing import DIGEST, must_be_usable, signer_with
from reports.trust_store import TrustStore
from reports.verification import KnownAs

SUFFIX = ".p7s"  # RFC 8551, section 3.2.1
LARGEST = 1 << 20  # bytes; a signature with its certificates is a few kilobytes


@dataclass(frozen=True)
class FileSigner:
    """Who signed an intact file: name, fingerprint, and what the reader's own list says of them; None: nothing."""

    name: str
    fingerprint: str
    known: KnownAs | None


def signature_beside(path: Path) -> Path:
    """Where the signature of a file lies."""
    return path.with_name(path.name + SUFFIX)


def sign_file(path: Path, identity: Identity, now: datetime) -> Path:
    """Write the signature of a file beside it; gives where. InputError when the identity may not sign now, FileFault
    when there is a signature already or it cannot be written."""
    must_be_usable(identity, now)
    data = path.read_bytes()
    told = PdfCMSSignedAttributes(signing_time=now)
    with signer_with(identity) as signer:
        signed = asyncio.run(signer.async_sign_general_data(data, DIGEST, signed_attr_settings=told))
    place = signature_beside(path)
    write_whole(place, signed.dump(), fresh=True)
    return place


def signer_of_file(path: Path, data: bytes, known: TrustStore) -> FileSigner | None:
    """Who signed the file with these bytes; None where no signature lies beside it.

    FileFault when the signature cannot be read, or is not of these bytes: somebody changed one of the two.
    """
    place = signature_beside(path)
    if not is_there(place):
        return None
    signature = read_whole(place, "a signature", LARGEST)
    try:
        certificate = _intact_by(signature, data)
    except Exception as error:  # whatever a parser says of bytes that anybody may have made
        raise FileFault(str(place), report_texts.THIS_IS_NO_SIGNATURE_THAT_CAN_BE_READ) from error
    if certificate is None:
        raise FileFault(str(place), report_texts.THIS_IS_NOT_THE_SIGNATURE_OF_THE_FILE)
    return FileSigner(name_of(certificate), fingerprint_of(certificate), known_among(known.persons, certificate))


def _intact_by(signature: bytes, data: bytes) -> x509.Certificate | None:
    """The certificate whose key signed these bytes; None where the signature is of others."""
    signed = cms.ContentInfo.load(signature, strict=True)["content"]
    info = extract_signer_info(signed)
    certs = extract_certificate_info(signed)
    digest = hashlib.new(DIGEST, data).digest()
    intact, valid = validate_sig_integrity(info, certs.signer_cert, "data", digest)
    return x509.load_der_x509_certificate(certs.signer_cert.dump()) if intact and valid else None
