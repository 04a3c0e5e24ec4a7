"""Air network: closure, ISA air, limits, monotone truths, and an independent solution."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import brentq

from engcalc.case.conditions import Conditions, conditions_of
from engcalc.components.core import air_pressure_drop
from engcalc.components.fan import FanDrive
from engcalc.system.airflow import AirNodes, AirPoint, air_at, air_of, air_warmed, solve_air, thinned
from engcalc.system.balance import root_exponent
from engcalc.system.operating_point import solve
from engcalc.system.plant import Plant, prepare

ROUND = np.full(1, 363.15)
STILL = [{"vehicle_speed": "0 km/h"}]


def one(x: float) -> np.ndarray:
    return np.full(1, x)


def solved(case: Any, rpm: float = 2000.0) -> tuple[Plant, Conditions, AirNodes]:
    plant, conditions = prepare(case), conditions_of(case.duties)
    air = air_of(conditions, ROUND)
    return plant, conditions, solve_air(plant.airway, plant.core, air, conditions, one(rpm / 60.0))


@pytest.mark.parametrize(
    ("metres", "p", "rho"),
    [
        (0, 101325.0, 1.2250),
        (1000, 89874.6, 1.11164),
        (2000, 79495.2, 1.00649),
        (3000, 70108.5, 0.90912),
        (5000, 54019.9, 0.73612),
    ],
)
def test_air_of_the_standard_atmosphere(metres: int, p: float, rho: float, build_case: Any) -> None:
    """US Standard Atmosphere 1976, Table I, geopotential altitude; dry air at that layer's temperature."""
    kelvin = 288.15 - 0.0065 * metres
    case = build_case(
        duties=[{"altitude": f"{metres} m", "ambient": f"{kelvin - 273.15:.4f} degC", "relative_humidity": "0 %"}]
    )
    air = air_of(conditions_of(case.duties), ROUND)
    assert air.p[0] == pytest.approx(p, rel=1e-5)
    assert air.fluid.rho[0] == pytest.approx(rho, rel=1e-4)  # the source's fifth digit, and its slightly other R


def test_extreme_heat_altitude_and_humidity_still_have_air(build_case: Any) -> None:
    case = build_case(duties=[{"altitude": "6000 m", "ambient": "70 degC", "relative_humidity": "100 %"}])
    air = air_of(conditions_of(case.duties), ROUND)
    assert np.isfinite(air.fluid.rho).all()
    assert air.W[0] > 0.0


def test_pressure_closes_and_brentq_agrees(build_case: Any) -> None:
    """The balance of one stream written out and solved by scipy; whole face under the shroud."""
    case = build_case(
        "family car", [{"vehicle_speed": "40 km/h", "relative_humidity": "0 %"}], airflow__shroud_coverage="100 %"
    )
    plant, conditions, nodes = solved(case)
    air = air_of(conditions, ROUND)
    rho, warmed = float(air.fluid.rho[0]), float(air.T_hot[0] / air.ambient[0])
    face = 0.38 * 0.64  # m2, the class's core
    opened, out = face / 0.14, face / 0.22
    zeta = 3.0 + 0.5 * opened**2 + (opened - 1.0) ** 2 + out**2 * warmed
    draught = rho * (1.0 - 1.0 / warmed) * 9.80665 * 0.38 / 2.0

    def left_over(v: float) -> float:
        x = v * face * warmed / (2700.0 / 3600.0)
        fan = 230.0 * rho / warmed / 1.2 * ((1.0 - x**2) if x <= 1.0 else 0.25 * (1.0 - x**2))
        core = float(air_pressure_drop(plant.core, one(v), air.fluid)[0]) * (1.0 + warmed) / 2.0
        mass = rho * v / float(plant.core.fin.sigma[0])
        core += mass**2 / (2.0 * rho) * (warmed - 1.0)  # momentum, less what goes on as dynamic pressure at the face
        return 0.7 * 0.5 * rho * (40.0 / 3.6) ** 2 + draught + fan - zeta * 0.5 * rho * v**2 - core

    v = brentq(left_over, 1e-6, 50.0, xtol=1e-13)
    assert nodes.velocity[1, 1, 0] == pytest.approx(v, rel=1e-7)


