"""Hypotheses run through their record: members of every cause as one ensemble, and what came of each.

A member's numbers z are the vehicle's unknowns (:mod:`engcalc.vehicle.unknowns`) followed by the severities of its
causes, all standard normal before any reading. Where nobody knows how it was driven, each member follows its own drive
in the same steps. Where the valve's place is not known, each place is an ensemble of its own.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, fields, replace

import numpy as np
from numpy.typing import NDArray

from engcalc.case.case import Case, with_values
from engcalc.case.whole import derive
from engcalc.causes.history import Word
from engcalc.causes.record import Cause, SensorFault, VisibleState
from engcalc.diagnosis.members.everyday import EverydayUse, SettledTemperatures, settled_coolant
from engcalc.diagnosis.members.faulty_vehicle import CauseInMembers, changed, healthy_case, histories_of, states_of
from engcalc.errors import Cancelled
from engcalc.system.in_time.drive import Drive, in_several_ways
from engcalc.system.in_time.warmed import Warmup, felt_upper_hose
from engcalc.system.in_time.warmup import warm_up
from engcalc.system.plant import averaged
from engcalc.units import Array
from engcalc.vehicle.fewer_steps import thinned
from engcalc.vehicle.own_prior import CarriedUnknowns, OwnPrior
from engcalc.vehicle.run import Run, ensemble_run
from engcalc.vehicle.unknowns import Unknown, Vehicles, drawn_drive, normal_share, unknowns_of, vehicles
from engcalc.words.texts import diagnosis_texts

EVERY = 30.0  # s; between samples that are kept
# Steps of a judged run, about, and the longest of them [s]. Members of all causes, both sides of the valve, four ways
# to drive and three weathers were held against themselves in steps of 0.5 s: 0.15 K rms, 99 of 100 samples within
# 0.5 K, means over three minutes within 0.4 K. What is left are the seconds in which a valve opens onto an icy
# return: there the coolant falls by 10 K within a step, and a sample may catch it before or after
JUDGED_STEPS = 330
JUDGED_COARSEST = 3
# s; between renewals of the radiator in a judged run. Against half the time a step, the log likelihood of members that
# count moves by 0.01 to 0.02, as with 10 s
JUDGED_RENEWAL = 24.0
LAYOUTS = (("outlet", 0.6), ("inlet", 0.4))  # where an unknown valve may sit; common practice, no source
SENSOR_SPAN = 60.0  # K of coolant over air at which a sensor's proportional error is the stated one
_KEPT = (
    "coolant",
    "lower_hose",
    "heater_in",
    "heater_out",
    "cabin",
    "vent",
    "block",
    "opening",
    "radiator_flow",
    "heater_flow",
    "bypass_flow",
    "fan_speed",
)
_BY_KEY = ("time", "states", "histories", "settled")  # what of members is no array by itself

Stop = Callable[[], bool] | None


@dataclass(frozen=True)
class Hypothesis:
    """One cause, or a pair, in one layout; ``layout`` indexes :attr:`Problem.layouts`."""

    causes: tuple[Cause, ...]
    layout: int

    @property
    def key(self) -> str:
        """Keys of the causes, joined by "+"."""
        return "+".join(cause.key for cause in self.causes)

    @property
    def severities(self) -> int:
        """How many severities there are, the second one of a sensor's error and reserves included."""
        return sum(_columns_drawn(cause) for cause in self.causes)

    @property
    def traceless(self) -> bool:
        """Whether no cause leaves a trace in temperature."""
        return all(cause.traceless for cause in self.causes)

    @property
    def broad(self) -> float:
        """What the model may be wrong by besides [K]."""
        return max(cause.broad for cause in self.causes)

    @property
    def erratic(self) -> bool:
        """Whether the sensor jumps."""
        return any(cause.sensor is SensorFault.ERRATIC for cause in self.causes)


