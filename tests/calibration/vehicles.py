"""Vehicles for the calibration study, by a generator that is not the diagnosing model's twin.

What differs from the judge's own model: half the step; another exponent of friction over oil viscosity; hidden grade,
wind and load; a discrepancy of another scale and memory; unknowns spread evenly or with fat tails instead of normally;
a tenth broken by something that is not in the list. What does not: lumps and network are the same code.
All numbers are invented.
"""

from __future__ import annotations

from dataclasses import dataclass, fields
from typing import Any

import numpy as np

import engcalc.components.engine as engine_module
from engcalc.case.case import Case, value_at, with_values
from engcalc.case.conditions import HEATER_AIR_SHARE, only_given
from engcalc.case.resolve import resolve
from engcalc.case.text import FORMAT, CaseText
from engcalc.causes.base_rates import PER_CENT
from engcalc.causes.catalogue import CAUSES
from engcalc.components.engine import prepare_engine
from engcalc.diagnosis.checks.hand_checks import GAUGE_PASSES
from engcalc.diagnosis.evidence.observations import FACTS
from engcalc.diagnosis.members.faulty_vehicle import applicable
from engcalc.diagnosis.members.simulated import Hypothesis, Simulated, problem_of, simulate
from engcalc.logs.log import read_log
from engcalc.logs.record import LogRecord
from engcalc.system.in_time.drive import Drive, recorded_drive
from engcalc.units import Array
from engcalc.vehicle.run import run_of
from engcalc.vehicle.unknowns import HEAT

K0 = 273.15
STEP = 0.5  # s; the judge steps by 1 s
STOPPED = K0 + 118.0  # K; coolant at which whoever drives stops the engine
LEAST_SAMPLES = 6  # minutes of a record that are there whatever happens
CLASSES = ("small car", "family car", "large car", "delivery van", "pickup")
REASONS = ("screening", "no heat", "slow warm-up", "hot at idle", "hot at speed", "loss of coolant")
FIXED = {"not_in_list": 0.10, "thermostat_stuck_open": 0.12}  # shares; the second so that there are enough of them
# what is broken by something that is not in the list: changes of the hidden vehicle
OTHERS: tuple[tuple[str, dict[str, float]], ...] = (
    ("the block stands in the wind", {"engine.surface_conductance": 4.0}),
    ("the bypass is clogged", {"circuit.bypass_flow": 0.05}),
    ("the bypass is torn wide open", {"circuit.bypass_flow": 4.0}),
    ("a second core hangs on the heater circuit", {"heater.rated_output": 2.5, "heater.blower_flow": 2.0}),
    ("the brakes drag", {}),
)


@dataclass(frozen=True, eq=False)
class Vehicle:
    """One vehicle as the judge sees it, and the truth. ``alone`` and ``four``: the case with the log as its only
    evidence, and with four hand readings beside it; None without a log."""

    case: Case
    logs: dict[str, LogRecord]
    rates: dict[str, float]
    reason: str
    truth: str
    inlet: bool
    ambient: float
    hottest: float
    rich: bool
    hand_readings: int
    shown_end: float
    settled_minutes: float
    alone: Case | None
    four: Case | None


def vehicle(seed: int) -> Vehicle:
    """The vehicle of a seed."""
    rng = np.random.default_rng([seed, 2026])
    reason, inlet, rich = str(rng.choice(REASONS)), bool(rng.random() < 0.5), bool(rng.random() < 0.5)
    hot = reason.startswith("hot")
    ambient = float(rng.uniform(10.0, 38.0) if hot else rng.uniform(-18.0, 25.0))
    heater = str(rng.choice(["off", "low", "high"])) if not hot else "off"
    base = _resolved(
        {
            "vehicle": {"class": str(rng.choice(CLASSES))},
            "job": {"reason": reason},
            "thermostat": {"side": "inlet" if inlet else "outlet"},
            "evidence": {"before": {"ambient": f"{ambient:.1f} degC"}},
        }
    )
    rates = _rates(base, reason)
    keys = list(rates)
    truth = str(rng.choice(keys, p=np.array([rates[k] for k in keys]) / sum(rates.values())))
    drive, schedule = _drive(rng, base, ambient, heater, rich, 8e3 if truth == "not_in_list" else 0.0)
    s = _until_stopped(_happened(rng, base, truth, drive))
    return _as_seen(rng, base, s, truth, rates, reason, inlet, rich, ambient, heater, drive, schedule)


def _resolved(tree: dict[str, Any]) -> Case:
    found = resolve(CaseText({"format": FORMAT, **tree}))
    assert isinstance(found, Case), found
    return found


