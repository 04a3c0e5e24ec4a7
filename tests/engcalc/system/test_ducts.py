"""Air ways other than behind a grille: ducts, a radiator at the rear, a fan that stands in the way, uneven air."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from engcalc.case.case import Case
from engcalc.case.conditions import conditions_of
from engcalc.components.core import CoreFlows, evaluate
from engcalc.components.fan import fan_pressure
from engcalc.properties.air import air_state
from engcalc.system.in_time.drive import steady_drive
from engcalc.system.in_time.warmup import warm_up
from engcalc.system.operating_point import solve
from engcalc.system.plant import Plant, prepare
from engcalc.system.state import OperatingPoint

FAST = {"vehicle_speed": "120 km/h", "ambient": "25 degC", "fan": "off", "relative_humidity": "0 %"}


def one(x: float) -> np.ndarray:
    return np.full(1, x)


def answer(case: Case) -> tuple[Plant, OperatingPoint]:
    plant = prepare(case)
    return plant, solve(plant, conditions_of(case.duties))


def test_the_losses_of_a_duct_are_those_of_the_textbook(build_case: Any) -> None:
    """Entry loss, Borda and Carnot's widening less what a diffuser wins back, and the head lost at the exit less its
    diffuser's: White, Fluid Mechanics, 6th edition, section 6.9 (eq. 6.80 for the widening), from memory."""
    plain = prepare(build_case("family car")).airway
    face, opening, leaves = 0.38 * 0.64, 0.14, 0.22  # m2, of the class
    opened = face / opening
    assert plain.zeta == pytest.approx(3.0 + 0.5 * opened**2 + (opened - 1.0) ** 2)
    assert plain.zeta_exit == pytest.approx((face / leaves) ** 2)
    ducted = {"inlet_loss": "0.05", "inlet_diffuser": "60 %", "exit_recovery": "30 %"}
    airway = prepare(build_case("family car", **{f"airflow__{k}": v for k, v in ducted.items()})).airway
    assert airway.zeta == pytest.approx(3.0 + 0.05 * opened**2 + 0.4 * (opened - 1.0) ** 2)
    assert airway.zeta_exit == pytest.approx(0.7 * (face / leaves) ** 2)


def test_an_exit_that_draws_adds_to_the_ram(build_case: Any) -> None:
    """The driving pressure is (k - c) rho/2 u^2: coefficients of pressure at opening and exit, by their definition."""
    rho, q = 101325.0 / (287.05 * 298.15), 0.5 * (120.0 / 3.6) ** 2
    for coefficient, ram in ((0.0, 0.7), (-0.2, 0.9), (0.3, 0.4), (0.9, 0.0)):
        _, point = answer(build_case("family car", [FAST], airflow__exit_pressure=str(coefficient)))
        assert point.ram_pressure == pytest.approx(ram * rho * q, rel=1e-3, abs=1e-9)


def test_a_stopped_fan_takes_a_stated_share_of_its_curve(build_case: Any) -> None:
    """At the flow that was found, ram pays for losses, core and the fan: share times its parabola (no source)."""
    velocities = []
    for share in (0.0, 0.25, 1.0, 4.0):
        case = build_case("family car", [FAST], airflow__fan_stopped=f"{100 * share} %", airflow__fan_side="pusher")
        plant, point = answer(case)
        free, stall, rho = 2700.0 / 3600.0, 230.0, 101325.0 / (287.05 * 298.15)
        x = point.fan_flow[0] / free
        assert point.fan_pressure == pytest.approx(-share * stall * rho / 1.2 * x**2, rel=2e-3, abs=0.5)
        driven = fan_pressure(plant.airway.fan, one(2.0 * free), one(0.0), one(1.2))
        assert driven == pytest.approx(-4.0 * share * stall)
        velocities.append(float(point.air_velocity[0]))
    assert velocities == sorted(velocities, reverse=True)
    assert velocities[-1] < 0.75 * velocities[0]  # a close shroud blocks the ram; ours, no source


def test_a_fan_that_runs_is_not_held_back(build_case: Any) -> None:
    duty = {"vehicle_speed": "0 km/h", "fan": "on", "ambient": "35 degC"}
    free, close = (answer(build_case("family car", [duty], airflow__fan_stopped=x))[1] for x in ("5 %", "400 %"))
    assert close.air_velocity == pytest.approx(free.air_velocity)


@pytest.mark.parametrize("passed", [0.0, 12.0])
def test_air_of_a_warm_bay_enters_warmer(build_case: Any, passed: float) -> None:
    """Nothing comes round again at 120 km/h but a little: the air into the core is outside plus the rise."""
    case = build_case(
        "family car", [{**FAST, "fan": "on"}], airflow__intake_rise=f"{passed} K", airflow__recirculation="0 %"
    )
    plant, point = answer(case)
    assert point.air_in == pytest.approx(298.15 + passed)
    end = warm_up(plant, steady_drive(conditions_of(case.duties), point.coolant_out + 2.0, 1800.0))
    assert end.coolant[-1] == pytest.approx(point.coolant_out, abs=0.1)  # K; our own bound


def test_coolers_ahead_stand_in_the_warm_air(build_case: Any) -> None:
    case = build_case(
        "family car",
        [{**FAST, "air_conditioning": "on"}],
        airflow__intake_rise="12 K",
        airflow__recirculation="0 %",
        airflow__upstream=[{"kind": "condenser", "heat": "6 kW"}],
    )
    _, point = answer(case)
    C_air = point.core.C_air[0]
    assert point.air_in == pytest.approx(298.15 + 12.0 + 6000.0 / C_air, abs=1e-6)


def test_uneven_air_lowers_the_conductance_by_what_was_stated(build_case: Any) -> None:
    even, uneven = (answer(build_case("family car", [FAST], airflow__uneven_air=x))[0] for x in ("0 %", "8 %"))
    assert uneven.ua_scale == pytest.approx(0.92 * even.ua_scale)
    assert uneven.known_scale == pytest.approx(even.known_scale)  # what another core in the vehicle is scaled by


@pytest.mark.parametrize(("spread", "low", "high"), [(0.2, 0.01, 0.02), (1.0 / 3.0, 0.03, 0.055)])
def test_what_the_help_says_of_uneven_air_is_so(build_case: Any, spread: float, low: float, high: float) -> None:
    """A velocity of two steps, each half of the face an exchanger by itself: Shah & Sekulic, Fundamentals of Heat
    Exchanger Design (2003), section 12.1.1. That the loss is small up to a spread of 0.5 Ng, Johnson and Watkins found
    for nine car radiators (Proc. IMechE D 219 (2005) 1451)."""
    plant = prepare(build_case("family car"))
    air, hot = air_state(one(303.15), one(101325.0), one(0.0)), plant.coolant.state(one(363.15))

    def heat(velocity: float, factor: float = 1.0) -> float:
        flows = CoreFlows(air, hot, one(velocity), one(1.8), one(303.15), one(368.15))
        return float(evaluate(plant.core, flows, plant.arrangement, factor).Q[0])

    for velocity in (2.0, 5.0, 10.0):
        of_halves = 0.5 * (heat(velocity * (1.0 + spread)) + heat(velocity * (1.0 - spread)))
        assert heat(velocity, 1.0 - high) < of_halves < heat(velocity, 1.0 - low)
