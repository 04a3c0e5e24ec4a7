"""Signing a finished report, so that later changes show.

``attach_case`` puts the case into the PDF, ``sign_report`` certifies the result, ``countersign`` fills the reviewer's
field, ``write_signed`` puts it on disk whole or not at all. A signing that fails leaves nothing behind.

The signature is PAdES baseline B-B (ETSI EN 319 142-1; SubFilter ETSI.CAdES.detached), with a clock B-T to B-LTA. It is
a certification signature (ISO 32000-2 clause 12.8.2.2, DocMDP) that allows filling form fields and signing, nothing
else; the only field left to fill is the reviewer's, made beforehand. The visible mark is drawn by reportlab, its fonts
embedded, and says the name, the credential as the signer's own statement, the time and the report's number.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime
from io import BytesIO
from pathlib import Path

from asn1crypto import keys as asn1_keys
from asn1crypto import x509 as asn1_x509
from cryptography import x509
from cryptography.hazmat.primitives.serialization import Encoding, NoEncryption, PrivateFormat
from pyhanko.pdf_utils import embed
from pyhanko.pdf_utils.content import PdfContent
from pyhanko.pdf_utils.generic import pdf_name
from pyhanko.pdf_utils.incremental_writer import IncrementalPdfFileWriter
from pyhanko.pdf_utils.layout import AxisAlignment, BoxConstraints, Margins, SimpleBoxLayoutRule
from pyhanko.pdf_utils.misc import PdfError
from pyhanko.pdf_utils.reader import PdfFileReader
from pyhanko.pdf_utils.writer import BasePdfFileWriter
from pyhanko.sign.fields import MDPPerm, SigFieldSpec, SigSeedSubFilter, append_signature_field, enumerate_sig_fields
from pyhanko.sign.general import SigningError
from pyhanko.sign.signers import PdfSignatureMetadata, PdfSigner, Signer, SimpleSigner
from pyhanko.sign.signers.pdf_signer import PdfSigningSession
from pyhanko.sign.timestamps import TimestampRequestError
from pyhanko.stamp import StaticStampStyle
from pyhanko_certvalidator.errors import PathError
from pyhanko_certvalidator.registry import SimpleCertificateStore
from reportlab.pdfbase.pdfmetrics import stringWidth
from reportlab.pdfgen.canvas import Canvas

from engcalc.case.file import read_whole, write_whole
from engcalc.errors import FileFault, InputError, InputFault
from engcalc.words.texts import report_texts
from reports import fonts
from reports.identity import Identity, usable_at
from reports.lasting import Timestamping, no_timestamp, not_checked, signing_words
from reports.tagged_fields import enter_in_tree
from reports.token import TokenKey, signer_on_token
from reports.verification import AUTHOR_FIELD, REVIEWER_FIELD, VerifyAnswer
from reports.verifying import CASE_NAME, LARGEST_FILE, verify_report

DIGEST = "sha256"
SUBJECT = "Report "  # before a report's number in its file


@dataclass(frozen=True)
class PageBox:
    """A box on a page: ``page`` counts from 0 (-1 is the last), ``box`` is left, bottom, right, top in points."""

    page: int
    box: tuple[float, float, float, float]


@dataclass(frozen=True)
class Stamp:
    """The visible mark: where it goes and which report it names.

    ``credential`` serves an identity whose certificate carries none; it is marked as stated by the signer either way.
    """

    place: PageBox
    report_id: str
    credential: str = ""


@dataclass(frozen=True)
class Particulars:
    """What a signature says beside who and when; an empty text is left out. ``stamping`` makes it last (B-T and on)."""

    reason: str = ""
    location: str = ""
    stamping: Timestamping | None = None


def attach_case(pdf: bytes, case_bytes: bytes, name: str = CASE_NAME) -> bytes:
    """``pdf`` with the case embedded as an associated file, its source (ISO 32000-2 clauses 7.11.4 and 14.13).

    To be done before signing. Raises FileFault when ``pdf`` cannot be read.
    """
    writer = _writer(pdf)
    stream = embed.EmbeddedFileObject.from_file_data(
        writer, case_bytes, mime_type="application/json", params=embed.EmbeddedFileParams()
    )
    spec = embed.FileSpec(
        file_spec_string=name,
        file_name=name,
        embedded_data=stream,
        description=report_texts.CASE_EVERY_INPUT_OF_THIS_REPORT,
        af_relationship=pdf_name("/Source"),
    )
    embed.embed_file(writer, spec)
    return _written(writer)


@dataclass(frozen=True)
class CarriedFile:
    """A file that the numbers of a report rest on: its name as the case says it, and its bytes."""

    name: str
    data: bytes


def attach_files(pdf: bytes, files: Sequence[CarriedFile]) -> bytes:
    """``pdf`` with logs and tables embedded beside the case, so that its numbers can be run again elsewhere.

    To be done before signing. Raises FileFault when ``pdf`` cannot be read.
    """
    if not files:
        return pdf
    writer = _writer(pdf)
    for file in files:
        stream = embed.EmbeddedFileObject.from_file_data(
            writer, file.data, mime_type="text/csv", params=embed.EmbeddedFileParams()
        )
        spec = embed.FileSpec(
            file_spec_string=file.name,
            file_name=file.name,
            embedded_data=stream,
            description=report_texts.LOG_OR_TABLE_THAT_THE_CASE_NAMES,
            af_relationship=pdf_name("/Data"),
        )
        embed.embed_file(writer, spec)
    return _written(writer)


def sign_report(
    unsigned: bytes,
    identity: Identity,
    stamp: Stamp,
    now: datetime,
    *,
    reviewer: PageBox | None = None,
    particulars: Particulars = Particulars(),
) -> bytes:
    """``unsigned`` certified by ``identity``; with ``reviewer``, an empty field there for a second signature.

    ``now`` carries its time zone and becomes the stated time. Raises InputError when the identity cannot sign at
    ``now``, FileFault when ``unsigned`` cannot be read or is signed already.
    """
    must_be_usable(identity, now)
    writer = _writer(unsigned)
    if next(enumerate_sig_fields(writer.prev, filled_status=True), None) is not None:
        raise FileFault("", report_texts.THIS_REPORT_IS_SIGNED_ALREADY)
    _add_field(writer, AUTHOR_FIELD, stamp.place, "Author's signature")
    if reviewer is not None:
        _add_field(writer, REVIEWER_FIELD, reviewer, "Reviewer's signature")
    mark = _mark("Signed by", identity, stamp, now)
    metadata = _metadata(AUTHOR_FIELD, particulars, identity, now, certify=True)
    with signer_with(identity) as signer:
        return _signed(writer, _Clocked(now, metadata, signer), mark, particulars)


def countersign(
    signed: bytes,
    identity: Identity,
    report_id: str,
    now: datetime,
    *,
    credential: str = "",
    particulars: Particulars = Particulars(),
) -> bytes:
    """``signed`` with the reviewer's field filled; the author's signature stays as it is.

    Raises InputError when the identity cannot sign at ``now``, FileFault when the report is not intact (nobody should
    put their name under a broken one) or has no empty reviewer's field.
    """
    must_be_usable(identity, now)
    found = verify_report(signed)
    if found.outcome is not VerifyAnswer.PASSED:
        raise FileFault("", report_texts.ONLY_AN_INTACT_SIGNED_REPORT_CAN.format(problem=found.problem))
    stamp = Stamp(_reviewer_place(signed), report_id, credential)
    mark = _mark("Reviewed by", identity, stamp, now)
    metadata = _metadata(REVIEWER_FIELD, particulars, identity, now, certify=False)
    with signer_with(identity) as signer:
        return _signed(_writer(signed), _Clocked(now, metadata, signer), mark, particulars)


def countersign_file(report: Path, to: Path, identity: Identity, now: datetime) -> str:
    """Countersign the report in a file, write it to another and return the SHA-256 of what was written.

    Raises InputError and FileFault as :func:`countersign`, and FileFault where the report cannot be read or the place
    not be written to.
    """
    signed = read_whole(report, "a report", LARGEST_FILE)
    return write_signed(to, countersign(signed, identity, report_id_of(signed), now))


def report_id_of(pdf: bytes) -> str:
    """The number of a report made here, as its subject tells it; empty where there is none."""
    try:
        info = PdfFileReader(BytesIO(pdf)).trailer["/Info"]
        return str(info["/Subject"]).removeprefix(SUBJECT)
    except (PdfError, ValueError, KeyError, IndexError, TypeError):
        return ""


def write_signed(path: Path, signed: bytes) -> str:
    """Write a signed report by way of a file beside ``path`` and return the SHA-256 of what was written.

    Raises FileFault when the place cannot be written to; what stood there before is then untouched.
    """
    write_whole(path, signed)
    return hashlib.sha256(signed).hexdigest()


# ---- the signature ---------------------------------------------------------------------------------------------------


class _Clocked(PdfSigner):
    """A signer whose stated time is handed to it: nothing here reads the clock."""

    def __init__(self, now: datetime, metadata: PdfSignatureMetadata, signer: Signer) -> None:
        self.now = now.astimezone(UTC).replace(microsecond=0)
        super().__init__(metadata, signer)

    def init_signing_session(self, pdf_out: BasePdfFileWriter, existing_fields_only: bool = False) -> PdfSigningSession:
        session = super().init_signing_session(pdf_out, existing_fields_only)
        session.system_time = self.now
        return session


def must_be_usable(identity: Identity, now: datetime) -> None:
    """InputError unless ``now`` has its time zone and the identity may sign at it."""
    if now.tzinfo is None:
        raise InputError((InputFault("now", now.isoformat(), report_texts.TIME_WITH_ITS_TIME_ZONE_IS_WANTED),))
    faults = usable_at(identity, now)
    if faults:
        raise InputError(faults)


def _metadata(
    field: str, particulars: Particulars, identity: Identity, now: datetime, *, certify: bool
) -> PdfSignatureMetadata:
    return PdfSignatureMetadata(
        field_name=field,
        md_algorithm=DIGEST,
        reason=particulars.reason or None,
        location=particulars.location or None,
        certify=certify,
        subfilter=SigSeedSubFilter.PADES,
        docmdp_permissions=MDPPerm.FILL_FORMS,
        **signing_words(particulars.stamping, identity, now),
    )


@contextmanager
def signer_with(identity: Identity) -> Iterator[Signer]:
    """What signs with an identity, its chain beside it, while it can: a token is let go of at the end.

    InputError where a token does not sign.
    """
    certificate, chain = _asn1(identity.certificate), [_asn1(one) for one in identity.chain]
    if isinstance(identity.key, TokenKey):
        with signer_on_token(identity.key, certificate, chain) as signer:
            yield signer
        return
    key = identity.key.private_bytes(Encoding.DER, PrivateFormat.PKCS8, NoEncryption())
    store = SimpleCertificateStore()  # type: ignore[no-untyped-call]  # its __init__ has no annotation
    store.register_multiple(chain)
    yield SimpleSigner(signing_cert=certificate, signing_key=asn1_keys.PrivateKeyInfo.load(key), cert_registry=store)


def _asn1(certificate: x509.Certificate) -> asn1_x509.Certificate:
    return asn1_x509.Certificate.load(certificate.public_bytes(Encoding.DER))


def _signed(writer: IncrementalPdfFileWriter, signer: _Clocked, mark: bytes, particulars: Particulars) -> bytes:
    """The writer's document with the field that ``signer`` names filled; the field exists already.

    InputError where a clock does not answer, or a certificate cannot be checked for a signature that is to last.
    """
    signer.stamp_style = _style(mark)
    stamping = particulars.stamping
    signer.default_timestamper = None if stamping is None else stamping.clock
    output = BytesIO()
    try:
        signer.sign_pdf(writer, existing_fields_only=True, output=output)
    except TimestampRequestError as fault:
        raise no_timestamp(fault) from fault
    except (SigningError, PathError) as fault:
        if stamping is None:
            raise
        raise not_checked(fault) from fault
    return output.getvalue()


def _add_field(writer: IncrementalPdfFileWriter, name: str, place: PageBox, words: str) -> None:
    """An empty field there, in the structure tree too."""
    left, bottom, right, top = (round(edge) for edge in place.box)
    spec = SigFieldSpec(name, on_page=place.page, box=(left, bottom, right, top), readable_field_name=words)
    append_signature_field(writer, spec)
    enter_in_tree(writer, name, words)


def _reviewer_place(signed: bytes) -> PageBox:
    """The reviewer's empty field; only the size of its box matters from here on."""
    empty = enumerate_sig_fields(PdfFileReader(BytesIO(signed)), filled_status=False, with_name=REVIEWER_FIELD)
    found = next(empty, None)
    if found is None:
        raise FileFault("", report_texts.THIS_REPORT_HAS_NO_EMPTY_FIELD)
    left, bottom, right, top = (float(edge) for edge in found[2].get_object()["/Rect"])
    return PageBox(0, (left, bottom, right, top))