def _columns_drawn(cause: Cause) -> int:
    """How many columns of a draw a cause takes: its severity, and its reserve or what a sensor reads beside it."""
    two = cause.sensor in (SensorFault.LOW, SensorFault.HIGH) or cause.reserve is not None
    return 0 if cause.severity is None else 2 if two else 1


@dataclass(frozen=True, eq=False)
class Problem:
    """One record of one vehicle, and what is unknown of it.

    Where the valve's place or how it was driven is not known, every combination is a layout: the healthy case and its
    run, with the share of the odds that it has before any reading. The runs are equally long. ``uses`` are the everyday
    uses that somebody told of, in which members are settled besides. Members' numbers are standard normal whatever is
    known of the vehicle; ``own`` makes its unknowns of them where an earlier record tells more than its class.
    """

    runs: tuple[Run, ...]
    layouts: tuple[Case, ...]
    shares: tuple[float, ...]
    unknowns: tuple[Unknown, ...]
    uses: tuple[EverydayUse, ...] = ()
    own: tuple[CarriedUnknowns, ...] = ()  # by layout: what the vehicle's own history makes of standard normal numbers

    @property
    def run(self) -> Run:
        """The likeliest run: what was read and noted is the same in all."""
        return self.runs[int(np.argmax(self.shares))]


def problem_of(
    case: Case, *runs: tuple[Run, float], uses: tuple[EverydayUse, ...] = (), own: OwnPrior | None = None
) -> Problem:
    """The record of a case as a problem, in an ensemble's steps, from its runs with their weights (``runs_of``).

    A valve of unknown place makes two layouts of each. ``own`` is what an earlier healthy record of the vehicle tells.
    """
    healthy = healthy_case(case)
    if healthy.thermostat.side == "unknown":
        cases = [(_with_valve_at(healthy, side), share) for side, share in LAYOUTS]
    else:
        cases = [(healthy, 1.0)]
    coarse = [(thinned(ensemble_run(run, JUDGED_STEPS, JUDGED_COARSEST)), weight) for run, weight in runs]
    combined = [(made, run, share * weight) for made, share in cases for run, weight in coarse]
    layouts, ran, shares = zip(*combined, strict=True)
    unknowns = unknowns_of(healthy, runs[0][0])
    carried = () if own is None else tuple(own.carried(unknowns, made.thermostat.side) for made in layouts)
    return Problem(ran, layouts, shares, unknowns, uses, carried)


def _with_valve_at(healthy: Case, side: str) -> Case:
    """The healthy vehicle with its valve at one side, and what follows from that."""
    placed = with_values(healthy, {"thermostat.side": side})
    return derive(placed, dict(placed.given))


