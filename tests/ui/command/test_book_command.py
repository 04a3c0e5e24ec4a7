"""``heatdocket book`` as a person and as a script use it."""

from __future__ import annotations

import hashlib
import json
from pathlib import Path

import pytest

from reports.identity import make_identity
from ui import trusting
from ui.book.copies import kept_backups
from ui.book.store import Book
from ui.command.main import INPUT_AT_FAULT, RESULT

ROOT = Path(__file__).parents[3]
EXAMPLES = ROOT / "worked_examples"
VAN = EXAMPLES / "van-no-heat.heatcase.json"
REPAIRED = EXAMPLES / "van-repaired.heatcase.json"
ENDED = ("--cause", "thermostat_stuck_open", "--confirmed", "measured", "--replaced", "thermostat", "--cured", "yes")


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "shop.jobbook"


def test_a_job_from_its_case_to_its_outcome(within, path):
    added = within("book", path, "add", VAN, "--json").json["kept"]
    assert [(one["name"], one["job"], one["new_job"]) for one in added] == [(VAN.name, 1, True)]
    found = within("book", path, "find", "parcels", "VAN", "--json").json["jobs"]
    assert [(one["job"], one["state"], one["customer"]) for one in found] == [(1, "open", "Example Parcels")]
    assert within("book", path, "outcome", 1, *ENDED).out.startswith(
        "Job 1 is closed. Found: The thermostat is stuck open"
    )
    shown = within("book", path, "show", 1, "--json").json
    assert shown["outcomes"] == [
        {
            "cause": "thermostat_stuck_open",
            "confirmed": "measured",
            "replaced": "thermostat",
            "cured": "yes",
            "counts": True,
        }
    ]
    assert within("book", path, "find", "--open", "--json").json["jobs"] == []
    assert within("book", path, "find", "--open").out == "No job has these words.\n"


def test_the_words_say_what_json_says(within, path):
    within("book", path, "import", EXAMPLES)
    lines = within("book", path, "find", "van").out.splitlines()
    jobs = within("book", "--json", path, "find", "van").json["jobs"]
    assert [int(line.split()[0]) for line in lines] == [job["job"] for job in jobs]
    assert all(job["complaint"] in line for job, line in zip(jobs, lines, strict=True))
    shown = within("book", path, "show", jobs[0]["job"])
    assert "log     van-before.csv" in shown.out
    assert f"Other jobs of this vehicle: {jobs[1]['job']}" in shown.out


def test_a_case_comes_out_as_it_went_in(within, path, tmp_path):
    within("book", path, "add", VAN)
    assert within("book", path, "show", 1, "--case", tmp_path / "again.heatcase.json").code == RESULT
    assert (tmp_path / "again.heatcase.json").read_bytes() == VAN.read_bytes()
    assert within("book", path, "show", 1, "--case", tmp_path / "again.heatcase.json").code == INPUT_AT_FAULT


def test_in_and_out_back_up_and_restore(within, path, tmp_path):
    within("book", path, "import", EXAMPLES)
    assert within("book", path, "export", tmp_path / "out", "--json").json["jobs"] == 7
    assert within("check", tmp_path / "out" / "job-00007" / REPAIRED.name).code == RESULT  # its logs lie beside it
    within("book", path, "backup", tmp_path / "copy.jobbook")
    gone = within("book", path, "forget", "example parcels", "--json").json
    assert (gone["customer"], gone["jobs"], gone["files"]) == ("Example Parcels", 2, 2)
    assert within("book", path, "find", "parcels", "--json").json["jobs"] == []
    restored = within("book", path, "restore", tmp_path / "copy.jobbook", "--json").json
    assert Path(restored["replaced"]).exists()
    assert len(within("book", path, "find", "parcels", "--json").json["jobs"]) == 2


def test_a_backup_is_made_each_day_that_something_is_changed(within, path):
    within("book", path, "add", VAN)
    assert kept_backups(path) == []  # a new book has nothing to lose yet
    within("book", path, "find", "van")
    assert kept_backups(path) == []
    within("book", path, "outcome", 1, *ENDED)
    (backup,) = kept_backups(path)
    within("book", path, "add", REPAIRED)
    assert kept_backups(path) == [backup]
    with Book.open(backup) as copy:
        assert copy.connection.execute("SELECT count(*) FROM outcomes").fetchone()[0] == 0


FAULTS = [
    (("find", "x"), "there is no job book of this name"),
    (("show", "7"), "the number of a job of this book"),
    (("outcome", "1", "--cause", "gremlins", "--confirmed", "felt", "--cured", "maybe"), "a key of the list of causes"),
    (("forget", "Nobody"), "whole name of a customer"),
    (("restore", "none"), "there is no such file"),
    (("import", "none"), "there is no such folder"),
    (("take", "none", "--source", "North"), "cannot be read"),
    (("add", "none.heatcase.json"), "cannot be read"),
    (("add", "none.pdf"), "cannot be read"),
]


