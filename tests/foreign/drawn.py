"""Vehicles drawn at random, what is wrong with each, and what a technician would enter of it: a case's text, and a log.

Nothing here is imported from the program: a case is written as its file format has it (``heatdocket-case/1``). How
often each cause occurs is this generator's own (flatter than in a workshop, so that each occurs); the case tells it.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from cycle import Array, driven
from vehicle import Body, Broken, Trip, ran

Uniform = Callable[[float, float], float]
SIZES = {
    "small car": Body(
        litres=1.2, mass=1080.0, drag=0.62, top_gear=1.4, liners=1.1e4, block=2.34e4, inside=2.8e-3, radiator=1.5e-3,
        pump=6.5e-4, heater_UA=130.0, heater_air=0.046, front=1150.0, ram=0.038, surface=8.0,
    ),
    "family car": Body(),
    "large car": Body(
        litres=2.5, mass=1780.0, drag=0.78, top_gear=1.05, liners=1.95e4, block=4.2e4, inside=5e-3, radiator=2.7e-3,
        pump=1.1e-3, heater_UA=185.0, heater_air=0.062, front=2100.0, ram=0.056, fan_air=1.0, surface=12.0,
    ),
}  # fmt: skip
CAUSES: dict[str, tuple[float, Callable[[Uniform], Broken]]] = {
    "healthy": (24.0, lambda _: Broken()),
    "thermostat_stuck_open": (12.0, lambda u: Broken(lift=u(0.12, 1.0), visible={"thermostat_open_when_cold": True})),
    "thermostat_missing": (2.0, lambda _: Broken(no_valve=True, visible={"thermostat_missing": True})),
    "thermostat_opens_early": (6.0, lambda u: Broken(opens_by=-u(7.0, 28.0))),
    "thermostat_stuck_shut": (4.0, lambda u: Broken(most_lift=u(0.0, 0.06))),
    "low_coolant": (7.0, lambda u: Broken(missing=u(0.12, 0.6), visible={"level_low": True})),
    "external_leak": (3.0, lambda _: Broken(visible={"coolant_leak": True})),
    "heater_core_restricted": (5.0, lambda u: Broken(heater=u(0.03, 0.3))),
    "heater_valve_closed": (2.0, lambda u: Broken(heater=u(0.0, 0.03))),
    "heater_blend_stuck": (3.0, lambda u: Broken(warm_air=u(0.0, 0.35))),
    "heater_airflow_low": (2.0, lambda u: Broken(blower=u(0.15, 0.5))),
    "pump_weak": (5.0, lambda u: Broken(pump=u(0.1, 0.6))),
    "radiator_restricted": (4.0, lambda u: Broken(UA=u(0.2, 0.6), rows=u(0.25, 0.8))),
    "face_blocked": (3.0, lambda u: Broken(face=u(0.15, 0.5), visible={"face_dirty": True})),
    "fan_not_running": (5.0, lambda _: Broken(fan="never")),
    "fan_always_on": (2.0, lambda _: Broken(fan="always")),
    "sensor_reads_low": (4.0, lambda u: Broken(sensor_shift=-u(6.0, 28.0))),
    "sensor_reads_high": (2.0, lambda u: Broken(sensor_shift=u(6.0, 25.0))),
    "sensor_erratic": (2.0, lambda _: Broken(jumps=True)),
    "sensor_in_air": (1.0, lambda u: Broken(sensor_part=u(0.15, 0.6), missing=u(0.12, 0.3))),
    "not_in_list": (
        6.0,
        lambda u: [Broken(surface=4.0), Broken(drag=u(150.0, 400.0)), Broken(bypass=0.1)][int(u(0, 3))],
    ),
}
"""Per cent of the vehicles (scaled), and what is wrong."""
WAYS = {"idling": 0.2, "town": 0.4, "country road": 0.25, "motorway": 0.15}
KNOWN_WAY, KNOWN_HEATER = 0.6, 0.7  # share of six-entry records in which it was noted


# K; valves at the pump's inlet start at 80 to 84 degC by the service manuals of three engines, those at the outlet at
# 86 to 91: the outlet of either engine then gets as hot
INLET_OPENS_LOWER = 6.0


@dataclass(frozen=True)
class Drawn:
    """A vehicle: the truth, how it ran, and three cases of it: its log alone, with four hand readings, six entries."""

    seed: int
    truth: str
    way: str
    cold: bool
    inlet: bool
    fuel_told: bool
    log: str
    alone: dict[str, Any]
    hands: dict[str, Any]
    six: dict[str, Any]


@dataclass(frozen=True)
class Set:
    """A vehicle as it is set out, before it runs: what is wrong, how it is asked for, what is noted."""

    truth: str
    broken: Broken
    body: Body
    size: str
    way: str
    noted_ambient: float
    setting: str
    trip: Trip


def drawn(seed: int) -> Drawn:
    """The vehicle of a seed."""
    rng = np.random.default_rng([seed, 83])
    v = set_out(rng)
    return _entered(seed, v, ran(v.body, v.broken, v.trip, rng), rng)


def set_out(rng: np.random.Generator) -> Set:
    """A vehicle, what is wrong with it and how it is driven, by the generator's own rates."""
    weights = np.array([w for w, _ in CAUSES.values()])
    truth = str(rng.choice(list(CAUSES), p=weights / weights.sum()))
    broken = CAUSES[truth][1](lambda low, high: float(rng.uniform(low, high)))
    size, inlet = str(rng.choice(list(SIZES))), bool(rng.random() < 0.4)
    opens = SIZES[size].opens - (INLET_OPENS_LOWER if inlet else 0.0)
    body = _scattered(replace(SIZES[size], inlet=inlet, opens=opens), rng)
    way = str(rng.choice(list(WAYS), p=list(WAYS.values())))
    ambient = float(rng.uniform(-12.0, 33.0))
    off = float(np.clip((ambient - 2.0) / 20.0, 0.1, 0.9))
    setting = "off" if rng.random() < off else str(rng.choice(["low", "high"]))
    air = {"off": 0.0, "low": 0.35, "high": 1.0}[setting] * float(np.exp(rng.normal(0.0, 0.2)))
    seconds = int(rng.uniform(1080, 1500))
    grade = np.zeros(seconds) if way == "idling" else _wandering(rng, seconds, 0.012)
    trip = Trip(driven(way, seconds, rng), ambient + rng.normal(0.0, 0.7), air, ambient + rng.uniform(0, 3), grade,
                float(rng.normal(0.0, 2.0)))  # fmt: skip
    return Set(truth, broken, body, size, way, ambient, setting, trip)


