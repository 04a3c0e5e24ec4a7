"""Odds of a record that still grows: members that were drawn for what was read so far, run on and weighed anew.

Each time the record has grown, the same members run through the longer record, and their weights follow the longer
evidence (iterated importance sampling: Chopin, Biometrika 89 (2002) 539). Where too few of them still count there are
fresh draws about those that do, and where that is no longer enough a whole new set. The answer is within its stated
error of that of :func:`engcalc.diagnosis.odds.diagnosis.diagnose` on the same record.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from engcalc.case.case import Case
from engcalc.diagnosis.evidence.posed import DiagnosisQuestion, posed
from engcalc.diagnosis.members.simulated import Problem, simulate
from engcalc.diagnosis.odds.diagnosis import errors_of
from engcalc.diagnosis.odds.sampler import Draws, Effort, Sampler, Stop
from engcalc.logs.record import LogRecord
from engcalc.units import Array

FIRST_EFFORT = Effort(prior=24, steps=1, first=16, round=400, rounds=3, wanted_likely=300, wanted_possible=90)
"""Draws of a whole new set: some 2,000 members, two seconds of one core for a record of 25 minutes."""
MOST_MEMBERS = 4000  # carried on; beyond that a new set is drawn, so that one renewal stays within seconds


@dataclass(frozen=True)
class GrownCause:
    """One cause with its probability, the sampling error of that, the effective draws that carry it, and the log of
    its evidence."""

    fault: str
    probability: float
    error: float
    effective: float
    log_evidence: float


@dataclass(frozen=True, eq=False)
class GrownOdds:
    """The odds of a record as far as it goes: ``at`` [s] from the engine's start; ``causes`` in falling order, summing
    to 1; ``members`` were run for it, ``anew`` with a new set of draws. They rest on ``problem`` and ``draws``, each of
    which has its ``probabilities``.
    """

    at: float
    causes: tuple[GrownCause, ...]
    members: int
    anew: bool
    problem: Problem
    draws: Sequence[Draws]
    probabilities: Array

    @property
    def best(self) -> GrownCause:
        """The likeliest cause."""
        return self.causes[0]

    def probability(self, fault: str) -> float:
        """Odds of one cause, 0 where the vehicle cannot have it."""
        return next((c.probability for c in self.causes if c.fault == fault), 0.0)


class GrowingOdds:
    """The odds of one record of one vehicle, renewed as the record grows."""

    def __init__(self, record: str, seed: int = 1, effort: Effort = FIRST_EFFORT) -> None:
        self.record = record
        self.seed = seed
        self.effort = effort
        self._problem: Problem | None = None
        self._draws: Sequence[Draws] = ()
        self._renewals = 0

    def renew(self, case: Case, logs: Mapping[str, LogRecord], cancelled: Stop = None) -> GrownOdds:
        """The odds by the record as it is now. Raises InputError as ``diagnose``, and Cancelled."""
        asked = posed(case, logs, self.record)
        self._renewals += 1
        sampler = Sampler(
            asked.problem, asked.evidence, asked.causes, self.seed + self._renewals, self.effort, None, cancelled
        )
        carried = self._carried(asked, cancelled)
        if carried:
            sampler.judge_again(carried)
        else:
            sampler.run()
        self._problem = asked.problem
        self._draws = sampler.draws
        ran = sampler.simulated_members + sum(len(d.z) for d in carried)
        return _grown(asked.problem, sampler, ran, anew=not carried)

    def _carried(self, asked: DiagnosisQuestion, cancelled: Stop) -> list[Draws]:
        """The members of before, run through the record of now; none where they are too many, or were drawn for other
        unknowns or other causes."""
        old = [d for d in self._draws if not d.hypothesis.traceless]
        if self._problem is None or sum(len(d.z) for d in old) > MOST_MEMBERS:
            return []
        wanted = {(h.key, h.layout) for h in asked.causes if not h.traceless}
        there = {(d.hypothesis.key, d.hypothesis.layout) for d in old}
        unknowns = [[(u.key, u.spread) for u in p.unknowns] for p in (self._problem, asked.problem)]
        if wanted != there or unknowns[0] != unknowns[1]:
            return []
        ran = simulate(asked.problem, [(d.hypothesis, d.z) for d in old], cancelled)
        return [replace(d, parts=[s]) for d, s in zip(old, ran, strict=True)]


def evidence_by_cause(problem: Problem, draws: Sequence[Draws]) -> dict[str, float]:
    """The log of each cause's evidence, over the layouts that the vehicle may have."""
    found: dict[str, float] = {}
    for d in draws:
        of_layout = d.log_evidence() + float(np.log(problem.shares[d.hypothesis.layout]))
        key = d.hypothesis.key
        found[key] = float(np.logaddexp(found.get(key, -np.inf), of_layout))
    return found


def _grown(problem: Problem, sampler: Sampler, members: int, *, anew: bool) -> GrownOdds:
    draws = sampler.draws
    p = sampler.probabilities(draws)
    errors = errors_of(draws, p)
    odds: dict[str, float] = dict.fromkeys(errors, 0.0)
    effective: dict[str, float] = dict.fromkeys(errors, 0.0)
    evidence = evidence_by_cause(problem, draws)
    for share, d in zip(p.tolist(), draws, strict=True):
        key = d.hypothesis.key
        odds[key] += share
        effective[key] += d.effective()
    causes = [GrownCause(key, odds[key], errors[key], effective[key], evidence[key]) for key in odds]
    causes.sort(key=lambda c: -c.probability)
    end = float(np.max(problem.run.curve[0], initial=0.0))
    return GrownOdds(end, tuple(causes), members, anew, problem, draws, p)
