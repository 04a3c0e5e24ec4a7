"""From rows of text to one number for each row and channel: wide form, long form, raw bytes."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import islice, zip_longest

import numpy as np
from numpy.typing import NDArray

from engcalc.errors import FileFault, InputError, InputFault
from engcalc.logs.cells import NumberReader, is_blank, new_answers, unit_of_cell, uses_decimal_comma
from engcalc.logs.channels import (
    SPELLINGS,
    TEMPERATURES,
    Channel,
    Role,
    Scale,
    channel_of,
    fold,
    role_of,
    scale,
    split_header,
)
from engcalc.logs.notes import Note, NoteCode
from engcalc.logs.pids import PIDS, Pid, decode_answer, pid_of, to_bytes, values
from engcalc.logs.record import Mask
from engcalc.logs.stamps import looks_like_time
from engcalc.logs.text import LogText, repaired
from engcalc.units import Array

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


@dataclass
class _Plan:
    """Which column is what."""

    roles: dict[Role, int] = field(default_factory=dict)
    channels: dict[Channel, int] = field(default_factory=dict)
    raw_bytes: dict[int, Pid] = field(default_factory=dict)  # columns of bytes whose header names the identifier
    answers: list[int] = field(default_factory=list)  # columns of whole answers, 41 05 7B
    taken: list[Note] = field(default_factory=list)


def read_table(sheet: LogText, columns: Mapping[str, str]) -> LogTable:
    """Find the form of the sheet and read it. Raises InputError."""
    rows = _data_rows(sheet)
    sample = list(islice(rows, _SAMPLE))
    if not sample:
        raise FileFault("", "rows of numbers below the header would do; there are none")
    _refuse_split_decimals(sheet, sample)
    plan = _plan(sheet, columns, sample)
    everything = _chain(sample, rows)
    if plan.answers:
        return _read_answers(sheet, plan, everything)
    if _is_long(plan):
        return _read_long(sheet, plan, everything, sample, columns)
    return _read_wide(sheet, plan, everything, sample)


def _chain(sample: list[list[str]], rows: Iterator[list[str]]) -> Iterator[list[list[str]]]:
    """Chunks of rows, the sample's first."""
    total = len(sample)
    yield sample
    while chunk := list(islice(rows, _CHUNK)):
        total += len(chunk)
        if total > MOST_ROWS:
            raise FileFault(f"more than {MOST_ROWS} rows", "a shorter log would do")
        yield chunk


def _data_rows(sheet: LogText) -> Iterator[list[str]]:
    return (row for row in sheet.rows() if row)


def _refuse_split_decimals(sheet: LogText, sample: list[list[str]]) -> None:
    """A comma that separates cells and decimals alike cannot be read: say so rather than guess."""
    width = len(sheet.names)
    wide = sum(len(row) >= 2 * width - 1 and any(row[width:]) for row in sample)
    if sheet.delimiter == "," and width >= 3 and wide * 2 > len(sample):
        raise FileFault(
            "",
            "a file with semicolons between the cells, or with decimal points, would do: "
            "here the comma separates both cells and decimals",
        )


def _column(sample: list[list[str]], index: int) -> list[str]:
    return [row[index].strip() for row in sample if index < len(row)]


def _plan(sheet: LogText, columns: Mapping[str, str], sample: list[list[str]]) -> _Plan:
    plan = _Plan()
    mapped = _mapped(sheet, columns, plan)
    best: dict[Channel, tuple[int, int]] = {}
    for i, name in enumerate(sheet.names):
        if i in mapped or not name:
            continue
        found = channel_of(_with_unit(sheet, i)) or channel_of(name)
        if found and found[0] not in plan.channels:
            channel, rank = found
            if channel not in best or rank < best[channel][0]:
                best[channel] = (rank, i)
            continue
        role = role_of(name)
        if role and not found:
            plan.roles.setdefault(role, i)
        elif (pid := pid_of(name)) and not found:
            plan.raw_bytes[i] = pid
    plan.channels.update({channel: i for channel, (_, i) in best.items()})
    _find_answers(sheet, plan, sample)
    _find_time(sheet, plan, sample, set(mapped))
    return plan


