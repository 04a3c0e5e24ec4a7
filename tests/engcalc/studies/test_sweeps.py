"""Sweeps and maps: each point is the single solution, and the truths of physics that hold along them."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from engcalc.case.case import value_at
from engcalc.case.catalogue import entry, pattern_of
from engcalc.case.resolve import read_value
from engcalc.components.core import coolant_pressure_drop
from engcalc.errors import Cancelled, InputError
from engcalc.studies.members import limit_of, solve_duty, varied
from engcalc.studies.spread.sensitivity import numeric_inputs
from engcalc.studies.sweeps import SweepAxis, margin_map, sweep
from engcalc.system.plant import prepare

CLIMB = 5  # the climb of the worked example
SLACK = 1e-5  # K; each point is converged to less: to 1e-8 of its heat

TYPED = [
    (SweepAxis.AMBIENT, "duties[5].ambient", ["-20 degC", "10 degC", "45 degC"]),
    (SweepAxis.VEHICLE_SPEED, "duties[5].vehicle_speed", ["20 km/h", "45 km/h", "70 km/h"]),
    (SweepAxis.GRADE, "duties[5].grade", ["0 %", "5 %", "14 %"]),
    (SweepAxis.ALTITUDE, "duties[5].altitude", ["0 m", "1000 m", "3000 m"]),
    (SweepAxis.TRAILER, "duties[5].trailer_mass", ["0 kg", "700 kg", "2000 kg"]),
    (SweepAxis.ENGINE_SPEED, "duties[5].engine_speed", ["2500 rpm", "3500 rpm", "5000 rpm"]),
    (SweepAxis.MIXTURE, "coolant.concentration", ["0 %", "30 %", "60 %"]),
    (SweepAxis.PUMP_FLOW, "circuit.pump_flow", ["60 L/min", "120 L/min", "240 L/min"]),
    (SweepAxis.FACE_BLOCKAGE, "radiator.blocked_face", ["0 %", "30 %", "80 %"]),
    ("radiator.core_depth", "radiator.core_depth", ["16 mm", "30 mm", "60 mm"]),
    ("airflow.upstream[0].heat", "airflow.upstream[0].heat", ["0 kW", "4 kW", "12 kW"]),
    ("duties[5].brake_power", "duties[5].brake_power", ["10 kW", "50 kW", "90 kW"]),
]


def test_another_core_changes_the_flow_and_the_stated_flow_counts_with_the_first(towing):
    """It was fitted anew at every point, so that a core's resistance never moved the flow."""
    found = sweep(towing, CLIMB, "radiator.passes", [1.0, 2.0, 3.0])
    flow = found.point.radiator_mass_flow
    assert flow[0] == pytest.approx(solve_duty(towing, CLIMB).radiator_mass_flow[0], rel=1e-6)
    assert (np.diff(flow) < -0.02 * flow[0]).all()
    alone = [sweep(towing, CLIMB, "radiator.passes", [n]).point.radiator_mass_flow[0] for n in (1.0, 2.0, 3.0)]
    assert flow == pytest.approx(alone, rel=1e-9)
    again = varied(varied(towing, {"radiator.passes": np.array([2.0])}), {"radiator.passes": np.array([1.0])})
    assert solve_duty(again, CLIMB).radiator_mass_flow == pytest.approx(flow[:1], rel=1e-6)


@pytest.mark.parametrize(("axis", "path", "typed"), TYPED, ids=[t[1] for t in TYPED])
def test_a_point_of_a_sweep_is_the_case_with_that_value_typed(cases, towing, towing_text, axis, path, typed):
    values = np.concatenate([read_value(path, text) for text in typed])
    found = sweep(towing, CLIMB, axis, values)
    assert found.axis.path == path
    for k, text in enumerate(typed):
        case = replace(cases.read(towing_text.with_value(path, text)), flows_with=towing.radiator)
        single = solve_duty(case, CLIMB)
        assert found.coolant_out[k] == pytest.approx(single.coolant_out[0], abs=SLACK)
        assert found.point.status[k] == single.status[0]
        limit = float(limit_of(case, case.duties[CLIMB], single)[0])
        assert found.limit[k] == pytest.approx(limit, abs=SLACK)
        if single.solved[0]:
            assert found.margin[k] == pytest.approx(limit - single.peak[0], abs=SLACK)
        else:
            assert found.boils[k]
            assert found.margin[k] <= limit - single.boiling[0]