def _writer(pdf: bytes) -> IncrementalPdfFileWriter:
    try:
        return IncrementalPdfFileWriter(BytesIO(pdf))
    except (PdfError, ValueError, KeyError, IndexError, TypeError) as fault:
        raise FileFault("", report_texts.THIS_PDF_CANNOT_BE_READ) from fault


def _written(writer: IncrementalPdfFileWriter) -> bytes:
    output = BytesIO()
    writer.write(output)  # type: ignore[no-untyped-call]  # the library leaves it bare
    return output.getvalue()


# ---- the visible mark ------------------------------------------------------------------------------------------------


class _DrawnPage(PdfContent):
    """One page drawn by reportlab, as the content of a stamp."""

    def __init__(self, pdf: bytes) -> None:
        self.pdf = pdf
        super().__init__()

    def render(self) -> bytes:
        page = self._ensure_writer.import_page_as_xobject(PdfFileReader(BytesIO(self.pdf)))
        self.resources.xobject[pdf_name("/Mark")] = page
        left, bottom, right, top = page.get_object()["/BBox"]
        self.box = BoxConstraints(width=right - left, height=top - bottom)
        return b"/Mark Do"


def _style(mark: bytes) -> StaticStampStyle:
    middle = AxisAlignment.ALIGN_MID
    fill = SimpleBoxLayoutRule(x_align=middle, y_align=middle, margins=Margins())
    return StaticStampStyle(background=_DrawnPage(mark), background_layout=fill, border_width=0)


