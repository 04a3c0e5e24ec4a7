"""What the engine is asked for over time: a table of running conditions, and which row of it holds in each step."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from engcalc.case.conditions import (
    BY_ROW,
    HEATER_AIR_SHARE,
    Conditions,
    every_row,
    joined_conditions,
    table_of,
    whole_run,
)
from engcalc.case.records import Record
from engcalc.system.in_time.patterns import driven, grade_of_acceleration
from engcalc.units import Array


@dataclass(frozen=True, eq=False)
class Preheat:
    """What warmed the parked engine before a start; times in s."""

    block_power: Array  # W, electric, into the coolant in the engine
    block_time: float  # that long it was plugged in; 0 for no block heater
    unplugged: float  # that long before the start it was unplugged
    coolant_heater_time: float  # that long, up to the start, the coolant heater ran
    sets_start: bool  # the start temperature is where this leads; else it was read, and this only tells what is warm


@dataclass(frozen=True, eq=False)
class Drive:
    """A run in time. ``conditions`` is a table (``case.conditions``) whose rows are running conditions.

    Step k follows the rows ``which[k]`` for ``step`` seconds, in equal parts: what they ask for is averaged.
    """

    step: float  # s
    which: NDArray[np.int64]  # (steps, rows of a step)
    conditions: Conditions
    start: Array  # K, the coolant at the start, and everything else with it unless heaters ran before
    preheat: Preheat | None = None
    cabin_heater: float = 1.0  # -, share of its power at which the auxiliary heater in the cabin's air runs
    part_of: NDArray[np.int64] | None = None  # (rows,), which part of a schedule, or which of the heater's settings
    richness: Array | None = None  # -, fuel taken over fuel burnt where a log tells, (rows, members or 1)
    ways: tuple[Drive, ...] = ()  # where members ran in several ways, the drive of each (``in_several_ways``)

    @property
    def duration(self) -> float:
        """Length of the run [s]."""
        return self.step * len(self.which)

    @property
    def members(self) -> int:
        """How many members its conditions and its start have."""
        block_power = np.zeros(1) if self.preheat is None else self.preheat.block_power
        return max(self.conditions.count, int(self.start.shape[-1]), int(block_power.shape[-1]))

    @property
    def fan_mode(self) -> float:
        """-1 fan held off, 0 as its control wants, 1 held on: one for all members."""
        return float(self.conditions.fan_mode[0])

    def asking(self, **changes: Array) -> Drive:
        """The same run with some fields of its conditions changed."""
        return replace(self, conditions=replace(self.conditions, **changes))


def steady_drive(conditions: Conditions, start: Array, duration: float, step: float = 1.0) -> Drive:
    """One running condition held for ``duration`` [s]; ``conditions`` of one duty, each field (1,) or (members,)."""
    return _drive(np.zeros(max(1, round(duration / step)), np.int64), step, [conditions], conditions, start)


def scheduled_drive(
    first: Conditions, record: Record, start: Array, step: float = 1.0, top_speed: float = np.inf
) -> Drive:
    """The schedule of a record, one condition after another; ``first`` gives weather and what a step leaves open.

    A step without an engine speed at standstill idles; an engine speed of 0 is an engine that stands. A step that was
    driven as a word says follows that pattern, up to ``top_speed`` [km/h].
    """
    made = _Rows(first, step, top_speed)
    for part in record.schedule:
        setting = record.heater_setting if part.heater == "unknown" else part.heater
        conditions = first.without_load().replace(heater_air_share=np.full(1, HEATER_AIR_SHARE[setting]))
        lasts = float(part.duration[0])
        if part.driving is not None:
            made.drive(part.driving, conditions, lasts)
            continue
        held = conditions.replace(vehicle_speed=part.vehicle_speed)
        if part.engine_speed is not None:
            stands = float(part.engine_speed[0]) <= 0.0
            held = held.with_engine_standing() if stands else held.replace(engine_speed=part.engine_speed)
        made.hold(held, lasts)
    return made.finished(start)


def with_heater_set_anew(drive: Drive, changes: Sequence[tuple[float, float]]) -> Drive:
    """The run with its heater set anew: from each time [s] of ``changes``, in their order, it has that share of its
    air. Each step has a row of its own then; ``part_of`` numbers the settings, the first of the drive's own."""
    times = np.arange(len(drive.which)) * drive.step
    part = np.searchsorted([at for at, _ in changes], times + 1e-9, side="right")
    rows = drive.which[:, 0]
    table = every_row(drive.conditions)
    taken = {name: getattr(table, name)[rows] for name in BY_ROW}
    for number, (_, share) in enumerate(changes, start=1):
        taken["heater_air_share"][part == number] = share
    return replace(
        drive,
        which=np.arange(len(rows))[:, None],
        conditions=replace(table, **taken),
        richness=None if drive.richness is None else drive.richness[rows],
        part_of=part,
    )


