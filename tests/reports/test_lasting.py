"""Signatures that outlive their certificate, against an authority that the test makes on this machine.

Levels as in ETSI EN 319 142-1 clause 6: B-T, B-LT, B-LTA.
"""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Iterator
from dataclasses import replace
from datetime import datetime, timedelta
from io import BytesIO
from pathlib import Path

import pytest
from asn1crypto import cms, core
from asn1crypto import crl as asn1_crl
from cryptography import x509
from cryptography.x509.oid import ExtendedKeyUsageOID
from own_authority import OwnAuthority, served
from poppler import pdfsig
from pyhanko.pdf_utils.generic import pdf_name, pdf_string
from pyhanko.pdf_utils.incremental_writer import IncrementalPdfFileWriter
from pyhanko.pdf_utils.reader import PdfFileReader
from pyhanko.sign.signers.pdf_signer import PdfTimeStamper
from pyhanko.sign.validation.dss import DocumentSecurityStore

from engcalc.errors import InputError
from engcalc.words.texts import verification_texts
from reports.identity import Identity
from reports.lasting import Lasting, Timestamping, named_clock
from reports.signing import PageBox, Particulars, Stamp, countersign, sign_report
from reports.verification import Coverage, FoundState, VerifyAnswer
from reports.verifying import verify_report

REVIEWER_PLACE = PageBox(-1, (300, 60, 530, 130))
LEVELS = {Lasting.TIME: "B-T", Lasting.DATA: "B-LT", Lasting.ARCHIVE: "B-LTA"}


@pytest.fixture(scope="module")
def authority(moment: datetime) -> Iterator[OwnAuthority]:
    with served(moment) as found:
        yield found


@pytest.fixture(scope="module")
def issued(authority: OwnAuthority) -> Identity:
    return authority.identity("I. Issued")


@pytest.fixture(scope="module")
def lasting(
    authority: OwnAuthority, issued: Identity, unsigned: bytes, stamp: Stamp, moment: datetime
) -> dict[Lasting, bytes]:
    """The same report signed at each level, by way of the server."""
    found = {}
    for level in Lasting:
        stamping = named_clock(authority.address, level, issued, (authority.root,))
        words = Particulars(stamping=stamping)
        found[level] = sign_report(unsigned, issued, stamp, moment, reviewer=REVIEWER_PLACE, particulars=words)
    return found


@pytest.mark.parametrize("level", list(Lasting))
def test_each_level_is_intact_and_its_time_attested(
    lasting: dict[Lasting, bytes], authority: OwnAuthority, moment: datetime, level: Lasting
) -> None:
    found = verify_report(lasting[level], (authority.root,), timestamp_roots=(authority.root,))
    assert found.state is FoundState.INTACT, found.problem
    assert found.author is not None
    assert (found.author.level, found.author.vouched) == (LEVELS[level], VerifyAnswer.PASSED)
    assert (found.author.time_attested, found.author.signed_at) == (VerifyAnswer.PASSED, moment)
    assert [one.stamp.trusted for one in found.seals] == [True] * (level is Lasting.ARCHIVE)


def test_a_reader_who_trusts_nobody_finds_it_intact_and_is_told(lasting: dict[Lasting, bytes]) -> None:
    found = verify_report(lasting[Lasting.ARCHIVE])
    assert (found.state, found.covers_whole_file) == (FoundState.INTACT, True)
    assert found.author is not None
    assert found.author.coverage is Coverage.SEALED
    assert "a timestamp over the document" in found.author.later_changes
    told = "\n".join(found.summary)
    assert "A timestamp over the document says 2026-03-02 09:30 UTC, issued by “Own clock”, whom nobody" in told


def test_poppler_agrees_with_every_level(lasting: dict[Lasting, bytes], tmp_path: Path) -> None:
    """It cannot check a timestamp over the document and says so; what it says of the author's signature counts."""
    for level, data in lasting.items():
        (tmp_path / "r.pdf").write_bytes(data)
        said = pdfsig(tmp_path / "r.pdf")
        assert said.count("Signature is Valid") == 1, said
        assert said.count("Total document signed") == 1, said
        assert ("Unable to validate this type" in said) is (level is Lasting.ARCHIVE)


def test_years_on_it_is_said_what_holds(
    lasting: dict[Lasting, bytes], authority: OwnAuthority, moment: datetime
) -> None:
    later = moment + timedelta(days=1200)
    roots = (authority.root,)
    found = verify_report(lasting[Lasting.ARCHIVE], roots, timestamp_roots=roots, now=later)
    assert found.state is FoundState.INTACT
    told = "\n".join(found.summary)
    assert "The certificate has ended since (2028-08-18)." in told
    assert "The certificate of the clock has ended since (2028-08-18); only a later timestamp holds it." in told


