"""The test drive that settles the most: legs that are driven or idled through, and looks beside them.

What a leg would show is predicted in vehicles drawn from the odds: the sensor's curve over it, hoses and the vent that
are read at its end, whether the fan is heard; what a look would show likewise. What that is worth is found by
:mod:`engcalc.diagnosis.drive.expected_readings`. All courses and their ends are tried, then looks are added as long as
they are worth their minutes. What was read before counts by the odds; that its errors go on through the next leg is
left out, which tells a leg rather too low.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from engcalc.case.conditions import Conditions, conditions_of
from engcalc.case.records import heater_settings
from engcalc.causes.base_rates import known_reason
from engcalc.components.coolant_heater import share_run
from engcalc.diagnosis.checks.hand_checks import CHECKS, noted_in
from engcalc.diagnosis.checks.part_checks import parts_of
from engcalc.diagnosis.drive.drive_legs import (
    DriveLeg,
    courses,
    cuts,
    from_cold,
    gone_on,
    heated,
    minutes_of,
    read_lately,
)
from engcalc.diagnosis.drive.expected_readings import ExpectedReadings, HealthyTold, ReadingsWorth
from engcalc.diagnosis.enough import STILL_OPEN
from engcalc.diagnosis.hottest import NEAR_LIMIT
from engcalc.diagnosis.members.simulated import Batch, Problem, Simulated, joined, simulate
from engcalc.diagnosis.odds.as_it_grows import evidence_by_cause
from engcalc.diagnosis.odds.checks_by_odds import checked_vehicles, checks_in_order
from engcalc.diagnosis.odds.drawn_vehicles import drawn_vehicles
from engcalc.diagnosis.odds.sampler import Draws, Stop
from engcalc.units import Array
from engcalc.vehicle.unknowns import HEAT

Driven = Callable[[Sequence[DriveLeg]], Simulated]
"""Drives the vehicles through legs."""

VEHICLES = 120  # drawn from the odds
LEAST_VEHICLES = 5  # of a possible cause
A_MINUTE = 0.01  # share of vehicles that a minute more has to settle; common practice, no source
A_BIT = 0.25  # the same that a bit counts for: it spares some 25 minutes of checks by hand; common practice, no source
LEAST_BITS = 0.05  # a drive that tells less is not worth its fuel; common practice, no source
MOST_TOO_HOT = 0.1  # of the odds that come near the limit in a leg that is driven: then it is not planned
HEATER_SETTINGS = ("high", "off")  # of a drive of which nobody noted any
READ_WITH = "high"  # heater where hoses and vent are read: without flow and air they tell nothing; common practice
MEASURED_HEAT = 0.06  # log; of the heat where air or fuel is read while it runs, beside the engine's own (vehicle.run)
LOOKS_FIRST = ("level_and_bubbles",)
"""Hand checks that come before a cold start, by their keys: they want a cold engine."""
LOOKS_LAST = (
    "radiator_face_and_shutter",
    "belt_and_pump_drive",
    "lower_hose_at_speed",
    "fan_commanded",
    "heater_hoses_followed",
)
"""Those at the end of a drive, standing, or where no drive tells more: whoever has settled it by then is spared them.
They take a few minutes each; a thermostat that is taken out is no part of a drive."""


@dataclass(frozen=True)
class PlannedLeg:
    """One leg of a plan: its key in ``LEGS``, how long [min], and how the heater is set in it ("unknown": as it is)."""

    leg: str
    minutes: float
    heater: str = "unknown"


@dataclass(frozen=True)
class PlannedDrive:
    """A test drive. ``from_cold``: it begins with a cold start, else it goes on from what was read, with the heater set
    as ``heater``. Of ``open_bits`` before it, it tells ``bits``, and it would be ``settled`` in that share of such
    vehicles. ``too_hot`` are legs that were left out, because too many of them would overheat in them. ``looks`` are
    hand checks beside it, by their keys; what is told of bits and settling counts them in. Looks without legs are worth
    their minutes where no drive is. Where neither is, ``next_check`` is the hand check that tells most a minute, empty
    where none tells anything."""

    legs: tuple[PlannedLeg, ...]
    from_cold: bool
    heater: str
    open_bits: float
    bits: float
    settled: float
    too_hot: tuple[str, ...]
    looks: tuple[str, ...] = ()
    next_check: str = ""

    @property
    def minutes(self) -> float:
        """How long the engine runs in it."""
        return sum(leg.minutes for leg in self.legs)

    @property
    def looks_first(self) -> tuple[str, ...]:
        """The looks before the start."""
        return tuple(key for key in self.looks if key in LOOKS_FIRST)

    @property
    def looks_last(self) -> tuple[str, ...]:
        """The looks at its end."""
        return tuple(key for key in self.looks if key in LOOKS_LAST)


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
    setting = heater_settings(problem.run.record)[-1][1]
    if not cold:
        return planner.plan(setting, ("unknown", READ_WITH), planner.on)
    moving = HEATER_SETTINGS if setting == "unknown" else (setting,)
    plans = [planner.plan(word, (word, READ_WITH), planner.cold) for word in moving]
    return max(plans, key=lambda plan: _merit(plan.settled, plan.bits, plan.minutes + minutes_of_looks(plan.looks)))


def minutes_of_looks(looks: Sequence[str]) -> float:
    """How long hand checks take together."""
    return sum(CHECKS[key].minutes for key in looks)


def _merit(settled: float, bits: float, minutes: float) -> float:
    """What a drive is worth: a minute more has to settle as much as ``A_MINUTE`` more, or to tell its worth in bits."""
    return settled + A_BIT * bits - A_MINUTE * minutes


@dataclass(frozen=True, eq=False)
class _Candidate:
    """One course as far as it is driven: the log likelihoods of what it shows, those of each look, and of which
    vehicles the conclusion could say by its end that they are healthy."""

    legs: tuple[DriveLeg, ...]
    shows: Array
    of_looks: dict[str, Array]
    healthy: NDArray[np.bool_]

    def with_looks(self, readings: ExpectedReadings, looks: Sequence[str]) -> _Worth:
        """What it is worth with these looks beside it."""
        shows = self.shows + sum(self.of_looks[key] for key in looks)
        found = readings.worth(shows, self.healthy)
        merit = _merit(found.settled, found.bits, minutes_of(self.legs) + minutes_of_looks(looks))
        return _Worth(self, tuple(looks), found, merit)


@dataclass(frozen=True, eq=False)
class _Worth:
    """A candidate with looks beside it, and what they are worth together."""

    candidate: _Candidate
    looks: tuple[str, ...]
    found: ReadingsWorth
    merit: float


class _Planner:
    def __init__(self, problem: Problem, draws: Sequence[Draws], limit: float, seed: int, cancelled: Stop) -> None:
        self.problem = problem
        self.limit = limit
        self.cancelled = cancelled
        self.case = problem.layouts[0]
        self.weather = _weather(problem)
        rng = np.random.default_rng([seed, 8])
        score = np.array([d.log_rate + d.log_evidence() for d in draws])
        p = np.exp(score - score.max())
        self.drawn = drawn_vehicles(draws, p / p.sum(), VEHICLES, LEAST_VEHICLES, len(problem.unknowns), rng)
        keys = list(dict.fromkeys(d.hypothesis.key for d in draws))
        self.readings = ExpectedReadings(self.drawn, keys, rng, evidence_by_cause(problem, draws))

    def plan(self, heater: str, settings: tuple[str, str], driven: Driven) -> PlannedDrive:
        """The best of all courses and their ends, with looks beside it. ``heater`` is how it is set before them, the
        ``settings`` how while they go on and where hoses are read."""
        cold = driven != self.on
        too_hot: set[str] = set()
        read_already = frozenset[str]() if cold else read_lately(self.problem.run)
        looks = self._looks_left((*LOOKS_FIRST, *LOOKS_LAST) if cold else LOOKS_LAST)
        candidates: list[_Candidate] = []
        for unheated in courses(self.case, read_already):
            course = heated(unheated, *settings)
            seen = driven(course)
            if hot := self._overheats(seen, course):
                too_hot.add(hot)
            else:
                candidates += self._candidates(seen, course, looks)
        best = self._best(candidates, looks)
        entropy = self.readings.entropy
        if not cold and (looked := self._best([self._standing(looks)], looks)) is not None and looked.looks:
            best = looked if best is None else max(best, looked, key=lambda worth: worth.merit)
        if best is None or best.found.bits < LEAST_BITS:
            left_out = tuple(sorted(too_hot))
            return PlannedDrive((), cold, heater, entropy, 0.0, 0.0, left_out, next_check=self._next_check())
        legs = tuple(PlannedLeg(leg.key, leg.minutes, leg.heater) for leg in best.candidate.legs)
        left_out = tuple(sorted(too_hot - {leg.leg for leg in legs}))  # a longer climb alone is not worth a word
        return PlannedDrive(legs, cold, heater, entropy, best.found.bits, best.found.settled, left_out, best.looks)

    def _next_check(self) -> str:
        """The hand check that comes next by these vehicles; where none tells causes apart, the check of a part that
        finds the most. Empty where there is none."""
        seen = checked_vehicles(self.problem, self.drawn, self.on(()), self.cancelled)
        values = checks_in_order(seen, self.problem, self.case, known_reason(self.case.job.reason))
        told = [value.key for value in values if value.first or value.information_bits >= LEAST_BITS]
        return told[0] if told else self._part_looked_at()

    def _part_looked_at(self) -> str:
        """The check of a part that finds the most of the odds a minute; empty where there is none."""
        numbers = self.readings.numbers.tolist()
        odds = self.readings.odds.tolist()
        still = {self.readings.keys[c]: p for c, p in zip(numbers, odds, strict=True) if p >= STILL_OPEN}
        noted = noted_in(self.problem.run.record)
        left = [check for check in parts_of(still) if noted.isdisjoint(check.answers)]
        finds = {check.key: sum(still.get(cause, 0.0) for cause in check.part_of) / check.minutes for check in left}
        return max(finds, key=finds.__getitem__, default="")

    def _looks_left(self, looks: Sequence[str]) -> tuple[str, ...]:
        noted = noted_in(self.problem.run.record)
        return tuple(key for key in looks if not CHECKS[key].is_done(noted))

    def _candidates(self, seen: Simulated, course: Sequence[DriveLeg], looks: Sequence[str]) -> Iterator[_Candidate]:
        begins = max(float(seen.time[-1]) - 60.0 * minutes_of(course), 0.0)
        told = HealthyTold.of(self.case, seen)
        of_looks = {key: self.readings.of_look(seen, CHECKS[key].answers) for key in looks}
        for legs in cuts(course):
            shows = self.readings.of_legs(seen, course, legs)
            yield _Candidate(legs, shows, of_looks, told.by(begins + 60.0 * minutes_of(legs)))

    def _standing(self, looks: Sequence[str]) -> _Candidate:
        """Nothing driven on: what looks tell by themselves."""
        seen = self.on(())
        of_looks = {key: self.readings.of_look(seen, CHECKS[key].answers) for key in looks}
        nothing = np.zeros((seen.members, len(self.readings.of)))
        return _Candidate((), nothing, of_looks, HealthyTold.of(self.case, seen).by(float(seen.time[-1])))

    def _best(self, candidates: Sequence[_Candidate], looks: Sequence[str]) -> _Worth | None:
        """The best drive without looks, then look after look as long as one more is worth its minutes.

        A drive that tells next to nothing is none, however short.
        """
        alone = [candidate.with_looks(self.readings, ()) for candidate in candidates]
        worths = [worth for worth in alone if worth.found.bits >= LEAST_BITS or not worth.candidate.legs]
        best = max(worths, key=lambda worth: worth.merit, default=None)
        while best is not None:
            left = [key for key in looks if key not in best.looks]
            more = [c.with_looks(self.readings, (*best.looks, key)) for key in left for c in candidates]
            better = max(more, key=lambda worth: worth.merit, default=best)
            if better.merit <= best.merit:
                return best
            best = better
        return None

    def on(self, legs: Sequence[DriveLeg]) -> Simulated:
        """The vehicles driven on from the end of their record; no legs leave them there."""
        if not legs:
            return joined(simulate(self.problem, self.drawn.batch, self.cancelled))
        pairs = zip(self.problem.runs, self.problem.layouts, strict=True)
        runs = tuple(gone_on(run, case, self.weather, legs) for run, case in pairs)
        return joined(simulate(replace(self.problem, runs=runs), self.drawn.batch, self.cancelled))

    def cold(self, legs: Sequence[DriveLeg]) -> Simulated:
        """The same from a cold start."""
        drive = from_cold(self.case, self.weather, legs)
        return joined(simulate(self.problem, _heat_measured(self.problem, self.drawn.batch), self.cancelled, drive))

    def _overheats(self, seen: Simulated, course: Sequence[DriveLeg]) -> str:
        """The first leg that is driven in which too much of the odds comes near the limit; empty where none does."""
        at = float(seen.time[-1]) - 60.0 * minutes_of(course)
        for leg in course:
            within = (seen.time > at) & (seen.time <= at + leg.seconds)
            hot = seen.coolant[within].max(axis=0) >= self.limit - NEAR_LIMIT
            if not leg.stands and float(self.drawn.weight[hot].sum()) > MOST_TOO_HOT:
                return leg.key
            at += leg.seconds
        return ""


def _weather(problem: Problem) -> Conditions:
    """What a leg is driven in: the weather of the record, a heater in the coolant as it ran then."""
    case = problem.layouts[0]
    run = problem.run
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
