"""Timed duties and laps by the steps of the warm-up, beside LSODA on its equations and steps a quarter as long."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from engcalc.case.case import Case
from engcalc.case.conditions import conditions_of
from engcalc.case.text import CaseText
from engcalc.studies.duties.course import LegsInTime, run_legs
from engcalc.system.in_time import legs as legs_module
from engcalc.system.in_time.drive import steady_drive
from engcalc.system.in_time.step_state import State, stored
from engcalc.system.plant import prepare
from engcalc.units import Array
from tests.oracles.warmup_equations import ENGINE, right_hand_side

PULL = {"brake_power": "45 kW", "vehicle_speed": "50 km/h", "ambient": "35 degC", "fan": "on", "duration": "2 min"}
REST = {"ambient": "35 degC", "fan": "on", "duration": "2 min"}
CLOSE = 0.3  # K; by which a peak may hang on the steps
STRAIGHTS, BENDS = 10, 11


def legs_of(case: Case, which: list[int], *, repeats: bool = False) -> LegsInTime:
    duties = [case.duties[i] for i in which]
    durations = [None if duty.duration is None else float(duty.duration[0]) for duty in duties]
    return run_legs(prepare(case), [conditions_of((duty,)) for duty in duties], durations, repeats=repeats)


def as_one_row(state: State) -> Array:
    """The state in the order of the equations' unknowns [K]."""
    s = state
    lumps = (
        s.T_hot,
        s.T_block,
        s.T,
        s.T_upper,
        s.T_lower,
        s.T_hose,
        s.T_core,
        s.T_cabin,
        s.T_interior,
        s.wax,
        s.sensor,
    )
    return np.array([*lumps, *s.cells])


def by_equations(case: Case, duty_index: int, y: Array, duration: float) -> tuple[Array, float]:
    """Where LSODA ends from the unknowns y [K], and its highest engine outlet [K] on the way."""
    drive = steady_drive(conditions_of((case.duties[duty_index],)), np.full(1, y[ENGINE]), duration)
    rates = right_hand_side(prepare(case), drive)
    found = solve_ivp(rates, (0.0, duration), y, method="LSODA", rtol=1e-4, atol=1e-3, max_step=5.0)
    return found.y[:, -1], float(found.y[ENGINE].max())


@pytest.mark.parametrize("side", ["outlet", "inlet"])
def test_a_pull_is_that_of_an_adaptive_solver(cases: Any, side: str) -> None:
    case = cases("family car", duties=[PULL], thermostat__side=side)
    found = legs_of(case, [0])
    end, peak = by_equations(case, 0, as_one_row(found.begins[0][1]), 120.0)
    assert found.reached.end[0, 0] == pytest.approx(end[ENGINE], abs=CLOSE)
    assert found.reached.peak[0, 0] == pytest.approx(peak, abs=CLOSE)


def test_a_lap_is_that_of_an_adaptive_solver_and_peaks_after_the_engine_slows(
    cases: Any, towing_text: CaseText
) -> None:
    """One lump of metal and coolant would have its peak at the end of the straights; the hot metal gives on after it.

    The equations know no fan that switches or that an air conditioning keeps running: it is held off.
    """
    text = towing_text
    for duty in (STRAIGHTS, BENDS):
        text = text.with_value(f"duties[{duty}].fan", "off")
    towing = cases.read(text)
    found = legs_of(towing, [STRAIGHTS, BENDS], repeats=True)
    y = as_one_row(found.begins[0][1])
    for k, (duty, duration) in enumerate(((STRAIGHTS, 45.0), (BENDS, 50.0))):
        y, peak = by_equations(towing, duty, y, duration)
        assert found.reached.end[k, 0] == pytest.approx(y[ENGINE], abs=CLOSE)
        assert found.reached.peak[k, 0] == pytest.approx(peak, abs=CLOSE)
    assert found.reached.peak[1, 0] > found.reached.peak[0, 0] + 1.5


