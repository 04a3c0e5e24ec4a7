"""What the charts of a lesson are drawn from: one duty's point and the curves that meet in it.

Only what is drawn is computed, so that a chart follows a hand that moves an input: the operating point, the curves of
fan, pump and their ways, temperatures through the radiator, a lumped warm-up, and what common approximations cost.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import StrEnum
from itertools import pairwise

import numpy as np

from engcalc.case.case import Case
from engcalc.case.conditions import conditions_of
from engcalc.components.core import CoreResult, air_total_loss, evaluate
from engcalc.components.exchanger import Arrangement, effectiveness
from engcalc.components.fan import FanSide, fan_pressure, speed_ratio
from engcalc.components.pump import head_factors, pump_speed
from engcalc.components.thermostat import bypass_passage, passage
from engcalc.properties.air import air_state, density, pressure_at_altitude
from engcalc.studies.bench.approximations import READ_F
from engcalc.studies.checked import DutyCheck
from engcalc.system.airflow import draught
from engcalc.system.balance import Setting, balance, held_at, prepare_setting
from engcalc.system.operating_point import solve
from engcalc.system.plant import Plant, prepare
from engcalc.system.running_fan import running_speed, while_fan_runs
from engcalc.units import Array

CURVE_POINTS = 41
CELLS = 48  # of the core's face each way, where temperatures through it are found; the mean outlet within 0.2 %
MOST_SIZE = 15.0  # -, UA over either capacity rate: beyond, all is over within a few cells
WARM_POINTS = 121
ALL_BUT = 0.01  # -, of the way to the settled temperature, where a lumped warm-up ends
ROOM = 293.15  # K; properties "of the table's room temperature"; common practice


@dataclass(frozen=True, eq=False)
class MeetingCurves:
    """A machine's pressure over its flow and the way's, and the point where both meet (flow m3/s, pressure Pa)."""

    flow: Array
    machine: Array
    way_flow: Array
    way: Array
    point: tuple[float, float]


@dataclass(frozen=True, eq=False)
class AlongCore:
    """Temperatures [K] through the radiator from the coolant's inlet on: coolant and the air that leaves there."""

    share: Array  # -, of the coolant's way
    coolant: Array
    air_out: Array
    air_in: float


@dataclass(frozen=True, eq=False)
class LumpedWarmup:
    """A lump of metal and coolant that warms in a duty's heat [s, K]; its time constant at the end."""

    seconds: Array
    T: Array
    opening: Array  # -, of the valve
    capacity: float  # J/K
    time_constant: float  # s, about the settled temperature: capacity over the slope of the heat balance


class Shortcut(StrEnum):
    """A common way that is shorter than the exact one."""

    ONE_TERM = "one_term"
    ROOM_PROPERTIES = "room_properties"
    WITHOUT_F = "without_f"
    READ_F = "read_f"


@dataclass(frozen=True)
class ShortcutCost:
    """The heat [W] that a short way gives at the same flows and inlets, and its error [-]."""

    by: Shortcut
    heat: float
    error: float


@dataclass(frozen=True, eq=False)
class TaughtDuty:
    """One duty of a case, solved for the charts of a lesson."""

    case: Case
    plant: Plant
    setting: Setting
    duty: DutyCheck

    @property
    def solved(self) -> bool:
        """Whether it has a steady state."""
        return bool(self.duty.point.solved[0])

    @property
    def core(self) -> CoreResult:
        """The radiator in the duty."""
        return self.duty.point.core


def taught(case: Case, index: int) -> TaughtDuty:
    """The duty of a case at ``index``, solved. Raises RangeError for a core that cannot be built."""
    plant = prepare(case)
    asked = case.duties[index]
    conditions = conditions_of((asked,))
    point = solve(plant, conditions)
    own_limit = case.limits.coolant_limit if asked.limit is None else asked.limit
    duty = DutyCheck(
        index=index,
        name=asked.name or f"duty {index + 1}",
        duty=asked,
        point=point,
        healthy=point,
        held_open=point,
        verdict=None,
        findings=(),
        limit=min(float(own_limit[0]), float(point.boiling[0])),
        margin=None,
        boiling_margin=None,
        air_to_boil=None,
        limiting_ambient=None,
        holds_probability=None,
        holds_error=None,
        spread_low=None,
        spread_high=None,
        peak=None,
        start=None,
        end=None,
        time_to_limit=None,
    )
    return TaughtDuty(case, plant, prepare_setting(plant, conditions), duty)


