"""What was tried on signed reports and once got through: each attack by itself, with what must be said of it.

The attacker holds the file and no key of the signer's.
"""

from __future__ import annotations

import asyncio
import hashlib
import random
import re
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from functools import cache
from io import BytesIO
from typing import Any

import pytest
from asn1crypto import cms, core
from asn1crypto import keys as asn1_keys
from asn1crypto import x509 as asn1_x509
from cryptography import x509
from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.asymmetric import ec, rsa
from cryptography.hazmat.primitives.serialization import Encoding, NoEncryption, PrivateFormat
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID
from pyhanko.pdf_utils.generic import pdf_string
from pyhanko.pdf_utils.incremental_writer import IncrementalPdfFileWriter
from pyhanko.pdf_utils.metadata.xmp_xml import MetadataStream
from pyhanko.sign.timestamps import DummyTimeStamper

from engcalc.words.texts import verification_texts
from reports.identity import Identity, fingerprint_of, make_identity
from reports.lasting import Timestamping
from reports.signing import Particulars, Stamp, countersign, sign_report
from reports.verification import FoundState, VerifyAnswer
from reports.verifying import MOST_UNPACKED, verify_report

SEED = 20260303


def gap(data: bytes) -> tuple[int, int]:
    """Where the signature container begins and ends."""
    found = re.search(rb"/ByteRange \[0 (\d+) (\d+) \d+", data)
    assert found is not None
    return int(found[1]), int(found[2])


def container(data: bytes) -> cms.ContentInfo:
    first, resume = gap(data)
    return cms.ContentInfo.load(bytes.fromhex(data[first + 1 : resume - 1].decode()))


def with_container(data: bytes, found: cms.ContentInfo) -> bytes:
    """The same file with another container in the gap; nobody's key is needed for that."""
    first, resume = gap(data)
    digits = found.dump(force=True).hex().upper().encode()
    return data[: first + 1] + digits.ljust(resume - first - 2, b"0") + data[resume - 1 :]


def with_unsigned(data: bytes, *attributes: cms.CMSAttribute) -> bytes:
    found = container(data)
    found["content"]["signer_infos"][0]["unsigned_attrs"] = cms.CMSAttributes(attributes)
    return with_container(data, found)


@cache
def rsa_key() -> rsa.RSAPrivateKey:
    """The library's own clock signs with RSA only."""
    return rsa.generate_private_key(65537, 2048)


def self_made(
    name: str, moment: datetime, *extensions: x509.ExtensionType, credential: str = "x", critical: bool = True
) -> Identity:
    """A certificate that anyone can make, with whatever name and extensions."""
    key = rsa_key()
    texts = ((NameOID.COMMON_NAME, name), (NameOID.TITLE, credential))
    names = [x509.NameAttribute(place, text, _validate=False) for place, text in texts]
    builder = (
        x509.CertificateBuilder(x509.Name(names), x509.Name(names), key.public_key(), x509.random_serial_number())
        .not_valid_before(moment - timedelta(days=4000))
        .not_valid_after(moment + timedelta(days=4000))
    )
    for one in extensions:
        builder = builder.add_extension(one, critical=critical)
    return Identity(key, builder.sign(key, hashes.SHA256()))


def clock_of(identity: Identity, when: datetime) -> DummyTimeStamper:
    """A timestamp authority that says what its owner likes."""
    plain = identity.key.private_bytes(Encoding.DER, PrivateFormat.PKCS8, NoEncryption())
    certificate = asn1_x509.Certificate.load(identity.certificate.public_bytes(Encoding.DER))
    return DummyTimeStamper(certificate, asn1_keys.PrivateKeyInfo.load(plain), fixed_dt=when)


STAMPS_ONLY = x509.ExtendedKeyUsage([ExtendedKeyUsageOID.TIME_STAMPING])


def glued(data: bytes, clock: DummyTimeStamper, over: bytes | None = None) -> bytes:
    """A timestamp put among the unsigned attributes of somebody else's signature; ``over``: of another signature."""
    signature = over or container(data)["content"]["signer_infos"][0]["signature"].native
    token = asyncio.run(clock.async_timestamp(hashlib.sha256(signature).digest(), "sha256"))
    return with_unsigned(data, cms.CMSAttribute({"type": "signature_time_stamp_token", "values": [token]}))


