"""Reports, identities and their check on the command line: signed, broken, refused, extracted."""

from __future__ import annotations

import json
from pathlib import Path

import pypdfium2
import pytest
from poppler import accepts

from engcalc.errors import InputError, InputFault

PASSWORD = "only-for-this-test"
CASE = {
    "job": {"title": "Invented", "customer": "Example Parcels", "registration": "EX 123"},
    "vehicle": {"class": "family car"},
    "duties": [{"name": "Idle", "ambient": "-5 degC", "heater": "high"}],
}


@pytest.fixture
def identity(within, tmp_path, monkeypatch, few_rounds) -> Path:
    """An identity made on the command line; its password stands in the environment."""
    monkeypatch.setenv("HEATDOCKET_PASSWORD", PASSWORD)
    path = tmp_path / "me.p12"
    made = within("identity", path, "--name", "A. Technician", "--credential", "invented", "--json")
    assert (made.code, made.err) == (0, "")
    assert made.json["self_issued"] is True
    assert made.json["name"] == "A. Technician"
    return path


@pytest.fixture
def signed(within, case_file, identity, tmp_path) -> Path:
    """A signed customer report."""
    path = tmp_path / "report.pdf"
    written = within("report", case_file(**CASE), "-o", path, "--identity", identity, "--json")
    assert (written.code, written.err) == (0, "")
    assert written.json["signed"] is True
    assert written.json["path"] == str(path)
    return path


def test_a_signed_report_is_intact_and_gives_back_the_case(within, signed, tmp_path):
    back = tmp_path / "back.heatcase.json"
    found = within("verify", signed, "--extract", back, "--json")
    assert found.code == 0
    answer = found.json
    assert (answer["signed"], answer["intact"], answer["covers_whole_file"]) == (True, True, True)
    assert answer["signer"] == "A. Technician"
    assert len(answer["sha256"]) == len(answer["case_sha256"]) == 64
    assert answer["signed_at"]
    assert back.read_bytes() == (tmp_path / "given.heatcase.json").read_bytes()


def test_one_changed_byte_is_said_to_be_broken_here_and_by_poppler(within, signed):
    data = bytearray(signed.read_bytes())
    place = data.index(b"/Type /Page")  # inside the signed range
    data[place + 1] ^= 1
    signed.write_bytes(data)
    found = within("verify", signed, "--json")
    assert found.code == found.json["exit_code"] == 4
    assert (found.json["intact"], found.json["state"]) == (False, "broken")
    assert not accepts(signed)


def test_poppler_agrees_that_the_report_is_signed(signed):
    assert accepts(signed)


@pytest.mark.parametrize("kind", ["customer", "sizing"])
def test_a_draft_needs_no_identity_and_says_so(within, case_file, tmp_path, kind):
    path = tmp_path / "draft.pdf"
    written = within("report", case_file(**CASE), "-o", path, "--kind", kind)
    assert (written.code, written.err) == (0, "")
    assert "not signed" in written.out
    found = within("verify", path, "--json")
    assert (found.code, found.json["signed"], found.json["signer"]) == (5, False, None)


def test_an_anonymised_report_carries_no_customer(within, case_file, identity, tmp_path):
    path, back = tmp_path / "report.pdf", tmp_path / "back.heatcase.json"
    within("report", case_file(**CASE), "-o", path, "--identity", identity, "--anonymised")
    assert within("verify", path, "--extract", back).code == 0
    assert "customer" not in json.loads(back.read_text(encoding="utf-8")).get("job", {})
    assert b"Example Parcels" not in path.read_bytes()


def test_what_cannot_be_signed_is_refused_and_leaves_nothing(within, case_file, identity, tmp_path, monkeypatch):
    path = tmp_path / "report.pdf"
    monkeypatch.setenv("HEATDOCKET_PASSWORD", "wrong")
    refused = within("report", case_file(**CASE), "-o", path, "--identity", identity)
    assert (refused.code, refused.out) == (2, "")
    assert "password" in refused.err
    absent = within("report", case_file(**CASE), "-o", path, "--identity", tmp_path / "absent.p12", "--json")
    assert (absent.code, absent.err) == (2, "")
    assert absent.json["faults"]
    assert not path.exists()


def test_a_password_is_asked_for_only_on_a_terminal(heatdocket, tmp_path):
    refused = heatdocket("identity", tmp_path / "me.p12", "--name", "A", "--credential", "B")
    assert (refused.code, refused.out) == (2, "")
    assert "HEATDOCKET_PASSWORD" in refused.err
    assert not (tmp_path / "me.p12").exists()


