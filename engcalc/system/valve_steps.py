"""The valve in a step of the warm-up: its lift half a step ahead, and how its wax warms.

The wax of a valve at the pump's inlet feels what the valve itself mixes. With the wax as it was, such a valve hunts
wherever the radiator's return is icy: a lift of one per cent cools what it feels by several kelvins. So lift and wax
half a step ahead are found together, and what the wax has felt in the step counts with how fast that follows the wax.
One at the outlet feels the engine's coolant, which follows the lift more slowly: there a lift that is foreseen from how
the coolant warms, and moves by so much less as its own move would cool the coolant within the step, hunts no more.

All functions here that give nothing, or a lift, write wax and lift into the state.
"""

from __future__ import annotations

from typing import NamedTuple

from engcalc.system.arithmetic import Value
from engcalc.system.step_fixed import FixedForRun
from engcalc.system.step_state import State

_STILL = 1e-15  # m3/s; of the engine's coolant, that a wax feels where nothing flows
_TINY = 1e-9
_LEAST_PASSAGE = 1e-6  # -


class Streams(NamedTuple):
    """The coolant's streams in a step: capacity rates of radiator, heater and bypass [W/K]."""

    C_r: Value
    C_h: Value
    C_b: Value


class ValveMove(NamedTuple):
    """How the valve moves in a step."""

    passage: Value  # -, of the valve
    other: Value  # -, of the bypass
    follows: Value  # 1/K, lift by wax where a valve at the inlet moves


class WithWax(NamedTuple):
    """How the streams follow the wax of a valve at the pump's inlet, at the branch pressure of now [W/K2]."""

    opens: Value  # of the radiator, by which it grows
    shuts: Value  # of the bypass, by which it falls


class _Beside(NamedTuple):
    """What comes to the wax of a valve at the pump's inlet beside the radiator's stream, while the valve is shut."""

    flow: Value  # m3/s
    heat: Value  # m3 K/s, flow times temperature
    shuts: Value  # m3/s, by which a lift of 1 takes from the bypass


def move_valve(fixed: FixedForRun, state: State, head: Value) -> ValveMove:
    """Move the lift to half a step ahead by the play operator; ``head`` [m2/s2] of the pump over the density."""
    f, valve = fixed.f, fixed.valve
    follows: Value = 0.0
    if valve.feels_return:
        follows = _lift_at_return(fixed, state, head)
    elif valve.there:
        _lift_at_outlet(fixed, state)
    passage = f.most(valve.leak + valve.leak_rest * state.opening, _LEAST_PASSAGE)
    other = f.most(1.0 - state.opening, _LEAST_PASSAGE) if valve.closes else 1.0
    return ValveMove(passage, other, follows)


def _lift_at_outlet(fixed: FixedForRun, state: State) -> None:
    """Lift half a step ahead where the wax feels the engine's coolant.

    The wax asks for ``warming`` on the branch that opens and for as much as the play more at most.
    """
    f, valve, before = fixed.f, fixed.valve, state.opening
    warming = (state.wax_ahead - state.start_open) * valve.per_span
    asked = f.least(f.most(before, warming), warming + valve.play)
    moved = before + (asked - before) / (1.0 + state.answers)
    state.opening = f.least(f.most(moved, valve.low), valve.high)


def _lift_at_return(fixed: FixedForRun, state: State, head: Value) -> Value:
    """Lift half a step ahead where the wax feels what its own valve mixes; how that follows the wax [1/K].

    The temperatures of the streams are those of the step before: with V_r = k passage of the radiator and a bypass
    that shuts by the lift x,

        w = (wax + h/lag (n0 + n1 x)/(d0 + d1 x))/(1 + h/lag),   w = start + span x on the branch that opens

    which is a quadratic for x. The k hardly depends on x and is taken twice.
    """
    f, valve, pace, before = fixed.f, fixed.valve, state.pace, state.opening
    P = state.pressure * (head * state.coolant.rho + 1e-12) / state.head_before
    V_b = _through_bypass(fixed, state, P)
    k = _per_passage(fixed, state, P, before)
    beside = _beside(fixed, state, V_b, k)
    wax = (state.wax + pace.pull * _felt_at(fixed, state, k, beside, before)) * pace.settled
    warming = (wax - state.start_open) * valve.per_span
    opens = warming > before
    sticks = f.choose(opens, -1.0, warming + valve.play) >= before
    start = f.choose(opens, state.start_open, state.start_open - valve.play / valve.per_span)
    short_of_start = start / pace.settled - state.wax
    x = moved = before
    for _ in range(2):
        x = _lift_that_agrees(fixed, state, short_of_start, k, beside)
        moved = f.least(f.most(x, valve.low), valve.high)
        k = _per_passage(fixed, state, P, moved)
        if fixed.network.states_flow:
            beside = _beside(fixed, state, V_b, k)
    state.wax_ahead = start + moved / valve.per_span
    state.opening = f.choose(sticks, before, moved)
    between_stops = x == moved
    return f.choose(sticks, 0.0, f.choose(between_stops, valve.per_span, 0.0))


