"""Whom a person knows: kept for the owner only, known on after a renewal, never by the name alone."""

from __future__ import annotations

import stat
import threading
import time
from datetime import date, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.serialization import Encoding
from filelock import FileLock

from engcalc.errors import FileFault, InputError
from reports.identity import Identity, change_password, load_identity, make_identity, renew_identity
from reports.signing import Stamp, sign_report
from reports.trust_store import FILE, LOCK, TrustStore, change_store, grouped, read_root, read_store, write_store
from reports.verification import VerifyAnswer
from reports.verifying import verify_report

MET = date(2026, 1, 15)


@pytest.fixture(autouse=True)
def few_rounds(monkeypatch: pytest.MonkeyPatch) -> None:
    """Key stretching is looked at in test_identity; here it would only take time."""
    monkeypatch.setattr("reports.identity.KEY_ROUNDS", 1000)
    monkeypatch.setattr("reports.identity.MAC_ROUNDS", 2000)


@pytest.fixture(scope="module")
def met(author: Identity) -> TrustStore:
    return TrustStore().with_person("Åsa from the workshop", author.certificate, MET)


def test_the_list_reads_back_and_only_its_owner_may_read_it(
    tmp_path: Path, met: TrustStore, author: Identity, authority: Any
) -> None:
    folder = tmp_path / "new" / "trust"
    store = met.with_issuer(authority.certificate, MET).with_clock(authority.certificate, MET)
    store = store.with_own(tmp_path / "me.p12", author)
    write_store(folder, store)
    assert read_store(folder) == store
    assert stat.S_IMODE(folder.stat().st_mode) == 0o700
    assert stat.S_IMODE((folder / FILE).stat().st_mode) == 0o600
    folder.chmod(0o755)
    write_store(folder, store)
    assert stat.S_IMODE(folder.stat().st_mode) == 0o700


def test_two_windows_that_add_somebody_at_once_both_keep_theirs(
    tmp_path: Path, author: Identity, reviewer: Identity
) -> None:
    """One window is in the midst of its change when the other begins: that one has to wait."""
    first_reads, second_waits = threading.Event(), threading.Event()

    def slowly(store: TrustStore) -> TrustStore:
        first_reads.set()
        second_waits.wait(10)
        time.sleep(0.05)  # the other is asking for the lock by now
        return store.with_person("Author", author.certificate, MET)

    def at_once() -> None:
        first_reads.wait(10)
        second_waits.set()
        change_store(tmp_path, lambda store: store.with_person("Reviewer", reviewer.certificate, MET))

    windows = [threading.Thread(target=work) for work in (lambda: change_store(tmp_path, slowly), at_once)]
    for window in windows:
        window.start()
    for window in windows:
        window.join(20)
    assert {one.name for one in read_store(tmp_path).persons} == {"Author", "Reviewer"}


def test_a_list_that_another_window_does_not_let_go_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("reports.trust_store.WAIT", 0.05)
    with FileLock(tmp_path / LOCK), pytest.raises(FileFault, match="another window"):
        change_store(tmp_path, lambda store: store)
    assert not (tmp_path / FILE).exists()


def test_a_change_that_is_refused_changes_nothing(tmp_path: Path, met: TrustStore) -> None:
    write_store(tmp_path, met)
    with pytest.raises(InputError):
        change_store(tmp_path, lambda _store: grouped("no fingerprint"))
    assert read_store(tmp_path) == met


def test_a_damaged_list_is_told_and_never_taken_for_an_empty_one(tmp_path: Path, met: TrustStore) -> None:
    assert read_store(tmp_path) == TrustStore()
    write_store(tmp_path, met)
    whole = (tmp_path / FILE).read_bytes()
    for damaged in (b"", whole[:-20], whole.replace(b"2026-01-15", b"2026-13-15"), b"[]", b'{"format": "x/9"}'):
        (tmp_path / FILE).write_bytes(damaged)
        with pytest.raises(FileFault, match=r"damaged|another version"):
            read_store(tmp_path)


def test_everybody_can_be_forgotten(met: TrustStore, author: Identity, authority: Any) -> None:
    store = met.with_issuer(authority.certificate, MET).with_clock(authority.certificate, MET)
    assert store.without(author.fingerprint) == TrustStore((), store.issuers, store.clocks)
    assert store.without(store.issuers[0].fingerprint) == met


@pytest.mark.parametrize("typed", ["", "12 34", "G" * 64, "0" * 63, "0" * 65])
def test_what_is_no_fingerprint_is_refused(typed: str) -> None:
    with pytest.raises(InputError, match="sixteen groups"):
        grouped(typed)


def test_a_fingerprint_may_be_typed_in_any_spelling(author: Identity) -> None:
    digits = author.fingerprint.replace(" ", "")
    pairs = ":".join(digits[at : at + 2] for at in range(0, 64, 2)).lower()
    assert grouped(digits.lower()) == grouped(pairs) == grouped(author.fingerprint) == author.fingerprint


