"""The file of a book: versions, other files, two windows at once, and writers that are killed."""

from __future__ import annotations

import sqlite3
import subprocess
import sys
import time
from contextlib import closing
from pathlib import Path

import killed_book
import pytest

from engcalc.causes.outcomes import Outcome
from engcalc.errors import FileFault
from ui.book import schema, store
from ui.book.jobs import add_case, find_jobs, record_outcome, show_job
from ui.book.store import Book

VERSION_1_TABLES = {"customers", "vehicles", "visits", "cases", "contents", "files", "outcomes", "search"}


def tables(connection: sqlite3.Connection) -> set[str]:
    return {row[0] for row in connection.execute("SELECT name FROM sqlite_master WHERE type = 'table'")}


def of_version_1(path: Path) -> None:
    """A book as version 1 of the program left it, with one job in it: written in SQL, not by the program of today."""
    with closing(store.connected(path)) as connection:
        schema.migrate(connection, 1)
        connection.executescript("""
            INSERT INTO customers VALUES (3, 'Ada Example', 'ada example');
            INSERT INTO vehicles VALUES (5, 'Van', 'ZZ 1', 'zz1', '');
            INSERT INTO visits VALUES (7, 3, 5, '4711', '2026-01-02', 'cold', 'no heat', 'van', '', 'open');
            INSERT INTO cases VALUES (1, 7, 'a.heatcase.json', 'abc', '2026-01-02T08:00:00+00:00',
                                      CAST('{"format": "heatdocket-case/1"}' AS BLOB));
            INSERT INTO outcomes VALUES (1, 7, '2026-01-03T08:00:00+00:00', 'low_coolant', 'seen', 'hose', 'yes');
            INSERT INTO search (rowid, words) VALUES (7, 'Ada Example van cold');
        """)


def test_a_book_of_version_1_is_brought_to_the_newest_with_all_that_is_in_it(tmp_path):
    path = tmp_path / "old.jobbook"
    of_version_1(path)
    with closing(sqlite3.connect(path)) as before:
        assert tables(before) >= VERSION_1_TABLES
        assert "claims" not in tables(before)
        assert schema.version_of(before) == 1
    with Book.open(path) as book:
        assert schema.version_of(book.connection) == schema.NEWEST
        assert {"claims", "outside_outcomes", "book_facts"} <= tables(book.connection)
        assert [line.customer for line in find_jobs(book, "ada")] == ["Ada Example"]
        assert show_job(book, 7).outcomes == (Outcome("low_coolant", "seen", "hose", "yes"),)
        record_outcome(book, 7, Outcome("low_coolant", "seen", "hose and clip", "yes"))
        assert [line.job for line in find_jobs(book, "clip")] == [7]


def test_every_version_leads_to_the_same_tables(tmp_path):
    made = []
    for version in range(schema.NEWEST + 1):
        with closing(store.connected(tmp_path / f"{version}.jobbook")) as connection:
            schema.migrate(connection, version)
            schema.migrate(connection)
            rows = connection.execute("SELECT type, name, sql FROM sqlite_master ORDER BY name")
            made.append([tuple(row) for row in rows])
    assert all(found == made[0] for found in made)


def test_a_step_that_fails_leaves_the_book_at_its_version(tmp_path, monkeypatch):
    path = tmp_path / "old.jobbook"
    of_version_1(path)
    broken = "CREATE TABLE claims (id INTEGER);\nCREATE TABLE visits (id INTEGER);\n"
    monkeypatch.setattr(schema, "MIGRATIONS", (schema.MIGRATIONS[0], broken))
    with pytest.raises(FileFault, match="already exists"):
        Book.open(path)
    with closing(sqlite3.connect(path)) as connection:
        assert schema.version_of(connection) == 1
        assert "claims" not in tables(connection)


def test_a_book_of_a_newer_program_is_refused_and_left_alone(tmp_path):
    path = tmp_path / "new.jobbook"
    Book.open(path, make=True).close()
    with closing(sqlite3.connect(path)) as connection:
        connection.execute(f"PRAGMA user_version = {schema.NEWEST + 1}")
    with pytest.raises(FileFault, match=f"newer program .version {schema.NEWEST + 1}.; this one reads {schema.NEWEST}"):
        Book.open(path)
    with closing(sqlite3.connect(path)) as connection:
        assert schema.version_of(connection) == schema.NEWEST + 1


def test_other_files_are_refused(tmp_path):
    text = tmp_path / "text.jobbook"
    text.write_text("not a database, whatever its name says, and long enough to be read as a header" * 20)
    with pytest.raises(FileFault, match="no job book"):
        Book.open(text)
    other = tmp_path / "other.jobbook"
    with closing(sqlite3.connect(other)) as connection:
        connection.execute("CREATE TABLE songs (id INTEGER)")
    with pytest.raises(FileFault, match="another program's database"):
        Book.open(other)
    with closing(sqlite3.connect(other)) as connection:
        assert tables(connection) == {"songs"}
    with pytest.raises(FileFault, match="there is no job book of this name"):
        Book.open(tmp_path / "none.jobbook")
    with pytest.raises(FileFault, match="cannot be opened"):
        Book.open(tmp_path / "no folder" / "a.jobbook", make=True)


