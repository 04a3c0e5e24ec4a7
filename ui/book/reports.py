"""Signed reports in the book: kept by content with the job that they are of, and verified whenever they are opened."""

from __future__ import annotations

import sqlite3
from dataclasses import dataclass
from pathlib import Path

from engcalc.case.file import SUFFIX as CASE_SUFFIX
from engcalc.case.file import is_file, parse_case, read_whole
from engcalc.errors import InputError, InputFault
from engcalc.words.texts import book_texts
from reports.verification import Verification
from reports.verifying import LARGEST_FILE
from ui.book.contents import content, digest
from ui.book.jobs import Added, add_case_text, keep_file, must_exist, refresh_words
from ui.book.store import Book
from ui.trusting import now, verified

REPORT_SUFFIX = ".pdf"


@dataclass(frozen=True)
class AddedReport:
    """What was kept of one report: its job, its name, and what verifying it gave; ``added`` is the case that it
    carries, where the book did not have it."""

    job: int
    name: str
    verified: Verification
    added: Added | None


def add_report(book: Book, path: Path, job: int | None = None) -> AddedReport:
    """Keep a report with its job: the one named, else the one whose case it carries, else a new one of that case.

    InputError when the file cannot be read, or carries no case and no job is named.
    """
    data = read_whole(path, "a report", LARGEST_FILE)
    found = verified(data, now())
    added = None
    if job is None:
        job = _job_of(book.connection, found.case_bytes)
    if job is None:
        if found.case_bytes is None:
            wanted = book_texts.THIS_REPORT_CARRIES_NO_CASE_THAT_TELLS
            raise InputError((InputFault("", str(path), wanted),))
        added = add_case_text(book, f"{path.stem}.heatcase.json", parse_case(found.case_bytes, str(path)))
        job = added.job
    _keep(book, job, path.name, data)
    return AddedReport(job, path.name, found, added)


def add_report_beside(book: Book, case: Path, job: int) -> AddedReport | None:
    """Keep the signed report that lies beside a case under its name, where it carries a case of this job.

    None where there is none, or the job has it already. InputError when the report cannot be read.
    """
    path = case.with_name(case.name.removesuffix(CASE_SUFFIX) + REPORT_SUFFIX)
    if not is_file(path):
        return None
    data = read_whole(path, "a report", LARGEST_FILE)
    if _has(book.connection, job, data):
        return None
    found = verified(data, now())
    if not found.signed or _job_of(book.connection, found.case_bytes) != job:
        return None
    _keep(book, job, path.name, data)
    return AddedReport(job, path.name, found, None)


def _keep(book: Book, job: int, name: str, data: bytes) -> None:
    with book.writing() as connection:
        must_exist(connection, job)
        keep_file(connection, job, "report", name, data)
        refresh_words(connection, job)


def _has(connection: sqlite3.Connection, job: int, report: bytes) -> bool:
    """Whether a job has exactly this report."""
    question = "SELECT 1 FROM files WHERE visit_id = ? AND kind = 'report' AND sha256 = ?"
    return connection.execute(question, (job, digest(report))).fetchone() is not None


def _job_of(connection: sqlite3.Connection, case: bytes | None) -> int | None:
    """The job that keeps exactly this case."""
    if case is None:
        return None
    row = connection.execute("SELECT visit_id FROM cases WHERE sha256 = ?", (digest(case),)).fetchone()
    return None if row is None else int(row["visit_id"])


def open_report(book: Book, file: int) -> tuple[bytes, Verification]:
    """A report's bytes, and what verifying them gives today. InputError when ``file`` is no report of this book."""
    row = book.connection.execute("SELECT sha256 FROM files WHERE id = ? AND kind = 'report'", (file,)).fetchone()
    if row is None:
        raise InputError((InputFault("report", str(file), book_texts.NUMBER_OF_A_REPORT_OF_THIS_BOOK_WOULD_DO),))
    data = content(book.connection, row["sha256"])
    return data, verified(data, now())
