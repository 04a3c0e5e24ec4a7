"""One step of the warm-up: fan, valve and flows, then every lump at once.

The equations are those of ``warmup``. Within a step the temperatures are linear (the implicit midpoint rule), and each
lump is an affine function of the engine's coolant, so that the loop closes in one line.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from engcalc.components.fan import power_share
from engcalc.system.arithmetic import Value
from engcalc.system.in_time.air_steps import AirNow, air_now, move_fan
from engcalc.system.in_time.equipment_steps import burn, commanded, exchange, map_valve, oil_heat
from engcalc.system.in_time.lumps import CELLS, KEPT, SHARP
from engcalc.system.in_time.renewals import HEATER_MOST, head_now
from engcalc.system.in_time.step_fixed import FixedForRun
from engcalc.system.in_time.step_state import State
from engcalc.system.in_time.valve_steps import (
    Streams,
    ValveMove,
    follow,
    move_valve,
    stated_flows,
    warm_wax,
    warm_wax_at_return,
)
from engcalc.system.upstream import warmed_by

CLUTCH_TIME = 20.0  # s; in which the spring of a clutch follows the air behind the core; common practice, no source
HEATER_SIZE = float(-np.log1p(-HEATER_MOST))  # -; ``HEATER_MOST`` as a size, conductance over capacity rate
_HALF_KEPT = 0.5 * KEPT  # -; the half that a lump hands on of what came into it, with ``SHARP``
_TINY = 1e-9


class _Metal(NamedTuple):
    """Metal and block in the middle of the step, the engine's coolant at 0 K."""

    hot: Value  # K
    block: Value  # K
    brings: Value  # W, both into the coolant


class _Given(NamedTuple):
    """What the lumps meet in a step."""

    Q: Value  # W, into the hot metal
    Q_x: Value  # W, into the coolant in the engine
    g: Value  # W/K, a cell of the radiator to the air
    T_e: Value  # K, air that comes to the radiator
    Q_hot: Value  # W, of oil coolers into the upper hose's end, the tank ahead of the core
    Q_cold: Value  # W, into the lower hose's, the tank behind it
    metal: _Metal


class _Line(NamedTuple):
    """Upper hose, cells, lower hose, each with y = kept + passed y of the lump before; a and b of the last.

    y is 2/(1 + s) times what flows out of a lump, so that its midpoint is (y + s y of the lump before)/2.
    """

    upper: tuple[Value, Value]  # kept and passed
    cells: list[Value]  # kept
    through: Value  # passed, by each of the cells
    lower: tuple[Value, Value]
    a: Value
    b: Value


class _HeaterLine(NamedTuple):
    """The heater's hose and core in a step: midpoints [K] of each as a + b T of the engine's coolant."""

    a_hose: Value
    b_hose: Value
    a_core: Value
    b_core: Value
    g: Value  # W/K, core to the air that is blown through it
    T_in: Value  # K, that air


class _Known(NamedTuple):
    """What a step knows of the lumps round the engine's coolant before it knows that: each a + b T."""

    a_return: Value  # K, out of the lower hose
    b_return: Value
    heater: _HeaterLine


def step(fixed: FixedForRun, state: State, k: int) -> State:
    """The state after step k of the drive: the one that came in, written anew."""
    f = fixed.f
    row = fixed.rows.of[k]
    h = state.pace.h
    move_fan(fixed, state)
    head = head_now(fixed, state, row)
    if fixed.equipment.waits:
        head = commanded(fixed, state, head, fixed.rows.heater_share[row])
    if fixed.equipment.maps:
        map_valve(fixed, state)
    Q, Q_x = state.engine.heat[k - state.engine.begins]
    if fixed.rows.fan_draws:
        Q = Q + power_share(fixed.run.plant.airway.fan, state.engagement) * fixed.rows.fan_heat[row]
    if fixed.equipment.exchanges:
        Q_x = exchange(fixed, state, Q_x, head)
    metal = _metal(fixed, state, Q)
    move = move_valve(fixed, state, head, metal.brings + Q_x)
    V_r, V_h, V_b = _flows(fixed, state, head, move)
    if fixed.network.states_flow:
        V_r, V_h, V_b = stated_flows(fixed, move.passage, (V_r, V_h, V_b))
    if fixed.burner.fitted:
        V_h = burn(fixed, state, row, head, V_h)
        state.burnt = state.burnt + 2.0 * h * state.added
    state.flow_r = V_r
    state.flow_h = V_h
    state.flow_b = V_b
    rho_cp = state.coolant.rho_cp
    streams = Streams(rho_cp * V_r, rho_cp * V_h, rho_cp * V_b)
    air = air_now(fixed, state, k)
    T_e = _air_in(fixed, row, air)
    Q_hot: Value = 0.0
    Q_cold: Value = 0.0
    if fixed.rows.oil:
        Q_x, Q_hot, Q_cold = oil_heat(fixed, state, row, Q_x, streams)
    given = _Given(Q, Q_x, _cell_to_air(fixed, state, streams.C_r, air), T_e, Q_hot, Q_cold, metal)
    taken = _advance(fixed, state, given, streams, move, V_r)
    _warm_air(fixed, state, air, T_e, taken)
    if f.some(fixed.lumps.boiling < state.T):
        _boil(fixed, state, k)
    return state


