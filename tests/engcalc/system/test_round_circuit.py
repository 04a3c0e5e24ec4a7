"""The circuit at one moment: flows that add up, and temperatures that mix, against the run's own heat balance."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from engcalc.case.case import Case
from engcalc.case.conditions import conditions_of
from engcalc.case.resolve import resolve
from engcalc.case.text import FORMAT, CaseText
from engcalc.system.in_time.warmed import HOSE_LOSS, INLET_UPPER_HOSE, NECK_RATE, Warmup, felt_upper_hose
from engcalc.system.in_time.warmup import warm_up
from engcalc.system.operating_point import solve
from engcalc.system.plant import prepare
from engcalc.system.round_circuit import course_round, settled_moment
from engcalc.vehicle.run import duty_run

FROST = {"name": "Town", "vehicle_speed": "40 km/h", "ambient": "-10 degC", "heater": "high"}
SUMMER = {"name": "Hill", "vehicle_speed": "60 km/h", "grade": "6 %", "ambient": "32 degC", "heater": "low"}


def case_of(side: str = "outlet", **more: object) -> Case:
    text = {
        "format": FORMAT,
        "vehicle": {"class": "delivery van"},
        "thermostat": {"side": side},
        "duties": [FROST, SUMMER],
        **more,
    }
    found = resolve(CaseText(text))
    assert isinstance(found, Case), found
    return found


@pytest.fixture(scope="module", params=["outlet", "inlet"])
def case(request) -> Case:
    return case_of(request.param)


def points(case: Case):
    plant = prepare(case)
    return [solve(plant, conditions_of([duty])) for duty in case.duties]


def test_a_duty_s_streams_mix_to_what_the_engine_gets_back(case):
    """Enthalpy balance at the pump's inlet (Incropera, 7th edition, eq. 1.12e), one specific heat throughout: what the
    solver answers as the engine's inlet from its heats, found again from the three streams."""
    for point in points(case):
        at = settled_moment(point)
        mixed = at.radiator_flow * at.lower_hose + at.heater_flow * at.heater_out + at.bypass_flow * at.engine_out
        assert mixed / at.engine_flow == pytest.approx(at.engine_in, abs=0.05)
        returned = at.radiator_flow + at.bypass_flow
        both = (returned * at.returned + at.heater_flow * at.heater_out) / at.engine_flow
        assert both == pytest.approx(mixed / at.engine_flow, abs=1e-9)


def test_the_heater_s_hoses_carry_its_heat(case):
    for point in points(case):
        at, C = settled_moment(point), 3.6e3  # J/(kg K), half glycol: ASHRAE 2021, chapter 31, some 3.3 to 3.9
        passed = float(point.heater_mass_flow[0]) * C * (at.heater_in - at.heater_out)
        assert passed == pytest.approx(float(point.heater_heat[0]), rel=0.1, abs=5.0)


@pytest.fixture(scope="module")
def ran(case):
    return warm_up(prepare(case), duty_run(case).drive, 10.0)


def test_a_warm_up_keeps_flows_that_come_from_the_valve_s_opening(case, ran):
    course = course_round(ran, 263.15, case.thermostat.side)
    assert [course.radiator_flow[0], course.heater_flow[0], course.bypass_flow[0]] == [0.0, 0.0, 0.0]
    shut, opened = course.opening[1:] <= 0.0, course.opening[1:] > 0.05
    share = course.radiator_flow[1:] / (course.radiator_flow + course.heater_flow + course.bypass_flow)[1:]
    assert shut.any()
    assert np.all(share[shut] < 0.01)
    if opened.any():
        assert share[opened].min() > share[shut].max()


def test_a_moment_is_the_sample_nearest_to_it(case, ran):
    course = course_round(ran, 263.15, case.thermostat.side)
    at = course.at(304.0)
    i = int(np.flatnonzero(ran.time == 300.0)[0])
    assert at.engine_out == ran.coolant[i, 0]
    assert at.lower_hose == ran.lower_hose[i, 0]
    assert at.heater_flow == ran.heater_flow[i, 0]
    assert at.fan_speed == ran.fan_speed[i, 0]
    parts = (at.radiator_flow, at.heater_flow, at.bypass_flow)
    temperatures = (at.lower_hose, at.heater_out, at.engine_out)
    assert at.engine_in == pytest.approx(np.average(temperatures, weights=parts), abs=1e-9)


def test_with_the_valve_at_the_inlet_the_upper_hose_follows_the_engine():
    ran = warm_up(prepare(case_of("inlet")), duty_run(case_of("inlet")).drive, 10.0)
    felt = felt_upper_hose(ran, 263.15, "inlet")
    assert np.all(felt >= 263.15 + INLET_UPPER_HOSE * (ran.coolant - 263.15) - 1e-9)


def standing(coolant: float, hose: float, hours: float) -> Warmup:
    """A run in which engine and hose stay as they are, so long."""
    ran = warm_up(prepare(case_of("outlet")), duty_run(case_of("outlet")).drive, 10.0)
    time = np.linspace(0.0, 3600.0 * hours, len(ran.time))
    held = np.ones_like(ran.coolant)
    return replace(ran, time=time, coolant=coolant * held, upper_hose=hose * held)


def test_behind_a_shut_valve_the_neck_warms_the_upper_hose():
    felt = felt_upper_hose(standing(350.0, 280.0, 0.1), 280.0, "outlet")[:, 0]
    # 70 K, 1.3 W/K and 1.8 kJ/K: some 5 K in the first two minutes, 1.0 W/K of them lost again as it gets warm
    assert 4.0 < felt[len(felt) // 3] - 280.0 < 6.5
    settled = felt_upper_hose(standing(350.0, 280.0, 5.0), 280.0, "outlet")[-1, 0]
    assert settled - 280.0 == pytest.approx(70.0 * NECK_RATE / (NECK_RATE + HOSE_LOSS), rel=1e-3)


def test_a_hose_that_coolant_flows_through_is_no_hotter_than_it():
    assert np.all(felt_upper_hose(standing(350.0, 349.5, 1.0), 280.0, "outlet") <= 350.0)
    assert np.all(felt_upper_hose(standing(340.0, 350.0, 1.0), 280.0, "outlet") == 350.0)
