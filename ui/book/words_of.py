"""The words of a job under which it is found: what was typed, what was chosen in a list as it reads, and its state.

``WORDS`` counts up whenever other words are taken, so that a book of before is indexed anew (:func:`renew_words`).
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator

from engcalc.case.catalogue import entry
from engcalc.case.presets import CLASSES, class_value
from engcalc.case.sections.job import TOLD_SIGNS, reason_told
from engcalc.case.text import CaseText

WORDS = "2"  # of these words; 2: what the customer tells, the fuel of the class, open or closed
RECORDS = ("before", "after")
_TYPED = (
    *("job.title", "job.work_order", "job.customer", "job.vehicle", "job.odometer", "job.complaint", "job.reason"),
    *("job.prepared_by", "job.date", "job.work_done", "job.notes", "vehicle.class", "engine.fuel"),
)
_CHOSEN = ("job.reason", "job.coolant_lost_at", "job.onset", "job.after_work")  # of which the meaning is words too


def words_of_case(text: CaseText) -> Iterator[str]:
    """What stands in a case, as typed and as it reads."""
    yield from (text.typed(path) for path in _TYPED)
    yield from (entry(path).input.options.get(text.typed(path), "") for path in _CHOSEN)
    yield from _signs_told(text)
    yield _fuel_of_class(text)
    yield from (str(code) for record in RECORDS for code in text.get(f"evidence.{record}.codes") or ())


def _signs_told(text: CaseText) -> Iterator[str]:
    """The signs that the customer tells, and the reason that they mean where nobody stated one."""
    found = text.get("job.told")
    told = {sign: so for sign, so in found.items() if sign in TOLD_SIGNS} if isinstance(found, dict) else {}
    yield from (TOLD_SIGNS[sign] for sign, so in told.items() if so is True)
    reason = reason_told(told, text.typed("job.coolant_lost_at") or None)
    if reason is not None and not text.typed("job.reason"):
        yield f"{reason} {entry('job.reason').input.options[reason]}"


def _fuel_of_class(text: CaseText) -> str:
    """The fuel that is typical of the class, where nobody stated one."""
    name = text.typed("vehicle.class")
    if text.typed("engine.fuel") or name not in CLASSES:
        return ""
    found = class_value(name, "engine.fuel")
    return "" if found is None else found[0]


def words_are_new(connection: sqlite3.Connection) -> bool:
    """Whether the book is indexed by these words."""
    row = connection.execute("SELECT value FROM book_facts WHERE name = 'words'").fetchone()
    return row is not None and str(row["value"]) == WORDS


def note_words(connection: sqlite3.Connection) -> None:
    """Note that the book is indexed by these words."""
    connection.execute("INSERT OR REPLACE INTO book_facts VALUES ('words', ?)", (WORDS,))