def test_an_identity_is_never_overwritten(within, identity):
    before = identity.read_bytes()
    refused = within("identity", identity, "--name", "Another", "--credential", "B")
    assert (refused.code, refused.out) == (2, "")
    assert identity.read_bytes() == before


def test_verify_refuses_in_words_what_is_no_report(within, case_file, tmp_path):
    missing = within("verify", tmp_path / "absent.pdf", "--json")
    assert (missing.code, missing.err) == (2, "")
    assert "cannot be read" in missing.json["faults"][0]["wanted"]
    found = within("verify", case_file(**CASE), "--json")
    assert found.err == ""
    assert found.json.get("intact") is not True
    assert within("verify", case_file(**CASE), "--extract", tmp_path / "x").code == 2


@pytest.mark.parametrize(
    ("spoil", "state", "code"),
    [
        (lambda data: data, "intact", 0),
        (lambda data: data[:2000] + b"!" + data[2001:], "broken", 4),
        (lambda data: data + b"\n% more\n", "added to", 5),
        (lambda data: data[: data.index(b"%%EOF") + 6], "unsigned", 5),
        (lambda _: b"hello", "not examined", 2),
    ],
    ids=["intact", "broken", "added to", "unsigned", "no PDF"],
)
def test_only_an_intact_report_ends_with_0_and_gives_its_case_unasked(within, signed, tmp_path, spoil, state, code):
    """Anything else wants --anyway, and still does not end with 0."""
    signed.write_bytes(spoil(signed.read_bytes()))
    back = tmp_path / "back.heatcase.json"
    told = within("verify", signed, "--json")
    assert (told.code, told.json["exit_code"], told.json["state"]) == (code, code, state)
    carried = told.json["case_sha256"] is not None
    if not carried:
        assert within("verify", signed, "--extract", back).code == 2
        return
    plain = within("verify", signed, "--extract", back)
    assert (plain.code, back.exists()) == (code, state == "intact")
    assert ("--anyway" in plain.out) == (state != "intact")
    back.unlink(missing_ok=True)
    asked = within("verify", signed, "--extract", back, "--anyway", "--json")
    assert (asked.code, back.exists()) == (code, True)


def test_papers_need_no_qt(heatdocket, case_file, tmp_path):
    environ = {"HEATDOCKET_PASSWORD": PASSWORD}
    me, path = tmp_path / "me.p12", tmp_path / "report.pdf"
    assert heatdocket("identity", me, "--name", "A", "--credential", "B", qt=False, environ=environ).code == 0
    written = heatdocket("report", case_file(**CASE), "-o", path, "--identity", me, "--json", qt=False, environ=environ)
    assert (written.code, written.err) == (0, "")
    assert heatdocket("verify", path, "--json", qt=False).json["intact"] is True


def test_a_reviewer_countersigns_and_poppler_finds_both_valid(within, signed, identity, tmp_path):
    both = tmp_path / "both.pdf"
    before = signed.read_bytes()
    made = within("countersign", signed, "-o", both, "--identity", identity, "--json")
    assert (made.code, made.err) == (0, "")
    assert [one["field"] for one in made.json["signatures"]] == ["Author", "Reviewer"]
    assert made.json["intact"] is True
    assert accepts(both)
    assert signed.read_bytes() == before
    assert made.json["case_sha256"] == within("verify", signed, "--json").json["case_sha256"]
    again = within("countersign", both, "-o", tmp_path / "thrice.pdf", "--identity", identity)
    assert again.code == 2
    assert "no empty field" in again.err


def test_a_draft_cannot_be_countersigned(within, case_file, identity, tmp_path):
    draft = tmp_path / "draft.pdf"
    assert within("report", case_file(**CASE), "-o", draft).code == 0
    refused = within("countersign", draft, "-o", tmp_path / "out.pdf", "--identity", identity)
    assert refused.code == 2
    assert "only an intact signed report" in refused.err
    assert not (tmp_path / "out.pdf").exists()


# ---- what is chosen, and what is not lost ----------------------------------------------------------------------------


def pages_of(path):
    with pypdfium2.PdfDocument(path) as document:
        return [" ".join(page.get_textpage().get_text_range().split()) for page in document]


