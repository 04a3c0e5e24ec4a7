"""A stretch of time under one condition, by the steps of the warm-up: a timed duty, a leg of a lap.

What holds for a leg is made by ``fan_cycle.under``; the state goes on from one leg to the next (``take_over``). It
begins as light running leaves a warm vehicle, or where a duty settles.

Each member takes steps of its own length, whatever the others do: short at the start of a leg, while something moves,
while the valve regulates and near a temperature at which the fan switches; long where all creeps. Films, effectiveness
and the engine's heat are renewed every ``RENEW_STEPS`` steps, sooner where valve or fan change the flows. Peaks lie
within 0.3 K of those in a quarter of these steps (``tests/engcalc/studies/test_legs_in_time.py``).
"""

from __future__ import annotations

import copy
from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from engcalc.case.conditions import Conditions
from engcalc.components.fan import FanDrive
from engcalc.system.arithmetic import Value
from engcalc.system.balance import Held, Setting, balance, held_at, prepare_setting
from engcalc.system.in_time.fan_cycle import CycleBegin, standing_as, steady_renewal, step_of
from engcalc.system.in_time.lumps import least_engagement
from engcalc.system.in_time.renewals import Renewal, renew
from engcalc.system.in_time.step import step
from engcalc.system.in_time.step_fixed import FixedForRun
from engcalc.system.in_time.step_state import LUMPS, State, stand_in_wind, take_pace
from engcalc.system.operating_point import solve
from engcalc.system.plant import Plant
from engcalc.system.state import OperatingPoint
from engcalc.units import Array

SHORT = 2.0  # s; step where something moves
LONG = 20.0  # s; step where all creeps
FIRST = 0.5  # s; step after light running, and where valve or fan move fast
SHORT_WITH_PLAY = 1.0  # s; a valve with play hunts in these as in a warm-up
LONG_WITH_PLAY = 2.0  # s; the same where all creeps
RENEW_STEPS = 4  # between renewals of films, effectiveness and the engine's heat
MOVES = 0.15  # K; that a lump may move in a step longer than a short one
STIRS = 0.1  # -; by which lift or fan may move between two renewals of films: flows follow them
EASES = 1.15  # of a step over those before, after light running: the valve opens onto a cold radiator
PARTS = 4  # stretches between renewals in the shortest leg
GROWTH = 1.5  # of a step over those of the renewal before
LONGEST = 4.0 * 3600.0  # s; what swings for so long has shown its peak
RESTS = 1e-5  # K/s; a vehicle of which nothing moves faster rests: in the slowest lump's time 0.01 K
SOON_OPEN = 3.0  # K; under the start to open, from where a valve is watched
WAITS = 1e-9  # s; step of a member that has come to its end and waits for the others
_LEAST = 1e-9


@dataclass(frozen=True, eq=False)
class LegReached:
    """What one leg went through: engine outlet [K] at its start, end and highest, and whether it boiled."""

    start: Value
    end: Value
    peak: Value
    boiled: Value


def light_running(plant: Plant, conditions: Conditions, fixed: FixedForRun) -> State:
    """What light running leaves: the valve just opening, or where the duty settles if its valve stays shut.

    Light running makes as much heat as the vehicle loses then: the hot metal stands over the coolant by that.
    """
    setting, usual = _settings(plant, conditions, fixed)
    opens = np.broadcast_to(plant.valve.start, setting.shape)
    held = _held_cool(setting)
    shut = balance(setting, np.broadcast_to(setting.plant.valve.start, setting.shape), held)
    stays_shut = shut.residual < 0.0
    if stays_shut.any():
        opens = np.where(stays_shut, solve(plant, conditions).wax, opens)
    return _standing(fixed, usual, opens, held)


def settled(plant: Plant, conditions: Conditions, fixed: FixedForRun) -> tuple[State, OperatingPoint]:
    """Where a duty settles, at the top of its fan's cycle if that switches, and its operating point."""
    point = solve(plant, conditions)
    setting = prepare_setting(plant, conditions)
    held = None if plant.airway.fan.drive.follows else held_at(setting, point.fan_speed)
    state = _standing(fixed, setting, point.wax, held)
    above = fixed.run.value(fixed.run.whole(point.peak - point.coolant_out))
    return moved_by(state, above), point