def test_a_damaged_book_is_told_in_words(book, case):
    for number in range(60):
        add_case(book, case(f"c{number}", customer=f"Customer {number}", notes="words " * 200))
    path = book.path
    book.close()
    whole = bytearray(path.read_bytes())
    whole[4096 * 2 :] = b"\xa5" * (len(whole) - 4096 * 2)
    path.write_bytes(whole)

    def read() -> None:
        with Book.open(path) as damaged:
            find_jobs(damaged, "customer")
            show_job(damaged, 3)

    with pytest.raises(FileFault, match=r"damaged; .heatdocket book BOOK restore FILE."):
        read()


def test_what_goes_wrong_in_the_program_is_no_fault_of_the_file(tmp_path):
    with pytest.raises(sqlite3.OperationalError, match="no such table"), Book.open(tmp_path / "a", make=True) as book:
        book.connection.execute("SELECT * FROM songs")


def test_the_settings_that_keep_it_safe(book):
    asked = {name: book.connection.execute(f"PRAGMA {name}").fetchone()[0] for name in ("journal_mode", "synchronous")}
    assert asked == {"journal_mode": "wal", "synchronous": 2}  # 2: FULL, sqlite.org/pragma.html
    assert book.connection.execute("PRAGMA foreign_keys").fetchone()[0] == 1
    with pytest.raises(sqlite3.IntegrityError):
        book.connection.execute("INSERT INTO cases VALUES (1, 99, '', '', '', '')")


def test_a_transaction_that_breaks_off_leaves_nothing(book, case):
    def half() -> None:
        with book.writing() as connection:
            connection.execute("INSERT INTO customers (name, name_key) VALUES ('a', 'a')")
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        half()
    assert book.connection.execute("SELECT count(*) FROM customers").fetchone()[0] == 0
    assert add_case(book, case("a")).new_job


# ---- two windows ----------------------------------------------------------------------------------------------------


def test_two_windows_see_each_other(book, case):
    with Book.open(book.path) as other:
        before = other.changes()
        job = add_case(book, case("a", customer="Ada")).job
        assert other.changes() != before
        assert [line.job for line in find_jobs(other, "ada")] == [job]
        own = other.changes()
        record_outcome(other, job, Outcome("low_coolant", "seen", "", "yes"))
        assert other.changes() == own
        assert show_job(book, job).line.state == "closed"


def test_a_reader_does_not_wait_for_a_writer(book, case):
    add_case(book, case("a", customer="Ada"))
    with Book.open(book.path) as other, book.writing() as connection:
        connection.execute("DELETE FROM visits")
        start = time.monotonic()
        assert len(find_jobs(other, "ada")) == 1
        assert time.monotonic() - start < 0.5 * store.WAIT


def test_a_writer_that_waits_too_long_is_told(book, case, monkeypatch):
    monkeypatch.setattr(store, "WAIT", 0.05)
    path = case("a")
    with (
        book.writing(),
        pytest.raises(FileFault, match="another window has been writing"),
        Book.open(book.path) as other,
    ):
        add_case(other, path)


WRITER = """
import sys
from pathlib import Path
from engcalc.case.text import FORMAT, CaseText
from ui.book.jobs import add_case_text
from ui.book.store import Book
with Book.open(Path(sys.argv[1]), make=True) as book:
    for number in range(25):
        add_case_text(book, "a", CaseText({"format": FORMAT, "job": {"work_order": f"{sys.argv[2]}-{number}"}}))
"""


def test_two_processes_write_at_once_and_nothing_is_lost(tmp_path):
    path = tmp_path / "both.jobbook"
    both = [subprocess.Popen([sys.executable, "-c", WRITER, path, name], cwd=killed_book.PROJECT) for name in "ab"]
    assert [writer.wait(timeout=60) for writer in both] == [0, 0]
    with Book.open(path) as book:
        found = {line.work_order for line in find_jobs(book, "", limit=100)}
    assert found == {f"{name}-{number}" for name in "ab" for number in range(25)}


# ---- a crash --------------------------------------------------------------------------------------------------------


def test_killed_at_any_moment_it_loses_nothing_committed(tmp_path):
    """Twenty kills; by hand a hundred: ``python tests/oracles/killed_book.py 100``."""
    told, lost = killed_book.kill_often(tmp_path, 20, seed=5)
    assert lost == []
    assert told > 20


def test_a_loss_would_be_noticed(book, case):
    assert "its log or case" in killed_book.losses(book.path, [("job", 1, add_case(book, case("a")).job)])[0]
