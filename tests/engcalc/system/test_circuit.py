"""Coolant network: identities, the stated point, affinity, and an independent solution."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import brentq

from engcalc.components.core import coolant_pressure_drop
from engcalc.components.pump import PumpDrive, head_factors, pump_speed
from engcalc.components.thermostat import bypass_passage, passage
from engcalc.properties.coolant import Base, CoolantMixture
from engcalc.studies.members import varied
from engcalc.system.circuit import CircuitFlows, CoolantNetwork, circuit_flows, given_flows, viscous_coefficient
from engcalc.system.plant import prepare

LITRE_MINUTE = 1e-3 / 60.0  # m3/s
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


def one(x: float) -> np.ndarray:
    return np.full(1, x)


def coolant(celsius: float) -> tuple[np.ndarray, np.ndarray]:
    state = CoolantMixture(Base.ETHYLENE, one(0.5)).state(one(celsius + 273.15))
    return state.rho, state.mu


def at_reference(circuit: CoolantNetwork, opening: float = 1.0) -> CircuitFlows:
    n = circuit.pump.reference_speed / circuit.pump.ratio
    return circuit_flows(circuit, one(opening), n, *coolant(90.0))


@pytest.mark.parametrize("vehicle", CLASSES)
def test_stated_flows_come_out_at_the_stated_point(vehicle: str, build_case: Any) -> None:
    case = build_case(vehicle)
    circuit = prepare(case).circuit
    flows = at_reference(circuit)
    assert circuit.reached.all()
    assert flows.engine == pytest.approx(case.circuit.pump_flow, rel=1e-9)
    assert flows.heater == pytest.approx(case.circuit.heater_flow, rel=1e-9)
    assert flows.bypass == 0.0  # closed by the open valve


def test_a_fixed_bypass_has_its_stated_flow(build_case: Any) -> None:
    case = build_case(thermostat__bypass="fixed")
    flows = at_reference(prepare(case).circuit)
    assert flows.bypass == pytest.approx(case.circuit.bypass_flow, rel=1e-9)
    assert flows.engine == pytest.approx(case.circuit.pump_flow, rel=1e-9)


def test_stated_core_drop_is_the_core_s_own(build_case: Any) -> None:
    """The law dp = a mu V + b rho V^2 meets the correlation at the stated point; in laminar flow a alone is exact."""
    plant = prepare(build_case(circuit__pump_flow="2 L/min", circuit__heater_flow="0 L/min", thermostat__bypass="none"))
    _, mu = coolant(90.0)
    V = one(2.0 * LITRE_MINUTE)
    drop = coolant_pressure_drop(plant.core, V, CoolantMixture(Base.ETHYLENE, one(0.5)).state(one(363.15)))
    assert drop.Re[0] < 2300.0
    assert viscous_coefficient(plant.core) * mu * V == pytest.approx(drop.friction, rel=1e-9)


@settings(max_examples=40, deadline=None)
@given(
    opening=st.floats(0.0, 1.0),
    rpm=st.floats(100.0, 7000.0),
    celsius=st.floats(-30.0, 125.0),
    vehicle=st.sampled_from(CLASSES),
    bypass=st.sampled_from(["closing", "fixed", "none"]),
)
def test_flows_sum_and_pressure_closes_round_every_loop(
    opening: float, rpm: float, celsius: float, vehicle: str, bypass: str, build_case: Any
) -> None:
    circuit = prepare(build_case(vehicle, thermostat__bypass=bypass)).circuit
    rho, mu = coolant(celsius)
    n = one(rpm / 60.0)
    flows = circuit_flows(circuit, one(opening), n, rho, mu)
    assert flows.engine == pytest.approx(flows.radiator + flows.heater + flows.bypass, rel=1e-12)
    shutoff, fall = head_factors(circuit.pump, pump_speed(circuit.pump, n), rho)
    assert flows.head == pytest.approx(shutoff - fall * flows.engine**2, rel=1e-9)
    assert flows.head == pytest.approx(flows.jacket_drop + flows.branch_drop, rel=1e-9)
    s, open_bypass = passage(circuit.valve, one(opening)), bypass_passage(circuit.valve, one(opening))
    narrowing = (one(1.0), one(1.0), np.maximum(open_bypass, 1e-6))
    for i, V in enumerate((flows.radiator, flows.heater, flows.bypass)):
        if V > 0.0:
            drop = circuit.a[i] / narrowing[i] * mu * V + circuit.b[i] / narrowing[i] ** 2 * rho * V**2
            drop = drop + (circuit.b_valve / s**2 * rho * V**2 if i == 0 else 0.0)
            assert drop == pytest.approx(flows.branch_drop, rel=1e-9)


@pytest.mark.parametrize(
    "change", [{"radiator.passes": one(2.0)}, {"radiator.core_width": one(0.9)}, {"radiator.tube_height": one(1.3e-3)}]
)
def test_another_core_in_the_same_circuit_against_brentq(change: dict[str, np.ndarray], build_case: Any) -> None:
    """Pump, jacket, valve and hoses as they were, the other core by its own correlation: scipy solves for the flow.

    Tolerance 2 %: the network takes the core's drop as a mu V + b rho V^2 through the stated flow.
    """
    case = build_case("family car", circuit__heater_flow="0 L/min")
    plant, fluid = prepare(case), CoolantMixture(Base.ETHYLENE, one(0.5)).state(one(363.15))
    first = at_reference(plant.circuit)
    own = coolant_pressure_drop(plant.core, first.radiator, fluid).dp
    rest = (first.branch_drop - own) / first.radiator**2  # valve and hoses
    pump, other = plant.circuit.pump, prepare(varied(case, change))

    def unbalanced(V: float) -> float:
        shutoff, fall = head_factors(pump, pump.reference_speed, fluid.rho)
        jacket = plant.circuit.a_jacket * fluid.mu * V + plant.circuit.b_jacket * fluid.rho * V**2
        core = coolant_pressure_drop(other.core, one(V), fluid).dp
        return float((shutoff - fall * V**2 - jacket - rest * V**2 - core)[0])

    expected = brentq(unbalanced, 1e-6, 1e-2)
    found = at_reference(other.circuit).radiator
    assert found == pytest.approx(expected, rel=0.02)
    assert abs(found[0] / first.radiator[0] - 1.0) > 0.02  # the flow moves


def test_against_brentq(build_case: Any) -> None:
    """The same network written out as one scalar equation in the engine's flow and solved by scipy."""
    circuit = prepare(build_case("delivery van")).circuit
    (rho,), (mu,) = coolant(70.0)
    n, s = 30.0, 0.3
    leak = float(circuit.valve.leak[0])
    g = leak + (1.0 - leak) * s
    a, b = circuit.a[:, 0].copy(), circuit.b[:, 0].copy()
    b[0] += circuit.b_valve[0] / g**2
    a[2], b[2] = a[2] / (1.0 - s), b[2] / (1.0 - s) ** 2
    H = 140e3 * (1.3 * n / 75.0) ** 2 * rho / circuit.pump.reference_density[0]
    c = circuit.pump.c[0] * rho / circuit.pump.reference_density[0]

    def branches(P: float) -> float:
        return float(
            sum(
                (-A * mu + np.sqrt((A * mu) ** 2 + 4.0 * B * rho * P)) / (2.0 * B * rho)
                for A, B in zip(a, b, strict=True)
            )
        )

    def open_end(V: float) -> float:
        P = H - c * V**2 - circuit.a_jacket[0] * mu * V - circuit.b_jacket[0] * rho * V**2
        return branches(max(P, 0.0)) - V

    V = brentq(open_end, 0.0, 1.0, xtol=1e-16, rtol=1e-14)
    flows = circuit_flows(circuit, one(s), one(n), one(rho), one(mu))
    assert flows.engine[0] == pytest.approx(V, rel=1e-9)


