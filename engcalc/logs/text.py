"""From the bytes of a log to its header and its rows of text: encoding, delimiter, preamble, header.

Nothing here knows physics. The standard library's csv module reads a million rows in a second or two, which is enough:
no further dependency is needed.
"""

from __future__ import annotations

import codecs
import csv
import io
import math
import re
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import islice, pairwise

from engcalc.errors import FileFault
from engcalc.logs.channels import header_score, is_unit
from engcalc.logs.dialects import DELIMITERS
from engcalc.logs.notes import Note, NoteCode
from engcalc.logs.pids import pid_of
from engcalc.words.texts import log_texts, shared_texts

MOST_LINES = 3_000_000  # a month at one line a second
LARGEST = 400_000_000  # bytes; some ten million rows
_LOOK_AHEAD = 200  # lines in which delimiter and header are looked for
_MOST_COLUMNS = 2000
_BOMS = ((codecs.BOM_UTF8, "utf-8-sig"), (codecs.BOM_UTF16_LE, "utf-16"), (codecs.BOM_UTF16_BE, "utf-16"))
_SEPARATOR_LINE = re.compile(r'"?sep=(.)"?', re.IGNORECASE)
_DIGIT = re.compile(r"[0-9]")
_NUMBER_LIKE = re.compile(r"[-+]?[0-9][0-9.,:eE+-]*")


@dataclass(frozen=True)
class LogText:
    """A log as text: the header's cells, units from a line of their own (or empty), rows still to be read."""

    names: tuple[str, ...]
    units: tuple[str, ...]
    header: tuple[str, ...]  # as it stands in the file, to know it again when it repeats
    text: str
    first_row: int  # csv rows to skip
    delimiter: str
    quoted: bool
    notes: tuple[Note, ...]

    def rows(self) -> Iterator[list[str]]:
        """The rows after the header."""
        return islice(_reader(self.text, self.delimiter, self.quoted), self.first_row, None)


def read_sheet(data: bytes) -> LogText:
    """Decode and find delimiter and header. Raises FileFault when there is no table in it."""
    text, notes = _bounded_text(data)
    delimiter = _delimiter(text)
    quoted = _quotes_pair(text)
    head = [[cell.strip() for cell in row] for row in islice(_reader(text, delimiter, quoted), _LOOK_AHEAD)]
    at = _header_index(head)
    if at is None:
        raise FileFault("", log_texts.TABLE_WITH_A_TIME_COLUMN_AND_NAMED)
    width = _bounded_width(head)
    named = at >= 0
    header = tuple(head[at]) if named else ()
    numbered = tuple(f"column {i + 1}" for i in range(width))
    names = tuple(repaired(name) for name in header) if named else numbered
    below = head[at + 1] if named and at + 1 < len(head) else []
    units = _units_line(below, len(names))
    notes += _notes_on_header(names, header, preamble=head[: max(at, 0)])
    if delimiter != ",":
        separated = log_texts.CELLS_ARE_SEPARATED_BY.format(delimiters=DELIMITERS.get(delimiter, repr(delimiter)))
        notes.append(Note(NoteCode.DELIMITER, separated))
    first_row = at + 1 + bool(units)
    return LogText(names, units or ("",) * len(names), header, text, first_row, delimiter, quoted, tuple(notes))


