"""What stands in a job book: its tables, and the steps from each version to the next.

``PRAGMA user_version`` holds the version. A step is never changed once it was released: a new one is added behind it.
"""

from __future__ import annotations

import sqlite3

APPLICATION = 0x48444A42  # "HDJB": what marks the file as a job book, PRAGMA application_id

_VERSION_1 = """
CREATE TABLE customers (
    id INTEGER PRIMARY KEY,
    name TEXT NOT NULL,
    name_key TEXT NOT NULL UNIQUE            -- small letters, single blanks: how a name is compared
);
CREATE TABLE vehicles (
    id INTEGER PRIMARY KEY,
    described TEXT NOT NULL,                 -- as the customer would say it
    registration TEXT NOT NULL,
    registration_key TEXT NOT NULL,          -- letters and digits alone
    vin TEXT NOT NULL                        -- capital letters without blanks; empty when not noted
);
CREATE INDEX vehicles_by_registration ON vehicles (registration_key);
CREATE INDEX vehicles_by_vin ON vehicles (vin);
CREATE TABLE visits (
    id INTEGER PRIMARY KEY,                  -- the number of the job
    customer_id INTEGER REFERENCES customers (id) ON DELETE CASCADE,
    vehicle_id INTEGER REFERENCES vehicles (id),
    work_order TEXT NOT NULL,
    day TEXT NOT NULL,                       -- as typed in the case; else the day it was kept
    complaint TEXT NOT NULL,
    reason TEXT NOT NULL,
    class TEXT NOT NULL,
    title TEXT NOT NULL,
    state TEXT NOT NULL DEFAULT 'open' CHECK (state IN ('open', 'closed'))
);
CREATE INDEX visits_by_customer ON visits (customer_id);
CREATE INDEX visits_by_vehicle ON visits (vehicle_id);
CREATE INDEX visits_by_state ON visits (state, id);
CREATE TABLE cases (
    id INTEGER PRIMARY KEY,
    visit_id INTEGER NOT NULL REFERENCES visits (id) ON DELETE CASCADE,
    name TEXT NOT NULL,
    sha256 TEXT NOT NULL UNIQUE,
    kept_at TEXT NOT NULL,
    text BLOB NOT NULL                       -- the bytes of the case file, verbatim
);
CREATE INDEX cases_by_visit ON cases (visit_id);
CREATE TABLE contents (
    sha256 TEXT PRIMARY KEY,
    size INTEGER NOT NULL,                   -- bytes before packing
    packed BLOB NOT NULL                     -- zlib
) WITHOUT ROWID;
CREATE TABLE files (
    id INTEGER PRIMARY KEY,
    visit_id INTEGER REFERENCES visits (id) ON DELETE CASCADE,
    kind TEXT NOT NULL CHECK (kind IN ('log', 'report', 'photo', 'table')),
    name TEXT NOT NULL,                      -- as the case names it, relative to the case file
    sha256 TEXT NOT NULL REFERENCES contents (sha256),
    kept_because TEXT NOT NULL DEFAULT '',   -- of a report whose customer was taken out
    UNIQUE (visit_id, kind, name, sha256)
);
CREATE INDEX files_by_content ON files (sha256);
CREATE TABLE outcomes (
    id INTEGER PRIMARY KEY,
    visit_id INTEGER NOT NULL REFERENCES visits (id) ON DELETE CASCADE,
    entered_at TEXT NOT NULL,
    cause TEXT NOT NULL,
    confirmed TEXT NOT NULL,
    replaced TEXT NOT NULL,
    cured TEXT NOT NULL CHECK (cured IN ('yes', 'no', 'unknown'))
);
CREATE INDEX outcomes_by_visit ON outcomes (visit_id);
CREATE VIRTUAL TABLE search USING fts5 (words, tokenize = 'unicode61 remove_diacritics 2', prefix = '1 2 3');
"""

_VERSION_2 = """
CREATE TABLE claims (
    id INTEGER PRIMARY KEY,
    visit_id INTEGER NOT NULL REFERENCES visits (id) ON DELETE CASCADE,
    made_at TEXT NOT NULL,
    odds TEXT NOT NULL,                      -- JSON: the probability of each cause, as the program gave it
    shipped TEXT NOT NULL                    -- JSON: the shipped base rate of each cause, for the same vehicle
);
CREATE INDEX claims_by_visit ON claims (visit_id);
CREATE TABLE outside_outcomes (
    id INTEGER PRIMARY KEY,
    source TEXT NOT NULL,                    -- who gave them, in the words of the person who read them in
    weight REAL NOT NULL CHECK (weight > 0 AND weight <= 1),
    token TEXT NOT NULL,                     -- what tells the outcome from the others of its file
    quarter TEXT NOT NULL,
    reason TEXT NOT NULL,
    class TEXT NOT NULL,
    cause TEXT NOT NULL,
    UNIQUE (source, token)
);
CREATE TABLE book_facts (name TEXT PRIMARY KEY, value TEXT NOT NULL) WITHOUT ROWID;
INSERT INTO book_facts VALUES ('salt', lower(hex(randomblob(16))));  -- so that no token gives its job away
"""

MIGRATIONS = (_VERSION_1, _VERSION_2)
"""The step to each version from the one before it; the first from an empty file."""

NEWEST = len(MIGRATIONS)


def version_of(connection: sqlite3.Connection) -> int:
    """The version of the book; 0 of an empty file."""
    return int(connection.execute("PRAGMA user_version").fetchone()[0])


def application_of(connection: sqlite3.Connection) -> int:
    """The mark of the program that made the file; 0 where none left one."""
    return int(connection.execute("PRAGMA application_id").fetchone()[0])


def migrate(connection: sqlite3.Connection, target: int = NEWEST) -> None:
    """Bring the book to a version, every step in one transaction: all of it or nothing. Nothing of an up-to-date one.

    ``connection`` commits by itself (isolation_level None).
    """
    if version_of(connection) >= target:
        return
    connection.execute("BEGIN IMMEDIATE")
    try:
        for step in MIGRATIONS[version_of(connection) : target]:  # asked anew: another window may just have done it
            for statement in _statements(step):
                connection.execute(statement)
        connection.execute(f"PRAGMA user_version = {max(target, version_of(connection))}")
        connection.execute(f"PRAGMA application_id = {APPLICATION}")
        connection.execute("COMMIT")
    except BaseException:
        connection.execute("ROLLBACK")
        raise


def _statements(script: str) -> list[str]:
    """The statements of a script; executescript would commit between them."""
    found, rest = [], ""
    for line in script.splitlines(keepends=True):
        rest += line
        if sqlite3.complete_statement(rest):
            found.append(rest)
            rest = ""
    return found
