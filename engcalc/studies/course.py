"""How far a duty gets in its time: peak over its duration from its start, and how duties follow one another.

One lump of metal and coolant over the balance of the steady solver, for a warm engine (the warm-up from cold has a
model with more states of its own, ``engcalc.system.warmup``):

    C dT/dt = Q_metal + Q_extra - Q_surface - Q_radiator - Q_heater,   C = m_metal c_metal + V rho cp

T is the engine outlet. The right side is tabulated over temperature for each member and fan state, its nodes on the
valve's kinks, and read along straight lines; between two nodes the answer is then an exponential, so the run goes from
node to node (or to where the fan switches, the limit, boiling) without an error of steps. An electric fan switches at
its two temperatures; the valve follows its warming line without lag or play.

Start states: ``warm`` is what light running leaves, the thermostat just opening, or where the duty settles if that is
lower; ``above`` is where the duty above ends; ``round`` is where the last duty of the round ends, gone round until it
closes. A duty without a duration ends settled, and its peak is its settled one.

Beside the steps of the warm-up (``engcalc.system.step``) the legs of a lap of 95 s end within 0.2 K of theirs. As the
engine slows from 5500 to 4000 rpm the outlet peaks 2 K higher by those: the hot metal gives on what it holds while less
coolant flows (``tests/engcalc/studies/test_course_and_steps.py``).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from engcalc.case.conditions import Conditions
from engcalc.case.records import Duty
from engcalc.components.fan import FanDrive
from engcalc.system.balance import Held, Setting, balance, held_at, prepare_setting
from engcalc.system.plant import Plant
from engcalc.units import Array

SETTLES = 3.6e5  # s; what goes on for as long as it takes: the longest duration that a case may give
CLOSED = 0.05  # K; a round that ends this near to its start has closed
MOST_ROUNDS = 200
HOT_COOLANT_T = 363.15  # K; at which the coolant's capacity counts
COLD_NODES = np.linspace(0.0, 1.0, 13)[:-1]  # of the way from the ambient to the start to open
LIFT_NODES = np.linspace(0.0, 1.0, 31) ** 1.4  # of the valve's lift, closest where it begins to open
HOT_NODES = np.linspace(0.0, 1.0, 13)[1:]  # of the way from full open to boiling
_MOST_EVENTS = 300  # nodes crossed in one leg; a fan that switches on and on has long shown its peak by then
_SMALL = 1e-9

Index = NDArray[np.int64]
Mask = NDArray[np.bool_]


@dataclass(frozen=True)
class DutyChain:
    """Duties that follow one another, by index; ``repeats``: a round, whose first begins where its last ends."""

    duties: tuple[int, ...]
    repeats: bool

    def before(self, index: int) -> tuple[int, ...]:
        """The duties run up to this one and with it: of a round all of them, this one last."""
        at = self.duties.index(index) + 1
        return self.duties[at:] + self.duties[:at] if self.repeats else self.duties[:at]


def chains(duties: Sequence[Duty]) -> tuple[DutyChain, ...]:
    """Every duty in the chain that it belongs to; most stand alone."""
    found: list[list[int]] = []
    for i, duty in enumerate(duties):
        if duty.start == "above" and found:
            found[-1].append(i)
        else:
            found.append([i])
    return tuple(DutyChain(tuple(c), duties[c[0]].start == "round") for c in found)


def duration_of(duty: Duty) -> float:
    """Duration [s]; of a duty without one, long enough to settle."""
    return SETTLES if duty.duration is None else float(duty.duration[0])


@dataclass(frozen=True, eq=False)
class SurplusTable:
    """Surplus heat over the engine outlet's temperature; members on the last axis."""

    T: Array  # K, (nodes, n), rising
    surplus: Array  # W, (states, nodes, n): fan off, on; of two stages off, low, high
    warm: Array  # K, what light running leaves
    boiling: Array  # K
    fan_on: Array  # K, (states - 1, n), where each state but the first comes on
    fan_off: Array  # K, and goes off
    C: Array  # J/K

    def row(self, state: Index) -> Array:
        """The surplus at the nodes [W] with the fan as it is, (nodes, n)."""
        if len(self.surplus) == 2:
            return np.asarray(np.where(state > 0, self.surplus[1], self.surplus[0]))
        return np.asarray(np.take_along_axis(self.surplus, state[None, None], axis=0)[0])

    def switched(self, T: Array, state: Index) -> Index:
        """The fan's state at T [K] out of the one before."""
        found = np.zeros_like(state)
        for k, (on, off) in enumerate(zip(self.fan_on, self.fan_off, strict=True), start=1):
            found = np.where((on <= T) | ((state >= k) & (off < T)), k, found)
        return found