@pytest.mark.parametrize("vehicle", ["large car", "pickup", "bench rig"])
def test_every_numeric_input_can_be_swept_alone(cases, vehicle):
    """Whatever one input it is: three members come out, and the last is the single solution.

    A fan that switches is run through its cycles, which takes most of the time: only its own section is swept with it.
    """
    switching = cases(
        vehicle,
        airflow__fan_power="300 W",
        circuit__extra=[{"at_idle": "1 kW", "at_rated": "8 kW"}],
        airflow__upstream=[{"heat": "3 kW"}],
    )
    held = replace(switching, duties=(replace(switching.duties[0], fan="on"), *switching.duties[1:]))
    swept = 0
    for path in numeric_inputs(switching, 0):
        case = switching if path.startswith("airflow") else held
        now = float(value_at(case, path)[0])
        values = np.array([now, now, now * 1.02 + (entry(pattern_of(path)).input.kind == "count")])
        try:
            found = sweep(case, 0, path, values)
        except InputError:
            continue  # at its bound, or overruled by another input
        swept += 1
        single = solve_duty(varied(case, {path: values[2:]}), 0)
        assert found.coolant_out.shape == found.margin.shape == (3,), path
        assert found.coolant_out[2] == pytest.approx(single.coolant_out[0], abs=SLACK), path
    assert swept > 50


def test_a_sweep_says_what_its_axis_is(towing):
    found = sweep(towing, CLIMB, SweepAxis.AMBIENT, [300.0, 310.0])
    assert (found.axis.label, found.axis.kind) == ("Ambient temperature", "temperature")
    assert found.name == towing.duties[CLIMB].name
    assert found.axis.now == pytest.approx(291.15)  # K; 18 degC, as the example states


def test_a_map_is_its_sweeps_row_by_row_and_chunks_change_nothing(cases, towing, towing_text):
    speeds, ambients = np.linspace(5.0, 30.0, 41), np.linspace(263.15, 318.15, 31)  # 1271 members: two chunks
    found = margin_map(towing, CLIMB, speeds, ambients)
    assert found.margin.shape == (31, 41)
    for row in (0, 14, 30):
        hot = cases.read(towing_text.with_value("duties[5].ambient", f"{float(ambients[row])!r} K"))
        across = sweep(hot, CLIMB, SweepAxis.VEHICLE_SPEED, speeds)
        np.testing.assert_allclose(found.margin[row], across.margin, rtol=0.0, atol=SLACK)
        np.testing.assert_allclose(found.coolant_out[row], across.coolant_out, rtol=0.0, atol=SLACK)
        assert np.array_equal(found.boils[row], across.boils)


def test_a_map_over_any_two_inputs(towing):
    found = margin_map(
        towing, CLIMB, [0.0, 0.3], [0.3, 0.5, 0.6], x_axis=SweepAxis.FACE_BLOCKAGE, y_axis="coolant.concentration"
    )
    assert found.margin.shape == (3, 2)
    assert np.all(found.margin[:, 1] < found.margin[:, 0])
    assert found.boils.shape == found.coolant_out.shape == (3, 2)


FAULTS = [
    (SweepAxis.AMBIENT, [300.0, 400.0], r"duties\[5\].ambient: '126.[89] °C' was given; -60 degC to 70 degC"),
    (SweepAxis.AMBIENT, [np.nan], "finite"),
    (SweepAxis.AMBIENT, [], "1 to 100000 values"),
    ("radiator.material", [1.0], "this input is no number"),
    ("radiator.nothing", [1.0], "the path of a numeric input"),
    ("duties[77].ambient", [300.0], "the path of a numeric input"),
    ("duties[2].ambient", [300.0], "an input of this duty"),
    ("radiator.tube_wall", [0.0002, 0.001], "radiator.tube_height: more than twice the tube wall"),
    ("radiator.passes", [60.0], "1 to 6 would do"),
]


@pytest.mark.parametrize(("axis", "values", "said"), FAULTS)
def test_what_cannot_be_swept_is_refused_in_words(towing, axis, values, said):
    with pytest.raises(InputError, match=said):
        sweep(towing, CLIMB, axis, values)


def test_an_input_that_another_overrules_is_refused(cases):
    given_power = cases(duties=[{"brake_power": "40 kW", "vehicle_speed": "60 km/h"}])
    with pytest.raises(InputError, match="power is given"):
        sweep(given_power, 0, SweepAxis.GRADE, [0.0, 0.1])
    given_flow = cases(duties=[{"coolant_flow": "80 L/min", "vehicle_speed": "60 km/h"}])
    with pytest.raises(InputError, match="coolant flow is given"):
        sweep(given_flow, 0, SweepAxis.PUMP_FLOW, [0.001, 0.002])


def test_a_map_needs_two_different_inputs(towing):
    with pytest.raises(InputError, match="two different inputs"):
        margin_map(towing, CLIMB, [300.0], [300.0], x_axis=SweepAxis.AMBIENT)


