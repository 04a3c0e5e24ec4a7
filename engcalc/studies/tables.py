"""The user's own tables of parts: cores, fans, pumps to choose from, one row each, as CSV.

The header names inputs of a case, by path (``radiator.core_height``) or by the last word of the path where that names
one input only (``core_height``), and a column ``name``. A unit stands in each cell (``420 mm``) or once in the header
(``core_height [mm]`` or ``core_height (mm)``). Columns are parted by comma, semicolon or tabulator; a line that begins
with ``#`` and an empty line are passed over. Everything wrong is reported at once, with its line.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from engcalc.case.case import Case
from engcalc.case.catalogue import catalogue, entry, pattern_of
from engcalc.case.declare import FileShape
from engcalc.case.file import file_of_case, read_whole
from engcalc.case.resolve import read_value
from engcalc.errors import FileFault, InputError, InputFault
from engcalc.units import KINDS

LARGEST_BYTES = 4 * 1024 * 1024
MOST_ROWS = 2000
NAME = "name"
_PARTS = ("radiator", "airflow", "circuit", "thermostat", "coolant", "heater", "engine")
"""Sections of which a part can be exchanged."""
_HEADER = re.compile(r"\s*([A-Za-z_][\w.\[\]]*?)\s*(?:[\[(]\s*([^\[\]()]+?)\s*[\])])?\s*")
_PARTERS = (";", "\t", ",")


@dataclass(frozen=True)
class CataloguePart:
    """One row: its name, the line it stands in, and the inputs that it sets (SI arrays of shape (1,), or words)."""

    name: str
    line: int
    values: Mapping[str, Any]


@dataclass(frozen=True)
class _TableColumn:
    """One column of a table: its place, path and the unit of its header."""

    at: int
    path: str
    unit: str


def read_table(path: Path) -> tuple[CataloguePart, ...]:
    """The parts in a CSV file. Raises FileFault, or InputError with every fault and its line."""
    data = read_whole(path, "a table", LARGEST_BYTES)
    try:
        return parse_table(data.decode("utf-8-sig"), path.name)
    except UnicodeDecodeError as error:
        raise FileFault(str(path), f"the file is not UTF-8 text (byte {error.start}); save it as UTF-8") from error


def tables_of(case: Case, folder: Path) -> tuple[CataloguePart, ...]:
    """The parts of every table that a case names; the files lie in ``folder``.

    Raises InputError with every fault, under the path of the table's name in the case.
    """
    parts: list[CataloguePart] = []
    faults: list[InputFault] = []
    for i, name in enumerate(case.job.part_tables):
        try:
            parts += read_table(file_of_case(folder, name))
        except InputError as error:
            faults += [
                InputFault(f"job.part_tables[{i}]", f.given, f"{f.path}: {f.wanted}" if f.path else f.wanted)
                for f in error.faults
            ]
    if faults:
        raise InputError(tuple(faults))
    return tuple(parts)


def parse_table(text: str, name: str = "table") -> tuple[CataloguePart, ...]:
    """The parts in a table's text; ``name`` stands in the faults. Raises InputError with every fault."""
    faults: list[InputFault] = []
    try:
        lines = list(_lines(text))
    except csv.Error as error:
        raise InputError(
            (InputFault(name, "", f"a table of short cells would do; reading stopped: {error}"),)
        ) from error
    if len(lines) < 2 or len(lines) - 1 > MOST_ROWS:
        given = f"{max(len(lines) - 1, 0)} rows"
        raise InputError((InputFault(name, given, f"a line of headers and 1 to {MOST_ROWS} rows would do"),))
    (head_line, head), rows = lines[0], lines[1:]
    columns, name_at = _columns(head, f"{name} line {head_line}", faults)
    parts = [_part(line, cells, columns, name_at, len(head), f"{name} line {line}", faults) for line, cells in rows]
    if faults:
        raise InputError(tuple(faults))
    return tuple(parts)