def _flows(fixed: FixedForRun, state: State, head: Value, move: ValveMove) -> tuple[Value, Value, Value]:
    """Flows [m3/s] of radiator, heater and bypass: one Newton step on the branch pressure from that of the step before.

    Each branch obeys A V + B V^2/4 = P, so that V = 2 P/(A + s) with s = sqrt(A^2 + B P), and dV/dP = 1/s.
    The flows follow the step along these tangents, so that their sum is the one of the step.
    """
    f = fixed.f
    coolant = state.coolant
    passage = move.passage
    A0, A1, A2 = coolant.viscous
    B0, B1, B2 = coolant.inertial
    S0, S1, S2 = coolant.squares
    B0 = B0 + coolant.valve / (passage * passage)
    if fixed.valve.closes:
        narrowed = 1.0 / (move.other * move.other)
        A2 = A2 / move.other
        B2 = B2 * narrowed
        S2 = S2 * narrowed
    H = head * coolant.rho + 1e-12
    P = state.pressure * (H / state.head_before)
    s0 = f.sqrt(S0 + B0 * P)
    s1 = f.sqrt(S1 + B1 * P)
    s2 = f.sqrt(S2 + B2 * P)
    twice = 2.0 * P
    V0 = twice / (A0 + s0)
    V1 = twice / (A1 + s1)
    V2 = twice / (A2 + s2)
    slope0 = 1.0 / s0
    slope1 = 1.0 / s1
    slope2 = 1.0 / s2
    V = V0 + V1 + V2
    viscous = coolant.viscous_jacket
    inertial = coolant.inertial_jacket * V
    excess = H - (inertial + viscous) * V - P
    falls = 1.0 + (inertial + inertial + viscous) * (slope0 + slope1 + slope2)
    new = f.least(f.most(P + excess / falls, 1e-3 * P), H)
    moved = new - P
    state.pressure = new
    state.head_before = H
    return V0 + moved * slope0, V1 + moved * slope1, V2 + moved * slope2


def _cell_to_air(fixed: FixedForRun, state: State, C_r: Value, air: AirNow) -> Value:
    """Conductance of a cell of the radiator to the air [W/K]: with the hoses' they pass the radiator's heat."""
    f = fixed.f
    C_air = air.C
    r = air.recirculation
    C = C_r + _TINY
    fresh = 1.0 - r
    UA = 1.0 / (fixed.inverse_scale / air.UA + state.radiator.rest_resistance)
    e = 1.0 - f.exp(-UA / (C_air + _TINY))
    # hot air drawn in again goes with the speed, which changes faster than anything that is renewed
    whole = state.radiator.ratio * C_air * e * fresh / (fresh + r * e)
    u = f.most(whole - fixed.lumps.radiator_hoses, 0.0) / (CELLS * C)
    # a nearly still cell loses by its plain conductance: there the exponential has long reached its end
    return C * f.most(u, KEPT * KEPT / (f.exp(-f.least(u, 30.0)) + SHARP) - KEPT)


def _air_in(fixed: FixedForRun, row: int, air: AirNow) -> Value:
    """Air that comes to the radiator [K], with the heat of the coolers ahead."""
    f = fixed.f
    ambient = fixed.lumps.ambient
    if not fixed.air.has_upstream:
        return ambient
    rise = warmed_by(tuple(cooler.at(row) for cooler in fixed.rows.ahead), air.C, f)
    return ambient + f.choose(fixed.rows.head[row] > 0.0, rise, 0.0) / (1.0 - air.recirculation)


