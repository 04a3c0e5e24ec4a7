"""How far a duty gets in its time: peak over its duration from its start, and how duties follow one another.

Each duty is a leg by the steps of the warm-up (``engcalc.system.in_time.legs``), for a warm vehicle: hot metal, block,
coolant, radiator and hoses each with its own temperature, the valve with its lag and play, a fan that switches by
itself.

Start states: ``warm`` is what light running leaves, the thermostat just opening, or where the duty settles if that is
lower; ``above`` is where the duty above ends; ``round`` is where the last duty of the round ends, gone round until it
closes. A duty without a duration ends settled, and its peak is its settled one.
"""

from __future__ import annotations

import copy
from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass, field, fields, replace

import numpy as np
from numpy.typing import NDArray

from engcalc.case.conditions import Conditions
from engcalc.case.records import Duty
from engcalc.system.arithmetic import Value
from engcalc.system.in_time.fan_cycle import FEW, held_valve, under
from engcalc.system.in_time.legs import LegReached, light_running, moved_by, run_leg, settled, time_to
from engcalc.system.in_time.step_fixed import FixedForRun
from engcalc.system.in_time.step_state import State
from engcalc.system.members import take_members
from engcalc.system.plant import Plant
from engcalc.units import Array

SETTLES = 3.6e5  # s; what goes on for as long as it takes: the longest duration that a case may give
CLOSED = 0.05  # K; a round of ``TURN`` or longer that ends this near to its start has closed, a shorter one nearer
TURN = 100.0  # s; in which a hot engine's coolant comes by most of the way to where it tends
BLOCK_CLOSED = 0.3  # K; by which the block then still tends elsewhere: a tenth of that in the coolant
MOST_ROUNDS = 20  # rounds; one that has not closed after these and that time swings for ever
MOST_TIME = 1200.0  # s
SWINGS = 6  # rounds after which the peak of one that never closes counts: its highest from there on

Index = NDArray[np.int64]
Mask = NDArray[np.bool_]


@dataclass(frozen=True)
class DutyChain:
    """Duties that follow one another, by index; ``repeats``: a round, whose first begins where its last ends."""

    duties: tuple[int, ...]
    repeats: bool

    def up_to(self, targets: Sequence[int]) -> tuple[int, ...]:
        """The duties run for some of them: of a round all, else those up to the last."""
        last = max(self.duties.index(i) for i in targets)
        return self.duties if self.repeats else self.duties[: last + 1]


def chains(duties: Sequence[Duty]) -> tuple[DutyChain, ...]:
    """Every duty in the chain that it belongs to; most stand alone."""
    found: list[list[int]] = []
    for i, duty in enumerate(duties):
        if duty.start == "above" and found:
            found[-1].append(i)
        else:
            found.append([i])
    return tuple(DutyChain(tuple(c), duties[c[0]].start == "round") for c in found)


def begins_boiling(duty: Duty, index: int, boiling: Collection[int]) -> bool:
    """Whether a duty begins where one of those that boil ends, by index: nothing done in it alone would help."""
    return duty.start == "above" and index - 1 in boiling


def duration_of(duty: Duty) -> float:
    """Duration [s]; of a duty without one, long enough to settle."""
    return SETTLES if duty.duration is None else float(duty.duration[0])


@dataclass(frozen=True, eq=False)
class LegsInTime:
    """Legs run one after another; of a round the last time round."""

    reached: LegReached  # arrays (legs, members)
    rounds: int
    closed: Mask  # (members,), whether a round ended where it began
    begins: tuple[tuple[FixedForRun, State], ...]  # each leg as it began
    ends: State  # after the last
    traces: tuple[Array, ...]  # of a single member time [s] from the leg's start and engine outlet [K], (points, 2)


def run_legs(
    plant: Plant,
    legs: Sequence[Conditions],
    durations: Sequence[float | None],
    *,
    repeats: bool,
    begins: State | None = None,
) -> LegsInTime:
    """Run legs from what light running leaves; if they repeat, round after round until every member's round closes.

    A round may begin in a state near to where it closes.
    """
    members = max(plant.members, *(asked.count for asked in legs))
    plant = held_valve(plant, legs[0])
    fixed = [under(plant, asked, members) for asked in legs]
    state = light_running(plant, legs[0], fixed[0]) if begins is None else begins
    run = _Run(plant, legs, durations, fixed, state)
    found = None
    while found is None or (repeats and run.goes_on(found)):
        begun = run.state.T, run.state.T_block
        again = run.once()
        found = again if found is None else _over_rounds(found, again)
        if repeats and (begins is not None or found.rounds > 1):
            found = replace(found, closed=found.closed | run.closes(*begun))
    return found


def _over_rounds(before: LegsInTime, now: LegsInTime) -> LegsInTime:
    """What the last round gave each member; of one that closed earlier what its last gave.

    One that never closes swings: from ``SWINGS`` on its peak counts over all rounds.
    """
    was = before.reached
    last = now.reached
    if before.rounds > SWINGS:
        last = replace(last, peak=np.maximum(last.peak, was.peak), boiled=last.boiled | was.boiled)
    rows = {f.name: np.where(before.closed, getattr(was, f.name), getattr(last, f.name)) for f in fields(LegReached)}
    return replace(now, reached=LegReached(**rows), rounds=before.rounds + 1, closed=before.closed)