def _with_unit(sheet: LogText, index: int) -> str:
    unit = sheet.units[index]
    return f"{sheet.names[index]} [{unit}]" if unit else sheet.names[index]


def _mapped(sheet: LogText, columns: Mapping[str, str], plan: _Plan) -> set[int]:
    """Columns that the caller assigned; every wrong one is a fault."""
    faults: list[InputFault] = []
    taken: set[int] = set()
    folded = {fold(name): i for i, name in reversed(list(enumerate(sheet.names)))}
    for key, header in columns.items():
        index = folded.get(fold(repaired(header)))
        if key not in {*Channel, Role.TIME.value}:
            faults.append(InputFault(f"columns.{key}", header, f"one of these would do: time, {', '.join(Channel)}"))
        elif index is None and _is_name_column(sheet):
            continue  # in long form the names stand in the rows
        elif index is None:
            names = ", ".join(name for name in sheet.names[:30] if name)
            faults.append(InputFault(f"columns.{key}", header, f"the file has no such column; it has {names}"))
        elif key == Role.TIME.value:
            plan.roles[Role.TIME] = index
            taken.add(index)
        else:
            plan.channels[Channel(key)] = index
            taken.add(index)
    if faults:
        raise InputError(tuple(faults))
    return taken


def _is_name_column(sheet: LogText) -> bool:
    roles = {role_of(name) for name in sheet.names}
    return Role.NAME in roles and bool(roles & {Role.VALUE, Role.RAW})


def _find_answers(sheet: LogText, plan: _Plan, sample: list[list[str]]) -> None:
    """Columns whose cells are whole answers (41 05 7B), and channel columns that hold bare bytes."""
    for i in range(len(sheet.names)):
        cells = [c for c in _column(sample, i)[:100] if c]
        if len(cells) >= 2 and sum(decode_answer(c) is not None for c in cells) * 10 >= 7 * len(cells):
            plan.answers.append(i)
    for i, pid in list(plan.raw_bytes.items()):
        cells = [c for c in _column(sample, i) if c and not is_blank(c)]
        if not cells or not all((data := to_bytes(c)) is not None and len(data) == pid.size for c in cells):
            del plan.raw_bytes[i]
            for channel in pid.channels:
                plan.channels.setdefault(channel, i)


def _find_time(sheet: LogText, plan: _Plan, sample: list[list[str]], mapped: set[int]) -> None:
    """The time column: named, or the first that reads as a clock or only ever rises."""
    if Role.TIME in plan.roles:
        return None
    used = set(plan.channels.values()) | set(plan.answers) | set(plan.raw_bytes) | mapped
    free = [i for i in range(len(sheet.names)) if i not in used]
    for i in free:
        cells = [c for c in _column(sample, i) if c]
        if cells and sum(map(looks_like_time, cells)) * 10 >= 9 * len(cells):
            return _take_time(sheet, plan, i)
    for i in free:
        cells = _column(sample, i)
        x = NumberReader(uses_decimal_comma(cells)).column(cells)
        if x.size > 2 and np.isfinite(x).all() and np.all(np.diff(x) >= 0.0) and x[-1] > x[0]:
            return _take_time(sheet, plan, i)
    if Role.DATE in plan.roles:
        plan.roles[Role.TIME] = plan.roles.pop(Role.DATE)
    elif Channel.RUN_TIME in plan.channels:
        plan.roles[Role.TIME] = plan.channels[Channel.RUN_TIME]
    else:
        names = ", ".join(name for name in sheet.names[:20] if name)
        raise FileFault("", f"a column of times would do; none was found among {names or 'the columns'}")
    return None


