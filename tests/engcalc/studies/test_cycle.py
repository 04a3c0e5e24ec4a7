"""Laps and work cycles: the steady solver as the limit, heat-soak."""

from __future__ import annotations

import numpy as np
import pytest

from engcalc.case.conditions import conditions_of
from engcalc.errors import InputError
from engcalc.studies.duties.course import run_legs
from engcalc.studies.duties.cycle import Leg, cycle, legs_of
from engcalc.studies.members import solve_duty
from engcalc.system.plant import prepare

CLIMB, STRAIGHTS, BENDS = 5, 10, 11


def test_a_long_leg_ends_where_the_steady_solver_stands(towing):
    for duty in (2, 4, CLIMB, STRAIGHTS):
        found = cycle(towing, [Leg(duty, 7200.0)], repeat=False)
        steady = solve_duty(towing, duty).coolant_out[0]
        assert found.legs[0].end == pytest.approx(steady, abs=0.15)  # K; hoses lose as well


def test_a_lap_closes_on_one_cycle_wherever_it_begins(towing):
    legs = legs_of(towing, [STRAIGHTS, BENDS])
    assert [leg.duration for leg in legs] == [45.0, 50.0]
    one, other = cycle(towing, legs), cycle(towing, legs[::-1])
    assert one.closed
    assert other.closed
    assert one.peak == pytest.approx(other.peak, abs=0.2)
    assert one.mean == pytest.approx(other.mean, abs=0.2)
    assert one.coolant[0] == pytest.approx(one.coolant[-1], abs=0.05)


def test_the_mean_lies_between_and_the_hot_leg_stays_under_its_steady_value(towing):
    found = cycle(towing, legs_of(towing, [STRAIGHTS, BENDS]))
    assert found.coolant.min() < found.mean < found.peak
    assert found.legs[0].peak < found.legs[0].settled
    assert found.peak == max(leg.peak for leg in found.legs)
    assert found.mean == pytest.approx(np.trapezoid(found.coolant, found.time) / found.time[-1], rel=1e-4)
    assert all(leg.margin == leg.limit - leg.peak for leg in found.legs)


def test_an_electric_fan_switches_between_its_two_temperatures(cases):
    case = cases(
        "family car",
        duties=[{"name": "queue", "ambient": "42 degC", "brake_power": "9 kW"}],
        thermostat__rating="80 degC",
    )
    found, point = cycle(case, [Leg(0, 2400.0)], repeat=False), solve_duty(case, 0)
    late = found.coolant[found.time > 1200.0]
    assert late.max() == pytest.approx(point.span_high[0], abs=0.5)
    assert late.min() == pytest.approx(point.span_low[0], abs=0.5)
    assert point.span_low[0] < case.airflow.fan_off[0] < case.airflow.fan_on[0] < point.span_high[0]


def test_a_leg_that_boils_is_said_and_stays_at_boiling(cases, towing_text):
    case = cases.read(towing_text.with_value("airflow.fan_count", "0"))
    found = cycle(case, [Leg(CLIMB, 1800.0)], repeat=False)
    assert found.boils
    assert found.peak == pytest.approx(solve_duty(case, CLIMB).boiling[0])
    assert found.legs[0].settled is None


def test_a_stop_warms_the_coolant_by_what_the_hot_metal_holds_and_no_more(towing):
    """Energy: metal and coolant in the engine alone would meet at their mixture, and all that lies beside cools it."""
    found = cycle(towing, [Leg(STRAIGHTS, 1800.0)], repeat=False)
    run = run_legs(prepare(towing), [conditions_of((towing.duties[STRAIGHTS],))], [1800.0], repeats=False)
    state, lumps = run.ends, run.begins[0][0].lumps.per_J
    hot, coolant = 1.0 / lumps.hot, 1.0 / lumps.engine
    mixture = (hot * state.T_hot + coolant * state.T) / (hot + coolant)
    assert found.soak.coolant[0] == pytest.approx(state.T)
    assert state.T + 5.0 < found.soak.peak < mixture
    late = found.soak.time > 300.0
    assert np.all(np.diff(found.soak.coolant[late]) < 0.0)
    assert found.soak.time[-1] == pytest.approx(1800.0)


def test_a_stop_right_after_the_climb_boils_and_one_after_the_lap_does_not(cases, towing, towing_text):
    weaker_cap = cases.read(towing_text.with_value("coolant.cap_pressure", "1.1 bar"))
    climb = cycle(weaker_cap, [Leg(CLIMB, 900.0)], repeat=False)
    assert not climb.boils
    assert climb.soak.boils
    lap = cycle(towing, legs_of(towing, [STRAIGHTS, BENDS]))
    assert not lap.soak.boils


def test_a_fan_that_runs_on_helps_only_where_the_pump_turns_too(cases, towing, towing_text):
    """Without the pump no coolant reaches the radiator; with it the coolant falls from the stop on."""
    belt = cycle(towing, legs_of(towing, [STRAIGHTS, BENDS]))
    assert belt.soak_with_fan.peak == pytest.approx(belt.soak.peak, abs=0.01)
    electric = cases.read(towing_text.with_value("circuit.pump_drive", "electric"))
    both = cycle(electric, legs_of(electric, [STRAIGHTS, BENDS]))
    assert both.soak.peak == pytest.approx(belt.soak.peak, abs=1.0)  # its pump stands too, unless it runs on
    assert both.soak.peak_after == pytest.approx(both.soak.time[both.soak.coolant.argmax()])
    assert 0.0 < both.soak.peak_after < 120.0
    assert both.soak_with_fan.peak < both.soak.peak - 5.0
    assert both.soak_with_fan.coolant[-1] < both.soak.coolant[-1] - 5.0
    clutch = cases.read(towing_text.with_value("airflow.fan_drive", "viscous clutch"))
    assert cycle(clutch, legs_of(clutch, [STRAIGHTS, BENDS])).soak_with_fan is None


def test_legs_need_duties_with_a_duration(towing):
    with pytest.raises(InputError) as told:
        legs_of(towing, [0, 99])
    assert [f.path for f in told.value.faults] == ["duties[0].duration", "duties"]
    with pytest.raises(InputError, match="at least one duty"):
        legs_of(towing, [])