def _lines(text: str) -> Iterator[tuple[int, list[str]]]:
    """Line numbers and cells, without comments and empty lines."""
    parter = _parter(text)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=parter, skipinitialspace=True)
    before = 0
    for cells in reader:
        first, before = before + 1, reader.line_num
        if any(c.strip() for c in cells) and not cells[0].lstrip().startswith("#"):
            yield first, [c.strip() for c in cells]


def _parter(text: str) -> str:
    """What parts the columns: the first of semicolon, tabulator, comma that stands in the header."""
    head = next((line for line in text.splitlines() if line.strip() and not line.lstrip().startswith("#")), "")
    return next((p for p in _PARTERS if p in head), ",")


def _columns(head: Sequence[str], where: str, faults: list[InputFault]) -> tuple[list[_TableColumn], int | None]:
    columns: list[_TableColumn] = []
    name_at = None
    for at, cell in enumerate(head):
        if cell.casefold() == NAME:
            name_at = at
            continue
        column = _column(at, cell, where, faults)
        if column is not None and column.path in (c.path for c in columns):
            faults.append(InputFault(where, cell, "this input has a column already; keep one"))
        elif column is not None:
            columns.append(column)
    if not columns and not faults:
        faults.append(InputFault(where, ", ".join(head), "at least one column besides the name would do"))
    return columns, name_at


def _column(at: int, cell: str, where: str, faults: list[InputFault]) -> _TableColumn | None:
    match = _HEADER.fullmatch(cell)
    if match is None:
        faults.append(InputFault(where, cell, "the name of an input would do, with its unit in brackets if you like"))
        return None
    key, unit = match.group(1), match.group(2) or ""
    found = _paths(key)
    if len(found) != 1:
        wanted = (
            "no input has this name; heatdocket fields lists them"
            if not found
            else f"this names several inputs; write one of {', '.join(found)}"
        )
        faults.append(InputFault(where, cell, wanted))
        return None
    declared = entry(pattern_of(found[0])).input
    if unit and (declared.shape is not FileShape.NUMBER or unit not in _units(declared.kind)):
        wanted = f"one of {', '.join(_units(declared.kind))}" if declared.shape is FileShape.NUMBER else "no unit"
        faults.append(InputFault(where, cell, f"{wanted} would do as the unit"))
        return None
    return _TableColumn(at, found[0], unit)


def _units(kind: str) -> tuple[str, ...]:
    return KINDS[kind].spellings


def _paths(key: str) -> tuple[str, ...]:
    """The paths that a header may mean."""
    if "." in key:
        known = {e.path for e in catalogue() if e.section in _PARTS}
        return (key,) if pattern_of(key) in known and "[]" not in key else ()
    return _by_key().get(key, ())


@cache
def _by_key() -> Mapping[str, tuple[str, ...]]:
    found: dict[str, tuple[str, ...]] = {}
    for e in catalogue():
        if e.section in _PARTS and "[]" not in e.path:
            found[e.leaf.key] = (*found.get(e.leaf.key, ()), e.path)
    return found


def _part(
    line: int,
    cells: Sequence[str],
    columns: Sequence[_TableColumn],
    name_at: int | None,
    width: int,
    where: str,
    faults: list[InputFault],
) -> CataloguePart:
    if len(cells) > width:
        faults.append(
            InputFault(
                where,
                f"{len(cells)} cells",
                f"{width} cells, as in the header, would do: with a decimal comma part the columns by semicolons",
            )
        )
    values: dict[str, Any] = {}
    for column in columns:
        typed = cells[column.at] if column.at < len(cells) else ""
        if not typed:
            continue
        bare = column.unit and re.fullmatch(r"[-+0-9.,eE]+", typed)
        try:
            values[column.path] = read_value(column.path, f"{typed} {column.unit}" if bare else typed)
        except InputError as error:
            faults.extend(InputFault(f"{where}, {f.path}", f.given, f.wanted) for f in error.faults)
    name = cells[name_at] if name_at is not None and name_at < len(cells) else ""
    if columns and not values and not any(f.path.startswith(where) for f in faults):
        faults.append(InputFault(where, name, "at least one value besides the name would do"))
    return CataloguePart(name or f"line {line}", line, values)