def test_affinity_without_viscosity(build_case: Any) -> None:
    """Inertial branches only: flows go with speed, pressures with its square (ISO 5801 laws; 2000 -> 2400 rpm)."""
    circuit = prepare(build_case()).circuit
    rho, _ = coolant(90.0)
    low, high = (circuit_flows(circuit, one(0.6), one(rpm / 60.0), rho, one(1e-12)) for rpm in (2000.0, 2400.0))
    assert high.engine / low.engine == pytest.approx(1.2, rel=1e-6)
    assert high.radiator / low.radiator == pytest.approx(1.2, rel=1e-6)
    assert high.head / low.head == pytest.approx(1.44, rel=1e-6)


def test_cold_thick_coolant_flows_less(build_case: Any) -> None:
    circuit = prepare(build_case()).circuit
    warm, cold = (circuit_flows(circuit, one(1.0), one(20.0), *coolant(c)) for c in (90.0, -20.0))
    assert cold.engine < 0.8 * warm.engine


def test_radiator_flow_saturates_with_lift(build_case: Any) -> None:
    """A valve in series: the first tenth of lift brings more flow than the last half."""
    circuit = prepare(build_case()).circuit
    n = circuit.pump.reference_speed / circuit.pump.ratio
    V = circuit_flows(circuit, np.array([0.0, 0.1, 0.5, 1.0]), n, *coolant(90.0)).radiator
    assert np.all(np.diff(V) > 0.0)
    assert V[1] - V[0] > V[3] - V[2]


