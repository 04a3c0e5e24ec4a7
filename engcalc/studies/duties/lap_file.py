"""A lap from a file: time, speed and throttle of a data logger as CSV, made into duties that go round.

The head names each column and its unit: ``time [s]``, ``speed [km/h]``, ``throttle [%]``, and where it was logged
``engine speed [rpm]``. A row holds until the time of the next one; the last row ends the lap. Columns stand in any
order, parted by tabulators, semicolons or commas; others are passed over. Everything wrong is reported at once, with
its line.

The power is the throttle's share of what the engine gives at full load: its rated power in that air and, where the
engine speed was logged, in proportion to that speed up to the rated one (an even torque; common practice, no source).

The lap becomes a few stretches, cut where power and speed change most. Each has the mean of its rows, so that the
energy of the lap and its time stay. What is left out is how the coolant follows within a stretch.
"""

from __future__ import annotations

import csv
import io
import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np

from engcalc.case.case import Case
from engcalc.case.file import read_whole
from engcalc.case.text import CaseText
from engcalc.components.engine import available_power, prepare_engine
from engcalc.errors import FileFault, InputError, InputFault
from engcalc.quantity_kinds import KINDS
from engcalc.units import Array, parse
from engcalc.words.texts import shared_texts, study_texts

LARGEST_BYTES = 16 * 1024 * 1024
MOST_ROWS = 200_000
STRETCHES = 6  # duties that a lap becomes: each is a duty of its own in every answer
BINS = 160  # of equal time that stretches are put together from, at most
MOST_FAULTS = 20  # that are told of one file
LONGEST = 3600.0  # s of a lap
CAR_SPEED = 125.0  # m/s; 450 km/h, as a duty accepts

_TIME = "time"
_SPEED = "speed"
_THROTTLE = "throttle"
_ENGINE = "engine speed"
_KIND: Mapping[str, str] = {
    _TIME: "short time",
    _SPEED: "vehicle speed",
    _THROTTLE: "fraction",
    _ENGINE: "rotation",
}
_ALSO: Mapping[str, str] = {
    "t": _TIME,
    "v": _SPEED,
    "vehicle speed": _SPEED,
    "ground speed": _SPEED,
    "gps speed": _SPEED,
    "throttle position": _THROTTLE,
    "pedal": _THROTTLE,
    "rpm": _ENGINE,
    "engine rpm": _ENGINE,
}
"""Other heads that loggers write, in plain letters."""
_BOUNDS: Mapping[str, tuple[float, float, str]] = {
    _TIME: (-1e9, 1e9, study_texts.TIME_IN_SECONDS),
    _SPEED: (0.0, CAR_SPEED, "0 to 450 km/h"),
    _THROTTLE: (-0.02, 1.05, "0 to 100 %"),
    _ENGINE: (0.0, 25_000.0 / 60.0, "0 to 25000 rpm"),
}
_HEAD = re.compile(r"^\s*(?P<name>[^\[(]*?)\s*(?:[\[(]\s*(?P<unit>[^\])]*?)\s*[\])]+)?\s*$")
_OF_THE_LAP = ("name", "brake_power", "wheel_power", "fuel_flow", "vehicle_speed", "engine_speed", "log_time")
_NOT_COPIED = (*_OF_THE_LAP, "grade", "trailer_mass", "duration", "start", "coolant_flow", "air_velocity")
"""Inputs of a duty that a stretch does not take from the duty above it."""


@dataclass(frozen=True, eq=False)
class Lap:
    """What was logged: the time [s] of each row, its speed [m/s], throttle [-] and engine speed [rev/s] or None."""

    time: Array
    speed: Array
    throttle: Array
    engine_speed: Array | None

    @property
    def duration(self) -> float:
        """Time of the whole lap [s]."""
        return float(self.time[-1] - self.time[0])


@dataclass(frozen=True)
class Stretch:
    """A part of the lap with the means of its rows; power [W], speed [m/s], engine speed [rev/s] or None."""

    begins: float
    duration: float
    power: float
    speed: float
    engine_speed: float | None


def read_lap(path: Path) -> Lap:
    """The lap in a CSV file. Raises FileFault, or InputError with every fault and its line."""
    data = read_whole(path, "a lap", LARGEST_BYTES)
    try:
        return parse_lap(data.decode("utf-8-sig"), path.name)
    except UnicodeDecodeError as error:
        raise FileFault(str(path), shared_texts.FILE_IS_NOT_UTF_8_TEXT_BYTE.format(start=error.start)) from error