def _advance(fixed: FixedForRun, state: State, given: _Given, streams: Streams, move: ValveMove, V_r: Value) -> Value:
    """The implicit midpoint step: each lump affine in the engine's coolant, value = a + b T.

    The heat [W] that the radiator's air takes.
    """
    pace = state.pace
    in_wind = state.block
    line = _line(state, streams.C_r, given, _by_coolers(fixed, state, given))
    heater = _heater_line(fixed, state, streams.C_h)
    a_return = _HALF_KEPT * line.a
    T = _coolant_step(state, given, streams, _Known(a_return, line.b, heater))
    T_return = a_return + line.b * T
    core = heater.a_core + heater.b_core * T
    hose = heater.a_hose + heater.b_hose * T
    block = given.metal.block + in_wind.block_by_T * T
    feed = T if fixed.valve.outlet else _mixed(streams, T_return, core, T)
    cabin = _cabin_step(fixed, state, heater.g * (core - heater.T_in), heater.T_in)
    upper, radiator, lower = _line_step(state, T, line)
    state.T_hose = 2.0 * hose - state.T_hose
    state.T_core = 2.0 * core - state.T_core
    state.T_hot = 2.0 * (given.metal.hot + pace.hot_by_T * T) - state.T_hot
    state.T_block = 2.0 * block - state.T_block
    state.T = 2.0 * T - state.T
    state.T_feed = feed
    state.T_return = T_return
    if fixed.valve.feels_return:
        with_wax = follow(fixed, state, V_r, streams, move)
        warm_wax_at_return(fixed, state, T, feed, streams, with_wax)
    else:
        warm_wax(state, feed)
    state.sensor = state.sensor + pace.keep_sensor * (T - state.sensor)
    taken = _taken_by_air(fixed, given, upper, radiator, lower)
    surfaces = in_wind.h_air * block + fixed.lumps.G_hose * hose - in_wind.air_all
    dt = 2.0 * pace.h
    state.lost = state.lost + dt * (taken + surfaces + cabin)
    state.released = state.released + dt * (given.Q + given.Q_x + given.Q_hot + given.Q_cold + state.heater.auxiliary)
    return taken


def _heater_line(fixed: FixedForRun, state: State, C_h: Value) -> _HeaterLine:
    """The heater's hose and core at a stream C_h [W/K]."""
    f = fixed.f
    lumps = fixed.lumps
    pace = state.pace
    T_hose = state.T_hose + pace.w_hose * state.added if fixed.burner.fitted else state.T_hose
    keep_hose = 1.0 / (pace.rest_hose + pace.w_hose * C_h)
    a_hose = (T_hose + pace.air_hose) * keep_hose
    b_hose = 1.0 - pace.rest_hose * keep_hose
    size = f.least(state.heater.UA / (C_h + _TINY), HEATER_SIZE)
    g = C_h * f.expm1(size)
    T_in = lumps.fresh_ambient + lumps.kept * state.T_cabin
    by_coolant = pace.w_core * C_h
    by_air = pace.w_core * g
    keep_core = 1.0 / (1.0 + by_coolant + by_air)
    a_core = (state.T_core + by_coolant * a_hose + by_air * T_in) * keep_core
    b_core = by_coolant * b_hose * keep_core
    return _HeaterLine(a_hose, b_hose, a_core, b_core, g, T_in)


def _metal(fixed: FixedForRun, state: State, Q: Value) -> _Metal:
    """Metal and block, Q [W] going into the hot one."""
    lumps = fixed.lumps
    pace = state.pace
    in_wind = state.block
    hot = state.T_hot * pace.keep_hot + pace.hot_by_Q * Q
    block = state.T_block * in_wind.keep_block + in_wind.block_by_air
    return _Metal(hot, block, lumps.h_hot * hot + lumps.h_block * block)


def _coolant_step(state: State, given: _Given, streams: Streams, known: _Known) -> Value:
    """Midpoint [K] of the engine's coolant, into which all lumps close."""
    pace = state.pace
    heater = known.heater
    C_r, C_h, _ = streams
    brought = C_r * known.a_return + C_h * heater.a_core + given.metal.brings + given.Q_x
    carried_off = C_r * (1.0 - known.b_return) + C_h * (1.0 - heater.b_core)
    return (state.T + pace.w_engine * brought) / (state.block.inner + pace.w_engine * carried_off)


def _mixed(streams: Streams, T_return: Value, core: Value, T: Value) -> Value:
    """What comes to the pump [K]: the streams from radiator, heater core and bypass; the engine's where none flows."""
    C_r, C_h, C_b = streams
    return (C_r * T_return + C_h * core + C_b * T + _TINY * T) / (C_r + C_h + C_b + _TINY)


def _taken_by_air(fixed: FixedForRun, given: _Given, upper: Value, radiator: Value, lower: Value) -> Value:
    """Heat [W] that the air takes from the cells, of which ``radiator`` [K] is the sum, and from the two hoses."""
    lumps = fixed.lumps
    T_e = given.T_e
    from_cells = given.g * (radiator - CELLS * T_e)
    from_upper = lumps.G_upper * (upper - T_e)
    from_lower = lumps.G_lower * (lower - T_e)
    return from_cells + from_upper + from_lower