# ---- when it was signed ----------------------------------------------------------------------------------------------


def test_a_glued_timestamp_moves_no_date(unsigned: bytes, author: Identity, stamp: Stamp, moment: datetime) -> None:
    """The gap has room for a timestamp where there was one; anybody may put another in its place."""
    other = datetime(2019, 5, 5, 12, 0, tzinfo=UTC)
    stamped = Particulars(stamping=Timestamping(clock_of(self_made("Clock", moment, STAMPS_ONLY), moment)))
    honest = sign_report(unsigned, author, stamp, moment, particulars=stamped)
    changed = glued(honest, clock_of(self_made("World Time", moment, STAMPS_ONLY), other))
    one = verify_report(changed).author
    assert one is not None
    assert (one.signed_at, one.time_attested) == (moment, VerifyAnswer.UNDETERMINED)
    told = "\n".join(verify_report(changed).summary)
    assert "A timestamp beside it says 2019-05-05 12:00 UTC, issued by “World Time”" in told
    assert "it does not count" in told
    assert "Signed on 2026-03-02 09:30 UTC (by the signer's own clock)" in told


def test_a_timestamp_of_another_signature_breaks_this_one(
    unsigned: bytes, author: Identity, stamp: Stamp, moment: datetime
) -> None:
    clock = clock_of(self_made("Clock", moment, STAMPS_ONLY), moment)
    honest = sign_report(unsigned, author, stamp, moment, particulars=Particulars(stamping=Timestamping(clock)))
    found = verify_report(glued(honest, clock, over=b"another signature"))
    assert found.state is FoundState.BROKEN
    assert "timestamp is damaged or forged" in found.problem


def test_a_timestamp_counts_under_a_root_for_timestamps_only(unsigned: bytes, stamp: Stamp, moment: datetime) -> None:
    """A root for names is none for times, and the signer's own certificate is none for either."""
    later = moment + timedelta(minutes=2)
    signer, clock = self_made("A", moment), self_made("Clock", moment, STAMPS_ONLY)
    stamped = Particulars(stamping=Timestamping(clock_of(clock, later)))
    data = sign_report(unsigned, signer, stamp, moment, particulars=stamped)
    names_only = verify_report(data, (clock.certificate, signer.certificate)).author
    times = verify_report(data, timestamp_roots=(clock.certificate,)).author
    assert names_only is not None
    assert times is not None
    assert (names_only.time_attested, names_only.signed_at) == (VerifyAnswer.UNDETERMINED, moment)
    assert (times.time_attested, times.signed_at) == (VerifyAnswer.PASSED, later)


@pytest.mark.parametrize("usages", [(), ("TIME_STAMPING", "CODE_SIGNING"), ("CODE_SIGNING",)])
def test_a_certificate_for_more_than_timestamps_attests_no_time(
    unsigned: bytes, author: Identity, stamp: Stamp, moment: datetime, usages: tuple[str, ...]
) -> None:
    """RFC 3161 section 2.3: the extended key usage holds timeStamping and nothing else, and is critical."""
    wanted = [x509.ExtendedKeyUsage([getattr(ExtendedKeyUsageOID, one) for one in usages])] if usages else []
    clock = self_made("Clock", moment, *wanted)
    stamped = Particulars(stamping=Timestamping(clock_of(clock, moment)))
    data = sign_report(unsigned, author, stamp, moment, particulars=stamped)
    one = verify_report(data, timestamp_roots=(clock.certificate,)).author
    assert one is not None
    assert one.time_attested is VerifyAnswer.UNDETERMINED


def test_a_certificate_for_timestamps_says_so_as_critical(
    unsigned: bytes, author: Identity, stamp: Stamp, moment: datetime
) -> None:
    """RFC 3161 section 2.3, as above: what is not critical, a program may pass over."""
    clock = self_made("Clock", moment, STAMPS_ONLY, critical=False)
    stamped = Particulars(stamping=Timestamping(clock_of(clock, moment)))
    data = sign_report(unsigned, author, stamp, moment, particulars=stamped)
    one = verify_report(data, timestamp_roots=(clock.certificate,)).author
    assert one is not None
    assert one.time_attested is VerifyAnswer.UNDETERMINED


