"""The user's own tables of parts: cores, fans, pumps, caps, coolers to choose from, one row each, as CSV.

The header names inputs of a case, by path (``radiator.core_height``) or by the last word of the path where that names
one input only (``core_height``; ``Core height`` is the same), and a column ``name``. A unit stands in each cell
(``420 mm``) or once in the header (``core_height [mm]`` or ``core_height (mm)``). Columns are parted by comma,
semicolon or tabulator; a line that begins with ``#`` and an empty line are passed over. Everything wrong is reported
at once, with its line.

``fan_points`` and ``pump_points`` hold points of a maker's curve (:mod:`engcalc.studies.choice.part_curves`),
``heat_points`` a core's heat over both flows (:mod:`engcalc.studies.choice.heat_points`); ``fan_volts``
and ``fan_amps`` give a fan's power together. Any other column (price, supplier, note) is kept and shown as it stands;
of one that looks like a misspelt input the parts tell that it is not used.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from difflib import get_close_matches
from functools import cache
from pathlib import Path
from typing import Any, TypeVar

import numpy as np

from engcalc.case.case import Case
from engcalc.case.catalogue import catalogue, entry, pattern_of
from engcalc.case.declare import FileShape
from engcalc.case.file import file_of_case, read_whole
from engcalc.case.resolve import read_value
from engcalc.errors import FileFault, InputError, InputFault
from engcalc.quantity_kinds import KINDS
from engcalc.studies.choice.heat_points import HeatFit, HeatPoints, heat_fit, heat_points
from engcalc.studies.choice.part_curves import CurveFit, fan_curve, fan_inputs, pump_curve, pump_inputs
from engcalc.studies.members import varied
from engcalc.units import with_unit
from engcalc.words.texts import shared_texts, study_texts

LARGEST_BYTES = 4 * 1024 * 1024
MOST_ROWS = 2000
NAME = "name"
FAN_POINTS = "fan_points"
PUMP_POINTS = "pump_points"
HEAT_POINTS = "heat_points"
VOLTS = "fan_volts"
AMPS = "fan_amps"
SPECIAL = (FAN_POINTS, PUMP_POINTS, HEAT_POINTS, VOLTS, AMPS)
"""Columns that stand for inputs without being one."""
ONLY_SHOWN = ("kind", "mass", "weight", "price", "supplier", "note")
"""Columns that a table of parts usually has beside its inputs, whatever an input's last word is."""
UA_FACTOR = "radiator.ua_scale"
Points = TypeVar("Points")
ALIKE = 0.8  # -; likeness of two words from which one may be the other misspelt; common practice, no source
_PARTS = ("radiator", "airflow", "circuit", "thermostat", "coolant", "heater", "engine")
"""Sections of which a part can be exchanged."""
_HEADER = re.compile(r"\s*([A-Za-z_][\w.\[\] ]*?)\s*(?:[\[(]\s*([^\[\]()]+?)\s*[\])])?\s*")
_PARTERS = (";", "\t", ",")


@dataclass(frozen=True)
class CataloguePart:
    """One row: its name, the line it stands in, and the inputs that it sets (SI arrays of shape (1,), or words).

    ``typed`` are the same inputs as a person would type them. ``beside`` are the other columns, head to cell; ``notes``
    say which of them look like a misspelt input. ``fan`` and ``pump`` are the curves through a maker's points, ``heat``
    a core's own.
    """

    name: str
    line: int
    values: Mapping[str, Any]
    typed: Mapping[str, str] = field(default_factory=dict)
    beside: Mapping[str, str] = field(default_factory=dict)
    notes: tuple[str, ...] = ()
    fan: CurveFit | None = None
    pump: CurveFit | None = None
    heat: HeatPoints | None = None

    def values_in(self, case: Case) -> Mapping[str, Any]:
        """The inputs that the part sets in a case, a pump's points read where its circuit meets them."""
        computed = {path: np.full(1, si) for path, si in self._computed_in(case).items()}
        return {**computed, **self.values}

    def typed_in(self, case: Case) -> Mapping[str, str]:
        """The same as a person would type it."""
        return {**_spelled(self._computed_in(case)), **self.typed}

    def heat_fit_in(self, case: Case) -> HeatFit | None:
        """The factor through a core's points of heat, with the part in a case; None where it has none."""
        if self.heat is None:
            return None
        return heat_fit(varied(case, self.values), self.heat)

    def _computed_in(self, case: Case) -> dict[str, float]:
        """The inputs that the case and a maker's points give together."""
        fit = self.heat_fit_in(case)
        of_heat = {} if fit is None else {UA_FACTOR: fit.factor}
        if self.pump is None:
            return of_heat
        return {**of_heat, **pump_inputs(case, self.pump)}


