"""What the engine is asked for over time: a table of running conditions, and which row of it holds in each step."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from engcalc.case.records import Record
from engcalc.system.patterns import driven, grade_of_acceleration
from engcalc.system.state import HEATER_AIR_SHARE, Conditions
from engcalc.units import Array


@dataclass(frozen=True, eq=False)
class Preheat:
    """What warmed the parked engine before a start; times in s."""

    block_power: Array  # W, electric, into the coolant in the engine
    block_time: float  # that long it was plugged in; 0 for no block heater
    unplugged: float  # that long before the start it was unplugged
    coolant_heater_time: float  # that long, up to the start, the coolant heater ran
    sets_start: bool  # the start temperature is where this leads; else it was read, and this only tells what is warm


# what a drive has for each of its rows; the rest holds for the whole run
PER_ROW = (
    "engine_speed",
    "brake_power",
    "fuel_flow",
    "vehicle_speed",
    "grade",
    "trailer_mass",
    "trailer_frontal_area",
    "trailer_drag_coefficient",
    "heater_air_share",
    "coolant_heater",
)


@dataclass(frozen=True, eq=False)
class Drive:
    """A run in time. ``rows`` are running conditions (each field broadcasts to (rows, members)); step k follows the
    rows ``which[k]`` for ``step`` seconds, in equal parts: what they ask for is averaged. Absent engine speed, brake
    power or fuel flow is NaN: the engine model fills it.

    ``air_conditioning``, ``ambient``, ``altitude``, ``humidity`` and ``start`` (the coolant at the start, and
    everything else with it unless heaters ran before) hold for the whole run, shape (members,). So do a given coolant
    flow and air velocity, which take the place of pump, network, fan and ram air; NaN where none is given.
    """

    step: float  # s
    which: NDArray[np.int64]  # (steps, rows of a step)
    engine_speed: Array  # rev/s, (rows, members)
    brake_power: Array  # W
    fuel_flow: Array  # kg/s
    vehicle_speed: Array  # m/s, (rows, 1)
    grade: Array  # -
    trailer_mass: Array  # kg
    trailer_frontal_area: Array  # m2
    trailer_drag_coefficient: Array  # -
    heater_air_share: Array  # -
    coolant_heater: Array  # -, share of its power at which a heater in the coolant circuit is run
    fan_mode: float  # -1 held off, 0 as its control wants, +1 held on
    air_conditioning: Array  # -1 off, 0 by the weather, else the share of its heat at which it runs
    ambient: Array  # K
    altitude: Array  # m
    relative_humidity: Array  # -
    start: Array  # K
    coolant_flow: Array = field(default_factory=lambda: np.full(1, np.nan))  # m3/s through the radiator, valve open
    air_velocity: Array = field(default_factory=lambda: np.full(1, np.nan))  # m/s at the core's face
    preheat: Preheat | None = None
    cabin_heater: float = 1.0  # -, share of its power at which the auxiliary heater in the cabin's air runs
    part_of: NDArray[np.int64] | None = None  # (rows,), the part of a schedule that each row belongs to

    @property
    def duration(self) -> float:
        """Length of the run [s]."""
        return self.step * len(self.which)


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
        conditions = _without_load(first).replace(heater_air_share=np.full(1, HEATER_AIR_SHARE[setting]))
        lasts = float(part.duration[0])
        if part.driving is not None:
            made.drive(part.driving, conditions, lasts)
            continue
        stands = part.engine_speed is not None and float(part.engine_speed[0]) <= 0.0
        absent, none = np.full(1, np.nan), np.zeros(1)
        made.hold(
            conditions.replace(
                brake_power=none if stands else absent,
                fuel_flow=none if stands else absent,
                vehicle_speed=part.vehicle_speed,
                engine_speed=absent if part.engine_speed is None else part.engine_speed,
            ),
            lasts,
        )
    return made.finished(start)


def pattern_drive(
    word: str, conditions: Conditions, start: Array, duration: float, step: float = 1.0, top_speed: float = np.inf
) -> Drive:
    """A whole run driven as one word says (see :mod:`engcalc.system.patterns`), ``duration`` [s] long."""
    made = _Rows(conditions, step, top_speed)
    made.drive(word, _without_load(conditions), duration)
    return made.finished(start)


def _without_load(conditions: Conditions) -> Conditions:
    """The same air and heater on a level road, with nothing said of engine or power."""
    absent = np.full(1, np.nan)
    return conditions.replace(brake_power=absent, fuel_flow=absent, engine_speed=absent, grade=np.zeros(1))


class _Rows:
    """Rows of conditions as they are gathered, and which of them holds in each step."""

    def __init__(self, weather: Conditions, step: float, top_speed: float) -> None:
        self.weather, self.step, self.top_speed = weather, step, top_speed
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
        at = np.minimum((np.arange(max(1, round(duration / self.step))) * self.step).astype(np.int64), len(speeds) - 1)
        self.which += [len(self.rows) + int(i) for i in row_of.reshape(-1)[at]]
        self.rows += [conditions.replace(vehicle_speed=asked[i, :1], grade=asked[i, 1:]) for i in range(len(asked))]
        self.parts.append(len(asked))

    def finished(self, start: Array) -> Drive:
        """The run."""
        made = _drive(np.array(self.which, np.int64), self.step, self.rows, self.weather, start)
        return replace(made, part_of=np.repeat(np.arange(len(self.parts)), self.parts))


def recorded_drive(
    step: float,
    engine_speed: Array,
    vehicle_speed: Array,
    fuel_flow: Array,
    brake_power: Array,
    heater_air_share: Array,
    ambient: Array,
    start: Array,
    altitude: Array | None = None,
    coolant_heater: Array | None = None,
) -> Drive:
    """A log on an even grid: a row for each step; ``fuel_flow`` [kg/s] or ``brake_power`` [W] NaN where not known.

    One-dimensional series hold for all members; (rows, members) differ by member.
    """
    n = len(engine_speed)

    def column(values: Array) -> Array:
        return values[:, None] if values.ndim == 1 else values

    zero = np.zeros((1, 1))
    return Drive(
        step,
        np.arange(n)[:, None],
        column(engine_speed),
        column(brake_power),
        column(fuel_flow),
        column(vehicle_speed),
        zero,
        zero,
        zero,
        zero,
        np.atleast_2d(heater_air_share),
        np.ones((1, 1)) if coolant_heater is None else np.atleast_2d(coolant_heater),
        0.0,
        np.zeros(1),
        ambient,
        np.zeros(1) if altitude is None else altitude,
        np.full(1, 0.5),
        start,
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
    def table(name: str) -> Array:
        return np.stack(np.broadcast_arrays(*(getattr(row, name) for row in rows)))

    tables: dict[str, Any] = {name: table(name) for name in PER_ROW}
    return Drive(
        step=step,
        which=which[:, None],
        fan_mode=float(weather.fan_mode[0]),
        air_conditioning=weather.air_conditioning,
        ambient=weather.ambient,
        altitude=weather.altitude,
        relative_humidity=weather.relative_humidity,
        start=start,
        coolant_flow=weather.coolant_flow,
        air_velocity=weather.air_velocity,
        **tables,
    )