@dataclass(eq=False)
class _Run:
    """Legs of a plant and the state in which the next of them begins."""

    plant: Plant
    legs: Sequence[Conditions]
    durations: Sequence[float | None]
    fixed: Sequence[FixedForRun]
    state: State

    @property
    def period(self) -> float:
        """Length of a round [s]."""
        return sum(float(duration or 0.0) for duration in self.durations)

    def goes_on(self, found: LegsInTime) -> bool:
        """Whether some member's round has neither closed nor been run often enough."""
        return not found.closed.all() and (found.rounds < MOST_ROUNDS or found.rounds * self.period < MOST_TIME)

    def once(self) -> LegsInTime:
        """All legs once."""
        found = []
        begins = []
        traces = []
        for asked, duration, fixed in zip(self.legs, self.durations, self.fixed, strict=True):
            begins.append((fixed, copy.copy(self.state)))
            alone = fixed.run.members == 1
            trace = [(0.0, self.state.T)] if alone else []
            if duration is None:
                found.append(self._settle(asked, fixed))
            else:
                found.append(run_leg(fixed, self.state, duration, trace if alone else None))
            traces.append(np.array(trace))
        whole = self.fixed[0].run.whole
        rows = {f.name: np.stack([whole(getattr(leg, f.name)) for leg in found]) for f in fields(LegReached)}
        boiled = rows.pop("boiled") > 0.0
        return LegsInTime(
            LegReached(**rows, boiled=boiled),
            1,
            np.zeros(boiled.shape[1], np.bool_),
            tuple(begins),
            copy.copy(self.state),
            tuple(traces),
        )

    def _settle(self, asked: Conditions, fixed: FixedForRun) -> LegReached:
        """A leg that goes on for as long as it takes."""
        start = self.state.T
        self.state, point = settled(self.plant, asked, fixed)
        v = fixed.run.value
        whole = fixed.run.whole
        boils = ~point.solved
        return LegReached(start, self.state.T, v(whole(point.peak)), v(whole(boils)))

    def closes(self, T: Value, T_block: Value) -> Mask:
        """Whether a round that began at an outlet and a block of these temperatures [K] ended there.

        The block, slowest of all that matters, would go on alone by the rest of a geometric row: it is put there.
        """
        f = self.fixed[-1].f
        lumps = self.fixed[-1].lumps
        state = self.state
        period = self.period
        block_time = 1.0 / (lumps.per_J.block * (lumps.h_block + lumps.h_air))
        rest = (state.T_block - T_block) / f.expm1(f.least(period / block_time, 30.0))
        state.T_block = state.T_block + rest
        apart = f.most(state.T - T, T - state.T)
        is_close = apart < CLOSED * min(1.0, period / TURN)
        near = is_close & (f.most(rest, -rest) < BLOCK_CLOSED)
        return np.asarray(self.fixed[-1].run.whole(near) > 0.0)


@dataclass(frozen=True, eq=False)
class TimedDuties:
    """Duties over their durations, arrays (members,) of the targets one after another."""

    start: Array  # K
    end: Array  # K
    peak: Array  # K
    boiled: Mask
    to_limit: Array  # s from the duty's start if it went on, infinite if never

    def of(self, which: slice) -> TimedDuties:
        """Some of the members."""
        return TimedDuties(**{name: getattr(self, name)[which] for name in TimedDuties.__dataclass_fields__})


@dataclass(frozen=True, eq=False)
class KnownRounds:
    """Where rounds closed that were run before, by their first duty and a place among the members asked for."""

    states: dict[tuple[int, int], tuple[float, State]] = field(default_factory=dict)  # K, ambient; state

    def near(self, place: tuple[int, int], ambient: float) -> State | None:
        """A state from which a round is not far from closed: as much warmer as its air is."""
        known = self.states.get(place) or self.states.get((place[0], 0))
        if known is None:
            return None
        return moved_by(known[1], ambient - known[0])

    def keep(self, place: tuple[int, int], ambient: float, run: LegsInTime) -> None:
        """Know where this one began the last time round."""
        self.states[place] = ambient, run.begins[0][1]


