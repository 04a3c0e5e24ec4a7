"""Any change to a signed report is found, by poppler's pdfsig as well; hostile files get words, never a traceback."""

from __future__ import annotations

import hashlib
import random
import re
import zlib
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from datetime import datetime, timedelta
from functools import cache
from io import BytesIO
from pathlib import Path
from typing import Any

import pikepdf
import pytest
from cryptography import x509
from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.asymmetric import ec, rsa
from cryptography.x509.oid import NameOID
from poppler import accepts
from pyhanko.pdf_utils.generic import pdf_string
from pyhanko.pdf_utils.incremental_writer import IncrementalPdfFileWriter
from pyhanko.sign.fields import SigFieldSpec, SigSeedValFlags, SigSeedValueSpec, enumerate_sig_fields
from pyhanko.sign.signers import PdfSignatureMetadata, PdfSigner, SimpleSigner

from engcalc.words.page.paper_words import HOW_TO_CHECK
from reports.identity import Identity
from reports.signing import PageBox, Stamp, countersign, sign_report
from reports.verification import Coverage, VerifyAnswer
from reports.verifying import LARGEST_FILE, verify_report

SEED = 20260302  # of the sampled positions
FLIPS = 200


def container(data: bytes) -> tuple[int, int]:
    """Where the signature container begins and ends: the gap between the two signed ranges."""
    found = re.search(rb"/ByteRange \[0 (\d+) (\d+) \d+", data)
    assert found is not None
    return int(found[1]), int(found[2])


def flipped(data: bytes, position: int, bit: int = 0) -> bytes:
    return data[:position] + bytes([data[position] ^ (1 << bit)]) + data[position + 1 :]


def test_an_intact_report_says_who_when_and_how(signed: bytes, author: Identity, moment: datetime) -> None:
    found = verify_report(signed)
    assert (found.outcome, found.signed, found.intact, found.covers_whole_file) == (
        VerifyAnswer.PASSED,
        True,
        True,
        True,
    )
    assert found.sha256 == hashlib.sha256(signed).hexdigest()
    one = found.author
    assert one is not None
    assert (one.signer, one.credential) == ("Åsa Lindqvist", "Master technician, licence 1234")
    assert (one.signed_at, one.algorithm, one.certified) == (moment, "ECDSA P-256, SHA-256", True)
    assert (one.coverage, one.later_changes, one.problem) == (Coverage.WHOLE_FILE, "", "")
    assert one.fingerprint == author.fingerprint
    assert found.reviewer is None
    text = "\n".join(found.summary)
    for words in ("Intact: nothing was changed", "stated by the signer", "not vouched for by others", HOW_TO_CHECK):
        assert words in text


def test_the_case_comes_back_byte_for_byte(signed: bytes, case_bytes: bytes) -> None:
    found = verify_report(signed)
    assert found.case_bytes == case_bytes
    assert found.case_sha256 == hashlib.sha256(case_bytes).hexdigest()


def test_any_flipped_bit_in_the_signed_ranges_is_found(tmp_path: Path, signed: bytes) -> None:
    """Sampled over both ranges, and every tenth byte of the tail after the container (structure: xref, trailer)."""
    first, resume = container(signed)
    draw = random.Random(SEED)
    positions = [draw.randrange(first) for _ in range(FLIPS)] + list(range(resume, len(signed), 10))
    path = tmp_path / "r.pdf"
    path.write_bytes(signed)
    assert accepts(path)

    bits = {position: draw.randrange(8) for position in positions}

    def judged(position: int) -> tuple[bool, bool]:
        data = flipped(signed, position, bits[position])
        copy = tmp_path / f"{position}.pdf"
        copy.write_bytes(data)
        found = verify_report(data)
        return found.outcome is VerifyAnswer.FAILED and found.intact is False, accepts(copy)

    with ThreadPoolExecutor(2) as pool:
        told = dict(zip(positions, pool.map(judged, positions), strict=True))
    assert [position for position, (broken, _) in told.items() if not broken] == []
    assert [position for position, (_, accepted) in told.items() if accepted] == []