@settings(max_examples=40, deadline=None)
@given(speed=st.floats(0.0, 250.0), more=st.floats(0.0, 100.0), vehicle=st.sampled_from(["small car", "pickup"]))
def test_more_speed_and_more_fan_never_bring_less_air(speed: float, more: float, vehicle: str, build_case: Any) -> None:
    slow, fast = (solved(build_case(vehicle, [{"vehicle_speed": f"{v:.3f} km/h"}]))[2] for v in (speed, speed + more))
    assert np.all(fast.velocity >= slow.velocity * (1.0 - 1e-9))
    assert np.all(np.diff(slow.velocity, axis=1) >= -1e-9)


@pytest.mark.parametrize(
    "worse",
    [
        {"radiator__blocked_face": "40 %"},
        {"airflow__shutter": "20 %"},
        {"airflow__opening_area": "0.05 m2"},
        {"airflow__exit_area": "0.08 m2"},
        {"airflow__system_loss": "10"},
        {"airflow__seals": "missing"},
        {"airflow__ram_recovery": "40 %"},
        {"airflow__fan_free_flow": "1500 m3/h"},
        {"airflow__upstream": [{"name": "condenser", "heat": "6 kW", "flow_resistance": "6", "face_share": "80 %"}]},
        {"radiator__core_depth": "48 mm"},
    ],
)
def test_what_stands_in_the_way_takes_air(worse: dict[str, Any], build_case: Any) -> None:
    duty = [{"vehicle_speed": "30 km/h"}]
    healthy, hindered = solved(build_case(duties=duty))[2], solved(build_case(duties=duty, **worse))[2]
    assert np.all(hindered.velocity[:, 1] < healthy.velocity[:, 1])


def test_standing_still_without_fan_only_the_draught_moves_air(build_case: Any) -> None:
    _, _, nodes = solved(build_case(duties=STILL))
    assert nodes.velocity[0, 0, 0] < 1e-5 < nodes.velocity[1, 0, 0] < 0.3
    assert nodes.ram_pressure[0] == 0.0


def test_a_stopped_fan_hinders_at_speed_and_a_running_one_pushes_at_standstill(build_case: Any) -> None:
    fast = [{"vehicle_speed": "130 km/h"}]
    _, _, with_fan = solved(build_case(duties=fast))
    _, _, without = solved(build_case(duties=fast, airflow__fan_drive="none"))
    assert np.all(with_fan.velocity[:, 0] < without.velocity[:, 0])
    assert np.all(with_fan.fan_pressure[:, 0] < 0.0)
    assert np.all(solved(build_case(duties=STILL))[2].fan_pressure[:, 1] > 0.0)


def test_a_pusher_has_the_denser_air(build_case: Any) -> None:
    puller, pusher = (solved(build_case(duties=STILL, airflow__fan_side=side))[2] for side in ("puller", "pusher"))
    assert pusher.velocity[1, 1] > puller.velocity[1, 1]
    assert pusher.velocity[0, 1] == pytest.approx(puller.velocity[0, 1], rel=1e-9)  # no air is warmed


def test_recirculation_falls_with_ram(build_case: Any) -> None:
    still, moving = (solved(build_case(duties=[{"vehicle_speed": v}]))[2] for v in ("0 km/h", "60 km/h"))
    assert still.recirculation == pytest.approx(0.08)
    assert moving.recirculation < 0.02
    assert solved(build_case(duties=STILL, airflow__seals="missing"))[2].recirculation == pytest.approx(0.2)


