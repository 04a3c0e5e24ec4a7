"""What a run of the warm-up renews every few seconds: coolant and heat of the engine, radiator, heater.

Films and effectiveness are found as the operating point finds them, and kept in a form that the flows hardly change:
-C ln(1 - effectiveness) of a stream of capacity rate C.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from engcalc.components.engine import (
    Load,
    cold_idle_share,
    engine_heat,
    heat_released,
    idling_at,
    late_fuel,
    load_of_fuel,
)
from engcalc.components.equipment import gearbox_loss
from engcalc.components.exchanger import multipass
from engcalc.components.flat_tube import tube_side
from engcalc.components.heater import auxiliary_given, heater_conductance
from engcalc.components.thermostat import load_shift
from engcalc.properties.fluid import Fluid
from engcalc.system.arithmetic import Arithmetic, Value
from engcalc.system.circuit import circuit_flows
from engcalc.system.in_time.air_steps import air_now
from engcalc.system.in_time.equipment_steps import burn
from engcalc.system.in_time.lumps import OIL_NODES, OIL_TABLE, block_to_air, load_in, quick_weights
from engcalc.system.in_time.step_fixed import FixedForRun
from engcalc.system.in_time.step_state import (
    CoolantNow,
    EngineNow,
    HeaterNow,
    RadiatorNow,
    State,
    heat_by,
    stand_in_wind,
)
from engcalc.system.in_time.valve_steps import stated_flows
from engcalc.system.in_time.ways import MembersOfOneWay
from engcalc.units import Array

RENEW = 10.0  # s; between renewals of the radiator's film and effectiveness; coolant and oil go twice as often
HEATER_MOST = 0.98  # -; of the coolant's capacity rate, that the heater core's lump can pass on
_NEAR_ONE = 1.0 - 1e-3  # effectiveness beyond which the plain conductance counts: the coolant nearly stands
_LEAST_FLOW = 1e-18  # m3/s, and Pa; a little more than nothing
_LEAST_PASSAGE = 1e-6  # -
_TINY = 1e-9


@dataclass(frozen=True, slots=True, eq=False)
class Renewal:
    """When what is renewed."""

    k: int  # ahead of this step
    end: int  # step after the last for which the engine's heat is made
    radiator: bool
    heater: bool
    h_air: Value | None  # W/K, block to the air from now on; None where the wind holds


def renewals(fixed: FixedForRun, time: float = RENEW) -> list[Renewal]:
    """What is renewed ahead of which step of the drive: coolant and oil each time, the radiator every other time, every
    ``time`` [s] or so.

    The heater is slower than the radiator and goes every other time again, and whenever its air is switched; then all
    is renewed. What the block loses changes slowly: its mean until the next renewal counts.
    """
    run = fixed.run
    steps = len(run.row_of)
    often = _often(fixed, time)
    what = np.zeros(steps, np.int64)
    for level in (1, 2, 3):
        what[:: often * 2 ** (level - 1)] = level
    share = run.mean(lambda way: way.drive.conditions.heater_air_share)
    if len(share) > 1:
        of_steps = share[run.row_of]
        what[1:][(of_steps[1:] != of_steps[:-1]).any(axis=-1)] = 3
    begins = np.flatnonzero(what)
    ends = np.minimum(begins + often, steps)
    h_air = _in_winds(fixed, begins, ends)
    return [
        Renewal(int(k), int(end), radiator=bool(what[k] > 1), heater=bool(what[k] > 2), h_air=h)
        for k, end, h in zip(begins, ends, h_air, strict=True)
    ]


def _in_winds(fixed: FixedForRun, begins: NDArray[np.intp], ends: NDArray[np.intp]) -> list[Value | None]:
    """What the block loses to the air [W/K] in the mean wind of some stretches of steps; None where it holds."""
    run = fixed.run
    if all(len(wind) == 1 for wind in fixed.wind):
        return [None] * len(begins)
    by_way = zip(fixed.wind, run.ways, strict=True)
    means = [_means(wind[way.row_of], begins, ends) if len(wind) > 1 else wind for wind, way in by_way]
    h_air = block_to_air(run.plant, run.capacities, run.joined(means))
    whole = np.broadcast_to(h_air, (len(begins), run.members))
    return whole[:, 0].tolist() if run.members == 1 else list(whole)


def _means(of_steps: Array, begins: NDArray[np.intp], ends: NDArray[np.intp]) -> Array:
    """Means of a table over some stretches of its rows."""
    summed = np.cumsum(of_steps, axis=0)
    before = np.concatenate((0.0 * summed[:1], summed))
    return np.asarray((before[ends] - before[begins]) / (ends - begins)[:, None])


def _often(fixed: FixedForRun, time: float) -> int:
    """Steps between renewals; a heater in the coolant circuit warms the coolant about twice as fast."""
    between = 0.5 * time * (0.5 if fixed.burner.fitted else 1.0)
    return max(1, round(between / fixed.run.drive.step))


def renew(fixed: FixedForRun, state: State, due: Renewal) -> None:
    """Renew what is due at the state of now, in the state."""
    run = fixed.run
    plant = fixed.run.plant
    k = due.k
    fluid = plant.coolant.state(run.array(state.T_feed))
    rho = fluid.rho * (1.0 - plant.aeration)
    state.coolant = _coolant(fixed, fluid, run.value(rho * fluid.cp))
    if due.h_air is not None:
        stand_in_wind(fixed, state, due.h_air)
    if k == 0:
        _first_flows(fixed, state, fluid)
    feed, T_oil = _foreseen(fixed, state)
    state.engine = _engine(fixed, due, feed, T_oil)
    if due.radiator:
        state.radiator = _radiator(fixed, state, k, fluid, rho)
    if due.heater:
        heat_by(state, _heater(fixed, state, k, fluid, rho))


def head_now(fixed: FixedForRun, state: State, row: int) -> Value:
    """Head of the pump at no flow over the coolant's density [m2/s2]: with the square of its speed."""
    warm = fixed.rows.head[row]
    if not fixed.rows.idles:
        return warm
    quicker = 1.0 + state.engine.quick_share * fixed.rows.quick_pump[row]
    return warm * (quicker * quicker)


