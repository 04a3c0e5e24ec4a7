"""The cycle of an electric fan that switches: off until the coolant is hot, on until it is cool, and so for ever.

The coolant does not swing evenly about the middle of the fan's band: it falls in seconds and rises for minutes, falls
on under the band with what the radiator still holds, and a thermostat that shuts meanwhile may hold it near the lower
end. So the cycle is run through, by the steps of the warm-up, from the moment at which the fan comes on: until one
cycle is as the one before it.

Each member takes steps of its own length: short ones where something moves fast, long ones where all creeps, and at
the end of a phase such as lead to the fan's temperature.
"""

from __future__ import annotations

from dataclasses import dataclass, fields, replace

import numpy as np

from engcalc.case.conditions import Conditions
from engcalc.system.arithmetic import Arithmetic, Value
from engcalc.system.balance import ROUND_COOLANT_T, Balance, Setting
from engcalc.system.in_time.drive import steady_drive
from engcalc.system.in_time.lumps import CELLS
from engcalc.system.in_time.renewals import Renewal, renew
from engcalc.system.in_time.step import step
from engcalc.system.in_time.step_fixed import FixedForRun, fix
from engcalc.system.in_time.step_state import State, take_pace
from engcalc.system.in_time.step_state import begin as begin_run
from engcalc.system.members import take_members
from engcalc.system.plant import Plant
from engcalc.units import Array

CLOSE = 0.1  # K; means of two cycles that are no further apart are of one that has come round
MOST_CYCLES = 8  # one whose cycles never are alike (a valve's play) is answered by the mean of these
LONGEST = 4.0 * 3600.0  # s; a cycle that does not end by then is as good as steady
SHORTEST = 0.25  # s; last step of a phase
NORMAL = 1.0  # s; step where something moves fast
LONG = 30.0  # s; step where all creeps
MOVES = 1.0  # K; that a lump may move in a step longer than a normal one
GROWTH = 1.5  # of a step over the one before
BEYOND = 1.0001  # of the time to the fan's temperature along the last step, so as not to stop short of it
MOST_STEPS = 20_000  # some ten times what the slowest cycles took in trials
RENEW_STEPS = 8  # between renewals of films and effectiveness
FEW = 6  # members that are faster one by one, on floats
_LEAST = 1e-6
_STILL = 1e-3  # W/K; of a stream, below which it counts as that


@dataclass(frozen=True, eq=False)
class FanCycle:
    """A cycle that has come round; arrays (members,)."""

    mean: Array  # K, engine outlet
    low: Array  # K, its lowest
    high: Array  # K
    on_share: Array  # -, of the time that the fan runs; all of it where it goes from one speed to another


@dataclass(frozen=True, eq=False)
class CycleBegin:
    """Where a run through a cycle begins; arrays (members,)."""

    wax: Array  # K, with the engine's outlet at the temperature where the fan comes on
    state: Balance  # there, with the fan off
    middle: Array  # K, engine outlet by which the slow block stands at first
    base: Array  # -, engagement from which the fan rises
    on: Array  # K, where it does
    off: Array  # K, where it falls back


def fan_cycle(setting: Setting, begin: CycleBegin) -> FanCycle:
    """Run members whose fan switches through their cycle."""
    n = setting.shape[0]
    setting = replace(setting, plant=held_valve(setting.plant, setting.conditions))
    if n > FEW or n == 1:
        return _run_through(setting, begin)
    parts = []
    for i in range(n):
        one, at = take_members((setting, begin), np.array([i]), n)
        parts.append(_run_through(replace(one, shape=(1,)), at))
    return FanCycle(*(np.concatenate([getattr(part, f.name) for part in parts]) for f in fields(FanCycle)))


def held_valve(plant: Plant, conditions: Conditions) -> Plant:
    """The plant with its valve held where a rig holds it."""
    held = conditions.valve_held
    valve = plant.valve
    if not np.isfinite(held).any():
        return plant
    least, most = (np.where(np.isfinite(held), held, own) for own in (valve.least, valve.most))
    return replace(plant, valve=replace(valve, least=least, most=most))


def under(plant: Plant, conditions: Conditions, members: int) -> FixedForRun:
    """The run of a warm plant under one condition that holds: no late ignition as after a cold start."""
    warm = np.full(1, ROUND_COOLANT_T)
    fixed = fix(plant, steady_drive(conditions, warm, 2.0 * NORMAL, NORMAL), members)
    return replace(fixed, rows=replace(fixed.rows, catalyst=()))


def steady_start(setting: Setting, begin: CycleBegin) -> tuple[FixedForRun, State]:
    """The warm-up of a plant under one condition that holds, and its state where a balance stands."""
    fixed = under(setting.plant, setting.conditions, setting.shape[0])
    never_boils = replace(fixed.lumps, boiling=fixed.lumps.boiling * 0.0 + np.inf)  # the top of a cycle is judged
    fixed = replace(fixed, lumps=never_boils)
    return fixed, standing_as(fixed, begin)