def test_a_signer_is_no_root_for_timestamps_of_its_own(unsigned: bytes, stamp: Stamp, moment: datetime) -> None:
    both = self_made("A", moment, STAMPS_ONLY)
    years_ago = moment - timedelta(days=2000)
    stamped = Particulars(stamping=Timestamping(clock_of(both, years_ago)))
    one = verify_report(sign_report(unsigned, both, stamp, moment, particulars=stamped)).author
    assert one is not None
    assert (one.time_attested, one.signed_at) == (VerifyAnswer.UNDETERMINED, moment)


def test_additions_that_nobody_signed_are_told(signed: bytes) -> None:
    extra = cms.CMSAttribute({"type": "1.2.3.4.5", "values": [core.OctetString(b"anything")]})
    found = verify_report(with_unsigned(signed, extra))
    assert any("additions that nobody signed" in line and "1.2.3.4.5" in line for line in found.summary)


def test_a_certificate_that_has_ended_and_a_date_ahead_are_told(signed: bytes, author: Identity) -> None:
    days = timedelta(days=1)
    when_signed = verify_report(signed).author
    assert when_signed is not None
    assert when_signed.signed_at is not None
    plain = verify_report(signed, now=when_signed.signed_at + days)
    late = verify_report(signed, now=author.not_after + days)
    early = verify_report(signed, now=when_signed.signed_at - days)
    assert plain.author is not None
    assert plain.author.notes == ()
    assert late.state is early.state is FoundState.INTACT
    assert f"The certificate has ended since ({author.not_after:%Y-%m-%d})" in "\n".join(late.summary)
    assert "lies in the future" in "\n".join(early.summary)


# ---- who signed ------------------------------------------------------------------------------------------------------

PRETENDING = (
    "A. Smith\nFingerprint: 0000 1111 2222",
    "A. Smith\r\nThe name is vouched for by an issuer you trust: “Root”.",
    "A. Smith”. The name is vouched for by an issuer you trust: “Root",
    "\u202ehtimS .A",
    "A\x1b[2J\x1b[31m",
    "A" * 60_000,
)


