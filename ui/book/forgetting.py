"""Taking a customer out of the book: their jobs with cases, logs, photographs and outcomes, and their vehicles."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from dataclasses import dataclass, replace
from pathlib import Path

from engcalc.errors import FileFault, InputError, InputFault
from engcalc.words.texts import book_texts
from ui.book.contents import drop_unnamed
from ui.book.copies import kept_backups
from ui.book.jobs import drop_unvisited, name_key
from ui.book.laid_out import clear_away
from ui.book.store import Book, connected


@dataclass(frozen=True)
class Forgotten:
    """What was taken out: how many of each. ``kept_reports`` stay without a job; ``backups`` are the daily ones that
    the customer was taken out of too."""

    name: str
    jobs: int
    cases: int
    files: int
    outcomes: int
    vehicles: int
    kept_reports: int
    backups: int


def forget(book: Book, customer: str, keep_reports: str = "") -> Forgotten:
    """Take out a customer by name with everything that is theirs, from the book, its daily backups and the files laid
    out from it.

    ``keep_reports`` says why signed reports are to be kept, such as the law that asks for it; they stay then as they
    were signed, with that reason. A vehicle stays when another customer brought it too. InputError when the book has no
    such customer.
    """
    with book.writing() as connection:
        row = connection.execute("SELECT id, name FROM customers WHERE name_key = ?", (name_key(customer),)).fetchone()
        if row is None:
            wanted = book_texts.WHOLE_NAME_OF_A_CUSTOMER_OF_THIS_BOOK
            raise InputError((InputFault("customer", customer, wanted),))
        jobs = connection.execute("SELECT id FROM visits WHERE customer_id = ?", (row["id"],)).fetchall()
        found = _taken_out(connection, int(row["id"]), str(row["name"]), keep_reports)
    _leave_no_trace(book.connection)
    for job in jobs:
        clear_away(book, int(job["id"]))
    backups = sum(_forgotten_in(path, customer, keep_reports) for path in kept_backups(book.path))
    return replace(found, backups=backups)


def _taken_out(connection: sqlite3.Connection, customer: int, name: str, keep_reports: str) -> Forgotten:
    jobs = [int(row["id"]) for row in connection.execute("SELECT id FROM visits WHERE customer_id = ?", (customer,))]
    theirs = "visit_id IN (SELECT id FROM visits WHERE customer_id = ?)"
    kept = 0
    if keep_reports:
        setting = "UPDATE files SET visit_id = NULL, kept_because = ?"
        kept = connection.execute(f"{setting} WHERE kind = 'report' AND {theirs}", (keep_reports, customer)).rowcount
    counts = {
        table: int(connection.execute(f"SELECT count(*) FROM {table} WHERE {theirs}", (customer,)).fetchone()[0])
        for table in ("cases", "files", "outcomes")
    }
    connection.executemany("DELETE FROM search WHERE rowid = ?", [(job,) for job in jobs])
    vehicles = _vehicles(connection)
    connection.execute("DELETE FROM customers WHERE id = ?", (customer,))
    drop_unvisited(connection)
    drop_unnamed(connection)
    gone = vehicles - _vehicles(connection)
    return Forgotten(
        name=name,
        jobs=len(jobs),
        cases=counts["cases"],
        files=counts["files"],
        outcomes=counts["outcomes"],
        vehicles=gone,
        kept_reports=kept,
        backups=0,
    )


def _vehicles(connection: sqlite3.Connection) -> int:
    return int(connection.execute("SELECT count(*) FROM vehicles").fetchone()[0])


def _leave_no_trace(connection: sqlite3.Connection) -> None:
    """Write the file anew, so that nothing of what was taken out is left in its free pages or its log."""
    connection.execute("INSERT INTO search (search) VALUES ('optimize')")  # its segments still hold deleted words
    connection.execute("VACUUM")
    connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")


def _forgotten_in(backup: Path, customer: str, keep_reports: str) -> bool:
    """Take the customer out of one backup; whether they were in it."""
    try:
        with closing(connected(backup)) as connection:
            question = "SELECT id, name FROM customers WHERE name_key = ?"
            row = connection.execute(question, (name_key(customer),)).fetchone()
            if row is not None:
                connection.execute("BEGIN IMMEDIATE")
                _taken_out(connection, int(row["id"]), str(row["name"]), keep_reports)
                connection.execute("COMMIT")
                _leave_no_trace(connection)
            connection.execute("PRAGMA journal_mode = DELETE")
    except sqlite3.Error as error:
        raise FileFault(
            str(backup), book_texts.CUSTOMER_CANNOT_BE_TAKEN_OUT_OF_THIS_BACKUP.format(error=error)
        ) from error
    return row is not None
