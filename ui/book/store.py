"""The file of a job book: opened, read and written safely by several windows at once.

Write-ahead log with every commit flushed to the disk: readers never wait for a writer, and what was committed survives
a crash at any moment. Foreign keys are enforced; a second writer waits for the first.
"""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path
from types import TracebackType
from typing import Self

from engcalc.case.file import is_there
from engcalc.errors import FileFault
from engcalc.words.texts import book_texts
from ui.book.schema import APPLICATION, NEWEST, application_of, migrate, version_of

SUFFIX = ".jobbook"
WAIT = 10.0  # s; for another window's transaction, which takes milliseconds
Clock = Callable[[], datetime]


def local_time() -> datetime:
    """Now, with the time zone of this machine."""
    return datetime.now(UTC).astimezone()


class Book:
    """An open job book. ``now`` tells the time; a test gives its own."""

    def __init__(self, path: Path, connection: sqlite3.Connection, now: Clock = local_time) -> None:
        self.path = path
        self.connection = connection
        self.now = now

    @classmethod
    def open(cls, path: Path, *, make: bool = False, now: Clock = local_time) -> Self:
        """Open a book, brought to the newest version; ``make`` makes one where there is none.

        FileFault when there is none, when the file is no job book, is damaged, or was written by a newer program.
        """
        if not make and not is_there(path):
            raise FileFault(str(path), book_texts.THERE_IS_NO_JOB_BOOK_OF_THIS_NAME)
        fresh = not is_there(path)
        connection = None
        try:
            if fresh:
                os.close(os.open(path, os.O_CREAT | os.O_WRONLY, 0o600))  # customers stand in it: for its owner alone
            connection = connected(path)
            _check(connection, path)
            migrate(connection)
        except (sqlite3.Error, OSError) as error:
            if connection is not None:
                connection.close()
            raise FileFault(str(path), _why(error)) from error
        except FileFault:
            if connection is not None:
                connection.close()
            raise
        return cls(path, connection, now)

    def __enter__(self) -> Self:
        return self

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, at: TracebackType | None) -> None:
        """Let go of the file. FileFault when what went wrong within lies in the file and not in the program."""
        self.close()
        if isinstance(error, sqlite3.Error) and _lies_in_the_file(error):
            raise FileFault(str(self.path), _why(error)) from error

    def close(self) -> None:
        """Let go of the file."""
        self.connection.close()

    @contextmanager
    def writing(self) -> Iterator[sqlite3.Connection]:
        """One transaction: everything written within is kept together, or nothing of it."""
        self.connection.execute("BEGIN IMMEDIATE")
        try:
            yield self.connection
            self.connection.execute("COMMIT")
        except BaseException:
            self._roll_back()
            raise

    def _roll_back(self) -> None:
        if self.connection.in_transaction:
            self.connection.execute("ROLLBACK")

    def changes(self) -> int:
        """A number that moves when another window commits a change to this book."""
        return int(self.connection.execute("PRAGMA data_version").fetchone()[0])


def connected(path: Path) -> sqlite3.Connection:
    """A connection with the settings that every use of a book has."""
    connection = sqlite3.connect(path, timeout=WAIT, isolation_level=None)
    connection.row_factory = sqlite3.Row
    try:
        connection.execute("PRAGMA journal_mode = WAL")
        connection.execute("PRAGMA synchronous = FULL")
        connection.execute("PRAGMA foreign_keys = ON")
    except sqlite3.Error:
        connection.close()
        raise
    return connection


def _check(connection: sqlite3.Connection, path: Path) -> None:
    """FileFault unless the file is empty or a job book that this program can read."""
    found = version_of(connection)
    mark = application_of(connection)
    tables = connection.execute("SELECT count(*) FROM sqlite_master").fetchone()[0]
    if mark != APPLICATION and (mark or found or tables):
        raise FileFault(str(path), book_texts.THIS_IS_ANOTHER_PROGRAMS_DATABASE)
    if found > NEWEST:
        raise FileFault(str(path), book_texts.JOB_BOOK_WAS_WRITTEN_BY_A_NEWER.format(found=found, newest=NEWEST))


_FILE_CODES = frozenset(  # primary result codes: sqlite.org/rescode.html
    (
        *(sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED, sqlite3.SQLITE_READONLY, sqlite3.SQLITE_IOERR),
        *(sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_FULL, sqlite3.SQLITE_CANTOPEN, sqlite3.SQLITE_NOTADB),
        sqlite3.SQLITE_PERM,
    )
)


def _lies_in_the_file(error: sqlite3.Error) -> bool:
    return getattr(error, "sqlite_errorcode", 0) & 0xFF in _FILE_CODES


def _why(error: sqlite3.Error | OSError) -> str:
    if isinstance(error, OSError):
        return book_texts.JOB_BOOK_CANNOT_BE_OPENED.format(strerror=error.strerror or error)
    text = str(error)
    if "not a database" in text:
        return book_texts.THIS_IS_NO_JOB_BOOK
    if "malformed" in text:
        return book_texts.JOB_BOOK_IS_DAMAGED
    if "locked" in text:
        return book_texts.ANOTHER_WINDOW_HAS_BEEN_WRITING.format(wait=WAIT)
    return book_texts.JOB_BOOK_CANNOT_BE_USED.format(text=text)
