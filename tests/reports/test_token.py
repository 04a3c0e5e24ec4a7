"""A signing key on a hardware token, by PKCS#11: SoftHSM stands for the token, a token in software for tests."""

from __future__ import annotations

import shutil
import sys
from collections.abc import Iterator
from datetime import datetime
from pathlib import Path

import pytest
from cryptography.hazmat.primitives.asymmetric import ec, rsa
from own_authority import OwnAuthority, served
from poppler import pdfsig
from soft_token import LABEL, PIN, SoftToken, soft_token

from engcalc.errors import FileFault, InputError
from reports.identity import Identity, bring_token, change_password, load_identity, renew_identity
from reports.signing import PageBox, Stamp, countersign, sign_report
from reports.token import refused_library
from reports.verification import FoundState, VerifyAnswer
from reports.verifying import verify_report


@pytest.fixture(scope="module")
def token() -> SoftToken:
    return soft_token()


@pytest.fixture(scope="module")
def authority(moment: datetime) -> Iterator[OwnAuthority]:
    with served(moment) as found:
        yield found


@pytest.fixture
def issued(token: SoftToken, authority: OwnAuthority, tmp_path: Path) -> Path:
    """A token with a key that an authority issued, and the file that names it."""
    identity = authority.identity("T. Token")
    assert isinstance(identity.key, ec.EllipticCurvePrivateKey)
    token.hold(identity.key, [identity.certificate, authority.root])
    bring_token(tmp_path / "me.token.json", token.module, PIN)
    return tmp_path / "me.token.json"


def test_a_token_signs_and_everybody_agrees(
    issued: Path, authority: OwnAuthority, unsigned: bytes, stamp: Stamp, moment: datetime, tmp_path: Path
) -> None:
    identity = load_identity(issued, PIN)
    signed = sign_report(unsigned, identity, stamp, moment)
    found = verify_report(signed, (authority.root,))
    assert found.state is FoundState.INTACT, found.problem
    assert found.author is not None
    assert (found.author.signer, found.author.vouched) == ("T. Token", VerifyAnswer.PASSED)
    (tmp_path / "signed.pdf").write_bytes(signed)
    assert "Signature is Valid" in pdfsig(tmp_path / "signed.pdf")


def test_a_token_with_an_rsa_key_countersigns(
    token: SoftToken, authority: OwnAuthority, unsigned: bytes, author: Identity, stamp: Stamp, moment: datetime,
    tmp_path: Path,
) -> None:  # fmt: skip
    key = rsa.generate_private_key(65537, 2048)
    token.hold(key, [authority.certificate_for("R. Reviewer", key)])
    identity = bring_token(tmp_path / "r.token.json", token.module, PIN)
    signed = sign_report(unsigned, author, stamp, moment, reviewer=PageBox(-1, (300, 60, 530, 130)))
    found = verify_report(countersign(signed, identity, "HD-1", moment))
    assert (found.state, len(found.signatures)) == (FoundState.INTACT, 2)


def test_neither_key_nor_pin_is_in_the_file(issued: Path) -> None:
    held = issued.read_text(encoding="utf-8")
    assert PIN not in held
    assert "PRIVATE" not in held
    assert issued.stat().st_mode & 0o777 == 0o600


def test_a_wrong_pin_is_told_and_the_right_one_still_opens(issued: Path) -> None:
    with pytest.raises(InputError, match="refuses this PIN"):
        load_identity(issued, "000000")
    assert load_identity(issued, PIN).name == "T. Token"


def test_what_only_the_token_s_own_program_does_is_told(issued: Path, moment: datetime) -> None:
    for change in (lambda: renew_identity(issued, PIN, moment), lambda: change_password(issued, PIN, "a new password")):
        with pytest.raises(InputError, match="maker's program"):
            change()


def test_another_certificate_or_no_token_is_told(
    issued: Path, token: SoftToken, authority: OwnAuthority, tmp_path: Path
) -> None:
    held = issued.read_text(encoding="utf-8")
    other = authority.identity("O. Other")
    assert isinstance(other.key, ec.EllipticCurvePrivateKey)
    token.hold(other.key, [other.certificate])
    with pytest.raises(FileFault, match="no longer holds this certificate"):
        load_identity(issued, PIN)
    issued.write_text(held.replace(LABEL, "Elsewhere"), encoding="utf-8")
    with pytest.raises(InputError, match="not plugged in"):
        load_identity(issued, PIN)
    token.hold(other.key, [])
    with pytest.raises(InputError, match="0 keys with their certificates"):
        bring_token(tmp_path / "none.json", token.module, PIN)


def test_a_stranger_s_library_is_never_loaded(issued: Path, token: SoftToken, tmp_path: Path) -> None:
    """A file that names a library may come from anybody, and a library runs whatever is in it."""
    stranger = tmp_path / "evil.so"
    shutil.copy(token.module, stranger)
    for module in (stranger, Path("evil.so"), tmp_path / "missing.so", Path("/usr/lib")):
        assert refused_library(module)
        issued.write_text(issued.read_text(encoding="utf-8").replace(str(token.module), str(module)), encoding="utf-8")
        with pytest.raises(InputError, match="library"):
            load_identity(issued, PIN)
    assert refused_library(token.module) == ""


@pytest.mark.parametrize("damaged", [b"{", b"{}", b'{"format": "heatdocket-token/9"}', b"{" * 100_000])
def test_a_damaged_file_is_told(tmp_path: Path, damaged: bytes) -> None:
    (tmp_path / "x.json").write_bytes(damaged)
    with pytest.raises(FileFault, match=r"damaged|another version"):
        load_identity(tmp_path / "x.json", PIN)


def test_a_library_that_speaks_no_pkcs11_is_told(tmp_path: Path) -> None:
    libc = next(Path("/lib").rglob("libz.so.1"))
    with pytest.raises(InputError, match="does not speak PKCS#11"):
        bring_token(tmp_path / "x.json", libc.resolve(), PIN)


def test_where_the_package_for_tokens_is_missing_its_name_is_told(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(sys.modules, "pkcs11", None)
    libc = next(Path("/lib").rglob("libz.so.1"))
    with pytest.raises(InputError, match=r"need the package python-pkcs11: .*heatdocket\[token\]"):
        bring_token(tmp_path / "x.json", libc.resolve(), PIN)