def _settings(plant: Plant, conditions: Conditions, fixed: FixedForRun) -> tuple[Setting, Setting]:
    """The duty with its valve as its load has it open, and as light running has it."""
    setting = replace(prepare_setting(plant, conditions), shape=(fixed.run.members,))
    return setting, replace(setting, plant=replace(setting.plant, valve=plant.valve))


def _held_cool(setting: Setting) -> Held | None:
    """The fan of a vehicle that is not hot yet; None where it follows a temperature."""
    if setting.plant.airway.fan.drive.follows:
        return None
    mode = setting.conditions.fan_mode
    switches = (mode == 0.0) & setting.plant.airway.fan.drive.switches
    held = np.where(switches, setting.fan_least, np.where(mode < 0.0, 0.0, 1.0))
    return held_at(setting, np.broadcast_to(held, setting.shape))


def _standing(fixed: FixedForRun, setting: Setting, wax: Array, held: Held | None) -> State:
    """The state at a wax temperature [K]: what heat is over there does not yet warm the metal."""
    b = balance(setting, wax, held)
    fan = setting.plant.airway.fan
    state = standing_as(fixed, CycleBegin(wax, b, b.coolant_out, b.engagement, fan.on_temperature, fan.off_temperature))
    v = fixed.run.value
    whole = fixed.run.whole
    L = fixed.run.capacities
    over = np.clip(b.residual, 0.0, np.maximum(b.engine.heat_to_metal, 0.0))
    state.T_hot = state.T_hot - v(whole(over / L.hot_to_coolant))
    state.behind_felt = v(whole(b.air_out))
    return state


def moved_by(state: State, rise: Value) -> State:
    """A copy of a state in which all is warmer by so much [K]."""
    moved = copy.copy(state)
    for name in (*LUMPS, "T_feed", "T_return", "wax", "wax_ahead", "sensor", "behind_felt"):
        T = getattr(state, name)
        setattr(moved, name, tuple(x + rise for x in T) if name == "cells" else T + rise)
    return moved


def take_over(fixed: FixedForRun, state: State) -> None:
    """Go on with a state under the condition of another leg."""
    stand_in_wind(fixed, state, fixed.lumps.h_air)
    mode = fixed.run.drive.fan_mode
    drive = fixed.run.plant.airway.fan.drive
    if mode != 0.0 or drive in (FanDrive.FIXED, FanDrive.NONE):
        state.engagement = state.T * 0.0 + least_engagement(fixed.run.plant, mode)
    state.boiled = state.T * 0.0 + np.inf


def run_leg(
    fixed: FixedForRun, state: State, duration: float, trace: list[tuple[float, float]] | None = None
) -> LegReached:
    """Run one leg of ``duration`` [s] on from a state, which is written anew.

    ``trace`` collects the time [s] and the engine's outlet [K] of a single member after each step.
    """
    f = fixed.f
    start = state.T
    peak = state.T
    gone = 0.0
    boils = start >= fixed.lumps.boiling
    take_over(fixed, state)
    for length in steps(fixed, state, duration):
        peak = f.most(peak, state.T)
        if trace is not None:
            gone += length
            trace.append((gone, state.T))
    return LegReached(start, state.T, peak, boils | (state.boiled < np.inf))


def time_to(fixed: FixedForRun, state: State, limit: float) -> float:
    """How long the engine's outlet of a single member takes to reach a limit [K] under this condition [s].

    Infinite if it rests below it, or swings there for ``LONGEST``.
    """
    before = state.T
    gone = 0.0
    if before >= limit:
        return 0.0
    take_over(fixed, state)
    for length in steps(fixed, state, LONGEST):
        gone += length
        if limit <= state.T:
            return float(gone - length * (state.T - limit) / (state.T - before))
        before = state.T
    return float(np.inf)


