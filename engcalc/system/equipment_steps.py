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
from engcalc.system.lumps import KEPT, SHARP
from engcalc.system.oil_coolers import CoolerPlace, heat_at
from engcalc.system.step_fixed import Fixed
from engcalc.system.step_state import State, WarmerBefore
from engcalc.system.valve_steps import Streams

_TINY = 1e-9


def map_valve(fixed: Fixed, state: State) -> None:
    """Move the valve's opening towards what the load calls for."""
    state.shift = state.shift + state.pace.keep_shift * (state.engine.called - state.shift)
    state.start_open = fixed.valve.start - state.shift
    state.opens_lowest = fixed.f.least(state.opens_lowest, state.start_open)


def commanded(fixed: Fixed, state: State, head: Value, heater_share: Value) -> Value:
    """The pump's head, or nothing while it stands: until the coolant is warm, or the heater calls for it.

    Keeps in the state whether the coolant has started it, and for how long it stood.
    """
    f, fitted = fixed.f, fixed.equipment
    state.turning = f.choose(fitted.pump_starts <= state.T, 1.0, state.turning)
    runs = f.choose(heater_share >= HEAT_ASKED, 1.0, state.turning) if fitted.heat_starts else state.turning
    state.stood = state.stood + f.choose(head > 0.0, 2.0 * state.pace.h * (1.0 - runs), 0.0)
    return head * runs


def burn(fixed: Fixed, state: State, row: int, head: Value, V_h: Value) -> Value:
    """Set the heat that the heater in the coolant circuit adds; the heater's flow [m3/s]: its own pump's where no
    other drives it.
    """
    f, burner, share = fixed.f, fixed.burner, fixed.rows.burner_share[row]
    driven = head + fixed.network.stated  # over 0 where the pump or a stated flow drives the coolant
    V_h = f.choose(driven > 0.0, V_h, f.choose(share > 0.0, burner.pump, 0.0))
    below = f.most(burner.stops - state.T, 0.0)
    part = f.least(below * burner.slope, 1.0)
    taken_up = state.coolant.rho_cp * V_h * below
    state.added = f.least(burner.power * share * part, taken_up)
    return V_h


def exchange(fixed: Fixed, state: State, Q_x: Value, head: Value) -> Value:
    """Heat into the coolant beside the metal's [W], with what oils take and the exhaust gives in this step.

    Writes the temperatures of block and gearbox, what was recovered, released and lost.
    """
    f, fitted, ambient, dt = fixed.f, fixed.equipment, fixed.lumps.ambient, 2.0 * state.pace.h
    flows = f.choose(head > 0.0, 1.0, 0.0)
    ahead = 0.0 if state.T_before is None else 0.5 * (state.T - state.T_before)
    if fitted.recovers:
        flap = f.least(f.most((fitted.flap_shuts - state.T - ahead) / FLAP, 0.0), 1.0)
        taken = flows * fitted.recovery * state.engine.exhaust * flap
        state.recovered = state.recovered + dt * taken
        Q_x = Q_x + taken
    if fitted.warms_oil:
        oil = state.T_block + fitted.inner_block * (state.T_block - ambient)
        state.oil = _passed(fixed, state, state.oil, state.T - oil, flows * fitted.oil_UA, fitted.oil_apart)
        state.T_block = state.T_block + dt * state.oil.q * fixed.lumps.per_J.block
        state.released = state.released + dt * state.oil.q  # passed on, not lost to the engine
        Q_x = Q_x - state.oil.q
    if fitted.warms_gearbox:
        apart = state.T - state.T_gear
        state.gear = _passed(fixed, state, state.gear, apart, flows * fitted.gear_UA, fitted.gear_apart)
        lost = fitted.gear_to_air * (state.T_gear - ambient)
        gained = state.engine.gear_heat + state.gear.q
        state.T_gear = state.T_gear + dt * (gained - lost) / fitted.gear_capacity
        state.released = state.released + dt * gained
        state.lost = state.lost + dt * lost
        Q_x = Q_x - state.gear.q
    state.T_before = state.T
    return Q_x


def oil_heat(fixed: Fixed, state: State, row: int, Q_x: Value, streams: Streams) -> tuple[Value, Value, Value]:
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


def _passed(fixed: Fixed, state: State, before: WarmerBefore, d: Value, UA: Value, apart: Value) -> WarmerBefore:
    """The heat that a warmer passes in this step, with what the next needs to know of it.

    ``d`` [K] of coolant over oil; ``apart`` [K/J], by which a joule brings them together.
    """
    dt, f = 2.0 * state.pace.h, fixed.f
    s = 0.0 * d if state.T_before is None else (d - before.d) / before.dt + apart * before.q
    k = f.most(UA * apart, _TINY)
    s = s / (1.0 + k * dt * k * dt)
    mean = s / k + (s / k - d) * f.expm1(-k * dt) / (k * dt)
    return WarmerBefore(d, UA * mean, dt)
