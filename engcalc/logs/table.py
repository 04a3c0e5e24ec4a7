"""From rows of text to one number for each row and channel: wide form, long form, raw bytes."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import islice, zip_longest

import numpy as np
from numpy.typing import NDArray

from engcalc.errors import FileFault
from engcalc.logs.cells import NumberReader, is_blank, new_answers, unit_of_cell, uses_decimal_comma
from engcalc.logs.channels import (
    SPELLINGS,
    TEMPERATURES,
    Channel,
    ColumnRole,
    UnitScale,
    channel_of,
    fold,
    scale,
    split_header,
)
from engcalc.logs.columns import ColumnPlan, cells_of, find_columns, is_long
from engcalc.logs.notes import Note, NoteCode
from engcalc.logs.pids import PIDS, Pid, decode_answer, pid_of, to_bytes, values
from engcalc.logs.record import Mask
from engcalc.logs.text import LogText, repaired
from engcalc.units import Array
from engcalc.words.texts import log_texts

MOST_ROWS = 20_000_000
_CHUNK = 500  # rows; few enough to stay in the processor's cache: three times faster than 50,000
_SAMPLE = 400  # rows from which the form of the file is judged

# What a channel may be, far beyond what is usual; a value outside is no number of that channel [SI]
POSSIBLE: Mapping[str, tuple[float, float]] = {
    "temperature": (150.0, 1500.0),
    "rotation": (0.0, 600.0),
    "vehicle speed": (0.0, 200.0),
    "fraction": (-0.02, 20.0),
    "mass flow": (0.0, 10.0),
    "absolute pressure": (0.0, 2e6),
    "coolant flow": (0.0, 0.01),
    "short time": (0.0, 1e7),
    "number": (0.0, 32.0),
    "voltage": (0.0, 100.0),
}
HOTTEST_CELSIUS = 150.0  # a coolant without a unit that reads more is in degF


@dataclass(frozen=True, eq=False)
class LogTable:
    """A log as columns: times still as text, values in SI with NaN where a row has none."""

    times: Sequence[str]
    dates: Sequence[str]
    time_unit: str
    values: Mapping[Channel, Array]
    is_new: Mapping[Channel, Mask]
    columns: Mapping[Channel, str]
    unused: tuple[str, ...]
    header: tuple[str, ...]
    notes: tuple[Note, ...]


def read_table(sheet: LogText, asked: Mapping[str, str]) -> LogTable:
    """Find the form of the sheet and read it. Raises InputError."""
    rows = (row for row in sheet.rows() if row)
    sample = list(islice(rows, _SAMPLE))
    if not sample:
        raise FileFault("", log_texts.ROWS_OF_NUMBERS_BELOW_THE_HEADER_WOULD_DO)
    _refuse_split_decimals(sheet, sample)
    plan = find_columns(sheet, asked, sample)
    everything = _chain(sample, rows)
    if plan.answers:
        return _read_answers(sheet, plan, everything)
    if is_long(plan):
        return _read_long(sheet, plan, everything, sample, asked)
    return _read_wide(sheet, plan, everything, sample)


def _chain(sample: list[list[str]], rows: Iterator[list[str]]) -> Iterator[list[list[str]]]:
    """Chunks of rows, the sample's first."""
    total = len(sample)
    yield sample
    while chunk := list(islice(rows, _CHUNK)):
        total += len(chunk)
        if total > MOST_ROWS:
            raise FileFault(log_texts.MORE_THAN_ROWS.format(most_rows=MOST_ROWS), log_texts.SHORTER_LOG_WOULD_DO)
        yield chunk


def _refuse_split_decimals(sheet: LogText, sample: list[list[str]]) -> None:
    """A comma that separates cells and decimals alike cannot be read: say so rather than guess."""
    width = len(sheet.names)
    split = [len(row) >= 2 * width - 1 and any(row[width:]) for row in sample]
    wide = sum(split)
    if sheet.delimiter == "," and width >= 3 and wide * 2 > len(sample):
        raise FileFault(
            "",
            log_texts.FILE_WITH_SEMICOLONS_BETWEEN_THE_CELLS,
        )


