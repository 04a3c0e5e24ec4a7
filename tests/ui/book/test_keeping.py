"""What a book keeps of a case, and that it gives it back as it was."""

from __future__ import annotations

import sqlite3
from pathlib import Path

import pytest

from engcalc.case.vin import VinState
from engcalc.causes.outcomes import Outcome, checked_outcome
from engcalc.errors import FileFault, InputError
from ui.book.contents import content, digest
from ui.book.jobs import add_case, find_jobs, record_outcome, show_job

LOG = b"time,coolant\n0,20\n60,30\n" * 200


def test_a_case_is_kept_verbatim_with_what_it_names(book, case):
    path = case("a", files={"logs/run.csv": LOG, "cap.png": b"picture"}, customer="Ada Example", photos=["cap.png"],
                sections={"evidence": {"before": {"log": {"file": "logs/run.csv"}}}, "odd": 1.50})  # fmt: skip
    path.write_bytes(path.read_bytes().replace(b'"odd": 1.5', b'"odd":   1.500 '))
    added = add_case(book, path)
    assert (added.new_job, added.new_case, added.missing) == (True, True, ())
    page = show_job(book, added.job)
    row = book.connection.execute("SELECT text FROM cases").fetchone()
    assert bytes(row["text"]) == path.read_bytes()
    assert {(file.kind, file.name, file.size) for file in page.files} == {
        ("log", "logs/run.csv", len(LOG)),
        ("photo", "cap.png", 7),
    }
    log = next(file for file in page.files if file.kind == "log")
    assert content(book.connection, log.sha256) == LOG
    packed = book.connection.execute("SELECT length(packed) FROM contents WHERE sha256 = ?", (log.sha256,)).fetchone()
    assert packed[0] < len(LOG) / 10


def test_a_log_that_two_cases_name_is_kept_once(book, case):
    with_log = {"evidence": {"before": {"log": {"file": "run.csv"}}}}
    add_case(book, case("a", files={"run.csv": LOG}, registration="ZZ 1", sections=with_log))
    add_case(book, case("b", registration="ZZ 2", sections=with_log))
    assert book.connection.execute("SELECT count(*) FROM contents").fetchone()[0] == 1
    assert book.connection.execute("SELECT count(*) FROM files").fetchone()[0] == 2


def test_the_same_case_again_changes_nothing(book, case):
    path = case("a", customer="Ada Example", registration="ZZ 1")
    first, again = add_case(book, path), add_case(book, path)
    assert (again.job, again.new_job, again.new_case) == (first.job, False, False)
    assert len(show_job(book, first.job).cases) == 1


def test_a_newer_state_of_a_case_joins_its_job(book, case):
    first = add_case(book, case("a", registration="ZZ 1", work_order="7", complaint="cold"))
    newer = add_case(book, case("other name", registration="zz-1", work_order="7", complaint="cold and wet"))
    assert (newer.job, newer.new_job, newer.new_case) == (first.job, False, True)
    assert show_job(book, first.job).line.complaint == "cold and wet"
    assert [kept.name for kept in show_job(book, first.job).cases] == ["a.heatcase.json", "other name.heatcase.json"]


@pytest.mark.parametrize(
    "other",
    [
        {"registration": "ZZ 2", "work_order": "7"},
        {"registration": "ZZ 1", "work_order": "8"},
        {"registration": "ZZ 1", "work_order": ""},
        {"work_order": "7"},
    ],
)
def test_another_vehicle_or_work_order_is_another_job(book, case, other):
    first = add_case(book, case("a", registration="ZZ 1", work_order="7"))
    assert add_case(book, case("b", **other)).job != first.job


@pytest.mark.parametrize("changed", [{"customer": "Bo"}, {"date": "2026-02-02"}])
def test_without_a_work_order_customer_day_and_name_tell_the_job(book, case, changed):
    job = {"registration": "ZZ 1", "customer": "Ada", "date": "2026-02-01"}
    first = add_case(book, case("a", **job))
    assert add_case(book, case("a", **job, complaint="cold")).job == first.job
    assert add_case(book, case("a", **{**job, **changed}, complaint="hot")).job != first.job
    assert add_case(book, case("b", **job, complaint="loud")).job != first.job


def test_a_job_may_be_named(book, case):
    first = add_case(book, case("a", registration="ZZ 1"))
    assert add_case(book, case("b", registration="ZZ 2"), first.job).job == first.job
    with pytest.raises(InputError, match="'99' was given; the number of a job of this book"):
        add_case(book, case("c"), 99)
    assert len(find_jobs(book, "")) == 1


