"""Coolant network: pump and jacket in series with radiator (behind its valve), heater and bypass in parallel.

Each branch obeys dp = a mu V + b rho V^2. The branches are sized so that the stated flows come out exactly at the
stated pump speed with the valve fully open, at 90 degC and half ethylene glycol, with the clean core: the core's drop
comes from its dimensions (``core.coolant_pressure_drop``), hoses and tanks take what the valve and the core leave.
How the head divides otherwise is common practice, no source (``SHARES``). A core that needs more than its part
gets it from the pump's reserve; where the pump cannot give it, ``reached`` is False and the flows fall short. What oil
coolers take from the coolant comes on top, so that the flows fall.

Another core tried in the same vehicle meets the circuit as it was sized with the first one: its own resistance takes
the place of the first one's, and the flows move (``Cores``).

Pressure P across the branches is the one unknown:

    H - c V^2 - jacket(V) - P = 0,   V = sum of the branch flows at P

The left side falls in P, so that there is one root; Newton's method finds it.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from engcalc.case.sections import Sections
from engcalc.case.sections.circuit import OIL_COOLER
from engcalc.components.core import PreparedCore, coolant_pressure_drop
from engcalc.components.pump import Pump, head_factors, prepare_pump, pump_speed
from engcalc.components.shapes import common_shape, shaped
from engcalc.components.thermostat import Bypass, Valve, bypass_passage, passage
from engcalc.properties.coolant import Base, CoolantMixture
from engcalc.properties.fluid import Fluid
from engcalc.units import Array

REFERENCE_T = 363.15  # K; coolant at which the stated flows count
REFERENCE_CONCENTRATION = 0.5  # -; by volume, ethylene glycol

HEAD_SHARE = 0.6  # -; working head over head at no flow at the stated point; common practice, no source
JACKET_SHARE = 0.4  # -; of the working head; common practice, no source
VALVE_SHARE = 0.25  # -; of the branch pressure, across the fully open valve; common practice, no source
HOSE_LEAST = 0.05  # -; of the branch pressure, across hoses and tanks at least; common practice, no source
HEAD_HIGHEST = 0.95  # -; of the head at no flow, that a resistive core may ask for
BRANCH_HIGHEST = 0.75  # -; the same of a branch
VISCOUS_SHARE = {"jacket": 0.1, "heater": 0.3, "bypass": 0.05}  # -; of each drop at the stated point; common practice
RADIATOR_LEAST = 0.05  # -; of the pump's flow, through the radiator at least
_NEWTON_STEPS = 12  # at most; two to four are needed
_CLOSE = 1e-5  # of the branch pressure; what a last step of that size leaves goes with its square
_TINY = 1e-300  # keeps a quotient finite where nothing drives the coolant
_NONE = 1e-12  # m3/s; a branch whose stated flow is below this is not there


@dataclass(frozen=True, eq=False)
class CoolantNetwork:
    """A network sized from its stated flows. Axis 0 of ``a`` and ``b``: radiator with hoses, heater, bypass."""

    pump: Pump
    valve: Valve
    a: Array  # 1/m3, (3, members): viscous, dp = a mu V
    b: Array  # 1/m4, (3, members): inertial, dp = b rho V^2
    there: Array  # -, (3, members): 1 where the branch exists, else 0
    b_valve: Array  # 1/m4, fully open
    a_jacket: Array  # 1/m3
    b_jacket: Array  # 1/m4
    heater_valve: Array  # -, passage
    reached: np.ndarray[tuple[int, ...], np.dtype[np.bool_]]  # the stated flows come out
    total: Array  # m3/s, of the pump as stated
    stated: Array  # m3/s, (3, members): radiator, heater, bypass as stated
    valve_share: Array  # -, of the radiator branch's drop, fully open at the stated point


@dataclass(frozen=True, eq=False)
class CircuitFlows:
    """Flows and pressures at one state; arrays over the members."""

    engine: Array  # m3/s
    radiator: Array  # m3/s
    heater: Array  # m3/s
    bypass: Array  # m3/s
    head: Array  # Pa, of the pump
    jacket_drop: Array  # Pa
    branch_drop: Array  # Pa
    valve_drop: Array  # Pa


@dataclass(frozen=True, eq=False)
class Cores:
    """The cores that a circuit knows."""

    fitted: PreparedCore  # with nothing blocked, with which the stated flows come out
    clean: PreparedCore  # the one that is there, with nothing blocked
    there: PreparedCore  # the one that is there, as it is


def reference_coolant() -> Fluid:
    """The coolant with which the stated flows count."""
    return CoolantMixture(Base.ETHYLENE, np.full(1, REFERENCE_CONCENTRATION)).state(np.full(1, REFERENCE_T))


@dataclass(frozen=True, eq=False)
class _StatedFlows:
    """The flows of a case as far as its pump's flow can be split that way; m3/s."""

    total: Array
    radiator: Array
    heater: Array
    bypass: Array


