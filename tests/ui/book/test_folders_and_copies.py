"""Whole folders in and out, backups that are tried by restoring them, and a customer taken out."""

from __future__ import annotations

import json
import sqlite3
from datetime import timedelta
from pathlib import Path

import pytest

from engcalc.causes.outcomes import Outcome
from engcalc.errors import FileFault, InputError
from ui.book.claims import keep_claim
from ui.book.contents import content
from ui.book.copies import GENERATIONS, backup_folder, daily_backup, kept_backups, restore, write_backup
from ui.book.folders import export_folder, import_folder
from ui.book.forgetting import forget
from ui.book.jobs import add_case, files_of, find_jobs, record_outcome, show_job
from ui.book.store import Book

LOG = b"time,coolant\n0,20\n60,30\n"
WITH_LOG = {"evidence": {"before": {"log": {"file": "run.csv"}}}}


# ---- folders --------------------------------------------------------------------------------------------------------


def test_a_folder_comes_in_with_all_that_can_be_read(book, case, tmp_path):
    path = case("a", files={"run.csv": LOG, "deep/alone.csv": b"0,1\n"}, registration="ZZ 1", sections=WITH_LOG)
    (path.parent / "deep" / "broken.heatcase.json").write_text("{")
    (path.parent / "bill.pdf").write_bytes(b"%PDF-1.4 no report")
    found = import_folder(book, path.parent)
    assert [added.name for added in found.cases] == ["a.heatcase.json"]
    assert found.loose_logs == ["deep/alone.csv"]
    assert [Path(name).name for name, _ in found.refused] == ["broken.heatcase.json", "bill.pdf"]
    assert "is not JSON" in found.refused[0][1]
    assert "name the job with --job" in found.refused[1][1]
    again = import_folder(book, path.parent)
    assert [added.new_case for added in again.cases] == [False]
    assert again.loose_logs == []
    with pytest.raises(FileFault, match="no such folder"):
        import_folder(book, tmp_path / "none")


def test_all_of_it_comes_out_as_files_and_goes_into_another_book(book, case, tmp_path):
    first = case("a", files={"logs/run.csv": LOG}, registration="ZZ 1", work_order="1",
                 sections={"evidence": {"before": {"log": {"file": "logs/run.csv"}}}})  # fmt: skip
    whole = first.read_bytes()
    job = add_case(book, first).job
    add_case(book, case("a", registration="ZZ 1", work_order="1", complaint="now warm"))
    record_outcome(book, job, Outcome("low_coolant", "seen", "hose", "yes"))
    done = export_folder(book, tmp_path / "out")
    assert (done.jobs, done.files, done.renamed) == (1, 3, [])
    place = tmp_path / "out" / "job-00001"
    assert (place / "a.1.heatcase.json").read_bytes() == whole
    assert (place / "logs" / "run.csv").read_bytes() == LOG
    (line,) = json.loads((tmp_path / "out" / "jobs.json").read_text("utf-8"))
    assert line["cases"] == ["a.1.heatcase.json", "a.heatcase.json"]
    assert line["outcomes"][0]["replaced"] == "hose"
    with Book.open(tmp_path / "second.jobbook", make=True) as other:
        import_folder(other, tmp_path / "out")
        (page,) = (show_job(other, found.job) for found in find_jobs(other, ""))
        assert page.line.complaint == "now warm"
        assert [content(other.connection, file.sha256) for file in page.files] == [LOG]
    with pytest.raises(FileFault, match="is there already"):
        export_folder(book, tmp_path / "out")


def test_claims_and_the_outcomes_of_others_come_out_too(book, case, tmp_path):
    job = add_case(book, case("a", registration="ZZ 1")).job
    keep_claim(book, job, {"low_coolant": 0.7, "healthy": 0.3}, {"low_coolant": 0.2, "healthy": 0.8})
    taken = ("Ada", 0.3, "0123456789abcdef", "2026-Q1", "no heat", "van", "low_coolant")
    with book.writing() as connection:
        connection.execute(
            "INSERT INTO outside_outcomes (source, weight, token, quarter, reason, class, cause)"
            " VALUES (?, ?, ?, ?, ?, ?, ?)",
            taken,
        )
    export_folder(book, tmp_path / "out")
    (line,) = json.loads((tmp_path / "out" / "jobs.json").read_text("utf-8"))
    (claim,) = line["claims"]
    assert claim["odds"] == {"low_coolant": 0.7, "healthy": 0.3}
    assert claim["shipped"] == {"low_coolant": 0.2, "healthy": 0.8}
    (other,) = json.loads((tmp_path / "out" / "outcomes-of-other-workshops.json").read_text("utf-8"))
    assert tuple(other.values()) == taken