def _coolant(fixed: FixedForRun, fluid: Fluid, rho_cp: Value) -> CoolantNow:
    network = fixed.network
    mu = fixed.run.value(fluid.mu)
    rho = fixed.run.value(fluid.rho)
    viscous = tuple(a * mu for a in network.a)
    return CoolantNow(
        rho=rho,
        rho_cp=rho_cp,
        viscous=viscous,
        inertial=tuple(4.0 * b * rho for b in network.b),
        squares=tuple(A * A for A in viscous),
        valve=4.0 * network.b_valve * rho,
        viscous_jacket=network.a_jacket * mu,
        inertial_jacket=(network.b_jacket + network.fall) * rho,
    )


def _first_flows(fixed: FixedForRun, state: State, fluid: Fluid) -> None:
    """Flows and pressures at the start, from which each step's follow."""
    run = fixed.run
    row = fixed.rows.of[0]
    speeds = [(way.load.engine_speed, way.drive.which[0, 0]) for way in run.ways]
    n = run.whole(run.joined([table[first if len(table) > 1 else 0] for table, first in speeds]))
    flows = circuit_flows(run.plant.circuit, run.whole(state.opening), n, fluid.rho, fluid.mu)
    state.pressure, state.flow_r, state.flow_h = (
        run.value(np.maximum(x, _LEAST_FLOW)) for x in (flows.branch_drop, flows.radiator, flows.heater)
    )
    if fixed.network.states_flow:
        passage = fixed.f.most(fixed.valve.leak + fixed.valve.leak_rest * state.opening, _LEAST_PASSAGE)
        state.flow_r, state.flow_h, _ = stated_flows(fixed, passage, (state.flow_r, state.flow_h, state.flow_h))
    if fixed.burner.fitted:
        state.flow_h = burn(fixed, state, row, fixed.rows.head[row], state.flow_h)
    state.head_before = head_now(fixed, state, row) * state.coolant.rho + 1e-12


def _foreseen(fixed: FixedForRun, state: State) -> tuple[Array, Array]:
    """Coolant at the wax, and oil by which friction counts [K], half-way to the next renewal: as they warmed."""
    block = state.T_block
    inner = block + (block - fixed.lumps.ambient) * (state.block.h_air / fixed.lumps.h_block)
    now = state.T_feed, inner + (state.T_feed - state.T)  # oil: the block's inner side, as felt at the wax
    before = state.renewed_at or now
    feed, oil = (fixed.run.array(1.5 * x - 0.5 * was) for x, was in zip(now, before, strict=True))
    state.renewed_at = now
    return feed, oil