def test_a_withdrawn_certificate_is_told_from_the_list_in_the_file(
    unsigned: bytes, stamp: Stamp, moment: datetime, authority: OwnAuthority
) -> None:
    """The list is fetched when signing; the signer's certificate stands on it, so nothing is signed."""
    gone = authority.identity("G. Gone")
    authority.withdrawn.append(gone.certificate.serial_number)
    try:
        stamping = named_clock(authority.address, Lasting.DATA, gone, (authority.root,))
        with pytest.raises(InputError, match="could not be validated"):
            sign_report(unsigned, gone, stamp, moment, particulars=Particulars(stamping=stamping))
    finally:
        authority.withdrawn.clear()


def test_a_certificate_withdrawn_before_signing_is_told_by_whoever_adds_the_list(
    lasting: dict[Lasting, bytes], issued: Identity, authority: OwnAuthority
) -> None:
    """Anybody may put a newer list into the file: its authority signed it. Then the name is vouched for no more."""
    authority.withdrawn.append(issued.certificate.serial_number)
    try:
        listed = asn1_crl.CertificateList.load(authority.list_of_withdrawn())
    finally:
        authority.withdrawn.clear()
    output = BytesIO(lasting[Lasting.TIME])
    contents = PdfFileReader(output).embedded_regular_signatures[0].sig_object["/Contents"]
    DocumentSecurityStore.add_dss(output, contents, crls=[listed])
    roots = (authority.root,)
    before = verify_report(lasting[Lasting.TIME], roots, timestamp_roots=roots).author
    found = verify_report(output.getvalue(), roots, timestamp_roots=roots)
    assert before is not None
    assert found.author is not None
    assert (before.vouched, found.author.vouched) == (VerifyAnswer.PASSED, VerifyAnswer.FAILED)
    assert verification_texts.CERTIFICATE_WAS_WITHDRAWN in found.summary


def test_an_unknown_clock_is_refused_for_what_is_to_last(
    unsigned: bytes, issued: Identity, stamp: Stamp, moment: datetime, authority: OwnAuthority
) -> None:
    with served(moment) as stranger:
        stamping = Timestamping(stranger.stamper(), Lasting.ARCHIVE, (authority.root,), ())
        with pytest.raises(InputError, match="not among the clocks that you know"):
            sign_report(unsigned, issued, stamp, moment, particulars=Particulars(stamping=stamping))


def test_a_reviewer_signs_what_lasts(lasting: dict[Lasting, bytes], reviewer: Identity, moment: datetime) -> None:
    both = countersign(lasting[Lasting.ARCHIVE], reviewer, "HD-1", moment + timedelta(hours=1))
    found = verify_report(both)
    assert (found.state, len(found.signatures)) == (FoundState.INTACT, 2)


# ---- attacks ---------------------------------------------------------------------------------------------------------


def sealed_by(data: bytes, authority: OwnAuthority) -> bytes:
    """A timestamp over the document, which anybody can put there."""
    output = BytesIO()
    PdfTimeStamper(authority.stamper()).timestamp_pdf(IncrementalPdfFileWriter(BytesIO(data)), "sha256", output=output)
    return output.getvalue()


def test_a_stranger_s_seal_over_other_words_does_not_pass(signed: bytes, moment: datetime) -> None:
    """Who appends other properties and has that stamped gains nothing: the clock signs whatever it is handed."""
    with served(moment) as stranger:
        writer = IncrementalPdfFileWriter(BytesIO(signed))
        info = writer.trailer["/Info"].get_object()
        info[pdf_name("/Title")] = pdf_string("Other words")
        writer.update_container(info)
        changed = BytesIO()
        writer.write(changed)
        found = verify_report(sealed_by(changed.getvalue(), stranger), timestamp_roots=(stranger.root,))
        plain = verify_report(sealed_by(signed, stranger))
    assert found.state is FoundState.BROKEN
    assert plain.state is FoundState.INTACT


def test_a_seal_by_a_certificate_for_more_than_timestamps_attests_nothing(signed: bytes, moment: datetime) -> None:
    """RFC 3161 section 2.3, of a timestamp over the document as of one in a signature."""
    with served(moment) as clock:
        good = verify_report(sealed_by(signed, clock), timestamp_roots=(clock.root,)).seals
        both = [ExtendedKeyUsageOID.TIME_STAMPING, ExtendedKeyUsageOID.CODE_SIGNING]
        clock.clock = clock.certificate_for("Own clock", clock.clock_key, x509.ExtendedKeyUsage(both))
        more = verify_report(sealed_by(signed, clock), timestamp_roots=(clock.root,)).seals
    assert [one.stamp.trusted for one in good] == [True]
    assert [one.stamp.trusted for one in more] == [False]


