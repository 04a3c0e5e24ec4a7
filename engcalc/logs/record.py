"""A log once read: one trace for each channel, in SI, with time counted from the engine's start."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from engcalc.logs.channels import Channel
from engcalc.logs.notes import Note
from engcalc.units import Array

Mask = NDArray[np.bool_]

LONGEST_HOLD = 30.0  # s; a value older than this is not known any more
_JUST = 1e-6  # K; a reading that equals the temperature asked for has reached it
_SUMMED = frozenset(
    {
        Channel.AIR_FLOW,
        Channel.FUEL_RATE,
        Channel.FUEL_MASS_RATE,
        Channel.CALCULATED_LOAD,
        Channel.ABSOLUTE_LOAD,
        Channel.MANIFOLD_PRESSURE,
        Channel.ENGINE_SPEED,
        Channel.VEHICLE_SPEED,
    }
)


@dataclass(frozen=True, eq=False)
class Trace:
    """One channel: time [s] from engine start (negative before it) and value [SI], shape (samples,).

    ``is_new`` is False where a row only repeats an earlier answer: such a sample is no observation. ``ok`` is False
    where the sensor, not what it measures, must be at fault.
    """

    time: Array
    value: Array
    is_new: Mask
    ok: Mask

    @property
    def observed(self) -> Mask:
        """Samples that are answers of their own from a sensor in order."""
        return self.is_new & self.ok


@dataclass(frozen=True)
class Crossing:
    """When a temperature was reached [s]: the straight line's answer, and the two samples it lies between."""

    time: float
    earliest: float
    latest: float


@dataclass(frozen=True, eq=False)
class Resampled:
    """Channels on one even grid, shape (n,). No value is missing; ``known`` is False where one had to be held."""

    time: Array
    values: Mapping[Channel, Array]
    known: Mapping[Channel, Mask]


@dataclass(frozen=True, eq=False)
class LogRecord:
    """A log: its traces, what was done to it, and what of it no channel was found for.

    ``gaps`` are the stretches [s] without rows; ``engine_off`` those with the engine stopped after its start.
    ``start_known`` is False when the log does not show the engine start: time then counts from its first row.
    ``header`` identifies the layout of the file, so that a mapping can be remembered for it.
    """

    traces: Mapping[Channel, Trace]
    columns: Mapping[Channel, str]
    unused: tuple[str, ...]
    header: tuple[str, ...]
    notes: tuple[Note, ...]
    gaps: tuple[tuple[float, float], ...]
    engine_off: tuple[tuple[float, float], ...]
    start_known: bool
    rows: int

    def __post_init__(self) -> None:
        for trace in self.traces.values():
            for array in (trace.time, trace.value, trace.is_new, trace.ok):
                array.flags.writeable = False

    @property
    def faults(self) -> tuple[Note, ...]:
        """What is wrong with sensors."""
        return tuple(note for note in self.notes if note.is_sensor_fault)

    @property
    def end(self) -> float:
        """Time of the last sample [s]."""
        return max((float(trace.time[-1]) for trace in self.traces.values()), default=0.0)

    def has(self, channel: Channel) -> bool:
        """Whether the channel has any sample that can be used."""
        return channel in self.traces and bool(self.traces[channel].observed.any())

    def observed(self, channel: Channel) -> tuple[Array, Array]:
        """Times and values of the channel's own answers; empty when the channel is not there."""
        if channel not in self.traces:
            return np.zeros(0), np.zeros(0)
        trace = self.traces[channel]
        return trace.time[trace.observed], trace.value[trace.observed]

    def first(self, channel: Channel) -> float | None:
        """Value at engine start: the last answer before it if there is one within 30 s, else the first after it."""
        t, x = self.observed(channel)
        if t.size == 0:
            return None
        before = np.flatnonzero((t <= 0.0) & (t >= -LONGEST_HOLD))
        after = np.flatnonzero(t >= 0.0)
        return float(x[before[-1] if before.size else after[0] if after.size else 0])

    def last(self, channel: Channel) -> float | None:
        """The last answer."""
        _, x = self.observed(channel)
        return float(x[-1]) if x.size else None

    @property
    def ambient(self) -> float | None:
        """Outside temperature [K], the median of its channel; None without one."""
        _, x = self.observed(Channel.AMBIENT)
        return float(np.median(x)) if x.size else None

    def crossing(self, T: float, channel: Channel = Channel.COOLANT) -> Crossing | None:
        """When the channel first reached T [K] after engine start; None when it never did."""
        t, x = self.observed(channel)
        is_there = x >= T - _JUST
        reached = np.flatnonzero((t >= 0.0) & is_there)
        if reached.size == 0:
            return None
        at = int(reached[0])
        then = float(t[at])
        there = float(x[at])
        if at == 0 or (t[at - 1] < 0.0 and is_there[at - 1]):  # it was there from the start on
            return Crossing(max(then, 0.0), 0.0, max(then, 0.0))
        before = float(t[at - 1])
        here = float(x[at - 1])
        share = min((T - here) / (there - here), 1.0) if there > here else 1.0
        time = before + share * (then - before)
        return Crossing(max(time, 0.0), max(before, 0.0), then)

    def time_to(self, T: float, channel: Channel = Channel.COOLANT) -> float | None:
        """Time [s] from engine start at which T [K] was first reached, linear within a sample; None when never."""
        found = self.crossing(T, channel)
        return None if found is None else found.time

    def resampled(self, step: float = 1.0, end: float | None = None) -> Resampled:
        """Every channel from engine start on an even grid: means within a step for flows, speeds and loads, straight
        lines between answers for the rest. Across gaps the last value is held and marked as not known."""
        last = self.end if end is None else end
        grid = np.arange(0.0, max(last, 0.0) + 0.5 * step, step)
        values: dict[Channel, Array] = {}
        known: dict[Channel, Mask] = {}
        for channel in self.traces:
            t, x = self.observed(channel)
            if t.size:
                values[channel], known[channel] = _on_grid(t, x, grid, step, channel in _SUMMED)
        return Resampled(grid, values, known)


def _on_grid(t: Array, x: Array, grid: Array, step: float, means: bool) -> tuple[Array, Mask]:
    """Values on the grid, and whether an answer stands near enough on both sides (or before it, at the end)."""
    before = np.clip(np.searchsorted(t, grid, side="right") - 1, 0, t.size - 1)
    after = np.clip(before + 1, 0, t.size - 1)
    apart = t[after] - t[before]
    begun = grid >= t[0] - LONGEST_HOLD
    near = (grid - t[before] <= LONGEST_HOLD) & (apart <= LONGEST_HOLD)
    out = np.where(apart > LONGEST_HOLD, x[before], np.interp(grid, t, x))
    if means:
        count, total = _in_steps(t, x, grid.size, step)
        out = np.where(count > 0, total / np.maximum(count, 1), out)
    return np.asarray(out), np.asarray(begun & near)


def _in_steps(t: Array, x: Array, steps: int, step: float) -> tuple[NDArray[np.intp], Array]:
    """How many answers fall into each step [s] of the grid, and their sum."""
    nearest = np.floor(t / step + 0.5).astype(np.int64)
    inside = (nearest >= 0) & (nearest < steps)
    count = np.bincount(nearest[inside], minlength=steps)
    total = np.bincount(nearest[inside], weights=x[inside], minlength=steps)
    return count, np.asarray(total, np.float64)
