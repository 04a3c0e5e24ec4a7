"""Reading a log file: CSV as scan tools and telephones write it, into a :class:`LogRecord`.

Whatever the bytes are, the answer is a record or an InputError that says what would do. Everything that was done to
the data on the way is in the record's notes.
"""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

import numpy as np

from engcalc.case.file import read_whole
from engcalc.errors import FileFault
from engcalc.logs.channels import Channel
from engcalc.logs.notes import Note, NoteCode
from engcalc.logs.record import LogRecord, Mask, Trace
from engcalc.logs.sensors import engine_off, engine_start, judge, without_stale_start
from engcalc.logs.stamps import Stamps, Timeline, read_stamps, straighten
from engcalc.logs.table import LogTable, read_table
from engcalc.logs.text import LARGEST, read_sheet
from engcalc.units import Array
from engcalc.words.texts import log_texts

LEAST_GAP = 10.0  # s; shorter pauses are left alone
GAP_STEPS = 20.0  # usual steps; a slower log may pause longer


def read_log(source: str | Path | bytes, columns: Mapping[str, str] | None = None) -> LogRecord:
    """Read a log from a file or from its bytes.

    ``columns`` maps a channel's key (``Channel``'s values, or ``time``) to the header of its column, for what is not
    recognised; it has precedence. Values come in SI, time in seconds from engine start.

    Raises InputError (FileFault, or a Fault that names the column) when the file cannot be read, holds no table,
    no readable time, or no channel.
    """
    data = source if isinstance(source, bytes) else read_whole(Path(source), "a log file", LARGEST)
    sheet = read_sheet(data)
    table = read_table(sheet, columns or {})
    stamps = _stamps(table)
    line = straighten(stamps)
    if line.t.size == 0:
        raise FileFault("", log_texts.COLUMN_OF_TIMES_WOULD_DO_SECONDS)
    traces, notes = _traces(table, line)
    if not traces:
        raise FileFault("", log_texts.NUMBERS_IN_THE_COLUMN_OF_A_KNOWN)
    every_note = [*sheet.notes, *table.notes, *stamps.notes, *line.notes, *notes]
    return _record_from_start(table, line, traces, every_note)


def _stamps(table: LogTable) -> Stamps:
    """Times; a date column of its own is put before the clock."""
    if table.dates:
        both = zip(table.dates, table.times, strict=True)
        joined = [f"{date} {time}".strip() if time else "" for date, time in both]
        stamps = read_stamps(joined, table.time_unit)
        if np.isfinite(stamps.seconds).any():
            return stamps
    return read_stamps(table.times, table.time_unit)


def _traces(table: LogTable, line: Timeline) -> tuple[dict[Channel, Trace], list[Note]]:
    """One trace for each channel, in the time of the file."""
    traces: dict[Channel, Trace] = {}
    merged = 0
    for channel, column in table.values.items():
        x = column[line.keep]
        new = table.is_new[channel][line.keep]
        filled = np.isfinite(x)
        if not filled.any():
            continue
        t, x, new, lost = _merged(line.t[filled], x[filled], new[filled])
        merged += lost
        traces[channel] = Trace(t, x, new, np.ones(t.size, dtype=bool))
    notes = []
    if merged:
        words = log_texts.SAMPLES_OF_ONE_CHANNEL_WITH_THE_SAME
        notes.append(Note(NoteCode.DUPLICATE_STAMPS, words, merged))
    return traces, notes


def _merged(t: Array, x: Array, new: Mask) -> tuple[Array, Array, Mask, int]:
    """One sample for each time: the last; it is new when any of them was."""
    last = np.concatenate((np.diff(t) > 0.0, [True]))
    if last.all():
        return t, x, new, 0
    starts = np.concatenate(([0], np.flatnonzero(last)[:-1] + 1))
    lost = int(np.logical_and(new, ~last).sum())
    return t[last], x[last], np.logical_or.reduceat(new, starts), lost


def _record_from_start(table: LogTable, line: Timeline, traces: dict[Channel, Trace], notes: list[Note]) -> LogRecord:
    """The record by time from the engine's start: sensors judged, gaps and the engine's stop noted."""
    start = engine_start(traces, float(line.t[0]))
    traces = {
        channel: Trace(trace.time - start.time, trace.value, trace.is_new, trace.ok)
        for channel, trace in traces.items()
    }
    traces, stale = without_stale_start(traces)
    traces, faults = judge(traces)
    gaps = _gaps(line, start.time)
    stopped = engine_off(traces)
    notes = [*notes, start.note, *stale]
    if gaps:
        notes.append(
            Note(
                NoteCode.GAP,
                log_texts.STRETCHES_WITHOUT_ROWS_SPLIT_THE_RECORD,
                len(gaps),
                numbers={"longest_s": max(b - a for a, b in gaps)},
            )
        )
    if stopped:
        notes.append(
            Note(
                NoteCode.ENGINE_STOPPED,
                log_texts.ENGINE_STOOD_STILL_AFTER_ITS_START,
                len(stopped),
                numbers={"total_s": sum(b - a for a, b in stopped)},
            )
        )
    return LogRecord(
        traces=traces,
        columns={c: name for c, name in table.columns.items() if c in traces},
        unused=table.unused,
        header=table.header,
        notes=(*notes, *faults),
        gaps=gaps,
        engine_off=stopped,
        start_known=start.known,
        rows=int(line.t.size),
    )


def _gaps(line: Timeline, start: float) -> tuple[tuple[float, float], ...]:
    """Stretches without rows [s from engine start], and the joints where time started anew."""
    step = np.diff(line.t)
    if step.size == 0:
        return ()
    usual = float(np.median(step[step > 0.0])) if (step > 0.0).any() else 0.0
    is_gap = step > max(LEAST_GAP, GAP_STEPS * usual)
    ends_at = np.flatnonzero(is_gap) + 1
    at = {*ends_at.tolist(), *line.breaks}
    return tuple((float(line.t[i - 1]) - start, float(line.t[i]) - start) for i in sorted(at))