@pytest.mark.parametrize("name", ["../above.csv", "/above.csv", "..\\above.csv", "C:\\above.csv"])
def test_a_name_never_leads_out_of_the_folder(book, case, tmp_path, name):
    path = case("a", sections={"evidence": {"before": {"log": {"file": name}}}})
    job = add_case(book, path).job
    with book.writing() as connection:
        from ui.book.jobs import keep_file

        keep_file(connection, job, "log", name, LOG)
    done = export_folder(book, tmp_path / "out")
    assert done.renamed == [name]
    written = sorted(p.relative_to(tmp_path / "out").as_posix() for p in (tmp_path / "out").rglob("*") if p.is_file())
    assert written == ["job-00001/a.heatcase.json", "job-00001/above.csv", "jobs.json"]
    assert not (tmp_path / "above.csv").exists()


# ---- backups --------------------------------------------------------------------------------------------------------


def everything(book: Book) -> list[object]:
    """All rows of the tables that hold what was entered."""
    tables = ("customers", "vehicles", "visits", "cases", "contents", "files", "outcomes", "search")
    return [[tuple(row) for row in book.connection.execute(f"SELECT * FROM {table}")] for table in tables]


def test_a_backup_restored_is_the_book_as_it_was(book, case, tmp_path):
    job = add_case(book, case("a", files={"run.csv": LOG}, customer="Ada", sections=WITH_LOG)).job
    record_outcome(book, job, Outcome("low_coolant", "seen", "hose", "yes"))
    was = everything(book)
    write_backup(book, tmp_path / "copy.jobbook")
    add_case(book, case("b", customer="Bo"))
    book.close()
    aside = restore(tmp_path / "copy.jobbook", book.path)
    with Book.open(book.path) as restored:
        assert everything(restored) == was
        assert find_jobs(restored, "bo") == ()
    assert aside is not None
    with Book.open(aside) as before:  # what was replaced is not lost
        assert len(find_jobs(before, "bo")) == 1


@pytest.mark.parametrize("name", ["copy #2.jobbook", "whose?.jobbook", "100%41.jobbook"])
def test_a_backup_is_restored_whatever_it_is_called(book, case, tmp_path, name):
    """Signs that mean something in an address are a part of a name."""
    add_case(book, case("a", customer="Ada"))
    was = everything(book)
    write_backup(book, tmp_path / name)
    book.close()
    restore(tmp_path / name, book.path)
    with Book.open(book.path) as restored:
        assert everything(restored) == was


def test_what_is_still_in_the_log_of_the_database_is_set_aside_with_it(book, case, tmp_path):
    write_backup(book, tmp_path / "copy.jobbook")
    add_case(book, case("a", customer="Ada"))  # book stays open: its last commits lie beside it
    aside = restore(tmp_path / "copy.jobbook", book.path)
    with Book.open(book.path) as restored:
        assert find_jobs(restored, "") == ()
    book.close()
    with Book.open(aside) as before:
        assert len(find_jobs(before, "ada")) == 1


def test_a_backup_is_made_while_another_window_writes(book, case, tmp_path):
    add_case(book, case("a", customer="Ada"))
    with Book.open(book.path) as other, other.writing() as connection:
        connection.execute("DELETE FROM visits")
        write_backup(book, tmp_path / "copy.jobbook")
    with Book.open(tmp_path / "copy.jobbook") as copy:
        assert len(find_jobs(copy, "ada")) == 1