def _stated_flows(case: Sections, valve: Valve) -> _StatedFlows:
    """Heater and a fixed bypass are taken from the pump's flow; the radiator has what they leave, but never nothing."""
    total = np.maximum(case.circuit.pump_flow, 10.0 * _NONE)
    heater = np.minimum(case.circuit.heater_flow, 0.9 * total)
    bypass = np.zeros(1) if valve.bypass is Bypass.NONE else np.minimum(case.circuit.bypass_flow, 0.9 * total)
    beside = heater + (bypass if valve.bypass is Bypass.FIXED else 0.0)
    radiator = np.maximum(total - beside, RADIATOR_LEAST * total)
    return _StatedFlows(radiator + beside, radiator, heater, bypass)


@dataclass(frozen=True, eq=False)
class _Pressures:
    """How the pump's head divides at the stated flows; Pa."""

    branch: Array  # across the branches, the valve within
    jacket: Array
    hoses: Array  # with the tanks
    reached: np.ndarray[tuple[int, ...], np.dtype[np.bool_]]  # the core leaves enough for the stated flows


def _pressures(shutoff: Array, core: Array) -> _Pressures:
    """From the pump's head at no flow and the fitted core's drop at the stated flow [Pa]."""
    wanted = core / (1.0 - VALVE_SHARE - HOSE_LEAST)
    highest = BRANCH_HIGHEST * shutoff
    usual = HEAD_SHARE * (1.0 - JACKET_SHARE) * shutoff
    branch = np.minimum(np.maximum(usual, wanted), highest)
    jacket = np.minimum(HEAD_SHARE * JACKET_SHARE * shutoff, HEAD_HIGHEST * shutoff - branch)
    left = (1.0 - VALVE_SHARE) * branch - core
    hoses = np.maximum(left, HOSE_LEAST * branch)
    return _Pressures(branch, jacket, hoses, np.asarray(wanted <= highest))


def _core_coefficients(cores: Cores, radiator: Array, clean_drop: Array, fluid: Fluid) -> tuple[Array, Array]:
    """a [1/m3] and b [1/m4] of the core that is there: those of the clean one, narrowed by what is blocked."""
    a = viscous_coefficient(cores.clean)
    inertial = np.maximum(clean_drop - a * fluid.mu * radiator, 0.0)
    b = inertial / (fluid.rho * radiator**2)
    narrowed = cores.clean.flow_area / cores.there.flow_area
    return a * narrowed, b * narrowed**2


def _drops(cores: Cores, radiator: Array, fluid: Fluid) -> tuple[Array, Array]:
    """Pressure drops [Pa] of the fitted and of the clean core at the stated flow [m3/s]."""
    fitted = coolant_pressure_drop(cores.fitted, radiator, fluid).dp
    if cores.clean is cores.fitted:
        return fitted, fitted
    return fitted, coolant_pressure_drop(cores.clean, radiator, fluid).dp


def _there(case: Sections, bypass: Array) -> Array:
    """Which branches are there, 1 or 0: those for which a flow is stated."""
    stated = (case.circuit.pump_flow, case.circuit.heater_flow, bypass)
    return _stack(*((flow > _NONE).astype(np.float64) for flow in stated))


