"""The test drive that settles the most: legs of driving or idling, simulated in vehicles drawn from the odds.

What a leg would show is predicted in each vehicle: the sensor's curve over it, hoses that are read at its end, whether
the fan is heard. A reading is drawn from every vehicle in turn, with what instruments and model are wrong by, and the
odds by that reading are worked out over the others. What the leg is worth is the mean fall of the entropy of the odds,

    I = H(cause) - mean over readings y of H(cause | y)        in bits,

so that the likelihood that will judge the record plans the drive too. It would be settled in a vehicle where the odds
would be, and where the conclusion could tell by then: where every healthy vehicle would be warm, or this one is, or it
runs hot. What was read before counts by the odds; that its errors go on through the next leg is left out, which tells a
leg rather too low.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import partial

import numpy as np
from numpy.typing import NDArray

from engcalc.case.case import Case
from engcalc.case.conditions import Conditions, conditions_of
from engcalc.case.instruments import INSTRUMENTS
from engcalc.causes.catalogue.healthy import HEALTHY
from engcalc.components.coolant_heater import share_run
from engcalc.diagnosis.as_it_grows import GrownCause
from engcalc.diagnosis.conclusion import HOT_COMPLAINTS
from engcalc.diagnosis.drawn_vehicles import DrawnVehicles, drawn_vehicles
from engcalc.diagnosis.drive_legs import READ_LAST, DriveLeg, courses, cuts, from_cold, gone_on, read_lately
from engcalc.diagnosis.enough import SETTLED, told_as_one
from engcalc.diagnosis.hottest import NEAR_LIMIT
from engcalc.diagnosis.observations import (
    FACTS,
    MEASURED_WANDERS,
    PLACES,
    Likelihood,
    Observed,
    ReadingGroup,
    curve_group,
    wandering,
)
from engcalc.diagnosis.sampler import Draws, Stop
from engcalc.diagnosis.simulated import EVERY, Batch, Hypothesis, Problem, Simulated, joined, simulate
from engcalc.units import Array
from engcalc.vehicle.criterion import SURE, target
from engcalc.vehicle.unknowns import HEAT, draw_z
from engcalc.verdict import OVERCOOLED_BY

Driven = Callable[[Sequence[DriveLeg]], tuple[Simulated, Simulated]]
"""Drives the vehicles through legs, and healthy ones beside them."""

VEHICLES, LEAST_VEHICLES = 120, 5  # drawn from the odds; of a possible cause
HEALTHY_VEHICLES = 20  # driven beside them: when they are warm, a cold one is told
READINGS = 96  # drawn from the vehicles
A_MINUTE = 0.01  # share of vehicles that a minute more has to settle; common practice, no source
A_BIT = 0.1  # the same that a bit counts for: it shortens what comes after; common practice, no source
LEAST_BITS = 0.05  # a drive that tells less is not worth its fuel; common practice, no source
MOST_TOO_HOT = 0.1  # of the odds that come near the limit in a leg that is driven: then it is not planned
HEATER_SETTINGS = ("high", "off")  # of a drive of which nobody noted any
HOTTER = 2.0  # K; by which a sensor has to show it, as in the conclusion (whole_check)
MEASURED_HEAT = 0.06  # log; of the heat where air or fuel is read while it runs, beside the engine's own (vehicle.run)


@dataclass(frozen=True)
class PlannedLeg:
    """One leg of a plan: its key in ``LEGS``, and how long [min]."""

    leg: str
    minutes: float


@dataclass(frozen=True)
class PlannedDrive:
    """A test drive. ``from_cold``: it begins with a cold start, else it goes on from what was read. ``heater`` is the
    setting throughout. Of ``open_bits`` before it, it tells ``bits``, and it would be ``settled`` in that share of such
    vehicles. ``too_hot`` are legs that were left out, because too many of them would overheat in them."""

    legs: tuple[PlannedLeg, ...]
    from_cold: bool
    heater: str
    open_bits: float
    bits: float
    settled: float
    too_hot: tuple[str, ...]

    @property
    def minutes(self) -> float:
        """How long all of it takes."""
        return sum(leg.minutes for leg in self.legs)


def planned_drive(
    problem: Problem,
    draws: Sequence[Draws],
    limit: float,
    *,
    cold: bool,
    seed: int = 1,
    cancelled: Stop = None,
) -> PlannedDrive:
    """Plan a drive from the draws of a problem as they count now (``GrownOdds``, ``Diagnosis.kept``).

    ``limit`` [K] is what the coolant may not pass. ``cold``: from a cold start, else on from the end of the record.
    Raises Cancelled.
    """
    planner = _Planner(problem, draws, limit, seed, cancelled)
    setting = problem.run.record.heater_setting
    if not cold:
        return planner.plan(setting, planner.on)
    settings = HEATER_SETTINGS if setting == "unknown" else (setting,)
    plans = [planner.plan(heater, partial(planner.cold, heater)) for heater in settings]
    return max(plans, key=lambda plan: _merit(plan.settled, plan.bits, plan.minutes))


def _merit(settled: float, bits: float, minutes: float) -> float:
    """What a drive is worth: a minute more has to settle as much as ``A_MINUTE`` more, or to tell its worth in bits."""
    return settled + A_BIT * bits - A_MINUTE * minutes


class _Planner:
    def __init__(self, problem: Problem, draws: Sequence[Draws], limit: float, seed: int, cancelled: Stop) -> None:
        self.problem, self.limit, self.cancelled = problem, limit, cancelled
        self.case, self.weather = problem.layouts[0], _weather(problem)
        rng = np.random.default_rng([seed, 8])
        score = np.array([d.log_rate + d.log_evidence() for d in draws])
        p = np.exp(score - score.max())
        self.drawn = drawn_vehicles(draws, p / p.sum(), VEHICLES, LEAST_VEHICLES, len(problem.unknowns), rng)
        healthy = draw_z(problem.unknowns, HEALTHY_VEHICLES, seed)
        self.batch = [*self.drawn.batch, (Hypothesis((HEALTHY,), int(np.argmax(problem.shares))), healthy)]
        keys = list(dict.fromkeys(d.hypothesis.key for d in draws))
        self.readings = ExpectedReadings(self.drawn, keys, rng)

    def plan(self, heater: str, driven: Driven) -> PlannedDrive:
        """The best of all courses and their ends."""
        best: tuple[tuple[DriveLeg, ...], LegWorth] | None = None
        too_hot: set[str] = set()
        read_already = read_lately(self.problem.run) if driven == self.on else frozenset()
        for course in courses(self.case, read_already):
            seen, healthy = driven(course)
            if hot := self._overheats(seen, course):
                too_hot.add(hot)
                continue
            told = Decidable.of(self.case, seen, healthy)
            for legs in cuts(course):
                found = self.readings.worth(seen, course, legs, told)
                if best is None or _merit_of(legs, found) > _merit_of(*best):
                    best = legs, found
        cold, hot_legs, entropy = driven != self.on, tuple(sorted(too_hot)), self.readings.entropy
        if best is None or best[1].bits < LEAST_BITS:
            return PlannedDrive((), cold, heater, entropy, 0.0, 0.0, hot_legs)
        made = tuple(PlannedLeg(leg.key, leg.minutes) for leg in best[0])
        return PlannedDrive(made, cold, heater, entropy, best[1].bits, best[1].settled, hot_legs)

    def on(self, legs: Sequence[DriveLeg]) -> tuple[Simulated, Simulated]:
        """The vehicles, and the healthy ones beside them, driven on from the end of their record."""
        pairs = zip(self.problem.runs, self.problem.layouts, strict=True)
        runs = tuple(gone_on(run, case, self.weather, legs) for run, case in pairs)
        ran = simulate(replace(self.problem, runs=runs), self.batch, self.cancelled)
        return joined(ran[:-1]), ran[-1]

    def cold(self, heater: str, legs: Sequence[DriveLeg]) -> tuple[Simulated, Simulated]:
        """The same from a cold start."""
        drive = from_cold(self.case, self.weather, heater, legs)
        ran = simulate(self.problem, _heat_measured(self.problem, self.batch), self.cancelled, drive)
        return joined(ran[:-1]), ran[-1]

    def _overheats(self, seen: Simulated, course: Sequence[DriveLeg]) -> str:
        """The first leg that is driven in which too much of the odds comes near the limit; empty where none does."""
        at = float(seen.time[-1]) - 60.0 * _minutes(course)
        for leg in course:
            within = (seen.time > at) & (seen.time <= at + leg.seconds)
            hot = seen.coolant[within].max(axis=0) >= self.limit - NEAR_LIMIT
            if not leg.stands and float(self.drawn.weight[hot].sum()) > MOST_TOO_HOT:
                return leg.key
            at += leg.seconds
        return ""


def _minutes(legs: Sequence[DriveLeg]) -> float:
    return sum(leg.minutes for leg in legs)


def _merit_of(legs: Sequence[DriveLeg], found: LegWorth) -> float:
    return _merit(found.settled, found.bits, _minutes(legs))


def _weather(problem: Problem) -> Conditions:
    """What a leg is driven in: the weather of the record, a heater in the coolant as it ran then."""
    case, run = problem.layouts[0], problem.run
    ran = np.full(1, share_run(case.heater.coolant_heater, run.record.auxiliary_heater))
    first = conditions_of(case.duties[:1]).of_another_day()
    return first.replace(ambient=np.asarray(run.drive.conditions.ambient)[:1], coolant_heater=ran)


def _heat_measured(problem: Problem, batch: Batch) -> Batch:
    """The vehicles with their heat as closely known as it is where it is read while they run."""
    keys = [u.key for u in problem.unknowns]
    if problem.run.heat is not None or HEAT.key not in keys:
        return batch
    column = keys.index(HEAT.key)
    share = min(float(np.hypot(HEAT.spread, MEASURED_HEAT)) / problem.unknowns[column].spread, 1.0)
    scaled = np.ones(len(keys))
    scaled[column] = share
    return [(h, np.concatenate((z[:, : len(keys)] * scaled, z[:, len(keys) :]), axis=1)) for h, z in batch]


# ---- what readings are worth ----------------------------------------------------------------------------------------


@dataclass(frozen=True)
class LegWorth:
    """What legs would tell: bits over the causes, and the share of vehicles in which it would be settled."""

    bits: float
    settled: float


@dataclass(frozen=True, eq=False)
class Decidable:
    """From when on [s] the conclusion could tell of each vehicle, (members,); infinite: not within the run."""

    since: Array

    @classmethod
    def of(cls, case: Case, seen: Simulated, healthy: Simulated) -> Decidable:
        """A cold one is told where it would be warm if it were healthy; who complains of heat asks for a hot one."""
        hot = _first(seen.time, seen.shown >= float(case.thermostat.full_open[0]) + OVERCOOLED_BY + HOTTER)
        if case.job.reason in (*HOT_COMPLAINTS, "loss of coolant"):
            return cls(hot)
        warm_from = target(case)
        all_warm = float(np.quantile(_first(healthy.time, healthy.shown >= warm_from), SURE, method="nearest"))
        own = _first(seen.time, seen.shown >= warm_from)
        return cls(np.minimum(np.minimum(hot, own), all_warm))

    def by(self, at: float) -> NDArray[np.bool_]:
        """Of which vehicles it could tell by a time [s]."""
        return np.asarray(self.since <= at)


def _first(time: Array, there: NDArray[np.bool_]) -> Array:
    """The first time at which something holds, (members,); infinite where it never does."""
    return np.where(there.any(axis=0), time[there.argmax(axis=0)], np.inf)


class ExpectedReadings:
    """Readings drawn from vehicles, and the odds that each of them would leave."""

    def __init__(self, drawn: DrawnVehicles, keys: Sequence[str], rng: np.random.Generator) -> None:
        self.cause, self.weight, self.keys = drawn.cause, drawn.weight, keys
        self.numbers = np.unique(drawn.cause)
        self.kinds = [_kind(h) for h, z in drawn.batch for _ in range(len(z))]
        self.odds = np.array([self.weight[self.cause == c].sum() for c in self.numbers])
        self.entropy = max(float(_entropy(self.odds[:, None])[0]), 0.0)
        # each leg is judged by the same vehicles and the same chances, so that chance does not choose between them
        even = (rng.random() + np.arange(READINGS)) / READINGS
        self.of = np.minimum(np.searchsorted(np.cumsum(self.weight), even), len(self.weight) - 1)
        self.seed = int(rng.integers(2**31))

    def worth(self, seen: Simulated, course: Sequence[DriveLeg], legs: Sequence[DriveLeg], told: Decidable) -> LegWorth:
        """What the first ``legs`` of a course would tell, with which the simulated run ends."""
        begins = max(float(seen.time[-1]) - 60.0 * _minutes(course), 0.0)
        ends = begins + 60.0 * _minutes(legs)
        left = self._odds_after(_evidence(seen, begins, legs), _heard(seen, legs), seen)
        bits = self.entropy - float(_entropy(left).mean())
        settled = [self._settles(p) for p in left.T] & told.by(ends)[self.of]
        return LegWorth(max(bits, 0.0), float(np.mean(settled)))

    def _odds_after(self, evidence: Observed, heard: Array, seen: Simulated) -> Array:
        """Odds of each cause by each reading, (causes, readings). A vehicle does not judge its own reading."""
        rng = np.random.default_rng(self.seed)
        laws = {kind: Likelihood(evidence, *kind) for kind in dict.fromkeys(self.kinds)}
        any_law = next(iter(laws.values()))
        predicted, by_pace = any_law.predicted(seen), any_law.by_pace(seen)
        pace = rng.standard_normal(len(self.of))
        shown = predicted[:, self.of] + by_pace[:, self.of] * pace
        read = np.stack([_read(laws[self.kinds[j]], shown[:, i], rng) for i, j in enumerate(self.of)], axis=1)
        found = np.empty((len(self.weight), len(self.of)))
        for kind, law in laws.items():
            own = np.flatnonzero([k == kind for k in self.kinds])
            apart = predicted[:, own, None] - read[:, None, :]
            paces = np.repeat(by_pace[:, own], len(self.of), axis=1)
            apart = apart.reshape(len(read), -1)
            # read in the simulated vehicles themselves, none of which is far over what its valve and fan hold
            found[own] = law.of_readings(apart, paces, np.zeros(apart.shape)).reshape(len(own), -1)
        for row in heard:
            answered = rng.random(len(self.of)) < row[self.of]
            found += np.log(np.where(answered[None], row[:, None], 1.0 - row[:, None]))
        return self._by_cause(found)

    def _by_cause(self, log_likelihood: Array) -> Array:
        weight = np.repeat(self.weight[:, None], len(self.of), axis=1)
        weight[self.of, np.arange(len(self.of))] = 0.0
        top = log_likelihood.max(axis=0)
        scores = weight * np.exp(log_likelihood - top)
        counted = np.array([weight[self.cause == c].sum(axis=0) for c in self.numbers])
        given = np.array([scores[self.cause == c].sum(axis=0) for c in self.numbers])
        left = self.odds[:, None] * given / np.maximum(counted, 1e-300) + 1e-12 * self.odds[:, None]
        return np.asarray(left / left.sum(axis=0))

    def _settles(self, p: Array) -> bool:
        """Whether odds would be settled, by the rule for those of a record."""
        causes = [
            GrownCause(self.keys[c], share, 0.0, np.inf, float(np.log(share / before)))
            for c, share, before in zip(self.numbers.tolist(), p.tolist(), self.odds.tolist(), strict=True)
        ]
        causes.sort(key=lambda c: -c.probability)
        return sum(c.probability for c in told_as_one(causes)) >= SETTLED


def _kind(h: Hypothesis) -> tuple[float, bool]:
    return h.broad, h.erratic


def _read(law: Likelihood, predicted: Array, rng: np.random.Generator) -> Array:
    """A reading of a vehicle that shows ``predicted``: with the errors of instruments and model, by their own law."""
    v = law.vector
    shares = np.exp(v.log_weight - v.log_weight.max())
    scale = rng.choice(len(shares), p=shares / shares.sum())
    return np.asarray(predicted + np.linalg.solve(v.inverse[scale], rng.standard_normal(len(predicted))))


def _entropy(p: Array) -> Array:
    """Bits, over the first axis."""
    return np.asarray(-(p * np.log2(np.maximum(p, 1e-300))).sum(axis=0))


def _evidence(seen: Simulated, begins: float, legs: Sequence[DriveLeg]) -> Observed:
    """What would be read from a time [s] on, its values 0: they are drawn."""
    end = begins + 60.0 * _minutes(legs)
    times = np.arange(begins + EVERY, end + 0.5 * EVERY, EVERY)
    groups = [curve_group(times, np.zeros(len(times)))]
    ends = begins + np.cumsum([leg.seconds for leg in legs])
    for leg, last in zip(legs, ends.tolist(), strict=True):
        at = last - READ_LAST
        noise = INSTRUMENTS[("clamp", "")].uncertainty
        groups += [ReadingGroup(f"{place}@{at:g}", place, PLACES[place], (at,), (0.0,), noise) for place in leg.reads]
    start = float(np.median(seen.start))
    return Observed(tuple(groups), (), (), wandering(start, MEASURED_WANDERS, end))


def _heard(seen: Simulated, legs: Sequence[DriveLeg]) -> Array:
    """Probability in each vehicle that the fan is heard, a row where it is listened for."""
    if not any(leg.listens for leg in legs):
        return np.zeros((0, seen.members))
    return np.asarray(FACTS["fan_runs_when_hot"](seen))[None]