def _transposed(chunk: list[list[str]], sheet: LogText) -> list[tuple[str, ...]]:
    """Columns of a chunk, ragged rows filled up."""
    width = len(sheet.names)
    columns = list(zip_longest(*chunk, fillvalue=""))
    short = ("",) * len(chunk)
    return columns[:width] + [short] * (width - len(columns))


def _without_headers(chunk: list[list[str]], sheet: LogText) -> list[list[str]]:
    if not sheet.header:
        return chunk
    first = sheet.header[0]
    second = sheet.header[1]
    return [row for row in chunk if not (len(row) > 1 and row[0].strip() == first and row[1].strip() == second)]


def _read_wide(
    sheet: LogText, plan: ColumnPlan, chunks: Iterator[list[list[str]]], sample: list[list[str]]
) -> LogTable:
    """A column for each channel."""
    read = _wide_columns(sheet, plan, chunks, sample)
    notes = [
        *plan.taken,
        *_counted(NoteCode.HEADER_REPEATED, log_texts.REPEATED_HEADERS_WERE_SKIPPED, read.repeated),
        *_counted(NoteCode.CELLS_UNREADABLE, log_texts.CELLS_THAT_ARE_NO_NUMBER_WERE_LEFT_OUT, read.unreadable),
    ]
    columns = {i: np.concatenate(pieces) for i, pieces in read.numbers.items() if pieces}
    found, names, more = _to_si(sheet, plan, columns, sample)
    for channel, pieces in read.decoded.items():
        found.setdefault(channel, np.concatenate(pieces))
        names.setdefault(channel, SPELLINGS[channel].label)
    if plan.raw_bytes:
        notes.append(Note(NoteCode.RAW_BYTES, log_texts.COLUMNS_OF_RAW_BYTES_WERE_DECODED, len(plan.raw_bytes)))
    fresh, length = new_answers(list(found.values()))
    if length:
        notes.append(_held_note(found, fresh, length))
    return LogTable(
        times=read.times,
        dates=read.dates,
        time_unit=_time_unit(sheet, plan),
        values=found,
        is_new=dict(zip(found, fresh, strict=True)),
        columns=names,
        unused=_unused(sheet, plan),
        header=sheet.header,
        notes=(*notes, *more),
    )


@dataclass
class _WideColumns:
    """What was read column by column, piece after piece."""

    times: list[str] = field(default_factory=list)
    dates: list[str] = field(default_factory=list)
    numbers: dict[int, list[Array]] = field(default_factory=dict)  # by column, as written
    decoded: dict[Channel, list[Array]] = field(default_factory=dict)  # of columns of raw bytes, SI
    repeated: int = 0  # headers within the table
    unreadable: int = 0  # cells


def _wide_columns(
    sheet: LogText, plan: ColumnPlan, chunks: Iterator[list[list[str]]], sample: list[list[str]]
) -> _WideColumns:
    numbers = _number_columns(plan)
    reader = NumberReader(_decimal_comma(sample, tuple(numbers)))
    read = _WideColumns(numbers={i: [] for i in numbers})
    for chunk in chunks:
        rows = _without_headers(chunk, sheet)
        read.repeated += len(chunk) - len(rows)
        if not rows:
            continue
        cells = _transposed(rows, sheet)
        read.times += map(str.strip, cells[plan.roles[ColumnRole.TIME]])
        read.dates += cells[plan.roles[ColumnRole.DATE]] if ColumnRole.DATE in plan.roles else ()
        for i in numbers:
            column = reader.column(cells[i])
            read.numbers[i].append(column)
            read.unreadable += _unreadable(cells[i], column)
        for i, pid in plan.raw_bytes.items():
            for channel in pid.channels:
                read.decoded.setdefault(channel, []).append(_decode_column(cells[i], pid, channel))
    return read


def _number_columns(plan: ColumnPlan) -> list[int]:
    time = plan.roles[ColumnRole.TIME]
    return list(dict.fromkeys(i for i in plan.channels.values() if i != time))


def _decimal_comma(sample: list[list[str]], indices: Sequence[int]) -> bool:
    return uses_decimal_comma([cell for i in indices for cell in cells_of(sample, i)])