def prepare_circuit(case: Sections, valve: Valve, cores: Cores) -> CoolantNetwork:
    """Size the network of a case."""
    fluid = reference_coolant()
    flows = _stated_flows(case, valve)
    fitted_drop, clean_drop = _drops(cores, flows.radiator, fluid)
    at = _pressures(case.circuit.pump_shutoff_pressure, fitted_drop)
    dynamic = fluid.rho * flows.radiator**2
    a_core, b_core = _core_coefficients(cores, flows.radiator, clean_drop, fluid)
    a_heater, b_heater = _coefficients(at.branch, flows.heater, VISCOUS_SHARE["heater"], fluid)
    a_bypass, b_bypass = _coefficients(at.branch, flows.bypass, VISCOUS_SHARE["bypass"], fluid)
    a_jacket, b_jacket = _coefficients(at.jacket, flows.total, VISCOUS_SHARE["jacket"], fluid)
    beside, in_tanks = _oil_coolers(case, flows, fluid)
    return CoolantNetwork(
        pump=prepare_pump(case, flows.total, at.branch + at.jacket, fluid.rho),
        valve=valve,
        a=_stack(a_core, a_heater, a_bypass),
        b=_stack(b_core + at.hoses / dynamic + in_tanks, b_heater, b_bypass),
        there=_there(case, flows.bypass),
        b_valve=VALVE_SHARE * at.branch / dynamic,
        a_jacket=a_jacket,
        b_jacket=b_jacket + beside,
        heater_valve=case.heater.valve,
        reached=at.reached,
        total=case.circuit.pump_flow,
        stated=_stack(flows.radiator, flows.heater, flows.bypass),
        valve_share=np.full(1, VALVE_SHARE),
    )


def _oil_coolers(case: Sections, flows: _StatedFlows, fluid: Fluid) -> tuple[Array, Array]:
    """Inertial resistance [1/m4] of the oil coolers beside the engine, and of those in the radiator's tanks."""
    beside = in_tanks = np.zeros(1)
    for item in case.circuit.extra:
        if item.kind != OIL_COOLER:
            continue
        if item.place == "engine":
            beside = beside + item.coolant_drop / (fluid.rho * flows.total**2)
        else:
            in_tanks = in_tanks + item.coolant_drop / (fluid.rho * flows.radiator**2)
    return beside, in_tanks


def viscous_coefficient(core: PreparedCore) -> Array:
    """a [1/m3] of a core's laminar friction dp = a mu V over all passes: 2 fRe L/Dh^2 over the flow area."""
    t = core.tube
    return np.asarray(2.0 * core.geometry.passes * t.fRe * t.tube.length / (t.Dh**2 * core.flow_area))


def _coefficients(dp: Array, flow: Array, viscous: float, fluid: Fluid) -> tuple[Array, Array]:
    V = np.maximum(flow, _NONE)
    a = viscous * dp / (fluid.mu * V)
    b = (1.0 - viscous) * dp / (fluid.rho * V**2)
    return a, b


def _stack(*rows: Array) -> Array:
    return np.stack(np.broadcast_arrays(*rows))


def circuit_flows(circuit: CoolantNetwork, opening: Array, engine_speed: Array, rho: Array, mu: Array) -> CircuitFlows:
    """Flows and pressures at a valve lift [-], an engine speed [rev/s] and coolant properties [kg/m3, Pa s].

    Shapes (..., members). With the pump at rest every flow is 0.
    """
    shape = common_shape(opening.shape, engine_speed.shape, rho.shape, circuit.b.shape[1:])
    lift = shaped(opening, shape)
    b_valve = circuit.b_valve / passage(circuit.valve, lift) ** 2
    a, b, is_open = _branches(circuit, shape, b_valve, bypass_passage(circuit.valve, lift))
    a *= mu
    b *= rho
    H, fall = head_factors(circuit.pump, pump_speed(circuit.pump, engine_speed), rho)
    a_jacket = circuit.a_jacket * mu
    b_jacket = circuit.b_jacket * rho
    P, flows = _solve(a, b, is_open, shaped(H, shape), a_jacket, b_jacket + fall)
    radiator, heater, bypass = flows
    V = radiator + heater + bypass
    return CircuitFlows(
        engine=V,
        radiator=radiator,
        heater=heater,
        bypass=bypass,
        head=H - fall * V**2,
        jacket_drop=a_jacket * V + b_jacket * V**2,
        branch_drop=P,
        valve_drop=b_valve * rho * radiator**2,
    )