def test_a_tampered_container_is_found(signed: bytes) -> None:
    """Certificate, signed attributes and signature value, the last bytes before the padding among them."""
    first, resume = container(signed)
    used = len(signed[first:resume].rstrip(b">").rstrip(b"0"))
    author_name = signed.lower().index("Åsa".encode().hex().encode(), first)
    for position in (first + 1, first + 9, author_name, first + used - 2, first + used - 90):
        digit = signed[position : position + 1]
        data = signed[:position] + (b"1" if digit != b"1" else b"2") + signed[position + 1 :]
        found = verify_report(data)
        assert (found.outcome, found.intact) == (VerifyAnswer.FAILED, False), position


def test_nothing_hides_in_the_padding_of_the_container(signed: bytes) -> None:
    """The library minds neither, since no signature covers the gap; here it must hold the signature and zeros."""
    _, resume = container(signed)
    assert signed[resume - 41 : resume] == b"0" * 40 + b">"
    for hidden in (b"hidden words".hex().encode(), b" " * 24, b"0" * 23 + b"1"):
        data = signed[: resume - 25] + hidden + signed[resume - 1 :]
        assert len(data) == len(signed)
        found = verify_report(data)
        assert (found.outcome, found.intact) == (VerifyAnswer.FAILED, False), hidden


def test_a_signature_does_not_move_to_another_report(unsigned: bytes, author: Identity, moment: datetime) -> None:
    """Two reports by the same hand at the same time; one gets the other's container."""
    place = PageBox(0, (60, 60, 290, 130))
    one, other = (sign_report(unsigned, author, Stamp(place, name), moment) for name in ("HD-1", "HD-2"))
    first, resume = container(one)
    start, end = container(other)
    room = resume - first - 2  # digits between < and >, the last of them padding
    assert verify_report(one).outcome is verify_report(other).outcome is VerifyAnswer.PASSED
    moved = other[start + 1 : end - 1][:room].ljust(room, b"0")
    found = verify_report(one[: first + 1] + moved + one[resume - 1 :])
    assert (found.outcome, found.intact) == (VerifyAnswer.FAILED, False)
    assert "changed after it was signed" in found.problem


def test_an_appended_change_is_found(signed: bytes) -> None:
    """Another title by incremental update: the signed bytes stay, the document does not."""
    writer = IncrementalPdfFileWriter(BytesIO(signed))
    writer.root["/Lang"] = pdf_string("sv")
    writer.update_root()
    changed = written(writer)
    assert changed.startswith(signed)
    found = verify_report(changed)
    assert (found.outcome, found.intact, found.covers_whole_file) == (VerifyAnswer.FAILED, False, False)
    assert "did not allow" in found.problem


def test_a_signature_written_anew_by_a_later_update_is_found(signed: bytes) -> None:
    """The object is the same, but the table that finds it lies outside of what it signs."""
    writer = IncrementalPdfFileWriter(BytesIO(signed))
    field = next(enumerate_sig_fields(writer, filled_status=True))[2].get_object()
    writer.mark_update(field.raw_get("/V"))
    found = verify_report(written(writer))
    assert (found.outcome, found.intact) == (VerifyAnswer.FAILED, False)


def test_conditions_set_for_a_field_are_kept(unsigned: bytes, author: Identity) -> None:
    """ISO 32000-2 clause 12.7.5.5: seed values; here the only reason allowed is not the one given."""
    wish = SigSeedValueSpec(flags=SigSeedValFlags.REASONS, reasons=["checked"])
    spec = SigFieldSpec("Author", seed_value_dict=wish)
    metadata = PdfSignatureMetadata(field_name="Author", md_algorithm="sha256", reason="because")
    signer = PdfSigner(metadata, asn1_signer(author), new_field_spec=spec)
    signer._ignore_sv = True
    output = BytesIO()
    signer.sign_pdf(IncrementalPdfFileWriter(BytesIO(unsigned)), output=output)
    assert "breaks the conditions set for its field" in verify_report(output.getvalue()).problem


