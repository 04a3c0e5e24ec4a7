"""Whether a signature stands in the file exactly as a signer writes it.

No signature covers its own container, so some of its bytes can be altered and the mathematics still agree: the case of
a hexadecimal letter, a version number, a repeated name of the digest. Some programs then refuse the file, others do
not. Here there is one spelling for each of these (RFC 5652 sections 5.1 and 5.3, DER of X.690), and no other passes.
"""

from __future__ import annotations

from asn1crypto import parser as asn1_parser
from cryptography import x509
from cryptography.exceptions import InvalidSignature
from pyhanko.sign.validation.pdf_embedded import EmbeddedPdfSignature


def stands_as_signed(embedded: EmbeddedPdfSignature, data: bytes) -> bool:
    """Whether gap, encoding and the unsigned fields of the container are as a signer writes them."""
    return (
        _gap_holds_signature_only(embedded, data)
        and _one_spelling(embedded)
        and _fields_agree(embedded)
        and _certificates_belong(embedded)
    )


def stamped_as_written(embedded: EmbeddedPdfSignature, data: bytes) -> bool:
    """The same of a timestamp over the document: nothing stands in it that its authority did not sign."""
    return (
        _gap_holds_signature_only(embedded, data)
        and _one_spelling(embedded)
        and not embedded.signer_info["unsigned_attrs"].native
    )


def _gap_holds_signature_only(embedded: EmbeddedPdfSignature, data: bytes) -> bool:
    """Whether the gap in the signed range is the signature in hexadecimal of one case, zeros to its end."""
    start, before, resume, after = (int(number) for number in embedded.byte_range)
    container = bytes(embedded.pkcs7_content)
    digits = container.hex()
    spellings = (f"<{digits}>".encode(), f"<{digits.upper()}>".encode())
    if start != 0 or resume + after > len(data) or data[before:resume] not in spellings:
        return False
    return not container[asn1_parser.peek(container) :].strip(b"\0")


def _one_spelling(embedded: EmbeddedPdfSignature) -> bool:
    """Whether every tag and length of the container is written in the one way that DER allows (X.690 clause 10.1)."""
    container = bytes(embedded.pkcs7_content)
    return _spelled(container[: asn1_parser.peek(container)])


def _spelled(elements: bytes) -> bool:
    while elements:
        class_, constructed, tag, _, content, _ = asn1_parser.parse(elements)
        written = asn1_parser.emit(class_, constructed, tag, content)
        if not elements.startswith(written) or (constructed and not _spelled(content)):
            return False
        elements = elements[len(written) :]
    return True


def _fields_agree(embedded: EmbeddedPdfSignature) -> bool:
    """Whether the fields that no signature covers say what the covered ones do."""
    whole, signer = embedded.signed_data, embedded.signer_info
    by_issuer = signer["sid"].name == "issuer_and_serial_number"
    version = "v1" if by_issuer else "v3"
    content, digests = whole["encap_content_info"], whole["digest_algorithms"]
    return bool(
        whole["version"].native == signer["version"].native == version
        and len(whole["signer_infos"]) == 1
        and [one.dump() for one in digests] == [signer["digest_algorithm"].dump()]
        and signer["digest_algorithm"]["parameters"].native is None
        and signer["digest_algorithm"]["parameters"].dump() in (b"", b"\x05\x00")  # absent or NULL: RFC 5754 section 2
        and content["content_type"].native == "data"
        and content["content"].native is None
        and (not by_issuer or _names_signer(embedded))
    )


def _names_signer(embedded: EmbeddedPdfSignature) -> bool:
    named, own = embedded.signer_info["sid"].chosen, embedded.signer_cert
    return bool(named["issuer"].dump() == own.issuer.dump() and named["serial_number"].native == own.serial_number)


def _certificates_belong(embedded: EmbeddedPdfSignature) -> bool:
    """Whether every certificate beside the signer's issued that one, or another that did."""
    left = [x509.load_der_x509_certificate(one.dump()) for one in embedded.other_embedded_certs]
    chain = [x509.load_der_x509_certificate(embedded.signer_cert.dump())]
    while left:
        above = [one for one in left if any(_issued(below, one) for below in chain)]
        if not above:
            return False
        chain += above
        left = [one for one in left if one not in above]
    return all(_issued(one, one) for one in chain if one.subject == one.issuer)


def _issued(below: x509.Certificate, above: x509.Certificate) -> bool:
    try:
        below.verify_directly_issued_by(above)
    except (ValueError, TypeError, InvalidSignature):
        return False
    return True