def fan_and_way(found: TaughtDuty) -> MeetingCurves | None:
    """The fan's curve against what ram leaves of the way's, over the flow of all fans.

    Air as warm behind the core as in the duty, a fan that switches while it runs. None where no fan turns, where the
    air's velocity was given or where a shutter moves.
    """
    airway = found.plant.airway
    setting = found.setting
    point = found.duty.point
    fan = airway.fan
    air = setting.air.fluid
    if not _fan_has_a_curve(found):
        return None
    hotter = float((point.air_out / point.air_in)[0])
    puller = fan.side is FanSide.PULLER
    count = max(float(fan.count[0]), 1.0)
    share = float(airway.coverage[0])
    per_velocity = float(airway.face[0]) * share * (hotter if puller else 1.0)  # m3/s of all fans for 1 m/s
    ratio = speed_ratio(fan, point.engine_speed, running_speed(found.plant, point))
    runs = while_fan_runs(found.plant, setting.conditions, point)
    at = float(runs.fan_flow[0])
    most = count * float(fan.free_flow[0] * ratio[0])
    flow = np.linspace(0.0, max(1.25 * at, 1.05 * most), CURVE_POINTS)
    rho_fan = air.rho / hotter if puller else air.rho
    of_fan = fan_pressure(fan, flow / count, ratio, rho_fan)
    of_way = _left_to_the_fan(found, np.maximum(flow / per_velocity, 1e-6), hotter)
    return MeetingCurves(flow, of_fan, flow, of_way, (at, float(runs.fan_pressure[0])))


def _left_to_the_fan(found: TaughtDuty, velocity: Array, hotter: float) -> Array:
    """What the way of the air costs beyond ram and draught [Pa], over the velocity [m/s] at the face.

    ``hotter`` [-] is the air's temperature (K) behind the core over that before it.
    """
    airway = found.plant.airway
    air = found.setting.air.fluid
    losses = 0.5 * air.rho * (airway.zeta + airway.zeta_exit * hotter) * velocity**2
    core = air_total_loss(found.plant.core, velocity, air, hotter)
    rises = draught(air.rho, hotter, airway.height)
    return np.asarray(losses + core - found.duty.point.ram_pressure - rises)


def _fan_has_a_curve(found: TaughtDuty) -> bool:
    """Whether one curve of a fan that turns meets one of the way: no shutter, no velocity that was given."""
    airway = found.plant.airway
    point = found.duty.point
    turns = float(point.fan_speed[0]) > 0.0 and float(airway.fan.blows[0]) > 0.0
    given = bool(np.isfinite(found.setting.conditions.air_velocity)[0])
    return found.solved and turns and airway.shutter is None and not given


def pump_and_circuit(found: TaughtDuty) -> MeetingCurves | None:
    """The pump's curve against the circuit's, over the coolant through the engine; None where its flow was given."""
    circuit = found.plant.circuit
    point = found.duty.point
    if not found.solved or float(point.pump_head[0]) <= 0.0:
        return None
    coolant = point.core.flows.coolant
    turns = pump_speed(circuit.pump, point.engine_speed)
    H, c = (float(x[0]) for x in head_factors(circuit.pump, turns, coolant.rho))
    P = np.linspace(0.0, H, CURVE_POINTS) ** 2 / H  # closer where little flows
    through = _through_branches(found, P)
    at = float((point.coolant_mass_flow / point.coolant_density)[0])
    jacket = circuit.a_jacket * coolant.mu * through + circuit.b_jacket * coolant.rho * through**2
    flow = np.linspace(0.0, float(np.sqrt(H / c)) if c > 0.0 else 1.5 * at, CURVE_POINTS)
    inside = through <= flow[-1]
    return MeetingCurves(
        flow, H - c * flow**2, through[inside], np.asarray(P + jacket)[inside], (at, float(point.pump_head[0]))
    )


