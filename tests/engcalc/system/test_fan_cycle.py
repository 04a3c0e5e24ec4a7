"""A switching fan's cycle: its mean against warm-ups that run on, an adaptive solver, limits, and member by member."""

from __future__ import annotations

from itertools import product
from typing import Any

import numpy as np
import pytest
from scipy.integrate import solve_ivp
from warmup_equations import BLOCK, ENGINE, right_hand_side
from warmup_equations import start as start_of

from engcalc.case.case import Case, with_values
from engcalc.case.conditions import conditions_of
from engcalc.case.resolve import resolve
from engcalc.case.text import FORMAT, CaseText
from engcalc.system.in_time.drive import steady_drive
from engcalc.system.in_time.lumps import block_to_air, prepare_lumps
from engcalc.system.in_time.warmup import warm_up
from engcalc.system.operating_point import solve
from engcalc.system.plant import Plant, prepare
from engcalc.system.state import REGIMES, OperatingPoint, Regime

ZERO, ON, OFF = 273.15, 371.15, 366.15  # K; 98 and 93 degC, where the fan of these classes comes on and goes off
LIGHT = {"brake_power": "6 kW", "engine_speed": "1200 rpm"}
DUTIES = [
    {"ambient": f"{T} degC", "heater": on, **load}
    for T, on, load in product((-10, 30, 38, 45), ("off", "high"), ({}, LIGHT))
]


def case_of(duties: list[dict[str, str]], vehicle: str = "family car", **sections: Any) -> Case:
    case = resolve(
        CaseText(
            {
                "format": FORMAT,
                "vehicle": {"class": vehicle},
                "duties": duties,
                **sections,
                "airflow": {"fan_drive": "electric", **sections.get("airflow", {})},
            }
        )
    )
    assert isinstance(case, Case), case
    return case


def answer(case: Case) -> OperatingPoint:
    return solve(prepare(case), conditions_of(case.duties))


def regimes(point: OperatingPoint) -> list[Regime]:
    return [REGIMES[i] for i in point.regime]


@pytest.mark.parametrize(
    ("vehicle", "side", "play"),
    [
        ("small car", "inlet", "5 K"),
        ("family car", "inlet", "0 K"),
        ("delivery van", "outlet", "5 K"),
        ("pickup", "outlet", "0 K"),
    ],
)
def test_the_mean_is_that_of_a_warm_up_that_runs_on(vehicle: str, side: str, play: str) -> None:
    """Where a thermostat at the inlet holds the coolant near the lower end for minutes the mean lies 2 K lower.

    In steps of a quarter of a second: a fan that comes on for seconds every minute pulls the coolant up to 0.3 K
    further down where it switches up to a second late. A pickup's valve at the inlet holds its fan on: no cycle there.
    """
    case = case_of(DUTIES, vehicle, thermostat={"hysteresis": play, "side": side})
    plant, conditions = prepare(case), conditions_of(case.duties)
    point = solve(plant, conditions)
    assert point.cycles.sum() > 2
    w = warm_up(plant, steady_drive(conditions, np.full(point.cycles.size, ON), 1800.0, 0.25), 0.25)
    late = w.coolant[w.time > 900.0]
    for i in np.flatnonzero(point.cycles):
        rising = np.flatnonzero((late[1:, i] >= ON - 0.5) & (late[:-1, i] < ON - 0.5))
        whole = late[rising[0] : rising[-1], i]  # whole cycles only
        assert rising.size > 1
        assert point.coolant_out[i] == pytest.approx(whole.mean(), abs=0.15)  # K; 0.3 K is asked for
        assert point.span_low[i] == pytest.approx(whole.min(), abs=0.4)
        assert point.span_high[i] == pytest.approx(whole.max(), abs=0.2)


@pytest.mark.parametrize(("side", "load"), [("outlet", {}), ("outlet", LIGHT), ("inlet", {})])
def test_the_mean_is_that_of_an_adaptive_solver_with_switching_points(side: str, load: dict[str, str]) -> None:
    """LSODA on the warm-up's equations written once more (``warmup_equations``), from one switching to the next."""
    case = case_of([{"ambient": "38 degC", **load}], thermostat={"hysteresis": "0 K", "side": side})
    plant, conditions = prepare(case), conditions_of(case.duties)
    point = solve(plant, conditions)
    drive = steady_drive(conditions, np.full(1, ON), 4000.0)
    cycles, y = [], start_of(drive)
    y[BLOCK] = settled_block(plant, float(conditions.ambient[0]))
    for _ in range(4):
        time, heat, ran = 0.0, 0.0, 0.0
        for mode, switches in ((1.0, OFF), (-1.0, ON)):

            def reached(t: float, y: Any, switches: float = switches) -> float:
                return float(y[ENGINE]) - switches

            reached.terminal, reached.direction = True, -mode  # how scipy is told
            s = solve_ivp(
                right_hand_side(plant, drive.asking(fan_mode=np.full(1, mode))),
                (0.0, 4000.0),
                y,
                method="LSODA",
                rtol=1e-6,
                atol=1e-4,
                max_step=5.0,
                events=reached,
            )
            assert s.status == 1
            time, heat, y = time + s.t[-1], heat + np.trapezoid(s.y[ENGINE], s.t), s.y[:, -1]
            ran += s.t[-1] if mode > 0.0 else 0.0
        cycles.append((heat / time, ran / time))
    assert cycles[-1][0] == pytest.approx(cycles[-2][0], abs=0.02)  # it has come round
    assert point.coolant_out[0] == pytest.approx(cycles[-1][0], abs=0.1)  # K; our own bound
    assert point.on_share[0] == pytest.approx(cycles[-1][1], rel=0.03)