@dataclass(frozen=True)
class _TableColumn:
    """One column of inputs: its place, path (or the name of a column that stands for inputs) and its head's unit."""

    at: int
    path: str
    unit: str


@dataclass
class _Head:
    """The head of a table: its inputs, where the name stands, what else there is, and what is to be said of that."""

    where: str
    width: int
    inputs: list[_TableColumn] = field(default_factory=list)
    name_at: int | None = None
    beside: dict[int, str] = field(default_factory=dict)
    notes: list[str] = field(default_factory=list)


def read_table(path: Path) -> tuple[CataloguePart, ...]:
    """The parts in a CSV file. Raises FileFault, or InputError with every fault and its line."""
    data = read_whole(path, "a table", LARGEST_BYTES)
    try:
        return parse_table(data.decode("utf-8-sig"), path.name)
    except UnicodeDecodeError as error:
        raise FileFault(str(path), shared_texts.FILE_IS_NOT_UTF_8_TEXT_BYTE.format(start=error.start)) from error


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
            (InputFault(name, "", shared_texts.TABLE_OF_SHORT_CELLS_WOULD_DO.format(error=error)),)
        ) from error
    if len(lines) < 2 or len(lines) - 1 > MOST_ROWS:
        given = f"{max(len(lines) - 1, 0)} rows"
        raise InputError(
            (InputFault(name, given, study_texts.LINE_OF_HEADERS_AND_1_TO_ROWS_WOULD_DO.format(most_rows=MOST_ROWS)),)
        )
    (head_line, cells), rows = lines[0], lines[1:]
    head = _head(cells, f"{name} line {head_line}", faults)
    parts = [_part_of_row(line, cells, head, f"{name} line {line}", faults) for line, cells in rows]
    if faults:
        raise InputError(tuple(faults))
    return tuple(parts)


def notes_of(parts: Sequence[CataloguePart]) -> tuple[str, ...]:
    """What is to be said of the columns of the parts' tables, each once."""
    return tuple(dict.fromkeys(note for part in parts for note in part.notes))


def _lines(text: str) -> Iterator[tuple[int, list[str]]]:
    """Line numbers and cells, without comments and empty lines."""
    parter = _parter(text)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=parter, skipinitialspace=True)
    before = 0
    for cells in reader:
        first = before + 1
        before = reader.line_num
        if any(c.strip() for c in cells) and not cells[0].lstrip().startswith("#"):
            yield first, [c.strip() for c in cells]


def _parter(text: str) -> str:
    """What parts the columns: the first of semicolon, tabulator, comma that stands in the header."""
    head = next((line for line in text.splitlines() if line.strip() and not line.lstrip().startswith("#")), "")
    return next((p for p in _PARTERS if p in head), ",")


def _head(cells: Sequence[str], where: str, faults: list[InputFault]) -> _Head:
    head = _Head(where, len(cells))
    before = len(faults)
    for at, cell in enumerate(cells):
        if cell.casefold() == NAME:
            head.name_at = at
            continue
        column = _column(at, cell, where, faults)
        if isinstance(column, str):
            head.beside[at] = f"{cell} ({at + 1})" if cell in head.beside.values() else cell or f"column {at + 1}"
            head.notes += [column] if column else []
        elif column is not None and column.path in (c.path for c in head.inputs):
            faults.append(InputFault(where, cell, study_texts.THIS_INPUT_HAS_A_COLUMN_ALREADY))
        elif column is not None:
            head.inputs.append(column)
    if not head.inputs and len(faults) == before:
        wanted = study_texts.AT_LEAST_ONE_COLUMN_NAMED_AS_AN_INPUT
        faults.append(InputFault(where, ", ".join(cells), " ".join((wanted, *head.notes))))
    return head


