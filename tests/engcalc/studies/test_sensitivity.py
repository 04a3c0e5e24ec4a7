"""Sensitivities: the difference of two single solutions, closed-form limits, and what cannot be moved."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

import worked_examples
from engcalc.case.conditions import conditions_of
from engcalc.case.file import read_case
from engcalc.case.resolve import read_value
from engcalc.errors import Cancelled
from engcalc.studies.members import solve_duty, unboiled
from engcalc.studies.spread.sensitivity import ChangeStep, numeric_inputs, sensitivity
from engcalc.system.operating_point import solve
from engcalc.system.plant import prepare

CLIMB = 5


@pytest.fixture(scope="module")
def of_the_climb(towing):
    return sensitivity(towing, CLIMB)


def by_path(found, path):
    return next(s for s in found.ranked if s.path == path)


PAIRS = [
    ("radiator.core_width", "684 mm", "756 mm"),  # 720 mm less and more 5 %
    ("airflow.fan_free_flow", "2280 m3/h", "2520 m3/h"),
    ("duties[5].vehicle_speed", "42.75 km/h", "47.25 km/h"),
    ("duties[5].ambient", "15.5 degC", "20.5 degC"),  # 18 degC less and more 2.5 K
    ("circuit.extra[0].at_rated", "8.55 kW", "9.45 kW"),
    ("coolant.concentration", "47.5 %", "52.5 %"),
]


@pytest.mark.parametrize(("path", "low", "high"), PAIRS, ids=[p[0] for p in PAIRS])
def test_a_change_is_the_difference_of_two_cases_with_those_values_typed(
    cases, towing, towing_text, of_the_climb, path, low, high
):
    read = (cases.read(towing_text.with_value(path, typed)) for typed in (low, high))
    typed = (replace(case, flows_with=towing.radiator) for case in read)
    # at 18 degC the air conditioning runs at 0.3 of its heat, and goes on doing so
    cold, hot = (
        solve(
            prepare(case), conditions_of((case.duties[CLIMB],)).replace(air_conditioning=np.full(1, 0.3))
        ).coolant_out[0]
        for case in typed
    )
    found = by_path(of_the_climb, path)
    assert found.change == pytest.approx(hot - cold, abs=1e-5)
    assert (found.low, found.high) == pytest.approx((read_value(path, low)[0], read_value(path, high)[0]))
    assert found.solved
    assert not found.one_sided


@pytest.mark.parametrize(("ambient", "as_now"), [("13 degC", "off"), ("15 degC", "off"), ("27 degC", "on")])
def test_the_air_outside_is_moved_and_no_switch(cases, ambient, as_now):
    """An air conditioning that the weather switches, 15 to 25 degC, stays as it is. From 12.5 to 17.5 degC it would
    have come on in between: its fan and its compressor would have counted as what the air does."""

    def found(word):
        case = cases(
            "family car",
            duties=[
                {"ambient": ambient, "air_conditioning": word, "vehicle_speed": "60 km/h", "grade": "9 %", "fan": "on"}
            ],
            airflow__upstream=[{"kind": "condenser", "heat": "6 kW"}],
            thermostat__kind="none",
        )
        return by_path(sensitivity(case, 0), "duties[0].ambient")

    assert found("weather").change == pytest.approx(found(as_now).change, abs=1e-9)


def test_they_are_ranked_by_size(of_the_climb):
    sizes = [abs(s.change) for s in of_the_climb.ranked]
    assert sizes == sorted(sizes, reverse=True)
    assert {s.path for s in of_the_climb.ranked[:8]} & {"duties[5].grade", "airflow.fan_count"}


def test_every_numeric_input_is_ranked_or_held(towing, of_the_climb):
    named = {s.path for s in of_the_climb.ranked} | {path for path, _ in of_the_climb.held}
    assert named == set(numeric_inputs(towing, CLIMB))
    assert not any(p.startswith(("duties[0]", "limits", "job")) for p in named)
    assert "duties[5].ambient" in named


def test_with_given_flows_the_outlet_follows_the_air_kelvin_for_kelvin(cases):
    """T_out - T_air = Q/(effectiveness C_min) at a given velocity: only the thinner air adds to the 5 K.

    From 290.65 to 295.65 K air thins by 1.7 %, so that at most 1.7 % of T_out - T_air, some 44 K, comes on top.
    """
    case = cases(
        "bench rig",
        duties=[{"coolant_flow": "10 L/min", "air_velocity": "3 m/s", "ambient": "20 degC"}],
        circuit__extra=[{"name": "immersion heater", "heat": "5 kW"}],
    )
    found = by_path(sensitivity(case, 0), "duties[0].ambient")
    assert found.step is ChangeStep.FIVE_KELVIN
    assert 5.0 < found.change < 5.0 + (1.0 - 290.65 / 295.65) * (solve_duty(case, 0).coolant_out[0] - 293.15)


def test_heat_moves_the_outlet_in_proportion_with_given_flows(cases):
    """10 % more heat raises T_out - T_air by 10 %, properties aside."""
    case = cases(
        "bench rig",
        duties=[{"coolant_flow": "10 L/min", "air_velocity": "3 m/s", "ambient": "20 degC"}],
        circuit__extra=[{"name": "immersion heater", "heat": "5 kW"}],
    )
    point = solve_duty(case, 0)
    found = by_path(sensitivity(case, 0), "circuit.extra[0].heat")
    assert found.change == pytest.approx(0.1 * (point.coolant_out[0] - 293.15), rel=0.03)


def test_what_stands_at_zero_moves_up_by_a_tenth_of_its_usual_range(of_the_climb):
    found = by_path(of_the_climb, "radiator.blocked_face")
    assert found.step is ChangeStep.OFF_ZERO
    assert (found.low, found.high) == (0.0, pytest.approx(0.05))
    assert found.change > 0.0
    assert not found.one_sided


def test_whole_numbers_move_by_one(of_the_climb):
    found = by_path(of_the_climb, "airflow.fan_count")
    assert (found.step, found.low, found.high) == (ChangeStep.ONE_MORE, 2.0, 3.0)
    assert found.change < 0.0


def test_at_a_bound_one_side_counts(cases):
    case = cases(duties=[{"vehicle_speed": "60 km/h", "grade": "10 %", "ambient": "35 degC", "fan": "on"}])
    found = by_path(sensitivity(case, 0), "airflow.shutter")
    assert found.one_sided
    assert found.high == 1.0
    one = solve_duty(case, 0).coolant_out[0]
    less = solve_duty(
        cases(
            duties=[{"vehicle_speed": "60 km/h", "grade": "10 %", "ambient": "35 degC", "fan": "on"}],
            airflow__shutter="95 %",
        ),
        0,
    ).coolant_out[0]
    assert found.change == pytest.approx(2.0 * (one - less), abs=1e-5)  # 5 % tried, counted for 10 %


def test_dimensions_that_were_all_typed_hold_each_other(cases):
    case = cases(
        duties=[{"vehicle_speed": "60 km/h"}],
        radiator__core_depth="24 mm",
        radiator__tube_width="23 mm",
        radiator__tube_rows="1",
    )
    assert "hold it" in dict(sensitivity(case, 0).held)["radiator.tube_rows"]


def test_pitch_and_heights_that_were_all_typed_move_one_by_one(cases):
    case = cases(
        duties=[{"vehicle_speed": "60 km/h", "ambient": "40 degC", "fan": "on"}],
        radiator__tube_pitch="11 mm",
        radiator__tube_height="3 mm",
        radiator__fin_height="8 mm",
    )
    moved = {s.path for s in sensitivity(case, 0).ranked if s.change != 0.0 and not s.one_sided}
    assert {f"radiator.{name}" for name in ("tube_pitch", "tube_height", "fin_height")} <= moved


def test_the_core_that_the_flows_count_with_moves_beside_all_else(cases):
    """A case into which another core was put states the first one: its change is that of two cases typed so."""
    text = read_case(worked_examples.folder() / "track-day-car.heatcase.json")
    text = text.with_value("circuit.flows_core_width", "500 mm")
    found = by_path(sensitivity(cases.read(text), 2), "circuit.flows_core_width")
    typed = (cases.read(text.with_value("circuit.flows_core_width", width)) for width in ("475 mm", "525 mm"))
    low, high = (float(unboiled(case, (2,)).coolant_out[0]) for case in typed)
    assert found.change == pytest.approx(high - low, abs=1e-5)
    assert abs(found.change) > 0.01
    assert found.solved


def test_derived_inputs_are_said_to_follow(of_the_climb):
    assert dict(of_the_climb.held)["radiator.fin_height"] == "follows from other inputs"


def test_shares_of_each_resistance_sum_to_one(of_the_climb):
    for shares in (of_the_climb.thermal, of_the_climb.air_flow, of_the_climb.coolant_flow):
        assert sum(s.share for s in shares) == pytest.approx(1.0, abs=1e-9)
        assert all(0.0 <= s.share <= 1.0 for s in shares)
    assert of_the_climb.thermal[0].name == "air"
    assert of_the_climb.thermal[0].share > 0.5


def test_without_flow_there_are_no_shares_of_it(cases):
    case = cases(
        "bench rig", duties=[{"coolant_flow": "10 L/min", "air_velocity": "3 m/s"}], circuit__extra=[{"heat": "5 kW"}]
    )
    found = sensitivity(case, 0)
    assert found.air_flow == found.coolant_flow == ()


def test_a_side_without_a_steady_state_is_said(cases, towing_text):
    boils = cases.read(towing_text.with_value("radiator.blocked_face", "85 %"))
    found = sensitivity(boils, CLIMB)
    assert not any(s.solved for s in found.ranked if s.path == "radiator.core_width")
    boiling = cases.read(towing_text.with_value("airflow.fan_count", "1"))
    wider = by_path(sensitivity(boiling, CLIMB), "radiator.core_width")
    assert wider.solved
    assert wider.change < -2.0


@pytest.mark.fresh
def test_it_can_be_cancelled(towing):
    with pytest.raises(Cancelled):
        sensitivity(towing, CLIMB, cancelled=lambda: True)


def test_no_number_is_missing(of_the_climb):
    assert all(np.isfinite([s.change, s.value, s.low, s.high]).all() for s in of_the_climb.ranked)