def settled_block(plant: Plant, ambient: float) -> float:
    """Block [K] between coolant in the middle of the fan's band and still air: it takes an hour to come there."""
    lumps = prepare_lumps(plant)
    to_coolant, to_air = float(lumps.block_to_coolant[0]), float(block_to_air(plant, lumps, np.ones(1))[0])
    return (to_coolant * 0.5 * (ON + OFF) + to_air * ambient) / (to_coolant + to_air)


def test_what_settles_just_over_the_switching_point_stands_there() -> None:
    """The less the steady state without the fan lies over the point where it comes on, the longer it takes there."""

    def without(T: np.ndarray) -> np.ndarray:
        return answer(case_of([{"ambient": f"{t} degC", "fan": "off"} for t in T])).coolant_out

    low, high = -10.0, 45.0
    for _ in range(40):
        middle = 0.5 * (low + high)
        low, high = (low, middle) if without(np.array([middle]))[0] > ON else (middle, high)
    ambient = high + np.array([-1.0, 0.001, 0.1, 3.0, 12.0])
    point = answer(case_of([{"ambient": f"{t} degC"} for t in ambient]))
    assert regimes(point) == [Regime.REGULATING, *[Regime.CYCLING] * 4]
    mean = point.coolant_out
    assert np.all(np.diff(mean[1:]) < 0.0)
    assert mean[1] > ON - 1.0 > mean[3]
    assert np.all(np.diff(point.on_share[1:]) > 0.0)
    assert np.all((point.span_low < OFF)[1:])  # what the radiator still holds comes after the fan has gone off
    assert np.all((point.span_high >= ON)[1:])
    assert np.all(point.peak[1:] == point.span_high[1:])


def test_energy_closes_at_the_mean() -> None:
    point = answer(case_of(DUTIES))
    assert point.cycles.sum() > 8
    assert np.all(np.abs(point.energy_residual / point.heat_to_metal)[point.cycles] < 1e-6)  # design text
    assert np.all((point.on_share > 0.0)[point.cycles])
    assert np.all((point.on_share < 1.0)[point.cycles])


def test_members_of_many_are_single_ones() -> None:
    """One by one, a few together and so many that those go on alone that still need steps."""
    duties = [
        {"ambient": f"{T} degC", "heater": on, "vehicle_speed": f"{v} km/h", "fan": fan, **load}
        for T, on, v, fan, load in product((32, 42), ("off", "high"), (0, 4), ("auto", "on"), ({}, LIGHT))
    ]
    duties[3] |= {"coolant_flow": "40 L/min"}
    together = answer(case_of(duties))
    assert together.cycles.sum() > 10
    for chosen in [*([i] for i in range(len(duties))), [0, 1, 8, 9]]:
        own = answer(case_of([duties[i] for i in chosen]))
        for name in ("coolant_out", "span_low", "span_high", "on_share", "air_velocity", "radiator_heat"):
            assert getattr(own, name) == pytest.approx(getattr(together, name)[chosen], rel=1e-7), name


def test_warm_ups_of_one_row_keep_each_member_s_own_speed() -> None:
    speeds = (0, 30, 90)
    case = case_of([{"vehicle_speed": f"{v} km/h", "ambient": "35 degC", **LIGHT} for v in speeds])
    plant, conditions = prepare(case), conditions_of(case.duties)
    together = warm_up(plant, steady_drive(conditions, np.full(3, 360.0), 900.0)).coolant
    for i in range(len(speeds)):
        alone = warm_up(plant, steady_drive(conditions_of(case.duties[i : i + 1]), np.full(1, 360.0), 900.0)).coolant
        assert together[:, i] == pytest.approx(alone[:, 0], rel=1e-9)
    assert np.ptp(together[-1]) > 1.0


def test_a_stated_flow_that_is_the_pump_s_own_changes_little() -> None:
    """Without a heater branch, whose flow is the stated one with a stated flow and the pump's with the pump."""
    alike = {"thermostat": {"minimum_opening": "100 %", "hysteresis": "0 K"}, "circuit": {"heater_flow": "0 L/min"}}
    own = answer(case_of([{"ambient": "38 degC"}], **alike))
    flow = float(
        own.radiator_mass_flow[0] / 1024.0 * 6e4
    )  # L/min, with the density of half glycol at 95 degC (CoolProp)
    stated = answer(case_of([{"ambient": "38 degC", "coolant_flow": f"{flow} L/min"}], **alike))
    assert regimes(own) == regimes(stated) == [Regime.CYCLING]
    assert stated.coolant_out[0] == pytest.approx(own.coolant_out[0], abs=0.1)
    assert stated.on_share[0] == pytest.approx(own.on_share[0], rel=0.03)


def test_a_valve_held_by_a_rig_is_held_in_the_cycle() -> None:
    case = case_of([{"ambient": "38 degC"}])
    held = solve(prepare(case), conditions_of(case.duties).replace(valve_held=np.array([0.6])))
    stuck = with_values(case, {"thermostat.minimum_opening": 0.6, "thermostat.maximum_opening": 0.6})
    fixed = answer(stuck)
    assert held.cycles[0]
    assert held.coolant_out[0] == pytest.approx(fixed.coolant_out[0], abs=1e-6)
    assert held.opening[0] == 0.6


def test_a_wider_band_swings_further() -> None:
    swings = [
        float(np.ptp([p.span_low[0], p.span_high[0]]))
        for p in (answer(case_of([{"ambient": "38 degC"}], airflow={"fan_off": f"{T} degC"})) for T in (96, 94, 92))
    ]
    assert swings == sorted(swings)
    assert swings[-1] > 5.0
