"""Files kept by their content: packed, once for each content however often it is named, and checked when read."""

from __future__ import annotations

import hashlib
import sqlite3
import zlib

from engcalc.errors import FileFault
from engcalc.words.texts import book_texts


def digest(data: bytes) -> str:
    """SHA-256 of some bytes, in hexadecimal (FIPS 180-4)."""
    return hashlib.sha256(data).hexdigest()


def keep_content(connection: sqlite3.Connection, data: bytes) -> str:
    """Keep some bytes unless they are kept already; gives their SHA-256."""
    sha256 = digest(data)
    known = connection.execute("SELECT 1 FROM contents WHERE sha256 = ?", (sha256,)).fetchone()
    if known is None:
        packed = zlib.compress(data, level=6)
        connection.execute("INSERT INTO contents VALUES (?, ?, ?)", (sha256, len(data), packed))
    return sha256


def content(connection: sqlite3.Connection, sha256: str) -> bytes:
    """The bytes with this SHA-256. FileFault when they are not kept, or are no longer what was kept."""
    row = connection.execute("SELECT packed FROM contents WHERE sha256 = ?", (sha256,)).fetchone()
    if row is None:
        raise FileFault(sha256, book_texts.JOB_BOOK_KEEPS_NO_FILE_WITH_THIS_CONTENT)
    try:
        data = zlib.decompress(row["packed"])
    except zlib.error:
        data = None
    if data is None or digest(data) != sha256:
        raise FileFault(sha256, book_texts.THIS_FILE_IS_DAMAGED_IN_THE_JOB_BOOK)
    return data


def drop_unnamed(connection: sqlite3.Connection) -> int:
    """Take out the contents that no file names any more; gives how many."""
    done = connection.execute("DELETE FROM contents WHERE sha256 NOT IN (SELECT sha256 FROM files)")
    return done.rowcount