@pytest.mark.parametrize(("words", "told"), FAULTS)
def test_what_is_at_fault_is_told_with_what_would_do(within, path, tmp_path, words, told):
    if "there is no job book" not in told:
        within("book", path, "add", VAN)
    given = [tmp_path / word if word.startswith("none") else word for word in words]
    for extra in ((), ("--json",)):
        found = within("book", path, *given, *extra)
        assert found.code == INPUT_AT_FAULT
        assert told in (found.out if extra else found.err)
    assert "wanted" in found.json["faults"][0]


def test_of_several_cases_the_good_ones_are_kept(within, path, tmp_path):
    bad = tmp_path / "bad.heatcase.json"
    bad.write_text("{")
    found = within("book", path, "add", bad, VAN, tmp_path / "none.heatcase.json", "--json")
    assert found.code == INPUT_AT_FAULT
    assert len(found.json["faults"]) == 2
    assert len(within("book", path, "find", "--json").json["jobs"]) == 1


def test_it_runs_without_qt(heatdocket, path):
    assert heatdocket("book", path, "add", VAN, qt=False).code == RESULT
    found = heatdocket("book", path, "find", "van", "--json", qt=False)
    assert [job["job"] for job in found.json["jobs"]] == [1]


@pytest.mark.parametrize(
    "words", [("book",), ("book", "x"), ("book", "x", "fly"), ("book", "x", "find", "--limit", "0")]
)
def test_what_is_missing_is_said(within, words, capsys):
    with pytest.raises(SystemExit) as ended:
        within(*words)
    assert ended.value.code == INPUT_AT_FAULT


# ---- the loop closed ------------------------------------------------------------------------------------------------


def enter(path: Path, jobs: int, cause: str = "thermostat_stuck_open", claimed: float = 0.0) -> None:
    """Jobs with a confirmed outcome, written straight into the book; with a claim each where one is asked for."""
    with Book.open(path, make=True) as book, book.writing() as connection:
        first = connection.execute("SELECT coalesce(max(id), 0) + 1 FROM visits").fetchone()[0]
        for number in range(first, first + jobs):
            connection.execute(
                "INSERT INTO visits VALUES (?, NULL, NULL, '', '2026-01-01', '',"
                " 'no heat', 'delivery van', '', 'closed')",
                (number,),
            )
            connection.execute(
                "INSERT INTO outcomes VALUES (NULL, ?, '2026-01-02', ?, 'seen', '', 'yes')", (number, cause)
            )
            if claimed:
                odds = json.dumps({"low_coolant": claimed, "thermostat_stuck_open": 1.0 - claimed})
                connection.execute("INSERT INTO claims VALUES (NULL, ?, '2026-01-01', ?, ?)", (number, odds, odds))


@pytest.fixture
def short_van(case_file) -> Path:
    """The van after eight minutes: what its odds are is not looked at, and a long record takes long."""
    tree = json.loads(VAN.read_text(encoding="utf-8"))
    record = tree["evidence"]["before"]
    record["schedule"] = [{"vehicle_speed": "90 km/h", "heater": "high", "duration": "8 min"}]
    record["spots"] = [{"what": "coolant", "at": "8 min", "value": "8 degC", "instrument": "scan_tool"}]
    return case_file(**tree)


def test_own_rates_are_in_force_only_where_the_book_is_named(within, path, less_work, short_van):
    enter(path, 60, "low_coolant")
    plain = within("diagnose", short_van, "--json").json
    own = within("diagnose", short_van, "--book", path, "--json").json
    assert plain["base_rates"]["basis"] == "common practice, no source"
    assert own["base_rates"]["basis"] == (
        "counted in the job book: 60 jobs, 60 of them on a delivery van; they carry 60 %, "
        "the rest is common practice, no source"
    )
    assert own["base_rates"]["rates"]["low_coolant"] > 0.6
    assert plain["base_rates"]["rates"]["low_coolant"] < 0.2
    odds = [{c["fault"]: c["probability"] for c in found["causes"]} for found in (plain, own)]
    assert odds[1]["low_coolant"] > odds[0]["low_coolant"]
    assert "kept_with_job" not in plain
    assert own["kept_with_job"] is None


