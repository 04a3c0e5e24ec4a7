"""The valve in a step of the warm-up: its lift half a step ahead, and how its wax warms.

Both places of the wax feel what the lift itself does, and within a step. At the pump's inlet a lift of one per cent of
icy return cools the mixture by several kelvins; at the outlet the engine holds so little coolant that an icy return
cools it by as much in three seconds. With the wax as it was, or foreseen from how it warmed, such valves hunt, and the
more the longer the step. So lift and wax half a step ahead are found together, from what the wax would feel at a lift.

All functions here that give nothing, or a lift, write wax and lift into the state.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

from engcalc.system.arithmetic import Value
from engcalc.system.in_time.step_fixed import FixedForRun
from engcalc.system.in_time.step_state import State

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


class _Felt(NamedTuple):
    """What the wax feels at a lift x: (n0 + n1 x)/(d0 + d1 x) [K], in the middle of the step."""

    n0: Value
    n1: Value
    d0: Value
    d1: Value

    def at(self, lift: Value) -> Value:
        """At a lift [-]."""
        return (self.n0 + self.n1 * lift) / (self.d0 + self.d1 * lift)


def move_valve(fixed: FixedForRun, state: State, head: Value, brought: Value) -> ValveMove:
    """Move the lift to half a step ahead by the play operator.

    ``head`` [m2/s2] of the pump over the density; ``brought`` [W] into the engine's coolant at 0 K, but by streams.
    """
    f = fixed.f
    valve = fixed.valve
    follows: Value = 0.0
    if valve.there:
        moves = _move_lift(fixed, state, head, brought)
        follows = moves if valve.feels_return else 0.0
    passage = f.most(valve.leak + valve.leak_rest * state.opening, _LEAST_PASSAGE)
    other = f.most(1.0 - state.opening, _LEAST_PASSAGE) if valve.closes else 1.0
    return ValveMove(passage, other, follows)


def _move_lift(fixed: FixedForRun, state: State, head: Value, brought: Value) -> Value:
    """Lift half a step ahead, in long steps at the outlet more (``StepPace.pull``); how that follows the wax [1/K].

    The streams' temperatures are those of the step before. With V_r = k passage of the radiator, k at the branch
    pressure of now,

        w = (wax + pull (n0 + n1 x)/(d0 + d1 x))/(1 + pull),   w = start + span x on the branch that opens

    which is a quadratic for the lift x. The k hardly depends on x and is taken twice.
    """
    f = fixed.f
    valve = fixed.valve
    pace = state.pace
    before = state.opening
    P = state.pressure * (head * state.coolant.rho + 1e-12) / state.head_before
    k = _per_passage(fixed, state, P, before)
    felt_by = _felt_at_return(fixed, state, P) if valve.feels_return else _felt_at_outlet(fixed, state, P, brought)
    felt = felt_by(k)
    wax = (state.wax + pace.pull * felt.at(before)) * pace.settled
    warming = (wax - state.start_open) * valve.per_span
    opens = warming > before
    sticks = f.choose(opens, -1.0, warming + valve.play) >= before
    start = f.choose(opens, state.start_open, state.start_open - valve.play / valve.per_span)
    short_of_start = start / pace.settled - state.wax
    slope = 1.0 / (pace.settled * valve.per_span)
    x = moved = before
    for again in (True, False):
        x = _lift_that_agrees(fixed, state, short_of_start, slope, felt)
        moved = f.least(f.most(x, valve.low), valve.high)
        if again:
            felt = felt_by(_per_passage(fixed, state, P, moved))
    state.wax_ahead = start + moved / valve.per_span
    state.opening = f.choose(sticks, before, moved)
    between_stops = x == moved
    return f.choose(sticks, 0.0, f.choose(between_stops, valve.per_span, 0.0))


def _through_branch(fixed: FixedForRun, state: State, P: Value, branch: int) -> Value:
    """Flow [m3/s] through heater (1) or open bypass (2) at a branch pressure [Pa]."""
    viscous, inertial, square = (
        of[branch] for of in (state.coolant.viscous, state.coolant.inertial, state.coolant.squares)
    )
    return 2.0 * P / (viscous + fixed.f.sqrt(square + inertial * P))


def _felt_at_return(fixed: FixedForRun, state: State, P: Value) -> Callable[[Value], _Felt]:
    """What the valve at the pump's inlet mixes, by the radiator's flow over the valve's passage [m3/s].

    Of a stated flow the bypass takes what the valve holds back.
    """
    f = fixed.f
    valve = fixed.valve
    network = fixed.network
    V_h = state.flow_h
    open_bypass = _through_branch(fixed, state, P, 2)

    def felt(k: Value) -> _Felt:
        leak = k * valve.leak
        grows = k * valve.leak_rest
        V_b = open_bypass
        shuts = V_b if valve.closes else 0.0
        if network.states_flow:
            V_b = f.choose(network.is_stated, network.stated - leak, V_b)
            shuts = f.choose(network.is_stated, grows, shuts)
        V_b = V_b + _STILL
        heat = V_h * state.T_core + V_b * state.T
        return _Felt(
            leak * state.T_return + heat,
            grows * state.T_return - shuts * state.T,
            leak + V_h + V_b,
            grows - shuts,
        )

    return felt


def _felt_at_outlet(fixed: FixedForRun, state: State, P: Value, brought: Value) -> Callable[[Value], _Felt]:
    """The engine's coolant in the middle of the step, by the radiator's flow over the valve's passage [m3/s].

    ``brought`` [W] as in :func:`move_valve`.
    """
    valve = fixed.valve
    w = state.pace.w_engine
    per_flow = w * state.coolant.rho_cp
    C_h = per_flow * _through_branch(fixed, state, P, 1)
    n = state.T + w * brought + C_h * state.T_core
    d = state.block.inner + C_h

    def felt(k: Value) -> _Felt:
        leak = per_flow * k * valve.leak
        grows = per_flow * k * valve.leak_rest
        return _Felt(n + leak * state.T_return, grows * state.T_return, d + leak, grows)

    return felt


def _lift_that_agrees(fixed: FixedForRun, state: State, short_of_start: Value, slope: Value, felt: _Felt) -> Value:
    """Lift x [-] at which the wax asks for just that lift: the root of the quadratic in ``_move_lift``.

    ``short_of_start`` [K]: by how much the wax is short of where its branch starts, the pull of the stream left out;
    ``slope`` [K]: what it has to warm for the whole lift.
    """
    f = fixed.f
    pull = state.pace.pull
    q0 = short_of_start * felt.d0 - pull * felt.n0
    q1 = slope * felt.d0 + short_of_start * felt.d1 - pull * felt.n1
    q2 = slope * felt.d1
    return -2.0 * q0 / (q1 + f.sqrt(f.most(q1 * q1 - 4.0 * q2 * q0, 0.0)))


def _per_passage(fixed: FixedForRun, state: State, P: Value, opening: Value) -> Value:
    """Flow through the radiator's branch [m3/s] over the valve's passage, at a branch pressure [Pa]."""
    f = fixed.f
    valve = fixed.valve
    network = fixed.network
    coolant = state.coolant
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
    f = fixed.f
    given = fixed.network
    share = given.valve_share
    through = given.stated / f.sqrt(1.0 - share + share / (passage * passage))
    stated = through, given.stated_heater, given.stated - through
    r, h, b = (f.choose(given.is_stated, own, other) for own, other in zip(stated, network, strict=True))
    return r, h, b


def follow(fixed: FixedForRun, state: State, V_r: Value, streams: Streams, move: ValveMove) -> WithWax:
    """How the streams of radiator, of flow ``V_r`` [m3/s], and bypass follow the wax."""
    opens = move.follows * _by_lift(fixed, state, V_r, streams.C_r, move.passage)
    shuts = move.follows * streams.C_b / move.other if fixed.valve.closes else move.follows * 0.0
    if fixed.network.states_flow:  # what the radiator gains the bypass loses
        shuts = fixed.f.choose(fixed.network.is_stated, opens, shuts)
    return WithWax(opens, shuts)


def _by_lift(fixed: FixedForRun, state: State, V_r: Value, C_r: Value, passage: Value) -> Value:
    """How fast the radiator's stream [W/K] grows with the lift, at the branch pressure of now.

    A V + B V^2 = P in its branch, B of the valve as 1/passage^2: dV/dpassage = V^2 b/passage^3/(A + 2 B V).
    A stated flow F gives V = F/sqrt(1 - s + s/passage^2) at the valve's share s: dV/dpassage = V^3/F^2 s/passage^3.
    """
    network = fixed.network
    coolant = state.coolant
    leak_rest = fixed.valve.leak_rest
    B = coolant.inertial[0] + coolant.valve / (passage * passage)  # four times the B above, as in the flows
    bend = passage * passage * passage * (coolant.viscous[0] + 0.5 * B * V_r) + _TINY
    by_network = leak_rest * C_r * V_r * (0.5 * coolant.valve) / bend
    if not network.states_flow:
        return by_network
    part = V_r / (network.stated + _TINY * _TINY)
    stated = leak_rest * C_r * part * part * network.valve_share / (passage * passage * passage)
    return fixed.f.choose(network.is_stated, stated, by_network)


def warm_wax(state: State, feed: Value) -> None:
    """Warm the wax by the engine's coolant in the middle of the step [K]."""
    pace = state.pace
    state.wax = state.wax + 2.0 * pace.h * (feed - state.wax) / pace.lag


def warm_wax_at_return(
    fixed: FixedForRun, state: State, T: Value, feed: Value, streams: Streams, with_wax: WithWax
) -> None:
    """The same by a mixture ``feed`` [K], as far as that follows the wax; ``T`` [K] of the engine's coolant."""
    back = with_wax.opens * (state.T_return - feed) - with_wax.shuts * (T - feed)
    slope = fixed.f.least(back / (streams.C_r + streams.C_h + streams.C_b + _TINY), 0.0)
    felt = feed - state.wax - slope * (state.wax_ahead - state.wax)
    h = state.pace.h
    state.wax = state.wax + 2.0 * h * felt / (state.pace.lag - h * slope)
