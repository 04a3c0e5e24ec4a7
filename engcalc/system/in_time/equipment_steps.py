"""What today's vehicles add to a step of the warm-up: a mapped valve, a pump that stands cold, warmers, exhaust heat.

Each costs nothing where it is not fitted. The engine's load and exhaust count as means over the steps until the next
renewal. Heater or command move the valve with the lag of its wax: one warmed by so many kelvins opens that much lower.
The heat of a warmer in a step is that of two lumps which all else moves apart at the rate s of the step before:

    d(T - T_oil)/dt = s - k (T - T_oil),    k = UA (1/C_engine + 1/C_oil)

in its mean over the step; the s of a warmer too strong for the step counts less, that it may not swing. Warmers and
exhaust heat need coolant that moves.
"""

from __future__ import annotations

from engcalc.components.equipment import FLAP
from engcalc.components.pump import HEAT_ASKED
from engcalc.system.arithmetic import Value
from engcalc.system.in_time.lumps import KEPT, SHARP
from engcalc.system.in_time.step_fixed import FixedForRun
from engcalc.system.in_time.step_state import State, WarmerBefore
from engcalc.system.in_time.valve_steps import Streams
from engcalc.system.oil_coolers import CoolerPlace, heat_at

_TINY = 1e-9


def map_valve(fixed: FixedForRun, state: State) -> None:
    """Move the valve's opening towards what the load calls for."""
    state.shift = state.shift + state.pace.keep_shift * (state.engine.called - state.shift)
    state.start_open = fixed.valve.start - state.shift
    state.opens_lowest = fixed.f.least(state.opens_lowest, state.start_open)


def commanded(fixed: FixedForRun, state: State, head: Value, heater_share: Value) -> Value:
    """The pump's head, or nothing while it stands: until the coolant is warm, or the heater calls for it.

    Keeps in the state whether the coolant has started it, and for how long it stood.
    """
    f = fixed.f
    fitted = fixed.equipment
    state.turning = f.choose(fitted.pump_starts <= state.T, 1.0, state.turning)
    runs = f.choose(heater_share >= HEAT_ASKED, 1.0, state.turning) if fitted.heat_starts else state.turning
    stands = 2.0 * state.pace.h * (1.0 - runs)
    state.stood = state.stood + f.choose(head > 0.0, stands, 0.0)
    return head * runs


def burn(fixed: FixedForRun, state: State, row: int, head: Value, V_h: Value) -> Value:
    """Set the heat that the heater in the coolant circuit adds; the heater's flow [m3/s]: its own pump's where no
    other drives it.
    """
    f = fixed.f
    burner = fixed.burner
    share = fixed.rows.burner_share[row]
    driven = head + fixed.network.stated  # over 0 where the pump or a stated flow drives the coolant
    V_h = f.choose(driven > 0.0, V_h, f.choose(share > 0.0, burner.pump, 0.0))
    below = f.most(burner.stops - state.T, 0.0)
    part = f.least(below * burner.slope, 1.0)
    taken_up = state.coolant.rho_cp * V_h * below
    state.added = f.least(burner.power * share * part, taken_up)
    return V_h


def exchange(fixed: FixedForRun, state: State, Q_x: Value, head: Value) -> Value:
    """Heat into the coolant beside the metal's [W], with what oils take and the exhaust gives in this step.

    Writes the temperatures of block and gearbox, what was recovered, released and lost.
    """
    fitted = fixed.equipment
    flows = fixed.f.choose(head > 0.0, 1.0, 0.0)
    if fitted.recovers:
        Q_x = Q_x + _by_exhaust(fixed, state, flows)
    if fitted.warms_oil:
        Q_x = Q_x - _into_oil(fixed, state, flows)
    if fitted.warms_gearbox:
        Q_x = Q_x - _into_gearbox(fixed, state, flows)
    state.T_before = state.T
    return Q_x