def _unreadable(cells: Sequence[str], x: Array) -> int:
    missing = np.flatnonzero(np.isnan(x))
    if missing.size == 0:
        return 0
    return sum(not is_blank(cells[i]) for i in missing.tolist())


def _decode_column(cells: Sequence[str], pid: Pid, channel: Channel) -> Array:
    def one(cell: str) -> float:
        data = to_bytes(cell)
        if data:
            return values(pid, data).get(channel, np.nan)
        return np.nan

    known = {cell: one(cell) for cell in set(cells)}
    return np.array([known[cell] for cell in cells], dtype=np.float64)


def _counted(code: NoteCode, words: str, count: int) -> list[Note]:
    return [Note(code, words, count)] if count else []


def _held_note(found: Mapping[Channel, Array], fresh: Sequence[Mask], length: int) -> Note:
    cells = sum(int(np.isfinite(x).sum()) for x in found.values())
    answers = sum(int(mask.sum()) for mask in fresh)
    words = log_texts.EACH_ROW_REPEATS_THE_LATEST_VALUE
    return Note(
        NoteCode.HELD, words, cells - answers, numbers={"cells": cells, "answers": answers, "channels_in_turn": length}
    )


def _unused(sheet: LogText, plan: ColumnPlan) -> tuple[str, ...]:
    used = {*plan.roles.values(), *plan.channels.values(), *plan.raw_bytes, *plan.answers}
    return tuple(name for i, name in enumerate(sheet.names) if name and i not in used)


def _time_unit(sheet: LogText, plan: ColumnPlan) -> str:
    index = plan.roles[ColumnRole.TIME]
    return split_header(sheet.names[index])[1] or sheet.units[index] or _unit_in_name(sheet.names[index])


def _unit_in_name(name: str) -> str:
    words = fold(name).split()
    last = words[-1] if words else ""
    return last if last in ("s", "ms", "sec", "seconds", "sekunden", "milliseconds", "millis", "min", "minutes") else ""


def _to_si(
    sheet: LogText,
    plan: ColumnPlan,
    raw: Mapping[int, Array],
    sample: list[list[str]],
) -> tuple[dict[Channel, Array], dict[Channel, str], list[Note]]:
    found: dict[Channel, Array] = {}
    names: dict[Channel, str] = {}
    notes: list[Note] = []
    for channel, i in plan.channels.items():
        if i not in raw:
            continue
        unit = split_header(sheet.names[i])[1] or sheet.units[i]
        found[channel], more = in_si(channel, raw[i], unit or _unit_in_cells(cells_of(sample, i)))
        names[channel] = sheet.names[i]
        notes += more
    return found, names, notes


def _unit_in_cells(cells: list[str]) -> str:
    """The unit that stands beside the first number that has one, looked for in fifty cells; empty if none."""
    units = (unit_of_cell(cell) for cell in cells[:50])
    return next((unit for unit in units if unit), "")


def in_si(channel: Channel, x: Array, unit: str) -> tuple[Array, list[Note]]:
    """Values in SI; without a unit the channel's usual one, unless the numbers speak against it."""
    spelling = SPELLINGS[channel]
    used = scale(unit, spelling.kind) if unit else None
    notes = []
    if used is None:
        used = _assumed(channel, x)
        if spelling.kind != "number":
            why = log_texts.IS_NO_UNIT_OF_IT.format(unit=unit) if unit else log_texts.IT_CARRIES_NO_UNIT
            words = f"{spelling.label}: {why}; taken as {used.unit or log_texts.SHARE_OF_ONE}"
            notes.append(Note(NoteCode.UNIT_ASSUMED, words, channel=channel.value))
    si = x * used.slope + used.intercept
    low, high = POSSIBLE[spelling.kind]
    with np.errstate(invalid="ignore"):
        impossible = (si < low) | (si > high)
    if impossible.any():
        notes.append(
            Note(
                NoteCode.CELLS_UNREADABLE,
                log_texts.IMPOSSIBLE_NUMBERS_WERE_LEFT_OUT.format(label=spelling.label),
                int(impossible.sum()),
                channel.value,
            )
        )
    return np.where(impossible, np.nan, si), notes


