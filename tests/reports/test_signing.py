"""Signing, countersigning and attaching, judged by poppler's pdfsig, qpdf (pikepdf) and pdfium: programs of others."""

from __future__ import annotations

import re
import shutil
import subprocess
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pikepdf
import pypdfium2
import pytest
from cryptography import x509
from cryptography.hazmat.primitives.asymmetric import rsa
from poppler import pdfsig
from pyhanko.sign.timestamps import DummyTimeStamper

from engcalc.errors import FileFault, InputError
from engcalc.words.texts import report_texts
from reports.identity import Identity
from reports.lasting import Timestamping
from reports.signing import PageBox, Particulars, Stamp, attach_case, countersign, sign_report, write_signed
from reports.verification import VerifyAnswer
from reports.verifying import CASE_NAME, verify_report

REVIEWER_PLACE = PageBox(-1, (300, 60, 530, 130))


def blocks(told: str) -> dict[str, str]:
    """What pdfsig says of each field."""
    parts = re.split(r"Signature #\d+:", told)[1:]
    return {match[1]: part for part in parts if (match := re.search(r"Field Name: (\S+)", part))}


def kept(tmp_path: Path, data: bytes) -> Path:
    path = tmp_path / "report.pdf"
    path.write_bytes(data)
    return path


@pytest.fixture(scope="module")
def countersigned(signed: bytes, reviewer: Identity, moment: datetime) -> bytes:
    return countersign(signed, reviewer, "HD-2026-0007", moment + timedelta(hours=5))


def test_poppler_finds_a_valid_pades_signature_over_the_whole_file(tmp_path: Path, signed: bytes) -> None:
    told = blocks(pdfsig(kept(tmp_path, signed)))
    assert "Signature is Valid" in told["Author"]
    assert "Total document signed" in told["Author"]
    assert "Signature Type: ETSI.CAdES.detached" in told["Author"]
    assert "Signing Hash Algorithm: SHA-256" in told["Author"]
    assert "Common Name: Åsa Lindqvist" in told["Author"]
    assert 'title="Master technician, licence 1234"' in told["Author"]
    assert "not signed" in told["Reviewer"]


def test_the_stated_time_is_the_one_handed_in(tmp_path: Path, signed: bytes, moment: datetime) -> None:
    """pdfsig prints local time; the suite runs in whatever zone, so the signature dictionary is read with qpdf."""
    with pikepdf.open(kept(tmp_path, signed)) as pdf:
        stated = str(_field(pdf, "Author").V.M)
    assert datetime.strptime(stated.replace("Z", "+0000").replace("'", ""), "D:%Y%m%d%H%M%S%z") == moment


def test_it_is_certified_for_form_filling_only(tmp_path: Path, signed: bytes) -> None:
    """ISO 32000-2 clause 12.8.2.2 (table from memory): DocMDP, P 2 permits filling in forms and signing."""
    with pikepdf.open(kept(tmp_path, signed)) as pdf:
        reference = _field(pdf, "Author").V.Reference[0]
        assert pdf.Root.Perms.DocMDP.Contents == _field(pdf, "Author").V.Contents
        assert (reference.TransformMethod, int(reference.TransformParams.P)) == ("/DocMDP", 2)
        assert pdf.check_pdf_syntax() == []


def test_a_reviewer_signs_beneath_and_both_hold(tmp_path: Path, countersigned: bytes) -> None:
    told = blocks(pdfsig(kept(tmp_path, countersigned)))
    assert "Signature is Valid" in told["Author"]
    assert "Signature is Valid" in told["Reviewer"]
    assert "Not total document signed" in told["Author"]
    assert "- Total document signed" in told["Reviewer"]
    found = verify_report(countersigned)
    assert found.outcome is VerifyAnswer.PASSED
    assert [(one.field, one.signer, one.certified) for one in found.signatures] == [
        ("Author", "Åsa Lindqvist", True),
        ("Reviewer", "Jürgen Maß", False),
    ]
    assert found.author is not None
    assert found.author.later_changes == "the signature in the field “Reviewer”"
    assert found.reviewer is not None
    assert found.reviewer.later_changes == ""


def test_the_author_s_bytes_are_untouched_by_the_reviewer(signed: bytes, countersigned: bytes) -> None:
    assert countersigned.startswith(signed)