def parse_lap(text: str, name: str = "lap") -> Lap:
    """The lap in a table's text; ``name`` stands in the faults. Raises InputError with every fault."""
    rows = _rows(text, name)
    head_line, head = rows[0]
    columns, faults = _columns(head, f"{name} line {head_line}")
    if faults:
        raise InputError(tuple(faults))
    found: dict[str, list[float]] = {key: [] for key in columns}
    for line, cells in rows[1:]:
        for key, (at, unit) in columns.items():
            cell = cells[at] if at < len(cells) else ""
            value = _value(key, cell, unit)
            if value is None:
                faults.append(InputFault(f"{name} line {line}, {key}", cell, f"{_BOUNDS[key][2]} would do"))
            found[key].append(value or 0.0)
    if not faults:
        faults += _not_rising(name, rows, found[_TIME])
    if faults:
        raise InputError(tuple(faults[:MOST_FAULTS]))
    engine = np.array(found[_ENGINE]) if _ENGINE in found else None
    throttle = np.clip(np.array(found[_THROTTLE]), 0.0, 1.0)
    return Lap(np.array(found[_TIME]), np.array(found[_SPEED]), throttle, engine)


def _rows(text: str, name: str) -> list[tuple[int, list[str]]]:
    """Lines with their cells; the head first. Empty lines and comments are passed over."""
    head = next((line for line in text.splitlines() if line.strip() and not line.lstrip().startswith("#")), "")
    parter = next((p for p in (";", "\t", ",") if p in head), ",")
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=parter, skipinitialspace=True)
    try:
        rows = [
            (reader.line_num, [c.strip() for c in cells])
            for cells in reader
            if any(c.strip() for c in cells) and not cells[0].lstrip().startswith("#")
        ]
    except csv.Error as error:
        raise InputError(
            (InputFault(name, "", study_texts.TABLE_OF_SHORT_CELLS_WOULD_DO.format(error=error)),)
        ) from error
    if not 3 <= len(rows) - 1 <= MOST_ROWS:
        given = f"{max(len(rows) - 1, 0)} rows"
        raise InputError(
            (InputFault(name, given, study_texts.LINE_OF_HEADS_AND_3_TO_ROWS_WOULD_DO.format(most_rows=MOST_ROWS)),)
        )
    return rows


def _columns(cells: Sequence[str], where: str) -> tuple[dict[str, tuple[int, str]], list[InputFault]]:
    """Place and unit of each column that counts."""
    columns: dict[str, tuple[int, str]] = {}
    faults = []
    for at, cell in enumerate(cells):
        match = _HEAD.match(cell)
        plain = " ".join(re.split(r"[\s_.]+", match["name"].strip().lower())) if match else ""
        key = _ALSO.get(plain, plain)
        if match is None or key not in _KIND:
            continue
        unit = match["unit"] or ""
        units = KINDS[_KIND[key]].spellings
        if key in columns:
            faults.append(InputFault(where, cell, study_texts.ONE_COLUMN_OF_WOULD_DO.format(key=key)))
        elif unit not in units:
            faults.append(
                InputFault(
                    where, cell, study_texts.WITH_ITS_UNIT_IN_THE_HEAD_WOULD_DO.format(key=key, units=", ".join(units))
                )
            )
        else:
            columns[key] = (at, unit)
    told = {fault.given for fault in faults}
    faults += [
        InputFault(where, ", ".join(cells)[:80], study_texts.COLUMN_IS_MISSING.format(key=key, example=_EXAMPLE[key]))
        for key in (_TIME, _SPEED, _THROTTLE)
        if key not in columns and not told
    ]
    return columns, faults


_EXAMPLE: Mapping[str, str] = {_TIME: "s", _SPEED: "km/h", _THROTTLE: "%"}


def _value(key: str, cell: str, unit: str) -> float | None:
    """A cell in SI; None where it is no number or none that can be."""
    if not re.fullmatch(r"[+-]?\d+(?:[.,]\d+)?(?:[eE][+-]?\d+)?", cell):
        return None
    factor = parse(f"1 {unit}", _KIND[key]).si
    value = float(cell.replace(",", ".")) * factor
    low, high, _ = _BOUNDS[key]
    return value if low <= value <= high else None


def _not_rising(name: str, rows: Sequence[tuple[int, list[str]]], time: Sequence[float]) -> list[InputFault]:
    falls = [k for k in range(1, len(time)) if time[k] <= time[k - 1]]
    faults = [
        InputFault(
            f"{name} line {rows[k + 1][0]}, {_TIME}",
            f"{time[k]:g} s",
            study_texts.MORE_THAN_S_WOULD_DO.format(time=time[k - 1]),
        )
        for k in falls
    ]
    if not faults and time[-1] - time[0] > LONGEST:
        given = f"{(time[-1] - time[0]) / 60.0:.0f} min"
        faults.append(
            InputFault(name, given, study_texts.ONE_LAP_OF_AT_MOST_MIN_WOULD_DO.format(longest=LONGEST / 60.0))
        )
    return faults


def full_load_power(case: Case, lap: Lap, ambient: Array, altitude: Array) -> Array:
    """What the engine gives at full throttle [W] at each row of a lap."""
    engine = prepare_engine(case)
    most = float(available_power(engine, ambient, altitude)[0])
    if lap.engine_speed is None:
        return np.full(lap.time.shape, most)
    return np.asarray(most * np.minimum(lap.engine_speed / float(engine.rated_speed[0]), 1.0))


