"""Real cold starts, as far as they lie in a folder: what a person would know of each, and the curve that was read.

The records are no part of the project. ``HEATDOCKET_LOGS`` names the folder of the logs; the field records lie in
``../field`` beside it. Ten trips and four logs are of one diesel of about 2 L (M. Weber, "Automotive OBD-II Dataset",
Karlsruhe Institute of Technology, DOI 10.35097/1130, CC BY 4.0); five idles are of a petrol 1.5 L (carOBD data set,
IEEE document 8891367).
"""

from __future__ import annotations

import csv
import os
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from engcalc.logs.channels import Channel
from engcalc.logs.log import read_log
from engcalc.units import Array

K0 = 273.15
LONGEST = 1800.0  # s of each record that count
LOG_AMBIENT = {"winter-a": 1.0, "winter-b": 1.0, "summer-a": 20.0, "summer-b": 19.0}  # degC, ORIGIN.md beside the logs
# How a person would have said that each trip was driven, from its mean speed: none stood still or kept to a motorway
SAID = {
    "trip-a": "mixed",
    "trip-b": "mixed",
    "trip-c": "mixed",
    "trip-d": "town",
    "trip-e": "town",
    "trip-f": "mixed",
    "trip-g": "mixed",
    "trip-h": "town",
    "trip-i": "mixed",
    "trip-j": "town",
    "winter-a": "country road",
    "winter-b": "country road",
    "summer-a": "mixed",
    "summer-b": "mixed",
}


@dataclass(frozen=True, eq=False)
class Start:
    """One cold start. ``speed`` is None where it idled; temperatures in degC, times in s from engine start."""

    name: str
    fuel: str
    ambient: float
    time: Array
    coolant: Array
    speed_km_h: Array | None

    @property
    def said(self) -> str:
        """How it ran, in the one word that a person would choose."""
        return SAID.get(self.name, "idling")

    def when(self, temperature: float) -> float | None:
        """The first time [s] at which a temperature [degC] was read; None if never."""
        reached = np.flatnonzero(self.coolant >= temperature)
        if not len(reached):
            return None
        first = int(reached[0])
        if self.speed_km_h is not None or first == 0:
            return float(self.time[first])
        until = slice(0, first + 1)  # points half a minute apart: the moment between the last two
        return float(np.interp(temperature, self.coolant[until], self.time[until]))


def folder() -> Path | None:
    """The folder of the logs, None where there is none."""
    named = os.environ.get("HEATDOCKET_LOGS")
    return Path(named) if named and Path(named).is_dir() else None


def starts(logs: Path) -> list[Start]:
    """Every start that lies in the folder of logs and in the field records beside it."""
    field = logs.parent / "field"
    found = [_log(logs / f"{name}.csv", ambient) for name, ambient in LOG_AMBIENT.items()]
    if (field / "warmups.csv").is_file():
        found += [start for row in _rows(field / "warmups.csv") if (start := _field(field, row)) is not None]
    return found


def _rows(path: Path) -> list[dict[str, str]]:
    """Rows of a CSV whose text column may hold a comma: what is too much belongs to the fifth column."""
    header, *lines = csv.reader(path.read_text().splitlines())
    whole = []
    for line in lines:
        extra = len(line) - len(header)
        parts = [*line[:4], ",".join(line[4 : 5 + extra]), *line[5 + extra :]] if extra > 0 else line
        whole.append(dict(zip(header, parts, strict=True)))
    return whole


def _log(path: Path, ambient: float) -> Start:
    record = read_log(path)
    coolant, speed = record.traces[Channel.COOLANT], record.traces[Channel.VEHICLE_SPEED]
    time = np.arange(0.0, min(record.end, LONGEST))
    read = coolant.observed
    return Start(
        path.stem,
        "diesel",
        ambient,
        time,
        np.interp(time, coolant.time[read], coolant.value[read]) - K0,
        3.6 * np.interp(time, speed.time, speed.value),
    )


def _field(field: Path, row: dict[str, str]) -> Start | None:
    ambient = float(row["ambient_degC"])
    if row["trace"]:
        trace = [r for r in _rows(field / row["trace"]) if r["coolant_degC"]]
        time = np.array([float(r["time_s"]) for r in trace])
        return Start(
            row["id"],
            "diesel",
            ambient,
            time,
            np.array([float(r["coolant_degC"]) for r in trace]),
            np.array([float(r["vehicle_speed_km_h"] or 0.0) for r in trace]),
        )
    points = [r for r in _rows(field / "idle_points.csv") if r["id"] == row["id"]]
    if not points:
        return None
    return Start(
        row["id"],
        "petrol",
        ambient,
        np.array([float(r["time_s"]) for r in points]),
        np.array([float(r["coolant_degC"]) for r in points]),
        None,
    )
