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
from typing import Any

import numpy as np
from numpy.typing import NDArray

from engcalc.system.arithmetic import Arithmetic, Value
from engcalc.system.balance import Balance, Setting
from engcalc.system.drive import steady_drive
from engcalc.system.lumps import CELLS
from engcalc.system.members import take_members
from engcalc.system.plant import Plant
from engcalc.system.warmup import WarmupRun
from engcalc.units import Array

CLOSE = 0.1  # K; means of two cycles that are no further apart are of one that has come round
MOST_CYCLES = 8  # one whose cycles never are alike (a valve's play) is answered by the mean of these
LONGEST = 4.0 * 3600.0  # s; a cycle that does not end by then is as good as steady
SHORTEST, NORMAL, LONG = 0.25, 1.0, 30.0  # s; steps: last of a phase, where something moves fast, where all creeps
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
class Begin:
    """Where a run through a cycle begins; arrays (members,)."""

    wax: Array  # K, with the engine's outlet at the temperature where the fan comes on
    state: Balance  # there, with the fan off
    middle: Array  # K, engine outlet by which the slow block stands at first
    base: Array  # -, engagement from which the fan rises
    on: Array  # K, where it does
    off: Array  # K, where it falls back


def fan_cycle(setting: Setting, begin: Begin) -> FanCycle:
    """Run members whose fan switches through their cycle."""
    n = setting.shape[0]
    setting = replace(setting, plant=_held(setting))
    if n > FEW or n == 1:
        return _Cycle(setting, begin).run_through()
    parts = []
    for i in range(n):
        one, at = take_members((setting, begin), np.array([i]), n)
        parts.append(_Cycle(replace(one, shape=(1,)), at).run_through())
    return FanCycle(*(np.concatenate([getattr(part, f.name) for part in parts]) for f in fields(FanCycle)))


def _held(setting: Setting) -> Plant:
    """The plant with its valve held where a rig holds it."""
    plant, held, valve = setting.plant, setting.conditions.valve_held, setting.plant.valve
    if not np.isfinite(held).any():
        return plant
    least, most = (np.where(np.isfinite(held), held, own) for own in (valve.least, valve.most))
    return replace(plant, valve=replace(valve, least=least, most=most))


class SteadyRun(WarmupRun):
    """A run of the warm-up's steps under one condition that holds, from where a balance stands."""

    def __init__(self, setting: Setting, begin: Begin) -> None:
        drive = steady_drive(setting.conditions, begin.state.coolant_out, 2.0 * NORMAL, NORMAL)
        super().__init__(setting.plant, drive, setting.shape[0])
        self.zero: Value = self.value(np.zeros(self.members))
        self.boiling = self.zero + np.inf  # the top of a cycle is judged, boiling or not
        self.base, self.rises, self.falls_back = (
            self.value(np.broadcast_to(x, (self.members,))) for x in (begin.base, begin.on, begin.off)
        )
        self.engagement = self.base
        self.catalyst = []  # it stands warm
        self._stand_as(begin)

    def _stand_as(self, begin: Begin) -> None:
        """Stand in every lump as the balance does."""

        def v(x: Array) -> Value:
            return self.value(np.broadcast_to(x, (self.members,)))

        b, L, ambient = begin.state, self.lumps, self.ambient
        T, wax = b.coolant_out, v(begin.wax)
        C_r, C_h = (
            np.maximum(b.effective_rho * flow * b.coolant.cp, _STILL) for flow in (b.flows.radiator, b.flows.heater)
        )
        returned, T_core = T - b.radiator_heat / C_r, b.heater.coolant_out
        to_block, to_air = self.h_block, self.h_air
        self.T, self.T_upper, self.T_lower = v(T), v(T), v(returned)
        self.T_hot = v(T + b.engine.heat_to_metal / L.hot_to_coolant)
        self.T_block = (to_block * v(begin.middle) + to_air * ambient) / (to_block + to_air)
        self.cells = [v(T + (j + 0.5) / CELLS * (returned - T)) for j in range(CELLS)]
        self.T_hose, self.T_core = v(T_core + b.heater.heat / C_h), v(T_core)
        self.T_cabin = self.T_interior = v(b.heater.cabin)
        self.T_return, self.sensor = v(returned), v(T)
        self.wax = self.wax_ahead = wax
        self.T_feed, self.opening = self.T if self.outlet else wax, v(b.opening)


