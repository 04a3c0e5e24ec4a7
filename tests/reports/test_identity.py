"""Making and reading identities: every fault in words, the key never weaker or more readable than it should be."""

from __future__ import annotations

import hashlib
import re
import shutil
import stat
import subprocess
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from cryptography import x509
from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.asymmetric import ec, ed25519, rsa
from cryptography.hazmat.primitives.serialization import (
    BestAvailableEncryption,
    Encoding,
    NoEncryption,
    PrivateFormat,
    pkcs12,
)
from cryptography.x509.oid import NameOID

from engcalc.errors import FileFault, InputError
from engcalc.words.page.paper_words import HOW_TO_CHECK
from reports.identity import Identity, load_identity, make_identity, usable_at

NAME, CREDENTIAL = "Åsa Lindqvist", "Master technician, licence 1234"


def _brought(path: Path, key: rsa.RSAPrivateKey | ec.EllipticCurvePrivateKey | ed25519.Ed25519PrivateKey) -> Path:
    """A PKCS#12 as other programs make them: no title, no key usage, a friendly name."""
    subject = x509.Name(
        [
            x509.NameAttribute(NameOID.ORGANIZATION_NAME, "Corner Garage"),
            x509.NameAttribute(NameOID.COMMON_NAME, "Bo Ek"),
        ]
    )
    start = datetime(2025, 1, 1, tzinfo=UTC)
    digest = None if isinstance(key, ed25519.Ed25519PrivateKey) else hashes.SHA256()
    certificate = (
        x509.CertificateBuilder()
        .subject_name(subject)
        .issuer_name(subject)
        .public_key(key.public_key())
        .serial_number(7)
        .not_valid_before(start)
        .not_valid_after(start + timedelta(days=800))
        .sign(key, digest)
    )
    path.write_bytes(
        pkcs12.serialize_key_and_certificates(b"mine", key, certificate, None, BestAvailableEncryption(b"password"))
    )
    return path


def test_a_made_identity_reads_back(identity_path: Path, password: str, moment: datetime) -> None:
    identity = load_identity(identity_path, password)
    assert (identity.name, identity.credential, identity.self_issued) == (NAME, CREDENTIAL, True)
    assert identity.not_before == moment - timedelta(days=30)
    assert identity.not_after == identity.not_before.replace(year=2029)
    assert usable_at(identity, moment) == ()


def test_the_certificate_is_for_signing_and_nothing_else(author: Identity) -> None:
    """RFC 5280 section 4.2.1.3 (key usage) and 4.2.1.9 (basic constraints)."""
    extensions = author.certificate.extensions
    usage = extensions.get_extension_for_class(x509.KeyUsage)
    assert usage.critical
    assert usage.value.digital_signature
    assert usage.value.content_commitment
    assert not usage.value.key_cert_sign
    assert not usage.value.key_encipherment
    assert not usage.value.key_agreement
    assert not extensions.get_extension_for_class(x509.BasicConstraints).value.ca
    assert author.certificate.version is x509.Version.v3
    key = author.certificate.public_key()
    assert isinstance(key, ec.EllipticCurvePublicKey)
    assert key.curve.name == "secp256r1"


def test_only_the_owner_may_read_the_file(identity_path: Path) -> None:
    assert stat.S_IMODE(identity_path.stat().st_mode) == 0o600
    assert [entry.name for entry in identity_path.parent.iterdir()] == [identity_path.name]


def test_the_file_is_locked_with_aes_and_many_rounds(identity_path: Path, password: str) -> None:
    """Read by another program: openssl names the scheme of each part."""
    program = shutil.which("openssl")
    if program is None:
        pytest.skip("openssl is not installed, so no second reader of the file is at hand")
    command = [program, "pkcs12", "-in", str(identity_path), "-info", "-noout", "-passin", f"pass:{password}"]
    told = subprocess.run(command, capture_output=True, text=True, check=False).stderr
    assert told.count("PBES2, PBKDF2, AES-256-CBC, Iteration 600000, PRF hmacWithSHA256") == 2
    assert "MAC: sha256" in told


def test_the_fingerprint_is_sha256_of_the_certificate_in_groups(author: Identity) -> None:
    expected = hashlib.sha256(author.certificate.public_bytes(Encoding.DER)).hexdigest().upper()
    assert re.fullmatch(r"([0-9A-F]{4} ){15}[0-9A-F]{4}", author.fingerprint)
    assert author.fingerprint.replace(" ", "") == expected
    assert "sixteen groups" in HOW_TO_CHECK


def test_the_key_does_not_show_in_print(author: Identity) -> None:
    assert "PrivateKey" not in repr(author)