@dataclass(frozen=True, eq=False)
class DutiesInTime:
    """What is timed: every duty with its conditions, member m of duty d at d * members + m.

    ``plant_at`` gives the plant of some of these members; ``one_plant`` says that it is the same for every duty.
    ``limit`` [K] has one value for each member of each duty; a boiling point below it comes in by itself. ``ambient``
    [K], if given, is each duty's in place of its own: what was run before it moves by as much.
    """

    duties: Sequence[Duty]
    conditions: Conditions
    members: int
    limit: Array
    plant_at: Callable[[Index], Plant]
    ambient: Array | None = None
    one_plant: bool = False
    known: KnownRounds = field(default_factory=KnownRounds)

    def of(self, duty: int) -> Index:
        """The members of one duty."""
        return np.arange(self.members) + duty * self.members

    def durations(self, duties: Sequence[int]) -> list[float | None]:
        """Durations [s]; None for as long as it takes."""
        given = [self.duties[i].duration for i in duties]
        return [None if duration is None else float(duration[0]) for duration in given]

    def conditions_of(self, which: Index, targets: Index | None = None) -> Conditions:
        """Conditions of some members, their ambient moved by as much as that of their targets is."""
        everyone = self.conditions.spread_to(len(self.duties) * self.members)
        some = everyone.taken(which)
        if self.ambient is None or targets is None:
            return some
        moved = self.ambient[targets] - everyone.ambient[targets]
        return some.replace(ambient=some.ambient + moved)

    @property
    def alike(self) -> bool:
        """Whether a duty is run in the same way whichever of those after it is asked for."""
        return self.one_plant and self.ambient is None


def limited_in_time(duties: Sequence[Duty]) -> tuple[int, ...]:
    """Indices of the duties that give a duration."""
    return tuple(i for i, duty in enumerate(duties) if duty.duration is not None)


def timed(asked: DutiesInTime, of: Sequence[int], *, to_limit: Collection[int] = ()) -> TimedDuties:
    """Duties over their time, those of one chain together.

    ``to_limit`` names duties of which it is asked when they would reach their limit if they went on.
    """
    n = len(of) * asked.members
    found = TimedDuties(np.zeros(n), np.zeros(n), np.zeros(n), np.zeros(n, np.bool_), np.full(n, np.inf))
    for chain in chains(asked.duties):
        targets = [i for i in of if i in chain.duties]
        if not targets:
            continue
        answers = _of_alike(asked, chain, targets, to_limit) if asked.alike else _apart(asked, chain, targets, to_limit)
        for i, answer in zip(targets, answers, strict=True):
            begins = of.index(i) * asked.members
            for name in TimedDuties.__dataclass_fields__:
                getattr(found, name)[begins : begins + asked.members] = getattr(answer, name)
    return found


def _of_alike(
    asked: DutiesInTime, chain: DutyChain, targets: Sequence[int], to_limit: Collection[int]
) -> list[TimedDuties]:
    """Targets of one chain, which is run once for all of them."""
    legs = chain.up_to(targets)
    rows = [asked.conditions_of(asked.of(j)) for j in legs]
    run = _Few(asked, chain, asked.plant_at(asked.of(legs[0])), rows, bool(to_limit))
    return [run.leg(legs.index(i), asked.limit[asked.of(i)], i in to_limit) for i in targets]


def _apart(
    asked: DutiesInTime, chain: DutyChain, targets: Sequence[int], to_limit: Collection[int]
) -> list[TimedDuties]:
    """Targets of one chain, each of which has the whole chain run with its own plant and ambient."""
    legs = chain.up_to(targets)
    n = asked.members
    own = np.concatenate([asked.of(i) for i in targets])
    rows = [asked.conditions_of(np.tile(asked.of(j), len(targets)), own) for j in legs]
    run = _Few(asked, chain, asked.plant_at(own), rows, bool(to_limit))
    every = [run.leg(legs.index(i), asked.limit[own], i in to_limit) for i in targets]
    return [answer.of(slice(k * n, (k + 1) * n)) for k, answer in enumerate(every)]


class _Few:
    """Legs run by all members together, or by each alone where that is faster or when the limit is reached is asked."""

    def __init__(
        self, asked: DutiesInTime, chain: DutyChain, plant: Plant, legs: Sequence[Conditions], alone: bool
    ) -> None:
        n = max(plant.members, *(row.count for row in legs))
        durations = asked.durations(chain.duties[: len(legs)])
        self.alone = alone
        if n > FEW and not alone:
            self.runs = [run_legs(plant, legs, durations, repeats=chain.repeats)]
            return
        self.runs = []
        for member in range(n):
            one, own = take_members((plant, tuple(legs)), np.array([member]), n)
            place = (chain.duties[0], member)
            air = float(own[0].ambient[0])
            begins = asked.known.near(place, air) if chain.repeats else None
            self.runs.append(run_legs(one, own, durations, repeats=chain.repeats, begins=begins))
            asked.known.keep(place, air, self.runs[-1])

    def leg(self, row: int, limit: Array, goes_on: bool) -> TimedDuties:
        """One of the legs, every member; where it ``goes_on``, when each reaches its ``limit`` [K]."""
        start, end, peak, boiled = (
            np.concatenate([getattr(run.reached, name)[row] for run in self.runs])
            for name in ("start", "end", "peak", "boiled")
        )
        to_limit = np.full(start.shape, np.inf)
        for member in np.flatnonzero((peak >= limit) | goes_on) if self.alone else ():
            fixed, begins = self.runs[member].begins[row]
            to_limit[member] = time_to(fixed, copy.copy(begins), min(float(limit[member]), fixed.lumps.boiling))
        return TimedDuties(start, end, peak, boiled, to_limit)
