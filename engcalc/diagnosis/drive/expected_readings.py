"""What readings that nobody has taken yet are worth: drawn from vehicles, and the odds that each would leave.

A reading is drawn from every vehicle in turn, with what instruments and model are wrong by, and the odds by that
reading are worked out over the others. What it is worth is the mean fall of the entropy of the odds,

    I = H(cause) - mean over readings y of H(cause | y)        in bits,

so that the likelihood that will judge the record plans it too. It would be settled in a vehicle where the odds would
be, and where the conclusion could say so by then.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from engcalc.case.case import Case
from engcalc.case.instruments import INSTRUMENTS
from engcalc.causes.catalogue.healthy import HEALTHY
from engcalc.causes.catalogue.not_in_list import NOT_IN_LIST
from engcalc.diagnosis.conclusion import HOT_COMPLAINTS
from engcalc.diagnosis.drive.drive_legs import READ_LAST, DriveLeg, minutes_of
from engcalc.diagnosis.enough import SETTLED, told_as_one
from engcalc.diagnosis.evidence.likelihood import Likelihood
from engcalc.diagnosis.evidence.observations import (
    FACTS,
    FAN_HOT,
    PLACES,
    Observed,
    ReadingGroup,
    curve_group,
)
from engcalc.diagnosis.evidence.sights import SeenItem
from engcalc.diagnosis.members.simulated import EVERY, Hypothesis, Simulated
from engcalc.diagnosis.odds.as_it_grows import GrownCause
from engcalc.diagnosis.odds.drawn_vehicles import DrawnVehicles
from engcalc.units import Array
from engcalc.vehicle.criterion import target
from engcalc.vehicle.discrepancy import MEASURED_WANDERS, added_by_load
from engcalc.vehicle.unknowns import normal_share

READINGS = 96  # drawn from the vehicles
FAN = "fan_runs_when_hot"


@dataclass(frozen=True)
class ReadingsWorth:
    """What readings would tell: bits over the causes, and the share of vehicles in which it would be settled."""

    bits: float
    settled: float


@dataclass(frozen=True, eq=False)
class HealthyTold:
    """From when on [s] the conclusion could call each vehicle healthy, (members,); infinite: not within the run."""

    since: Array

    @classmethod
    def of(cls, case: Case, seen: Simulated) -> HealthyTold:
        """Once it is warm; no warm-up answers a complaint of heat or of coolant that is lost."""
        if case.job.reason in (*HOT_COMPLAINTS, "loss of coolant"):
            return cls(np.full(seen.members, np.inf))
        return cls(_first(seen.time, seen.shown >= target(case)))

    def by(self, at: float) -> NDArray[np.bool_]:
        """Of which vehicles it could tell by a time [s]."""
        return np.asarray(self.since <= at)


def _first(time: Array, there: NDArray[np.bool_]) -> Array:
    """The first time at which something holds, (members,); infinite where it never does."""
    return np.where(there.any(axis=0), time[there.argmax(axis=0)], np.inf)


class ExpectedReadings:
    """Readings drawn from vehicles, and the odds that each of them would leave.

    Log likelihoods are (members, readings): of each reading in each vehicle. Those of independent readings add up.
    """

    def __init__(
        self, drawn: DrawnVehicles, keys: Sequence[str], rng: np.random.Generator, evidence: Mapping[str, float]
    ) -> None:
        """``evidence`` holds by cause the log evidence of what was read so far: what that tells apart stays apart."""
        self.cause = drawn.cause
        self.weight = drawn.weight
        self.keys = keys
        self.evidence = evidence
        self.numbers = np.unique(drawn.cause)
        self.kinds = [_kind(h) for h, z in drawn.batch for _ in range(len(z))]
        self.odds = np.array([self.weight[self.cause == c].sum() for c in self.numbers])
        self.entropy = max(float(_entropy(self.odds[:, None])[0]), 0.0)
        # each leg is judged by the same vehicles and the same chances, so that chance does not choose between them
        even = (rng.random() + np.arange(READINGS)) / READINGS
        self.of = np.minimum(np.searchsorted(np.cumsum(self.weight), even), len(self.weight) - 1)
        self.seed = int(rng.integers(2**31))

    def worth(self, log_likelihood: Array, healthy: NDArray[np.bool_]) -> ReadingsWorth:
        """What such readings would tell; ``healthy`` (members,): whether the conclusion could call it so by then."""
        left = self._by_cause(log_likelihood)
        bits = self.entropy - float(_entropy(left).mean())
        settled = [self._settles(p, bool(healthy[i])) for p, i in zip(left.T, self.of.tolist(), strict=True)]
        return ReadingsWorth(max(bits, 0.0), float(np.mean(settled)))

    def of_legs(self, seen: Simulated, course: Sequence[DriveLeg], legs: Sequence[DriveLeg]) -> Array:
        """Log likelihoods of what the first ``legs`` of a course would show, with which the simulated run ends."""
        rng = np.random.default_rng(self.seed)
        begins = max(float(seen.time[-1]) - 60.0 * minutes_of(course), 0.0)
        found = self._of_numbers(_evidence(seen, begins, legs), seen, rng)
        ends = begins + np.cumsum([leg.seconds for leg in legs])
        for leg, end in zip(legs, ends.tolist(), strict=True):
            if leg.listens:
                found += self._of_fan(seen, end - leg.seconds, end)
        return found

    def of_look(self, seen: Simulated, facts: Sequence[str]) -> Array:
        """The same of facts that a look answers."""
        return np.asarray(np.sum([self._of_fact(seen, fact) for fact in facts], axis=0))

    def _of_numbers(self, evidence: Observed, seen: Simulated, rng: np.random.Generator) -> Array:
        laws = {kind: Likelihood(evidence, *kind) for kind in dict.fromkeys(self.kinds)}
        any_law = next(iter(laws.values()))
        predicted = any_law.predicted(seen)
        by_pace = any_law.by_pace(seen)
        pace = rng.standard_normal(len(self.of))
        shown = predicted[:, self.of] + by_pace[:, self.of] * pace
        read = np.stack([_read(laws[self.kinds[j]], shown[:, i], rng) for i, j in enumerate(self.of)], axis=1)
        found = np.empty((len(self.weight), len(self.of)))
        for kind, law in laws.items():
            own = np.flatnonzero([k == kind for k in self.kinds])
            apart = predicted[:, own, None] - read[:, None, :]
            paces = np.repeat(by_pace[:, own], len(self.of), axis=1)
            apart = apart.reshape(len(read), -1)
            # what valve and fan hold is left out here: a hot reading tells somewhat more than is counted
            found[own] = law.of_readings(apart, paces, np.zeros(apart.shape)).reshape(len(own), -1)
        return found

    def _of_fan(self, seen: Simulated, begins: float, ends: float) -> Array:
        """Of a fan that is listened for. Where it does not get hot enough for one to run, nothing is noted."""
        within = (seen.time > begins) & (seen.time <= ends)
        hot = normal_share((seen.coolant[within].max(axis=0) - seen.fan_wanted) / FAN_HOT)
        noted = self._chances(FAN, "hot") < hot[self.of]
        return np.where(noted[None], self._of_fact(seen, FAN), 0.0)

    def _of_fact(self, seen: Simulated, fact: str) -> Array:
        """Of a look at one fact, with how a look errs."""
        yes, no = (self._log_probability(seen, fact, answer) for answer in (True, False))
        answered = self._chances(fact) < np.exp(yes[self.of])
        return np.where(answered[None], yes[:, None], no[:, None])

    def _log_probability(self, seen: Simulated, fact: str, answer: bool) -> Array:
        item = SeenItem(fact, fact, answer, FACTS[fact])
        vague = np.array([broad > 0.0 and not erratic for broad, erratic in self.kinds])
        return np.where(vague, item.log_likelihood(seen, True), item.log_likelihood(seen, False))

    def _chances(self, *about: str) -> Array:
        """Even chances, (readings,): the same for the same fact, whatever is driven before."""
        return np.random.default_rng([self.seed, *"/".join(about).encode()]).random(len(self.of))

    def _by_cause(self, log_likelihood: Array) -> Array:
        """Odds of each cause by each reading, (causes, readings). A vehicle does not judge its own reading."""
        weight = np.repeat(self.weight[:, None], len(self.of), axis=1)
        weight[self.of, np.arange(len(self.of))] = 0.0
        top = log_likelihood.max(axis=0)
        scores = weight * np.exp(log_likelihood - top)
        counted = np.array([weight[self.cause == c].sum(axis=0) for c in self.numbers])
        given = np.array([scores[self.cause == c].sum(axis=0) for c in self.numbers])
        left = self.odds[:, None] * given / np.maximum(counted, 1e-300) + 1e-12 * self.odds[:, None]
        return np.asarray(left / left.sum(axis=0))

    def _settles(self, p: Array, healthy_is_told: bool) -> bool:
        """Whether odds would be settled, by the rules for those of a record and for the conclusion on it."""
        causes = [
            GrownCause(self.keys[c], share, 0.0, np.inf, self.evidence[self.keys[c]] + float(np.log(share / before)))
            for c, share, before in zip(self.numbers.tolist(), p.tolist(), self.odds.tolist(), strict=True)
        ]
        causes.sort(key=lambda c: -c.probability)
        best = causes[0].fault
        if best == NOT_IN_LIST.key or (best == HEALTHY.key and not healthy_is_told):
            return False
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
    end = begins + 60.0 * minutes_of(legs)
    times = np.arange(begins + EVERY, end + 0.5 * EVERY, EVERY)
    groups = [curve_group(times, np.zeros(len(times)))]
    ends = begins + np.cumsum([leg.seconds for leg in legs])
    for leg, last in zip(legs, ends.tolist(), strict=True):
        at = last - READ_LAST
        for place in leg.reads:
            noise = INSTRUMENTS[instrument_at(place)].uncertainty
            groups.append(ReadingGroup(f"{place}@{at:g}", place, PLACES[place], (at,), (0.0,), noise))
    start = float(np.median(seen.start))
    return Observed(tuple(groups), (), (), added_by_load(start, MEASURED_WANDERS, end))


def instrument_at(place: str) -> tuple[str, str]:
    """What a place is read with at a stop: a clamp on a hose or the outlet neck, a probe in the air of a vent."""
    return ("vent_probe", "") if place == "vent" else ("clamp", "")