def _engine(fixed: FixedForRun, due: Renewal, feed: Array, T_oil: Array) -> EngineNow:
    """The engine at the coolant ``feed`` [K] and its oil [K]: its heat in the steps to come."""
    run = fixed.run
    rows = fixed.rows
    zero = 0.0 * fixed.lumps.ambient
    share: Value = zero
    weights: list[Value] = []
    if rows.idles:
        quick = cold_idle_share(run.plant.engine, feed)
        share = run.value(quick)
        weights = [run.value(w) for w in quick_weights(quick)]
    if rows.heat is None:
        heat = _heat_made(fixed, due, feed, T_oil)
    else:
        heat = _heat_tabled(fixed, due, weights, run.value(np.interp(T_oil, *OIL_TABLE)))
    for i, late in enumerate(rows.catalyst[due.k : due.end]):
        Q, Q_x = heat[i]
        heat[i] = Q + late, Q_x
    exhaust = gear_heat = called = zero
    if fixed.equipment.asks_engine:
        exhaust, gear_heat, called = _engine_asked(fixed, due, feed, T_oil)
    return EngineNow(due.k, tuple(heat), share, exhaust, gear_heat, called, feed, T_oil)


def _heat_tabled(fixed: FixedForRun, due: Renewal, weights: list[Value], friction: Value) -> list[tuple[Value, Value]]:
    """Heat into metal and coolant [W] of each step, from the tables; ``friction`` [-] over that of warm oil."""
    f = fixed.f
    rows = fixed.rows
    nodes = max(len(table) for table in (rows.heat, *rows.quick_heat))  # one where the oil does not count
    shares = _shares_up_to(f, friction, nodes)
    quick = [(w, table) for w, table in zip(weights, rows.quick_heat, strict=True) if f.some(w != 0.0)]

    def at_oil(table: list[list[Value]], row: int) -> Value:
        total = table[0][row]
        for share, rise in zip(shares, table[1:], strict=False):
            total = total + share * rise[row]
        return total

    def in_row(row: int) -> tuple[Value, Value]:
        total = at_oil(rows.heat, row)
        for weight, table in quick:
            total = total + weight * at_oil(table, row)
        return total, rows.extra[row]

    asked = rows.of[due.k : due.end]
    found = {row: in_row(row) for row in set(asked)}
    return [found[row] for row in asked]


def _shares_up_to(f: Arithmetic, friction: Value, nodes: int) -> list[Value]:
    """How far friction has come from each node of the oil to the next, 0 to 1; without those that no member reached."""
    shares: list[Value] = []
    for a, b in pairwise(OIL_NODES[:nodes]):
        share = f.least(f.most((friction - a) / (b - a), 0.0), 1.0)
        if not f.some(share > 0.0):
            break
        shares.append(share)
    return shares


def _heat_made(fixed: FixedForRun, due: Renewal, feed: Array, T_oil: Array) -> list[tuple[Value, Value]]:
    """The same without tables, the engine asked anew."""
    run = fixed.run
    of_ways = []
    for way in run.ways:
        made = heat_released(way.plant.engine, _load_in(way, due, feed[way.own]), T_oil[way.own])
        whole = (due.end - due.k, way.drive.which.shape[1], way.members)
        of_ways.append([np.broadcast_to(x, whole).mean(axis=1) for x in made])
    metal, extra = (run.joined(parts) for parts in zip(*of_ways, strict=True))
    return [(run.value(Q), run.value(Q_x)) for Q, Q_x in zip(metal, extra, strict=True)]


def _load_in(way: MembersOfOneWay, due: Renewal, feed: Array) -> Load:
    """What the engine is asked for in the steps to come, (steps, rows of a step, members)."""
    steps = load_in(way.load, way.drive.which[due.k : due.end])
    return idling_at(way.plant.engine, steps, feed)