def _through_branches(found: TaughtDuty, P: Array) -> Array:
    """Coolant [m3/s] through all branches at a pressure across them [Pa], the valve as it stands in the duty."""
    circuit = found.plant.circuit
    point = found.duty.point
    coolant = point.core.flows.coolant
    valve = passage(circuit.valve, point.opening)
    other = bypass_passage(circuit.valve, point.opening)
    rows = (
        (circuit.a[0], circuit.b[0] + circuit.b_valve / valve**2, circuit.there[0]),
        _narrowed(circuit.a[1], circuit.b[1], circuit.there[1], circuit.heater_valve),
        _narrowed(circuit.a[2], circuit.b[2], circuit.there[2], other),
    )
    total = np.zeros_like(P)
    for a, b, there in rows:
        A = a * coolant.mu
        B = b * coolant.rho
        root = np.sqrt(A**2 + 4.0 * B * P)
        total = total + there * 2.0 * P / (A + root + 1e-300)
    return total


def _narrowed(a: Array, b: Array, there: Array, open_: Array) -> tuple[Array, Array, Array]:
    """A branch behind a tap that stands open so far [-]."""
    narrow = np.maximum(open_, 1e-6)
    return a / narrow, b / narrow**2, there * (open_ > 0.0)


def along_core(found: TaughtDuty) -> AlongCore | None:
    """Temperatures through a radiator of one pass with both streams unmixed; None of any other.

    Nusselt's equations dT_c/dx = -NTU_c (T_c - T_a), dT_a/dy = NTU_a (T_c - T_a) on a grid, x along the tubes and y
    along the air, each cell with the mean of its edges.
    """
    core = found.core
    one_pass = float(core.exchange.passes[0]) == 1.0
    unmixed = found.plant.arrangement is Arrangement.BOTH_UNMIXED
    if not found.solved or not one_pass or not unmixed or core.UA[0] <= 0.0:
        return None
    NTU_coolant = float((core.UA / core.exchange.C_hot)[0])
    NTU_air = float((core.UA / core.exchange.C_cold)[0])
    if max(NTU_coolant, NTU_air) > MOST_SIZE:
        return None
    coolant, air_out = _through_cells(NTU_coolant, NTU_air)
    T_ai = float(core.flows.T_air_in[0])
    over = float((core.flows.T_coolant_in - core.flows.T_air_in)[0])
    between = [0.5 * (p + q) for p, q in pairwise(air_out)]
    leaving = np.array([air_out[0], *between, air_out[-1]])
    place = np.linspace(0.0, 1.0, CELLS + 1)
    return AlongCore(place, T_ai + over * np.array(coolant), T_ai + over * leaving, T_ai)


def _through_cells(NTU_coolant: float, NTU_air: float) -> tuple[list[float], list[float]]:
    """Coolant along the tubes, from the inlet on, and air behind each column of cells, shares of the inlet difference.

    Of a cell: hot_out = hot - a d, cold_out = cold + b d, with d the mean difference of both edges.
    """
    a = NTU_coolant / CELLS
    b = NTU_air / CELLS
    factor = 1.0 / (1.0 + 0.5 * (a + b))
    coolant = [1.0]
    air_out = []
    hot = [1.0] * CELLS  # the coolant by layers along the air
    for _ in range(CELLS):
        cold = 0.0
        for layer in range(CELLS):
            d = (hot[layer] - cold) * factor
            hot[layer] -= a * d
            cold += b * d
        coolant.append(sum(hot) / CELLS)
        air_out.append(cold)
    return coolant, air_out


def _temperatures_on_the_way(start: float, end: float) -> Array:
    """Temperatures [K] from the start to 1 % short of the end, the closer the nearer to the end."""
    share = np.linspace(0.0, 1.0 - ALL_BUT, WARM_POINTS) ** 0.8
    return np.asarray(start + (end - start) * share * (1.0 - ALL_BUT) / share[-1])


