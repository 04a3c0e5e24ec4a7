"""Invents the two logs of the repaired van: nothing here was measured on any vehicle.

    python worked_examples/make_van_logs.py [FOLDER]

A drive is made up from a fixed seed, a delivery van of its class is given numbers that differ from the class's typical
ones (``HELD_BACK``; the case does not know them), and its warm-up is simulated twice: with a valve that stands a little
open, and with a healthy one. What the sensor would show then gets an error of its own: a slow drift, noise, rounding to
whole degrees. The logs are written as a phone might: elapsed seconds, one row every two seconds, blanks until a channel
first answers.
"""

from __future__ import annotations

import csv
import sys
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from engcalc.case.case import Case, with_values
from engcalc.case.conditions import only_given
from engcalc.case.resolve import resolve
from engcalc.case.text import FORMAT, CaseText
from engcalc.components.engine import engine_heat
from engcalc.properties.fuel import FUELS, Fuel
from engcalc.studies.spread.uncertainty import consistent
from engcalc.system.in_time.drive import Drive, recorded_drive
from engcalc.system.in_time.lumps import row_load
from engcalc.system.in_time.warmup import warm_up
from engcalc.system.plant import prepare

Array = NDArray[np.float64]

HELD_BACK = {  # times what is typical of the class; invented
    "engine.metal_mass": 1.12,
    "engine.coolant_share_idle": 0.92,
    "engine.coolant_share_rated": 1.06,
    "engine.surface_conductance": 1.25,
    "circuit.pump_flow": 0.93,
    "heater.blower_flow": 0.88,
    "airflow.ram_recovery": 1.1,
    "thermostat.time_constant": 1.3,
}
SENSOR_BIAS = -0.7  # K
WARM_OIL = 333.15  # K; oil at which the invented engine's fuel counts
MINUTES = 36
EVERY = 2.0  # s


@dataclass(frozen=True)
class Visit:
    """One of the two logs: file, seed of its drive, outside temperature [degC], start [degC], valve's least opening."""

    file: str
    seed: int
    ambient: float
    start: float
    opening: float


BEFORE = Visit("van-before.csv", 11, -10.0, -8.0, 0.034)
AFTER = Visit("van-after.csv", 12, -6.0, -5.0, 0.0)


def van(opening: float) -> Case:
    """The invented van."""
    case = resolve(
        CaseText(
            {
                "format": FORMAT,
                "vehicle": {"class": "delivery van"},
                "thermostat": {"rating": "88 degC"},
                "duties": [{"ambient": "-10 degC", "heater": "high"}],
            }
        )
    )
    if not isinstance(case, Case):
        raise TypeError(case)
    values = {path: _at(case, path) * factor for path, factor in HELD_BACK.items()}
    return consistent(with_values(case, {**values, "thermostat.minimum_opening": np.full(1, opening)}))


def _at(case: Case, path: str) -> Array:
    section, name = path.split(".")
    value: Array = getattr(getattr(case, section), name)
    return value


def drive_of(seed: int) -> tuple[Array, Array]:
    """Engine speed [rev/s] and vehicle speed [m/s] second by second: a yard, town with halts, a ring road."""
    rng = np.random.default_rng(seed)
    speed = [np.zeros(150)]
    for most, minutes in ((13.0, 8), (23.0, 26)):
        legs: list[Array] = []
        while sum(leg.size for leg in legs) < 60 * minutes:
            top = most * rng.uniform(0.75, 1.1)
            up, hold, down = (int(rng.uniform(*span)) for span in ((9, 20), (40, 130 if most < 20.0 else 500), (8, 15)))
            halt = int(rng.uniform(5, 25)) if most < 20.0 else 0
            legs += [
                top * np.linspace(0.0, 1.0, up),
                np.full(hold, top) + 0.4 * np.sin(np.arange(hold) / 11.0),
                top * np.linspace(1.0, 0.0, down),
                np.zeros(halt),
            ]
        speed.append(np.concatenate(legs)[: 60 * minutes])
    v = np.concatenate(speed)[: 60 * MINUTES]
    v = np.concatenate((v, np.zeros(60 * MINUTES - len(v))))
    gear = np.select([v < 6.0, v < 10.0, v < 15.0, v < 20.0], [5.2, 3.1, 2.1, 1.55], 1.2)  # turns a metre
    n = np.maximum(13.5, gear * v) + 0.2 * rng.normal(size=v.size)
    return np.where(v < 0.1, 13.4 + 0.1 * rng.normal(size=v.size), n), v