def _engine_asked(fixed: FixedForRun, due: Renewal, feed: Array, T_oil: Array) -> tuple[Value, Value, Value]:
    """Heat of the exhaust [W], lost in the gearbox [W] and by what load opens the valve earlier [K], as means."""
    run = fixed.run
    of_ways = []
    for way in run.ways:
        load = _load_in(way, due, feed[way.own])
        made = engine_heat(way.plant.engine, load, T_oil[way.own])
        lost = gearbox_loss(way.plant.equipment, made)
        of_ways.append([_mean(x, way) for x in (made.heat_exhaust, lost, made.fuel_power, load.engine_speed)])
    exhaust, lost, fuel, turns = (run.joined(parts) for parts in zip(*of_ways, strict=True))
    share = load_of_fuel(run.plant.engine, fuel, turns)
    return (
        run.value(exhaust) + _late_exhaust(fixed, due),
        run.value(lost),
        run.value(load_shift(run.plant.valve, share)),
    )


def _mean(table: Array, way: MembersOfOneWay) -> Array:
    """Mean over steps and their rows, (members,)."""
    whole = np.broadcast_to(table, (*table.shape[:-1], way.members))
    return np.asarray(whole.reshape(-1, way.members).mean(axis=0))


def _late_exhaust(fixed: FixedForRun, due: Renewal) -> Value:
    """What late ignition adds to the exhaust's heat [W], in the mean until the next renewal."""
    total: Value = 0.0
    for late in fixed.rows.catalyst[due.k : due.end]:
        total = total + (fixed.run.value(late_fuel(fixed.run.array(late))) - late)
    return total / (due.end - due.k)


def _radiator(fixed: FixedForRun, state: State, k: int, fluid: Fluid, rho: Array) -> RadiatorNow:
    """The radiator at the flows of now; ``rho`` [kg/m3] of the coolant with its air."""
    run = fixed.run
    plant = fixed.run.plant
    core = fixed.run.plant.core
    air = air_now(fixed, state, k)
    C_air = run.array(air.C)
    r = run.array(air.recirculation)
    flow = run.array(state.flow_r)
    tube = tube_side(core.tube, flow / core.flow_area * (1.0 - plant.aeration), fluid)
    rest = core.R_wall + core.R_fouling + 1.0 / (tube.h * core.A_tube)
    UA = plant.ua_scale / (1.0 / run.array(air.UA) + rest)
    C_r = rho * flow * fluid.cp
    chain = multipass(UA, C_r, C_air * core.live_air, core.geometry.passes, plant.arrangement)
    per_kelvin = chain.effectiveness * chain.C_min
    by_air = per_kelvin / np.maximum(C_air, _TINY)
    by_coolant = per_kelvin / np.maximum(C_r, _TINY)  # effectiveness on the coolant's side, without recirculation
    recirculated = by_coolant * (1.0 - r) / (1.0 - r + r * by_air)
    exact = -np.log1p(-np.minimum(recirculated, _NEAR_ONE)) * C_r
    alone = 1.0 - np.exp(-UA / np.maximum(C_air, _TINY))  # effectiveness were the coolant as hot all along
    plain = C_air * alone * (1.0 - r) / (1.0 - r + r * alone)
    moves = (by_coolant < _NEAR_ONE) & (C_r > _TINY)
    ratio = np.where(moves, exact / np.maximum(plain, _TINY), 1.0)
    return RadiatorNow(run.value(rest / plant.ua_scale), run.value(ratio))


def _heater(fixed: FixedForRun, state: State, k: int, fluid: Fluid, rho: Array) -> HeaterNow:
    """The heater at the flows of now; ``rho`` [kg/m3] of the coolant with its air."""
    run = fixed.run
    lumps = fixed.lumps
    heater = fixed.run.plant.heater
    air = fixed.air.air
    share = run.array(fixed.rows.heater_share[fixed.rows.of[k]])
    C_blown = heater.blower_flow * share * air.rho * air.cp
    C_core = C_blown * heater.blend
    flow = np.maximum(run.array(state.flow_h), 0.0) * rho
    C_h = flow * fluid.cp
    UA = heater_conductance(heater, C_core / air.cp, flow)
    chain = multipass(UA, C_h, C_core)
    C_least = np.maximum(C_h, _TINY)
    part = np.minimum(chain.effectiveness * chain.C_min / C_least, HEATER_MOST)
    blown = run.value(C_blown)
    auxiliary = run.value(auxiliary_given(heater, C_blown, run.drive.cabin_heater))
    leaves = lumps.UA_cabin + lumps.fresh * blown
    return HeaterNow(
        UA=run.value(-np.log1p(-part) * C_least),
        blown=blown,
        auxiliary=auxiliary,
        leaves=leaves,
        cabin_fixed=auxiliary + leaves * lumps.ambient,
    )