def last_second(coolant: Array) -> int:
    """When the record ends: whoever drives stops it at 117 degC, but not in the first six minutes."""
    until = np.flatnonzero(coolant > 117.0)
    end = min(int(until[0]), len(coolant) - 1) if until.size else len(coolant) - 1
    return max(end, 360)


def _entered(seed: int, v: Set, found: dict[str, Array], rng: np.random.Generator) -> Drawn:
    """What a technician enters of a vehicle that ran."""
    weights = np.array([w for w, _ in CAUSES.values()])
    trip, setting, size, inlet, ambient, way = v.trip, v.setting, v.size, v.body.inlet, v.noted_ambient, v.way
    end = last_second(found["coolant"])
    shown = found["shown"] + rng.normal(0.0, 0.3, len(trip.speed))
    fuel_told = bool(rng.random() < 0.5)
    log = _log(found, shown, trip, end, fuel_told)
    base = {
        "format": "heatdocket-case/1",
        "job": {"reason": "screening"},
        "vehicle": {"class": size},
        "thermostat": {"side": "inlet" if inlet else "outlet"},
        "base_rates": {key: f"{100.0 * w / weights.sum():.3f} %" for key, (w, _) in CAUSES.items()},
    }
    noted = {"ambient": f"{ambient:.0f} degC", "soak": "10 h", "engine_off_phases": "no", "block_heater": "no"}
    noted["start_temperature"] = f"{shown[0]:.0f} degC"
    full = {**noted, "heater_setting": setting}
    spots = hands(rng, found, end, setting, inlet)
    six = {**noted, "heater_setting": setting if rng.random() < KNOWN_HEATER else "unknown"}
    six["driving"] = way if rng.random() < KNOWN_WAY else "unknown"
    six["spots"] = [_spot("coolant", end, shown[end], "scan_tool")]
    with_log = {**full, "log": {"file": "log.csv"}}
    return Drawn(
        seed, v.truth, way, ambient < 5.0, inlet, fuel_told, log,
        {**base, "evidence": {"before": with_log}},
        {**base, "evidence": {"before": {**with_log, "spots": spots}}},
        {**base, "evidence": {"before": six}},
    )  # fmt: skip


