"""Whom a user knows, and the user's own identities, on the command line."""

from __future__ import annotations

import json
import stat

import pytest
from cryptography.hazmat.primitives.serialization import Encoding
from own_authority import OwnAuthority, served
from soft_token import PIN, soft_token

from ui.trusting import default_folder, now

CASE = {"vehicle": {"class": "family car"}, "duties": [{"name": "Idle", "ambient": "20 degC"}]}


pytestmark = pytest.mark.usefixtures("few_rounds")


@pytest.fixture
def identity(within, tmp_path, monkeypatch):
    monkeypatch.setenv("HEATDOCKET_PASSWORD", "only-for-this-test")
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "config"))
    path = tmp_path / "me.p12"
    assert within("identity", path, "--name", "A. Technician", "--credential", "invented").code == 0
    return path


@pytest.fixture
def signed(within, case_file, identity, tmp_path):
    place = tmp_path / "reports" / "deeper"
    place.mkdir(parents=True)
    assert within("report", case_file(**CASE), "-o", place / "one.pdf", "--identity", identity).code == 0
    return place / "one.pdf"


def test_a_signer_is_known_by_a_fingerprint_given_another_way_and_forgotten(within, signed):
    (one,) = within("verify", signed, "--json").json["signatures"]
    assert (one["known_since"], one["level"]) == (None, "B-B")
    wrong = within("known", "person", signed, "--fingerprint", "0" * 64)
    assert wrong.code == 2
    assert "not from the person who gave it to you" in wrong.err
    assert within("known", "person", signed, "--fingerprint", one["fingerprint"], "--name", "Ann").code == 0
    assert stat.S_IMODE(default_folder().stat().st_mode) == 0o700
    (again,) = within("verify", signed, "--json").json["signatures"]
    assert again["known_as"] == "Ann"
    assert "Known to you since" in within("verify", signed).out
    assert one["fingerprint"] in within("known", "list").out
    assert within("known", "forget", one["fingerprint"]).code == 0
    assert within("known", "forget", one["fingerprint"]).code == 2
    assert within("known", "list", "--json").json == {"persons": [], "issuers": [], "clocks": []}


def test_nobody_is_known_from_a_broken_report(within, signed):
    (one,) = within("verify", signed, "--json").json["signatures"]
    data = signed.read_bytes()
    signed.write_bytes(data.replace(b"/Producer", b"/Producex", 1))
    refused = within("known", "person", signed, "--fingerprint", one["fingerprint"])
    assert (refused.code, "only from an intact signed report" in refused.err) == (2, True)


def test_a_folder_is_verified_with_a_line_each_and_the_worst_exit_code(within, signed, tmp_path):
    folder = tmp_path / "reports"
    whole = within("verify", folder)
    assert whole.code == 0
    assert whole.out.startswith(f"intact: {signed}, signed by “A. Technician”")
    (folder / "two.PDF").write_bytes(signed.read_bytes().replace(b"/Producer", b"/Producex", 1))
    (folder / "three.pdf").write_bytes(b"no report")
    (folder / "four.txt").write_bytes(b"not looked at")
    found = within("verify", folder, "--json")
    assert found.code == 4
    states = {one["path"].rpartition("/")[2]: one["state"] for one in found.json["reports"]}
    assert states == {"one.pdf": "intact", "two.PDF": "broken", "three.pdf": "not examined"}
    assert within("verify", signed, tmp_path / "missing.pdf").code == 2
    assert "3 reports: 1 broken, 1 not examined, 1 intact." in within("verify", folder).out
    assert within("verify", folder, "--extract", tmp_path / "x.heatcase.json").code == 2
    empty = tmp_path / "empty"
    empty.mkdir()
    assert "holds no PDF" in within("verify", empty).err


def test_a_damaged_list_ends_verifying_and_says_so(within, signed):
    default_folder().mkdir(mode=0o700, parents=True, exist_ok=True)
    (default_folder() / "known.json").write_text("{", encoding="utf-8")
    refused = within("verify", signed)
    assert (refused.code, "the list of whom you know is damaged" in refused.err) == (2, True)


def test_own_identities_are_listed_renewed_and_locked_anew(within, identity, monkeypatch):
    (one,) = within("identity", "--json").json["identities"]
    assert (one["path"], one["name"]) == (str(identity), "A. Technician")
    renewed = within("identity", identity, "--renew", "--json").json
    assert renewed["fingerprint"] != one["fingerprint"]
    monkeypatch.setenv("HEATDOCKET_NEW_PASSWORD", "another-for-this-test")
    assert within("identity", identity, "--new-password").code == 0
    assert within("identity", identity).code == 2
    monkeypatch.setenv("HEATDOCKET_PASSWORD", "another-for-this-test")
    assert renewed["fingerprint"] in within("identity", identity).out
    assert len(within("identity", "--json").json["identities"]) == 1


def test_an_identity_that_ends_soon_is_told(within, identity):
    path = default_folder() / "known.json"
    tree = json.loads(path.read_text(encoding="utf-8"))
    tree["own"][0]["not_after"] = "2026-01-01T00:00:00+00:00"
    path.write_text(json.dumps(tree), encoding="utf-8")
    assert "This identity has ended on 2026-01-01. Renew it" in within("identity").out


def test_a_new_identity_needs_name_and_credential(within, tmp_path):
    refused = within("identity", tmp_path / "x.p12", "--name", "A")
    assert (refused.code, "--credential" in refused.err) == (2, True)


def test_a_named_server_stamps_a_report_and_its_root_has_to_be_known_for_what_lasts(
    within, case_file, identity, tmp_path
):
    """The clock of this server says what this machine's clock says."""
    with served(now()) as authority:
        root, out = tmp_path / "root.pem", tmp_path / "out.pdf"
        root.write_bytes(authority.root.public_bytes(Encoding.PEM))
        words = ("report", case_file(**CASE), "-o", out, "--identity", identity, "--timestamp-server")
        refused = within(*words, authority.address, "--lasting", "archive")
        assert (refused.code, "known clock" in refused.err, out.exists()) == (2, True, False)
        assert within("known", "clock", root).code == 0
        assert within(*words, authority.address, "--lasting", "archive").code == 0
    found = within("verify", out, "--json").json
    (one,) = found["signatures"]
    assert (found["state"], one["level"], one["time_attested"]) == ("intact", "B-LTA", True)
    assert [stamp["trusted"] for stamp in found["timestamps"]] == [True]
    assert within("report", case_file(**CASE), "-o", tmp_path / "x.pdf", "--lasting", "time").code == 2


def test_a_draft_is_not_stamped(within, case_file, tmp_path):
    refused = within("report", case_file(**CASE), "-o", tmp_path / "x.pdf", "--timestamp-server", "http://127.0.0.1:9/")
    assert (refused.code, "only what is signed" in refused.err) == (2, True)


def test_a_report_is_signed_with_a_token(within, case_file, tmp_path, monkeypatch):
    token, issuer = soft_token(), OwnAuthority(now(), "http://127.0.0.1:9/")
    identity = issuer.identity("T. Token")
    token.hold(identity.key, [identity.certificate])
    monkeypatch.setenv("HEATDOCKET_PASSWORD", PIN)
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "config"))
    named, report = tmp_path / "me.token.json", tmp_path / "r.pdf"
    assert identity.fingerprint in within("identity", named, "--token", token.module).out
    assert within("identity", named, "--token", token.module).code == 2  # what is there is not written over
    assert within("report", case_file(**CASE), "-o", report, "--identity", named).code == 0
    assert within("verify", report).code == 0
    assert identity.fingerprint in within("identity").out