def steps(fixed: FixedForRun, state: State, duration: float) -> Iterator[Value]:
    """Step on for ``duration`` [s], ``LONGEST`` at most: the length [s] of each step, once it is taken.

    Between two renewals stand a few steps of one length, a block; the next block's length comes of how this one went.
    """
    f = fixed.f
    zero = state.T * 0.0
    short, long = _lengths(fixed, duration)
    left = zero + min(duration, LONGEST)
    wanted = grown = zero + (FIRST if state.renewed_at is None else short)
    paced: Value | None = None
    block = 0
    while f.some(left > WAITS):
        renew(fixed, state, _due(block))
        length = f.most(f.least(wanted, left / RENEW_STEPS), WAITS)
        if paced is None or f.some(length != paced):
            take_pace(fixed, state, length)
            paced = length
        stood = (state.opening, state.engagement)
        were = _moving(state)
        for _ in range(RENEW_STEPS):
            were = _moving(state)
            step(fixed, state, step_of(block))
            yield length
        rate = (state.T - were[0]) / length
        fastest = _fastest(fixed, _moving(state), were) / length
        left = f.choose(fastest < RESTS, 0.0, left - RENEW_STEPS * length)
        block += 1
        grown = f.least(grown * EASES, short)
        stirred = _fastest(fixed, (state.opening, state.engagement), stood)
        at_least = f.least(f.most(length * STIRS / stirred, FIRST), grown)
        at_most = f.choose(_regulates(fixed, state), short, long)
        allowed = f.least(GROWTH * length, MOVES / fastest)
        wanted = f.least(f.most(_before_fan(fixed, state, rate, allowed), at_least), at_most)


def _due(block: int) -> Renewal:
    """What is renewed ahead of a block of steps: the radiator every other time, the heater every fourth."""
    return replace(steady_renewal(block), radiator=True, heater=block % 4 == 0)


def _lengths(fixed: FixedForRun, duration: float) -> tuple[float, float]:
    """Step [s] while something moves, and the longest; a leg of ``duration`` [s] is cut in ``PARTS`` at least."""
    has_play = fixed.valve.there and bool(np.any(fixed.run.plant.valve.hysteresis > 0.0))
    short, long = (SHORT_WITH_PLAY, LONG_WITH_PLAY) if has_play else (SHORT, LONG)
    return min(short, duration / (PARTS * RENEW_STEPS)), long


def _moving(state: State) -> tuple[Value, ...]:
    """What may move fast, the engine's outlet first, and what moves last [K]."""
    return state.T, state.T_hot, state.T_upper, state.cells[-1], state.T_lower, state.wax, state.T_block


def _fastest(fixed: FixedForRun, now: tuple[Value, ...], before: tuple[Value, ...]) -> Value:
    """The most that any of them moved by [K], a little over nothing."""
    f = fixed.f
    most = 0.0 * now[0] + _LEAST
    for a, b in zip(now, before, strict=True):
        most = f.most(most, f.most(a - b, b - a))
    return most


def _regulates(fixed: FixedForRun, state: State) -> Value:
    """Whether the valve is on its way or about to open, onto a radiator that may be cold, or a fan follows it."""
    valve = fixed.valve
    fan = fixed.run.plant.airway.fan
    found = state.wax < 0.0
    if valve.there:
        found = (state.wax > state.start_open - SOON_OPEN) & (state.opening < valve.high)
    if fan.drive.follows and fixed.run.drive.fan_mode == 0.0:
        found = found | (state.engagement < 1.0)
    return found


def _before_fan(fixed: FixedForRun, state: State, rate: Value, length: Value) -> Value:
    """A step's length [s] by which the outlet, at its rate [K/s], does not pass where a fan switches unseen."""
    f = fixed.f
    fan = fixed.fan
    airway = fixed.run.plant.airway
    if not airway.fan.drive.switches or fixed.run.drive.fan_mode != 0.0:
        return length
    marks = (fan.on, fan.off, fan.high_on, fan.high_off)
    for mark in marks if airway.fan.drive is FanDrive.TWO_STAGE else marks[:2]:
        ahead = (mark - state.T) * rate / (rate * rate + _LEAST * _LEAST)  # s until then, if over 0
        length = f.choose(ahead > 0.0, f.least(length, ahead / RENEW_STEPS), length)
    return length