def tabulate(plant: Plant, conditions: Conditions) -> SurplusTable:
    """The balance of every member over temperature, with the fan off and on."""
    setting = prepare_setting(plant, conditions)
    n = setting.shape[0]
    x = _nodes(setting)
    T: Array = np.empty(0)
    rows: list[Array] = []
    states = fan_states(setting)
    for k, fixed in enumerate(states):
        if k and fixed is states[0]:
            rows.append(rows[0])
            continue
        b = balance(setting, x, fixed)
        if not k:
            T = np.maximum.accumulate(np.broadcast_to(b.coolant_out, x.shape))
        rows.append(np.broadcast_to(b.residual, x.shape))
    surplus, fan = np.array(rows), plant.airway.fan
    # light running leaves the valve's opening of light running, or where the duty settles if its valve stays shut
    opens, usual = (_outlet_at(x, T, np.broadcast_to(v.start, (n,))) for v in (setting.plant.valve, plant.valve))
    settled = _root(T, surplus[0])
    warm = np.where(settled >= opens, usual, settled)
    return SurplusTable(
        T,
        surplus,
        warm,
        np.broadcast_to(setting.boiling, (n,)),
        np.stack([np.broadcast_to(T, (n,)) for T in (fan.on_temperature, fan.high_on)[: len(states) - 1]]),
        np.stack([np.broadcast_to(T, (n,)) for T in (fan.off_temperature, fan.high_off)[: len(states) - 1]]),
        np.broadcast_to(capacity(plant), (n,)),
    )


def _outlet_at(x: Array, T: Array, wax: Array) -> Array:
    """Engine outlet [K] at a wax temperature [K], (n,), on straight lines between the nodes of x and T, (nodes, n)."""
    j, m = np.clip((x <= wax).sum(axis=0) - 1, 0, len(x) - 2), np.arange(x.shape[1])
    share = np.clip((wax - x[j, m]) / np.maximum(x[j + 1, m] - x[j, m], _SMALL), 0.0, 1.0)
    return np.asarray(T[j, m] + share * (T[j + 1, m] - T[j, m]))


def capacity(plant: Plant) -> Array:
    """Heat capacity [J/K] of metal and coolant."""
    state = plant.coolant.state(np.full(1, HOT_COOLANT_T))
    return np.asarray(plant.metal_capacity + plant.coolant_volume * state.rho * state.cp)


def _nodes(setting: Setting) -> Array:
    """Wax temperatures [K] of the table, (nodes, n): close on the valve's lift, wider where the balance is straight."""
    n = setting.shape
    start, full, top = (
        np.broadcast_to(x, n) for x in (setting.plant.valve.start, setting.plant.valve.full, setting.boiling)
    )
    low = np.minimum(np.broadcast_to(setting.conditions.ambient, n) - 1.0, start - 25.0)
    x = np.concatenate(
        [
            low + (start - low) * COLD_NODES[:, None],
            start + (full - start) * LIFT_NODES[:, None],
            full + (top - full) * HOT_NODES[:, None],
        ]
    )
    return np.asarray(np.sort(np.clip(x, low, top), axis=0))


def fan_states(setting: Setting) -> tuple[Held | None, ...]:
    """Off and on, or off, low and high; one and the same where no switch turns the fan.

    None lets a clutch or a motor follow the coolant.
    """
    fan, mode = setting.plant.airway.fan, np.broadcast_to(setting.conditions.fan_mode, setting.shape)
    if fan.drive.follows:
        return None, None
    on = np.where(mode < 0.0, 0.0, 1.0)
    held = held_at(setting, on)
    if not (fan.drive.switches and (mode == 0.0).any()):
        return held, held
    least = np.broadcast_to(setting.fan_least, setting.shape)
    rows = [np.where(mode == 0.0, least, on)]
    if fan.drive is FanDrive.TWO_STAGE:
        rows.append(np.where(mode == 0.0, np.maximum(fan.low_speed, least), on))
    return (*(held_at(setting, row) for row in rows), held)


def _root(T: Array, surplus: Array) -> Array:
    """Where the surplus is used up [K], the top of the table if nowhere."""
    cold = surplus <= 0.0
    j = np.where(cold.any(axis=0), np.argmax(cold, axis=0), len(T) - 1)
    above, below = (np.take_along_axis(T, k[None], 0)[0] for k in (j, np.maximum(j - 1, 0)))
    R1, R0 = (np.take_along_axis(surplus, k[None], 0)[0] for k in (j, np.maximum(j - 1, 0)))
    share = np.where((R0 > 0.0) & (R1 <= 0.0), R0 / np.maximum(R0 - R1, _SMALL), 1.0)
    return np.asarray(below + share * (above - below))