def _rates(case: Case, reason: str) -> dict[str, float]:
    """Base rates flattened, so that every cause occurs, some with a share of their own; the judge is told these."""
    found = {c.key: PER_CENT[reason][c.key] ** 0.5 for c in applicable(case)}
    others = sum(rate for key, rate in found.items() if key not in FIXED)
    left = 1.0 - sum(FIXED.values())
    return {key: 100.0 * FIXED.get(key, left * rate / others) for key, rate in found.items()}


Schedule = list[tuple[str, float]]
"""Road speed and duration [s] of each part of a drive."""


def _drive(
    rng: np.random.Generator, case: Case, ambient: float, heater: str, rich: bool, drag: float
) -> tuple[Drive, Schedule]:
    """The hidden drive, and the schedule that a person would note of it."""
    seconds = int(rng.uniform(1200, 1700))
    n = int(seconds / STEP)
    v = np.zeros(n)
    schedule: Schedule = []
    if rich:
        at = 0
        while at < n:
            stop, go = int(rng.uniform(5, 60) / STEP), int(rng.uniform(40, 240) / STEP)
            v[at + stop : at + stop + go] = rng.uniform(8.0, 30.0)
            at += stop + go
    else:
        edges = np.sort(rng.uniform(0.0, 0.5, 1)) * n
        speeds = (0.0, float(rng.choice([0.0, 40.0, 60.0, 90.0])))
        for low, high, speed in zip((0, *edges), (*edges, n), speeds, strict=True):
            v[int(low) : int(high)] = speed / 3.6
            schedule.append((f"{speed:.0f} km/h", (high - low) * STEP))
    v = np.convolve(np.pad(v, 20, "edge"), np.ones(21) / 21, "same")[20 : 20 + n]
    wind, grade = float(rng.normal(0.0, 2.5)), _wander(rng, n, 0.012, 240.0)
    turns = _engine_speed(v, float(case.engine.idle_speed[0]))
    power = _brake_power(case, v, wind, grade) * np.exp(_wander(rng, n, 0.15, 300.0)) + drag * (v > 1.0)
    share = HEATER_AIR_SHARE[heater] * float(np.exp(rng.uniform(-0.35, 0.35)))
    T = np.full(1, ambient + K0 + float(rng.uniform(-1.5, 1.5)))
    start = T + float(rng.uniform(0.0, 4.0))
    drive = recorded_drive(
        only_given(ambient=T, heater_air_share=np.full(1, share)),
        start,
        STEP,
        engine_speed=turns,
        vehicle_speed=np.maximum(v + 0.6 * wind * (v > 3.0), 0.0),
        fuel_flow=np.full(n, np.nan),
        brake_power=power,
    )
    return drive, schedule


def _engine_speed(v: Array, idle: float) -> Array:
    gears = np.array([7.0, 4.2, 2.8, 2.0, 1.5])  # rev/s for each m/s
    turns = v[:, None] * gears
    chosen = np.where(turns <= 42.0, turns, 0.0).max(axis=1)
    return np.maximum(np.where(chosen > 0.0, chosen, v * gears[-1]), idle)


def _brake_power(case: Case, v: Array, wind: float, grade: Array) -> Array:
    e, c = prepare_engine(case), case.vehicle
    rho = 1.25
    force = float(c.mass[0]) * 9.81 * (float(c.rolling_coefficient[0]) + grade) + 0.5 * rho * float(e.drag_area[0]) * (
        v + wind
    ) * np.abs(v + wind)
    pull = (force * v + 1.05 * float(c.mass[0]) * v * np.gradient(v, STEP)) / float(c.driveline_efficiency[0])
    return np.asarray(
        np.clip(pull, -0.05 * float(e.rated_power[0]), float(e.rated_power[0])) + float(e.accessories.base[0])
    )


def _wander(rng: np.random.Generator, n: int, scale: float, memory: float) -> Array:
    """A slow random walk about zero."""
    keep = float(np.exp(-STEP / memory))
    shocks = rng.normal(0.0, scale * np.sqrt(1.0 - keep**2), n)
    out = np.empty(n)
    x = 0.0
    for i in range(n):
        x = keep * x + shocks[i]
        out[i] = x
    return out


