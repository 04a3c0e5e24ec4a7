"""Warm-up in time: lumps from ``lumps``, flows from the same network and conductances as the operating point.

States, each of one temperature: hot metal, block with oil, coolant in the engine, upper hose, cells of the radiator
along the coolant, lower hose, heater hose, heater core, cabin air, cabin interior; then wax and sensor, which lag and
hold no heat. With the capacity rates C of the coolant's branches,

    C_hot dT_hot/dt = Q - h_hot (T_hot - T)
    C_eng dT/dt = C_tot (T_in - T) + h_hot (T_hot - T) + h_b (T_b - T) + Q_x
    C_cell dT_j/dt  = C_r (in_j - out_j) - g (T_j - T_e),     T_in = (C_r out_low + C_h T_core + C_b T)/C_tot
    out_j = (1 + s) T_j - s in_j
    C_hose dT_hose/dt = C_branch (in - out) - G (T_hose - T_air), in the heater's + Q_ch of a coolant heater

where out_j of one cell or radiator hose flows into the next, G in place of g for a hose. The s keeps a cold
front sharper than stirred tanks would: each delays by its own time all the same, and smears by (1 - s)/(1 + s) as
much. The g of the cells is such that they together with the G of the radiator's two hoses pass the heat of the
radiator's exact effectiveness.

One step is the implicit midpoint rule: within it the temperatures are linear, each lump an affine function of the
engine's coolant, so that the loop closes in one line and what leaves one lump enters the next. What is not linear
(flows, lift, effectiveness, friction) is taken at the step's start, the lift half a step ahead (``valve_steps``); films
and effectiveness are renewed every few seconds, the branch pressure by a step of Newton's method every step.

A run is data and functions:

    fixed = fix(plant, drive, members)    what holds for all of it (``step_fixed``)
    state = begin(fixed)                  where it is (``step_state``)
    renew(fixed, state, due)              what is found anew every few seconds (``renewals``)
    step(fixed, state, k)                 one step of the drive (``step``)

``fixed`` is frozen. ``renew`` and ``step`` write the state that they are given. The fan's cycle (``fan_cycle``), the
valve's (``valve_cycle``) and the parked vehicle (``parked``) take the same steps.

At its boiling point (cap, altitude, mixture) the engine's coolant is held, and when it came there is kept: what a
system does that boils over no lump tells.
"""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np

from engcalc.components.fan import power_share
from engcalc.system.arithmetic import Value
from engcalc.system.in_time.drive import Drive
from engcalc.system.in_time.parked import begun, phases
from engcalc.system.in_time.renewals import RENEW, renew, renewals
from engcalc.system.in_time.step import step
from engcalc.system.in_time.step_fixed import FixedForRun, fix
from engcalc.system.in_time.step_state import State, begin, stand, stored, take_pace, temperatures, vent
from engcalc.system.in_time.warmed import EngineCourse, Warmup
from engcalc.system.plant import Plant
from engcalc.units import Array

FINE = 1.0  # s; longest step with a valve that has play: it hunts then as in steps of 0.25 s

SERIES = (
    "coolant",
    "sensor",
    "upper_hose",
    "radiator",
    "lower_hose",
    "heater_in",
    "heater_out",
    "cabin",
    "vent",
    "wax",
    "opening",
    "block",
)
FLOWS = ("radiator_flow", "heater_flow", "bypass_flow", "fan_speed")


def warm_up(
    plant: Plant,
    drive: Drive,
    record_every: float = 5.0,
    cancelled: Callable[[], bool] | None = None,
    renew_every: float = RENEW,
) -> Warmup:
    """Run the plant through a drive from rest. Samples every ``record_every`` seconds and at the end; the
    radiator's film and effectiveness are found anew every ``renew_every`` seconds."""
    fixed = fix(plant, drive, max(plant.members, drive.members))
    state = begin(fixed)
    preheated = 0.0 * state.T
    if drive.preheat is not None:
        parked = _parked(fixed, state, cancelled)
        preheated = parked.T - fixed.lumps.ambient
        left = temperatures(parked)
        own = temperatures(state)
        stand(fixed, state, begun(fixed.f, fixed.lumps.ambient, left, own, drive.preheat.sets_start))
    return run(fixed, state, preheated, record_every, cancelled, renew_every)


def _parked(fixed: FixedForRun, cold: State, cancelled: Callable[[], bool] | None) -> State:
    """Where the heaters before the start leave the vehicle: the same steps, phase by phase."""
    state = cold
    for i, phase in enumerate(phases(fixed.run.plant, fixed.run.drive)):
        of_phase = fix(phase.plant, phase.drive, fixed.run.members)
        before = state
        state = begin(of_phase)
        if i > 0:
            stand(of_phase, state, temperatures(before))
        run(of_phase, state, 0.0 * state.T, phase.drive.duration, cancelled)
    return state


