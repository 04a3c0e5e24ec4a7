"""A command writes over nothing unless told to, and never over what it reads; a report's numbers run elsewhere."""

from __future__ import annotations

import json
import shutil
from hashlib import sha256

import pytest
from poppler import printed_text

ROWS = [f"{t},{20 + t / 10},{900 + t}" for t in range(0, 600, 5)]
LOG = "time (s),coolant [°C],engine speed [rpm]\n" + "\n".join(ROWS) + "\n"
CASE = {"vehicle": {"class": "family car"}, "duties": [{"name": "Idle", "ambient": "20 degC"}]}


@pytest.fixture
def identity(within, tmp_path, monkeypatch, few_rounds):
    monkeypatch.setenv("HEATDOCKET_PASSWORD", "only-for-this-test")
    path = tmp_path / "me.p12"
    assert within("identity", path, "--name", "A. Technician", "--credential", "invented").code == 0
    return path


def test_a_report_is_written_over_nothing_that_exists_or_that_it_reads(within, case_file, identity, tmp_path):
    case, out = case_file(**CASE), tmp_path / "out.pdf"
    assert within("report", case, "-o", out, "--identity", identity).code == 0
    kept = {path: path.read_bytes() for path in (case, identity, out)}
    link = tmp_path / "link.pdf"
    link.symlink_to(case)
    for target, more in ((out, ()), (case, ("--force",)), (identity, ("--force",)), (link, ("--force",)), (case, ())):
        refused = within("report", case, "-o", target, "--identity", identity, *more)
        assert refused.code == 2, target
        assert "choose another name" in refused.err
    assert {path: path.read_bytes() for path in kept} == kept
    assert within("report", case, "-o", out, "--force").code == 0
    assert out.read_bytes() != kept[out]


def test_extracting_and_countersigning_write_over_nothing(within, case_file, identity, tmp_path):
    case, out, back = case_file(**CASE), tmp_path / "out.pdf", tmp_path / "back.heatcase.json"
    within("report", case, "-o", out, "--identity", identity)
    before = out.read_bytes()
    back.write_text("mine", encoding="utf-8")
    assert within("verify", out, "--extract", back).code == 2
    assert back.read_text(encoding="utf-8") == "mine"
    assert within("verify", out, "--extract", out, "--force").code == 2
    assert within("countersign", out, "-o", out, "--identity", identity, "--force").code == 2
    assert within("countersign", out, "-o", identity, "--identity", identity, "--force").code == 2
    assert out.read_bytes() == before
    assert within("verify", out, "--extract", back, "--force").code == 0
    assert json.loads(back.read_text(encoding="utf-8"))["duties"]


def test_the_numbers_of_a_report_run_again_on_another_machine(within, heatdocket, identity, tmp_path):
    """The report alone goes into an empty folder, of somebody whose home is empty too; its case and log come out of it
    and give the same answer. Its page and ``verify`` tell the log by the same SHA-256."""
    here, there, home = tmp_path / "here", tmp_path / "there", tmp_path / "home"
    home.mkdir()
    (here / "logs").mkdir(parents=True)
    there.mkdir()
    (here / "logs" / "drive.csv").write_text(LOG, encoding="utf-8")
    told_here = sha256(LOG.encode()).hexdigest()
    case = here / "a.heatcase.json"
    log = {"before": {"log": {"file": "logs/drive.csv"}}}
    tree = {"format": "heatdocket-case/1", **CASE, "evidence": log, "duties": [{"name": "a", "log_time": "5 min"}]}
    case.write_text(json.dumps(tree), encoding="utf-8")
    out = there / "out.pdf"
    assert within("report", case, "-o", out, "--identity", identity).code == 0
    before = within("check", case, "--json").json
    shutil.rmtree(here)
    (there / "logs").mkdir()
    (there / "logs" / "drive.csv").write_text("another log", encoding="utf-8")
    assert within("verify", out, "--extract", there / "back.heatcase.json").code == 2  # it is not written over
    assert (there / "logs" / "drive.csv").read_text(encoding="utf-8") == "another log"
    assert not (there / "back.heatcase.json").exists()
    shutil.rmtree(there / "logs")
    told = within("verify", out, "--extract", there / "back.heatcase.json", "--json")
    assert told.code == 0
    assert told.json["files"] == [{"name": "logs/drive.csv", "sha256": told_here}]
    assert told_here in "".join(printed_text(out).split())
    assert (there / "logs" / "drive.csv").read_text(encoding="utf-8") == LOG
    elsewhere = {name: str(home) for name in ("HOME", "XDG_CONFIG_HOME", "XDG_DATA_HOME", "XDG_CACHE_HOME")}
    after = heatdocket("check", there / "back.heatcase.json", "--json", environ=elsewhere, qt=False)
    assert after.code == 0
    assert after.json["duties"] == before["duties"]


def test_all_carried_files_together_are_bounded_and_what_is_left_out_is_told(
    within, identity, tmp_path, monkeypatch, less_work
):
    """Two logs, each under the bound: both go with the report where they fit together, else none does, and page and
    ``verify`` name them."""
    tree = {"format": "heatdocket-case/1", **CASE}
    tree["evidence"] = {one: {"log": {"file": f"{one}.csv"}} for one in ("before", "after")}
    case = tmp_path / "a.heatcase.json"
    case.write_text(json.dumps(tree), encoding="utf-8")
    for one in ("before", "after"):
        (tmp_path / f"{one}.csv").write_text(LOG, encoding="utf-8")

    def told_where_all_may_have(most: int) -> tuple[list[str], str, str]:
        monkeypatch.setattr("reports.carried.MOST_CARRIED", most)
        out = tmp_path / f"{most}.pdf"
        assert within("report", case, "-o", out, "--identity", identity).code == 0
        found = within("verify", out, "--json").json
        said = within("verify", out).out
        return [one["name"] for one in found["files"]], said, printed_text(out)

    both = 2 * len(LOG.encode())
    names, said, page = told_where_all_may_have(both)
    assert sorted(names) == ["after.csv", "before.csv"]
    assert "from which the numbers can be run again" in said
    assert "Not carried" not in page
    names, said, page = told_where_all_may_have(both - 1)
    assert names == []
    assert "not all the files that its numbers rest on: “after.csv”, “before.csv”" in " ".join(said.split())
    assert "Not carried with this report: after.csv, before.csv." in page


def test_a_report_that_goes_by_mail_carries_16_mb_of_files_at_most(tmp_path):
    """Common practice, no source: many mail servers take 20 to 25 MB with what coding adds, a third."""
    from engcalc.case.text import CaseText
    from reports.carried import carried_with

    logs = {one: {"log": {"file": f"{one}.csv"}} for one in ("before", "after")}
    text = CaseText({"evidence": logs})
    (tmp_path / "before.csv").write_bytes(bytes(8 << 20))
    (tmp_path / "after.csv").write_bytes(bytes([1]) * (8 << 20))
    assert len(carried_with(text, tmp_path)[1]) == 2
    (tmp_path / "after.csv").write_bytes(bytes([1]) * ((8 << 20) + 1))
    assert carried_with(text, tmp_path)[1] == ()
