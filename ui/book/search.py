"""Finding a job by any word: how words are written into the index, and how a person's words are asked of it.

The index folds letters with marks (é is e, ü is u) by itself. Two things are ours: ü is also found as ue, as German
writes it without the letter, and a registration or the end of a VIN is found however its blanks were typed.
"""

from __future__ import annotations

import re
import sqlite3
from collections.abc import Iterable

_WORD = re.compile(r"[^\W_]+")
_SPELLED_OUT = str.maketrans(
    {"ä": "ae", "ö": "oe", "ü": "ue", "Ä": "Ae", "Ö": "Oe", "Ü": "Ue", "ß": "ss", "ø": "oe", "å": "aa", "æ": "ae"}
)
_VIN_ENDS = (8, 7, 6)  # last characters by which a trade counter asks for a vehicle; common practice, no source


def spelled_out(text: str) -> str:
    """The text with each umlaut as two letters.

    >>> spelled_out("Müller, Straße")
    'Mueller, Strasse'
    """
    return text.translate(_SPELLED_OUT)


def squeezed(text: str) -> str:
    """Letters and digits alone, in small letters.

    >>> squeezed("HX-KD 123")
    'hxkd123'
    """
    return "".join(_WORD.findall(text)).casefold()


def indexed(texts: Iterable[str], registration: str, vin: str) -> str:
    """All words under which a job is found."""
    plain = " ".join(text for text in texts if text)
    other = " ".join(spelled_out(word) for word in _WORD.findall(plain) if spelled_out(word) != word)
    ends = " ".join(vin[-n:] for n in _VIN_ENDS) if vin else ""
    return " ".join((plain, other, registration, squeezed(registration), vin, ends))


def asked(words: str) -> str:
    """The question to the index: every word typed, or its beginning, has to be met; empty when no word was typed."""
    return " AND ".join(_chunk(chunk) for chunk in words.split() if _WORD.search(chunk))


def _chunk(chunk: str) -> str:
    """What stands between two blanks: its words one by one, or all in one as a registration is kept."""
    words = " AND ".join(_either_spelling(word) for word in _WORD.findall(chunk))
    return f'({words} OR "{squeezed(chunk)}"*)'


def _either_spelling(word: str) -> str:
    either = dict.fromkeys((word, spelled_out(word)))
    return "(" + " OR ".join(f'"{spelling}"*' for spelling in either) + ")"


def write_words(connection: sqlite3.Connection, job: int, words: str) -> None:
    """Put a job's words into the index, in place of those before."""
    connection.execute("DELETE FROM search WHERE rowid = ?", (job,))
    connection.execute("INSERT INTO search (rowid, words) VALUES (?, ?)", (job, words))