def _happened(rng: np.random.Generator, case: Case, truth: str, drive: Drive) -> Simulated:
    """What came of the hidden vehicle on its hidden drive."""
    hidden = with_values(case, {"evidence.before.heater_setting": "low", "evidence.before.engine_off_phases": "no"})
    if truth == "not_in_list":
        _, factors = OTHERS[int(rng.integers(len(OTHERS)))]
        hidden = with_values(hidden, {path: value_at(hidden, path) * f for path, f in factors.items()})
    problem = problem_of(hidden, (run_of(hidden, "before", {}), 1.0))
    cause = CAUSES["healthy" if truth == "not_in_list" else truth]
    h = Hypothesis((cause,), 0)
    k = len(problem.unknowns)  # held within what still is healthy: a seat that leaks ten times as much is not
    hidden_z = rng.uniform(-1.9, 1.9, k) if rng.random() < 0.5 else np.clip(rng.standard_t(6, k), -2.2, 2.2)
    for i, unknown in enumerate(problem.unknowns):
        if unknown.key == "heat":  # the load, by which the judge widens it where nobody knows it, is the drive's here
            hidden_z[i] *= HEAT.spread / unknown.spread
    z = np.concatenate((hidden_z, rng.uniform(-1.9, 1.9, h.severities)))[None]
    usual = engine_module.FRICTION_EXPONENT
    engine_module.FRICTION_EXPONENT = float(rng.choice([0.13, 0.16, 0.22, 0.25]))
    try:
        return simulate(problem, [(h, z)], drive=drive)[0]
    finally:
        engine_module.FRICTION_EXPONENT = usual


def _until_stopped(s: Simulated) -> Simulated:
    """The record up to where the engine is stopped because it boils."""
    hot = np.flatnonzero(s.coolant[:, 0] >= STOPPED)
    if not hot.size:
        return s
    n = max(int(hot[0]) + 1, LEAST_SAMPLES)
    values = {f.name: getattr(s, f.name) for f in fields(s)}
    return Simulated(**{k: x[:n] if k == "time" or getattr(x, "ndim", 0) == 2 else x for k, x in values.items()})


def _as_seen(
    rng: np.random.Generator,
    base: Case,
    s: Simulated,
    truth: str,
    rates: dict[str, float],
    reason: str,
    inlet: bool,
    rich: bool,
    ambient: float,
    heater: str,
    drive: Drive,
    schedule: Schedule,
) -> Vehicle:
    """The evidence: a log or a note of the schedule, hand readings, things seen; and the case that holds it."""
    scale, memory = float(np.exp(rng.uniform(np.log(0.5), np.log(4.5)))), float(rng.uniform(150.0, 700.0))
    off = _discrepancy(rng, len(s.time), scale, memory)
    shown = s.shown[:, 0] + off
    noise = 12.0 if truth == "sensor_erratic" else 0.8
    shown = shown + rng.normal(0.0, noise, len(shown))
    record: dict[str, Any] = {
        "ambient": f"{ambient:.0f} degC",
        "start_temperature": f"{shown[0]:.2f} K",
        "soak": "12 h",
        "heater_setting": heater if rng.random() < 0.7 else "unknown",
        "engine_off_phases": "no",
        "block_heater": "no",
        "auxiliary_heater": "none",
    }
    logs: dict[str, LogRecord] = {}
    if rich:
        logs["before"] = _log(rng, s, shown, drive)
        record["log"] = {"file": "log.csv"}
    else:
        noted, end = record["heater_setting"], float(s.time[-1])
        record["schedule"] = [
            {"vehicle_speed": speed, "heater": noted, "duration": f"{length / 60.0:.2f} min"}
            for speed, length in _driven(schedule, end)
        ]
        record["spots"] = [
            {
                "what": "coolant",
                "at": f"{end / 60.0:.2f} min",
                "value": f"{shown[-1] - K0:.0f} degC",
                "instrument": "scan_tool",
            }
        ]
    hand = int(rng.integers(0, 5))
    record.setdefault("spots", []).extend(_hand(rng, s, hand, heater))
    record["seen"] = _facts(rng, s, heater)
    known = rng.random() < 0.8
    side = ("inlet" if inlet else "outlet") if known else "unknown"

    def case_of(told: dict[str, Any]) -> Case:
        return _resolved(
            {
                "vehicle": {"class": base.vehicle.class_},
                "job": {"reason": reason},
                "thermostat": {"side": side},
                "evidence": {"before": {**record, **told}},
            }
        )

    alone = case_of({"spots": [], "seen": {}}) if rich else None
    four = case_of({"spots": _four(rng, s, shown, inlet, heater), "seen": {}}) if rich else None
    return Vehicle(
        case_of({}),
        logs,
        rates,
        reason,
        truth,
        inlet,
        ambient,
        float(s.coolant.max()) - K0,
        rich,
        hand,
        float(shown[-1]) - K0,
        float(s.time[-1]) / 60.0,
        alone,
        four,
    )


def _driven(schedule: Schedule, end: float) -> Schedule:
    """The parts of a schedule up to the end of the record [s]."""
    found, at = [], 0.0
    for speed, length in schedule:
        if at < end:
            found.append((speed, min(length, end - at)))
        at += length
    return found