def _scattered(body: Body, rng: np.random.Generator) -> Body:
    """Vehicles of one size differ: heavy tails in some, even in others."""

    def by(spread: float) -> float:
        return float(np.exp(spread * np.clip(rng.standard_t(5), -2.5, 2.5)))

    return replace(
        body, liners=body.liners * by(0.1), block=body.block * by(0.1), inside=body.inside * by(0.08),
        pump=body.pump * by(0.2), heater_UA=body.heater_UA * by(0.2), front=body.front * by(0.15),
        ram=body.ram * by(0.2), surface=body.surface * by(0.35), to_coolant=body.to_coolant * by(0.06),
        extra_idle=body.extra_idle * by(0.12), opens=float(rng.choice([82.0, 88.0, 88.0, 91.0]) + rng.normal(0.0, 1.0)),
        lag=body.lag * by(0.3), leak=body.leak * by(0.8), sensor_off=float(rng.normal(0.0, 1.0)),
        litres=body.litres * by(0.1), mass=body.mass * by(0.07),
    )  # fmt: skip


def _wandering(rng: np.random.Generator, n: int, scale: float) -> Array:
    """Grades [-] that come and go over some minutes."""
    knots = rng.normal(0.0, scale, n // 60 + 2)
    return np.interp(np.arange(n) / 60.0, np.arange(len(knots)), knots)


def _log(found: dict[str, Array], shown: Array, trip: Trip, end: int, fuel_told: bool) -> str:
    """Rows of two seconds; a fuel rate in the one half."""
    head = "Time (s),Engine RPM (rpm),Vehicle speed (km/h)," + ("Engine fuel rate (L/h)," if fuel_told else "")
    lines = [head + "Engine coolant temperature (degC),Ambient air temperature (degC)"]
    for t in range(0, end + 1, 2):
        fuel = f"{found['fuel'][t] * 3.6 / 0.745:.2f}," if fuel_told else ""
        speed = 3.6 * trip.speed[t]
        lines.append(f"{t:.1f},{found['rpm'][t]:.0f},{speed:.0f},{fuel}{shown[t]:.0f},{trip.ambient:.0f}")
    return "\n".join(lines) + "\n"


def _spot(what: str, at: int, value: float, instrument: str, surface: str = "none") -> dict[str, str]:
    return {
        "what": what,
        "at": f"{at / 60.0:.2f} min",
        "value": f"{value:.0f} degC",
        "instrument": instrument,
        "surface": surface,
    }


def hands(
    rng: np.random.Generator, found: dict[str, Array], end: int, setting: str, inlet: bool
) -> list[dict[str, str]]:
    """Four hand readings: the hose that tells of the valve once the gauge passes 55 degC, the pair of heater hoses at
    the end, and the vent or, with the heater off, the other radiator hose. A clamp reads some 3 K low."""
    passed = np.flatnonzero(found["shown"] >= 55.0)
    at = min(int(passed[0]), end) if passed.size else end
    tells, other = ("lower_hose", "upper_hose") if inlet else ("upper_hose", "lower_hose")
    asked = [(tells, at), ("heater_inlet_hose", end), ("heater_outlet_hose", end)]
    asked.append((other, end) if setting == "off" else ("vent", end))
    spots = []
    for what, when in asked:
        true = float(found[what][when])
        if what == "vent":
            spots.append(_spot(what, when, true + rng.normal(0.0, 3.0), "vent_probe"))
        else:
            spots.append(_spot(what, when, true + rng.normal(-3.0, 1.5), "clamp", "rubber"))
    return spots
