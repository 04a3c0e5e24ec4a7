"""Backups of a book: whole copies made while it is in use, kept by the day, and one of them put back.

SQLite's own backup copies a state between two transactions, whoever writes meanwhile.
"""

from __future__ import annotations

import os
import sqlite3
import tempfile
from contextlib import closing
from pathlib import Path

from engcalc.case.file import is_file, is_there
from engcalc.errors import FileFault, HeatdocketError
from engcalc.words.texts import book_texts
from ui.book.jobs import renew_words
from ui.book.schema import APPLICATION, application_of
from ui.book.store import SUFFIX, Book, Clock, local_time

GENERATIONS = 10  # daily backups that are kept; the oldest goes when another comes
_PAGES = 512  # pages copied at a time, so that another window may write in between


def write_backup(book: Book, path: Path) -> None:
    """Write a whole copy of the book to ``path``, in one step. FileFault when the place cannot be written to."""
    try:
        handle, name = tempfile.mkstemp(prefix=f".{path.name[:40]}.", dir=path.parent)  # readable by its owner alone
        os.close(handle)
    except OSError as error:
        raise FileFault(
            str(path), book_texts.BACKUP_CANNOT_BE_WRITTEN.format(strerror=error.strerror or error)
        ) from error
    beside = Path(name)
    try:
        with closing(sqlite3.connect(beside)) as copy:
            book.connection.backup(copy, pages=_PAGES)
            copy.execute("PRAGMA journal_mode = DELETE")  # one file: nothing of it is left in a log beside it
        _flush(beside)
        beside.replace(path)
    except (OSError, sqlite3.Error) as error:
        raise FileFault(str(path), book_texts.BACKUP_CANNOT_BE_WRITTEN_CHOOSE.format(error=error)) from error
    finally:
        beside.unlink(missing_ok=True)


def _flush(path: Path) -> None:
    handle = os.open(path, os.O_RDWR)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def backup_folder(book: Path) -> Path:
    """Where a book's daily backups lie."""
    return book.with_name(book.name.removesuffix(SUFFIX) + "-backups")


def kept_backups(book: Path) -> list[Path]:
    """A book's daily backups, the oldest first."""
    return sorted(backup_folder(book).glob(f"*{SUFFIX}"))


def daily_backup(book: Book) -> Path | None:
    """Make today's backup unless there is one, and let the oldest go; gives the new one.

    FileFault when it cannot be written.
    """
    folder = backup_folder(book.path)
    path = folder / f"{book.now().date().isoformat()}{SUFFIX}"
    if is_there(path):
        return None
    try:
        folder.mkdir(mode=0o700, exist_ok=True)
    except OSError as error:
        raise FileFault(
            str(folder), book_texts.DAILY_BACKUP_CANNOT_BE_WRITTEN.format(strerror=error.strerror or error)
        ) from error
    write_backup(book, path)
    for old in kept_backups(book.path)[:-GENERATIONS]:
        old.unlink(missing_ok=True)
    return path


def opened_for_change(path: Path, *, make: bool = False, now: Clock = local_time) -> Book:
    """The book, with today's backup made before anything is changed; a new one where ``make`` asks for it.

    FileFault as :meth:`ui.book.store.Book.open`, and when the backup cannot be written.
    """
    fresh = not is_there(path)
    book = Book.open(path, make=make, now=now)
    if not fresh:
        try:
            daily_backup(book)
        except HeatdocketError:
            book.close()
            raise
    renew_words(book)
    return book


def restore(backup: Path, book: Path) -> Path | None:
    """Put a backup in the book's place; gives where the book that was there lies now.

    The book must not be open in another window. FileFault when the backup is no whole job book, or the place cannot be
    written to; the book is then as it was.
    """
    _must_be_whole(backup)
    aside = _free_name(book)
    try:
        data = backup.read_bytes()
        handle, name = tempfile.mkstemp(prefix=f".{book.name[:40]}.", dir=book.parent)
        with os.fdopen(handle, "wb") as beside:
            beside.write(data)
            beside.flush()
            os.fsync(beside.fileno())
        moved = _set_aside(book, aside)
        Path(name).replace(book)
    except OSError as error:
        raise FileFault(
            str(book), book_texts.BOOK_CANNOT_BE_RESTORED.format(strerror=error.strerror or error)
        ) from error
    return moved


def _set_aside(book: Path, aside: Path) -> Path | None:
    """Move a book and what SQLite keeps beside it out of the way."""
    if not is_there(book):
        return None
    for end in ("", "-wal", "-shm"):
        part = book.with_name(book.name + end)
        if is_there(part):
            part.rename(aside.with_name(aside.name + end))
    return aside


def _free_name(book: Path) -> Path:
    number = 1
    while is_there(name := book.with_name(f"{book.name}.replaced-{number}")):
        number += 1
    return name


def _must_be_whole(backup: Path) -> None:
    if not is_file(backup):
        raise FileFault(str(backup), book_texts.THERE_IS_NO_SUCH_FILE)
    try:
        with closing(sqlite3.connect(f"{backup.resolve().as_uri()}?mode=ro", uri=True)) as connection:
            ours = application_of(connection) == APPLICATION
            whole = ours and connection.execute("PRAGMA integrity_check").fetchone()[0] == "ok"
    except sqlite3.Error:
        ours = whole = False
    if not whole:
        wanted = book_texts.THIS_BACKUP_IS_DAMAGED if ours else book_texts.THIS_IS_NO_BACKUP_OF_A_JOB_BOOK
        raise FileFault(str(backup), wanted)