def test_a_seal_in_another_spelling_is_damaged(lasting: dict[Lasting, bytes], authority: OwnAuthority) -> None:
    """The same number in small letters and large ones: some programs refuse that, so it does not pass here."""
    whole = lasting[Lasting.ARCHIVE]
    first = whole.rindex(b"/Contents <") + len(b"/Contents <")
    letter = next(at for at in range(first, len(whole)) if whole[at : at + 1].isalpha())
    altered = whole[:letter] + whole[letter : letter + 1].swapcase() + whole[letter + 1 :]
    roots = (authority.root,)
    found = verify_report(altered, roots, timestamp_roots=roots)
    assert [one.stamp.damaged for one in found.seals] == [True]
    assert found.state is not FoundState.INTACT


def test_a_seal_with_additions_that_nobody_signed_is_damaged(signed: bytes, authority: OwnAuthority) -> None:
    whole = sealed_by(signed, authority)
    first = whole.rindex(b"/Contents <") + len(b"/Contents <")
    end = whole.index(b">", first)
    token = cms.ContentInfo.load(bytes.fromhex(whole[first:end].decode()))
    extra = cms.CMSAttribute({"type": "1.2.3.4.5", "values": [core.OctetString(b"anything")]})
    token["content"]["signer_infos"][0]["unsigned_attrs"] = cms.CMSAttributes([extra])
    digits = token.dump(force=True).hex().upper().encode()
    altered = whole[:first] + digits.ljust(end - first, b"0") + whole[end:]
    assert [one.stamp.damaged for one in verify_report(whole).seals] == [False]
    assert [one.stamp.damaged for one in verify_report(altered).seals] == [True]


def test_altered_bytes_of_the_seal_do_not_pass(lasting: dict[Lasting, bytes]) -> None:
    """But for the certificates that the clock's token brings along: no signature covers them, and nothing that is said
    rests on them, for a clock counts under the roots that the reader knows."""
    whole = lasting[Lasting.ARCHIVE]
    first, token = whole.index(b"%%EOF") + 5, whole.rindex(b"/Contents <")
    said = replace(verify_report(whole), sha256="")
    for at in range(first + 40, len(whole) - 40, (len(whole) - first) // 12):
        altered = whole[:at] + bytes([whole[at] ^ 1]) + whole[at + 1 :]
        found = verify_report(altered)
        if found.state is FoundState.INTACT:
            assert token < at < whole.index(b">", token), at
            assert replace(found, sha256="") == said, at


# ---- the network -----------------------------------------------------------------------------------------------------


def test_only_a_named_server_is_asked(authority: OwnAuthority, issued: Identity) -> None:
    authority.asked.clear()
    named_clock(authority.address, Lasting.TIME, issued, ())
    assert authority.asked == []
    named_clock(authority.address, Lasting.DATA, issued, ())
    assert authority.asked == ["time", "list"]


@pytest.mark.parametrize("address", ["file:///etc/hostname", "ftp://127.0.0.1/", "no address", "http://"])
def test_only_addresses_of_the_web_are_asked(issued: Identity, address: str) -> None:
    with pytest.raises(InputError, match="http:// or https://"):
        named_clock(address, Lasting.TIME, issued, ())


def test_a_server_that_does_not_answer_is_told(
    unsigned: bytes, author: Identity, stamp: Stamp, moment: datetime
) -> None:
    stamping = named_clock("http://127.0.0.1:9/", Lasting.TIME, author, ())
    with pytest.raises(InputError, match="it does not answer"):
        sign_report(unsigned, author, stamp, moment, particulars=Particulars(stamping=stamping))


def test_no_network_client_is_loaded_until_a_server_is_named() -> None:
    """aiohttp comes with the library; neither that nor ours is loaded by signing and verifying."""
    code = (
        "import sys; import reports.signing, reports.verifying, reports.lasting, ui.trusting, ui.command.parser\n"
        "import pyhanko.sign.validation.ades\n"
        "clients = {'aiohttp', 'requests', 'urllib3', 'httpx', 'reports.servers', 'http.client', 'urllib.request'}\n"
        "print(sorted(clients & set(sys.modules)))\n"
        "import reports.servers; print('urllib.request' in sys.modules, 'aiohttp' in sys.modules)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.splitlines() == ["[]", "True False"]