SHORT_LAP = [
    {**PULL, "fan": "auto", "brake_power": "90 kW", "engine_speed": "5500 rpm", "duration": "12 s", "start": "round"},
    {
        **REST,
        "fan": "auto",
        "engine_speed": "3000 rpm",
        "vehicle_speed": "60 km/h",
        "duration": "14 s",
        "start": "above",
    },
    {**PULL, "fan": "auto", "brake_power": "70 kW", "duration": "7 s", "start": "above"},
]
QUEUE = {"ambient": "42 degC", "brake_power": "9 kW", "duration": "8 min"}
FROST = {"ambient": "-20 degC", "brake_power": "15 kW", "vehicle_speed": "60 km/h", "duration": "4 min"}
EARLY = {"thermostat__rating": "80 degC"}
RUNS: Mapping[str, tuple[list[dict[str, str]], dict[str, str]]] = {
    "a short hard pull": ([{**PULL, "brake_power": "80 kW", "duration": "30 s"}], {}),
    "a fan that switches": ([QUEUE], EARLY),
    "two stages": ([QUEUE], {**EARLY, "airflow__fan_drive": "two-stage electric"}),
    "a fan that follows": ([QUEUE], {**EARLY, "airflow__fan_drive": "PWM electric"}),
    "a valve at the outlet in frost": ([FROST], {}),
    "a valve at the inlet in frost": ([FROST], {"thermostat__side": "inlet"}),
    "a valve with play": ([FROST], {"thermostat__hysteresis": "4 K"}),
    "a lap of half a minute": (SHORT_LAP, {}),
}


@pytest.mark.parametrize("name", RUNS)
def test_no_peak_is_missed_by_steps_that_are_too_long(cases: Any, monkeypatch: pytest.MonkeyPatch, name: str) -> None:
    duties, sections = RUNS[name]
    case, which = cases("family car", duties=duties, **sections), list(range(len(duties)))
    own = legs_of(case, which, repeats=len(duties) > 1).reached.peak
    for length in ("FIRST", "SHORT", "LONG", "SHORT_WITH_PLAY", "LONG_WITH_PLAY", "MOVES"):
        monkeypatch.setattr(legs_module, length, getattr(legs_module, length) / 4.0)
    finer = legs_of(case, which, repeats=len(duties) > 1).reached.peak
    assert np.abs(own - finer).max() < CLOSE


def test_a_vehicle_begins_with_its_metal_as_warm_as_light_running_keeps_it(cases: Any) -> None:
    """Nothing moves at first but what the duty's heat over that of light running warms: the hot metal alone."""
    case = cases("family car", duties=[{**PULL, "duration": "1 s"}])
    fixed, state = legs_of(case, [0]).begins[0]
    light = (state.T_hot - state.T) * fixed.lumps.h_hot
    duty = float(prepare(case).engine.fuel_rated[0])
    assert 0.0 < light < 0.1 * duty
    assert state.opening == pytest.approx(0.0, abs=1e-6)


def test_energy_closes_over_a_leg(cases: Any) -> None:
    """What the engine makes is stored or given to the air, to a thousandth: heat into coolant counts as it flows."""
    fixed, state = legs_of(cases("family car", duties=[PULL]), [0]).begins[0]
    before = stored(fixed, state)
    legs_module.run_leg(fixed, state, 120.0)
    assert state.released - state.lost == pytest.approx(
        float((stored(fixed, state) - before)[0]), abs=1e-3 * state.released
    )


def test_what_waits_for_others_stands(cases: Any) -> None:
    """A member that rests, or has come to its end, is moved no more by steps that others still take."""
    case = cases("family car", duties=[{**PULL, "duration": "1 h"}])
    fixed, state = legs_of(case, [0]).begins[0]
    for _ in legs_module.steps(fixed, state, 3600.0):
        before = state.T
    lengths = list(legs_module.steps(fixed, state, 1e-3))
    assert sum(lengths) == pytest.approx(1e-3)
    assert abs(state.T - before) < 1e-3
