"""Laps and work cycles: closed forms, an adaptive integrator, the steady solver as the limit, and heat-soak."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from engcalc.case.conditions import conditions_of
from engcalc.errors import InputError
from engcalc.studies.course import capacity
from engcalc.studies.cycle import Leg, cycle, legs_of, soak
from engcalc.studies.members import solve_duty, varied
from engcalc.system.balance import air_part, balance, prepare_setting
from engcalc.system.plant import prepare

CLIMB, STRAIGHTS, BENDS = 5, 10, 11


def test_a_long_leg_ends_where_the_steady_solver_stands(towing):
    for duty in (2, 4, CLIMB, STRAIGHTS):
        found = cycle(towing, [Leg(duty, 7200.0)], repeat=False)
        steady = solve_duty(towing, duty).coolant_out[0]
        assert found.legs[0].end == pytest.approx(steady, abs=0.02)  # K; straight lines in a table of half kelvins


def test_a_bench_with_given_flows_warms_along_an_exponential(cases):
    """dT/dt = (Q - G (T - T_air))/C with flows given; G from two steady states; the rest is closed form."""
    duty = {"coolant_flow": "10 L/min", "air_velocity": "3 m/s", "ambient": "20 degC"}
    case = cases("bench rig", duties=[duty], circuit__extra=[{"name": "immersion heater", "heat": "9 kW"}])
    end = solve_duty(case, 0).coolant_out[0]
    tau = capacity(prepare(case))[0] * (end - 293.15) / 9000.0
    found = cycle(case, [Leg(0, 3.0 * tau)], start=293.15, repeat=False)
    expected = end + (293.15 - end) * np.exp(-found.time / tau)
    # the conductance itself moves a few per cent with the coolant's viscosity on the way up
    assert np.abs(found.coolant - expected).max() < 0.06 * (end - 293.15)
    assert found.coolant[-1] == pytest.approx(expected[-1], abs=0.02 * (end - 293.15))


def test_the_steps_match_an_adaptive_stiff_integrator(towing):
    """LSODA on the same balance, untabulated: only steps and table are under test here."""
    legs = [Leg(STRAIGHTS, 45.0), Leg(BENDS, 50.0), Leg(CLIMB, 100.0)]
    plant = prepare(towing)
    C, T, ends = capacity(plant)[0], 375.0, []
    for leg in legs:
        setting = prepare_setting(plant, conditions_of((towing.duties[leg.duty_index],)))
        held = np.ones(1)
        fixed = (held, air_part(setting, held))

        def rate(_t, T, setting=setting, fixed=fixed):
            return balance(setting, np.array(T), fixed).residual / C

        T = float(solve_ivp(rate, (0.0, leg.duration), [T], method="LSODA", rtol=1e-8, atol=1e-6).y[0, -1])
        ends.append(T)
    hot = varied(towing, {f"duties[{i}].fan": "on" for i in (CLIMB, STRAIGHTS, BENDS)})
    found = cycle(hot, legs, start=375.0, repeat=False)
    assert [leg.end for leg in found.legs] == pytest.approx(ends, abs=0.05)


def test_a_lap_closes_on_one_cycle_wherever_it_begins(towing):
    legs = legs_of(towing, [STRAIGHTS, BENDS])
    assert [leg.duration for leg in legs] == [45.0, 50.0]
    cold, hot = cycle(towing, legs, start=340.0), cycle(towing, legs, start=388.0)
    assert cold.closed
    assert hot.closed
    assert cold.peak == pytest.approx(hot.peak, abs=0.2)
    assert cold.mean == pytest.approx(hot.mean, abs=0.2)
    assert cold.coolant[0] == pytest.approx(cold.coolant[-1], abs=0.05)


def test_the_mean_lies_between_and_the_peak_stays_under_the_steady_value_of_the_hot_leg(towing):
    found = cycle(towing, legs_of(towing, [STRAIGHTS, BENDS]))
    assert found.coolant.min() < found.mean < found.peak
    assert found.peak < found.legs[0].settled
    assert found.peak == max(leg.peak for leg in found.legs)
    assert found.mean == pytest.approx(np.trapezoid(found.coolant, found.time) / found.time[-1], rel=1e-4)
    assert all(leg.margin == leg.limit - leg.peak for leg in found.legs)


def test_an_electric_fan_switches_between_its_two_temperatures(cases):
    case = cases(
        "family car",
        duties=[{"name": "queue", "ambient": "42 degC", "brake_power": "9 kW"}],
        thermostat__rating="80 degC",
    )
    fan = case.airflow
    found = cycle(case, [Leg(0, 3600.0)], repeat=False)
    late = found.coolant[found.time > 1800.0]
    assert late.max() == pytest.approx(fan.fan_on[0], abs=0.5)
    assert late.min() == pytest.approx(fan.fan_off[0], abs=0.5)


def test_a_leg_that_boils_is_said_and_stays_at_boiling(cases, towing_text):
    case = cases.read(towing_text.with_value("airflow.fan_count", "0"))
    found = cycle(case, [Leg(CLIMB, 1800.0)], repeat=False)
    assert found.boils
    assert found.peak == pytest.approx(solve_duty(case, CLIMB).boiling[0])
    assert found.legs[0].settled is None


def test_soak_shares_the_metals_heat_with_the_coolant_and_then_cools(towing):
    """Energy: the metal's excess over the mixture equals what the coolant took; then an exponential to ambient."""
    after = soak(towing, CLIMB, 393.15)
    assert after.peak > 393.15
    assert after.coolant[0] == pytest.approx(after.peak)
    assert np.all(np.diff(after.coolant) < 0.0)
    ambient = float(towing.duties[CLIMB].ambient[0])
    rate = -np.log((after.coolant[-1] - ambient) / (after.peak - ambient)) / after.time[-1]
    halfway = ambient + (after.peak - ambient) * math.exp(-rate * after.time[90])
    assert after.coolant[90] == pytest.approx(halfway, abs=1e-9)


def test_a_stop_right_after_the_climb_boils_and_one_after_the_lap_does_not(cases, towing, towing_text):
    weaker_cap = cases.read(towing_text.with_value("coolant.cap_pressure", "1.1 bar"))
    climb = cycle(weaker_cap, [Leg(CLIMB, 900.0)], repeat=False)
    assert not climb.boils
    assert climb.soak.boils
    lap = cycle(towing, legs_of(towing, [STRAIGHTS, BENDS]))
    assert not lap.soak.boils


def test_legs_need_duties_with_a_duration(towing):
    with pytest.raises(InputError) as told:
        legs_of(towing, [0, 99])
    assert [f.path for f in told.value.faults] == ["duties[0].duration", "duties"]
    with pytest.raises(InputError, match="at least one duty"):
        legs_of(towing, [])