def test_the_marks_are_seen_on_the_page(countersigned: bytes) -> None:
    """Read by pdfium after flattening the two fields into the page."""
    text = _last_page_text(countersigned)
    for words in ("Signed by", "Åsa Lindqvist", "Reviewed by", "Jürgen Maß", "HD-2026-0007", "2026-03-02 09:30 UTC"):
        assert words in text
    assert f"Master technician, licence 1234 ({report_texts.STATED_BY_THE_SIGNER})" in text
    assert f"Chartered engineer ({report_texts.STATED_BY_THE_SIGNER})" in text


def test_every_font_is_embedded(tmp_path: Path, countersigned: bytes) -> None:
    program = shutil.which("pdffonts")
    if program is None:
        pytest.skip("pdffonts (poppler-utils) is not installed")
    command = [program, str(kept(tmp_path, countersigned))]
    rows = subprocess.run(command, capture_output=True, text=True, check=True).stdout.splitlines()[2:]
    assert rows
    for row in rows:
        assert row.split()[-5] == "yes", row


def test_the_case_comes_back_byte_for_byte_by_another_reader(
    tmp_path: Path, countersigned: bytes, case_bytes: bytes
) -> None:
    with pikepdf.open(kept(tmp_path, countersigned)) as pdf:
        assert list(pdf.attachments) == [CASE_NAME]
        assert pdf.attachments[CASE_NAME].get_file().read_bytes() == case_bytes
        assert pdf.Root.AF[0].AFRelationship == "/Source"  # ISO 32000-2 clause 7.11.3
        assert pdf.attachments[CASE_NAME].get_file().mime_type == "application/json"


def test_an_rsa_identity_and_a_chain_sign_too(
    tmp_path: Path, unsigned: bytes, stamp: Stamp, moment: datetime, authority: Any
) -> None:
    leaf = authority.issue("Ines Roca", rsa.generate_private_key(65537, 2048), starts=moment)
    named = replace(stamp, credential="Instructor")
    signed = sign_report(unsigned, leaf, named, moment)
    told = blocks(pdfsig(kept(tmp_path, signed)))
    assert "Signature is Valid" in told["Author"]
    assert "Total document signed" in told["Author"]
    assert f"Instructor ({report_texts.STATED_BY_THE_SIGNER})" in _last_page_text(signed)
    found = verify_report(signed)
    assert found.author is not None
    assert (found.author.algorithm, found.author.self_issued) == ("RSA 2048, SHA-256", False)


def test_reason_and_place_are_carried(
    tmp_path: Path, unsigned: bytes, author: Identity, stamp: Stamp, moment: datetime
) -> None:
    signed = sign_report(
        unsigned, author, stamp, moment, particulars=Particulars(reason="I made this", location="Bay 3")
    )
    told = pdfsig(kept(tmp_path, signed))
    assert "Signature is Valid" in told
    found = verify_report(signed).author
    assert found is not None
    assert (found.reason, found.location) == ("I made this", "Bay 3")


def test_a_timestamp_attests_the_time(
    unsigned: bytes, author: Identity, stamp: Stamp, moment: datetime, timestamp_authority: tuple[object, object]
) -> None:
    """PAdES B-T with a timestamp authority of the tests' own, two minutes after the stated time."""
    certificate, key = timestamp_authority
    stamper = DummyTimeStamper(certificate, key, fixed_dt=moment + timedelta(minutes=2))
    signed = sign_report(unsigned, author, stamp, moment, particulars=Particulars(stamping=Timestamping(stamper)))
    unknown = verify_report(signed).author
    assert unknown is not None
    assert (unknown.intact, unknown.time_attested) == (VerifyAnswer.PASSED, VerifyAnswer.UNDETERMINED)
    root = x509.load_der_x509_certificate(certificate.dump())
    known = verify_report(signed, timestamp_roots=(root,)).author
    assert known is not None
    assert known.time_attested is VerifyAnswer.PASSED
    assert known.signed_at == moment + timedelta(minutes=2)
    end = len(signed[: int(re.search(rb"/ByteRange \[0 \d+ (\d+)", signed)[1]) - 1].rstrip(b"0"))
    forged = signed[: end - 9] + (b"1" if signed[end - 9 : end - 8] != b"1" else b"2") + signed[end - 8 :]
    assert "its timestamp is damaged or forged" in verify_report(forged, timestamp_roots=(root,)).problem


def test_an_identity_signs_only_while_it_holds(unsigned: bytes, author: Identity, stamp: Stamp) -> None:
    with pytest.raises(InputError, match="expired"):
        sign_report(unsigned, author, stamp, author.not_after + timedelta(days=1))
    with pytest.raises(InputError, match="not valid yet"):
        sign_report(unsigned, author, stamp, author.not_before - timedelta(days=1))
    with pytest.raises(InputError, match="time zone"):
        sign_report(unsigned, author, stamp, datetime(2026, 3, 2))
    with pytest.raises(InputError, match="expired"):
        countersign(unsigned, author, "HD", author.not_after + timedelta(days=1))


