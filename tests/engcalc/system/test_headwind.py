"""A headwind adds to the vehicle's speed for air drag and for the air in front of the radiator."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from engcalc.case.conditions import Conditions, only_given
from engcalc.components.engine import prepare_engine, road_power
from engcalc.components.surface import surface_growth
from engcalc.system.airflow import air_of, solve_air
from engcalc.system.plant import prepare

BODY = {"vehicle__drag_coefficient": "0.30", "vehicle__frontal_area": "2.2 m2"}
WINDS = np.array([-20.0, -10.0, -3.0, 0.0, 3.0, 10.0, 20.0])  # m/s


def asked(speed: float, headwind: Any) -> Conditions:
    """A level road in air of 15 degC at sea level, 1.225 kg/m3 (ICAO standard atmosphere)."""
    air = np.full(1, 288.15)
    return only_given(vehicle_speed=np.full(1, speed), headwind=np.atleast_1d(headwind), ambient=air)


def test_the_drag_is_that_of_the_air_and_the_work_that_of_the_road(build_case: Any) -> None:
    # by hand: rho/2 c_d A = 0.40425 kg/m; at 80 km/h against 20 km/h the air comes at 100 km/h, so that
    # the drag is 0.40425 * 27.778^2 = 311.9 N in place of 0.40425 * 22.222^2 = 199.6 N, over 22.222 m a second 2495 W
    engine = prepare_engine(build_case("family car", [{}], **BODY))
    still, against = (road_power(engine, asked(80.0 / 3.6, w / 3.6))[0] for w in (0.0, 20.0))
    assert against - still == pytest.approx(2495.4, rel=1e-3)


def test_wind_from_behind_that_is_faster_pushes(build_case: Any) -> None:
    # by hand: at 20 km/h with 50 km/h from behind the air comes at -30 km/h: -0.40425 * 8.333^2 = -28.07 N
    # in place of 0.40425 * 5.556^2 = 12.48 N, over 5.556 m a second 225.3 W less
    engine = prepare_engine(build_case("family car", [{}], **BODY))
    still, behind = (road_power(engine, asked(20.0 / 3.6, w / 3.6))[0] for w in (0.0, -50.0))
    assert still - behind == pytest.approx(225.3, rel=1e-3)


def test_more_headwind_asks_more_power_and_brings_more_ram_air(build_case: Any) -> None:
    case = build_case("family car", [{}])
    plant, c = prepare(case), asked(15.0, WINDS)
    power = road_power(plant.engine, c)
    assert (np.diff(power) > 0.0).all()
    nodes = solve_air(plant.airway, plant.core, air_of(c, np.full(1, 360.0)), c, np.full(1, 40.0))
    ram = nodes.ram_pressure
    assert ram[0] == 0.0  # from behind, faster than the vehicle: none reaches the radiator
    assert (np.diff(ram) > 0.0).all()
    assert (np.diff(nodes.velocity[0, 0]) > 0.0).all()
    assert (np.diff(nodes.recirculation) < 0.0).all()


def test_the_ram_is_that_of_the_speed_of_the_air(build_case: Any) -> None:
    plant = prepare(build_case("family car", [{}]))

    def ram(speed: float, wind: float) -> float:
        c = asked(speed, wind)
        air = air_of(c, np.full(1, 360.0))
        return float(solve_air(plant.airway, plant.core, air, c, np.full(1, 40.0)).ram_pressure[0])

    assert ram(0.0, 20.0) == ram(20.0, 0.0) == ram(25.0, -5.0) > 0.0


def test_the_engines_surface_feels_no_wind_from_behind() -> None:
    assert surface_growth(np.array([-20.0, -1.0, 0.0])).tolist() == [1.0, 1.0, 1.0]