def _heat_capacity(plant: Plant, T: float) -> float:
    """Heat capacity [J/K] of metal and coolant, the coolant at T [K]."""
    fluid = plant.coolant.state(np.full(1, T))
    return float((plant.metal_capacity + plant.coolant_volume * fluid.rho * fluid.cp)[0])


def lumped_warmup(found: TaughtDuty) -> LumpedWarmup | None:
    """Metal and coolant as one lump, from ambient to 1 % short of the settled temperature; None without a settled one.

    C dT/dt = heat left over at T, the engine's own balance; the integral of C/heat over T gives the time. The fan runs
    as in the settled duty.
    """
    setting = found.setting
    point = found.duty.point
    plant = found.plant
    start = float(setting.conditions.ambient[0])
    end = float(point.wax[0])
    if not found.solved or not end - start > 1.0:
        return None
    T = _temperatures_on_the_way(start, end)
    held = None if plant.airway.fan.drive.follows else held_at(setting, point.fan_speed)
    state = balance(setting, T[:, None], held)
    surplus = np.asarray(state.residual).reshape(-1)
    if (surplus <= 0.0).any():
        return None
    capacity = _heat_capacity(plant, end)
    slowness = capacity / surplus
    steps = 0.5 * (slowness[1:] + slowness[:-1]) * np.diff(T)
    slope = float((surplus[-1]) / (end - T[-1]))
    opening = np.broadcast_to(state.opening, T[:, None].shape).reshape(-1)
    return LumpedWarmup(np.concatenate(([0.0], np.cumsum(steps))), T, opening, capacity, capacity / slope)


def shortcuts(found: TaughtDuty) -> tuple[ShortcutCost, ...]:
    """What each common approximation makes of the radiator's heat, at the same flows and inlets."""
    core = found.core
    exact = float(core.Q[0])
    if not found.solved or exact <= 0.0:
        return ()
    one_pass = float(core.exchange.passes[0]) == 1.0
    costs = {Shortcut.ROOM_PROPERTIES: float(_at_room(found).Q[0])}
    if one_pass and found.plant.arrangement is Arrangement.BOTH_UNMIXED:
        one_term = effectiveness(core.exchange.NTU, core.exchange.Cr, Arrangement.BOTH_UNMIXED_APPROXIMATION)
        costs[Shortcut.ONE_TERM] = exact * float((one_term / core.exchange.effectiveness)[0])
    difference = _counterflow_difference(core)
    if difference > 0.0:
        straight = float(core.UA[0]) * difference
        F = exact / straight
        costs[Shortcut.WITHOUT_F] = straight
        costs[Shortcut.READ_F] = straight * READ_F * round(F / READ_F)
    return tuple(ShortcutCost(by, costs[by], costs[by] / exact - 1.0) for by in Shortcut if by in costs)


def _counterflow_difference(core: CoreResult) -> float:
    """Logarithmic mean temperature difference [K] of the exact outlets, as in counterflow."""
    e = core.exchange
    flows = core.flows
    near = float((flows.T_coolant_in - e.T_cold_out)[0])
    far = float((e.T_hot_out - flows.T_air_in)[0])
    if min(near, far) <= 0.0:
        return 0.0
    if abs(near - far) < 1e-9 * near:
        return near
    return (near - far) / float(np.log(near / far))


def _at_room(found: TaughtDuty) -> CoreResult:
    """The radiator with both fluids' properties at 20 degC, the flows by mass as they are."""
    flows = found.core.flows
    ambient = found.setting.conditions
    T = np.full(1, ROOM)
    p = pressure_at_altitude(ambient.altitude)
    W = found.setting.air.W
    still_rho = density(ambient.ambient, p, W)
    air = air_state(T, p, W)
    changed = replace(flows, air=replace(air, rho=still_rho), coolant=found.plant.coolant.state(T))
    return evaluate(found.plant.core, changed, found.plant.arrangement, found.plant.ua_scale)