def standing_as(fixed: FixedForRun, begin: CycleBegin) -> State:
    """The state where a balance stands, the fan at its lower engagement."""
    state = begin_run(fixed)
    state.engagement = fixed.run.value(fixed.run.whole(begin.base))
    _stand_as(fixed, state, begin)
    return state


def _stand_as(fixed: FixedForRun, state: State, begin: CycleBegin) -> None:
    """Stand in every lump as the balance does."""
    lumps = fixed.lumps
    b = begin.state
    T = b.coolant_out
    T_core = b.heater.coolant_out
    C_r = np.maximum(b.effective_rho * b.flows.radiator * b.coolant.cp, _STILL)
    C_h = np.maximum(b.effective_rho * b.flows.heater * b.coolant.cp, _STILL)
    returned = T - b.radiator_heat / C_r
    along = [(j + 0.5) / CELLS for j in range(CELLS)]  # where each cell's middle is on the coolant's way

    def v(x: Array) -> Value:
        return fixed.run.value(np.broadcast_to(x, (fixed.run.members,)))

    state.T = state.T_upper = state.sensor = v(T)
    state.T_lower = state.T_return = v(returned)
    state.cells = tuple(v(T + share * (returned - T)) for share in along)
    state.T_hot = v(T + b.engine.heat_to_metal / fixed.run.capacities.hot_to_coolant)
    by_coolant = lumps.h_block * v(begin.middle)
    by_air = lumps.h_air * lumps.ambient
    state.T_block = (by_coolant + by_air) / (lumps.h_block + lumps.h_air)
    state.T_hose = v(T_core + b.heater.heat / C_h)
    state.T_core = v(T_core)
    state.T_cabin = state.T_interior = v(b.heater.cabin)
    state.wax = state.wax_ahead = v(begin.wax)
    state.T_feed = state.T if fixed.valve.outlet else state.wax
    state.opening = v(b.opening)


def steady_renewal(k: int) -> Renewal:
    """All renewed ahead of step k of a run that goes on as it is: the second of its drive's two steps goes on."""
    return Renewal(step_of(k), 2, radiator=True, heater=True, h_air=None)


def step_of(k: int) -> int:
    """Which step of the drive the k-th of a run that goes on as it is takes."""
    return min(k, 1)


@dataclass(frozen=True, slots=True, eq=False)
class _Switch:
    """Between which engagements the fan goes, and at which temperatures; values of the members."""

    base: Value  # -, the lower
    rises: Value  # K
    falls_back: Value  # K


def _run_through(setting: Setting, begin: CycleBegin) -> FanCycle:
    """Step from one coming on of the fan to the next until two cycles are alike."""
    fixed, state = steady_start(setting, begin)
    f = fixed.f
    members = fixed.run.members
    v = fixed.run.value
    base, rises, falls_back = (v(fixed.run.whole(x)) for x in (begin.base, begin.on, begin.off))
    switch = _Switch(base, rises, falls_back)
    tally = _Tally.of(f, state.T)
    length = state.T * 0.0 + NORMAL
    paced: Value = NORMAL
    found = np.empty((len(fields(FanCycle)), members))
    places = np.arange(members)
    for k in range(MOST_STEPS):
        if tally.done:
            break
        if k % RENEW_STEPS == 0:
            needed = np.flatnonzero(np.asarray(tally.over < 0.5))
            if len(places) > FEW and needed.size <= len(places) // 2:
                found[:, places] = tally.answer()
                going_on = (fixed, state, switch, tally, paced)
                fixed, state, switch, tally, paced = take_members(going_on, needed, len(places))
                fixed = replace(fixed, run=fixed.run.with_members(len(needed)))
                places = places[needed]
                length = length[needed]
            renew(fixed, state, steady_renewal(k))
        if f.some(length != paced):
            take_pace(fixed, state, length)
            paced = length
        before = state.T
        ran = state.engagement
        were = _quick(state)
        step(fixed, state, step_of(k))
        base = switch.base + _LEAST
        rose = (state.engagement > base) & (ran <= base)
        tally.count(rose, before, _stretch(f, state, before, length))
        length = _next(fixed, state, switch, length, before, were)
    found[:, places] = tally.answer()
    return FanCycle(*found)


def _stretch(f: Arithmetic, state: State, before: Value, length: Value) -> _Stretch:
    """What the step of ``length`` [s] that brought the outlet from ``before`` [K] to where it is adds to its cycle."""
    runs = f.choose(state.engagement > _LEAST, 1.0, 0.0)
    integral = 0.5 * length * (before + state.T)
    return _Stretch(time=length, integral=integral, on=length * runs, low=state.T, high=state.T)


def _quick(state: State) -> tuple[Value, ...]:
    """What moves fast [K]."""
    return state.T, state.T_upper, state.cells[-1], state.T_lower, state.wax


