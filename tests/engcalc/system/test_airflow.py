"""Air network: closure, ISA air, limits, monotone truths, and an independent solution."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import brentq

from engcalc.components.core import air_pressure_drop
from engcalc.system.airflow import AirNodes, air_at, air_of, preheat, solve_air
from engcalc.system.plant import Plant, prepare
from engcalc.system.state import Conditions, conditions_of

ROUND = np.full(1, 363.15)
STILL = [{"vehicle_speed": "0 km/h"}]


def one(x: float) -> np.ndarray:
    return np.full(1, x)


def solved(case: Any, rpm: float = 2000.0) -> tuple[Plant, Conditions, AirNodes]:
    plant, conditions = prepare(case), conditions_of(case.duties)
    air = air_of(conditions, ROUND)
    return plant, conditions, solve_air(plant.airway, plant.core, air, conditions, one(rpm / 60.0))


@pytest.mark.parametrize(("metres", "p", "rho"), [
    (0, 101325.0, 1.2250), (1000, 89874.6, 1.11164), (2000, 79495.2, 1.00649), (3000, 70108.5, 0.90912),
    (5000, 54019.9, 0.73612)])
def test_air_of_the_standard_atmosphere(metres: int, p: float, rho: float, build_case: Any) -> None:
    """US Standard Atmosphere 1976, Table I, geopotential altitude; dry air at that layer's temperature."""
    kelvin = 288.15 - 0.0065 * metres
    case = build_case(duties=[{"altitude": f"{metres} m", "ambient": f"{kelvin - 273.15:.4f} degC",
                               "relative_humidity": "0 %"}])
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
    case = build_case("family car", [{"vehicle_speed": "40 km/h", "relative_humidity": "0 %"}],
                      airflow__shroud_coverage="100 %")
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
        return 0.7 * 0.5 * rho * (40.0 / 3.6) ** 2 + draught + fan - zeta * 0.5 * rho * v**2 - core

    v = brentq(left_over, 1e-6, 50.0, xtol=1e-13)
    assert nodes.velocity[1, 0] == pytest.approx(v, rel=1e-7)


@settings(max_examples=40, deadline=None)
@given(speed=st.floats(0.0, 250.0), more=st.floats(0.0, 100.0), vehicle=st.sampled_from(["small car", "pickup"]))
def test_more_speed_and_more_fan_never_bring_less_air(
        speed: float, more: float, vehicle: str, build_case: Any) -> None:
    slow, fast = (solved(build_case(vehicle, [{"vehicle_speed": f"{v:.3f} km/h"}]))[2] for v in (speed, speed + more))
    assert np.all(fast.velocity >= slow.velocity * (1.0 - 1e-9))
    assert np.all(np.diff(slow.velocity, axis=0) >= -1e-9)


@pytest.mark.parametrize("worse", [
    {"radiator__blocked_face": "40 %"}, {"airflow__shutter": "20 %"}, {"airflow__opening_area": "0.05 m2"},
    {"airflow__exit_area": "0.08 m2"}, {"airflow__system_loss": "10"}, {"airflow__seals": "missing"},
    {"airflow__ram_recovery": "40 %"}, {"airflow__fan_free_flow": "1500 m3/h"},
    {"airflow__upstream": [{"name": "condenser", "heat": "6 kW", "flow_resistance": "6", "face_share": "80 %"}]},
    {"radiator__core_depth": "48 mm"}])
def test_what_stands_in_the_way_takes_air(worse: dict[str, Any], build_case: Any) -> None:
    duty = [{"vehicle_speed": "30 km/h"}]
    sound, hindered = solved(build_case(duties=duty))[2], solved(build_case(duties=duty, **worse))[2]
    assert hindered.velocity[1] < sound.velocity[1]


def test_standing_still_without_fan_only_the_draught_moves_air(build_case: Any) -> None:
    _, _, nodes = solved(build_case(duties=STILL))
    assert 0.0 < nodes.velocity[0, 0] < 0.3
    assert nodes.ram_pressure[0] == 0.0


def test_a_stopped_fan_hinders_at_speed_and_a_running_one_pushes_at_standstill(build_case: Any) -> None:
    fast = [{"vehicle_speed": "130 km/h"}]
    _, _, with_fan = solved(build_case(duties=fast))
    _, _, without = solved(build_case(duties=fast, airflow__fan_drive="none"))
    assert with_fan.velocity[0] < without.velocity[0]
    assert with_fan.fan_pressure[0] < 0.0
    assert solved(build_case(duties=STILL))[2].fan_pressure[1] > 0.0


def test_a_pusher_has_the_denser_air(build_case: Any) -> None:
    puller, pusher = (solved(build_case(duties=STILL, airflow__fan_side=side))[2] for side in ("puller", "pusher"))
    assert pusher.velocity[1] > puller.velocity[1]


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
    assert nodes.velocity.tolist() == [[4.0], [4.0]]
    assert nodes.ram_pressure[0] == 0.0
    assert nodes.recirculation[0] == 0.0


def test_coolers_ahead_warm_the_air_more_where_there_is_less_of_it(build_case: Any) -> None:
    case = build_case(airflow__upstream=[{"name": "condenser", "heat": "6 kW"}])
    airway = prepare(case).airway
    warm = preheat(airway, np.array([3000.0, 1000.0, 0.0]))
    assert warm[0] == pytest.approx(6000.0 / (3000.0 + 100.0))
    assert warm[0] < warm[1] < warm[2] == pytest.approx(60.0)


def test_a_clutch_between_nodes_is_a_straight_line(build_case: Any) -> None:
    plant, _, nodes = solved(build_case("pickup", STILL))
    at_node, between = air_at(plant.airway, nodes, one(0.5)), air_at(plant.airway, nodes, one(0.6))
    assert at_node.velocity == pytest.approx(nodes.velocity[2])
    assert between.velocity == pytest.approx(0.6 * nodes.velocity[2] + 0.4 * nodes.velocity[3])


def test_three_unlike_members_equal_three_single_ones(build_case: Any) -> None:
    duties = [{"vehicle_speed": "0 km/h", "ambient": "-30 degC"}, {"air_velocity": "2 m/s"},
              {"vehicle_speed": "180 km/h", "ambient": "45 degC", "altitude": "2500 m"}]
    together = solved(build_case(duties=duties))[2]
    for i, duty in enumerate(duties):
        alone = solved(build_case(duties=[duty]))[2]
        assert together.velocity[:, i] == pytest.approx(alone.velocity[:, 0], rel=1e-9)
        assert together.fan_flow[:, i] == pytest.approx(alone.fan_flow[:, 0], rel=1e-9)