def _by_coolers(fixed: FixedForRun, state: State, given: _Given) -> tuple[Value, Value]:
    """What oil coolers in the tanks add to upper and lower hose in half a step [K]."""
    if not fixed.rows.oil:
        return 0.0, 0.0
    h = state.pace.h
    per_J = fixed.lumps.per_J
    return h * per_J.upper * given.Q_hot, h * per_J.lower * given.Q_cold


def _line(state: State, C_r: Value, given: _Given, warmed: tuple[Value, Value]) -> _Line:
    """The line from the engine's outlet to its inlet, at a stream C_r [W/K].

    ``warmed`` [K] is what oil coolers add to upper and lower hose in half a step.
    """
    pace = state.pace
    T_e = given.T_e
    by_coolant = pace.w_cell * C_r
    by_air = pace.w_face * given.g
    upper = 2.0 / (pace.rest_upper + pace.w_upper * C_r)
    lower = 2.0 / (pace.rest_lower + pace.w_lower * C_r)
    cell = 2.0 / (1.0 + by_coolant + by_air)
    through = _HALF_KEPT * by_coolant * cell - SHARP
    source = by_air * T_e
    cells = [cell * (T + source) for T in state.cells]
    upper_kept = upper * (state.T_upper + (pace.rest_upper - 1.0) * T_e + warmed[0])
    lower_kept = lower * (state.T_lower + (pace.rest_lower - 1.0) * T_e + warmed[1])
    upper_passed = 1.0 - _HALF_KEPT * pace.rest_upper * upper
    lower_passed = 1.0 - _HALF_KEPT * pace.rest_lower * lower
    a = upper_kept
    b = upper_passed
    for own in cells:
        a = own + through * a
        b = through * b
    a = lower_kept + lower_passed * a
    b = lower_passed * b
    return _Line((upper_kept, upper_passed), cells, through, (lower_kept, lower_passed), a, b)


def _line_step(state: State, T: Value, line: _Line) -> tuple[Value, Value, Value]:
    """Radiator and its hoses after the engine's coolant T of this step.

    Midpoints [K] of the upper hose, of the cells together, of the lower hose.
    """
    into = (2.0 / KEPT) * T
    through, (kept, passed) = line.through, line.upper
    y = kept + passed * into
    upper = y + SHARP * into
    state.T_upper = upper - state.T_upper
    twice: list[Value] = []
    for own in line.cells:
        before = y
        y = own + through * y
        twice.append(y + SHARP * before)
    state.cells = tuple([x - T_j for x, T_j in zip(twice, state.cells, strict=True)])
    kept, passed = line.lower
    lower = kept + (passed + SHARP) * y
    state.T_lower = lower - state.T_lower
    return 0.5 * upper, 0.5 * sum(twice[1:], twice[0]), 0.5 * lower


def _cabin_step(fixed: FixedForRun, state: State, heat: Value, T_in: Value) -> Value:
    """Cabin air and interior after the heater's heat of this step; what leaves with the air [W]."""
    pace = state.pace
    heater = state.heater
    given = pace.interior_gives * state.T_interior
    mid = (state.T_cabin + pace.w_cabin * (heat + heater.cabin_fixed + given)) * state.keep_cabin
    interior = state.T_interior * pace.keep_interior + pace.interior_takes * mid
    state.T_cabin = 2.0 * mid - state.T_cabin
    state.T_interior = 2.0 * interior - state.T_interior
    state.at_vent = T_in, heat, mid
    return heater.leaves * (mid - fixed.lumps.ambient)


def _warm_air(fixed: FixedForRun, state: State, air: AirNow, T_e: Value, taken: Value) -> None:
    """How warm the air behind the core is, and so how thin, after it took heat [W] in this step."""
    f = fixed.f
    ambient = fixed.lumps.ambient
    h = state.pace.h
    rise = taken / ((1.0 - air.recirculation) * (air.C + _TINY))
    behind = f.least(T_e + rise, f.most(state.T, T_e))
    came = f.most(1.0 - ambient / behind, 0.0) * fixed.air.per_thinned
    # half of the way by a draught: coolant that gives it all its heat would else swing about where the two agree
    state.thin = (came + air.drawn * state.thin) / (1.0 + air.drawn)
    if fixed.run.plant.airway.fan.senses_air:
        state.behind_felt = state.behind_felt + 2.0 * h / (CLUTCH_TIME + h) * (behind - state.behind_felt)


def _boil(fixed: FixedForRun, state: State, k: int) -> None:
    """Hold the engine's coolant at its boiling point: steam carries off the heat that is over."""
    over = fixed.f.most(state.T - fixed.lumps.boiling, 0.0)  # K
    state.T = state.T - over
    state.lost = state.lost + over / fixed.lumps.per_J.engine
    now = fixed.f.choose(over > 0.0, (k + 1) * fixed.run.drive.step, np.inf)
    state.boiled = fixed.f.least(state.boiled, now)