def _through_bypass(fixed: FixedForRun, state: State, P: Value) -> Value:
    """Flow through the open bypass [m3/s] at a branch pressure [Pa]."""
    viscous, inertial, square = (of[2] for of in (state.coolant.viscous, state.coolant.inertial, state.coolant.squares))
    return 2.0 * P / (viscous + fixed.f.sqrt(square + inertial * P))


def _felt_at(fixed: FixedForRun, state: State, k: Value, beside: _Beside, lift: Value) -> Value:
    """What the valve mixes at a lift [K]; ``k`` [m3/s] is the radiator's flow over the valve's passage."""
    V_r = k * (fixed.valve.leak + fixed.valve.leak_rest * lift)
    shut = beside.shuts * lift
    heat = V_r * state.T_return + beside.heat - shut * state.T
    return heat / (V_r + beside.flow - shut)


def _lift_that_agrees(fixed: FixedForRun, state: State, short_of_start: Value, k: Value, beside: _Beside) -> Value:
    """Lift x [-] at which the wax asks for just that lift: the root of the quadratic in ``_lift_at_return``.

    ``short_of_start`` [K]: by how much the wax is short of where its branch starts, the pull of the stream left out.
    """
    f, valve, pull = fixed.f, fixed.valve, state.pace.pull
    leak = k * valve.leak
    grows = k * valve.leak_rest
    d0 = leak + beside.flow
    d1 = grows - beside.shuts
    n0 = leak * state.T_return + beside.heat
    n1 = grows * state.T_return - beside.shuts * state.T
    slope = 1.0 / (state.pace.settled * valve.per_span)
    q0 = short_of_start * d0 - pull * n0
    q1 = slope * d0 + short_of_start * d1 - pull * n1
    q2 = slope * d1
    return -2.0 * q0 / (q1 + f.sqrt(f.most(q1 * q1 - 4.0 * q2 * q0, 0.0)))


def _beside(fixed: FixedForRun, state: State, V_b: Value, k: Value) -> _Beside:
    """What comes to the wax beside the radiator's stream, with ``V_b`` [m3/s] through the open bypass.

    Of a stated flow the bypass takes what the valve holds back; ``k`` [m3/s] is the radiator's flow over the valve's
    passage.
    """
    f, valve, network, V_h = fixed.f, fixed.valve, fixed.network, state.flow_h
    shuts = V_b if valve.closes else 0.0
    if network.states_flow:
        V_b = f.choose(network.is_stated, network.stated - k * valve.leak, V_b)
        shuts = f.choose(network.is_stated, k * valve.leak_rest, shuts)
    flow = V_h + V_b + _STILL
    heat = V_h * state.T_core + (V_b + _STILL) * state.T
    return _Beside(flow, heat, shuts)


def _per_passage(fixed: FixedForRun, state: State, P: Value, opening: Value) -> Value:
    """Flow through the radiator's branch [m3/s] over the valve's passage, at a branch pressure [Pa]."""
    f, valve, network, coolant = fixed.f, fixed.valve, fixed.network, state.coolant
    passage = f.most(valve.leak + valve.leak_rest * opening, _LEAST_PASSAGE)
    B = coolant.inertial[0] * passage * passage + coolant.valve
    A = coolant.viscous[0] * passage
    by_network = 2.0 * P / (A + f.sqrt(A * A + B * P))
    if not network.states_flow:
        return by_network
    share = network.valve_share
    stated = network.stated / f.sqrt((1.0 - share) * passage * passage + share)
    return f.choose(network.is_stated, stated, by_network)