def _column(at: int, cell: str, where: str, faults: list[InputFault]) -> _TableColumn | str | None:
    """A column of inputs; for any other what is to be said of it, which may be nothing; None after a fault."""
    match = _HEADER.fullmatch(cell)
    if match is None:
        return _not_used(cell, cell)
    key = _spelled_as_key(match.group(1))
    unit = match.group(2) or ""
    if key in SPECIAL:
        return _TableColumn(at, key, unit)
    found = () if _plain(key) in ONLY_SHOWN else _paths(key)
    if not found:
        return _not_used(cell, key)
    if len(found) > 1:
        faults.append(InputFault(where, cell, study_texts.THIS_NAMES_SEVERAL_INPUTS.format(found=", ".join(found))))
        return None
    declared = entry(pattern_of(found[0])).input
    if unit and (declared.shape is not FileShape.NUMBER or unit not in _units(declared.kind)):
        wanted = f"one of {', '.join(_units(declared.kind))}" if declared.shape is FileShape.NUMBER else "no unit"
        faults.append(InputFault(where, cell, study_texts.WOULD_DO_AS_THE_UNIT.format(wanted=wanted)))
        return None
    return _TableColumn(at, found[0], unit)


def _plain(words: str) -> str:
    """Words as the key of an input is spelled: small letters, joined by underscores."""
    return re.sub(r"\W+", "_", words.casefold()).strip("_")


def _spelled_as_key(words: str) -> str:
    """The key that a header means, which may be written as the form has it: ``Core height`` for ``core_height``."""
    plain = _plain(words)
    if plain in _by_key() or plain in SPECIAL:
        return plain
    return words


def _not_used(cell: str, key: str) -> str:
    """That a column which looks like an input is only shown; empty where it looks like none."""
    if _plain(key) in ONLY_SHOWN:
        return ""
    plain = _plain(key.rpartition(".")[2])
    alike = get_close_matches(plain, (*_by_key(), *SPECIAL), n=1, cutoff=ALIKE)
    alike = alike or [of_part for of_part in _by_key() if of_part.endswith(f"_{plain}")]
    if alike:
        return study_texts.COLUMN_IS_SHOWN_AND_NOT_USED.format(cell=cell, alike=alike[0])
    if "." in key or "[" in key:
        return study_texts.COLUMN_IS_SHOWN_AND_NOT_USED_NO_PART.format(cell=cell)
    return ""


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


def _part_of_row(line: int, cells: Sequence[str], head: _Head, where: str, faults: list[InputFault]) -> CataloguePart:
    """The part of one row; what is wrong with it is added to ``faults``."""
    before = len(faults)
    cells = _to_the_width(cells, head, where, faults)
    typed = {column.path: with_unit(cells[column.at], column.unit) for column in head.inputs if cells[column.at]}
    plain = {path: text for path, text in typed.items() if path not in SPECIAL}
    values = _values(plain, where, faults)
    fan = _curve(fan_curve, FAN_POINTS, typed, where, faults)
    pump = _curve(pump_curve, PUMP_POINTS, typed, where, faults)
    heat = _heat_of_row(typed, where, faults)
    computed = {**(fan_inputs(fan) if fan else {}), **_power(typed, where, faults)}
    twice = study_texts.FOLLOWS_FROM_THE_POINTS_OR_VOLTS
    faults.extend(_said_twice(computed, typed, where, twice))
    name = cells[head.name_at] if head.name_at is not None else ""
    if head.inputs and not typed and len(faults) == before:
        faults.append(InputFault(where, name, study_texts.AT_LEAST_ONE_VALUE_BESIDES_THE_NAME_WOULD_DO))
    return CataloguePart(
        name=name or f"line {line}",
        line=line,
        values={**values, **{path: np.full(1, si) for path, si in computed.items()}},
        typed={**plain, **_spelled(computed)},
        beside={title: cells[at] for at, title in head.beside.items() if cells[at]},
        notes=tuple(head.notes),
        fan=fan,
        pump=pump,
        heat=heat,
    )