def test_one_backup_a_day_and_the_oldest_goes(book, case):
    assert GENERATIONS == 10
    noon = book.now()
    for day in range(GENERATIONS + 3):
        book.now = lambda day=day: noon + timedelta(days=day)
        assert daily_backup(book) is not None
        assert daily_backup(book) is None
    kept = [path.name for path in kept_backups(book.path)]
    days = [noon + timedelta(days=day) for day in range(3, GENERATIONS + 3)]
    assert kept == [f"{day.date().isoformat()}.jobbook" for day in days]
    assert backup_folder(book.path).stat().st_mode & 0o077 == 0
    assert all(path.stat().st_mode & 0o077 == 0 for path in kept_backups(book.path))


def test_what_is_no_backup_is_refused_and_the_book_left_alone(book, case, tmp_path):
    add_case(book, case("a"))
    book.close()
    was = book.path.read_bytes()
    for name, data, words in (("none", None, "no such file"), ("text", b"no", "is no backup of a job book")):
        path = tmp_path / name
        if data is not None:
            path.write_bytes(data)
        with pytest.raises(FileFault, match=words):
            restore(path, book.path)
    cut = tmp_path / "cut.jobbook"
    cut.write_bytes(was[: len(was) // 2])
    with pytest.raises(FileFault, match=r"damaged|no backup"):
        restore(cut, book.path)
    assert book.path.read_bytes() == was
    assert list(book.path.parent.glob("*.replaced*")) == []
    with pytest.raises(FileFault, match="cannot be written"), Book.open(book.path) as opened:
        write_backup(opened, tmp_path / "no folder" / "x.jobbook")


# ---- a customer taken out -------------------------------------------------------------------------------------------


def a_shared_van(book, case) -> None:
    """Ada's van and car, and the van again under Bo, who bought it; a log of Ada's alone, and one of both."""
    with_photo = {**WITH_LOG}
    add_case(book, case("a", files={"run.csv": LOG}, customer="Ada Example", registration="ZZ 1", work_order="1",
                        sections=with_photo, notes="zebra"))  # fmt: skip
    add_case(book, case("b", files={"car.png": b"Ada's car"}, customer="ada  example", registration="ZZ 2",
                        work_order="2", photos=["car.png"]))  # fmt: skip
    add_case(book, case("c", customer="Bo", registration="ZZ 1", work_order="3", sections=WITH_LOG))
    record_outcome(book, 1, Outcome("low_coolant", "seen", "hose", "yes"))


def test_a_customer_is_taken_out_with_everything_that_is_theirs(book, case):
    a_shared_van(book, case)
    daily_backup(book)
    gone = forget(book, " ADA Example ")
    assert (gone.name, gone.jobs, gone.cases, gone.files, gone.outcomes) == ("Ada Example", 2, 2, 2, 1)
    assert (gone.vehicles, gone.kept_reports, gone.backups) == (1, 0, 1)
    assert [line.customer for line in find_jobs(book, "")] == ["Bo"]
    assert find_jobs(book, "ada") == ()
    assert find_jobs(book, "zebra") == ()
    assert [content(book.connection, f.sha256) for f in show_job(book, 3).files] == [LOG]
    assert book.connection.execute("SELECT count(*) FROM contents").fetchone()[0] == 1
    (backup,) = kept_backups(book.path)
    path = book.path
    book.close()
    for kept in (path, backup):
        for name in (kept, kept.with_name(kept.name + "-wal")):
            data = name.read_bytes() if name.exists() else b""
            assert not [word for word in (b"Ada", b"ada", b"ZZ 2", b"zebra") if word in data]


def test_signed_reports_stay_where_that_was_asked_for_with_the_reason(book, case):
    a_shared_van(book, case)
    with book.writing() as connection:
        from ui.book.jobs import keep_file

        keep_file(connection, 1, "report", "bill.pdf", b"%PDF")
    gone = forget(book, "Ada Example", "tax law: ten years")
    assert (gone.kept_reports, gone.files) == (1, 2)
    (kept,) = files_of(book.connection, None)
    assert content(book.connection, kept.sha256) == b"%PDF"
    assert book.connection.execute("SELECT kept_because FROM files WHERE visit_id IS NULL").fetchone()[0] == (
        "tax law: ten years"
    )


def test_only_a_whole_name_is_taken_out(book, case):
    a_shared_van(book, case)
    with pytest.raises(InputError, match="whole name of a customer"):
        forget(book, "Ada")
    assert len(find_jobs(book, "")) == 3
    assert isinstance(book.connection, sqlite3.Connection)