def _take_time(sheet: LogText, plan: _Plan, index: int) -> None:
    plan.roles[Role.TIME] = index
    plan.taken.append(Note(NoteCode.COLUMN_TAKEN, f"column {sheet.names[index] or index + 1} is taken as the time"))


def _is_long(plan: _Plan) -> bool:
    named = Role.NAME in plan.roles and (Role.VALUE in plan.roles or Role.RAW in plan.roles)
    return named and len(plan.channels) <= 1


def _transposed(chunk: list[list[str]], sheet: LogText) -> list[tuple[str, ...]]:
    """Columns of a chunk, ragged rows filled up."""
    width = len(sheet.names)
    columns = list(zip_longest(*chunk, fillvalue=""))
    short = ("",) * len(chunk)
    return columns[:width] + [short] * (width - len(columns))


def _without_headers(chunk: list[list[str]], sheet: LogText) -> list[list[str]]:
    if not sheet.header:
        return chunk
    first, second = sheet.header[0], sheet.header[1]
    return [row for row in chunk if not (len(row) > 1 and row[0].strip() == first and row[1].strip() == second)]


def _read_wide(sheet: LogText, plan: _Plan, chunks: Iterator[list[list[str]]], sample: list[list[str]]) -> LogTable:
    """A column for each channel."""
    read = _wide_columns(sheet, plan, chunks, sample)
    notes = [
        *plan.taken,
        *_counted(NoteCode.HEADER_REPEATED, "repeated headers were skipped", read.repeated),
        *_counted(NoteCode.CELLS_UNREADABLE, "cells that are no number were left out", read.unreadable),
    ]
    columns = {i: np.concatenate(pieces) for i, pieces in read.numbers.items() if pieces}
    found, names, more = _to_si(sheet, plan, columns, sample)
    for channel, pieces in read.decoded.items():
        found.setdefault(channel, np.concatenate(pieces))
        names.setdefault(channel, SPELLINGS[channel].label)
    if plan.raw_bytes:
        notes.append(Note(NoteCode.RAW_BYTES, "columns of raw bytes were decoded", len(plan.raw_bytes)))
    fresh, length = new_answers(list(found.values()))
    if length:
        notes.append(_held_note(found, fresh, length))
    return LogTable(
        read.times,
        read.dates,
        _time_unit(sheet, plan),
        found,
        dict(zip(found, fresh, strict=True)),
        names,
        _unused(sheet, plan),
        sheet.header,
        (*notes, *more),
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
    sheet: LogText, plan: _Plan, chunks: Iterator[list[list[str]]], sample: list[list[str]]
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
        read.times += map(str.strip, cells[plan.roles[Role.TIME]])
        read.dates += cells[plan.roles[Role.DATE]] if Role.DATE in plan.roles else ()
        for i in numbers:
            column = reader.column(cells[i])
            read.numbers[i].append(column)
            read.unreadable += _unreadable(cells[i], column)
        for i, pid in plan.raw_bytes.items():
            for channel in pid.channels:
                read.decoded.setdefault(channel, []).append(_decode_column(cells[i], pid, channel))
    return read


def _number_columns(plan: _Plan) -> list[int]:
    time = plan.roles[Role.TIME]
    return list(dict.fromkeys(i for i in plan.channels.values() if i != time))


def _decimal_comma(sample: list[list[str]], indices: Sequence[int]) -> bool:
    return uses_decimal_comma([cell for i in indices for cell in _column(sample, i)])


def _unreadable(cells: Sequence[str], x: Array) -> int:
    missing = np.flatnonzero(np.isnan(x))
    return 0 if missing.size == 0 else sum(not is_blank(cells[i]) for i in missing.tolist())


def _decode_column(cells: Sequence[str], pid: Pid, channel: Channel) -> Array:
    def one(cell: str) -> float:
        data = to_bytes(cell)
        return values(pid, data).get(channel, np.nan) if data else np.nan

    known = {cell: one(cell) for cell in set(cells)}
    return np.array([known[cell] for cell in cells], dtype=np.float64)


def _counted(code: NoteCode, words: str, count: int) -> list[Note]:
    return [Note(code, words, count)] if count else []


def _held_note(found: Mapping[Channel, Array], fresh: Sequence[Mask], length: int) -> Note:
    cells = sum(int(np.isfinite(x).sum()) for x in found.values())
    answers = sum(int(mask.sum()) for mask in fresh)
    words = "each row repeats the latest value of every channel: only the new answers count as observations"
    return Note(
        NoteCode.HELD, words, cells - answers, numbers={"cells": cells, "answers": answers, "channels_in_turn": length}
    )


def _unused(sheet: LogText, plan: _Plan) -> tuple[str, ...]:
    used = {*plan.roles.values(), *plan.channels.values(), *plan.raw_bytes, *plan.answers}
    return tuple(name for i, name in enumerate(sheet.names) if name and i not in used)


def _time_unit(sheet: LogText, plan: _Plan) -> str:
    index = plan.roles[Role.TIME]
    return split_header(sheet.names[index])[1] or sheet.units[index] or _unit_in_name(sheet.names[index])


def _unit_in_name(name: str) -> str:
    words = fold(name).split()
    last = words[-1] if words else ""
    return last if last in ("s", "ms", "sec", "seconds", "sekunden", "milliseconds", "millis", "min", "minutes") else ""


def _to_si(
    sheet: LogText,
    plan: _Plan,
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
        unit = unit or next((u for c in _column(sample, i)[:50] if (u := unit_of_cell(c))), "")
        found[channel], more = in_si(channel, raw[i], unit)
        names[channel] = sheet.names[i]
        notes += more
    return found, names, notes


def in_si(channel: Channel, x: Array, unit: str) -> tuple[Array, list[Note]]:
    """Values in SI; without a unit the channel's usual one, unless the numbers speak against it."""
    spelling = SPELLINGS[channel]
    used = scale(unit, spelling.kind) if unit else None
    notes = []
    if used is None:
        used = _assumed(channel, x)
        if spelling.kind != "number":
            why = f"{unit!r} is no unit of it" if unit else "it carries no unit"
            words = f"{spelling.label}: {why}; taken as {used.unit or 'a share of one'}"
            notes.append(Note(NoteCode.UNIT_ASSUMED, words, channel=channel.value))
    si = x * used.slope + used.intercept
    low, high = POSSIBLE[spelling.kind]
    with np.errstate(invalid="ignore"):
        impossible = (si < low) | (si > high)
    if impossible.any():
        notes.append(
            Note(
                NoteCode.CELLS_UNREADABLE,
                f"{spelling.label}: impossible numbers were left out",
                int(impossible.sum()),
                channel.value,
            )
        )
    return np.where(impossible, np.nan, si), notes


def _assumed(channel: Channel, x: Array) -> Scale:
    spelling = SPELLINGS[channel]
    finite = x[np.isfinite(x)]
    unit = spelling.usual_unit
    if channel in TEMPERATURES and finite.size and float(np.percentile(finite, 99)) > HOTTEST_CELSIUS:
        unit = "degF"
    if spelling.kind == "fraction" and finite.size and 0.0 < float(finite.max()) <= 1.0:
        return Scale(1.0, 0.0, "")
    known = scale(unit, spelling.kind)
    assert known is not None, f"the usual unit of {channel} is no unit"
    return known


def _read_long(
    sheet: LogText, plan: _Plan, chunks: Iterator[list[list[str]]], sample: list[list[str]], columns: Mapping[str, str]
) -> LogTable:
    """One row for each answer: time, name, value, perhaps a unit."""
    value_at = plan.roles.get(Role.VALUE, plan.roles.get(Role.RAW, 0))
    reader = NumberReader(_decimal_comma(sample, (value_at,)))
    times: list[str] = []
    dates: list[str] = []
    names: list[str] = []
    units: list[str] = []
    texts: list[str] = []
    for chunk in chunks:
        rows = _without_headers(chunk, sheet)
        if rows:
            cells = _transposed(rows, sheet)
            times += map(str.strip, cells[plan.roles[Role.TIME]])
            dates += cells[plan.roles[Role.DATE]] if Role.DATE in plan.roles else ()
            names += map(str.strip, cells[plan.roles[Role.NAME]])
            texts += map(str.strip, cells[value_at])
            units += map(str.strip, cells[plan.roles[Role.UNIT]]) if Role.UNIT in plan.roles else [""] * len(rows)
    assigned = {fold(header): Channel(key) for key, header in columns.items() if key in set(Channel)}
    kinds = dict.fromkeys(zip(names, units, strict=True))
    codes = {pair: i for i, pair in enumerate(kinds)}
    code = np.array([codes[pair] for pair in zip(names, units, strict=True)], dtype=np.int64)
    found, spelled, notes = _long_channels(codes, code, texts, reader, assigned)
    unused = tuple(sorted({name for name, _ in kinds if name} - set(spelled.values())))
    fresh = {channel: np.isfinite(x) for channel, x in found.items()}
    return LogTable(
        times, dates, _time_unit(sheet, plan), found, fresh, spelled, unused, sheet.header, (*plan.taken, *notes)
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
    own = split_header(name)[1] or unit
    found = channel_of(f"{name} [{unit}]") if unit and not split_header(name)[1] else channel_of(name)
    channel = assigned.get(fold(name)) or (found[0] if found else None)
    pid = pid_of(name) if channel is None else None
    if pid is not None and _are_bytes(cells, pid):
        note = Note(NoteCode.RAW_BYTES, f"{pid.title}: raw bytes were decoded", len(cells))
        return [(c, _decode_column(cells, pid, c), [note]) for c in pid.channels]
    if channel is None and pid is not None:
        channel = next(iter(pid.channels))
    if channel is None:
        return []
    own = own or next((u for c in cells[:50] if (u := unit_of_cell(c))), "")
    x, notes = in_si(channel, reader.column(cells), own)
    return [(channel, x, notes)]


def _are_bytes(cells: Sequence[str], pid: Pid) -> bool:
    """Whether every cell has as many hexadecimal digits as the identifier answers with."""
    filled = [c for c in cells if not is_blank(c)]
    return bool(filled) and all(len(c.replace(" ", "")) == 2 * pid.size and to_bytes(c) is not None for c in filled)


def _read_answers(sheet: LogText, plan: _Plan, chunks: Iterator[list[list[str]]]) -> LogTable:
    """Columns of whole answers, whichever identifier each carries."""
    times: list[str] = []
    dates: list[str] = []
    pieces: dict[Channel, list[Array]] = {channel: [] for pid in PIDS.values() for channel in pid.channels}
    answered = 0
    for chunk in chunks:
        rows = _without_headers(chunk, sheet)
        if not rows:
            continue
        cells = _transposed(rows, sheet)
        times += map(str.strip, cells[plan.roles[Role.TIME]])
        dates += cells[plan.roles[Role.DATE]] if Role.DATE in plan.roles else ()
        block = {channel: np.full(len(rows), np.nan) for channel in pieces}
        for index in plan.answers:
            answered += _decode_answers(cells[index], block)
        for channel, column in block.items():
            pieces[channel].append(column)
    joined = {channel: np.concatenate(x) for channel, x in pieces.items() if x}
    found = {channel: x for channel, x in joined.items() if np.isfinite(x).any()}
    note = Note(NoteCode.RAW_BYTES, "raw answers of the control unit were decoded", answered)
    return LogTable(
        times,
        dates,
        _time_unit(sheet, plan),
        found,
        {c: np.isfinite(x) for c, x in found.items()},
        {c: SPELLINGS[c].label for c in found},
        _unused(sheet, plan),
        sheet.header,
        (*plan.taken, note),
    )


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
