"""Which column of a log is what: its time, the channels, raw bytes, whole answers of a control unit."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np

from engcalc.errors import FileFault, InputError, InputFault
from engcalc.logs.cells import NumberReader, is_blank, uses_decimal_comma
from engcalc.logs.channels import Channel, ColumnRole, channel_of, fold, role_of
from engcalc.logs.notes import Note, NoteCode
from engcalc.logs.pids import Pid, decode_answer, pid_of, to_bytes
from engcalc.logs.stamps import looks_like_time
from engcalc.logs.text import LogText, repaired
from engcalc.words.texts import log_texts


@dataclass
class ColumnPlan:
    """Which column is what."""

    roles: dict[ColumnRole, int] = field(default_factory=dict)
    channels: dict[Channel, int] = field(default_factory=dict)
    raw_bytes: dict[int, Pid] = field(default_factory=dict)  # columns of bytes whose header names the identifier
    answers: list[int] = field(default_factory=list)  # columns of whole answers, 41 05 7B
    taken: list[Note] = field(default_factory=list)


def cells_of(sample: list[list[str]], index: int) -> list[str]:
    """The cells of a column in some rows; rows that end before it have none."""
    return [row[index].strip() for row in sample if index < len(row)]


def find_columns(sheet: LogText, asked: Mapping[str, str], sample: list[list[str]]) -> ColumnPlan:
    """What each column of the sheet is, by its header, by its first rows, and as the caller's ``asked`` say.

    Raises InputError, which names every column that is not there, and FileFault where none holds the time.
    """
    plan = ColumnPlan()
    mapped = _mapped(sheet, asked, plan)
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
    if unit:
        return f"{sheet.names[index]} [{unit}]"
    return sheet.names[index]


def _mapped(sheet: LogText, asked: Mapping[str, str], plan: ColumnPlan) -> set[int]:
    """Columns that the caller assigned; every wrong one is a fault."""
    faults: list[InputFault] = []
    taken: set[int] = set()
    folded = {fold(name): i for i, name in reversed(list(enumerate(sheet.names)))}
    for key, header in asked.items():
        index = folded.get(fold(repaired(header)))
        if key not in {*Channel, ColumnRole.TIME.value}:
            faults.append(
                InputFault(f"columns.{key}", header, log_texts.ONE_OF_THESE_WOULD_DO.format(channel=", ".join(Channel)))
            )
        elif index is None and _is_name_column(sheet):
            continue  # in long form the names stand in the rows
        elif index is None:
            names = ", ".join(name for name in sheet.names[:30] if name)
            faults.append(InputFault(f"columns.{key}", header, log_texts.FILE_HAS_NO_SUCH_COLUMN.format(names=names)))
        elif key == ColumnRole.TIME.value:
            plan.roles[ColumnRole.TIME] = index
            taken.add(index)
        else:
            plan.channels[Channel(key)] = index
            taken.add(index)
    if faults:
        raise InputError(tuple(faults))
    return taken


def _is_name_column(sheet: LogText) -> bool:
    roles = {role_of(name) for name in sheet.names}
    return ColumnRole.NAME in roles and bool(roles & {ColumnRole.VALUE, ColumnRole.RAW})


def _find_answers(sheet: LogText, plan: ColumnPlan, sample: list[list[str]]) -> None:
    """Columns whose cells are whole answers (41 05 7B), and channel columns that hold bare bytes."""
    for i in range(len(sheet.names)):
        cells = [c for c in cells_of(sample, i)[:100] if c]
        answers = sum(decode_answer(c) is not None for c in cells)
        if len(cells) >= 2 and answers * 10 >= 7 * len(cells):
            plan.answers.append(i)
    for i, pid in list(plan.raw_bytes.items()):
        cells = [c for c in cells_of(sample, i) if c and not is_blank(c)]
        if not cells or not all(_has_size(cell, pid) for cell in cells):
            del plan.raw_bytes[i]
            for channel in pid.channels:
                plan.channels.setdefault(channel, i)


def _has_size(cell: str, pid: Pid) -> bool:
    """Whether a cell is bytes, as many as the identifier answers with."""
    data = to_bytes(cell)
    return data is not None and len(data) == pid.size


def _find_time(sheet: LogText, plan: ColumnPlan, sample: list[list[str]], mapped: set[int]) -> None:
    """The time column: named, or the first that reads as a clock or only ever rises; else date or run time."""
    if ColumnRole.TIME in plan.roles:
        return
    used = set(plan.channels.values()) | set(plan.answers) | set(plan.raw_bytes) | mapped
    free = [(i, cells_of(sample, i)) for i in range(len(sheet.names)) if i not in used]
    clocks = [i for i, cells in free if _reads_as_clock(cells)]
    index = clocks[0] if clocks else next((i for i, cells in free if _only_rises(cells)), None)
    if index is not None:
        _take_time(sheet, plan, index)
    elif ColumnRole.DATE in plan.roles:
        plan.roles[ColumnRole.TIME] = plan.roles.pop(ColumnRole.DATE)
    elif Channel.RUN_TIME in plan.channels:
        plan.roles[ColumnRole.TIME] = plan.channels[Channel.RUN_TIME]
    else:
        names = ", ".join(name for name in sheet.names[:20] if name)
        raise FileFault("", log_texts.COLUMN_OF_TIMES_WOULD_DO.format(names=names or "the columns"))


def _reads_as_clock(cells: list[str]) -> bool:
    """Whether nine in ten of the cells that are filled read as a time of day or a date."""
    filled = [cell for cell in cells if cell]
    return bool(filled) and sum(map(looks_like_time, filled)) * 10 >= 9 * len(filled)


def _only_rises(cells: list[str]) -> bool:
    """Whether every cell is a number and none is below the one before it."""
    x = NumberReader(uses_decimal_comma(cells)).column(cells)
    if x.size <= 2 or not np.isfinite(x).all():
        return False
    return bool(np.all(np.diff(x) >= 0.0) and x[-1] > x[0])


def _take_time(sheet: LogText, plan: ColumnPlan, index: int) -> None:
    plan.roles[ColumnRole.TIME] = index
    plan.taken.append(
        Note(NoteCode.COLUMN_TAKEN, log_texts.COLUMN_COUNTS_AS_THE_TIME.format(names=sheet.names[index] or index + 1))
    )


def is_long(plan: ColumnPlan) -> bool:
    """Whether each row holds one answer: a name and a value."""
    named = ColumnRole.NAME in plan.roles and (ColumnRole.VALUE in plan.roles or ColumnRole.RAW in plan.roles)
    return named and len(plan.channels) <= 1