def test_a_duty_that_is_not_there_is_refused(towing):
    with pytest.raises(InputError, match="duties 0 to 11"):
        sweep(towing, 12, SweepAxis.AMBIENT, [300.0])


@pytest.mark.fresh
def test_a_long_map_tells_its_progress_and_can_be_cancelled(towing):
    told: list[float] = []
    speeds, ambients = np.linspace(5.0, 30.0, 50), np.linspace(273.15, 313.15, 50)
    margin_map(towing, CLIMB, speeds, ambients, progress=told.append)
    assert told == pytest.approx([0.4, 0.8, 1.0])
    with pytest.raises(Cancelled):
        margin_map(towing, CLIMB, speeds, ambients, cancelled=lambda: True)


vehicles = st.sampled_from(
    [
        "small car",
        "family car",
        "large car",
        "sports car",
        "pickup",
        "delivery van",
        "light truck",
        "heavy truck",
        "tractor",
    ]
)
speeds = st.floats(5.0, 30.0)
shares_of_power = st.floats(0.15, 1.0)


def loaded(cases, vehicle: str, speed: float, share: float, **values: str):
    """A vehicle under a given power with its fan held on: one fan state, one branch of the hysteresis."""
    rated = float(cases(vehicle).engine.rated_power[0])
    duty = {
        "brake_power": f"{share * rated:.6g} W",
        "vehicle_speed": f"{speed:.6g} m/s",
        "ambient": "25 degC",
        "fan": "on",
    }
    return cases(vehicle, duties=[duty], engine__aspiration="turbo", **values)


def rises(values: np.ndarray) -> bool:
    """Whether each is at least the one before it."""
    return bool(np.all(np.diff(values) >= -SLACK))


@settings(max_examples=40)
@given(vehicles, speeds, shares_of_power)
def test_hotter_air_never_enlarges_the_margin(cases, vehicle, speed, share):
    found = sweep(loaded(cases, vehicle, speed, share), 0, SweepAxis.AMBIENT, np.linspace(243.15, 323.15, 25))
    assert rises(found.coolant_out)
    assert rises(-found.margin)


@settings(max_examples=40)
@given(vehicles, speeds, shares_of_power)
def test_altitude_never_enlarges_the_margin_at_the_same_heat(cases, vehicle, speed, share):
    """With a given brake power of an engine that holds it, the heat is that at sea level."""
    found = sweep(loaded(cases, vehicle, speed, share), 0, SweepAxis.ALTITUDE, np.linspace(0.0, 3500.0, 25))
    assert rises(-found.margin)
    assert np.ptp(found.point.brake_power) < 1e-9 * found.point.brake_power[0]


@settings(max_examples=40)
@given(vehicles, speeds, shares_of_power)
def test_a_blocked_face_never_enlarges_the_margin(cases, vehicle, speed, share):
    found = sweep(loaded(cases, vehicle, speed, share), 0, SweepAxis.FACE_BLOCKAGE, np.linspace(0.0, 0.9, 25))
    assert rises(-found.margin)


@settings(max_examples=40)
@given(vehicles, st.floats(0.2, 4.0))
def test_blocked_tubes_never_lower_the_coolants_pressure_drop_at_a_given_flow(cases, vehicle, litres_per_second):
    blocked = np.linspace(0.0, 0.9, 25)
    plant = prepare(varied(cases(vehicle), {"radiator.blocked_tubes": blocked}))
    hot = plant.coolant.state(np.full(25, 363.15))
    flow = np.full(25, litres_per_second * 1e-3)
    assert rises(coolant_pressure_drop(plant.core, flow, hot).dp)


@settings(max_examples=40)
@given(vehicles, speeds, shares_of_power)
def test_more_coolant_flow_never_raises_the_engines_outlet(cases, vehicle, speed, share):
    case = loaded(cases, vehicle, speed, share, thermostat__kind="none", thermostat__bypass="none")
    found = sweep(case, 0, "circuit.pump_ratio", np.linspace(0.6, 2.4, 25))
    flow = found.point.coolant_mass_flow
    assert rises(flow)
    assert rises(-found.coolant_out)


@settings(max_examples=40)
@given(vehicles, speeds, st.floats(0.3, 0.8))
def test_with_a_valve_at_the_inlet_the_engines_outlet_rises_as_the_pump_slows(cases, vehicle, speed, share):
    case = loaded(cases, vehicle, speed, share, thermostat__side="inlet")
    found = sweep(case, 0, "circuit.pump_ratio", np.linspace(2.4, 0.6, 25))
    assert rises(-found.margin)
    assert found.margin[-1] <= found.margin[0] + SLACK