def _branches(circuit: CoolantNetwork, shape: tuple[int, ...], b_valve: Array, bypass: Array) -> tuple[Array, ...]:
    """Of radiator, heater and bypass: a [1/m3], b [1/m4], and 1 where coolant can pass, each (3, ..., members).

    ``b_valve`` [1/m4] is that of the valve at its lift, ``bypass`` [-] the passage that it leaves the bypass.
    """
    lead = (3, *(1,) * (len(shape) - 1), -1)
    a_open, b_open, there = (x.reshape(lead) for x in (circuit.a, circuit.b, circuit.there))
    heater_opening = np.maximum(circuit.heater_valve, 1e-6)
    bypass_opening = np.maximum(bypass, 1e-6)
    a = np.empty((3, *shape))
    b = np.empty((3, *shape))
    is_open = np.empty((3, *shape))
    a[0] = a_open[0]
    a[1] = a_open[1] / heater_opening
    a[2] = a_open[2] / bypass_opening
    b[0] = b_open[0] + b_valve
    b[1] = b_open[1] / heater_opening**2
    b[2] = b_open[2] / bypass_opening**2
    is_open[0] = there[0]
    is_open[1] = there[1] * (circuit.heater_valve > 0.0)
    is_open[2] = there[2] * (bypass > 0.0)
    return a, b, is_open


def _solve(A: Array, B: Array, is_open: Array, H: Array, a_j: Array, b_j: Array) -> tuple[Array, Array]:
    """Branch pressure [Pa] and the three flows; A, B in Pa s/m3 and Pa s2/m6."""
    A2 = A * A
    B4 = 4.0 * B
    twice_open = 2.0 * is_open
    K = (is_open / np.sqrt(B)).sum(axis=0)
    P = H / (1.0 + b_j * K * K)  # exact without viscous parts
    flows = A
    for _ in range(_NEWTON_STEPS):
        root = np.sqrt(A2 + B4 * P) + _TINY
        flows = twice_open * P / (A + root)
        slopes = is_open / root
        V = flows[0] + flows[1] + flows[2]
        rate = slopes[0] + slopes[1] + slopes[2]
        drop = b_j * V
        excess = H - (drop + a_j) * V - P
        before = P
        P = P + excess / (1.0 + (drop + drop + a_j) * rate)
        P = np.minimum(np.maximum(P, 1e-3 * before), H)
        moved = P - before
        flows += moved * slopes  # along the tangents, so that their sum is that of the step
        if np.all(np.abs(moved) <= _CLOSE * P):
            break
    return P, flows


def given_flows(circuit: CoolantNetwork, opening: Array, radiator_flow: Array) -> CircuitFlows:
    """Flows where the radiator's flow with the valve open is given [m3/s] in place of pump and network.

    The valve throttles it as its share of the branch's resistance says; what it holds back goes through the bypass, so
    that the engine's flow stays. The heater has its stated flow. No pressures are computed (all 0).
    """
    s = passage(circuit.valve, opening)
    through = radiator_flow / np.sqrt(1.0 - circuit.valve_share + circuit.valve_share / s**2)
    heater = circuit.stated[1] * circuit.there[1] * circuit.heater_valve
    bypass = radiator_flow - through
    zero = np.zeros(np.broadcast_shapes(through.shape, heater.shape))
    return CircuitFlows(through + heater + bypass, through + zero, heater + zero, bypass + zero, zero, zero, zero, zero)
