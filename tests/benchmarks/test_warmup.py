"""The warm-up against scipy's LSODA on the same equations calling CoolProp, in one run.

LSODA (rtol 1e-6) integrates the right-hand side of ``warmup_equations``: every flow and film solved anew, coolant from
CoolProp's AEG. It shares the component formulas with the product, on arrays of one element, whose overhead is most of
its time: a rival written in scalar Python would be some ten times faster, and the ratio that much smaller. A log's rows
change every second, so that it is held to steps of 2 s. The same steps in compiled C are not compared here.

Run once for correctness with every test run; for numbers ``python -m pytest --benchmark-enable -n 0 -k benchmark``.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import replace

import CoolProp
import numpy as np
from scipy.integrate import solve_ivp
from warmup_equations import SENSOR, right_hand_side
from warmup_equations import start as start_of

from engcalc.case.case import Case, with_values
from engcalc.case.resolve import resolve
from engcalc.case.text import FORMAT, CaseText
from engcalc.properties.fluid import Fluid
from engcalc.studies.uncertainty import consistent
from engcalc.system.drive import Drive, coarser, recorded_drive
from engcalc.system.plant import Plant, prepare
from engcalc.system.warmup import Warmup, warm_up

SECONDS, MEMBERS, COARSE = 1800, 4000, 2
ERROR = 0.1  # K; design, section 11


def case_of() -> Case:
    found = resolve(CaseText({"format": FORMAT, "thermostat": {"hysteresis": "0 K", "rating": "105 degC"}}))
    assert isinstance(found, Case)
    return found


def log(seconds: int = SECONDS) -> Drive:
    """An invented half hour at 1 Hz; the fan held off, as the right-hand side knows no switching."""
    rng = np.random.default_rng(7)

    def wander(width: int, scale: float) -> np.ndarray:
        return np.convolve(rng.normal(size=seconds), np.ones(width) / scale, "same")

    n = 13.0 + 20.0 * np.clip(wander(20, 8.0), 0.0, 1.5)
    v = np.clip(15.0 * wander(60, 8.0) + 8.0, 0.0, 35.0)
    fuel = 3e-4 + 5e-4 * np.clip(wander(10, 4.0), 0.0, 3.0)
    T = np.full(1, 268.15)
    absent, third = np.full(seconds, np.nan), np.full((1, 1), 1.0 / 3.0)
    return replace(recorded_drive(1.0, n, v, fuel, absent, third, T, T), fan_mode=-1.0)


def ensemble(count: int) -> Plant:
    """Unlike members."""
    rng = np.random.default_rng(1)
    case = case_of()

    def about(value: np.ndarray, share: float) -> np.ndarray:
        return value * rng.uniform(1.0 - share, 1.0 + share, count)

    return prepare(consistent(with_values(case, {
        "engine.metal_mass": about(case.engine.metal_mass, 0.3), "heater.blower_flow": about(
            case.heater.blower_flow, 0.3), "engine.coolant_share_rated": about(case.engine.coolant_share_rated, 0.2),
        "circuit.pump_flow": about(case.circuit.pump_flow, 0.2),
        "thermostat.closed_leak": rng.uniform(0.0, 0.05, count)})))


def timed(work: Callable[[], object]) -> float:
    begun = time.perf_counter()
    work()
    return time.perf_counter() - begun


def by_lsoda(plant: Plant, drive: Drive, times: np.ndarray) -> np.ndarray:
    """The sensor of one member at ``times``, properties from CoolProp."""
    glycol = CoolProp.AbstractState("INCOMP", "AEG")
    glycol.set_volu_fractions([float(plant.coolant.volume_fraction[0])])

    def fluid(T: float) -> Fluid:
        glycol.update(CoolProp.PT_INPUTS, 2.0e5, T)
        made = (glycol.rhomass(), glycol.cpmass(), glycol.conductivity(), glycol.viscosity())
        return Fluid(*(np.array([x]) for x in made))

    found = solve_ivp(right_hand_side(plant, drive, fluid), (0.0, drive.duration), start_of(drive), method="LSODA",
                      rtol=1e-6, atol=1e-4, t_eval=times, max_step=2.0)
    assert found.success, found.message
    return np.asarray(found.y[SENSOR])


def test_one_half_hour_on_a_log(benchmark) -> None:
    """Budget: 60 ms, and within 0.1 K of LSODA."""
    plant, drive = prepare(case_of()), log()
    w = benchmark(warm_up, plant, drive)
    short = replace(drive, which=drive.which[:None if benchmark.enabled else 200])
    times = w.time[w.time <= short.duration]
    answer: list[np.ndarray] = []
    seconds = timed(lambda: answer.append(by_lsoda(plant, short, times)))
    assert np.abs(answer[0] - w.sensor[:times.size, 0]).max() < ERROR
    if benchmark.enabled:
        benchmark.extra_info.update(lsoda_seconds=seconds, times_faster=seconds / benchmark.stats.stats.min)


def test_four_thousand_of_them_against_lsoda_in_a_loop(benchmark) -> None:
    """Budget: 1.5 s in steps of 2 s, 150 times faster than LSODA in a loop (one of them run, scaled up)."""
    count = MEMBERS if benchmark.enabled else 20
    plant, drive = ensemble(count), log()
    if not benchmark.enabled:
        drive = replace(drive, which=drive.which[:200], engine_speed=drive.engine_speed[:200],
                        vehicle_speed=drive.vehicle_speed[:200], fuel_flow=drive.fuel_flow[:200],
                        brake_power=drive.brake_power[:200])
    w: Warmup = benchmark.pedantic(warm_up, args=(plant, coarser(drive, COARSE)), rounds=3 if benchmark.enabled else 1)
    assert np.isfinite(w.sensor).all()
    assert np.abs(w.energy_error).max() < 1e-10
    if benchmark.enabled:
        one = prepare(case_of())
        seconds = timed(lambda: by_lsoda(one, drive, w.time)) * count
        benchmark.extra_info.update(lsoda_seconds_scaled=seconds, times_faster=seconds / benchmark.stats.stats.min)
        assert seconds / benchmark.stats.stats.min > 150.0