def test_an_appended_page_is_found(signed: bytes) -> None:
    writer = IncrementalPdfFileWriter(BytesIO(signed))
    pages = writer.root["/Pages"]
    pages["/Kids"].append(pages["/Kids"].raw_get(0))
    pages["/Count"] = type(pages["/Count"])(4)
    writer.update_container(pages)
    assert verify_report(written(writer)).outcome is VerifyAnswer.FAILED


def test_a_replaced_case_is_found(signed: bytes) -> None:
    writer = IncrementalPdfFileWriter(BytesIO(signed))
    spec = writer.root["/Names"]["/EmbeddedFiles"]["/Names"][1]
    stream = spec["/EF"]["/F"]
    stream._data = b'{"forged": 1}'  # the library offers no setter for a stream's content
    stream._encoded_data = None
    writer.mark_update(spec["/EF"].raw_get("/F"))
    changed = written(writer)
    found = verify_report(changed)
    assert (found.outcome, found.case_bytes) == (VerifyAnswer.FAILED, b'{"forged": 1}')


def test_a_picture_painted_into_the_empty_reviewer_s_field_is_no_pass(signed: bytes, unsigned: bytes) -> None:
    """Form filling allows it, so the author's signature holds; but nobody signed it, so the report does not pass."""
    writer = IncrementalPdfFileWriter(BytesIO(signed))
    empty = next(enumerate_sig_fields(writer, filled_status=False))[2].get_object()
    full = next(enumerate_sig_fields(writer, filled_status=True))[2].get_object()
    empty["/AP"] = full["/AP"]
    writer.update_container(empty)
    found = verify_report(written(writer))
    assert found.outcome is not VerifyAnswer.PASSED
    assert found.intact is not True
    assert found.covers_whole_file is False


@pytest.mark.parametrize("tail", [b"\n", b"rubbish" * 20, b"%%EOF\n"])
def test_bytes_after_the_end_are_no_pass(signed: bytes, tail: bytes) -> None:
    found = verify_report(signed + tail)
    assert found.outcome is not VerifyAnswer.PASSED
    assert found.covers_whole_file is False
    assert "nobody signed" in found.problem or "cannot be read" in found.problem


def test_a_signature_in_a_field_of_the_signer_s_own_is_refused(signed: bytes, reviewer: Identity) -> None:
    """Its picture could hide what the author wrote; only the field the author made may be filled."""
    writer = IncrementalPdfFileWriter(BytesIO(signed))
    metadata = PdfSignatureMetadata(field_name="Overlay", md_algorithm="sha256")
    spec = SigFieldSpec("Overlay", on_page=0, box=(0, 0, 590, 800))
    output = BytesIO()
    PdfSigner(metadata, asn1_signer(reviewer), new_field_spec=spec).sign_pdf(writer, output=output)
    found = verify_report(output.getvalue())
    assert found.outcome is VerifyAnswer.FAILED
    assert "field that the first signer did not make" in found.problem


def test_a_resaved_report_is_broken(signed: bytes) -> None:
    buffer = BytesIO()
    with pikepdf.open(BytesIO(signed)) as pdf:
        pdf.save(buffer)
    assert verify_report(buffer.getvalue()).outcome is VerifyAnswer.FAILED


def test_a_broken_author_under_a_sound_reviewer_fails(signed: bytes, reviewer: Identity, moment: datetime) -> None:
    both = countersign(signed, reviewer, "HD", moment + timedelta(hours=1))
    title = both.index(b"/Title")
    found = verify_report(flipped(both, title + 1))
    assert found.outcome is VerifyAnswer.FAILED
    assert [one.intact for one in found.signatures] == [VerifyAnswer.FAILED, VerifyAnswer.FAILED]