@dataclass(frozen=True, eq=False)
class Simulated:
    """What came of members. Series (samples, members) in K, flows in m3/s, ``opening`` -; others (members,).

    ``histories`` are shares of each cause's cases that are told of by a word (:mod:`engcalc.causes.history`).
    """

    time: Array  # s, (samples,)
    shown: Array  # what the sensor shows
    coolant: Array
    upper_hose: Array
    lower_hose: Array
    heater_in: Array
    heater_out: Array
    cabin: Array
    vent: Array
    block: Array
    opening: Array
    radiator_flow: Array  # m3/s, as the next two
    heater_flow: Array
    bypass_flow: Array
    fan_speed: Array  # -
    ambient: Array
    start: Array  # K, coolant at the start as it was, whatever the sensor said
    preheated: Array  # K, by which heaters before the start alone would have brought the coolant over the air
    rating: Array  # K
    opens: Array  # K, where the valve starts to open
    opened: Array  # K, where it is fully open
    fan_wanted: Array  # K, of the coolant from which a healthy vehicle's fan runs; 0 where nothing switches it
    states: dict[VisibleState, Array]
    histories: dict[Word, Array] = field(default_factory=dict)
    settled: dict[EverydayUse, SettledTemperatures] = field(default_factory=dict)

    @property
    def members(self) -> int:
        """How many."""
        return int(self.shown.shape[-1])

    @property
    def unheated(self) -> Array:
        """Coolant at the start [K], less what heaters before it added."""
        return self.start - self.preheated

    def taken(self, which: NDArray[np.int64]) -> Simulated:
        """Some members by their index."""
        values = {f.name: getattr(self, f.name)[..., which] for f in fields(self) if f.name not in _BY_KEY}
        return Simulated(
            time=self.time,
            states={k: v[which] for k, v in self.states.items()},
            histories={k: v[which] for k, v in self.histories.items()},
            settled={use: there.taken(which) for use, there in self.settled.items()},
            **values,
        )

    def at(self, series: Array, times: Array) -> Array:
        """Values of a series at times [s], (times, members); straight lines, held beyond the ends."""
        upper = np.clip(np.searchsorted(self.time, times), 1, len(self.time) - 1)
        span = self.time[upper] - self.time[upper - 1]
        w = np.clip((times - self.time[upper - 1]) / span, 0.0, 1.0)[:, None]
        return np.asarray(series[upper - 1] * (1.0 - w) + series[upper] * w)

    def mean_at(self, series: Array, times: Array, group: NDArray[np.int64]) -> Array:
        """Means of a series over groups of times [s], numbered from 0 in ``group``, (groups, members)."""
        upper = np.clip(np.searchsorted(self.time, times), 1, len(self.time) - 1)
        before = self.time[upper - 1]
        w = np.clip((times - before) / (self.time[upper] - before), 0.0, 1.0)
        share = np.zeros((int(group[-1]) + 1, len(self.time)))
        np.add.at(share, (group, upper - 1), 1.0 - w)
        np.add.at(share, (group, upper), w)
        return np.asarray(share @ series / np.bincount(group)[:, None])

    def when_passing(self, series: Array, T: float) -> Array:
        """``series`` of each member where its coolant first stands at T [K] or above; its last value if never."""
        reached = self.coolant >= T
        first = np.where(reached.any(axis=0), reached.argmax(axis=0), len(self.time) - 1)
        return np.asarray(np.take_along_axis(series, first[None], axis=0)[0])


def joined(parts: Sequence[Simulated]) -> Simulated:
    """Several ensembles of one record as one."""
    if len(parts) == 1:
        return parts[0]
    values = {
        f.name: np.concatenate([getattr(p, f.name) for p in parts], axis=-1)
        for f in fields(Simulated)
        if f.name not in _BY_KEY
    }
    first = parts[0]
    return Simulated(
        time=first.time,
        states={k: np.concatenate([p.states[k] for p in parts]) for k in first.states},
        histories={k: np.concatenate([p.histories[k] for p in parts]) for k in first.histories},
        settled={use: SettledTemperatures.joined([p.settled[use] for p in parts]) for use in first.settled},
        **values,
    )


Batch = Sequence[tuple[Hypothesis, Array]]
"""Hypotheses, each with the z of its members, (members, unknowns + severities)."""

Runner = Callable[[Problem, Batch, Stop, Drive | None], list[Simulated]]
"""What runs a batch: :func:`simulate`, or that on two processes."""


def simulate(problem: Problem, batch: Batch, cancelled: Stop = None, drive: Drive | None = None) -> list[Simulated]:
    """Run a batch: one result for each of its entries. ``drive`` takes the place of the record's own (for a check that
    is still to be made). Raises Cancelled when told to stop."""
    found: dict[int, Simulated] = {}
    for ensemble in range(len(problem.layouts)):
        which = [i for i, (h, z) in enumerate(batch) if ensemble_of(problem, h.layout) == ensemble and len(z)]
        which.sort(key=lambda i: batch[i][0].layout)
        if which:
            parts = _ensemble(problem, [batch[i] for i in which], cancelled, drive)
            found |= zip(which, parts, strict=True)
    return [found[i] for i in sorted(found)]


