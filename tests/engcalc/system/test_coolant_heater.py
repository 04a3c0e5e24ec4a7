"""A heater in the coolant circuit: balances, limits, an adaptive solver, and what it does to a start in frost."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from scipy.integrate import solve_ivp
from warmup_equations import CORE, ENGINE, SENSOR, right_hand_side
from warmup_equations import start as start_of

from engcalc.case.case import Case, with_values
from engcalc.case.conditions import conditions_of
from engcalc.case.resolve import Faults, resolve
from engcalc.case.text import FORMAT, CaseText
from engcalc.system.in_time.drive import Drive, steady_drive
from engcalc.system.in_time.lumps import prepare_lumps
from engcalc.system.in_time.warmed import Warmup
from engcalc.system.in_time.warmup import warm_up
from engcalc.system.operating_point import solve
from engcalc.system.plant import prepare

FROST = {"ambient": "-20 degC", "heater": "high", "vehicle_speed": "50 km/h"}
IDLES = {"ambient": "-20 degC", "heater": "high"}  # it does not keep itself warm, as the same on the road does
STANDS = {"engine_speed": "0 rpm", "brake_power": "0 kW", "fuel_flow": "0 kg/h", "ambient": "-20 degC"}
FIRED: dict[str, str] = {"coolant_heater": "fuel-fired", "coolant_heat": "5 kW"}
NO_PLAY = {"thermostat": {"hysteresis": "0 K"}}


def case_of(**sections: Any) -> Case:
    found = resolve(CaseText({"format": FORMAT, "vehicle": {"class": "delivery van"}, **sections}))
    assert isinstance(found, Case), found
    return found


def held(case: Case, duration: float, step: float = 1.0) -> Drive:
    return steady_drive(conditions_of(case.duties[:1]), case.duties[0].ambient, duration, step)


def ran(case: Case, duration: float = 1800.0) -> Warmup:
    return warm_up(prepare(case), held(case, duration))


@pytest.mark.parametrize("side", ["outlet", "inlet"])
def test_the_operating_point_balances_with_it_and_round_the_loop(side: str) -> None:
    # at -20 degC it would burn all it can, and hold nothing
    case = case_of(duties=[{**IDLES, "ambient": "-10 degC"}], heater=FIRED, thermostat={"side": side})
    point = solve(prepare(case), conditions_of(case.duties))
    added, cp = point.coolant_heater_heat, point.core.flows.coolant.cp
    assert 2000.0 < added[0] < 5000.0  # W; what leaves it is held at 80 degC
    given = point.heat_to_metal + point.extra_heat + added
    assert abs(point.energy_residual[0]) < 1e-6 * given[0]
    assert given == pytest.approx(
        point.surface_heat + point.radiator_heat + point.heater_heat + point.hose_heat, rel=1e-6
    )
    heater_out = point.coolant_out + (added - point.heater_heat - point.hose_heat) / (point.heater_mass_flow * cp)
    mixed = (
        point.radiator_mass_flow * point.radiator_out
        + point.heater_mass_flow * heater_out
        + point.bypass_mass_flow * point.coolant_out
    ) / point.coolant_mass_flow
    assert point.coolant_in == pytest.approx(mixed, abs=1e-6)
    assert point.radiator_mass_flow + point.heater_mass_flow + point.bypass_mass_flow == pytest.approx(
        point.coolant_mass_flow, rel=1e-9
    )


@pytest.mark.parametrize(
    "duty",
    [FROST, {**FROST, "ambient": "-5 degC"}, {**FROST, "vehicle_speed": "0 km/h"}],
    ids=["frost", "part load", "idle"],
)
def test_the_end_of_a_warm_up_is_the_operating_point(duty: dict[str, str]) -> None:
    case = case_of(duties=[duty], heater=FIRED, **NO_PLAY)
    point, w = solve(prepare(case), conditions_of(case.duties)), ran(case, 12000.0)
    assert w.coolant[-1, 0] == pytest.approx(point.coolant_out[0], abs=0.1)  # K; our own bound, as is the next
    assert w.vent[-1, 0] == pytest.approx(point.vent[0], abs=0.1)
    assert abs(w.energy_error[0]) < 1e-10


def test_the_heat_that_it_adds_is_all_that_a_closed_system_stores() -> None:
    """Nothing is lost (no surface, no heater air), the engine stands: the heat stored is power times time."""
    case = case_of(duties=[STANDS], heater=FIRED, engine={"surface_conductance": "0 W/K"})
    w = ran(case, 600.0)
    assert w.coolant[-1, 0] < 273.15 + 75.0  # else it would give less
    # 1e-6 W/K is the least surface that the plant has
    assert w.heat_stored[0] == pytest.approx(5000.0 * 600.0, rel=1e-6)


@pytest.mark.parametrize("side", ["outlet", "inlet"])
@pytest.mark.parametrize("duty", [FROST, STANDS], ids=["runs", "stands"])
def test_an_adaptive_solver_on_the_same_equations_agrees(duty: dict[str, str], side: str) -> None:
    case = case_of(
        duties=[{**duty, "ambient": "-5 degC"}], heater=FIRED, thermostat={"hysteresis": "0 K", "side": side}
    )
    plant, drive = prepare(case), held(case, 900.0).asking(fan_mode=np.full(1, -1.0))
    w = warm_up(plant, drive)
    s = solve_ivp(
        right_hand_side(plant, drive),
        (0.0, 900.0),
        start_of(drive),
        method="LSODA",
        rtol=1e-6,
        atol=1e-4,
        t_eval=w.time,
        max_step=20.0,
    )
    for state, series in ((SENSOR, w.sensor), (ENGINE, w.coolant)):
        assert np.abs(s.y[state] - series[:, 0]).max() < 0.1  # K; our own bound
    # 5 kW in some 0.03 kg/s: 1 % of a flow that is renewed every 2 s makes 0.5 K there
    assert np.abs(s.y[CORE] - w.heater_out[:, 0]).max() < 0.5


def test_more_power_is_never_slower_and_no_power_is_as_without() -> None:
    case = case_of(duties=[FROST])
    fitted = with_values(case, {"heater.coolant_heater": "fuel-fired"})
    powers = np.array([0.0, 1000.0, 2500.0, 5000.0, 9000.0])
    together = warm_up(prepare(with_values(fitted, {"heater.coolant_heat": powers})), held(case, 1500.0))
    assert np.all(np.diff(together.sensor, axis=1) >= -1e-9)
    none = ran(with_values(fitted, {"heater.coolant_heat": powers[:1]}), 1500.0)
    assert np.array_equal(none.sensor, ran(case, 1500.0).sensor)
    assert together.sensor[:, 0] == pytest.approx(none.sensor[:, 0], abs=0.1)  # K; renewed more often beside the others
    for i in (2, 4):
        alone = ran(with_values(fitted, {"heater.coolant_heat": powers[i : i + 1]}), 1500.0)
        assert together.sensor[:, i] == pytest.approx(alone.sensor[:, 0], rel=1e-9)
    idling = conditions_of(case_of(duties=[IDLES]).duties)
    point = solve(prepare(with_values(fitted, {"heater.coolant_heat": powers})), idling)
    without = solve(prepare(case), idling)
    assert np.all(np.diff(point.coolant_out) >= -1e-9)  # K; equal where both hold their outlet at 80 degC
    assert np.all(np.diff(point.coolant_out[:4]) > 1.0)
    assert point.coolant_out[0] == pytest.approx(without.coolant_out[0], rel=1e-12)


def test_it_stops_where_it_is_set_to_and_where_no_coolant_passes() -> None:
    hot = case_of(duties=[{"ambient": "30 degC", "vehicle_speed": "100 km/h", "grade": "5 %"}], heater=FIRED)
    assert solve(prepare(hot), conditions_of(hot.duties)).coolant_heater_heat[0] == 0.0
    still = {**FIRED, "coolant_heater_pump": "0 L/min"}
    assert np.ptp(ran(case_of(duties=[STANDS], heater=still), 600.0).heater_in) < 1e-6  # K; rounding
    shut = case_of(duties=[STANDS], heater={**FIRED, "valve": "closed"})
    assert np.ptp(ran(shut, 600.0).heater_in) < 1e-6  # K; a closed valve's remaining flow is some 1e-18 m3/s
    slow = case_of(duties=[STANDS], heater={**FIRED, "coolant_heater_pump": "0.5 L/min"})
    little, fluid = ran(slow, 900.0), prepare(slow).coolant.state(np.full(1, 270.0))
    C, G = 0.5 / 60e3 * float((fluid.rho * fluid.cp)[0]), float(prepare_lumps(prepare(slow)).heater_hose_to_air[0])
    # what leaves it is held at 80 degC, less what the hose loses; K, as C varies by some 2 % meanwhile
    assert little.heater_in.max() == pytest.approx((353.15 * C + 253.15 * G) / (C + G), abs=0.5)
    assert 0.0 < little.heat_released[0] < 900.0 * 4000.0  # J


def test_it_must_stop_above_where_it_gives_less() -> None:
    text = CaseText({"format": FORMAT, "heater": {"coolant_heater_stops": "70 degC"}})
    found = resolve(text)
    assert isinstance(found, Faults)
    assert [f.path for f in found.faults] == ["heater.coolant_heater_stops"]
