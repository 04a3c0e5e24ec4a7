"""Whether the reader's own list has a signer: by fingerprint, by key after a renewal, or only by name."""

from __future__ import annotations

import unicodedata
from collections.abc import Sequence
from io import BytesIO

from cryptography import x509
from pyhanko.pdf_utils.reader import PdfFileReader

from reports.identity import fingerprint_of, key_print_of, name_of
from reports.trust_store import KnownPerson
from reports.verification import KnownAs


def known_among(persons: Sequence[KnownPerson], certificate: x509.Certificate) -> KnownAs | None:
    """What the list says of the holder of ``certificate``; None where it has neither the key nor the name.

    To be asked of an intact signature only: anybody can put a certificate that is not theirs beside a forged one.
    """
    fingerprint, key, name = fingerprint_of(certificate), key_print_of(certificate), alike(name_of(certificate))
    for one in persons:
        if one.fingerprint == fingerprint:
            return KnownAs(one.name, one.since)
    for one in persons:
        if one.key == key:
            return KnownAs(one.name, one.since, renewed=True)
    namesake = next((one for one in persons if alike(one.name) == name), None)
    return None if namesake is None else KnownAs(namesake.name, namesake.since, another=True)


def alike(name: str) -> str:
    """A name without what the eye passes over: case, width, hidden signs, blanks."""
    folded = unicodedata.normalize("NFKC", name).casefold()
    return "".join(sign for sign in folded if sign.isalnum())


def signers_of(report: bytes) -> dict[str, x509.Certificate]:
    """The certificate of each signature of an intact report, by its fingerprint; nothing is judged here."""
    reader = PdfFileReader(BytesIO(report))
    found = [x509.load_der_x509_certificate(one.signer_cert.dump()) for one in reader.embedded_regular_signatures]
    return {fingerprint_of(one): one for one in found}