def _assumed(channel: Channel, x: Array) -> UnitScale:
    spelling = SPELLINGS[channel]
    finite = x[np.isfinite(x)]
    unit = spelling.usual_unit
    if channel in TEMPERATURES and finite.size and float(np.percentile(finite, 99)) > HOTTEST_CELSIUS:
        unit = "degF"
    if spelling.kind == "fraction" and finite.size and 0.0 < float(finite.max()) <= 1.0:
        return UnitScale(1.0, 0.0, "")
    known = scale(unit, spelling.kind)
    assert known is not None, f"the usual unit of {channel} is no unit"
    return known


@dataclass
class _LongRows:
    """What a long log holds, row by row, as text."""

    times: list[str] = field(default_factory=list)
    dates: list[str] = field(default_factory=list)
    names: list[str] = field(default_factory=list)
    units: list[str] = field(default_factory=list)
    texts: list[str] = field(default_factory=list)  # the values

    def add(self, plan: ColumnPlan, cells: list[tuple[str, ...]], value_at: int) -> None:
        """The columns of one more piece of the table, the values in column ``value_at``."""
        roles = plan.roles
        self.times += map(str.strip, cells[roles[ColumnRole.TIME]])
        self.names += map(str.strip, cells[roles[ColumnRole.NAME]])
        self.texts += map(str.strip, cells[value_at])
        if ColumnRole.DATE in roles:
            self.dates += cells[roles[ColumnRole.DATE]]
        if ColumnRole.UNIT in roles:
            self.units += map(str.strip, cells[roles[ColumnRole.UNIT]])
        else:
            self.units += [""] * len(cells[value_at])


def _numbered(named: Sequence[tuple[str, str]]) -> tuple[dict[tuple[str, str], int], NDArray[np.int64]]:
    """A number for each pair of name and unit, in the order in which they are met; the number of each row."""
    numbers = {pair: i for i, pair in enumerate(dict.fromkeys(named))}
    return numbers, np.array([numbers[pair] for pair in named], dtype=np.int64)


def _read_long(
    sheet: LogText,
    plan: ColumnPlan,
    chunks: Iterator[list[list[str]]],
    sample: list[list[str]],
    asked: Mapping[str, str],
) -> LogTable:
    """One row for each answer: time, name, value, perhaps a unit."""
    value_at = plan.roles.get(ColumnRole.VALUE, plan.roles.get(ColumnRole.RAW, 0))
    reader = NumberReader(_decimal_comma(sample, (value_at,)))
    read = _LongRows()
    for chunk in chunks:
        rows = _without_headers(chunk, sheet)
        if rows:
            read.add(plan, _transposed(rows, sheet), value_at)
    codes, code = _numbered(list(zip(read.names, read.units, strict=True)))
    assigned = {fold(header): Channel(key) for key, header in asked.items() if key in set(Channel)}
    found, spelled, notes = _long_channels(codes, code, read.texts, reader, assigned)
    unused = {name for name, _ in codes if name} - set(spelled.values())
    return LogTable(
        times=read.times,
        dates=read.dates,
        time_unit=_time_unit(sheet, plan),
        values=found,
        is_new={channel: np.isfinite(x) for channel, x in found.items()},
        columns=spelled,
        unused=tuple(sorted(unused)),
        header=sheet.header,
        notes=(*plan.taken, *notes),
    )


def _long_channels(
    codes: Mapping[tuple[str, str], int],
    code: NDArray[np.int64],
    texts: list[str],
    reader: NumberReader,
    assigned: Mapping[str, Channel],
) -> tuple[dict[Channel, Array], dict[Channel, str], list[Note]]:
    found: dict[Channel, Array] = {}
    spelled: dict[Channel, str] = {}
    notes: list[Note] = []
    order = sorted(codes, key=lambda pair: _rank_of(repaired(pair[0]), assigned))
    for name, unit in order:
        rows = np.flatnonzero(code == codes[name, unit])
        cells = [texts[i] for i in rows.tolist()]
        for channel, x, more in _long_values(repaired(name), repaired(unit), cells, reader, assigned):
            if channel in spelled and spelled[channel] != name:
                continue
            column = found.setdefault(channel, np.full(len(texts), np.nan))
            column[rows] = x
            spelled[channel] = name
            notes += more
    return found, spelled, notes