def test_ram_pressure_of_a_moving_vehicle(build_case: Any) -> None:
    """rho/2 V^2 at 1.2 kg/m3: 462.96 Pa at 100 km/h; here with all of it recovered, scaled to the duty's density."""
    case = build_case(duties=[{"vehicle_speed": "100 km/h"}], airflow__ram_recovery="100 %")
    _, conditions, nodes = solved(case)
    rho = air_of(conditions, ROUND).fluid.rho
    assert nodes.ram_pressure == pytest.approx(462.963 * rho / 1.2, rel=1e-5)


def test_given_velocity_takes_the_place_of_fan_and_ram(build_case: Any) -> None:
    _, _, nodes = solved(build_case(duties=[{"air_velocity": "4 m/s", "vehicle_speed": "90 km/h"}]))
    assert nodes.velocity.tolist() == [[[4.0], [4.0]], [[4.0], [4.0]]]
    assert nodes.ram_pressure[0] == 0.0
    assert nodes.recirculation[0] == 0.0


def test_a_clutch_between_nodes_is_a_straight_line(build_case: Any) -> None:
    plant, _, nodes = solved(build_case("pickup", STILL))
    at_node, between = air_at(plant.airway, nodes, one(0.5)), air_at(plant.airway, nodes, one(0.6))
    assert at_node.velocity == pytest.approx(nodes.velocity[:, 2])
    assert between.velocity == pytest.approx(0.6 * nodes.velocity[:, 2] + 0.4 * nodes.velocity[:, 3])


@pytest.mark.parametrize("speed", ["0 km/h", "20 km/h", "100 km/h"])
@pytest.mark.parametrize("vehicle", ["family car", "pickup"])
def test_between_not_warmed_and_warmed_the_air_flows_as_if_solved_there(
    vehicle: str, speed: str, build_case: Any
) -> None:
    """The flow goes by the share of its density that the air has lost: fan, ram, draught, solved at others."""
    plant, conditions, nodes = solved(build_case(vehicle, [{"vehicle_speed": speed, "ambient": "30 degC"}]))
    air = air_of(conditions, ROUND)
    engaged = air_at(plant.airway, nodes, one(1.0)), air_at(plant.airway, nodes, one(0.0))
    for T in (315.0, 330.0, 360.0, 375.0):
        there = solve_air(plant.airway, plant.core, replace(air, T_hot=one(T)), conditions, one(2000.0 / 60.0)).velocity
        share = thinned(nodes, one(T))
        full, off = (air_warmed(point, share).velocity for point in engaged)
        assert full == pytest.approx(there[1, -1], rel=4e-3)  # our own bound
        if plant.airway.fan.drive is FanDrive.ELECTRIC:
            assert off == pytest.approx(there[1, 0], rel=6e-3, abs=3e-3)  # m/s; a draught is slower than 0.05 m/s


CLIMB = {
    "name": "climb",
    "vehicle_speed": "45 km/h",
    "grade": "12 %",
    "trailer_mass": "1500 kg",
    "ambient": "32 degC",
    "engine_speed": "3800 rpm",
    "altitude": "1800 m",
}


