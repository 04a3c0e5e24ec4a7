"""A job of the book laid out as files, so that its case can be opened and worked on like any other."""

from __future__ import annotations

import shutil
from dataclasses import dataclass
from pathlib import Path

from engcalc.case.file import LARGEST_BYTES, is_there, read_whole, write_whole
from engcalc.errors import FileFault
from engcalc.words.texts import book_texts
from ui.book.contents import content, digest
from ui.book.folders import inside, plain_name
from ui.book.jobs import files_of, must_exist
from ui.book.store import SUFFIX, Book


@dataclass(frozen=True)
class LaidOut:
    """Where the case of a job lies. ``ahead``: the file there has changes that the book does not have; it was left."""

    case: Path
    ahead: bool


def jobs_folder(book: Path) -> Path:
    """Where the jobs of a book are laid out: beside it."""
    return book.with_name(book.name.removesuffix(SUFFIX) + "-jobs")


def lay_out(book: Book, job: int) -> LaidOut:
    """Write the newest case of a job, and the files that it names, into the job's own folder beside the book.

    A file that is there and that the book does not have as it is stays as it is: somebody may have worked on it.
    InputError when the job is not in the book; FileFault when the folder cannot be written to.
    """
    must_exist(book.connection, job)
    folder = _folder(book, job)
    try:
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    except OSError as error:
        raise FileFault(
            str(folder), book_texts.FOLDER_CANNOT_BE_MADE.format(strerror=error.strerror or error)
        ) from error
    for file in files_of(book.connection, job):
        if file.kind != "report":
            _write_new(folder / inside(file.name), content(book.connection, file.sha256))
    row = book.connection.execute("SELECT name, text FROM cases WHERE visit_id = ? ORDER BY id DESC", (job,)).fetchone()
    case = folder / plain_name(row["name"])
    ahead = is_there(case) and not _kept(book, job, case)
    if not ahead:
        write_whole(case, bytes(row["text"]))
    return LaidOut(case, ahead)


def clear_away(book: Book, job: int) -> None:
    """Delete what was laid out of a job. FileFault when it cannot be deleted."""
    folder = _folder(book, job)
    if not is_there(folder):
        return
    try:
        shutil.rmtree(folder)
    except OSError as error:
        raise FileFault(
            str(folder), book_texts.FOLDER_CANNOT_BE_DELETED.format(strerror=error.strerror or error)
        ) from error


def _folder(book: Book, job: int) -> Path:
    return jobs_folder(book.path) / f"job-{job:05d}"


def _write_new(path: Path, data: bytes) -> None:
    if not is_there(path):
        path.parent.mkdir(parents=True, exist_ok=True)
        write_whole(path, data)


def _kept(book: Book, job: int, case: Path) -> bool:
    """Whether the book has the case file exactly as it is on the disk."""
    sha256 = digest(read_whole(case, "a case", LARGEST_BYTES))
    row = book.connection.execute("SELECT 1 FROM cases WHERE visit_id = ? AND sha256 = ?", (job, sha256)).fetchone()
    return row is not None