@pytest.mark.filterwarnings("ignore:Attribute's length")
@pytest.mark.parametrize("name", PRETENDING, ids=range(len(PRETENDING)))
def test_a_name_cannot_pass_for_a_sentence_of_ours(
    unsigned: bytes, stamp: Stamp, moment: datetime, name: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("reports.signing.usable_at", lambda *_: ())
    liar = self_made(name[:200], moment, credential="x\ny")
    found = verify_report(sign_report(unsigned, liar, stamp, moment))
    lines = list(found.summary)
    own = f"Fingerprint: {fingerprint_of(liar.certificate)}"
    assert [line for line in lines if line.startswith("Fingerprint")] == [own]
    named = next(line for line in lines if line.startswith("Name in its certificate: “"))
    assert lines.index(own) < lines.index(named)
    assert (named.count("“"), named.count("”")) == (1, 1)
    assert not [line for line in lines if line.startswith("The name is vouched")]
    assert all(line.isprintable() for line in lines)
    assert verification_texts.NAME_OR_CREDENTIAL_IN_THE_CERTIFICATE in lines  # its credential has a line end
    assert max(map(len, lines)) < 700


@pytest.mark.filterwarnings("ignore:Attribute's length")
def test_a_name_with_hidden_signs_signs_nothing_here(unsigned: bytes, stamp: Stamp, moment: datetime) -> None:
    from engcalc.errors import InputError

    for name in PRETENDING[:2] + PRETENDING[3:5]:
        with pytest.raises(InputError, match="hidden signs"):
            sign_report(unsigned, self_made(name, moment), stamp, moment)


def test_a_reviewer_of_the_same_name_or_key_is_told(
    signed: bytes, author: Identity, reviewer: Identity, moment: datetime, tmp_path: Any
) -> None:
    soon = moment + timedelta(hours=1)
    twin = make_identity(tmp_path / "t.p12", "ÅSA  LINDQVIST", "Engineer", "long enough", moment - timedelta(days=1))
    told = {
        name: "\n".join(verify_report(countersign(signed, who, "HD", soon)).summary)
        for name, who in (("twin", twin), ("same", author), ("other", reviewer))
    }
    assert "same name and have different keys" in told["twin"]
    assert "signed with the same key" in told["same"]
    assert "same" not in told["other"]


# ---- what was signed -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("key", ["/Title", "/Author", "/Subject", "/Keywords", "/Invented"])
def test_other_words_in_the_properties_between_author_and_reviewer_are_named(
    signed: bytes, reviewer: Identity, moment: datetime, key: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    changed = with_property(signed, key, "Another")
    passed_over = verify_report(signed)
    monkeypatch.setattr("reports.signing.verify_report", lambda *_: passed_over)  # a reviewer's program that looks away
    found = verify_report(countersign(changed, reviewer, "HD", moment + timedelta(hours=1)))
    assert found.state is FoundState.BROKEN
    assert f"other words were put into the document's “{key[1:]}”" in found.problem


def test_another_description_in_xmp_before_the_reviewer_signs_is_named(
    signed: bytes, reviewer: Identity, moment: datetime
) -> None:
    """The document's description of itself stands a second time in XMP (ISO 32000-2 clause 14.3.2)."""
    words = (
        b'<x:xmpmeta xmlns:x="adobe:ns:meta/"><rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#">'
        b'<rdf:Description rdf:about="" xmlns:dc="http://purl.org/dc/elements/1.1/"><dc:source>Other words</dc:source>'
        b"</rdf:Description></rdf:RDF></x:xmpmeta>"
    )
    writer = IncrementalPdfFileWriter(BytesIO(signed))
    writer.root["/Metadata"] = writer.add_object(MetadataStream(stream_data=words))
    writer.update_root()
    changed = BytesIO()
    writer.write(changed)
    both = countersign_blindly(changed.getvalue(), reviewer, moment)
    found = verify_report(both)
    assert b"Other words" in both
    assert found.state is FoundState.BROKEN
    assert verification_texts.DOCUMENTS_DESCRIPTION_OF_ITSELF_XMP in found.problem


def test_what_any_program_writes_on_saving_is_no_change_of_words(
    signed: bytes, reviewer: Identity, moment: datetime
) -> None:
    changed = with_property(signed, "/ModDate", "D:20260302100000Z")
    found = verify_report(countersign_blindly(changed, reviewer, moment))
    assert found.state is FoundState.INTACT
    assert found.author is not None
    assert found.author.later_changes == "the signature in the field “Reviewer”"
    assert "What was added after the first signature is named below" in found.summary[0]


def countersign_blindly(changed: bytes, reviewer: Identity, moment: datetime) -> bytes:
    with pytest.MonkeyPatch.context() as patch:
        passed = type("Passed", (), {"outcome": VerifyAnswer.PASSED, "problem": ""})()
        patch.setattr("reports.signing.verify_report", lambda *_: passed)
        return countersign(changed, reviewer, "HD", moment + timedelta(hours=1))


def with_property(signed: bytes, key: str, text: str) -> bytes:
    writer = IncrementalPdfFileWriter(BytesIO(signed))
    info = writer.trailer["/Info"].get_object()
    info[key] = pdf_string(text)
    writer.update_container(info)
    output = BytesIO()
    writer.write(output)
    return output.getvalue()


def test_no_altered_byte_of_the_container_passes(signed: bytes) -> None:
    """Sampled: the case of a letter, version numbers, names of digests, serial numbers; bit 5 is a letter's case."""
    first, resume = gap(signed)
    used = len(signed[first:resume].rstrip(b">").rstrip(b"0"))
    draw = random.Random(SEED)
    head = [(first + at, bit) for at in range(40, 110, 2) for bit in (0, 1)]
    rest = [(first + draw.randrange(used), draw.choice((0, 1, 2, 3, 5))) for _ in range(90)]
    passed = [
        (position - first, bit)
        for position, bit in head + rest
        if verify_report(signed[:position] + bytes([signed[position] ^ (1 << bit)]) + signed[position + 1 :]).outcome
        is VerifyAnswer.PASSED
    ]
    assert passed == []


def test_the_container_in_small_letters_passes_and_in_mixed_ones_does_not(signed: bytes) -> None:
    first, resume = gap(signed)
    small = signed[:first] + signed[first:resume].lower() + signed[resume:]
    mixed = signed[:first] + signed[first : first + 400].lower() + signed[first + 400 :]
    assert verify_report(small).state is FoundState.INTACT
    found = verify_report(mixed)
    assert found.state is FoundState.BROKEN
    assert "as it was signed" in found.problem


def test_a_length_in_more_bytes_than_it_needs_is_found(signed: bytes) -> None:
    """The same container with its outer length in three bytes where two do: BER, and not DER (X.690 clause 10.1)."""
    first, resume = gap(signed)
    plain = container(signed).dump()
    assert plain[:2] == b"\x30\x82"
    longer = (b"\x30\x83\x00" + plain[2:]).hex().upper().encode()
    altered = signed[: first + 1] + longer.ljust(resume - first - 2, b"0") + signed[resume - 1 :]
    assert verify_report(altered).state is FoundState.BROKEN


def with_content(found: cms.ContentInfo) -> None:
    found["content"]["encap_content_info"]["content"] = core.OctetString(b"anything")


def with_another_signer(found: cms.ContentInfo) -> None:
    infos = found["content"]["signer_infos"]
    found["content"]["signer_infos"] = cms.SignerInfos([*infos, infos[0].copy()])


@pytest.mark.parametrize("put_in", [with_content, with_another_signer])
def test_nothing_more_stands_in_the_container(signed: bytes, put_in: Callable[[cms.ContentInfo], None]) -> None:
    """Words of their own, or a second signer: no signature covers them, and programs differ in what they make of it."""
    found = container(signed)
    put_in(found)
    assert verify_report(with_container(signed, found)).state is FoundState.BROKEN


def test_a_root_in_the_container_stands_as_it_was_made(
    unsigned: bytes, stamp: Stamp, moment: datetime, authority: Any
) -> None:
    """The last byte of a root's own signature is covered by nothing else."""
    leaf = authority.issue("Ines Roca", ec.generate_private_key(ec.SECP256R1()), starts=moment)
    data = sign_report(unsigned, leaf, stamp, moment)
    root = authority.certificate.public_bytes(Encoding.DER)
    written = root.hex().upper().encode()
    assert data.count(written) == 1
    altered = data.replace(written, (root[:-1] + bytes([root[-1] ^ 1])).hex().upper().encode())
    assert verify_report(data).state is FoundState.INTACT
    assert verify_report(altered).state is FoundState.BROKEN


def test_a_stranger_s_certificate_put_beside_the_signer_s_is_found(signed: bytes, reviewer: Identity) -> None:
    found = container(signed)
    extra = asn1_x509.Certificate.load(reviewer.certificate.public_bytes(Encoding.DER))
    found["content"]["certificates"].append(cms.CertificateChoices("certificate", extra))
    assert verify_report(with_container(signed, found)).state is FoundState.BROKEN


# ---- files that cost too much ----------------------------------------------------------------------------------------


def test_a_file_that_unpacks_to_too_much_is_refused_in_words() -> None:
    import time
    import zlib

    packed = zlib.compress(bytes(2 * MOST_UNPACKED), 9)
    stream = b"<</Type/XRef/Size 4/W[1 4 1]/Root 2 0 R/Filter/FlateDecode/Length %d>>stream\n%s\nendstream"
    out = b"%PDF-1.7\n"
    start = len(out)
    out += b"3 0 obj\n" + stream % (len(packed), packed) + b"\nendobj\nstartxref\n%d\n%%%%EOF\n" % start
    began = time.monotonic()
    found = verify_report(out)
    assert found.state is not FoundState.INTACT
    assert "unpacks to more than 64 MB" in found.problem
    assert time.monotonic() - began < 5.0


def test_a_file_of_zeros_is_told_at_once() -> None:
    import time

    began = time.monotonic()
    found = verify_report(b"%PDF-1.7\nstartxref\n" + bytes(99 << 20))
    assert found.state is FoundState.BROKEN
    assert time.monotonic() - began < 5.0