def test_air_behind_the_core_is_as_hot_as_the_core_makes_it(build_case: Any) -> None:
    """Issue 10, 5 a: the flow is that of air whose warmth behind the core an energy balance of the air gives.

    What leaves takes along, over the ambient, the heat of core and coolers ahead, whatever comes round again.
    """
    upstream = [{"name": "condenser", "heat": "5 kW"}, {"name": "charge air", "heat": "9 kW"}]
    duties = [
        CLIMB,
        {},
        {"fan": "off"},
        {"ambient": "-20 degC", "heater": "high"},
        {"vehicle_speed": "120 km/h"},
        {"brake_power": "40 kW", "engine_speed": "3000 rpm", "fan": "on"},
    ]
    case = build_case("large car", duties, airflow__upstream=upstream)
    plant, conditions = prepare(case), conditions_of(case.duties)
    point = solve(plant, conditions)
    leaves = (1.0 - plant.airway.recirculation / (1.0 + point.ram_pressure / 10.0)) * point.core.C_air
    brought = point.radiator_heat + point.upstream_heat
    assert leaves * (point.air_out - conditions.ambient) == pytest.approx(brought, rel=1e-9)
    assert point.air_out == pytest.approx(point.core.T_air_out, abs=1e-6)
    blown = [0, 4, 5]  # where fan or ram moves the air, all that the coolers ahead have goes into it
    assert point.upstream_heat[blown] == pytest.approx(14e3)
    air = replace(air_of(conditions, ROUND), T_hot=point.air_out)
    solved_there = solve_air(plant.airway, plant.core, air, conditions, point.engine_speed).velocity[1]
    assert point.air_velocity[blown] == pytest.approx(
        np.where(point.on_share > 0.5, solved_there[-1], solved_there[0])[blown], rel=5e-3
    )  # our own bound
    assert point.air_out[0] - conditions.ambient[0] > 60.0  # 0.55 of full open over ambient were 37 K


def test_heat_ahead_is_all_in_the_air_that_comes_to_the_core(build_case: Any) -> None:
    """Issue 10, 5 b: 5 and 9 kW at 3 m/s warm the air by what energy asks, Q/(rho v A cp) (the heat was cut before)."""
    upstream = [{"name": "condenser", "heat": "5 kW"}, {"name": "charge air", "heat": "9 kW"}]
    case = build_case(
        duties=[{"air_velocity": "3 m/s", "ambient": "20 degC", "relative_humidity": "0 %", "brake_power": "20 kW"}],
        airflow__upstream=upstream,
    )
    point = solve(prepare(case), conditions_of(case.duties))
    rho = 101325.0 / (287.05 * 293.15)
    assert point.air_in[0] - 293.15 == pytest.approx(14e3 / (rho * 3.0 * 0.38 * 0.64 * 1006.5), rel=2e-3)


def test_three_unlike_members_equal_three_single_ones(build_case: Any) -> None:
    duties = [
        {"vehicle_speed": "0 km/h", "ambient": "-30 degC"},
        {"air_velocity": "2 m/s"},
        {"vehicle_speed": "180 km/h", "ambient": "45 degC", "altitude": "2500 m"},
    ]
    together = solved(build_case(duties=duties))[2]
    for i, duty in enumerate(duties):
        alone = solved(build_case(duties=[duty]))[2]
        assert together.velocity[..., i] == pytest.approx(alone.velocity[..., 0], rel=1e-9)
        assert together.fan_flow[..., i] == pytest.approx(alone.fan_flow[..., 0], rel=1e-9)


def test_air_that_slows_as_it_warms_never_runs_below_none() -> None:
    """A line through 1 m/s cold and 0.5 m/s warmed is below 0 beyond twice the warmth; up to there it holds."""
    nodes = np.array([[1.0], [0.5]])
    point = AirPoint(nodes, nodes, nodes)
    assert air_warmed(point, np.array([1.5])).velocity == pytest.approx(0.25)
    still = air_warmed(point, np.array([3.0]))
    assert 0.0 < still.velocity[0] < 1e-9
    assert still.fan_flow[0] == 0.0


@pytest.mark.parametrize(
    ("cold", "warm", "taken", "exponent"),
    [(0.0, 1.0, 0.0, 0.5), (0.0, 1.0, 1.0, 1.0), (1.0, 1.0, 0.3, 1.0), (1.0, 0.625, 0.0, 2.5), (2.0, 0.5, 0.0, 5.0)],
)
def test_the_exponent_towards_air_that_agrees_with_itself(
    cold: float, warm: float, taken: float, exponent: float
) -> None:
    """1/(1 + (1 - taken) (warm - cold)/warm) by hand; air that its own warmth would stop gets 5, never less than 0."""
    found = root_exponent(np.array([[cold], [warm]]), np.array([taken]))
    assert found[0] == pytest.approx(exponent)