def test_what_cannot_be_signed(
    unsigned: bytes, signed: bytes, author: Identity, stamp: Stamp, moment: datetime
) -> None:
    with pytest.raises(FileFault, match="cannot be read"):
        sign_report(b"not a PDF", author, stamp, moment)
    with pytest.raises(FileFault, match="cannot be read"):
        attach_case(unsigned[: len(unsigned) // 2], b"{}")
    with pytest.raises(FileFault, match="signed already"):
        sign_report(signed, author, stamp, moment)


def test_what_cannot_be_countersigned(
    unsigned: bytes, countersigned: bytes, signed: bytes, reviewer: Identity, stamp: Stamp, moment: datetime
) -> None:
    later = moment + timedelta(days=1)
    with pytest.raises(FileFault, match="only an intact signed report"):
        countersign(unsigned, reviewer, "HD", later)
    broken = signed.replace(b"%PDF-", b"%PDF+", 1)
    with pytest.raises(FileFault, match="only an intact signed report"):
        countersign(broken, reviewer, "HD", later)
    with pytest.raises(FileFault, match="no empty field"):
        countersign(countersigned, reviewer, "HD", later)
    alone = sign_report(unsigned, reviewer, stamp, moment)
    with pytest.raises(FileFault, match="no empty field"):
        countersign(alone, reviewer, "HD", later)


def test_writing_is_whole_or_not_at_all(tmp_path: Path, signed: bytes) -> None:
    path = tmp_path / "r.pdf"
    path.write_bytes(b"the old one")
    assert write_signed(path, signed) == verify_report(path.read_bytes()).sha256
    with pytest.raises(FileFault, match="cannot be written"):
        write_signed(tmp_path / "none" / "r.pdf", signed)
    (tmp_path / "folder").mkdir()
    with pytest.raises(FileFault, match="cannot be written"):
        write_signed(tmp_path / "folder", signed)
    assert sorted(entry.name for entry in tmp_path.iterdir()) == ["folder", "r.pdf"]


def test_signing_does_not_read_the_clock(unsigned: bytes, author: Identity, stamp: Stamp, moment: datetime) -> None:
    """A report signed as of 2027 says 2027, though no clock does."""
    then = datetime(2027, 7, 1, 12, 0, tzinfo=UTC)
    assert then > moment
    found = verify_report(sign_report(unsigned, author, stamp, then)).author
    assert found is not None
    assert found.signed_at == then


@pytest.fixture(scope="module")
def timestamp_authority(moment: datetime) -> tuple[object, object]:
    """A self-issued RSA timestamp authority (pyHanko's test one signs with RSA only)."""
    from asn1crypto import keys as asn1_keys
    from asn1crypto import x509 as asn1_x509
    from cryptography.hazmat.primitives import hashes
    from cryptography.hazmat.primitives.serialization import Encoding, NoEncryption, PrivateFormat

    key = rsa.generate_private_key(65537, 2048)
    subject = x509.Name([x509.NameAttribute(x509.NameOID.COMMON_NAME, "Test clock")])
    certificate = (
        x509.CertificateBuilder()
        .subject_name(subject)
        .issuer_name(subject)
        .public_key(key.public_key())
        .serial_number(5)
        .not_valid_before(moment - timedelta(days=9))
        .not_valid_after(moment + timedelta(days=9))
        .add_extension(x509.ExtendedKeyUsage([x509.ExtendedKeyUsageOID.TIME_STAMPING]), critical=True)
        .sign(key, hashes.SHA256())
    )
    plain = key.private_bytes(Encoding.DER, PrivateFormat.PKCS8, NoEncryption())
    return asn1_x509.Certificate.load(certificate.public_bytes(Encoding.DER)), asn1_keys.PrivateKeyInfo.load(plain)


def _field(pdf: pikepdf.Pdf, name: str) -> pikepdf.Object:
    return next(field for field in pdf.Root.AcroForm.Fields if str(field.T) == name)


def _last_page_text(data: bytes) -> str:
    document = pypdfium2.PdfDocument(data)
    document.init_forms()
    try:
        page = document[len(document) - 1]
        page.flatten()
        page.close()
        page = document[len(document) - 1]
        reader = page.get_textpage()
        try:
            return str(reader.get_text_bounded())
        finally:
            reader.close()
            page.close()
    finally:
        document.close()