def pattern_drive(
    word: str, conditions: Conditions, start: Array, duration: float, step: float = 1.0, top_speed: float = np.inf
) -> Drive:
    """A whole run driven as one word says (see :mod:`engcalc.system.in_time.patterns`), ``duration`` [s] long."""
    made = _Rows(conditions, step, top_speed)
    made.drive(word, conditions.without_load(), duration)
    return made.finished(start)


class _Rows:
    """Rows of conditions as they are gathered, and which of them holds in each step."""

    def __init__(self, weather: Conditions, step: float, top_speed: float) -> None:
        self.weather = weather
        self.step = step
        self.top_speed = top_speed
        self.rows: list[Conditions] = []
        self.which: list[int] = []
        self.parts: list[int] = []  # rows that each part of the schedule has

    def hold(self, conditions: Conditions, duration: float) -> None:
        """One condition for ``duration`` [s]."""
        self.which += [len(self.rows)] * max(1, round(duration / self.step))
        self.rows.append(conditions)
        self.parts.append(1)

    def drive(self, word: str, conditions: Conditions, duration: float) -> None:
        """A driven pattern for ``duration`` [s]; seconds that are alike share a row."""
        speeds = driven(word, duration, self.top_speed)
        grades = grade_of_acceleration(speeds)
        seconds = np.stack((speeds, np.round(grades, 4)), axis=1)
        asked, row_of = np.unique(seconds, axis=0, return_inverse=True)
        steps = max(1, round(duration / self.step))
        second = (np.arange(steps) * self.step).astype(np.int64)
        at = np.minimum(second, len(speeds) - 1)
        self.which += [len(self.rows) + int(i) for i in row_of.reshape(-1)[at]]
        self.rows += [conditions.replace(vehicle_speed=asked[i, :1], grade=asked[i, 1:]) for i in range(len(asked))]
        self.parts.append(len(asked))

    def finished(self, start: Array) -> Drive:
        """The run."""
        made = _drive(np.array(self.which, np.int64), self.step, self.rows, self.weather, start)
        return replace(made, part_of=np.repeat(np.arange(len(self.parts)), self.parts))


def recorded_drive(first: Conditions, start: Array, step: float, **series: Array) -> Drive:
    """A log on an even grid: a row for each step. ``first`` has one member; it gives all that the log does not tell.

    ``series`` are by the names of the conditions: one-dimensional ones hold for all members, (rows, members) differ by
    member. What is NaN in them is not known there.
    """

    def column(values: Array) -> Array:
        return values[:, None] if values.ndim == 1 else values

    told = {name: column(values) for name, values in series.items()}
    rows = max(len(values) for values in told.values())
    table = replace(table_of([first], first), **told)
    return Drive(step, np.arange(rows)[:, None], table, start)


def in_several_ways(drives: Sequence[Drive]) -> Drive:
    """The members of some drives as one: those of one drive after another's, in the same steps. The drives are equally
    long. Only they have rows; what holds for a whole run is in the drive of all as well."""
    if len(drives) == 1:
        return drives[0]
    return replace(
        drives[0],
        which=np.zeros((len(drives[0].which), 0), np.int64),
        conditions=joined_conditions([whole_run(drive.conditions).spread_to(drive.members) for drive in drives]),
        start=np.concatenate([np.broadcast_to(drive.start, (drive.members,)) for drive in drives]),
        part_of=None,
        ways=tuple(drives),
    )


def coarser(drive: Drive, times: int) -> Drive:
    """The same run in steps ``times`` as long. What does not fill a last step is left out."""
    if times <= 1:
        return drive
    steps = max(len(drive.which) // times, 1)
    return replace(drive, step=drive.step * times, which=drive.which[: steps * times].reshape(steps, -1))


def _drive(
    which: NDArray[np.int64], step: float, rows: Sequence[Conditions], weather: Conditions, start: Array
) -> Drive:
    return Drive(step, which[:, None], table_of(rows, weather), start)