def test_the_odds_are_kept_with_the_job_and_held_against_its_outcome(within, path, less_work, short_van):
    within("book", path, "add", short_van)
    said = within("diagnose", short_van, "--book", path)
    assert said.out.rstrip().endswith("The odds are kept with job 1, to be held against its outcome.")
    assert "no job with a confirmed outcome for this reason is in the job book" in said.out
    assert within("book", path, "honesty", "--json").json["claims"] == 0
    within("book", path, "outcome", 1, *ENDED)
    found = within("book", path, "honesty", "--json").json
    assert (found["claims"], found["came_true"], found["few"], found["misses"]) == (1, 1, True, [])
    assert found["claimed"] > 0.5
    assert found["log_score"] > found["log_score_shipped"]
    later = within("diagnose", short_van, "--book", path, "--json").json
    assert later["kept_with_job"] is None  # the truth is known by now


def test_odds_after_a_repair_are_no_claim(within, path, less_work):
    within("book", path, "add", REPAIRED)
    said = within("diagnose", REPAIRED, "--book", path, "--record", "after")
    assert "after a repair they say what is left" in said.out
    with Book.open(path) as book:
        assert book.connection.execute("SELECT count(*) FROM claims").fetchone()[0] == 0


def test_the_honesty_page_in_words(within, path):
    enter(path, 3, "low_coolant", 0.75)
    assert "That is too few to conclude anything: 20 are wanted at least." in within("book", path, "honesty").out
    enter(path, 12, "low_coolant", 0.75)
    enter(path, 5, "healthy", 0.75)
    said = within("book", path, "honesty").out
    assert "too few" not in said
    assert "70 to 80 %: 15 of 20 came true (75 %; 95 % interval 53 to 89 %), claimed 75 % on average" in said
    assert (
        "job 16: The coolant is low, about 8 in 10; "
        "it was: no fault that these readings would show, given under 1 in 20" in said
    )
    assert said.count("  job ") == 5


def test_the_honesty_page_as_a_pdf(within, path, tmp_path):
    enter(path, 3, "low_coolant", 0.75)
    out = tmp_path / "honesty.pdf"
    found = within("book", path, "honesty", "-o", out, "--json").json
    assert (found["paper"]["path"], found["paper"]["signed"]) == (str(out), False)
    assert hashlib.sha256(out.read_bytes()).hexdigest() == found["paper"]["sha256"]
    assert "a draft: it is not signed" in within("book", path, "honesty", "-o", out).out  # a draft is written over
    assert within("book", path, "honesty", "-o", path, "--force").code == INPUT_AT_FAULT  # never over the book


def test_rates_in_words_and_json(within, path):
    enter(path, 20)
    said = within("book", path, "rates", "--reason", "no heat").out
    assert said.startswith("no heat: counted in the job book: 20 jobs; they carry 33 %")
    assert "(shipped 25 %, met 20 jobs)" in said
    assert "Own rates are in force only where you choose them" in said
    (found,) = within("book", path, "rates", "--reason", "no heat", "--json").json["rates"]
    assert found["weight"] == pytest.approx(1.0 / 3.0)
    assert sum(found["rates"].values()) == pytest.approx(1.0)
    assert found["rates"]["thermostat_stuck_open"] == pytest.approx(
        (2.0 * found["shipped"]["thermostat_stuck_open"] + 1.0) / 3.0
    )
    assert len(within("book", path, "rates", "--json").json["rates"]) == 6


def test_outcomes_are_given_and_taken(within, path, tmp_path):
    enter(path, 8)
    given = within("book", path, "give", tmp_path / "o.jsonl")
    assert "8 outcomes." in given.out
    other = tmp_path / "other.jobbook"
    enter(other, 1)
    taken = within("book", other, "take", tmp_path / "o.jsonl", "--source", "North", "--weight", "0.5", "--json").json
    assert taken == {"new": 8, "known": 0, "not_taken": [], "signed_by": None}
    (found,) = within("book", other, "rates", "--reason", "no heat", "--json").json["rates"]
    assert (found["jobs"], found["jobs_of_others"]) == (5.0, 4.0)


def test_outcomes_are_given_signed_and_taken_with_who_signed(within, path, tmp_path, monkeypatch):
    monkeypatch.setenv("HEATDOCKET_PASSWORD", "a long password")
    monkeypatch.setattr(trusting, "default_folder", lambda: tmp_path / "trust")
    identity = make_identity(tmp_path / "ada.p12", "Ada Example", "Technician", "a long password", trusting.now())
    within("book", path, "add", VAN)
    within("book", path, "outcome", 1, *ENDED)
    ours, other = tmp_path / "ours.jsonl", tmp_path / "other.jobbook"
    given = within("book", path, "give", ours, "--identity", tmp_path / "ada.p12", "--json").json
    assert given == {"path": str(ours), "outcomes": 1, "signature": f"{ours}.p7s"}
    within("book", other, "add", REPAIRED)
    taken = within("book", other, "take", ours, "--source", "Ada", "--json").json
    assert taken["new"] == 1
    assert taken["signed_by"] == {"name": "Ada Example", "fingerprint": identity.fingerprint, "known": False}
