"""What a log tells of its own sensors, and when the engine started: judged from the traces alone."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from engcalc.logs.channels import SPELLINGS, TEMPERATURES, Channel
from engcalc.logs.notes import Note, NoteCode
from engcalc.logs.record import Mask, Trace
from engcalc.units import Array
from engcalc.words.texts import log_texts

RUNNING = 400.0 / 60.0  # rev/s; above cranking, below any idle; common practice
SUSTAINED = 3.0  # s; for which an engine must turn to count as started
STANDING = 1.0  # rev/s; slower than any cranking
LEAST_STOP = 2.0  # s
# What coolant can do between two answers (see possible_change). Fourteen real healthy trips of one car never passed
# 2 K in 1.5 s, 4 K in 12 s and 18 K in 60 s; a pump that starts late or a valve that opens in frost needs more room.
SLUG = 20.0  # K; by which a slug of colder or hotter coolant may differ that reaches the sensor; common practice
SENSOR_LAG = 6.0  # s; time constant of a sensor in a pocket of brass or plastic; common practice, no source
FASTEST = 0.5  # K/s; at which all of the coolant may warm or cool; nearly twice the fastest of those trips
ROUNDED = 2.0  # K; two answers, each rounded to 1 K
EXCURSION = 20.0  # K off the running median, from which a lone answer is taken out
PART_BY = 10.0  # K; by which the second sensor may not be hotter; common practice
PART_FOR = 60.0  # s; for so long; common practice
SETTLED = 120.0  # s after the start, in which coolant that stood mixes; common practice, no source
OPEN_CIRCUIT = 235.15  # K; below -38 degC a sensor's open circuit answers
SHORT_CIRCUIT = 413.15  # K; above 140 degC a shorted one
STUCK_FOR = 300.0  # s; an engine just started below STUCK_BELOW moves its coolant within that time
STUCK_LATER = 900.0  # s; the same later on, where a heater or an open valve may hold a balance for minutes
FROM_START = 30.0  # s
STUCK_BELOW = 343.15  # K; 70 degC: above it a regulating valve may hold the reading still
STALE_WITHIN = 30.0  # s from the first answer
STALE_STEP = 5.0  # K

Traces = Mapping[Channel, Trace]


@dataclass(frozen=True)
class EngineStart:
    """Engine start in the time of the file [s], whether the log shows it, and the note that says so."""

    time: float
    known: bool
    note: Note


def engine_start(traces: Traces, first_row: float) -> EngineStart:
    """First engine speed above 400 rpm that lasts; else the run-time counter; else the first row."""
    counted = _from_run_time(traces)
    speed = traces.get(Channel.ENGINE_SPEED)
    if speed is not None and speed.time.size:
        at = _first_sustained(speed.time, speed.value > RUNNING)
        if at is None and counted is None:
            return _start(first_row, False, log_texts.ENGINE_NEVER_RAN_IN_THIS_LOG)
        if at is not None and at > 0:
            return _start(float(speed.time[at]), True, log_texts.ENGINE_START_IS_WHERE_ITS_SPEED_FIRST)
    if counted is not None:
        return _start(counted, True, log_texts.ENGINE_START_IS_TAKEN_FROM_THE_RUN)
    if speed is not None and speed.time.size:
        return _start(
            float(speed.time[0]),
            False,
            log_texts.ENGINE_WAS_ALREADY_RUNNING,
        )
    return _start(first_row, False, log_texts.LOG_HAS_NO_ENGINE_SPEED)


def _start(time: float, known: bool, words: str) -> EngineStart:
    return EngineStart(time, known, Note(NoteCode.ENGINE_START, words, numbers={"file_time_s": time}))


def _from_run_time(traces: Traces) -> float | None:
    trace = traces.get(Channel.RUN_TIME)
    if trace is None:
        return None
    counting = np.flatnonzero(trace.value > 0.0)
    if counting.size:
        return float(trace.time[counting[0]] - trace.value[counting[0]])
    return None


def _first_sustained(t: Array, on: Mask) -> int | None:
    """First index from which ``on`` holds for SUSTAINED seconds (or to the end of the record)."""
    edges = np.flatnonzero(on & ~np.concatenate(([False], on[:-1])))
    off = np.flatnonzero(~on)
    for first in edges.tolist():
        after = off[np.searchsorted(off, first) :]
        if after.size == 0 or t[after[0]] - t[first] >= SUSTAINED:
            return first
    return None


def engine_off(traces: Traces) -> tuple[tuple[float, float], ...]:
    """Stretches [s] after the start (t = 0) in which the engine stands."""
    trace = traces.get(Channel.ENGINE_SPEED)
    if trace is None:
        return ()
    t = trace.time
    stops, goes_on = _stretches((trace.value < STANDING) & (t >= 0.0))
    begins = t[stops]
    ends = t[np.minimum(goes_on, t.size - 1)]
    spans = zip(begins.tolist(), ends.tolist(), strict=True)
    return tuple((begin, end) for begin, end in spans if end - begin >= LEAST_STOP)


def _stretches(holds: Mask) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """Where each stretch begins in which something holds, and where the first sample after it stands."""
    edges = np.diff(np.concatenate(([0], holds.astype(np.int8), [0])))
    return np.flatnonzero(edges == 1), np.flatnonzero(edges == -1)


def without_stale_start(traces: Traces) -> tuple[dict[Channel, Trace], list[Note]]:
    """Intake air may begin with the value of the last trip: what stands before an early jump is dropped."""
    out: dict[Channel, Trace] = dict(traces)
    notes: list[Note] = []
    trace = traces.get(Channel.INTAKE_AIR)
    if trace is None or trace.time.size < 2:
        return out, notes
    jumps = np.abs(np.diff(trace.value)) >= STALE_STEP
    soon = trace.time[1:] - trace.time[0] <= STALE_WITHIN
    early = np.flatnonzero(jumps & soon)
    if early.size:
        keep = slice(int(early[-1]) + 1, None)
        out[Channel.INTAKE_AIR] = Trace(trace.time[keep], trace.value[keep], trace.is_new[keep], trace.ok[keep])
        words = log_texts.FIRST_INTAKE_AIR_VALUES_WERE_LEFT_OVER
        notes.append(Note(NoteCode.STALE_FIRST, words, int(early[-1]) + 1, Channel.INTAKE_AIR.value))
    return out, notes


def judge(traces: Traces) -> tuple[dict[Channel, Trace], list[Note]]:
    """Mark samples that no sensor in order can give; time counts from engine start."""
    out: dict[Channel, Trace] = dict(traces)
    notes: list[Note] = []
    for channel in TEMPERATURES:
        if channel in out:
            out[channel], found = _ends(channel, out[channel])
            notes += found
    for channel in (Channel.COOLANT, Channel.COOLANT_2):
        if channel in out:
            out[channel], found = _steps(channel, out[channel])
            notes += found + _stuck(channel, out[channel], out.get(Channel.ENGINE_SPEED))
    if Channel.COOLANT in out and Channel.COOLANT_2 in out:
        notes += _parting(out[Channel.COOLANT], out[Channel.COOLANT_2])
    return out, notes


def _ends(channel: Channel, trace: Trace) -> tuple[Trace, list[Note]]:
    label = SPELLINGS[channel].label
    notes: list[Note] = []
    low = trace.value < OPEN_CIRCUIT
    high = trace.value > SHORT_CIRCUIT
    for mask, words in (
        (low, log_texts.READS_40_C_OR_THEREABOUTS),
        (high, log_texts.READS_ABOVE_140_C),
    ):
        if mask.any():
            notes.append(
                Note(
                    NoteCode.SENSOR_END,
                    f"{label} {words}",
                    int((mask & trace.is_new).sum()) or 1,
                    channel.value,
                    {"value_K": float(trace.value[mask][0])},
                )
            )
    return replace(trace, ok=trace.ok & ~low & ~high), notes


def possible_change(seconds: Array) -> Array:
    """The most that coolant can change what its sensor shows in so many seconds [K], up or down.

    A slug of other coolant through the sensor's lag, the warming of all of it, and rounding:
    SLUG (1 - exp(-t/SENSOR_LAG)) + FASTEST t + ROUNDED.
    """
    return np.asarray(SLUG * -np.expm1(-seconds / SENSOR_LAG) + FASTEST * seconds + ROUNDED)


def _jumps(t: Array, x: Array) -> Mask:
    """Where one answer to the next changes by more than coolant can, (answers - 1,)."""
    return np.asarray(np.abs(np.diff(x)) > possible_change(np.diff(t)))


def _steps(channel: Channel, trace: Trace) -> tuple[Trace, list[Note]]:
    """Jumps that no coolant can make; a lone excursion that comes back is marked, a lasting jump is only told."""
    rows = np.flatnonzero(trace.observed)
    t = trace.time[rows]
    x = trace.value[rows]
    jump = _jumps(t, x)
    if not jump.any():
        return trace, []
    ok = trace.ok.copy()
    lone = np.abs(x - _running_median(x)) >= EXCURSION
    ok[rows[lone]] = False
    lasting = int(_jumps(t[~lone], x[~lone]).sum())
    size = float(np.max(np.abs(np.diff(x))[jump]))
    words = log_texts.JUMPS_BY_K_FROM_ONE_ANSWER_TO_THE_NEXT.format(label=SPELLINGS[channel].label, size=size)
    at = float(t[1:][jump][0])
    numbers = {"largest_step_K": size, "first_time_s": at, "lasting": float(lasting)}
    return replace(trace, ok=ok), [Note(NoteCode.SENSOR_STEP, words, int(jump.sum()), channel.value, numbers)]


def _parting(first: Trace, second: Trace) -> list[Note]:
    """Whether the second coolant sensor shows more than the first for a minute, once what stood has mixed.

    The first sits where the coolant leaves the engine, its hottest place; the second may sit anywhere.
    """
    seen = second.observed & (second.time >= SETTLED)
    t = second.time[seen]
    x = second.value[seen]
    own = first.observed
    if t.size < 2 or own.sum() < 2:
        return []
    over = x - np.interp(t, first.time[own], first.value[own])
    begins, after = _stretches(over > PART_BY)
    spans = zip(begins, after - 1, strict=True)
    long_enough = [(first, last) for first, last in spans if t[last] - t[first] >= PART_FOR]
    if not long_enough:
        return []
    most = float(over.max())
    words = log_texts.SECOND_COOLANT_SENSOR_READS_UP_TO_K.format(most=most)
    numbers = {"most_K": most, "from_s": float(t[long_enough[0][0]])}
    return [Note(NoteCode.SENSORS_PART, words, len(long_enough), Channel.COOLANT.value, numbers)]


def _running_median(x: Array, reach: int = 4) -> Array:
    before = np.full(reach, x[0])
    after = np.full(reach, x[-1])
    padded = np.concatenate((before, x, after))
    windows = np.lib.stride_tricks.sliding_window_view(padded, 2 * reach + 1)
    return np.asarray(np.median(windows, axis=1))


def _stuck(channel: Channel, trace: Trace, speed: Trace | None) -> list[Note]:
    """The longest stretch with a running engine in which a reading below 70 degC never moves."""
    seen = trace.ok & (trace.time >= 0.0)
    t = trace.time[seen]
    x = trace.value[seen]
    if t.size < 2:
        return []
    edges = np.flatnonzero(np.diff(x) != 0.0) + 1
    starts = np.concatenate(([0], edges))
    ends = np.concatenate((edges, [t.size]))
    still = t[ends - 1] - t[starts]
    still[x[starts] >= STUCK_BELOW] = 0.0
    still[(t[starts] > FROM_START) & (still < STUCK_LATER)] = 0.0
    longest = int(np.argmax(still))
    begin = float(t[starts[longest]])
    end = float(t[ends[longest] - 1])
    if still[longest] < STUCK_FOR or not _ran(speed, begin, end):
        return []
    words = log_texts.STANDS_STILL_FOR_MIN_WITH_THE_ENGINE_RUNNING.format(
        label=SPELLINGS[channel].label, still=still[longest] / 60.0
    )
    return [
        Note(
            NoteCode.SENSOR_STUCK,
            words,
            1,
            channel.value,
            {"value_K": float(x[starts[longest]]), "from_s": begin, "to_s": end},
        )
    ]


def _ran(speed: Trace | None, begin: float, end: float) -> bool:
    """Whether the engine ran for most of the time; without an engine speed it is taken to have run."""
    if speed is None:
        return True
    inside = (speed.time >= begin) & (speed.time <= end)
    return bool(inside.any()) and float(np.mean(speed.value[inside] > RUNNING)) > 0.9
