"""The coupled operating point: balances, limiting cases in closed form, an independent solution."""

from __future__ import annotations

from dataclasses import fields, replace
from math import log, sqrt
from typing import Any

import numpy as np
import pytest
from CoolProp.CoolProp import PropsSI
from ht import effectiveness_from_NTU
from scipy.optimize import brentq

from engcalc.case.case import with_values
from engcalc.case.catalogue import DeclaredInput, members
from engcalc.case.conditions import TYPED_NUMBERS, conditions_of
from engcalc.case.declare import FileShape, Input
from engcalc.case.records import Duty
from engcalc.case.sections import Sections
from engcalc.system.operating_point import solve
from engcalc.system.plant import Assumption, Plant, prepare
from engcalc.system.state import REGIMES, STATUSES, OperatingPoint, Regime, Status
from engcalc.units import parse

CLASSES = [
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
ZERO = 273.15  # K


def run(case: Any) -> OperatingPoint:
    return solve(prepare(case), conditions_of(case.duties))


def status(point: OperatingPoint) -> list[Status]:
    return [STATUSES[i] for i in point.status]


def regime(point: OperatingPoint) -> list[Regime]:
    return [REGIMES[i] for i in point.regime]


def arrays(point: OperatingPoint) -> dict[str, np.ndarray]:
    return {f.name: getattr(point, f.name) for f in fields(point) if f.name != "core"}


def duties_of(vehicle: str) -> list[dict[str, str]]:
    heavy, tractor = "truck" in vehicle, vehicle == "tractor"
    ways: list[dict[str, str]] = [
        {},
        {"heater": "high"},
        {"vehicle_speed": "15 km/h" if tractor else "50 km/h"},
        {"vehicle_speed": "30 km/h" if tractor else "80 km/h" if heavy else "120 km/h"},
        {"vehicle_speed": "8 km/h", "brake_power": "85 kW"}
        if tractor
        else {"vehicle_speed": "40 km/h" if heavy else "70 km/h", "grade": "5 %" if heavy else "6 %"},
    ]
    return [{**way, "ambient": f"{c} degC"} for c in (-20, 0, 20, 35, 45) for way in ways]


@pytest.mark.parametrize("vehicle", CLASSES)
@pytest.mark.parametrize("side", ["outlet", "inlet"])
def test_every_class_has_an_answer_that_balances(vehicle: str, side: str, build_case: Any) -> None:
    """Finite numbers, a status, shares within 0 and 1, energy and mass closed to 1e-6."""
    point = run(build_case(vehicle, duties_of(vehicle), thermostat__side=side))
    assert status(point) == [Status.SOLVED] * 25
    for name, values in arrays(point).items():
        assert values.shape == (25,), name
        assert np.isfinite(values).all() or name == "time_to_boil", name
    heat = point.heat_to_metal + point.extra_heat
    assert np.all(np.abs(point.energy_residual) < 1e-6 * heat)
    assert point.heat_to_coolant == pytest.approx(point.radiator_heat + point.heater_heat + point.hose_heat)
    assert point.radiator_mass_flow + point.heater_mass_flow + point.bypass_mass_flow == pytest.approx(
        point.coolant_mass_flow, rel=1e-9
    )
    assert point.fuel_power == pytest.approx(
        point.brake_power + point.heat_to_metal + point.heat_exhaust + point.heat_rest, rel=1e-9
    )
    for share in (point.opening, point.on_share, point.fan_share):
        assert np.all((share >= 0.0) & (share <= 1.0))
    assert np.all(point.span_low <= point.span_high)


def test_the_trailers_drag_reaches_engine_and_coolant(build_case: Any) -> None:
    """A tow at 90 km/h: some 20 kW at the crankshaft without the trailer's drag, some 40 kW with it.

    Forces at the wheels worked out by hand in tests/engcalc/components/test_engine.py: 741.5 N without, 1503.5 N with.
    By 25 m/s, over a driveline of 90 %, and 0.2 kW of accessories for each of 2 litres: 21.00 kW and 42.16 kW.
    """
    tow = {"vehicle_speed": "90 km/h", "trailer_mass": "1800 kg", "ambient": "20 degC", "relative_humidity": "0 %"}
    duties = [
        {**tow, "trailer_frontal_area": "0 m2"},
        {**tow, "trailer_drag_coefficient": "0"},
        tow,
        {**tow, "trailer_frontal_area": "4.5 m2", "trailer_drag_coefficient": "0.45"},
    ]
    point = run(
        build_case(
            "family car",
            duties,
            vehicle__mass="1900 kg",
            vehicle__drag_coefficient="0.35",
            vehicle__frontal_area="2.6 m2",
            vehicle__rolling_coefficient="0.011",
            vehicle__driveline_efficiency="90 %",
            engine__displacement="2.0 L",
        )
    )
    assert point.brake_power == pytest.approx([21.00e3, 21.00e3, 42.16e3, 42.16e3], rel=1e-3)  # as the forces by hand
    assert point.heat_to_coolant[2] > 1.2 * point.heat_to_coolant[0]


@pytest.mark.parametrize("vehicle", CLASSES)
def test_healthy_vehicles_hold(vehicle: str, build_case: Any) -> None:
    """No class comes near 110 degC on the road, on a hill or standing with its fan at 35 degC (common practice)."""
    point = run(build_case(vehicle, [d for d in duties_of(vehicle) if d["ambient"] == "35 degC"]))
    assert np.all(point.coolant_out < 110.0 + ZERO)
    assert np.all(point.coolant_out > 55.0 + ZERO)


@pytest.mark.parametrize("side", ["outlet", "inlet"])
def test_first_law_round_the_loop(side: str, build_case: Any) -> None:
    """The mixture of radiator, heater and bypass returns is what enters the engine; at the inlet the wax feels it."""
    case = build_case(duties=[{"vehicle_speed": "120 km/h", "heater": "high"}], thermostat__side=side)
    point = run(case)
    cp = point.core.flows.coolant.cp
    heater_out = point.coolant_out - (point.heater_heat + point.hose_heat) / (point.heater_mass_flow * cp)
    mixed = (
        point.radiator_mass_flow * point.radiator_out
        + point.heater_mass_flow * heater_out
        + point.bypass_mass_flow * point.coolant_out
    ) / point.coolant_mass_flow
    assert point.coolant_in == pytest.approx(mixed, abs=1e-6)
    assert point.wax == pytest.approx(point.coolant_in if side == "inlet" else point.coolant_out, abs=1e-6)
    made = point.heat_to_metal + point.extra_heat - point.surface_heat
    assert point.coolant_rise * point.coolant_mass_flow * cp == pytest.approx(made, rel=1e-6)


def bench(build_case: Any, **more: Any) -> Any:
    return build_case(
        "bench rig",
        [{"coolant_flow": "12 L/min", "air_velocity": "3 m/s", "ambient": "20 degC"}],
        circuit__extra=[{"name": "immersion heater", "heat": "6 kW"}],
        **more,
    )


def test_limiting_case_without_heater_valve_and_surface(build_case: Any) -> None:
    """T_out = T_air + Q/(eps C_min), eps by another library's exact crossflow integral from the reported UA."""
    point = run(bench(build_case, engine__surface_conductance="0 W/K"))
    core = point.core
    C = sorted((float(core.C_air[0]), float(core.exchange.C_hot[0])))
    eps = effectiveness_from_NTU(float(core.UA[0]) / C[0], C[0] / C[1], subtype="crossflow")
    assert regime(point) == [Regime.FREE]
    assert point.coolant_out[0] == pytest.approx(293.15 + 6000.0 / (eps * C[0]), rel=1e-6)
    assert point.radiator_heat[0] == pytest.approx(6000.0, rel=1e-6)
    assert point.radiator_mass_flow[0] == pytest.approx(12e-3 / 60.0 * core.flows.coolant.rho[0])
    assert point.air_velocity[0] == 3.0


def test_recirculated_air_in_closed_form(build_case: Any) -> None:
    """Air in = (1 - r) ambient + r air out, with r as stated at standstill and no cooler ahead."""
    case = build_case("family car", [{"fan": "on", "ambient": "30 degC"}], airflow__recirculation="20 %")
    point = run(case)
    assert point.air_in[0] == pytest.approx(0.8 * 303.15 + 0.2 * point.core.T_air_out[0], rel=1e-9)


def scalar_outlet(plant: Plant, point: OperatingPoint, ambient: float) -> float:
    """Engine outlet [K] of one family car with its heater off, every part again as scalars.

    CoolProp for the coolant, ht for the effectiveness, scipy for both roots; air velocity and engine heat as reported.
    """
    circuit, core = plant.circuit, plant.core
    a0, b0, b_valve = circuit.a[:, 0].tolist(), circuit.b[:, 0].tolist(), float(circuit.b_valve[0])
    a_j, b_j, c0 = float(circuit.a_jacket[0]), float(circuit.b_jacket[0]), float(circuit.pump.c[0])
    rho0, leak = float(circuit.pump.reference_density[0]), float(plant.valve.leak[0])
    start = float(plant.valve.start[0])
    Dh, area, A_tube = float(core.tube.Dh[0]), float(core.flow_area[0]), float(core.A_tube[0])
    outer = float(point.core.R_air[0] + core.R_wall[0] + core.R_fouling[0])
    made, C_air, air_in = float(point.heat_to_metal[0]), float(point.core.C_air[0]), float(point.air_in[0])
    head0 = 130e3 * (1.2 * float(point.engine_speed[0]) / (5000.0 / 60.0)) ** 2

    # 12 W/K standing still; at 100 km/h a plate of 0.4 m in wind of a tenth of that (Incropera eq. 7.38), cubes added
    forced = 0.037 * (2.77778 * 0.4 / 19e-6) ** 0.8 * 0.7 ** (1 / 3) * 0.0285 / 0.4
    hoses = float(plant.heater_hose_conductance[0])
    lost = (12.0 - hoses) * (1.0 + (forced / 9.0) ** 3) ** (1 / 3) + hoses

    def radiator_flow(s: float, rho: float, mu: float) -> float:
        closing = max(1.0 - s, 1e-6)
        A = [a0[0] * mu, a0[1] * mu, a0[2] / closing * mu]
        B = [(b0[0] + b_valve / (leak + (1.0 - leak) * s) ** 2) * rho, b0[1] * rho, b0[2] / closing**2 * rho]

        def flow(i: int, P: float) -> float:
            return (sqrt(A[i] ** 2 + 4.0 * B[i] * P) - A[i]) / (2.0 * B[i])

        def left(P: float) -> float:
            V = flow(0, P) + flow(1, P) + flow(2, P)
            return rho / rho0 * (head0 - c0 * V**2) - a_j * mu * V - b_j * rho * V**2 - P

        return flow(0, brentq(left, 0.0, 1.2 * head0, xtol=1e-9))

    def residual(T: float) -> float:
        rho, cp, k, mu = (PropsSI(name, "T", T, "P", 1e6, "INCOMP::AEG[0.5]") for name in "DCLV")
        V = radiator_flow(min(max((T - start) / 12.0, 0.0), 1.0), rho, mu)
        Re, Pr = rho * V / area * Dh / mu, mu * cp / k
        f = (0.790 * log(max(Re, 4000.0)) - 1.64) ** -2 / 8.0  # Petukhov 1970, Gnielinski 1976 and 2013
        turbulent = f * (max(Re, 4000.0) - 1000.0) * Pr / (1.0 + 12.7 * sqrt(f) * (Pr ** (2 / 3) - 1.0))
        Gz = min(Re, 2300.0) * Pr * Dh / 0.64
        laminar = float(core.tube.Nu_laminar[0]) + 0.0668 * Gz / (1.0 + 0.04 * Gz ** (2 / 3))  # Hausen 1943
        share = min(max((Re - 2300.0) / 1700.0, 0.0), 1.0)
        h = (laminar + share * (turbulent - laminar)) * k / Dh
        C = sorted((C_air, rho * V * cp))
        eps = effectiveness_from_NTU(1.0 / (outer + 1.0 / (h * A_tube)) / C[0], C[0] / C[1], subtype="crossflow")
        return made - lost * (T - ambient) - C[0] * eps * (T - air_in)

    return float(brentq(residual, 330.0, 373.0, xtol=1e-9))


SCALAR_DUTY = {"vehicle_speed": "100 km/h", "grade": "4 %", "ambient": "38 degC", "fan": "on"}


def test_against_brentq_over_the_same_balance(build_case: Any) -> None:
    """0.02 K: the committed property fits differ from CoolProp by up to 0.01 %, ht's integral by less."""
    case = build_case("family car", [SCALAR_DUTY])
    point = run(case)
    assert point.coolant_out[0] == pytest.approx(scalar_outlet(prepare(case), point, 311.15), abs=0.02)


def test_inlet_valve_puts_the_outlet_above_the_wax_by_the_rise(build_case: Any) -> None:
    """With an inlet-side valve: outlet - wax = Q/(m cp), typically 3 to 10 K (common practice)."""
    case = build_case("family car", [{"vehicle_speed": "120 km/h"}], thermostat__side="inlet")
    point = run(case)
    assert regime(point) == [Regime.REGULATING]
    rise = point.heat_to_coolant / (point.coolant_mass_flow * point.core.flows.coolant.cp)
    assert point.coolant_out - point.wax == pytest.approx(rise, rel=1e-6)
    assert 3.0 < rise[0] < 10.0


def test_regimes(build_case: Any) -> None:
    """One duty for each way in which the temperature is held."""
    road = {"vehicle_speed": "100 km/h", "ambient": "20 degC"}
    hot = {"brake_power": "55 kW", "vehicle_speed": "60 km/h", "ambient": "35 degC", "fan": "on"}
    frost = {"ambient": "-20 degC", "heater": "high"}
    assert regime(run(build_case(duties=[road, hot, frost]))) == [
        Regime.REGULATING,
        Regime.FLOATING_ABOVE,
        Regime.FLOATING_BELOW,
    ]
    assert regime(run(build_case(duties=[road], thermostat__kind="none"))) == [Regime.FREE]
    stuck = run(build_case(duties=[road], thermostat__minimum_opening="100 %"))
    assert regime(stuck) == [Regime.FLOATING_BELOW]
    assert stuck.coolant_out[0] < 75.0 + ZERO


def test_a_missing_valve_runs_cold_and_its_open_bypass_makes_it_hotter_under_load(build_case: Any) -> None:
    """A closing bypass stays open without its valve and takes flow from the radiator."""
    duties = [
        {"vehicle_speed": "100 km/h", "ambient": "0 degC"},
        {"brake_power": "70 kW", "vehicle_speed": "80 km/h", "ambient": "35 degC", "fan": "on"},
    ]
    healthy, missing, stuck = (
        run(build_case(duties=duties, **how))
        for how in ({}, {"thermostat__kind": "none"}, {"thermostat__minimum_opening": "100 %"})
    )
    assert missing.coolant_out[0] < healthy.coolant_out[0] - 20.0
    assert missing.bypass_mass_flow[1] > 0.0 == stuck.bypass_mass_flow[1]
    assert missing.coolant_out[1] > stuck.coolant_out[1]


def test_hysteresis_gives_a_span(build_case: Any) -> None:
    """Regulating: the cooling branch lies lower, by no more than the hysteresis; floating far off: no span."""
    duties = [{"vehicle_speed": "90 km/h"}, {"ambient": "-20 degC", "heater": "high"}]
    point = run(build_case(duties=duties, thermostat__hysteresis="6 K"))
    width = point.span_high - point.span_low
    assert 3.0 < width[0] <= 6.0 + 1e-6
    assert point.coolant_out[0] == pytest.approx(point.span_high[0], abs=1e-6)
    assert width[1] == pytest.approx(0.0, abs=1e-6)


def test_an_electric_fan_cycles_between_its_temperatures(build_case: Any) -> None:
    duty = {"ambient": "35 degC"}
    auto, off, on = (run(build_case(duties=[{**duty, "fan": fan}])) for fan in ("auto", "off", "on"))
    assert regime(auto) == [Regime.CYCLING]
    assert off.coolant_out[0] > 98.0 + ZERO > 93.0 + ZERO > on.coolant_out[0]
    assert auto.span_low[0] < 93.0 + ZERO < auto.coolant_out[0] < 98.0 + ZERO <= auto.span_high[0]
    assert auto.peak[0] == auto.span_high[0]
    assert 0.0 < auto.on_share[0] < 1.0
    assert abs(auto.energy_residual[0]) < 1e-6 * auto.heat_to_metal[0]
    inlet = run(build_case(duties=[duty], thermostat__side="inlet"))
    assert regime(inlet) == [Regime.CYCLING]
    assert inlet.span_low[0] < 93.0 + ZERO < inlet.coolant_out[0] < 98.0 + ZERO <= inlet.span_high[0]
    assert abs(inlet.energy_residual[0]) < 1e-6 * inlet.heat_to_metal[0]


def test_fan_stays_on_where_the_heat_asks_for_it(build_case: Any) -> None:
    duty = {"brake_power": "45 kW", "vehicle_speed": "10 km/h", "ambient": "35 degC"}
    auto, on = (run(build_case(duties=[{**duty, "fan": fan}])) for fan in ("auto", "on"))
    assert auto.on_share[0] == 1.0
    assert auto.coolant_out == pytest.approx(on.coolant_out, abs=1e-6)


def test_a_dead_end_boils_and_says_when(build_case: Any) -> None:
    """Without air the surplus at boiling is positive; the time is capacity times rise over a falling surplus."""
    duty = {"brake_power": "40 kW", "vehicle_speed": "0 km/h", "ambient": "35 degC", "fan": "off"}
    case = build_case(duties=[duty])
    point, plant = run(case), prepare(case)
    assert status(point) == [Status.BOILS]
    assert regime(point) == [Regime.NONE]
    assert point.coolant_out == pytest.approx(point.boiling)
    assert point.energy_residual[0] > 0.0
    rise = point.boiling[0] - case.thermostat.rating[0]
    capacity = plant.metal_capacity[0] + plant.coolant_volume[0] * 1031.0 * 3551.0  # AEG 50 %, 90 degC (CoolProp)
    slowest = capacity * rise / point.energy_residual[0]
    fastest = capacity * rise / point.heat_to_metal[0]
    assert fastest < point.time_to_boil[0] < slowest * 1.001
    assert 20.0 < point.time_to_boil[0] < 600.0


def test_no_flow_has_a_status_and_numbers(build_case: Any) -> None:
    for values in ({"circuit__pump_flow": "0 L/min"}, {}):
        duty = {"engine_speed": "0 rpm", "ambient": "20 degC"} if not values else {"vehicle_speed": "60 km/h"}
        point = run(build_case(duties=[duty], **values))
        assert status(point) == [Status.NO_FLOW]
        assert point.coolant_mass_flow[0] == pytest.approx(0.0, abs=1e-6)
        assert all(np.isfinite(v).all() for k, v in arrays(point).items() if k != "time_to_boil")


def test_frozen_coolant_is_outside(build_case: Any) -> None:
    case = build_case("bench rig", [{"coolant_flow": "5 L/min", "air_velocity": "3 m/s", "ambient": "-15 degC"}])
    assert status(run(case)) == [Status.OUTSIDE]


def test_held_open_valve_is_no_valve(build_case: Any) -> None:
    case = build_case(duties=[{"vehicle_speed": "100 km/h", "ambient": "-10 degC"}])
    conditions = conditions_of(case.duties)
    held = solve(prepare(case), conditions.replace(valve_held=np.ones(1)))
    free = solve(prepare(case), conditions)
    assert regime(held) == [Regime.FREE]
    assert held.opening[0] == 1.0
    assert held.coolant_out[0] < free.coolant_out[0]


def test_layout_assumptions_are_told(build_case: Any) -> None:
    plant = prepare(build_case(thermostat__side="unknown", thermostat__bypass="unknown", thermostat__kind="heated wax"))
    assert plant.assumptions == (Assumption.SIDE, Assumption.BYPASS, Assumption.NOMINAL_RATING)
    known = build_case(duties=[{"vehicle_speed": "80 km/h"}])
    assert prepare(known).assumptions == ()
    unknown = build_case(duties=[{"vehicle_speed": "80 km/h"}], thermostat__side="unknown")
    assert run(unknown).coolant_out == pytest.approx(run(known).coolant_out)


def test_an_advertised_fan_flow_is_held_against_its_power(build_case: Any) -> None:
    """A fan of 60 W cannot be one of 2700 m3/h and 230 Pa: 0.385 dp V is 66 W of air power alone."""
    duty = [{"brake_power": "30 kW", "fan": "on", "ambient": "30 degC", "vehicle_speed": "10 km/h"}]
    plain, weak, strong = (
        build_case(duties=duty, **how) for how in ({}, {"airflow__fan_power": "60 W"}, {"airflow__fan_power": "400 W"})
    )
    assert prepare(weak).assumptions == (Assumption.FAN_FLOW_CUT,)
    assert prepare(strong).assumptions == ()
    assert run(weak).coolant_out[0] > run(plain).coolant_out[0]
    assert run(strong).coolant_out[0] == run(plain).coolant_out[0]


def test_a_makers_point_scales_the_core(build_case: Any) -> None:
    duty = [{"brake_power": "60 kW", "vehicle_speed": "80 km/h", "fan": "on", "ambient": "30 degC"}]
    rated = {
        "radiator__rated_heat": "60 kW",
        "radiator__rated_coolant_flow": "100 L/min",
        "radiator__rated_air_velocity": "5 m/s",
        "radiator__rated_inlet_difference": "60 K",
    }
    plain, scaled = run(build_case(duties=duty)), run(build_case(duties=duty, **rated))
    scale = scaled.core.ua_scale[0]
    assert scale != 1.0
    assert (scaled.coolant_out[0] < plain.coolant_out[0]) == (scale > 1.0)
    impossible = build_case(duties=duty, **{**rated, "radiator__rated_heat": "900 kW"})
    assert Assumption.RATED_POINT_IMPOSSIBLE in prepare(impossible).assumptions


def test_three_unlike_duties_equal_three_single_runs_one_unsolvable(build_case: Any) -> None:
    duties = [
        {"vehicle_speed": "120 km/h", "ambient": "-20 degC", "heater": "high"},
        {"brake_power": "60 kW", "fan": "off", "ambient": "40 degC"},
        {"ambient": "35 degC"},
    ]
    together = run(build_case(duties=duties))
    assert status(together) == [Status.SOLVED, Status.BOILS, Status.SOLVED]
    for i, duty in enumerate(duties):
        alone = run(build_case(duties=[duty]))
        for name, values in arrays(together).items():
            tight = {"rel": 1e-6, "abs": 1e-2 if name == "energy_residual" else 1e-6}
            assert values[i] == pytest.approx(arrays(alone)[name][0], **tight), name


def test_an_ensemble_of_vehicles_equals_single_vehicles(build_case: Any) -> None:
    case = build_case(duties=[{"vehicle_speed": "30 km/h", "ambient": "40 degC", "brake_power": "35 kW"}])
    spread = {
        "radiator.core_height": np.array([0.2, 0.38, 0.45]),
        "circuit.pump_flow": np.array([1e-3, 2e-3, 3e-3]),
        "radiator.blocked_face": np.array([0.9, 0.0, 0.2]),
        "thermostat.closed_leak": np.array([0.0, 0.01, 0.3]),
    }
    together = run(with_values(case, spread))
    assert status(together)[0] is Status.BOILS
    for i in range(3):
        alone = run(with_values(case, {k: v[i : i + 1] for k, v in spread.items()}))
        for name in ("coolant_out", "opening", "radiator_heat", "coolant_mass_flow", "air_velocity", "span_low"):
            assert getattr(together, name)[i] == pytest.approx(getattr(alone, name)[0], rel=1e-6, abs=1e-9), name


def test_a_plant_changed_in_one_part_counts_its_members_anew(build_case: Any) -> None:
    case = build_case(duties=[{"brake_power": "60 kW", "vehicle_speed": "80 km/h", "fan": "on", "ambient": "30 degC"}])
    plant = prepare(case)
    scaled = solve(replace(plant, ua_scale=np.array([0.8, 1.0, 1.2])), conditions_of(case.duties))
    assert scaled.coolant_out[0] > scaled.coolant_out[1] > scaled.coolant_out[2]
    assert scaled.coolant_out[1] == pytest.approx(run(case).coolant_out[0])


def test_a_large_ensemble_equals_small_ones(build_case: Any) -> None:
    """Large ensembles are bracketed without the grid: the same roots."""
    case = build_case(duties=[{"vehicle_speed": "60 km/h", "ambient": "40 degC", "brake_power": "35 kW"}])
    heights = np.linspace(0.15, 0.5, 500)
    many = run(with_values(case, {"radiator.core_height": heights}))
    few = run(with_values(case, {"radiator.core_height": heights[::100]}))
    # K; both end where the balance is open by 1e-8 of the heat or less, some 1e-6 K
    assert many.coolant_out[::100] == pytest.approx(few.coolant_out, abs=1e-6)
    assert np.all(np.abs(many.energy_residual[many.solved]) < 1e-6 * many.heat_to_metal[many.solved])


WORDS: dict[str, list[str]] = {
    "thermostat.side": ["outlet", "inlet"],
    "thermostat.bypass": ["closing", "fixed", "none"],
    "thermostat.kind": ["wax", "none"],
    "airflow.fan_drive": ["electric", "viscous clutch", "fixed", "none"],
    "airflow.fan_side": ["puller", "pusher"],
    "airflow.seals": ["fitted", "missing"],
    "circuit.pump_drive": ["belt", "electric"],
    "coolant.base": ["water", "ethylene glycol", "propylene glycol"],
    "radiator.arrangement": ["both unmixed", "counterflow", "parallel flow", "both mixed"],
}
DERIVED = (
    "thermostat.start_to_open",
    "thermostat.full_open",
    "thermostat.maximum_opening",
    "airflow.fan_on",
    "airflow.fan_off",
    "airflow.fan_power",
)


def drawn(declared: Input, n: int, rng: np.random.Generator) -> np.ndarray:
    """Values over the whole of an input's limits, often small ones, at times the limits themselves."""
    assert declared.limits is not None
    low, high = (parse(text, declared.kind).si for text in declared.limits)
    u, pick = rng.random(n), rng.random(n)
    values = low + (high - low) * u
    if low >= 0.0:
        least = max(low, 1e-7 * high)
        values = np.where(pick < 0.6, least * (high / least) ** u, values)
    return np.where(pick > 0.95, high, np.where(pick > 0.9, low, values))


@pytest.mark.parametrize("seed", range(12))
def test_whatever_the_limits_allow_gets_a_status_and_finite_numbers(seed: int, build_case: Any) -> None:
    """Twelve layouts of 60 members drawn over the inputs' whole limits; warnings are errors here."""
    rng, n = np.random.default_rng(seed), 60
    values: dict[str, Any] = {word: str(rng.choice(options)) for word, options in WORDS.items()}
    for section in members(Sections):
        if section.key in ("vehicle", "engine", "coolant", "thermostat", "airflow", "circuit", "heater", "cabin"):
            for leaf in members(section.cls):
                path = f"{section.key}.{leaf.key}"
                numeric = isinstance(leaf, DeclaredInput) and leaf.input.shape is FileShape.NUMBER and leaf.input.limits
                if numeric and path not in DERIVED and rng.random() < 0.5:
                    values[path] = drawn(leaf.input, n, rng)
    values["thermostat.start_to_open"] = rng.uniform(300.0, 400.0, n)
    values["thermostat.full_open"] = values["thermostat.start_to_open"] + rng.uniform(0.5, 30.0, n)
    values["thermostat.maximum_opening"] = np.maximum(rng.random(n), values.get("thermostat.minimum_opening", 0.0))
    values["airflow.fan_on"] = rng.uniform(280.0, 420.0, n)
    values["airflow.fan_off"] = values["airflow.fan_on"] - rng.uniform(0.1, 10.0, n)
    case = with_values(build_case(str(rng.choice(CLASSES)), [{}]), values)
    asked = {leaf.key: drawn(leaf.input, n, rng) for leaf in members(Duty) if leaf.key in TYPED_NUMBERS}
    for name in ("brake_power", "engine_speed", "fuel_flow", "coolant_flow", "air_velocity"):
        asked[name] = np.where(rng.random(n) < 0.7, np.nan, asked[name])
    asked["fan_mode"] = rng.choice([-1.0, 0.0, 1.0], n)
    point = solve(prepare(case), conditions_of(case.duties).replace(**asked))
    for name, numbers in arrays(point).items():
        assert not np.isnan(numbers).any(), name
        assert np.isfinite(numbers).all() or name == "time_to_boil", name
    heat = np.maximum(point.heat_to_metal + point.extra_heat, 1.0)
    assert np.all(np.abs(point.energy_residual) < 1e-6 * heat, where=point.solved)
    assert np.all((point.opening >= 0.0) & (point.opening <= 1.0))
