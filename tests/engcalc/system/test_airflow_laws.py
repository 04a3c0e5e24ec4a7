"""The air's way written out once more by hand, its numbers as plain numbers, at and about their bounds.

All of its own numbers are common practice, no source, but for standard gravity (ISO 80000-3).
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from scipy.optimize import brentq

from engcalc.case.conditions import Conditions, conditions_of
from engcalc.components.core import air_total_loss
from engcalc.components.fan import fan_pressure, speed_ratio
from engcalc.properties.air import air_state, humidity_ratio
from engcalc.system.airflow import (
    AirNodes,
    AirPoint,
    Airway,
    Shutter,
    air_at,
    air_of,
    air_warmed,
    shutter_opening,
    shutter_weights,
    solve_air,
    thinned,
)
from engcalc.system.plant import Plant, prepare

ROUND = np.full(1, 363.15)
FACE, HEIGHT = 0.38 * 0.64, 0.38  # m2, m; the family car's core


def airway_of(build_case: Any, duty: dict[str, str] | None = None, **fields: Any) -> tuple[Plant, Conditions]:
    case = build_case("family car", [duty or {"vehicle_speed": "40 km/h"}], **fields)
    return prepare(case), conditions_of(case.duties)


def solved(plant: Plant, conditions: Conditions, rpm: float = 2000.0) -> AirNodes:
    return solve_air(plant.airway, plant.core, air_of(conditions, ROUND), conditions, np.full(1, rpm / 60.0))


# ---- what no duty changes ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("opening", "shutter", "counts"), [(0.14, 1.0, 1.0), (0.30, 1.0, 1.0), (0.14, 0.4, 0.4), (0.14, 0.0, 0.02)]
)
def test_a_grille_loses_half_a_head_at_entry_and_the_sudden_widening(
    opening: float, shutter: float, counts: float, build_case: Any
) -> None:
    """Borda & Carnot: (A_face/A_open - 1)^2, none where the opening is the wider; a shut shutter leaks 2 %."""
    upstream = [
        {"name": "condenser", "flow_resistance": "2", "face_share": "80 %"},
        {"name": "oil", "flow_resistance": "3"},
    ]
    plant, _ = airway_of(
        build_case,
        airflow__opening_area=f"{opening} m2",
        airflow__exit_area="0.22 m2",
        airflow__shutter=f"{100 * shutter} %",
        airflow__system_loss="3",
        airflow__upstream=upstream,
    )
    ahead = build_case(airflow__upstream=upstream).airflow.upstream
    coolers = sum(float((one.flow_resistance * one.face_share)[0]) for one in ahead)
    assert coolers > 1.6
    ratio = FACE / (opening * counts)
    zeta = 3.0 + 0.5 * ratio**2 + max(ratio - 1.0, 0.0) ** 2 + coolers
    assert plant.airway.zeta == pytest.approx([zeta], rel=1e-9)
    assert plant.airway.zeta_exit == pytest.approx([(FACE / 0.22) ** 2], rel=1e-9)
    assert plant.airway.height == pytest.approx([HEIGHT])
    assert plant.airway.shutter is None


@pytest.mark.parametrize(
    ("seals", "comes_round", "ram", "recirculation"),
    [
        ("fitted", "8 %", 0.6, 0.08),
        ("missing", "8 %", 0.42, 0.2),
        ("missing", "36 %", 0.42, 0.9),
        ("missing", "40 %", 0.42, 0.9),
    ],
)
def test_without_seals_ram_is_lost_and_more_hot_air_comes_round(
    seals: str, comes_round: str, ram: float, recirculation: float, build_case: Any
) -> None:
    """0.7 of the ram, 2.5 times the recirculation, at most 90 %."""
    plant, _ = airway_of(
        build_case, airflow__seals=seals, airflow__recirculation=comes_round, airflow__ram_recovery="60 %"
    )
    assert plant.airway.ram_recovery == pytest.approx([ram])
    assert plant.airway.recirculation == pytest.approx([recirculation])


@pytest.mark.parametrize(
    ("drive", "nodes"),
    [
        ("electric", (0.0, 1.0)),
        ("fixed", (0.0, 1.0)),
        ("none", (0.0,)),
        ("viscous clutch", (0.0, 0.25, 0.5, 0.75, 1.0)),
    ],
)
def test_engagements_at_which_a_fan_is_solved(drive: str, nodes: tuple[float, ...], build_case: Any) -> None:
    plant, _ = airway_of(build_case, airflow__fan_drive=drive)
    assert plant.airway.engagements == nodes


def test_an_active_shutter_is_solved_at_five_openings(build_case: Any) -> None:
    control = {
        "airflow__shutter_control": "active",
        "airflow__shutter_opens": "80 degC",
        "airflow__shutter_full": "95 degC",
    }
    plant, conditions = airway_of(build_case, airflow__shutter="90 %", **control)
    assert plant.airway.shutter is not None
    assert (plant.airway.shutter.opens[0], plant.airway.shutter.full[0]) == (353.15, 368.15)
    fixed = [airway_of(build_case, airflow__shutter=f"{90 * k} %")[0] for k in (0.0, 0.1, 0.25, 0.5, 1.0)]
    assert plant.airway.zeta[:, 0] == pytest.approx([p.airway.zeta[0] for p in fixed])
    nodes = solved(plant, conditions)
    for i, one in enumerate(fixed):
        alone = solved(one, conditions)
        for name in ("velocity", "fan_flow", "fan_pressure"):
            assert getattr(nodes, name)[i] == pytest.approx(getattr(alone, name), rel=1e-9), name
    assert nodes.ram_pressure == pytest.approx(solved(fixed[0], conditions).ram_pressure)


# ---- the balance, solved by scipy -------------------------------------------------------------------------------


def balance(plant: Plant, conditions: Conditions, rpm: float, heated: bool, engaged: float | None) -> float:
    """Velocity at the face [m/s] of one stream, not warmed or warmed; ``engaged`` None: beside the shroud."""
    air, airway = air_of(conditions, ROUND), plant.airway
    rho = float(air.fluid.rho[0])
    warmed = float(air.T_hot[0] / air.ambient[0]) if heated else 1.0
    ram = float(airway.ram_recovery[0]) * 0.5 * rho * float(conditions.vehicle_speed[0]) ** 2
    draught = rho * (1.0 - 1.0 / warmed) * 9.80665 * HEIGHT / 2.0
    zeta = float(airway.zeta[0]) + float(airway.zeta_exit[0]) * warmed
    puller = airway.fan.side.value == "puller"
    rho_fan = rho / warmed if puller else rho
    share = FACE * float(airway.coverage[0]) / float(airway.fan.count[0]) * (warmed if puller else 1.0)
    turns = None if engaged is None else speed_ratio(airway.fan, np.full(1, rpm / 60.0), np.array([engaged]))

    def left_over(v: float) -> float:
        core = float(air_total_loss(plant.core, np.full(1, v), air.fluid, np.full(1, warmed))[0])
        fan = 0.0
        if turns is not None:
            fan = float(fan_pressure(airway.fan, np.full(1, v * share), turns, np.full(1, rho_fan))[0])
        return ram + draught + fan - 0.5 * rho * zeta * v**2 - core

    return float(brentq(left_over, 1e-9, 60.0, xtol=1e-13))


@pytest.mark.parametrize("heated", [False, True])
@pytest.mark.parametrize(
    "fields",
    [
        {},
        {"airflow__shroud_coverage": "60 %", "airflow__fan_count": "2"},
        {"airflow__fan_side": "pusher", "airflow__seals": "missing"},
        {"airflow__fan_drive": "viscous clutch", "airflow__upstream": [{"name": "oil", "flow_resistance": "4"}]},
    ],
)
@pytest.mark.parametrize("speed", ["0 km/h", "40 km/h", "150 km/h"])
def test_both_streams_close_and_brentq_agrees(
    speed: str, fields: dict[str, Any], heated: bool, build_case: Any
) -> None:
    plant, conditions = airway_of(build_case, {"vehicle_speed": speed, "altitude": "500 m"}, **fields)
    if speed == "0 km/h" and not heated:
        conditions = conditions.replace(vehicle_speed=np.full(1, 1.0))  # else nothing moves it but the fan
    nodes, airway = solved(plant, conditions, 2400.0), plant.airway
    coverage, row = float(airway.coverage[0]), int(heated)
    beside = balance(plant, conditions, 2400.0, heated, None)
    air = air_of(conditions, ROUND)
    warmed = float(air.T_hot[0] / air.ambient[0]) if heated and airway.fan.side.value == "puller" else 1.0
    for k, engaged in enumerate(airway.engagements):
        under = balance(plant, conditions, 2400.0, heated, engaged)
        mean = coverage * under + (1.0 - coverage) * beside
        assert nodes.velocity[row, k, 0] == pytest.approx(mean, rel=1e-7)
        assert nodes.fan_flow[row, k, 0] == pytest.approx(under * FACE * coverage * warmed, rel=1e-7)
        turns = speed_ratio(airway.fan, np.full(1, 40.0), np.array([engaged]))
        rho = np.full(1, float(air.fluid.rho[0]) / warmed)
        per_fan = np.full(1, under * FACE * coverage * warmed / float(airway.fan.count[0]))
        wanted = float(fan_pressure(airway.fan, per_fan, turns, rho)[0])
        assert nodes.fan_pressure[row, k, 0] == pytest.approx(wanted, rel=1e-6, abs=1e-6)


def test_a_given_velocity_counts_for_its_own_member_alone(build_case: Any) -> None:
    plant, conditions = airway_of(build_case, {"vehicle_speed": "90 km/h"})
    both = conditions.replace(air_velocity=np.array([np.nan, 4.0]))
    nodes, plain = solved(plant, both), solved(plant, conditions)
    for name in ("velocity", "fan_flow", "fan_pressure"):
        assert getattr(nodes, name)[..., 0] == pytest.approx(getattr(plain, name)[..., 0], rel=1e-9)
    assert (nodes.velocity[..., 1] == 4.0).all()
    for name in ("fan_flow", "fan_pressure", "ram_pressure", "recirculation"):
        assert (getattr(nodes, name)[..., 1] == 0.0).all()
        assert (getattr(plain, name) != 0.0).all()


def test_recirculation_is_halved_at_ten_pascal_of_ram(build_case: Any) -> None:
    plant, conditions = airway_of(build_case, airflow__recirculation="8 %", airflow__ram_recovery="70 %")
    rho = float(air_of(conditions, ROUND).fluid.rho[0])
    for ram, share in ((10.0, 0.04), (30.0, 0.02)):
        at = conditions.replace(vehicle_speed=np.full(1, (2.0 * ram / 0.7 / rho) ** 0.5))
        nodes = solved(plant, at)
        assert nodes.ram_pressure == pytest.approx([ram])
        assert nodes.recirculation == pytest.approx([share])


# ---- the air's state --------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("coolant", "hot"),
    [
        (363.15, 293.15 + 49.0),
        (330.0, 293.15 + 0.7 * 36.85),
        (323.15, 293.15 + 21.0),
        (318.15, 313.15),
        (290.0, 313.15),
    ],
)
def test_warmed_air_is_solved_at_seven_tenths_of_coolant_over_ambient_and_its_film_at_three(
    coolant: float, hot: float, build_case: Any
) -> None:
    """At least 20 K over the ambient; a film is never colder than the air."""
    conditions = airway_of(build_case, {"ambient": "20 degC", "relative_humidity": "40 %", "altitude": "300 m"})[1]
    air = air_of(conditions, np.full(1, coolant))
    assert air.T_hot == pytest.approx([hot])
    T = np.full(1, 293.15)
    assert pytest.approx(humidity_ratio(T, np.full(1, 0.4), air.p)) == air.W
    film = air_state(T + 0.3 * max(coolant - 293.15, 0.0), air.p, air.W)
    for name in ("cp", "k", "mu"):
        assert getattr(air.fluid, name) == pytest.approx(getattr(film, name), rel=1e-12)


def test_air_thins_from_none_at_ambient_to_one_at_the_node(build_case: Any) -> None:
    plant, conditions = airway_of(build_case, {"ambient": "20 degC"})
    nodes = solved(plant, conditions)
    T_hot = float(air_of(conditions, ROUND).T_hot[0])
    T = np.array([280.0, 293.15, 320.0, T_hot, 400.0])
    wanted = np.maximum(1.0 - 293.15 / T, 0.0) / (1.0 - 293.15 / T_hot)
    assert thinned(nodes, T) == pytest.approx(wanted)
    assert thinned(nodes, np.array([T_hot])) == pytest.approx([1.0])


def test_between_the_nodes_all_of_a_point_goes_in_a_straight_line() -> None:
    point = AirPoint(np.array([[1.0], [3.0]]), np.array([[2.0], [1.0]]), np.array([[10.0], [-20.0]]))
    found = air_warmed(point, np.full(1, 0.25))
    assert (found.velocity[0], found.fan_flow[0], found.fan_pressure[0]) == (1.5, 1.75, 2.5)
    assert air_warmed(AirPoint(*(np.zeros((2, 1)),) * 3), np.zeros(1)).velocity.tolist() == [1e-12]


# ---- shutter and clutch -----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("degC", "conditioning", "opening"),
    [
        (70.0, 0.0, 0.0),
        (80.0, 0.0, 0.0),
        (83.0, 0.0, 0.2),
        (95.0, 0.0, 1.0),
        (110.0, 0.0, 1.0),
        (70.0, 0.01, 0.5),
        (83.0, 1.0, 0.5),
        (92.0, 1.0, 0.8),
    ],
)
def test_a_shutter_opens_in_a_straight_line_and_half_for_a_condenser(
    degC: float, conditioning: float, opening: float
) -> None:
    shutter = Shutter(np.full(1, 353.15), np.full(1, 368.15))
    found = shutter_opening(shutter, np.full(1, degC + 273.15), np.full(1, conditioning))
    assert found == pytest.approx([opening])


def test_a_shutter_that_opens_at_once_takes_a_kelvin() -> None:
    shutter = Shutter(np.full(1, 353.15), np.full(1, 353.15))
    found = shutter_opening(shutter, np.array([353.15, 353.4, 354.15]), np.zeros(1))
    assert found == pytest.approx([0.0, 0.25, 1.0])


@pytest.mark.parametrize(
    ("opened", "weights"),
    [
        (0.0, [1, 0, 0, 0, 0]),
        (0.05, [0.5, 0.5, 0, 0, 0]),
        (0.1, [0, 1, 0, 0, 0]),
        (0.22, [0, 0.2, 0.8, 0, 0]),
        (0.3, [0, 0, 0.8, 0.2, 0]),
        (0.75, [0, 0, 0, 0.5, 0.5]),
        (1.0, [0, 0, 0, 0, 1]),
        (1.4, [0, 0, 0, 0, 1]),
    ],
)
def test_between_its_openings_a_shutter_is_a_straight_line(opened: float, weights: list[float]) -> None:
    found = np.stack(shutter_weights(np.full(1, opened)))[:, 0]
    assert found == pytest.approx(weights, abs=1e-12)


def made_up(airway: Airway, nodes: AirNodes, tables: np.ndarray) -> tuple[Airway, AirNodes]:
    """Nodes with these tables as velocity, twice it as flow, thrice as pressure."""
    engagements = tuple(np.linspace(0.0, 1.0, tables.shape[-2]).tolist())
    return replace(airway, engagements=engagements), replace(
        nodes, velocity=tables, fan_flow=2.0 * tables, fan_pressure=3.0 * tables
    )


@pytest.mark.parametrize(
    ("engaged", "expected"), [(0.0, 1.0), (0.1, 1.4), (0.25, 2.0), (0.5, 7.0), (0.6, 8.2), (1.0, 20.0), (1.3, 20.0)]
)
def test_a_clutch_is_read_along_the_lines_between_its_nodes(engaged: float, expected: float, build_case: Any) -> None:
    plant, conditions = airway_of(build_case)
    table = np.array([1.0, 2.0, 7.0, 10.0, 20.0])[None, :, None] * np.array([1.0, 10.0])[:, None, None]
    airway, nodes = made_up(plant.airway, solved(plant, conditions), table)
    for shape in ((1,), (3, 1)):
        found = air_at(airway, nodes, np.full(shape, engaged))
        assert found.velocity[0] == pytest.approx(np.full(shape, expected))
        assert found.velocity[1] == pytest.approx(np.full(shape, 10.0 * expected))
        assert found.fan_flow == pytest.approx(2.0 * found.velocity)
        assert found.fan_pressure == pytest.approx(3.0 * found.velocity)


def test_without_a_fan_engagement_changes_nothing(build_case: Any) -> None:
    plant, conditions = airway_of(build_case)
    airway, nodes = made_up(plant.airway, solved(plant, conditions), np.array([[[4.0]], [[3.0]]]))
    found = air_at(airway, nodes, np.array([0.0, 0.7]))
    assert found.velocity.tolist() == [[4.0, 4.0], [3.0, 3.0]]


def test_an_active_shutter_is_read_between_its_nodes_at_each_engagement(build_case: Any) -> None:
    plant, conditions = airway_of(build_case)
    per_opening = np.array([1.0, 2.0, 4.0, 8.0, 16.0])[:, None, None, None]
    table = per_opening * np.array([1.0, 3.0])[None, None, :, None] * np.ones((1, 2, 1, 1))
    airway, nodes = made_up(plant.airway, solved(plant, conditions), table)
    found = air_at(airway, nodes, np.full(1, 0.5), np.full(1, 0.3))
    assert found.velocity == pytest.approx(np.full((2, 1), 2.0 * (0.8 * 4.0 + 0.2 * 8.0)))
    assert found.fan_pressure == pytest.approx(3.0 * found.velocity)