@dataclass(frozen=True, eq=False)
class Reached:
    """Where a run stands, and what it went through; arrays over the members."""

    T: Array  # K, engine outlet
    on: Index  # state of a fan that switches: 0 off, then its speeds
    peak: Array  # K
    boiled: Mask
    to_limit: Array  # s from the start of the leg, infinite if not reached


@dataclass(frozen=True, eq=False)
class _StretchOfCourse:
    """The way to the next node, or to what comes before it."""

    rate: Array  # K/s now
    bend: Array  # 1/s, its change with temperature
    target: Array  # K
    time: Array  # s to the target, infinite if it is not reached


def advance(
    table: SurplusTable,
    T: Array,
    on: Index,
    duration: float | Array,
    limit: Array,
    trace: list[tuple[float, float]] | None = None,
    longest: float = np.inf,
) -> Reached:
    """Run one leg of ``duration`` [s] from T [K]. ``limit`` [K] only says when it is reached.

    ``trace`` collects (time, T) of the first member, in steps of ``longest`` [s] at most.
    """
    left = np.broadcast_to(np.asarray(duration, np.float64), T.shape).copy()
    peak, boiled, gone = T, table.boiling <= T, np.zeros(T.shape)
    to_limit = np.where(limit <= T, 0.0, np.inf)
    for _ in range(_MOST_EVENTS + (int(left.max() / longest) if np.isfinite(longest) else 0)):
        if not (left > 0.0).any():
            break
        on = table.switched(T, on)
        way = _stretch(table, T, on, limit)
        h = np.minimum(np.minimum(left, longest), way.time)
        T = np.where(h >= way.time, way.target, T + way.rate * h * _grown(way.bend * h))
        left, gone = left - h, gone + h
        peak, boiled = np.maximum(peak, T), boiled | (table.boiling <= T)
        to_limit = np.where((limit <= T) & ~np.isfinite(to_limit), gone, to_limit)
        if trace is not None:
            trace.append((float(gone[0]), float(T[0])))
    return Reached(T, on, peak, boiled, to_limit)


def _grown(z: Array) -> Array:
    """(exp(z) - 1)/z, 1 at 0. What grows is stopped at its target, so z may be cut."""
    near = np.abs(z) < 1e-8
    safe = np.where(near, 1.0, np.minimum(z, 50.0))
    return np.where(near, 1.0, np.expm1(safe) / safe)


def _stretch(table: SurplusTable, T: Array, on: Index, limit: Array) -> _StretchOfCourse:
    row, nodes = table.row(on), table.T
    passed = (nodes <= T).sum(axis=0)
    low, high, R_low, R_high = _bracket(nodes, row, passed)
    share = np.minimum(np.maximum((T - low) / np.maximum(high - low, _SMALL), 0.0), 1.0)
    up = R_low + (R_high - R_low) * share > 0.0
    if not up.all():  # what falls from a node looks at the stretch under it
        low, high, R_low, R_high = _bracket(nodes, row, np.where(up, passed, (nodes < T).sum(axis=0)))
    slope = (R_high - R_low) / np.maximum(high - low, _SMALL)
    R = R_low + slope * (T - low)
    upwards = np.minimum(high, table.boiling)
    target = np.where(up, _next_above(table, T, upwards, limit), _next_below(table, T, low, on))
    way = target - T
    moves = way * R > 0.0  # what neither moves nor has a way to go rests: at boiling, off the table
    time = _time_over(table.C, way, R, slope)
    return _StretchOfCourse(
        np.where(moves, R / table.C, 0.0),
        np.where(moves, slope / table.C, 0.0),
        target,
        np.where(moves, time, np.inf),
    )


def _next_above(table: SurplusTable, T: Array, end: Array, limit: Array) -> Array:
    """What comes first on the way up from T to ``end`` [K]: where a fan comes on, the limit, or the end."""
    target = end
    for mark in (*table.fan_on, limit):
        target = np.where(mark > T, np.minimum(target, mark), target)
    return target


def _next_below(table: SurplusTable, T: Array, end: Array, on: Index) -> Array:
    """What comes first on the way down from T to ``end`` [K]: where a fan that runs goes off, or the end."""
    target = end
    for k, off in enumerate(table.fan_off, start=1):
        switches = (on >= k) & (off < T)
        target = np.where(switches, np.maximum(target, off), target)
    return target


def _time_over(C: Array, way: Array, R: Array, slope: Array) -> Array:
    """Time [s] over a way [K] with the surplus R [W] at its start, which changes by ``slope`` [W/K] along it.

    t = C way/R ln(1 + z)/z, z = slope way/R; infinite where the surplus is used up before the end of the way.
    """
    divisor = np.where(R == 0.0, 1.0, R)
    z = slope * way / divisor
    arrives = (R != 0.0) & (z > -1.0 + 1e-12)
    bends = np.abs(z) > 1e-8
    safe = np.where(arrives & bends, z, 1.0)
    longer = np.where(bends, np.log1p(safe) / safe, 1.0)
    return np.asarray(np.where(arrives, C * way / divisor * longer, np.inf))