def test_every_fault_is_told_at_once(tmp_path: Path) -> None:
    path = tmp_path / "x.p12"
    with pytest.raises(InputError, match=r"identity\.name: type your name") as caught:
        make_identity(path, "  ", "x" * 65, "short", datetime(2026, 1, 1), years=0)  # wrong on purpose
    told = [fault.path for fault in caught.value.faults]
    assert told == ["identity.name", "identity.credential", "identity.password", "identity.now", "identity.years"]
    assert not path.exists()


@pytest.mark.parametrize("name", ["a" * 65, "я" * 33, "two\nlines", "bell\a"])
def test_names_that_no_certificate_carries_are_refused(tmp_path: Path, moment: datetime, name: str) -> None:
    with pytest.raises(InputError, match=r"identity\.name.*(too long|one line)"):
        make_identity(tmp_path / "x.p12", name, CREDENTIAL, "long enough", moment)


@pytest.mark.parametrize("name", ["a" * 64, "я" * 32])
def test_the_longest_names_fit(tmp_path: Path, moment: datetime, name: str) -> None:
    """RFC 5280 appendix A.1: ub-common-name 64."""
    make_identity(tmp_path / "x.p12", name, "c" * 64, "long enough", moment)
    assert load_identity(tmp_path / "x.p12", "long enough").name == name


def test_a_leap_day_ends_on_the_28th(tmp_path: Path) -> None:
    identity = make_identity(tmp_path / "x.p12", "n", "c", "long enough", datetime(2028, 2, 29, tzinfo=UTC), years=1)
    assert identity.not_after == datetime(2029, 2, 28, tzinfo=UTC)


def test_an_existing_file_is_never_overwritten(tmp_path: Path, moment: datetime) -> None:
    path = tmp_path / "x.p12"
    path.write_bytes(b"precious")
    with pytest.raises(FileFault, match="exists already"):
        make_identity(path, "n", "c", "long enough", moment)
    assert path.read_bytes() == b"precious"


def test_a_folder_that_is_not_there(tmp_path: Path, moment: datetime) -> None:
    with pytest.raises(FileFault, match="cannot be written"):
        make_identity(tmp_path / "none" / "x.p12", "n", "c", "long enough", moment)


def test_no_password_at_all_is_asked_for(identity_path: Path) -> None:
    with pytest.raises(InputError, match=r"type the password that was chosen when author\.p12 was made"):
        load_identity(identity_path, "")


@pytest.mark.parametrize("wrong", ["A long pässword", "a long password"])
def test_a_wrong_password_is_told(identity_path: Path, wrong: str) -> None:
    with pytest.raises(InputError, match=r"identity\.password: this password does not open author\.p12"):
        load_identity(identity_path, wrong)


def test_a_missing_file_and_a_folder(tmp_path: Path) -> None:
    for path in (tmp_path / "none.p12", tmp_path):
        with pytest.raises(FileFault, match="cannot be read"):
            load_identity(path, "x")