def _bounded_text(data: bytes) -> tuple[str, list[Note]]:
    """The decoded text of a log that is not too large. Raises FileFault of one that is."""
    if len(data) > LARGEST:
        wanted = log_texts.LOG_OF_AT_MOST_MB_WOULD_DO.format(largest=LARGEST // 1_000_000)
        raise FileFault(f"{len(data) // 1_000_000} MB", wanted)
    text, notes = decode(data)
    lines = text.count("\n")
    if lines > MOST_LINES:
        raise FileFault(f"{lines} lines", log_texts.LOG_OF_AT_MOST_LINES_WOULD_DO.format(most_lines=MOST_LINES))
    return text, notes


def _bounded_width(rows: Sequence[Sequence[str]]) -> int:
    """Columns of the widest row. Raises FileFault where there are too many."""
    width = max(len(row) for row in rows)
    if width > _MOST_COLUMNS:
        wanted = log_texts.LOG_OF_AT_MOST_COLUMNS_WOULD_DO.format(most_columns=_MOST_COLUMNS)
        raise FileFault(f"{width} columns", wanted)
    return width


def _notes_on_header(names: Sequence[str], header: Sequence[str], preamble: Sequence[Sequence[str]]) -> Iterator[Note]:
    """What was done to the header, empty where there is none, and to the lines before it."""
    mended = sum(name != as_found for name, as_found in zip(names, header, strict=False))
    if mended:
        yield Note(NoteCode.ENCODING, log_texts.SIGNS_DAMAGED_BY_A_WRONG_ENCODING_WERE, mended)
    skipped = sum(any(row) for row in preamble)
    if skipped:
        yield Note(NoteCode.PREAMBLE, log_texts.LINES_BEFORE_THE_HEADER_WERE_SKIPPED, skipped)
    if not header:
        yield Note(NoteCode.UNIT_ASSUMED, log_texts.THERE_IS_NO_HEADER)


def decode(data: bytes) -> tuple[str, list[Note]]:
    """The text, with a note when it was not plain UTF-8."""
    for bom, name in _BOMS:
        if data.startswith(bom):
            notes = [] if name == "utf-8-sig" else [Note(NoteCode.ENCODING, log_texts.FILE_IS_UTF_16)]
            return _clean(data.decode(name, errors="replace")), notes
    sample = data[:4000]
    if sample.count(0) > len(sample) // 4:
        low = sample[1::2].count(0) >= sample[0::2].count(0)
        return _clean(data.decode("utf-16-le" if low else "utf-16-be", errors="replace")), [
            Note(NoteCode.ENCODING, log_texts.FILE_IS_UTF_16_WITHOUT_A_MARK)
        ]
    try:
        return _clean(data.decode("utf-8")), []
    except UnicodeDecodeError:
        text = data.decode("cp1252", errors="replace")
        return _clean(text), [Note(NoteCode.ENCODING, log_texts.FILE_IS_NOT_UTF_8)]


def _clean(text: str) -> str:
    """Without NULs; old Macintosh line ends made plain."""
    text = text.replace("\0", "").replace("\ufeff", "")
    if "\n" in text[:100_000] or "\r" not in text:
        return text
    return text.replace("\r", "\n")


def repaired(text: str) -> str:
    """Undo UTF-8 that was read as Western European, up to three times over.

    >>> repaired("[Â°C]")
    '[°C]'
    """
    for _ in range(3):
        if not any(mark in text for mark in "ÂÃâ"):
            break
        try:
            text = text.encode("cp1252").decode("utf-8")
        except (UnicodeEncodeError, UnicodeDecodeError):
            try:
                text = text.encode("latin-1").decode("utf-8")
            except (UnicodeEncodeError, UnicodeDecodeError):
                text = text.replace("Â°", "°")
                break
    return text


def _reader(text: str, delimiter: str, quoted: bool) -> Iterator[list[str]]:
    """csv rows; a cell too long for the csv module ends the reading as a FileFault."""
    stream = io.StringIO(text, newline=None if "\r" in text[:100_000] else "")
    try:
        if quoted:
            yield from csv.reader(stream, delimiter=delimiter, skipinitialspace=True)
        else:
            yield from csv.reader(stream, delimiter=delimiter, quoting=csv.QUOTE_NONE, skipinitialspace=True)
    except csv.Error as error:
        raise FileFault("", shared_texts.TABLE_OF_SHORT_CELLS_WOULD_DO.format(error=error)) from None


def _lines(text: str) -> list[str]:
    return [line for line in text[:200_000].splitlines()[:_LOOK_AHEAD] if line.strip()]


def _delimiter(text: str) -> str:
    """The sign that cuts the most lines into one same number of cells; semicolon, tab and bar before the comma."""
    lines = _lines(text)
    said = _SEPARATOR_LINE.fullmatch(lines[0].strip()) if lines else None
    if said and said.group(1) in DELIMITERS:
        return said.group(1)

    def agreement(sign: str) -> float:
        counts = Counter(line.count(sign) for line in lines)
        counts.pop(0, None)
        if not counts:
            return 0.0
        cuts, times = counts.most_common(1)[0]
        return times / len(lines) * math.sqrt(min(cuts, 3))

    best = max(DELIMITERS, key=agreement)
    tidy = [sign for sign in DELIMITERS if sign != "," and agreement(sign) >= 0.6]
    if tidy and best == "," and _comma_is_decimal(lines):
        return tidy[0]
    return best


_DECIMAL_COMMA = re.compile(r"(?:^|[;\t|])\s*\"?[-+]?[0-9]+,[0-9]+\"?\s*(?=$|[;\t|])")


def _comma_is_decimal(lines: list[str]) -> bool:
    return sum(bool(_DECIMAL_COMMA.search(line)) for line in lines) * 4 >= len(lines)


def _quotes_pair(text: str) -> bool:
    """Whether quotation marks may be trusted: they pair up in all, and within each of the first lines."""
    return text.count('"') % 2 == 0 and not any(line.count('"') % 2 for line in _lines(text))


def _header_index(head: list[list[str]]) -> int | None:
    """Row of the header, -1 when the table starts without one, None when there is no table."""
    scores = [_header_score(row) for row in head]
    best = max(scores, default=0)
    if best >= 2:
        return scores.index(best)
    for i, (row, following) in enumerate(pairwise(head)):
        if len(row) >= 2 and _numbers(row) == 0 and _filled(row) >= 2 and _numbers(following) >= 1:
            return i
    if any(len(row) >= 2 and _numbers(row) >= 2 for row in head):
        return -1
    return None


def _header_score(row: list[str]) -> int:
    """Cells that read as a header's; bare identifiers (05, 010C) count beside a named column only."""
    if not 2 <= len(row) <= _MOST_COLUMNS:
        return 0
    named = header_score([repaired(cell) for cell in row])
    if named:
        return named + sum(pid_of(cell) is not None for cell in row)
    return 0


def _filled(row: list[str]) -> int:
    return sum(bool(cell) for cell in row)


def _numbers(row: list[str]) -> int:
    return sum(bool(_NUMBER_LIKE.match(cell)) for cell in row)


def _units_line(row: list[str], width: int) -> tuple[str, ...]:
    """The cells of a line below the header that holds nothing but units; empty when it is data."""
    cells = [repaired(cell).strip("[]() ") for cell in row]
    if _filled(row) < 2 or any(_DIGIT.match(cell) and not is_unit(cell) for cell in cells):
        return ()
    known = sum(is_unit(cell) for cell in cells)
    if known < 2 or known * 2 < _filled(row):
        return ()
    return tuple((cells + [""] * width)[:width])