def test_vouched_for_only_under_a_trusted_root(
    unsigned: bytes, stamp: Stamp, moment: datetime, authority: Any, author: Identity, signed: bytes
) -> None:
    leaf = authority.issue("Ines Roca", ec.generate_private_key(ec.SECP256R1()), starts=moment)
    root = authority.certificate
    data = sign_report(unsigned, leaf, stamp, moment)
    stranger, known = verify_report(data), verify_report(data, (root,))
    assert (stranger.outcome, known.outcome) == (VerifyAnswer.PASSED, VerifyAnswer.PASSED)
    assert stranger.author is not None
    assert known.author is not None
    assert (stranger.author.vouched, known.author.vouched) == (VerifyAnswer.UNDETERMINED, VerifyAnswer.PASSED)
    assert (known.author.issuer, known.author.self_issued) == ("Test root", False)
    assert "vouched for by an issuer you trust: “Test root”" in "\n".join(known.summary)
    assert "No issuer that you trust confirms the name" in "\n".join(stranger.summary)
    own = verify_report(signed, (root,)).author
    assert own is not None
    assert own.vouched is VerifyAnswer.UNDETERMINED
    checked = verify_report(signed, (author.certificate,)).author
    assert checked is not None
    assert checked.vouched is VerifyAnswer.PASSED


def test_a_chain_for_plain_digital_signature_is_vouched_for_too(
    unsigned: bytes, stamp: Stamp, moment: datetime, authority: Any
) -> None:
    """RFC 5280 section 4.2.1.3 leaves both usages open to signing; many authorities set only digitalSignature."""
    key = ec.generate_private_key(ec.SECP256R1())
    leaf = authority.issue("Ines Roca", key, starts=moment, non_repudiation=False)
    found = verify_report(sign_report(unsigned, leaf, stamp, moment), (authority.certificate,)).author
    assert found is not None
    assert (found.intact, found.vouched) == (VerifyAnswer.PASSED, VerifyAnswer.PASSED)


def test_a_digest_with_known_collisions_is_refused(unsigned: bytes, author: Identity) -> None:
    output = BytesIO()
    metadata = PdfSignatureMetadata(field_name="Author", md_algorithm="sha1")
    PdfSigner(metadata, asn1_signer(author)).sign_pdf(IncrementalPdfFileWriter(BytesIO(unsigned)), output=output)
    assert "too weak to rely on" in verify_report(output.getvalue()).problem


def test_a_short_rsa_key_is_refused(unsigned: bytes, moment: datetime) -> None:
    """1,024 bits: broken by anyone with the means; NIST SP 800-131A rev. 2 asks for 2,048 (from memory)."""
    key = rsa.generate_private_key(65537, 1024)
    name = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, "S. Short")])
    builder = x509.CertificateBuilder(name, name, key.public_key(), x509.random_serial_number())
    usage = x509.KeyUsage(True, True, False, False, False, False, False, False, False)
    certificate = (
        builder.not_valid_before(moment - timedelta(days=4000))
        .not_valid_after(moment + timedelta(days=4000))
        .add_extension(usage, critical=True)
        .sign(key, hashes.SHA256())
    )
    output = BytesIO()
    metadata = PdfSignatureMetadata(field_name="Author", md_algorithm="sha256")
    signer = PdfSigner(metadata, asn1_signer(Identity(key, certificate)))
    signer.sign_pdf(IncrementalPdfFileWriter(BytesIO(unsigned)), output=output)
    assert "too weak to rely on" in verify_report(output.getvalue()).problem


def test_an_impostor_has_the_name_but_not_the_fingerprint(
    unsigned: bytes, signed: bytes, stamp: Stamp, moment: datetime, author: Identity, impostor: Identity
) -> None:
    found = verify_report(sign_report(unsigned, impostor, stamp, moment)).author
    honest = verify_report(signed).author
    assert found is not None
    assert honest is not None
    assert found.signer == honest.signer == author.name
    assert found.fingerprint != honest.fingerprint


@pytest.fixture(scope="module")
def impostor(tmp_path_factory: pytest.TempPathFactory, moment: datetime) -> Identity:
    from reports.identity import make_identity

    path = tmp_path_factory.mktemp("impostor") / "x.p12"
    return make_identity(path, "Åsa Lindqvist", "Master technician, licence 1234", "long enough", moment)