def test_only_a_root_is_taken_as_one(tmp_path: Path, authority: Any, moment: datetime) -> None:
    leaf = authority.issue("A", ec.generate_private_key(ec.SECP256R1()), starts=moment).certificate
    for name, content in (("leaf.der", leaf.public_bytes(Encoding.DER)), ("text.pem", b"no certificate")):
        (tmp_path / name).write_bytes(content)
        with pytest.raises(FileFault, match=r"root at the top|no certificate"):
            read_root(tmp_path / name)
    for encoding in (Encoding.PEM, Encoding.DER):
        (tmp_path / "root").write_bytes(authority.certificate.public_bytes(encoding))
        assert read_root(tmp_path / "root") == authority.certificate


# ---- what verify says of whom the reader knows -----------------------------------------------------------------------


def test_a_person_met_is_known_since_then(signed: bytes, met: TrustStore, author: Identity) -> None:
    found = verify_report(signed, persons=met.persons)
    told = "\n".join(found.summary)
    assert (
        "Known to you since 2026-01-15 as “Åsa from the workshop”: this is the fingerprint that you compared." in told
    )
    assert "Ask the signer for the fingerprint" not in told
    assert "Ask the signer for the fingerprint" in "\n".join(verify_report(signed).summary)
    assert found.author is not None
    assert found.author.vouched is VerifyAnswer.UNDETERMINED


def test_a_renewed_identity_is_known_on_by_its_key(
    tmp_path: Path, unsigned: bytes, stamp: Stamp, moment: datetime
) -> None:
    path = tmp_path / "me.p12"
    old = make_identity(path, "B. Builder", "invented", "a password", moment - timedelta(days=1000))
    store = TrustStore().with_person("B.", old.certificate, MET)
    renewed = renew_identity(path, "a password", moment)
    assert renewed.certificate.public_key() == old.certificate.public_key()
    assert (renewed.name, renewed.credential) == (old.name, old.credential)
    assert (renewed.not_before, renewed.not_after) == (moment, moment.replace(year=2029))
    assert load_identity(path, "a password").fingerprint == renewed.fingerprint != old.fingerprint
    assert stat.S_IMODE(path.stat().st_mode) == 0o600
    told = "\n".join(verify_report(sign_report(unsigned, renewed, stamp, moment), persons=store.persons).summary)
    assert "Known to you since 2026-01-15 as “B.”: the key is the same, the certificate was renewed." in told
    again = store.with_person("B.", renewed.certificate, moment.date())
    assert [one.since for one in again.persons] == [MET, MET]


def test_the_same_name_by_another_key_is_told(
    tmp_path: Path, unsigned: bytes, stamp: Stamp, moment: datetime, author: Identity
) -> None:
    store = TrustStore().with_person(author.name, author.certificate, MET)
    other = make_identity(tmp_path / "x.p12", "ÅSA  Lindqvist", "invented", "a password", moment)
    told = "\n".join(verify_report(sign_report(unsigned, other, stamp, moment), persons=store.persons).summary)
    assert "You know somebody of this name, since 2026-01-15, by another key." in told
    assert "Known to you" not in told


def test_a_broken_signature_makes_nobody_known(signed: bytes, met: TrustStore) -> None:
    """The certificate beside a forged signature may be anybody's."""
    at = signed.index(b"Page") if b"Page" in signed else 2000
    broken = signed[:at] + bytes([signed[at] ^ 1]) + signed[at + 1 :]
    found = verify_report(broken, persons=met.persons)
    assert found.outcome is VerifyAnswer.FAILED
    assert "Known to you" not in "\n".join(found.summary)


# ---- one's own identity ----------------------------------------------------------------------------------------------


def test_a_password_is_changed_and_the_old_one_opens_no_more(tmp_path: Path, moment: datetime) -> None:
    path = tmp_path / "me.p12"
    made = make_identity(path, "B. Builder", "invented", "a password", moment)
    before = path.read_bytes()
    with pytest.raises(InputError, match="at least 8 letters"):
        change_password(path, "a password", "short")
    assert path.read_bytes() == before
    change_password(path, "a password", "another password")
    with pytest.raises(InputError, match="does not open"):
        load_identity(path, "a password")
    assert load_identity(path, "another password").fingerprint == made.fingerprint


def test_what_an_authority_issued_only_that_one_renews(tmp_path: Path, authority: Any, moment: datetime) -> None:
    from reports.identity import _locked

    path = tmp_path / "issued.p12"
    issued = authority.issue("A", ec.generate_private_key(ec.SECP256R1()), starts=moment)
    path.write_bytes(_locked(issued, issued.key, "a password"))
    with pytest.raises(InputError, match="issued by Test root: ask there"):
        renew_identity(path, "a password", moment)
    assert change_password(path, "a password", "another password").chain == issued.chain
    assert load_identity(path, "another password").chain == issued.chain