def stated_flows(fixed: FixedForRun, passage: Value, network: tuple[Value, Value, Value]) -> tuple[Value, Value, Value]:
    """Flows of radiator, heater and bypass [m3/s] as a duty states them; the network's where none is stated."""
    f, given = fixed.f, fixed.network
    share = given.valve_share
    through = given.stated / f.sqrt(1.0 - share + share / (passage * passage))
    stated = through, given.stated_heater, given.stated - through
    r, h, b = (f.choose(given.is_stated, own, other) for own, other in zip(stated, network, strict=True))
    return r, h, b


def follow(fixed: FixedForRun, state: State, V_r: Value, streams: Streams, move: ValveMove) -> WithWax:
    """How the streams of radiator, of flow ``V_r`` [m3/s], and bypass follow the wax."""
    opens = move.follows * by_lift(fixed, state, V_r, streams.C_r, move.passage)
    shuts = move.follows * streams.C_b / move.other if fixed.valve.closes else move.follows * 0.0
    if fixed.network.states_flow:  # what the radiator gains the bypass loses
        shuts = fixed.f.choose(fixed.network.is_stated, opens, shuts)
    return WithWax(opens, shuts)


def by_lift(fixed: FixedForRun, state: State, V_r: Value, C_r: Value, passage: Value) -> Value:
    """How fast the radiator's stream [W/K] grows with the lift, at the branch pressure of now.

    A V + B V^2 = P in its branch, B of the valve as 1/passage^2: dV/dpassage = V^2 b/passage^3/(A + 2 B V).
    A stated flow F gives V = F/sqrt(1 - s + s/passage^2) at the valve's share s: dV/dpassage = V^3/F^2 s/passage^3.
    """
    network, coolant, leak_rest = fixed.network, state.coolant, fixed.valve.leak_rest
    B = coolant.inertial[0] + coolant.valve / (passage * passage)  # four times the B above, as in the flows
    bend = passage * passage * passage * (coolant.viscous[0] + 0.5 * B * V_r) + _TINY
    by_network = leak_rest * C_r * V_r * (0.5 * coolant.valve) / bend
    if not network.states_flow:
        return by_network
    part = V_r / (network.stated + _TINY * _TINY)
    stated = leak_rest * C_r * part * part * network.valve_share / (passage * passage * passage)
    return fixed.f.choose(network.is_stated, stated, by_network)


def warm_wax(fixed: FixedForRun, state: State, feed: Value, cools: Value) -> None:
    """Warm the wax by the engine's coolant in the step [K]; ``cools`` [K]: that by a lift of 1 within the step.

    It is foreseen to go on warming as it did in the last half of the step.
    """
    pace = state.pace
    state.wax = state.wax + 2.0 * pace.h * (feed - state.wax) / pace.lag
    state.wax_ahead = (state.wax + pace.pull * (2.0 * state.T - feed)) * pace.settled
    state.answers = pace.pull * pace.settled * fixed.valve.per_span * fixed.f.most(cools, 0.0)


def look_ahead(state: State, longer: Value) -> None:
    """Half a step ahead anew, as steps of another length follow: ``longer`` [-] times the ones before."""
    pace = state.pace
    state.wax_ahead = (state.wax + pace.pull * (state.T + longer * (state.T - state.T_feed))) * pace.settled


def warm_wax_at_return(
    fixed: FixedForRun, state: State, T: Value, feed: Value, streams: Streams, with_wax: WithWax
) -> None:
    """The same for a mixture ``feed`` [K], as far as that follows the wax; ``T`` [K] of the engine's coolant."""
    back = with_wax.opens * (state.T_return - feed) - with_wax.shuts * (T - feed)
    slope = fixed.f.least(back / (streams.C_r + streams.C_h + streams.C_b + _TINY), 0.0)
    felt = feed - state.wax - slope * (state.wax_ahead - state.wax)
    h = state.pace.h
    state.wax = state.wax + 2.0 * h * felt / (state.pace.lag - h * slope)