@pytest.mark.parametrize(
    ("reason", "kind"), [("sizing", "sizing"), ("lesson", "lesson"), ("screening", "customer"), (None, "customer")]
)
def test_the_kind_follows_the_reason_for_the_visit(within, case_file, tmp_path, reason, kind):
    job = {} if reason is None else {"reason": reason}
    written = within("report", case_file(**{**CASE, "job": job}), "-o", tmp_path / "a.pdf", "--json", "--no-causes")
    assert written.json["kind"] == kind
    assert written.json["annex"] == ("full" if kind == "lesson" else "short")


def test_a_kind_that_is_named_goes_before_the_reason(within, case_file, tmp_path):
    given = case_file(**{**CASE, "job": {"reason": "lesson"}})
    told = within("report", given, "-o", tmp_path / "b.pdf", "--json", "--kind", "customer", "--annex", "short")
    assert told.json["kind"] == "customer"


@pytest.mark.parametrize("annex", ["none", "short", "full"])
def test_the_annex_is_as_asked_for(within, case_file, tmp_path, annex):
    path = tmp_path / "a.pdf"
    assert within("report", case_file(**CASE), "-o", path, "--annex", annex, "--no-causes").code == 0
    text = pages_of(path)
    assert (len(text) == 2) is (annex == "none")
    assert any("Operating points" in page for page in text) is (annex == "full")


def test_a_signed_report_is_not_written_over_unless_forced(within, signed, case_file):
    before = signed.read_bytes()
    refused = within("report", case_file(**CASE), "-o", signed)
    assert refused.code == 2
    assert "signed report is there already" in refused.err
    assert signed.read_bytes() == before
    assert within("report", case_file(**CASE), "-o", signed, "--force").code == 0
    assert signed.read_bytes() != before


def test_a_draft_is_written_over(within, case_file, tmp_path):
    path = tmp_path / "draft.pdf"
    for _ in range(2):
        assert within("report", case_file(**CASE), "-o", path).code == 0


def test_no_report_goes_over_what_it_is_made_from(within, case_file, identity, tmp_path):
    case, shop = case_file(**CASE), tmp_path / "shop.json"
    shop.write_text('{"name": "Example Works"}')
    for place in (case, identity, shop):
        before = place.read_bytes()
        refused = within("report", case, "-o", place, "--identity", identity, "--letterhead", shop)
        assert refused.code == 2
        assert "what the report is made from" in refused.err
        assert place.read_bytes() == before


def test_a_countersigned_report_does_not_go_over_the_signed_one(within, signed, identity):
    before = signed.read_bytes()
    assert within("countersign", signed, "-o", signed, "--identity", identity).code == 2
    assert signed.read_bytes() == before


def test_a_letterhead_heads_the_page_and_a_bad_one_is_refused(within, case_file, tmp_path):
    shop, path = tmp_path / "shop.json", tmp_path / "a.pdf"
    shop.write_text('{"name": "Example Works", "contact": "1 Lane"}')
    assert within("report", case_file(**CASE), "-o", path, "--letterhead", shop).code == 0
    assert "Example Works" in pages_of(path)[0]
    shop.write_text('{"name": "Example Works", "logo": "absent.png"}')
    refused = within("report", case_file(**CASE), "-o", tmp_path / "b.pdf", "--letterhead", shop, "--json")
    assert refused.code == 2
    assert refused.json["faults"][0]["path"] == "letterhead.logo"
    assert not (tmp_path / "b.pdf").exists()


def test_a_complaint_has_its_causes_unless_they_are_not_wanted(within, case_file, tmp_path, monkeypatch):
    """The diagnosis itself has tests of its own; here, whether it is asked for."""
    asked = []

    def stub(case, _logs, **_options):
        asked.append(case.job.reason)
        raise InputError((InputFault("evidence.before", "", "asked"),))

    monkeypatch.setattr("engcalc.diagnosis.odds.diagnosis.diagnose", stub)
    spot = {"what": "coolant", "at": "20 min", "value": "60 degC"}
    complaint = {"job": {"reason": "no heat"}, "evidence": {"before": {"ambient": "0 degC", "spots": [spot]}}}
    path = tmp_path / "a.pdf"
    within("report", case_file(**complaint), "-o", path)
    assert asked == ["no heat"]
    assert within("report", case_file(**complaint), "-o", path, "--no-causes").code == 0
    assert within("report", case_file(**{**complaint, "job": {}}), "-o", path).code == 0, "nobody complains"
    assert within("report", case_file(**complaint), "-o", path, "--kind", "sizing").code == 0
    assert asked == ["no heat"]
    within("report", case_file(**complaint), "-o", path, "--kind", "sizing", "--causes")
    assert len(asked) == 2