def _bracket(nodes: Array, row: Array, passed: Index) -> tuple[Array, Array, Array, Array]:
    """The nodes [K] about the stretch that begins at the last one passed, and the surplus [W] there."""
    j, m = np.minimum(np.maximum(passed - 1, 0), len(nodes) - 2), np.arange(nodes.shape[1])
    return nodes[j, m], nodes[j + 1, m], row[j, m], row[j + 1, m]


@dataclass(frozen=True, eq=False)
class Timed:
    """Duties over their durations, arrays (members,) of the targets one after another."""

    start: Array  # K
    end: Array  # K
    peak: Array  # K
    boiled: Mask
    to_limit: Array  # s from the duty's start if it went on, infinite if never


@dataclass(frozen=True, eq=False)
class DutiesInTime:
    """What is timed: every duty with its conditions, member m of duty d at d * members + m.

    ``plant_at`` gives the plant of some of these members. ``limit`` [K] has one value for each member of each duty; a
    boiling point below it comes in by itself. ``ambient`` [K], if given, is each duty's in place of its own: what was
    run before it moves by as much.
    """

    duties: Sequence[Duty]
    conditions: Conditions
    members: int
    limit: Array
    plant_at: Callable[[Index], Plant]
    ambient: Array | None = None

    def of(self, duty: int) -> Index:
        """The members of one duty."""
        return np.arange(self.members) + duty * self.members


def limited_in_time(duties: Sequence[Duty]) -> tuple[int, ...]:
    """Indices of the duties that give a duration."""
    return tuple(i for i, duty in enumerate(duties) if duty.duration is not None)


def timed(asked: DutiesInTime, of: Sequence[int], *, to_limit: bool = False) -> Timed:
    """Duties over their time, those of one history length together; ``to_limit`` asks when the limit is reached."""
    own = {i: chain for chain in chains(asked.duties) for i in chain.duties}
    n = len(of) * asked.members
    found = Timed(np.zeros(n), np.zeros(n), np.zeros(n), np.zeros(n, np.bool_), np.full(n, np.inf))
    groups: dict[tuple[int, bool], list[int]] = {}
    for k, i in enumerate(of):
        length, repeats = len(own[i].before(i)), own[i].repeats
        groups.setdefault((length, repeats), []).append(k)
    for (_, repeats), places in groups.items():
        targets = [of[k] for k in places]
        histories = [own[i].before(i) for i in targets]
        part = _together(asked, targets, histories, repeats, to_limit)
        into = np.concatenate([np.arange(asked.members) + k * asked.members for k in places])
        for name in Timed.__dataclass_fields__:
            getattr(found, name)[into] = getattr(part, name)
    return found


def _together(
    asked: DutiesInTime, targets: Sequence[int], histories: Sequence[tuple[int, ...]], repeats: bool, to_limit: bool
) -> Timed:
    own = np.concatenate([asked.of(i) for i in targets])
    plant, limit = asked.plant_at(own), asked.limit[own]
    tables, durations = [], []
    for position in range(len(histories[0])):
        here = [history[position] for history in histories]
        tables.append(tabulate(plant, _conditions(asked, np.concatenate([asked.of(i) for i in here]), own)))
        durations.append(np.repeat([duration_of(asked.duties[i]) for i in here], asked.members))
    T, on = tables[0].warm, np.zeros(own.shape, np.int64)
    never = np.full(own.shape, np.inf)
    for _ in range(MOST_ROUNDS if repeats else 1):
        begun = T
        for table, duration in zip(tables[:-1], durations[:-1], strict=True):
            reached = advance(table, T, on, duration, never)
            T, on = reached.T, reached.on
        start, was_on = T, on
        last = advance(tables[-1], T, on, durations[-1], never)
        T, on = last.T, last.on
        if (np.abs(T - begun) < CLOSED).all():
            break
    limit = np.minimum(limit, tables[-1].boiling)
    goes_on = advance(tables[-1], start, was_on, SETTLES, limit).to_limit if to_limit else never
    return Timed(start, last.T, last.peak, last.boiled, goes_on)


def _conditions(asked: DutiesInTime, which: Index, targets: Index) -> Conditions:
    """Conditions of some members, their ambient moved by as much as their targets' is."""
    everyone = asked.conditions.spread_to(len(asked.duties) * asked.members)
    some = everyone.taken(which)
    if asked.ambient is None:
        return some
    moved = asked.ambient[targets] - everyone.ambient[targets]
    return some.replace(ambient=some.ambient + moved)
