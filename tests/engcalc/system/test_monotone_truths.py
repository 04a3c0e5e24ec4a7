"""What must hold for any vehicle: hotter air, altitude, a blocked face and less flow never make it run cooler.

Common sense of the trade, no source; at a stated state of the fan, as a fan that comes on does cool.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from engcalc.case.conditions import conditions_of
from engcalc.system.operating_point import solve
from engcalc.system.plant import prepare
from engcalc.system.state import OperatingPoint


def run(case: Any) -> OperatingPoint:
    return solve(prepare(case), conditions_of(case.duties))


@settings(max_examples=25, deadline=None)
@given(ratio=st.floats(0.5, 2.0), less=st.floats(0.4, 0.99), vehicle=st.sampled_from(["family car", "delivery van"]))
def test_with_an_inlet_valve_the_outlet_rises_as_the_pump_weakens(
    ratio: float, less: float, vehicle: str, build_case: Any
) -> None:
    """The pump's speed changes, the network stays as it was sized."""
    duty = [{"vehicle_speed": "100 km/h", "ambient": "25 degC", "fan": "off"}]
    strong, weak = (
        run(build_case(vehicle, duty, thermostat__side="inlet", circuit__pump_ratio=f"{r:.5f}"))
        for r in (ratio, ratio * less)
    )
    assert weak.coolant_out[0] >= strong.coolant_out[0] - 1e-6


def assert_margin_does_not_grow(point: OperatingPoint) -> None:
    """From the first member to the second; one that boils has no margin, and its worse neighbour boils too."""
    assert point.solved[0] or not point.solved[1]
    margin = np.minimum(388.15, point.boiling) - point.coolant_out
    assert margin[1] <= margin[0] + 1e-6 or not point.solved[1]


@settings(max_examples=40, deadline=None)
@given(
    low=st.floats(-30.0, 50.0),
    more=st.floats(0.1, 30.0),
    power=st.floats(2.0, 60.0),
    speed=st.floats(0.0, 160.0),
    fan=st.sampled_from(["on", "off"]),
)
def test_hotter_ambient_never_enlarges_the_margin(
    low: float, more: float, power: float, speed: float, fan: str, build_case: Any
) -> None:
    duties = [
        {
            "ambient": f"{c:.3f} degC",
            "brake_power": f"{power:.3f} kW",
            "vehicle_speed": f"{speed:.3f} km/h",
            "fan": fan,
            "engine_speed": "2800 rpm",
            "relative_humidity": "0 %",
        }
        for c in (low, min(low + more, 60.0))
    ]
    point = run(build_case("large car", duties))
    assert_margin_does_not_grow(point)


@settings(max_examples=40, deadline=None)
@given(
    low=st.floats(0.0, 4000.0), more=st.floats(1.0, 1500.0), power=st.floats(20.0, 110.0), speed=st.floats(0.0, 160.0)
)
def test_altitude_never_enlarges_a_hot_margin_at_the_same_heat(
    low: float, more: float, power: float, speed: float, build_case: Any
) -> None:
    duties = [
        {
            "altitude": f"{z:.2f} m",
            "brake_power": f"{power:.3f} kW",
            "vehicle_speed": f"{speed:.3f} km/h",
            "fan": "on",
            "ambient": "30 degC",
            "engine_speed": "3500 rpm",
            "relative_humidity": "0 %",
        }
        for z in (low, low + more)
    ]
    point = run(build_case("large car", duties))  # turbocharged: holds its power
    assert_margin_does_not_grow(point)


@settings(max_examples=30, deadline=None)
@given(low=st.floats(0.0, 0.9), more=st.floats(0.001, 0.5), power=st.floats(5.0, 60.0), speed=st.floats(10.0, 160.0))
def test_a_blocked_face_never_enlarges_the_margin(
    low: float, more: float, power: float, speed: float, build_case: Any
) -> None:
    duty = [
        {
            "brake_power": f"{power:.3f} kW",
            "vehicle_speed": f"{speed:.3f} km/h",
            "fan": "on",
            "ambient": "30 degC",
            "engine_speed": "3000 rpm",
        }
    ]
    open_, blocked = (
        run(build_case("family car", duty, radiator__blocked_face=f"{100 * b:.4f} %"))
        for b in (low, min(low + more, 0.95))
    )
    assert blocked.coolant_out[0] >= open_.coolant_out[0] - 1e-6


@settings(max_examples=30, deadline=None)
@given(ratio=st.floats(0.4, 1.5), more=st.floats(1.01, 2.0), power=st.floats(5.0, 60.0))
def test_more_coolant_flow_never_raises_the_outlet(ratio: float, more: float, power: float, build_case: Any) -> None:
    """The pump's speed changes, the network stays as it was sized."""
    duty = [
        {
            "brake_power": f"{power:.3f} kW",
            "vehicle_speed": "90 km/h",
            "fan": "on",
            "ambient": "30 degC",
            "engine_speed": "3500 rpm",
        }
    ]
    less, much = (run(build_case("family car", duty, circuit__pump_ratio=f"{r:.5f}")) for r in (ratio, ratio * more))
    assert much.coolant_mass_flow[0] > less.coolant_mass_flow[0] or not less.solved[0]
    assert much.coolant_out[0] <= less.coolant_out[0] + 1e-6