@settings(max_examples=30, deadline=None)
@given(low=st.floats(0.0, 0.95), more=st.floats(0.001, 0.5), rpm=st.floats(300.0, 6000.0))
def test_a_blocked_core_lets_less_through(low: float, more: float, rpm: float, build_case: Any) -> None:
    blocked = min(low + more, 0.98)
    flows = [
        circuit_flows(
            prepare(build_case(radiator__blocked_tubes=f"{100 * b:.4f} %")).circuit,
            one(1.0),
            one(rpm / 60.0),
            *coolant(90.0),
        )
        for b in (low, blocked)
    ]
    assert flows[1].radiator <= flows[0].radiator
    assert flows[1].heater >= flows[0].heater


def test_no_pump_no_flow(build_case: Any) -> None:
    circuit = prepare(build_case()).circuit
    still = circuit_flows(circuit, one(1.0), one(0.0), *coolant(90.0))
    for V in (still.engine, still.radiator, still.heater, still.head):
        assert V == 0.0
    electric = replace(circuit, pump=replace(circuit.pump, drive=PumpDrive.ELECTRIC))
    assert circuit_flows(electric, one(1.0), one(0.0), *coolant(90.0)).engine > 0.0


def test_a_core_that_the_pump_cannot_drive_says_so(build_case: Any) -> None:
    from engcalc.system.plant import Assumption

    case = build_case(circuit__pump_shutoff_pressure="2 kPa", radiator__passes="3")
    plant = prepare(case)
    assert Assumption.FLOW_NOT_REACHED in plant.assumptions
    assert at_reference(plant.circuit).engine < case.circuit.pump_flow


def test_given_flow_is_throttled_by_the_valve_and_the_engine_keeps_its_flow(build_case: Any) -> None:
    circuit = prepare(build_case()).circuit
    stated = one(100.0 * LITRE_MINUTE)
    opened, half, shut = (given_flows(circuit, one(s), stated) for s in (1.0, 0.5, 0.0))
    assert opened.radiator == pytest.approx(stated)
    assert shut.radiator < half.radiator < opened.radiator
    assert half.engine == pytest.approx(opened.engine)


def test_three_unlike_members_equal_three_single_ones(build_case: Any) -> None:
    circuit = prepare(build_case()).circuit
    s, n = np.array([0.0, 0.4, 1.0]), np.array([0.0, 13.0, 90.0])
    state = CoolantMixture(Base.ETHYLENE, one(0.5)).state(np.array([250.0, 330.0, 380.0]))
    together = circuit_flows(circuit, s, n, state.rho, state.mu)
    for i in range(3):
        pick = slice(i, i + 1)
        alone = circuit_flows(circuit, s[pick], n[pick], state.rho[pick], state.mu[pick])
        for name in ("engine", "radiator", "heater", "bypass", "head", "valve_drop"):
            assert getattr(together, name)[i] == pytest.approx(getattr(alone, name)[0], rel=1e-10)