def ensemble_of(problem: Problem, layout: int) -> int:
    """The first of the layouts that run in one ensemble with this one: they differ only in how they were driven."""
    return next(i for i, case in enumerate(problem.layouts) if case is problem.layouts[layout])


def _ensemble(problem: Problem, batch: Batch, cancelled: Stop, drive: Drive | None) -> list[Simulated]:
    """Members of layouts that differ only in how they were driven."""
    layout = batch[0][0].layout
    many = sum(len(z) for _, z in batch)
    k = len(problem.unknowns)
    common = np.concatenate([z[:, :k] for _, z in batch])
    if problem.own:
        common = problem.own[layout].z(common)
    ends = np.cumsum([len(z) for _, z in batch])
    entries = _draws_by_cause(batch, k)
    severe = tuple(_in_members(cause, where, z) for cause, where, z in entries)
    ready = vehicles(
        problem.layouts[layout],
        problem.runs[layout],
        problem.unknowns,
        common,
        lambda case: changed(case, severe, many),
    )
    shift = _Shift.of(entries, many)
    ambient = np.broadcast_to(ready.drive.conditions.ambient, (many,))
    made = _own_drives(problem, batch, common, ambient, shift.fixed) if drive is None else drive.asking(ambient=ambient)
    ran = warm_up(averaged(ready.plant), made, EVERY, cancelled, JUDGED_RENEWAL)
    if cancelled is not None and cancelled():
        raise Cancelled(diagnosis_texts.DIAGNOSIS_WAS_CANCELLED)
    clock = problem.runs[layout].clock
    if clock is not None and drive is None:
        ran = replace(ran, time=clock.at(ran.time))
    wanted = fan_wanted(problem.layouts[layout])
    whole = _simulated(ran, shift, ambient, ready.case, states_of(severe, many), ready.sensor_bias, wanted)
    whole = replace(whole, histories=histories_of(severe, many))
    if problem.uses and drive is None:
        whole = replace(whole, settled=_everyday(problem.uses, ready, shift, ambient))
    return [whole.taken(np.arange(end - len(z), end)) for (_, z), end in zip(batch, ends.tolist(), strict=True)]


def _draws_by_cause(batch: Batch, common: int) -> list[tuple[Cause, slice, Array]]:
    """Each cause of each layout, which members have it, and its own columns of their draws, shape (members, columns):
    after the ``common`` ones each cause has its own, one at least even where it draws nothing."""
    found, begin = [], 0
    for hypothesis, z in batch:
        members, column = slice(begin, begin + len(z)), common
        for cause in hypothesis.causes:
            own = _columns_drawn(cause)
            found.append((cause, members, z[:, column : column + max(own, 1)]))
            column += own
        begin += len(z)
    return found


def _in_members(cause: Cause, where: slice, z: Array) -> CauseInMembers:
    """A cause as its members' draws have it: how bad it is, and its reserve where it has one."""
    severity = z[:, 0] if z.shape[1] else np.zeros(len(z))
    return CauseInMembers(cause, where, severity, None if cause.reserve is None else z[:, 1])


def _own_drives(problem: Problem, batch: Batch, common: Array, ambient: Array, shown_over: Array) -> Drive:
    """The drive of each member's layout, from its own air and start [K]: the latter was read by the sensor, which shows
    so much over the coolant."""
    layouts = np.concatenate([np.full(len(z), h.layout) for h, z in batch])
    found = []
    for layout in np.unique(layouts).tolist():
        own = layouts == layout
        drawn = drawn_drive(problem.runs[layout], problem.unknowns, common[own])
        found.append(replace(drawn.asking(ambient=ambient[own]), start=drawn.start - shown_over[own]))
    return in_several_ways(found)