def made_up(visit: Visit) -> list[list[str]]:
    """The rows of one log."""
    case, rng = van(visit.opening), np.random.default_rng(visit.seed + 100)
    plant = prepare(case)
    n, v = drive_of(visit.seed)
    seconds = len(n)
    absent = np.full(seconds, np.nan)
    T_amb, start = np.full(1, visit.ambient + 273.15), np.full(1, visit.start + 273.15)
    first = only_given(ambient=T_amb, heater_air_share=np.ones(1))

    def drive_with(fuel: Array, power: Array) -> Drive:
        return recorded_drive(first, start, 1.0, engine_speed=n, vehicle_speed=v, fuel_flow=fuel, brake_power=power)

    load = drive_with(absent, _brake(v))
    made = engine_heat(plant.engine, row_load(plant, load), np.full(1, WARM_OIL))
    power = made.fuel_power[:, 0] * (1.0 + 0.35 * np.exp(-np.arange(seconds) / 500.0))  # cold: more of it
    fuel = power / FUELS[Fuel.DIESEL].lower_heating_value
    drive = drive_with(fuel, absent)
    w = warm_up(plant, drive, 1.0)
    drift = 1.2 * np.cumsum(rng.normal(size=seconds + 1)) / np.sqrt(seconds)
    shown = np.round(w.sensor[:, 0] - 273.15 + SENSOR_BIAS + drift + 0.25 * rng.normal(size=seconds + 1))
    litres = fuel * 3600.0 / FUELS[Fuel.DIESEL].density * 1000.0 * (1.0 + 0.03 * rng.normal(size=seconds))
    return _rows(visit, n, v, litres, shown)


def _brake(v: Array) -> Array:
    """Work for speed and its changes [W] of a van of 2.6 t, nothing when it slows down hard."""
    force = 2600.0 * 9.81 * 0.011 + 0.5 * 1.3 * 4.4 * 0.36 * v**2 + 2730.0 * np.gradient(v)
    return np.maximum(force * v / 0.88, 0.0) + 450.0


def _rows(visit: Visit, n: Array, v: Array, litres: Array, shown: Array) -> list[list[str]]:
    head = [
        "Time (s)",
        "Engine RPM (rpm)",
        "Vehicle speed (km/h)",
        "Engine fuel rate (L/h)",
        "Engine coolant temperature (°C)",
        "Ambient air temperature (°C)",
    ]
    rows = [head]
    for k in range(0, len(n), int(EVERY)):
        late = k >= 2 * EVERY
        rows.append(
            [
                f"{k:.1f}",
                f"{60.0 * n[k]:.0f}",
                f"{3.6 * v[k]:.0f}",
                f"{litres[k]:.2f}" if late else "",
                f"{shown[k]:.0f}",
                f"{visit.ambient:.0f}" if late else "",
            ]
        )
    return rows


def main(folder: Path) -> None:
    """Write both logs."""
    for visit in (BEFORE, AFTER):
        with (folder / visit.file).open("w", newline="", encoding="utf-8") as stream:
            csv.writer(stream).writerows(made_up(visit))
        print(f"{folder / visit.file}: invented")


if __name__ == "__main__":
    main(Path(sys.argv[1]) if len(sys.argv) > 1 else Path(__file__).parent)
