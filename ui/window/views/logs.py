"""Looking into a log before it becomes part of a case: what is recognised, and what a person has to say. No Qt."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import islice
from pathlib import Path

from engcalc.case.file import OwnFolder, read_whole
from engcalc.errors import FileFault, InputError
from engcalc.logs.channels import SPELLINGS, Channel, ColumnRole, role_of
from engcalc.logs.log import read_log
from engcalc.logs.record import LogRecord
from engcalc.logs.text import LARGEST, LogText, read_sheet
from ui.carrying import carry

TIME = ColumnRole.TIME.value
SAMPLES = 3  # values of a column that are shown
LOOKED_AT = 500  # rows in which a value is looked for
WHAT: Mapping[str, str] = {
    TIME: "Time",
    **{channel.value: SPELLINGS[channel].label for channel in Channel if channel in SPELLINGS},
}
"""What a column may be, by the keys of the case file."""


@dataclass(frozen=True)
class Column:
    """One column of a log: its name, some of its values, and the key that it was recognised as (or empty)."""

    name: str
    samples: tuple[str, ...]
    key: str


@dataclass(frozen=True, eq=False)
class LogLook:
    """A log that was looked into. ``record`` is None where it cannot be read as it is; ``trouble`` then says why."""

    path: Path
    header: tuple[str, ...]
    columns: tuple[Column, ...]
    record: LogRecord | None
    trouble: str

    @property
    def asks(self) -> bool:
        """Whether a person has to say which column is which: it does not read, or holds no coolant temperature."""
        return self.record is None or Channel.COOLANT not in self.record.traces


def look(path: Path, mapping: Mapping[str, str]) -> LogLook:
    """Look into a log with what a person said of its columns. Raises FileFault where it holds no table at all."""
    data = read_whole(path, "a log file", LARGEST)
    sheet = read_sheet(data)
    try:
        record, trouble = read_log(data, dict(mapping)), ""
    except InputError as error:
        record, trouble = None, "\n".join(fault.wanted for fault in error.faults)
    return LogLook(path, sheet.header or sheet.names, _columns(sheet, record, mapping), record, trouble)


def header_of(path: Path) -> tuple[str, ...]:
    """The header by which the layout of a log is known again; empty where there is none."""
    try:
        sheet = read_sheet(read_whole(path, "a log file", LARGEST))
    except FileFault:
        return ()
    return sheet.header or sheet.names


def _columns(sheet: LogText, record: LogRecord | None, mapping: Mapping[str, str]) -> tuple[Column, ...]:
    known = {} if record is None else {name: channel.value for channel, name in record.columns.items()}
    times = [name for name in sheet.names if role_of(name) is ColumnRole.TIME and name not in known]
    known |= dict.fromkeys(times[:1], TIME) if TIME not in mapping else {}
    known |= {name: key for key, name in mapping.items()}
    long_form = [] if record is None else [name for name in (*known, *record.unused) if name not in sheet.names]
    rows = [row for row in islice(sheet.rows(), LOOKED_AT) if row]
    found = [Column(name, _samples(rows, i), known.get(name, "")) for i, name in enumerate(sheet.names) if name]
    return (*found, *(Column(name, (), known.get(name, "")) for name in dict.fromkeys(long_form)))


def _samples(rows: list[list[str]], index: int) -> tuple[str, ...]:
    cells = (row[index].strip() for row in rows if index < len(row))
    return tuple(islice(dict.fromkeys(cell for cell in cells if cell), SAMPLES))


def place_for(path: Path, folder: Path | None) -> str:
    """How the case names a file that the person chose: from its own folder, into which it is copied where it lies
    elsewhere. A case that has no file yet names it in full; it is copied when the case is saved. Raises FileFault."""
    if folder is None:
        return str(path.absolute())
    if path.resolve().is_relative_to(folder.resolve()):
        return path.resolve().relative_to(folder.resolve()).as_posix()
    return str(path.absolute()) if isinstance(folder, OwnFolder) else carry(path, folder)


def entry_for(path: Path, folder: Path | None, mapping: Mapping[str, str]) -> dict[str, object]:
    """What stands in the case for a log."""
    found: dict[str, object] = {"file": place_for(path, folder)}
    return {**found, "columns": dict(mapping)} if mapping else found