def _next(
    fixed: FixedForRun, state: State, switch: _Switch, length: Value, before: Value, were: tuple[Value, ...]
) -> Value:
    """Length of the next step [s], after one of ``length`` [s] from ``before`` [K] on."""
    f = fixed.f
    moved = 0.0 * state.T + _LEAST
    for now, was in zip(_quick(state), were, strict=True):
        moved = f.most(moved, f.most(now - was, was - now))
    grown = length * f.least(MOVES / moved, GROWTH)
    longer = f.most(f.least(grown, LONG), NORMAL)
    runs = state.engagement > switch.base + _LEAST
    left = f.choose(runs, switch.falls_back, switch.rises) - state.T
    rise = (state.T - before) / length
    ahead = BEYOND * left * rise / (rise * rise + _LEAST * _LEAST)  # s until the fan switches, if over 0
    up_to_switch = f.most(f.least(longer, ahead), SHORTEST)
    is_due = f.choose(runs, left >= 0.0, left <= 0.0)
    return f.choose(is_due, NORMAL, f.choose(ahead > 0.0, up_to_switch, longer))


@dataclass(frozen=True, eq=False)
class _Stretch:
    """What is summed over a stretch of time."""

    time: Value  # s
    integral: Value  # K s, of the engine's outlet
    on: Value  # s, that the fan ran
    low: Value  # K
    high: Value  # K

    def mean(self, f: Arithmetic) -> Value:
        """Of the engine's outlet [K]."""
        return self.integral / f.most(self.time, _LEAST)

    def with_(self, f: Arithmetic, other: _Stretch) -> _Stretch:
        """This and another one together."""
        return _Stretch(
            self.time + other.time,
            self.integral + other.integral,
            self.on + other.on,
            f.least(self.low, other.low),
            f.most(self.high, other.high),
        )

    def where(self, f: Arithmetic, holds: Value, other: _Stretch) -> _Stretch:
        """This one for members for which something holds, else the other."""
        return _Stretch(*(f.choose(holds, getattr(self, x.name), getattr(other, x.name)) for x in fields(_Stretch)))


@dataclass(slots=True, eq=False)
class _Tally:
    """The cycle that runs, the one before it, and together those that count: all after the first, if there are more."""

    f: Arithmetic
    begun: Value  # 1 where a first cycle has begun
    over: Value  # 1 where no more is needed
    cycles: Value  # closed so far
    now: _Stretch
    last: _Stretch
    all: _Stretch

    @classmethod
    def of(cls, f: Arithmetic, T: Value) -> _Tally:
        """One in which nothing is counted yet, at an outlet of T [K]."""
        zero = T * 0.0
        nothing = _Stretch(zero, zero, zero, T, T)
        return cls(f, zero, zero, zero, nothing, nothing, nothing)

    @property
    def done(self) -> bool:
        """Whether no member needs another step."""
        return not self.f.some(self.over <= 0.5)

    def count(self, started: Value, before: Value, stretch: _Stretch) -> None:
        """Close the cycle where the fan came on at ``before`` [K], as the stretch began; then add the stretch."""
        f = self.f
        if f.some(started):
            self._close(started, before)
        self.now = self.now.with_(f, stretch)
        if f.some(self.now.time > LONGEST):
            stays = (self.now.time > LONGEST) & (self.over < 0.5)
            creeps = replace(self.now, integral=self.now.time * stretch.high)
            self.all = creeps.where(f, stays & (self.cycles < 0.5), self.all)
            self.over = f.choose(stays, 1.0, self.over)

    def _close(self, started: Value, before: Value) -> None:
        """Count the cycle that ends where the fan came on, at ``before`` [K], and begin another."""
        f = self.f
        now = self.now
        counted = self.cycles
        closes = started & (self.begun > 0.5) & (self.over < 0.5)
        apart = now.mean(f) - self.last.mean(f)
        came_round = (counted > 0.5) & (f.most(apart, -apart) < CLOSE)
        enough = came_round | (counted > MOST_CYCLES - 1.5)
        together = self.all.with_(f, now).where(f, counted > 1.5, now)
        self.all = together.where(f, closes, self.all)
        self.last = now.where(f, closes, self.last)
        self.cycles = counted + f.choose(closes, 1.0, 0.0)
        self.over = f.choose(closes & enough, 1.0, self.over)
        zero = 0.0 * before
        self.now = _Stretch(zero, zero, zero, before, before).where(f, started, now)
        self.begun = f.choose(started, 1.0, self.begun)

    def answer(self) -> Array:
        """What came of it: the rows of a cycle."""
        s = self.all
        time = np.maximum(self.all.time, _LEAST)
        mean = s.integral / time
        rows = np.array([mean, s.low, s.high, s.on / time])
        return rows.reshape(len(fields(FanCycle)), -1)