@dataclass(frozen=True, eq=False)
class _Shift:
    """What faulty sensors add [K] for each member: fixed, in proportion to coolant over air, and the share lost."""

    fixed: Array
    proportional: Array
    lost: Array

    def shown(self, T: Array, ambient: Array) -> Array:
        """What the sensor makes of T [K] in air of ``ambient`` [K]."""
        return np.asarray(ambient + (T - ambient) * (1.0 - self.lost + self.proportional) + self.fixed)

    @classmethod
    def of(cls, entries: Sequence[tuple[Cause, slice, Array]], members: int) -> _Shift:
        fixed = np.zeros(members)
        proportional = np.zeros(members)
        lost = np.zeros(members)
        for cause, where, z in entries:
            if cause.severity is None or cause.sensor is SensorFault.NONE:
                continue
            size = cause.severity.value(z[:, 0])
            if cause.sensor is SensorFault.IN_AIR:
                lost[where] = size
                continue
            sign = -1.0 if cause.sensor is SensorFault.LOW else 1.0
            share = normal_share(z[:, 1])
            fixed[where] = sign * size * (1.0 - share)
            proportional[where] = sign * size * share / SENSOR_SPAN
        return cls(fixed, proportional, lost)


def fan_starts(case: Case) -> float | None:
    """Coolant [K] at which an electric fan starts; None for any other."""
    if "electric" in case.airflow.fan_drive:
        return float(case.airflow.fan_on[0])
    return None


def fan_wanted(case: Case) -> float:
    """Coolant [K] from which a healthy electric fan runs, once it did: where it switches off; 0 for any other."""
    if "electric" in case.airflow.fan_drive:
        return float(case.airflow.fan_off[0])
    return 0.0


def _simulated(
    ran: Warmup,
    shift: _Shift,
    ambient: Array,
    case: Case,
    states: dict[VisibleState, Array],
    bias: Array,
    wanted: float,
) -> Simulated:
    shown = shift.shown(ran.sensor, ambient) + bias
    series = {name: getattr(ran, name) for name in _KEPT}
    series["upper_hose"] = felt_upper_hose(ran, ambient, case.thermostat.side)
    valve = case.thermostat
    marks = {
        name: np.broadcast_to(T, ambient.shape)
        for name, T in (("rating", valve.rating), ("opens", valve.start_to_open), ("opened", valve.full_open))
    }
    return Simulated(
        time=ran.time,
        shown=shown,
        ambient=ambient,
        start=ran.coolant[0],
        preheated=ran.preheated,
        fan_wanted=np.full(ambient.shape, wanted),
        states=states,
        histories={},
        settled={},
        **marks,
        **series,
    )


def _everyday(
    uses: Sequence[EverydayUse], ready: Vehicles, shift: _Shift, ambient: Array
) -> dict[EverydayUse, SettledTemperatures]:
    """Where members settle in their everyday uses, and what their sensors show there."""
    found = settled_coolant(ready.case, averaged(ready.plant), ambient, uses)
    return {
        use: SettledTemperatures(coolant, shift.shown(coolant, ambient) + ready.sensor_bias, vent)
        for use, (coolant, vent) in found.items()
    }


def fault_free(ran: Warmup, ready: Vehicles) -> Simulated:
    """Runs of vehicles without any fault of the list, as they would be read."""
    many = ran.coolant.shape[-1]
    ambient = np.broadcast_to(ready.drive.conditions.ambient, (many,))
    none = _Shift(np.zeros(many), np.zeros(many), np.zeros(many))
    return _simulated(ran, none, ambient, ready.case, states_of((), many), ready.sensor_bias, fan_wanted(ready.case))


def with_states(simulated: Simulated, hypothesis: Hypothesis, z: Array) -> Simulated:
    """The same runs under causes without a trace in temperature: only what a look tells differs."""
    entries = []
    column = 0
    for cause in hypothesis.causes:
        severity_z = z[:, column] if _columns_drawn(cause) else z[:, :1].sum(axis=1)
        entries.append(CauseInMembers(cause, slice(0, simulated.members), severity_z))
        column += _columns_drawn(cause)
    there = tuple(entries)
    return replace(
        simulated,
        states=states_of(there, simulated.members),
        histories=histories_of(there, simulated.members),
    )