class _Cycle(SteadyRun):
    """One in which each member takes steps of its own length."""

    def run_through(self) -> FanCycle:
        """Step from one coming on of the fan to the next until two cycles are alike."""
        tally, step = _Tally(self.f, self.T), self.zero + NORMAL
        found, places = np.empty((len(fields(FanCycle)), self.members)), np.arange(self.members)
        for k in range(MOST_STEPS):
            if tally.done:
                break
            if k % RENEW_STEPS == 0:
                needed = np.flatnonzero(np.asarray(tally.over < 0.5))
                if len(places) > FEW and needed.size <= len(places) // 2:
                    found[:, places] = tally.answer()
                    places, step = places[needed], step[needed]
                    _narrow((self, tally), needed, self.members)
                    self.members = len(needed)
                self._renew(min(k, 1), 2, 3)
            before, ran, were = self.T, self.engagement, self._quick()
            self.pace(step)
            self._step(min(k, 1))
            base = self.base + _LEAST
            runs = self.f.choose(self.engagement > _LEAST, 1.0, 0.0)
            tally.count(
                (self.engagement > base) & (ran <= base),
                before,
                _Stretch(step, 0.5 * step * (before + self.T), step * runs, self.T, self.T),
            )
            step = self._next(step, before, were)
        found[:, places] = tally.answer()
        return FanCycle(*found)

    def _quick(self) -> tuple[Value, ...]:
        return self.T, self.T_upper, self.cells[-1], self.T_lower, self.wax

    def _next(self, step: Value, before: Value, were: tuple[Value, ...]) -> Value:
        """Length of the next step [s]."""
        f = self.f
        moved = self.zero + _LEAST
        for now, was in zip(self._quick(), were, strict=True):
            moved = f.most(moved, f.most(now - was, was - now))
        longer = f.most(f.least(step * f.least(MOVES / moved, GROWTH), LONG), NORMAL)
        rise, runs = (self.T - before) / step, self.engagement > self.base + _LEAST
        left = f.choose(runs, self.falls_back, self.rises) - self.T
        ahead = BEYOND * left * rise / (rise * rise + _LEAST * _LEAST)  # s until the fan switches, if over 0
        longer = f.choose(ahead > 0.0, f.most(f.least(longer, ahead), SHORTEST), longer)
        return f.choose(f.choose(runs, left >= 0.0, left <= 0.0), NORMAL, longer)  # it is due


@dataclass(frozen=True, eq=False)
class _Stretch:
    """What is summed over a stretch of time."""

    time: Value  # s
    integral: Value  # K s, of the engine's outlet
    on: Value  # s, that the fan ran
    low: Value  # K
    high: Value  # K

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


class _Tally:
    """The cycle that runs, the one before it, and together those that count: all after the first, if there are more."""

    def __init__(self, f: Arithmetic, T: Value) -> None:
        zero = T * 0.0
        self.f, self.begun, self.over, self.cycles = f, zero, zero, zero
        self.now = self.last = self.all = _Stretch(zero, zero, zero, T, T)

    @property
    def done(self) -> bool:
        """Whether no member needs another step."""
        return bool(np.all(self.over > 0.5))

    def count(self, started: Value, before: Value, stretch: _Stretch) -> None:
        """Close the cycle where the fan came on at ``before`` [K], as the stretch began; then add the stretch."""
        f = self.f
        if np.any(started):
            self._close(started, before)
        self.now = self.now.with_(f, stretch)
        if np.any(self.now.time > LONGEST):
            stays = (self.now.time > LONGEST) & (self.over < 0.5)
            creeps = replace(self.now, integral=self.now.time * stretch.high)
            self.all = creeps.where(f, stays & (self.cycles < 0.5), self.all)
            self.over = f.choose(stays, 1.0, self.over)

    def _close(self, started: Value, before: Value) -> None:
        f, now, counted = self.f, self.now, self.cycles
        closes = started & (self.begun > 0.5) & (self.over < 0.5)
        apart = now.integral / f.most(now.time, _LEAST) - self.last.integral / f.most(self.last.time, _LEAST)
        alike = (counted > 0.5) & (f.most(apart, -apart) < CLOSE) | (counted > MOST_CYCLES - 1.5)
        longer = self.all.with_(f, now).where(f, counted > 1.5, now)
        self.all, self.last = longer.where(f, closes, self.all), now.where(f, closes, self.last)
        self.cycles = counted + f.choose(closes, 1.0, 0.0)
        self.over = f.choose(closes & alike, 1.0, self.over)
        zero = 0.0 * before
        self.now = _Stretch(zero, zero, zero, before, before).where(f, started, now)
        self.begun = f.choose(started, 1.0, self.begun)

    def answer(self) -> Array:
        """What came of it: the rows of a cycle."""
        s, time = self.all, np.maximum(self.all.time, _LEAST)
        return np.array([s.integral / time, s.low, s.high, s.on / time]).reshape(len(fields(FanCycle)), -1)


def _narrow(parts: tuple[object, ...], index: NDArray[np.intp], count: int) -> None:
    """Go on with the members ``index`` of ``count`` alone."""

    def taken(value: Any) -> Any:
        if isinstance(value, list):
            return [taken(x) for x in value]
        if isinstance(value, dict):
            return {key: taken(x) for key, x in value.items()}
        return take_members(value, index, count)

    for part in parts:
        part.__dict__.update({name: taken(value) for name, value in vars(part).items()})