def test_a_signature_beyond_what_its_certificate_allows_fails(  # time, then usage
    unsigned: bytes,
    stamp: Stamp,
    author: Identity,
    moment: datetime,
    authority: Any,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Signing refuses it, so the refusal is switched off to make such a report."""
    monkeypatch.setattr("reports.signing.usable_at", lambda *_: ())
    data = sign_report(unsigned, author, stamp, author.not_after + timedelta(days=1))
    assert "certificate was not valid at the stated time" in verify_report(data).problem
    root = Identity(authority.key, authority.certificate)
    data = sign_report(unsigned, root, stamp, moment)
    assert "certificate is not for signing" in verify_report(data).problem
    assert moment < author.not_after


@cache
def hostile() -> dict[str, Callable[[bytes], bytes]]:
    bomb = zlib.compress(zlib.compress(bytes(50_000_000), 9), 9)
    return {
        "empty": lambda _: b"",
        "text": lambda _: b"hello",
        "noise": lambda _: random.Random(SEED).randbytes(5000),
        "noise with a header": lambda _: b"%PDF-1.7\n" + random.Random(SEED).randbytes(5000),
        "header only": lambda _: b"%PDF-2.0\n",
        "half": lambda signed: signed[: len(signed) // 2],
        "without its end": lambda signed: signed[:-200],
        "one byte short": lambda signed: signed[:-1],
        "huge table": lambda _: skeleton([b"<</Type/Catalog>>"], table=b"xref\n0 999999999\n0000000000 65535 f \n"),
        "huge size": lambda _: skeleton([b"<</Type/Catalog>>"], trailer=b"<</Size 99999999999/Root 1 0 R>>"),
        "table that follows itself": lambda _: skeleton(
            [b"<</Type/Catalog>>"], trailer=b"<</Size 3/Root 1 0 R/Prev 42>>"
        ),
        "deep": lambda _: skeleton([b"<</Type/Catalog/X " + b"[" * 50_000 + b"]" * 50_000 + b">>"]),
        "root is itself": lambda _: skeleton([b"1 0 R"]),
        "form in a circle": lambda _: skeleton(
            [b"<</Type/Catalog/AcroForm<</Fields[2 0 R]>>>>", b"<</Kids[2 0 R]/T(a)>>"]
        ),
        "strange encryption": lambda _: skeleton(
            [b"<</Type/Catalog>>", b"<</Filter/Odd>>"], trailer=b"<</Size 3/Root 1 0 R/Encrypt 2 0 R>>"
        ),
        "bomb": lambda _: skeleton(
            [
                b"<</Type/Catalog/Names<</EmbeddedFiles<</Names[(case.heatcase.json)<</EF<</F 2 0 R>>>>]>>>>>>",
                b"<</Length %d/Filter[/FlateDecode/FlateDecode]>>stream\n" % len(bomb) + bomb + b"\nendstream",
            ]
        ),
        "no byte range": lambda signed: signed.replace(b"/ByteRange", b"/ByteRang3"),
        "range of letters": lambda signed: re.sub(rb"/ByteRange \[0 ", b"/ByteRange [(0)", signed),
        "range from elsewhere": lambda signed: re.sub(rb"/ByteRange \[0 ", b"/ByteRange [9 ", signed),
        "container of zeros": emptied,
    }


def skeleton(objects: list[bytes], *, trailer: bytes = b"<</Size 3/Root 1 0 R>>", table: bytes = b"") -> bytes:
    """A small PDF of the given objects, with a cross-reference table that fits unless another is given."""
    out, offsets = b"%PDF-1.7\n", []
    for number, content in enumerate(objects, 1):
        offsets.append(len(out))
        out += b"%d 0 obj\n%s\nendobj\n" % (number, content)
    rows = b"".join(b"%010d 00000 n \n" % offset for offset in offsets)
    table = table or b"xref\n0 %d\n0000000000 65535 f \n" % (len(offsets) + 1) + rows
    return out + table + b"trailer\n" + trailer + b"\nstartxref\n%d\n%%%%EOF\n" % len(out)


def emptied(signed: bytes) -> bytes:
    first, resume = container(signed)
    return signed[: first + 1] + b"0" * (resume - first - 2) + signed[resume - 1 :]


@pytest.mark.parametrize("name", sorted(hostile()))
def test_hostile_files_get_words(signed: bytes, name: str) -> None:
    data = hostile()[name](signed)
    found = verify_report(data)
    assert found.outcome is not VerifyAnswer.PASSED
    assert found.intact is not True
    assert found.problem
    assert found.summary
    assert "Traceback" not in " ".join(found.summary)


@pytest.mark.parametrize("name", ["empty", "text", "noise", "half", "bomb", "root is itself"])
def test_no_case_is_made_up(signed: bytes, name: str) -> None:
    assert verify_report(hostile()[name](signed)).case_bytes is None


def test_what_is_no_pdf_is_told_from_what_is_broken(signed: bytes) -> None:
    """Could-not-tell for a stranger, failed for what was a PDF, or a report, once."""
    assert verify_report(b"hello").outcome is VerifyAnswer.UNDETERMINED
    assert verify_report(signed[: len(signed) // 2]).outcome is VerifyAnswer.FAILED
    assert verify_report(flipped(signed, 0)).outcome is VerifyAnswer.FAILED


def test_an_encrypted_file_is_could_not_tell(signed: bytes) -> None:
    buffer = BytesIO()
    with pikepdf.open(BytesIO(signed)) as pdf:
        pdf.save(buffer, encryption=pikepdf.Encryption(owner="a", user="b"))
    found = verify_report(buffer.getvalue())
    assert (found.outcome, found.signed) == (VerifyAnswer.UNDETERMINED, None)
    assert "encrypted" in found.problem


def test_a_giant_is_not_even_read() -> None:
    assert "larger than" in verify_report(bytes(LARGEST_FILE + 1)).problem


def test_an_unsigned_report_is_said_to_be_that(unsigned: bytes, case_bytes: bytes) -> None:
    found = verify_report(unsigned)
    assert (found.outcome, found.signed, found.intact) == (VerifyAnswer.UNDETERMINED, False, None)
    assert "not signed" in found.problem
    assert found.case_bytes == case_bytes
    assert found.author is None


def test_a_report_without_a_case(author: Identity, moment: datetime) -> None:
    from reportlab.pdfgen.canvas import Canvas

    from reports import fonts

    fonts.register()
    buffer = BytesIO()
    canvas = Canvas(buffer)
    canvas.showPage()
    canvas.save()
    found = verify_report(sign_report(buffer.getvalue(), author, Stamp(PageBox(0, (9, 9, 200, 80)), "HD"), moment))
    assert (found.outcome, found.case_bytes, found.case_sha256) == (VerifyAnswer.PASSED, None, None)


def test_an_outcome_is_compared_never_asked_for_its_truth() -> None:
    with pytest.raises(TypeError, match="compare an Outcome"):
        bool(VerifyAnswer.FAILED)
    assert [outcome.as_bool for outcome in VerifyAnswer] == [True, False, None]


def test_nothing_is_printed_about_a_broken_file(signed: bytes, capfd: pytest.CaptureFixture[str]) -> None:
    verify_report(flipped(signed, 200))
    verify_report(emptied(signed))
    assert capfd.readouterr() == ("", "")


def written(writer: IncrementalPdfFileWriter) -> bytes:
    output = BytesIO()
    writer.write(output)
    return output.getvalue()


def asn1_signer(identity: Identity) -> SimpleSigner:
    """An outsider's signer, made without our signing module."""
    from asn1crypto import keys as asn1_keys
    from asn1crypto import x509 as asn1_x509
    from cryptography.hazmat.primitives.serialization import Encoding, NoEncryption, PrivateFormat
    from pyhanko_certvalidator.registry import SimpleCertificateStore

    plain = identity.key.private_bytes(Encoding.DER, PrivateFormat.PKCS8, NoEncryption())
    return SimpleSigner(
        signing_cert=asn1_x509.Certificate.load(identity.certificate.public_bytes(Encoding.DER)),
        signing_key=asn1_keys.PrivateKeyInfo.load(plain),
        cert_registry=SimpleCertificateStore(),
    )