def _mark(heading: str, identity: Identity, stamp: Stamp, now: datetime) -> bytes:
    """A one-page PDF the size of the stamp's box, with the words of the mark."""
    left, bottom, right, top = stamp.place.box
    width, height = right - left, top - bottom
    fonts.register()
    buffer = BytesIO()
    canvas = Canvas(buffer, pagesize=(width, height), invariant=1)
    canvas.setLineWidth(0.5)
    canvas.rect(0.25, 0.25, width - 0.5, height - 0.5)
    _write_lines(canvas, _lines(heading, identity, stamp, now), width, height)
    canvas.save()
    return buffer.getvalue()


def _lines(heading: str, identity: Identity, stamp: Stamp, now: datetime) -> list[tuple[str, str]]:
    """Each line with its font; the name stands out."""
    credential = identity.credential or stamp.credential
    lines = [(fonts.REGULAR, heading), (fonts.BOLD, identity.name)]
    if credential:
        lines.append((fonts.REGULAR, f"{credential} ({report_texts.STATED_BY_THE_SIGNER})"))
    lines.append((fonts.REGULAR, f"{now.astimezone(UTC):%Y-%m-%d %H:%M} UTC   Report {stamp.report_id}"))
    return lines


def _write_lines(canvas: Canvas, lines: Sequence[tuple[str, str]], width: float, height: float) -> None:
    """Lines from top to bottom, evenly spaced, each as large as its share of the box and its length allow."""
    inset = 4.0  # pt, clear of the frame
    step = (height - 2 * inset) / len(lines)
    for row, (font, text) in enumerate(lines):
        size = min(10.0, step / 1.25, (width - 2 * inset) / max(stringWidth(text, font, 1.0), 1e-9))
        canvas.setFont(font, size)
        canvas.drawString(inset, height - inset - row * step - 0.95 * size, text)
