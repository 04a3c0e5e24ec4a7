"""Outcomes for other workshops: an open file without a word about whose vehicle it was.

The file is JSON Lines in UTF-8 (one JSON object a line). The first line is ``{"format": "heatdocket-outcomes/1"}``.
Each further line is one job with these keys, and no others:

- ``token``: 16 characters that tell the job from others and from nothing else; made with a secret of the book
- ``quarter``: when the outcome was entered, such as ``2026-Q1``
- ``reason``: the reason for the visit, as in a case file; empty when none was given
- ``class``: the class of vehicle, as in a case file; empty when none was given
- ``cause``: the key of the cause, ``healthy`` where nothing was at fault
- ``confirmed``: how it was confirmed: ``seen``, ``measured`` or ``cured``
- ``cured``: ``yes`` or ``unknown``

A signature of the file may lie beside it, under its name and ``.p7s`` (:mod:`reports.signed_files`).
"""

from __future__ import annotations

import hashlib
import json
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from engcalc.case.file import read_whole, write_whole
from engcalc.causes.catalogue import CAUSES
from engcalc.causes.outcomes import CONFIRMED, CURED, Outcome
from engcalc.errors import FileFault, InputError, InputFault
from engcalc.words.texts import book_texts
from reports.signed_files import FileSigner
from ui.book.store import Book
from ui.trusting import known_to_user

FORMAT = "heatdocket-outcomes/1"
KEYS = ("token", "quarter", "reason", "class", "cause", "confirmed", "cured")
LARGEST = 64 << 20  # bytes; some 400,000 outcomes
_TOKEN = 16  # characters of hexadecimal


@dataclass(frozen=True)
class ReadIn:
    """How many outcomes were read in, how many the book had already, what was wrong with which lines, who signed the
    file: None where nobody did."""

    new: int
    known: int
    refused: tuple[tuple[int, str], ...]
    signer: FileSigner | None = None


def write_outcomes(book: Book, path: Path) -> int:
    """Write every outcome of this book that counts, anonymised, to a new file; gives how many.

    FileFault when the file is there already or cannot be written.
    """
    lines = [json.dumps({"format": FORMAT})]
    lines += [json.dumps(line, ensure_ascii=False) for line in _lines(book)]
    write_whole(path, ("\n".join(lines) + "\n").encode("utf-8"), fresh=True)
    return len(lines) - 1


def _lines(book: Book) -> list[dict[str, str]]:
    """One object for each outcome that counts, in the order of their tokens, which tells nothing of the jobs'."""
    rows = book.connection.execute(
        "SELECT visit_id, entered_at, cause, confirmed, replaced, cured, reason, class FROM outcomes"
        " JOIN visits ON visits.id = visit_id WHERE outcomes.id IN (SELECT max(id) FROM outcomes GROUP BY visit_id)"
    )
    found = [
        {
            "token": _token(book, row["visit_id"]),
            "quarter": _quarter(row["entered_at"]),
            "reason": row["reason"],
            "class": row["class"],
            "cause": row["cause"],
            "confirmed": row["confirmed"],
            "cured": row["cured"],
        }
        for row in rows
        if Outcome(row["cause"], row["confirmed"], "", row["cured"]).counts
    ]
    return sorted(found, key=lambda line: line["token"])


def _token(book: Book, job: int) -> str:
    salt = book.connection.execute("SELECT value FROM book_facts WHERE name = 'salt'").fetchone()[0]
    return hashlib.sha256(f"{salt} {job}".encode()).hexdigest()[:_TOKEN]


def _quarter(moment: str) -> str:
    """The quarter of a moment in ISO 8601.

    >>> _quarter("2026-04-01T08:00:00+00:00")
    '2026-Q2'
    """
    return f"{moment[:4]}-Q{(int(moment[5:7]) + 2) // 3}"


def read_outcomes(book: Book, path: Path, source: str, weight: float) -> ReadIn:
    """Read in outcomes of another workshop: who gave them, and how much each counts beside one of one's own.

    A line that cannot be used stops nothing. One's own outcomes, and those read in from this source before, do not
    count twice. InputError when the file is none of this format, the source is empty, or the weight is not over 0 and
    at most 1; FileFault when a signature beside it is not of the file as it is.
    """
    from reports.signed_files import signer_of_file

    _check(source, weight)
    data = read_whole(path, book_texts.FILE_OF_OUTCOMES, LARGEST)
    signer = signer_of_file(path, data, known_to_user())
    lines = _text(path, data).splitlines()
    _check_head(path, lines[0] if lines else "")
    known_causes, refused, new, known = set(CAUSES), [], 0, 0
    own = {line["token"] for line in _lines(book)}
    with book.writing() as connection:
        for number, line in enumerate(lines[1:], 2):
            if not line.strip():
                continue
            found = _outcome(line, known_causes)
            if isinstance(found, str):
                refused.append((number, found))
                continue
            done = 0
            if found["token"] not in own:
                values = (source, weight, *(found[key] for key in ("token", "quarter", "reason", "class", "cause")))
                done = connection.execute(
                    "INSERT OR IGNORE INTO outside_outcomes (source, weight, token, quarter, reason, class, cause)"
                    " VALUES (?, ?, ?, ?, ?, ?, ?)",
                    values,
                ).rowcount
            new, known = new + done, known + 1 - done
    return ReadIn(new, known, tuple(refused), signer)


def _check(source: str, weight: float) -> None:
    faults = []
    if not source.strip():
        faults.append(InputFault("source", source, book_texts.NAME_OF_WHO_GAVE_THEM_WOULD_DO))
    if not 0.0 < weight <= 1.0:
        faults.append(InputFault("weight", str(weight), book_texts.NUMBER_OVER_0_AND_AT_MOST_1_WOULD_DO))
    if faults:
        raise InputError(tuple(faults))


def _text(path: Path, data: bytes) -> str:
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise FileFault(str(path), book_texts.FILE_IS_NOT_UTF_8_TEXT_BYTE.format(start=error.start)) from error


def _check_head(path: Path, line: str) -> None:
    try:
        head = json.loads(line)
    except ValueError:
        head = None
    if not isinstance(head, dict) or head.get("format") != FORMAT:
        raise FileFault(str(path), book_texts.FIRST_LINE_OF_A_FILE_OF_OUTCOMES_READS.format(format=FORMAT))


def _outcome(line: str, causes: set[str]) -> dict[str, str] | str:
    """The outcome of one line, or what is wrong with it."""
    try:
        found: Any = json.loads(line)
    except (ValueError, RecursionError):
        return book_texts.IT_IS_NOT_JSON
    if not isinstance(found, dict) or not all(isinstance(found.get(key), str) for key in KEYS):
        return book_texts.IT_HAS_NOT_ALL_OF_THESE_KEYS_WITH_TEXTS.format(keys=", ".join(KEYS))
    if found["cause"] not in causes:
        return book_texts.IS_NO_CAUSE_THAT_THIS_PROGRAM_KNOWS.format(cause=found["cause"])
    if found["confirmed"] not in CONFIRMED or found["cured"] not in CURED:
        return book_texts.CONFIRMED_OR_CURED_IS_NONE
    if not Outcome(found["cause"], found["confirmed"], "", found["cured"]).counts:
        return book_texts.IT_IS_NOT_CONFIRMED
    return {key: found[key] for key in KEYS}
