"""What was added to a report after a signature, by name.

The library allows whoever adds a signature to write the document's title, author and other properties anew, since
programs do so on saving. A report of ours allows a reviewer's signature and nothing else: other words there were not
the author's, so they are named and the report does not pass.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Any

from pyhanko.pdf_utils.generic import IndirectObject
from pyhanko.pdf_utils.reader import PdfFileReader
from pyhanko.pdf_utils.rw_common import PdfHandler
from pyhanko.sign.fields import enumerate_sig_fields
from pyhanko.sign.validation.pdf_embedded import EmbeddedPdfSignature

from engcalc.words.terms.foreign import quoted
from engcalc.words.texts import verification_texts

ON_SAVING = frozenset({"/ModDate", "/Producer"})  # what any program writes into /Info when it adds a signature
_XMP_ON_SAVING = re.compile(  # the same in XMP (ISO 16684-1), as elements or as attributes
    rb"<(xmp:ModifyDate|xmp:MetadataDate|pdf:Producer)>[^<]*</\1>"
    rb"|(xmp:ModifyDate|xmp:MetadataDate|pdf:Producer)=(\"[^\"]*\"|'[^']*')"
)


@dataclass(frozen=True)
class LaterChanges:
    """What came after a signature: what it allowed, and what it did not; each in words."""

    allowed: tuple[str, ...] = ()
    refused: tuple[str, ...] = ()


def changes_after(reader: PdfFileReader, embedded: EmbeddedPdfSignature) -> LaterChanges:
    """Compare the document as ``embedded`` signed it with the document as it stands."""
    if embedded.signed_revision == reader.xrefs.total_revisions - 1:
        return LaterChanges()
    then = reader.get_historical_resolver(embedded.signed_revision)
    before, since = _filled(then), _filled(reader)
    allowed = [_named(name, since[name]) for name in since.keys() - before.keys()]
    if "/DSS" in reader.root and "/DSS" not in then.root:
        allowed.append(verification_texts.DATA_TO_CHECK_CERTIFICATES_WITH)
    properties = sorted(_properties_changed(then, reader))
    refused = [f"the document's {quoted(name)}" for name in properties]
    if _xmp(then) != _xmp(reader):
        refused.append(verification_texts.DOCUMENTS_DESCRIPTION_OF_ITSELF_XMP)
    return LaterChanges(tuple(sorted(allowed)), tuple(refused))


def _filled(document: PdfHandler) -> dict[str, str]:
    """The filled fields by name, with the kind of what stands in them."""
    found = enumerate_sig_fields(document, filled_status=True)
    return {str(name): _kind(document, value) for name, value, _ in found}


def _kind(document: PdfHandler, value: Any) -> str:
    """What a field holds, ``/Sig`` or ``/DocTimeStamp``; asked of the document itself, as the properties are."""
    held = document.get_object(value.reference) if isinstance(value, IndirectObject) else value
    return str(held["/Type"]) if "/Type" in held else ""


def _named(field: str, kind: str) -> str:
    over_document = kind == "/DocTimeStamp"
    return (
        verification_texts.TIMESTAMP_OVER_THE_DOCUMENT
        if over_document
        else verification_texts.SIGNATURE_IN_THE_FIELD.format(field=quoted(field))
    )


def _properties_changed(then: PdfHandler, now: PdfHandler) -> set[str]:
    """Keys of the document information dictionary (ISO 32000-2 clause 14.3.3) whose text is another."""
    before, after = _properties(then), _properties(now)
    changed = {key for key in before.keys() | after.keys() if before.get(key) != after.get(key)}
    return {key.removeprefix("/") for key in changed - ON_SAVING}


def _properties(document: PdfHandler) -> dict[str, str]:
    try:
        found = document.trailer_view.raw_get("/Info")
    except KeyError:
        return {}
    if isinstance(found, IndirectObject):  # asked of the document itself: it may be an earlier state of the file
        found = document.get_object(found.reference)
    return {str(key): repr(found[key]) for key in found}


def _xmp(document: PdfHandler) -> bytes:
    try:
        data = bytes(document.root["/Metadata"].data)
    except KeyError:
        return b""
    return b"".join(_XMP_ON_SAVING.sub(b"", data).split())
