"""A thermostat that hunts: it opens, a cold slug comes back, it shuts, and so for ever, with no steady point.

With play (hysteresis) a valve rests wherever its wax moves by less than the play. Whether it comes to rest tells only
the run: from the moment at which the warm engine's valve begins to open onto a cold radiator, as at the end of every
warm-up, by the steps of the warm-up, until it rests or one cycle is as the one before it.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from engcalc.case.conditions import Conditions
from engcalc.system.balance import balance, held_at, prepare_setting
from engcalc.system.in_time.fan_cycle import CycleBegin, steady_renewal, steady_start, step_of
from engcalc.system.in_time.renewals import renew
from engcalc.system.in_time.step import step
from engcalc.system.in_time.step_fixed import FixedForRun
from engcalc.system.in_time.step_state import State, take_pace
from engcalc.system.plant import Plant

STEP = 1.0  # s; while the valve moves, as in a warm-up
STANDING_STEP = 2.0  # s; once it has stood for ``SOON``
SOON = 10.0  # s
FAR = 1.0  # K, from the wax to where the valve moves: more than it warms in two long steps
RENEW_STEPS = 6  # between renewals of films and effectiveness
STIRS = 1e-4  # -, lift; what moves less in a step stands
LOOK = 40.0  # s; a valve that stood for so long
RESTS = 0.2  # K; while the coolant moved by no more, rests
CLOSE = 0.05  # K; two cycles whose means and ends differ by no more are alike
MOST_CYCLES = 12  # one that is still not as the one before it is answered by its last
LEAST_SWING = 4.0  # K; healthy cars swing by 1 to 3 K as they are driven: what swings less is as good as steady
MOST_STEPS = 8000  # some ten times what the slowest took in trials


@dataclass(frozen=True)
class Hunting:
    """The engine's outlet over one cycle [K]."""

    mean: float
    low: float
    high: float


def hunting(plant: Plant, conditions: Conditions) -> Hunting | None:
    """How the valve of one member hunts under a condition that holds; None where it comes to rest or has no play."""
    valve = plant.valve
    if not valve.present or not np.any(valve.hysteresis > 0.0) or np.isfinite(conditions.valve_held).any():
        return None
    setting = prepare_setting(plant, conditions)
    off = np.where(conditions.fan_mode > 0.0, 1.0, np.where(conditions.fan_mode < 0.0, 0.0, setting.fan_least))
    shut = balance(setting, valve.start, held_at(setting, off))
    if not np.all(shut.residual > 0.0):
        return None  # it never opens
    fan = plant.airway.fan
    begin = CycleBegin(valve.start, shut, shut.coolant_out, off, fan.on_temperature, fan.off_temperature)
    fixed, state = steady_start(setting, begin)
    _come_from_below(fixed, state, float(shut.residual.ravel()[0]))
    return _until_it_rests(fixed, state)


def _come_from_below(fixed: FixedForRun, state: State, surplus: float) -> None:
    """Stand as at the end of a warm-up, the valve about to open.

    All warms evenly by a surplus of heat [W], block and wax behind the coolant by what they lag, and what lies behind
    the shut valve is cold.
    """
    L = fixed.run.capacities
    capacity = L.hot + L.block + L.engine + L.heater_hose + L.heater_core
    rate = surplus / float(capacity.ravel()[0])  # K/s
    block_time = L.block / (L.block_to_coolant + fixed.lumps.h_air)  # s
    state.T_block -= rate * float(block_time.ravel()[0])
    state.wax -= rate * fixed.valve.time_constant
    cold = state.T_lower
    state.cells = (cold,) * len(state.cells)
    state.T_upper = cold


def _worth_telling(cycle: Hunting) -> Hunting | None:
    """The cycle; None where it swings so little that the valve as good as rests."""
    return cycle if cycle.high - cycle.low > LEAST_SWING else None


def _until_it_rests(fixed: FixedForRun, state: State) -> Hunting | None:
    """Step until the valve rests, or hunts alike."""
    length = STEP
    take_pace(fixed, state, length)
    last: Hunting | None = None
    curve: list[tuple[float, float]] = []  # s of a step, K after it
    cycles = 0
    stood = 0.0
    since = state.T
    falls = False
    for k in range(MOST_STEPS):
        if k % RENEW_STEPS == 0:
            renew(fixed, state, steady_renewal(k))
        before = state.opening
        step(fixed, state, step_of(k))
        curve.append((length, state.T))
        moved = state.opening - before
        if abs(moved) >= STIRS:
            stood = 0.0
            since = state.T
        else:
            stood += length
        if stood >= LOOK:
            if abs(state.T - since) <= RESTS:
                return None
            stood = SOON
            since = state.T
        if moved < -STIRS:
            falls = True
        elif moved > STIRS and falls:
            now = _cycle(curve)
            falls = False
            cycles = cycles + 1
            curve = []
            if last is not None and (_alike(now, last) or cycles >= MOST_CYCLES):
                return _worth_telling(now)
            last = now
        stands = stood >= SOON and _is_far(fixed, state)
        length = _paced(fixed, state, length, STANDING_STEP if stands else STEP)
    return None


def _is_far(fixed: FixedForRun, state: State) -> bool:
    """Whether a standing valve is far from moving, either way."""
    valve = fixed.valve
    opening = state.opening
    asked = (state.wax - state.start_open) * valve.per_span
    to_open = opening - asked
    to_shut = asked + valve.play - opening
    shut = opening <= valve.low
    nearer = min(to_open, to_open if shut else to_shut)
    return bool(nearer > FAR * valve.per_span)


def _paced(fixed: FixedForRun, state: State, before: float, length: float) -> float:
    """Take steps of a length [s] in place of those before."""
    if length != before:
        take_pace(fixed, state, length)
    return length


def _cycle(curve: list[tuple[float, float]]) -> Hunting:
    steps, T = zip(*curve, strict=True)
    mean = sum(step * x for step, x in curve) / sum(steps)
    return Hunting(mean, min(T), max(T))


def _alike(one: Hunting, other: Hunting) -> bool:
    apart = (one.mean - other.mean, one.low - other.low, one.high - other.high)
    return max(abs(x) for x in apart) <= CLOSE