def _by_exhaust(fixed: FixedForRun, state: State, flows: Value) -> Value:
    """Heat [W] that the exhaust gives the coolant, if that ``flows`` (1 or 0), by how warm it is half a step ahead."""
    f = fixed.f
    fitted = fixed.equipment
    ahead = 0.0 if state.T_before is None else 0.5 * (state.T - state.T_before)
    flap = f.least(f.most((fitted.flap_shuts - state.T - ahead) / FLAP, 0.0), 1.0)
    taken = flows * fitted.recovery * state.engine.exhaust * flap
    state.recovered = state.recovered + 2.0 * state.pace.h * taken
    return taken


def _into_oil(fixed: FixedForRun, state: State, flows: Value) -> Value:
    """Heat [W] that the coolant, if it ``flows`` (1 or 0), gives the engine's oil: passed on, not lost."""
    fitted = fixed.equipment
    dt = 2.0 * state.pace.h
    oil = state.T_block + fitted.inner_block * (state.T_block - fixed.lumps.ambient)
    state.oil = _passed(fixed, state, state.oil, state.T - oil, flows * fitted.oil_UA, fitted.oil_apart)
    state.T_block = state.T_block + dt * state.oil.q * fixed.lumps.per_J.block
    state.released = state.released + dt * state.oil.q
    return state.oil.q


def _into_gearbox(fixed: FixedForRun, state: State, flows: Value) -> Value:
    """Heat [W] that the coolant, if it ``flows`` (1 or 0), gives the gearbox's oil."""
    fitted = fixed.equipment
    dt = 2.0 * state.pace.h
    apart = state.T - state.T_gear
    state.gear = _passed(fixed, state, state.gear, apart, flows * fitted.gear_UA, fitted.gear_apart)
    lost = fitted.gear_to_air * (state.T_gear - fixed.lumps.ambient)
    gained = state.engine.gear_heat + state.gear.q
    state.T_gear = state.T_gear + dt * (gained - lost) / fitted.gear_capacity
    state.released = state.released + dt * gained
    state.lost = state.lost + dt * lost
    return state.gear.q


def oil_heat(fixed: FixedForRun, state: State, row: int, Q_x: Value, streams: Streams) -> tuple[Value, Value, Value]:
    """Heat [W] into the engine's coolant, Q_x and the oil coolers' there, and of those in hot and cold tank."""
    f = fixed.f
    oil = tuple(cooler.at(row) for cooler in fixed.rows.oil)
    beside = heat_at(oil, CoolerPlace.ENGINE, streams.C_r + streams.C_h + streams.C_b, state.T_feed, f)
    hot = heat_at(oil, CoolerPlace.HOT_TANK, streams.C_r, state.T, f)
    cold = heat_at(oil, CoolerPlace.COLD_TANK, streams.C_r, _out_of_core(state), f)
    return Q_x + beside, hot, cold


def _out_of_core(state: State) -> Value:
    """Coolant [K] that leaves the core: each lump is a mean of what leaves it and a share of what enters."""
    out = state.T
    for lump in (state.T_upper, *state.cells):
        out = KEPT * lump - SHARP * out
    return out


def _passed(fixed: FixedForRun, state: State, before: WarmerBefore, d: Value, UA: Value, apart: Value) -> WarmerBefore:
    """The heat that a warmer passes in this step, with what the next needs to know of it.

    ``d`` [K] of coolant over oil; ``apart`` [K/J], by which a joule brings them together.
    """
    f = fixed.f
    dt = 2.0 * state.pace.h
    moved_by_others = 0.0 * d if state.T_before is None else (d - before.d) / before.dt + apart * before.q  # K/s
    k = f.most(UA * apart, _TINY)
    s = moved_by_others / (1.0 + k * dt * k * dt)
    settles_at = s / k
    mean = settles_at + (settles_at - d) * f.expm1(-k * dt) / (k * dt)
    return WarmerBefore(d, UA * mean, dt)