def _rank_of(name: str, assigned: Mapping[str, Channel]) -> int:
    if fold(name) in assigned:
        return -1
    found = channel_of(name)
    return found[1] if found else 1000


def _long_values(
    name: str,
    unit: str,
    cells: list[str],
    reader: NumberReader,
    assigned: Mapping[str, Channel],
) -> list[tuple[Channel, Array, list[Note]]]:
    """The channels that one name of a long log gives."""
    in_header = split_header(name)[1]
    own = in_header or unit
    found = channel_of(f"{name} [{unit}]") if unit and not in_header else channel_of(name)
    channel = assigned.get(fold(name)) or (found[0] if found else None)
    pid = pid_of(name) if channel is None else None
    if pid is not None and _are_bytes(cells, pid):
        note = Note(NoteCode.RAW_BYTES, log_texts.RAW_BYTES_WERE_DECODED.format(title=pid.title), len(cells))
        return [(c, _decode_column(cells, pid, c), [note]) for c in pid.channels]
    if channel is None and pid is not None:
        channel = next(iter(pid.channels))
    if channel is None:
        return []
    x, notes = in_si(channel, reader.column(cells), own or _unit_in_cells(cells))
    return [(channel, x, notes)]


def _are_bytes(cells: Sequence[str], pid: Pid) -> bool:
    """Whether every cell has as many hexadecimal digits as the identifier answers with."""
    filled = [cell for cell in cells if not is_blank(cell)]
    digits = 2 * pid.size
    are_answers = (len(c.replace(" ", "")) == digits and to_bytes(c) is not None for c in filled)
    return bool(filled) and all(are_answers)


def _joined_answers(pieces: Sequence[Mapping[Channel, Array]]) -> dict[Channel, Array]:
    """The pieces of each channel as one, of those channels that hold a number at all."""
    if not pieces:
        return {}
    joined = {channel: np.concatenate([piece[channel] for piece in pieces]) for channel in _ANSWERED}
    return {channel: x for channel, x in joined.items() if np.isfinite(x).any()}


def _read_answers(sheet: LogText, plan: ColumnPlan, chunks: Iterator[list[list[str]]]) -> LogTable:
    """Columns of whole answers, whichever identifier each carries."""
    times: list[str] = []
    dates: list[str] = []
    pieces: list[dict[Channel, Array]] = []
    answered = 0
    for chunk in chunks:
        rows = _without_headers(chunk, sheet)
        if not rows:
            continue
        cells = _transposed(rows, sheet)
        times += map(str.strip, cells[plan.roles[ColumnRole.TIME]])
        dates += cells[plan.roles[ColumnRole.DATE]] if ColumnRole.DATE in plan.roles else ()
        piece = {channel: np.full(len(rows), np.nan) for channel in _ANSWERED}
        answered += sum(_decode_answers(cells[index], piece) for index in plan.answers)
        pieces.append(piece)
    found = _joined_answers(pieces)
    note = Note(NoteCode.RAW_BYTES, log_texts.RAW_ANSWERS_OF_THE_CONTROL_UNIT_WERE_DECODED, answered)
    return LogTable(
        times=times,
        dates=dates,
        time_unit=_time_unit(sheet, plan),
        values=found,
        is_new={channel: np.isfinite(x) for channel, x in found.items()},
        columns={channel: SPELLINGS[channel].label for channel in found},
        unused=_unused(sheet, plan),
        header=sheet.header,
        notes=(*plan.taken, note),
    )


_ANSWERED = tuple(dict.fromkeys(channel for pid in PIDS.values() for channel in pid.channels))


def _decode_answers(cells: Sequence[str], block: Mapping[Channel, Array]) -> int:
    decode: Callable[[str], tuple[Pid, tuple[int, ...]] | None] = decode_answer
    count = 0
    for i, cell in enumerate(cells):
        answer = decode(cell.strip())
        if answer is not None:
            count += 1
            for channel, value in values(*answer).items():
                block[channel][i] = value
    return count
