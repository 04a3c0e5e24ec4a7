"""The test drive that settles the most: legs of driving or idling, simulated in vehicles drawn from the odds.

What a leg would show is predicted in each vehicle: the sensor's curve over it, hoses that are read at its end, whether
the fan is heard. A reading is drawn from every vehicle in turn, with what instruments and model are wrong by, and the
odds by that reading are worked out over the others. What the leg is worth is the mean fall of the entropy of the odds,

    I = H(cause) - mean over readings y of H(cause | y)        in bits,

so that the likelihood that will judge the record plans the drive too. The next leg is the one with the most bits for a
minute, then the one after it, until enough would be seen. What was read before counts by the odds; that its errors go
on through the next leg is left out, which tells a leg rather too low.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import partial

import numpy as np

from engcalc.case.conditions import Conditions, conditions_of
from engcalc.case.instruments import INSTRUMENTS
from engcalc.components.coolant_heater import share_run
from engcalc.diagnosis.as_it_grows import GrownCause
from engcalc.diagnosis.drawn_vehicles import DrawnVehicles, drawn_vehicles
from engcalc.diagnosis.drive_legs import READ_LAST, DriveLeg, from_cold, gone_on, offered
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
from engcalc.vehicle.unknowns import HEAT

Driven = Callable[[Sequence[DriveLeg]], Simulated]
"""Drives the vehicles through legs."""

VEHICLES, LEAST_VEHICLES = 120, 5  # drawn from the odds; of a possible cause
READINGS = 120  # drawn from them
MOST_LEGS, LONGEST = 4, 45.0  # -, min; what a person may be asked for; common practice, no source
LIKELY_SETTLED = 0.8  # share of vehicles in which it would be settled, with which a plan is long enough
LEAST_WORTH = 0.003  # bits a minute; a leg of less is not worth its fuel; common practice, no source
HEATER_SETTINGS = ("high", "off")  # of a drive of which nobody noted any
MOST_TOO_HOT = 0.1  # of the odds that come near the limit in a leg that is driven: then it is not planned
MEASURED_HEAT = 0.06  # log; of the heat where air or fuel is read while it runs, beside the engine's own (vehicle.run)


@dataclass(frozen=True)
class PlannedLeg:
    """One leg of a plan: its key in ``LEGS``, how long [min], what it adds [bits], and in which share of such vehicles
    it would be settled after it."""

    leg: str
    minutes: float
    bits: float
    settled: float


@dataclass(frozen=True)
class PlannedDrive:
    """A test drive. ``from_cold``: it begins with a cold start, else it goes on from what was read. ``heater`` is the
    setting throughout. ``open_bits`` are open before it; ``too_hot`` are legs that were left out, because too many of
    such vehicles would overheat in them."""

    legs: tuple[PlannedLeg, ...]
    from_cold: bool
    heater: str
    open_bits: float
    too_hot: tuple[str, ...]

    @property
    def minutes(self) -> float:
        """How long all of it takes."""
        return sum(leg.minutes for leg in self.legs)

    @property
    def settled(self) -> float:
        """In which share of such vehicles it would be settled after it; 0 where there are no legs."""
        return self.legs[-1].settled if self.legs else 0.0


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
    if setting == "unknown":
        setting = max(HEATER_SETTINGS, key=lambda heater: planner.first_rate(partial(planner.cold, heater)))
    return planner.plan(setting, partial(planner.cold, setting))


class _Planner:
    def __init__(self, problem: Problem, draws: Sequence[Draws], limit: float, seed: int, cancelled: Stop) -> None:
        self.problem, self.limit, self.cancelled = problem, limit, cancelled
        self.case, self.weather = problem.layouts[0], _weather(problem)
        rng = np.random.default_rng([seed, 8])
        score = np.array([d.log_rate + d.log_evidence() for d in draws])
        p = np.exp(score - score.max())
        self.drawn = drawn_vehicles(draws, p / p.sum(), VEHICLES, LEAST_VEHICLES, len(problem.unknowns), rng)
        keys = list(dict.fromkeys(d.hypothesis.key for d in draws))
        self.readings = ExpectedReadings(self.drawn, keys, rng)

    def plan(self, heater: str, driven: Driven) -> PlannedDrive:
        """The legs with the most bits for a minute, then those after them."""
        planned: list[PlannedLeg] = []
        made: tuple[DriveLeg, ...] = ()
        too_hot: set[str] = set()
        told = 0.0
        while len(made) < MOST_LEGS:
            worth, hot = self._worth(made, driven)
            too_hot |= hot
            rate = {legs: (found.bits - told) / _minutes(legs) for legs, found in worth.items()}
            best = max(rate, key=lambda legs: rate[legs], default=None)
            if best is None or rate[best] < LEAST_WORTH:
                break
            found = worth[best]
            for leg in best:
                part = leg.minutes / _minutes(best)
                planned.append(PlannedLeg(leg.key, leg.minutes, part * (found.bits - told), found.settled))
            made, told = (*made, *best), found.bits
            if found.settled >= LIKELY_SETTLED:
                break
        cold = driven != self.on
        return PlannedDrive(tuple(planned), cold, heater, self.readings.entropy, tuple(sorted(too_hot)))

    def first_rate(self, driven: Driven) -> float:
        """Bits for a minute of the best that may come first; 0 where nothing may."""
        worth, _ = self._worth((), driven)
        return max((found.bits / _minutes(legs) for legs, found in worth.items()), default=0.0)

    def _worth(self, made: Sequence[DriveLeg], driven: Driven) -> tuple[dict[tuple[DriveLeg, ...], LegWorth], set[str]]:
        """What each choice that may come next would bring the drive to; legs that would overheat too many."""
        worth: dict[tuple[DriveLeg, ...], LegWorth] = {}
        too_hot: set[str] = set()
        for choice in offered(self.case, made):
            legs = [*made, *choice]
            if _minutes(legs) > LONGEST or too_hot & {leg.key for leg in choice}:
                continue
            seen = driven(legs)
            if not choice[0].stands and self._overheats(seen, choice) > MOST_TOO_HOT:
                too_hot.add(choice[0].key)
            else:
                worth[choice] = self.readings.worth(seen, legs)
        return worth, too_hot

    def on(self, legs: Sequence[DriveLeg]) -> Simulated:
        """The vehicles driven on from the end of their record."""
        pairs = zip(self.problem.runs, self.problem.layouts, strict=True)
        runs = tuple(gone_on(run, case, self.weather, legs) for run, case in pairs)
        return joined(simulate(replace(self.problem, runs=runs), self.drawn.batch, self.cancelled))

    def cold(self, heater: str, legs: Sequence[DriveLeg]) -> Simulated:
        """The vehicles driven from a cold start."""
        drive = from_cold(self.case, self.weather, heater, legs)
        batch = _heat_measured(self.problem, self.drawn.batch)
        return joined(simulate(self.problem, batch, self.cancelled, drive))

    def _overheats(self, seen: Simulated, last: Sequence[DriveLeg]) -> float:
        """Share of the odds whose coolant comes near its limit in the last legs, while it is driven."""
        begins = float(seen.time[-1]) - 60.0 * _minutes(last)
        driven = (seen.time > begins) & (seen.time <= begins + last[0].seconds)
        hot = seen.coolant[driven].max(axis=0) >= self.limit - NEAR_LIMIT
        return float(self.drawn.weight[hot].sum())


def _minutes(legs: Sequence[DriveLeg]) -> float:
    return sum(leg.minutes for leg in legs)


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

    def worth(self, seen: Simulated, legs: Sequence[DriveLeg]) -> LegWorth:
        """What legs would tell, with which the simulated run ends."""
        left = self._odds_after(_evidence(seen, legs), _heard(seen, legs), seen)
        bits = self.entropy - float(_entropy(left).mean())
        return LegWorth(max(bits, 0.0), float(np.mean([self._settles(p) for p in left.T])))

    def _odds_after(self, evidence: Observed, heard: Array, seen: Simulated) -> Array:
        """Odds of each cause by each reading, (causes, readings). A vehicle does not judge its own reading."""
        rng = np.random.default_rng(self.seed)
        laws = {kind: Likelihood(evidence, *kind) for kind in dict.fromkeys(self.kinds)}
        predicted = next(iter(laws.values())).predicted(seen)
        read = np.stack([_read(laws[self.kinds[j]], predicted[:, j], rng) for j in self.of], axis=1)
        found = np.empty((len(self.weight), len(self.of)))
        for kind, law in laws.items():
            own = np.flatnonzero([k == kind for k in self.kinds])
            apart = predicted[:, own, None] - read[:, None, :]
            found[own] = law.of_readings(apart.reshape(len(read), -1)).reshape(len(own), -1)
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


def _evidence(seen: Simulated, legs: Sequence[DriveLeg]) -> Observed:
    """What would be read, its values 0: they are drawn."""
    end = float(seen.time[-1])
    begins = max(end - sum(leg.seconds for leg in legs), 0.0)
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