@pytest.mark.parametrize(
    "content", [b"", b"%PDF-1.7", b"-----BEGIN CERTIFICATE-----", bytes(2 << 20), b"\x30\x03\x02\x01\x03"]
)
def test_other_files_are_told_apart(tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "x.p12"
    path.write_bytes(content)
    with pytest.raises(FileFault, match=r"not an identity file|damaged|has more than"):
        load_identity(path, "x")


def test_a_damaged_file_is_an_error_in_words(identity_path: Path, tmp_path: Path, password: str) -> None:
    whole = identity_path.read_bytes()
    for cut in (len(whole) // 3, len(whole) - 1):
        path = tmp_path / "cut.p12"
        path.write_bytes(whole[:cut])
        with pytest.raises(InputError, match="damaged"):
            load_identity(path, password)
    middle = len(whole) // 2
    path.write_bytes(whole[:middle] + bytes([whole[middle] ^ 1]) + whole[middle + 1 :])
    with pytest.raises(InputError, match="damaged"):
        load_identity(path, password)


def test_a_file_without_a_key(tmp_path: Path, author: Identity) -> None:
    path = tmp_path / "x.p12"
    locked = BestAvailableEncryption(b"password")
    path.write_bytes(pkcs12.serialize_key_and_certificates(None, None, author.certificate, None, locked))
    with pytest.raises(FileFault, match="no private key"):
        load_identity(path, "password")


def test_a_key_of_somebody_else(
    identity_path: Path, password: str, author: Identity, monkeypatch: pytest.MonkeyPatch
) -> None:
    """No writer at hand makes such a file, so the reader is made to see one."""
    other = ec.generate_private_key(ec.SECP256R1())
    monkeypatch.setattr(pkcs12, "load_key_and_certificates", lambda *_: (other, author.certificate, []))
    with pytest.raises(FileFault, match="does not belong"):
        load_identity(identity_path, password)


def test_identities_brought_along(tmp_path: Path) -> None:
    for key in (rsa.generate_private_key(65537, 2048), ec.generate_private_key(ec.SECP384R1())):
        identity = load_identity(_brought(tmp_path / "x.p12", key), "password")
        assert (identity.name, identity.credential, identity.self_issued) == ("Bo Ek", "", True)


def test_keys_that_will_not_do(tmp_path: Path) -> None:
    weak = _brought(tmp_path / "weak.p12", rsa.generate_private_key(65537, 1024))  # weak on purpose
    with pytest.raises(FileFault, match="1024 bits; at least 2048"):
        load_identity(weak, "password")
    with pytest.raises(FileFault, match="neither RSA nor elliptic curve"):
        load_identity(_brought(tmp_path / "ed.p12", ed25519.Ed25519PrivateKey.generate()), "password")


def test_time_and_usage_are_checked(author: Identity, authority: Any) -> None:
    assert "expired" in str(usable_at(author, author.not_after + timedelta(seconds=1))[0])
    assert "not valid yet" in str(usable_at(author, author.not_before - timedelta(seconds=1))[0])
    root = authority.certificate
    assert "not for signing" in str(usable_at(Identity(authority.key, root), root.not_valid_before_utc)[0])


def test_no_plain_key_in_the_file(identity_path: Path, author: Identity, password: str) -> None:
    key = load_identity(identity_path, password).key
    plain = key.private_bytes(Encoding.DER, PrivateFormat.PKCS8, NoEncryption())
    secret = key.private_numbers().private_value.to_bytes(32, "big")
    assert secret in plain
    assert secret not in identity_path.read_bytes()


def test_both_locks_of_the_file_cost_as_much_as_guidance_asks(identity_path: Path, password: str) -> None:
    """Read from the file's own ASN.1. OWASP's cheat sheet on password storage (2023) asks for 600,000 rounds of PBKDF2
    with HMAC-SHA-256, from memory; the integrity check hashes once a round where PBKDF2 does twice."""
    from asn1crypto import pkcs12

    found = pkcs12.Pfx.load(identity_path.read_bytes())
    assert found["mac_data"]["mac"]["digest_algorithm"]["algorithm"].native == "sha256"
    assert found["mac_data"]["iterations"].native >= 1_200_000
    assert len(found["mac_data"]["mac_salt"].native) >= 8
    rounds = []
    for safe in found.authenticated_safe:
        if safe["content_type"].native == "encrypted_data":
            info = safe["content"]["encrypted_content_info"]["content_encryption_algorithm"]
            rounds.append(info["parameters"]["key_derivation_func"]["parameters"]["iteration_count"].native)
        else:
            for bag in pkcs12.SafeContents.load(safe["content"].native):
                if bag["bag_id"].native == "pkcs8_shrouded_key_bag":
                    locked = bag["bag_value"]["encryption_algorithm"]["parameters"]
                    rounds.append(locked["key_derivation_func"]["parameters"]["iteration_count"].native)
    assert rounds
    assert min(rounds) >= 600_000
    assert load_identity(identity_path, password).name == "Åsa Lindqvist"


def test_another_program_opens_the_file_and_refuses_a_wrong_password(identity_path: Path, password: str) -> None:
    """OpenSSL's own command derives the key of the integrity check for itself."""
    import shutil
    import subprocess

    program = shutil.which("openssl")
    if program is None:
        pytest.skip("openssl is not installed, so no second reader of the file is at hand")
    for word, code in ((password, 0), ("wrong", 1)):
        done = subprocess.run(
            [program, "pkcs12", "-in", identity_path, "-noout", "-passin", f"pass:{word}"],
            capture_output=True,
            check=False,
        )
        assert done.returncode == code


def test_an_identity_made_before_still_opens(author: Identity, tmp_path: Path) -> None:
    """With 2,048 rounds, as identities were written until now."""
    from cryptography.hazmat.primitives.serialization import PrivateFormat, pkcs12

    lock = (
        PrivateFormat.PKCS12.encryption_builder()
        .kdf_rounds(600_000)
        .key_cert_algorithm(pkcs12.PBES.PBESv2SHA256AndAES256CBC)
        .build(b"an old password")
    )
    path = tmp_path / "old.p12"
    path.write_bytes(pkcs12.serialize_key_and_certificates(b"x", author.key, author.certificate, None, lock))
    assert load_identity(path, "an old password").fingerprint == author.fingerprint