def stretches(lap: Lap, full_load: Array, most: int = STRETCHES) -> tuple[Stretch, ...]:
    """The lap in so many stretches at most, cut where power [W] and speed change most.

    Two neighbours whose joining adds least to the squares of the deviations become one, until so many are left.
    """
    bins = min(BINS, len(lap.time) - 1)
    ends = np.linspace(lap.time[0], lap.time[-1], bins + 1)
    has_speed = lap.engine_speed is not None
    rows = [lap.throttle * full_load, lap.speed]
    if lap.engine_speed is not None:
        rows.append(lap.engine_speed)
    means = np.stack([_means(lap.time, row, ends) for row in rows])
    scale = np.maximum(means[:2].max(axis=1), 1e-9)
    finest = [(float(a), float(b - a), means[:, k]) for k, (a, b) in enumerate(pairwise(ends))]

    def stretch(begins: float, duration: float, x: Array) -> Stretch:
        turns = float(x[2]) if has_speed else None
        return Stretch(begins, duration, float(x[0]), float(x[1]), turns)

    return tuple(stretch(*part) for part in _so_many(finest, most, scale))


def _so_many(parts: Sequence[_Part], most: int, scale: Array) -> list[_Part]:
    """The parts, of which the two neighbours that are most alike become one until ``most`` are left."""
    left = list(parts)
    while len(left) > most:
        costs = [_cost(a, b, scale) for a, b in pairwise(left)]
        k = int(np.argmin(costs))
        left[k : k + 2] = [_joined(left[k], left[k + 1])]
    return left


_Part = tuple[float, float, Array]  # begin [s], duration [s], means


def _means(time: Array, row: Array, ends: Array) -> Array:
    """Means over time between the ends; a row holds until the next."""
    total = np.concatenate([[0.0], np.cumsum(row[:-1] * np.diff(time))])
    return np.asarray(np.diff(np.interp(ends, time, total)) / np.diff(ends))


def _cost(one: _Part, other: _Part, scale: Array) -> float:
    """What joining two neighbours adds to the squares of the deviations, by time [s]."""
    weight = one[1] * other[1] / (one[1] + other[1])
    apart = (one[2][:2] - other[2][:2]) / scale
    return float(weight * (apart**2).sum())


def _joined(one: _Part, other: _Part) -> _Part:
    duration = one[1] + other[1]
    over_time = one[1] * one[2] + other[1] * other[2]
    return one[0], duration, np.asarray(over_time / duration)


def with_lap(text: CaseText, case: Case, lap: Lap, name: str = "Lap") -> CaseText:
    """The text of a case with a lap's stretches as duties below its own, going round.

    Air, heater and limit are those of the duty above, where one is typed.
    """
    kept = inputs_above(text)
    last = case.duties[-1] if text.get("duties") else None
    ambient = parse("20 degC", "temperature").si if last is None else float(last.ambient[0])
    altitude = 0.0 if last is None else float(last.altitude[0])
    full = full_load_power(case, lap, np.full(1, ambient), np.full(1, altitude))
    for k, stretch in enumerate(stretches(lap, full)):
        index = len(text.get("duties") or [])
        start = "round" if k == 0 else "above"
        text = text.with_item(
            "duties", index, {**kept, **_duty(stretch, name), **power_typed(case, stretch.power), "start": start}
        )
    return text


def inputs_above(text: CaseText) -> dict[str, Any]:
    """What a new duty takes over, as typed, from the one above it: air, heater and limit, nothing of the drive."""
    typed = text.get("duties")
    above = typed[-1] if isinstance(typed, list) and typed and isinstance(typed[-1], dict) else {}
    return {key: value for key, value in above.items() if key not in _NOT_COPIED}


def power_typed(case: Case, power: float) -> dict[str, Any]:
    """A power at the crankshaft [W] as typed, there where the case's own was measured.

    Rounded down: full power asks for no more than the engine gives.
    """
    if case.engine.power_at != "wheel":
        return {"brake_power": _kilowatts(power)}
    return {"wheel_power": _kilowatts(power * float(case.vehicle.driveline_efficiency[0]))}


def _kilowatts(power: float) -> str:
    return f"{math.floor(power / 10.0 + 1e-9) / 100.0:.2f} kW"


def _duty(stretch: Stretch, name: str) -> dict[str, Any]:
    """A stretch's name, speeds and time as a duty's inputs, typed."""
    end = stretch.begins + stretch.duration
    inputs = {
        "name": f"{name}, {stretch.begins:.1f} to {end:.1f} s",
        "vehicle_speed": f"{3.6 * stretch.speed:.1f} km/h",
        "duration": f"{stretch.duration:.2f} s",
    }
    if stretch.engine_speed is not None:
        inputs["engine_speed"] = f"{60.0 * stretch.engine_speed:.0f} rpm"
    return inputs