def _discrepancy(rng: np.random.Generator, samples: int, scale: float, memory: float) -> Array:
    """What the world differs by [K], a sample a minute, from zero at the known start."""
    keep = float(np.exp(-60.0 / memory))
    out = np.zeros(samples)
    for i in range(1, samples):
        out[i] = keep * out[i - 1] + rng.normal(0.0, scale * np.sqrt(1.0 - keep**2))
    return out


def _log(rng: np.random.Generator, s: Simulated, shown: Array, drive: Drive) -> LogRecord:
    return read_log(_log_text(rng, s, shown, drive))


def _log_text(rng: np.random.Generator, s: Simulated, shown: Array, drive: Drive) -> bytes:
    seconds = np.arange(0.0, float(s.time[-1]) + 0.1, 2.0)
    row = np.minimum((seconds / STEP).astype(int), len(drive.which) - 1)
    T = np.round(np.interp(seconds, s.time, shown) - K0)
    n = drive.conditions.engine_speed[row, 0] * 60.0
    v = drive.conditions.vehicle_speed[row, 0] * 3.6
    lines = ["Time (s),Engine RPM (rpm),Vehicle speed (km/h),Coolant temperature (degC)"]
    lines += [f"{a:.1f},{b:.0f},{c:.0f},{d:.0f}" for a, b, c, d in zip(seconds, n, v, T, strict=True)]
    return "\n".join(lines).encode()


_CLAMPED = {
    "upper_hose": "upper_hose",
    "lower_hose": "lower_hose",
    "heater_inlet_hose": "heater_in",
    "heater_outlet_hose": "heater_out",
    "vent": "vent",
}


def _hand(rng: np.random.Generator, s: Simulated, count: int, heater: str) -> list[dict[str, str]]:
    """Hand readings with the bias and scatter of their instruments, and what the model is wrong by there."""
    places = [p for p in rng.permutation(list(_CLAMPED)) if p != "vent" or heater != "off"][:count]
    return [
        _read(rng, s, str(place), min(float(rng.choice([300.0, 600.0, 1080.0])), float(s.time[-1]))) for place in places
    ]


def _four(rng: np.random.Generator, s: Simulated, shown: Array, inlet: bool, heater: str) -> list[dict[str, str]]:
    """Four hand readings as a technician takes them: the hose that tells, when the gauge passes 55 degC, the pair of
    heater hoses at the end, and there the vent where the heater blows, else the other radiator hose."""
    end = float(s.time[-1])
    tells, other = ("lower_hose", "upper_hose") if inlet else ("upper_hose", "lower_hose")
    passed = np.flatnonzero(shown >= GAUGE_PASSES)
    at = float(s.time[passed[0]]) if passed.size else end
    last = other if heater == "off" else "vent"
    return [
        _read(rng, s, place, when)
        for place, when in ((tells, at), ("heater_inlet_hose", end), ("heater_outlet_hose", end), (last, end))
    ]


def _read(rng: np.random.Generator, s: Simulated, place: str, at: float) -> dict[str, str]:
    value, vent = float(s.at(getattr(s, _CLAMPED[place]), np.array([at]))[0, 0]), place == "vent"
    value += float(rng.normal(0.0, 3.5) if vent else rng.normal(-3.0, 1.0) + rng.normal(0.0, 3.0))
    return {
        "what": place,
        "at": f"{at / 60.0:.0f} min",
        "value": f"{value - K0:.0f} degC",
        "instrument": "vent_probe" if vent else "clamp",
        "surface": "none" if vent else "rubber",
    }


def _facts(rng: np.random.Generator, s: Simulated, heater: str) -> dict[str, bool]:
    left_out = [
        "thermostat_open_when_cold",
        "thermostat_missing",
        "shutter_closed",
        "combustion_gas_found",
        "cap_holds_pressure",
        "pressure_held_cold",
        "thermostat_opens_hot",
        "seals_missing",
        "fan_blows_backward",
        "fan_fuse_good",
        "fan_relay_works",
        "fan_motor_runs",
        "heater_hoses_swapped",
    ]  # what takes tools or more than a glance
    left_out += ["vent_cold"] if heater == "off" else []
    names = [f for f in FACTS if f not in left_out]
    asked = rng.permutation(names)[: int(rng.integers(0, 4))]
    seen = {}
    for fact in asked:
        answer = bool(rng.random() < float(FACTS[str(fact)](s)[0]))
        seen[str(fact)] = answer if rng.random() > 0.03 else not answer
    if seen.get("fan_runs_always") is True and seen.get("fan_runs_when_hot") is False:
        del seen["fan_runs_when_hot"]  # the program refuses both together: the technician looks again
    return seen