def test_a_vehicle_is_known_by_its_vin_even_with_another_registration(book, case):
    first = add_case(book, case("a", registration="ZZ 1", vin="1M8GDM9AXKP042788", work_order="1"))
    again = add_case(book, case("b", registration="YY 9", vin="1m8gdm9axkp042788", work_order="2"))
    other = add_case(book, case("c", registration="YY 9", vin="11111111111111111", work_order="3"))
    assert show_job(book, again.job).others == (first.job,)
    assert show_job(book, other.job).others == ()
    noted_later = add_case(book, case("d", registration="yy9", work_order="4"))
    assert show_job(book, noted_later.job).others == (other.job,)  # the later bearer of the registration


def test_a_file_that_is_not_there_is_told_and_stops_nothing(book, case):
    added = add_case(book, case("a", photos=["gone.png"], part_tables=["parts.csv"], files={"parts.csv": b"x"}))
    assert added.missing == ("gone.png",)
    assert [file.kind for file in show_job(book, added.job).files] == ["table"]


def test_what_a_vin_says_of_itself_is_told(book, case):
    assert add_case(book, case("a", vin="1M8GDM9A1KP042788")).vin_state is VinState.DISAGREES
    assert add_case(book, case("b", vin="WXY11111111111111")).vin_state is VinState.NO_CHECK_DIGIT
    assert add_case(book, case("c")).vin_state is VinState.ABSENT


def test_a_file_that_is_no_case_is_refused_and_nothing_kept(book, tmp_path):
    bad = tmp_path / "bad.heatcase.json"
    bad.write_text("{")
    with pytest.raises(FileFault, match="is not JSON"):
        add_case(book, bad)
    assert find_jobs(book, "") == ()


def test_a_content_that_was_damaged_is_never_given_out(book, case):
    added = add_case(book, case("a", files={"p.png": b"picture"}, photos=["p.png"]))
    sha256 = digest(b"picture")
    for packed in (sqlite3.Binary(b"no zlib"), sqlite3.Binary(__import__("zlib").compress(b"pictura"))):
        book.connection.execute("UPDATE contents SET packed = ?", (packed,))
        with pytest.raises(FileFault, match="damaged in the job book"):
            content(book.connection, sha256)
    assert show_job(book, added.job).files[0].sha256 == sha256


# ---- outcomes -------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("cured", "state"), [("yes", "closed"), ("unknown", "closed"), ("no", "open")])
def test_an_outcome_closes_a_job_unless_nothing_was_cured(book, case, cured, state):
    job = add_case(book, case("a", registration="ZZ 1")).job
    assert record_outcome(book, job, Outcome("low_coolant", "seen", "hose", cured)) == state
    assert show_job(book, job).line.state == state
    assert len(find_jobs(book, "", open_only=True)) == (state == "open")


def test_a_corrected_outcome_stands_behind_the_first(book, case):
    job = add_case(book, case("a")).job
    record_outcome(book, job, Outcome("low_coolant", "guess", "", "no"))
    record_outcome(book, job, Outcome("thermostat_stuck_open", "measured", "thermostat", "yes"))
    assert [o.cause for o in show_job(book, job).outcomes] == ["low_coolant", "thermostat_stuck_open"]
    assert [line.job for line in find_jobs(book, "stuck thermost")] == [job]


def test_every_fault_of_an_outcome_is_told_at_once():
    with pytest.raises(InputError) as told:
        checked_outcome("gremlins", "felt", "x" * 501, "perhaps")
    assert [fault.path for fault in told.value.faults] == ["cause", "confirmed", "cured", "replaced"]
    with pytest.raises(InputError, match="'yes' would do, as the cause is confirmed by the cure"):
        checked_outcome("low_coolant", "cured", "", "no")
    assert checked_outcome("low_coolant", "cured", "x" * 500, "yes").counts


@pytest.mark.parametrize(
    ("confirmed", "cured", "counts"),
    [("seen", "yes", True), ("seen", "unknown", True), ("measured", "no", False), ("guess", "yes", False)],
)
def test_what_counts_as_truth(confirmed, cured, counts):
    assert Outcome("low_coolant", confirmed, "", cured).counts is counts


def test_a_missing_job_has_no_outcome(book):
    with pytest.raises(InputError, match="number of a job"):
        record_outcome(book, 5, Outcome("low_coolant", "seen", "", "yes"))
    with pytest.raises(InputError, match="number of a job"):
        show_job(book, 5)


def test_the_book_is_for_its_owner_alone(book: object, tmp_path: Path):
    assert (tmp_path / "shop.jobbook").stat().st_mode & 0o077 == 0