def run(
    fixed: FixedForRun,
    state: State,
    preheated: Value,
    record_every: float,
    cancelled: Callable[[], bool] | None,
    renew_every: float = RENEW,
) -> Warmup:
    """Step through the drive, writing the state anew; ``preheated`` [K] is handed on."""
    steps = len(fixed.rows.of)
    dt = fixed.run.drive.step
    parts = _parts(fixed)
    if parts > 1:
        take_pace(fixed, state, dt / parts)
    every = max(1, round(record_every / dt))
    samples = _Samples(fixed, 2 + steps // every)
    samples.take(state, 0.0)
    at_start = stored(fixed, state)
    plan = renewals(fixed, renew_every)
    course = _Course(fixed)
    ends = [*(due.k for due in plan[1:]), steps]
    for due, end in zip(plan, ends, strict=True):
        if cancelled is not None and cancelled():
            break
        renew(fixed, state, due)
        course.note(state, due.k)
        for k in range(due.k, end):
            for _ in range(parts):
                step(fixed, state, k)
            if (k + 1) % every == 0 or k == steps - 1:
                samples.take(state, (k + 1) * dt)
    return _warmup(fixed, state, preheated, stored(fixed, state) - at_start, samples, course)


def _warmup(
    fixed: FixedForRun, state: State, preheated: Value, gained: Array, samples: _Samples, course: _Course
) -> Warmup:
    """What came of a run that ends in this state; ``gained`` [J] by all lumps together."""
    whole = fixed.run.whole
    return Warmup(
        time=np.array(samples.times),
        heat_released=whole(state.released + state.burnt),
        coolant_heater_heat=whole(state.burnt),
        heat_lost=whole(state.lost),
        heat_stored=gained,
        preheated=whole(preheated),
        boiling=whole(fixed.lumps.boiling),
        boiled=whole(state.boiled),
        pump_stood=whole(state.stood),
        exhaust_heat=whole(state.recovered),
        opens_usual=whole(fixed.valve.start),
        opens_lowest=whole(state.opens_lowest),
        engine=course.finished(),
        **samples.named(),
    )


class _Samples:
    """The run's series: a row for each time that was taken, at most ``rows`` of them."""

    def __init__(self, fixed: FixedForRun, rows: int) -> None:
        self.fixed = fixed
        self.times: list[float] = []
        self.series = np.empty((rows, len(SERIES), fixed.run.members))
        self.flows = np.empty((rows, len(FLOWS), fixed.run.members))

    def take(self, state: State, time: float) -> None:
        """The state of now, as that of a time [s]."""
        row = len(self.times)
        _sample(self.fixed, state, self.series[row], self.flows[row])
        self.times.append(time)

    def named(self) -> dict[str, Array]:
        """Each series by its name, (times, members)."""
        count = len(self.times)
        series = {name: self.series[:count, i] for i, name in enumerate(SERIES)}
        flows = {name: self.flows[:count, i] for i, name in enumerate(FLOWS)}
        return series | flows


class _Course:
    """At what the engine is taken, noted at every renewal."""

    def __init__(self, fixed: FixedForRun) -> None:
        self.fixed = fixed
        self.begins: list[int] = []
        self.noted: list[tuple[Value | Array, Value | Array, Value | Array]] = []

    def note(self, state: State, begins: int) -> None:
        """The state of now holds from the step ``begins`` on."""
        fan = self.fixed.run.plant.airway.fan
        self.begins.append(begins)
        self.noted.append((state.engine.T_feed, state.engine.T_oil, power_share(fan, state.engagement)))

    def finished(self) -> EngineCourse:
        """All of it."""
        table = np.empty((3, len(self.noted), self.fixed.run.members))
        for i, values in enumerate(self.noted):
            for j, value in enumerate(values):
                table[j, i] = value
        return EngineCourse(np.array(self.begins, np.int64), *table)


def _parts(fixed: FixedForRun) -> int:
    """In how many parts each step is taken.

    Whether a valve with play hunts, and where it comes to rest, hangs on each of its swings, and long steps damp those.
    All members take parts alike, moving or not, so that each is what it is alone.
    """
    has_play = fixed.valve.there and bool(np.any(fixed.run.plant.valve.hysteresis > 0.0))
    if has_play:
        return math.ceil(fixed.run.drive.step / FINE - 1e-9)
    return 1


def _sample(fixed: FixedForRun, state: State, to: Array, flows: Array) -> None:
    s = state
    values = (
        s.T,
        s.sensor,
        s.T_upper,
        s.cells[-1],
        s.T_lower,
        s.T_hose,
        s.T_core,
        s.T_cabin,
        vent(fixed, s),
        s.wax,
        s.opening,
        s.T_block,
    )
    for i, value in enumerate(values):
        to[i] = value
    turns = s.engagement * fixed.run.plant.airway.fan.blows
    for i, value in enumerate((s.flow_r, s.flow_h, s.flow_b, turns)):
        flows[i] = value