def _to_the_width(cells: Sequence[str], head: _Head, where: str, faults: list[InputFault]) -> list[str]:
    """The cells, filled up to the header's width with empty ones; more than that is a fault."""
    if len(cells) > head.width:
        wanted = study_texts.CELLS_AS_IN_THE_HEADER.format(width=head.width)
        faults.append(InputFault(where, f"{len(cells)} cells", wanted))
    return [*cells, *[""] * (head.width - len(cells))]


def _heat_of_row(typed: Mapping[str, str], where: str, faults: list[InputFault]) -> HeatPoints | None:
    """The maker's points of heat; what says the same in another way is a fault."""
    heat = _curve(heat_points, HEAT_POINTS, typed, where, faults)
    if heat is not None:
        twice = study_texts.SAYS_OTHERWISE_WHAT_THE_POINTS_OF_HEAT_SAY
        faults.extend(_said_twice((UA_FACTOR, "radiator.rated_heat"), typed, where, twice))
    return heat


def _values(typed: Mapping[str, str], where: str, faults: list[InputFault]) -> dict[str, Any]:
    """The inputs of a row as values; those that cannot be read are added to ``faults``."""
    values: dict[str, Any] = {}
    for path, text in typed.items():
        try:
            values[path] = read_value(path, text)
        except InputError as error:
            faults.extend(InputFault(f"{where}, {f.path}", f.given, f.wanted) for f in error.faults)
    return values


def _said_twice(paths: Iterable[str], typed: Mapping[str, str], where: str, wanted: str) -> list[InputFault]:
    """A fault for each of the paths that was typed although something else in the row gives it."""
    return [InputFault(where, typed[path], wanted.format(path)) for path in paths if path in typed]


def _curve(
    read: Callable[[str, str], Points], column: str, typed: Mapping[str, str], where: str, faults: list[InputFault]
) -> Points | None:
    if column not in typed:
        return None
    try:
        return read(typed[column], f"{where}, {column}")
    except InputError as error:
        faults.extend(error.faults)
        return None


def _power(typed: Mapping[str, str], where: str, faults: list[InputFault]) -> dict[str, float]:
    """Electric power [W] of a fan from its volts and amps, under the path of its input."""
    read = {}
    for column, unit in ((VOLTS, "V"), (AMPS, "A")):
        if column in typed:
            match = re.fullmatch(rf"(\d+(?:[.,]\d+)?)\s*{unit}?", typed[column].strip())
            if match is None or float(match.group(1).replace(",", ".")) <= 0.0:
                faults.append(
                    InputFault(
                        f"{where}, {column}", typed[column], study_texts.NUMBER_ABOVE_0_OF_WOULD_DO.format(unit=unit)
                    )
                )
                return {}
            read[column] = float(match.group(1).replace(",", "."))
    if len(read) == 1:
        faults.append(InputFault(where, "", study_texts.AND_GIVE_A_FANS_POWER_TOGETHER.format(volts=VOLTS, amps=AMPS)))
    if len(read) == 2:
        return {"airflow.fan_power": read[VOLTS] * read[AMPS]}
    return {}


def _spelled(values: Mapping[str, float]) -> dict[str, str]:
    """Computed inputs as a person would type them, in SI."""
    return {path: f"{si:.8g} {_SI[entry(path).input.kind]}".strip() for path, si in values.items()}


_SI: Mapping[str, str] = {
    "air flow": "m3/s",
    "coolant flow": "m3/s",
    "pressure difference": "Pa",
    "pump pressure": "Pa",
    "small heat rate": "W",
    "rotation": "rev/s",
    "number": "",
}
"""Spelling of the SI unit of each kind that is computed from points."""
