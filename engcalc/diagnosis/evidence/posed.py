"""A record made ready to be judged: how it ran, what was read of it, which causes there may be."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from engcalc.case.case import Case
from engcalc.case.cause_rates import own_rates
from engcalc.causes.base_rates import BaseRates, OtherRates, base_rates, known_reason
from engcalc.causes.catalogue import CAUSES
from engcalc.diagnosis.evidence.complaint import ComplaintEvidence, told_by
from engcalc.diagnosis.evidence.observations import Observed, observed
from engcalc.diagnosis.members.faulty_vehicle import applicable
from engcalc.diagnosis.members.simulated import Hypothesis, Problem, problem_of
from engcalc.errors import InputError, InputFault
from engcalc.logs.record import LogRecord
from engcalc.vehicle.own_prior import OwnPrior
from engcalc.vehicle.run import AFTER, records, runs_of
from engcalc.words.texts import diagnosis_texts


@dataclass(frozen=True, eq=False)
class DiagnosisQuestion:
    """What is asked of one record; ``causes`` gives how often each single cause is met, in each layout."""

    problem: Problem
    evidence: Observed
    rates: BaseRates
    causes: Mapping[Hypothesis, float]


def posed(
    case: Case,
    logs: Mapping[str, LogRecord],
    record: str,
    rates: Mapping[str, float] | None = None,
    instead: OtherRates | None = None,
    own: OwnPrior | None = None,
) -> DiagnosisQuestion:
    """Make one record ready. ``rates``, ``instead`` and ``own`` as of
    :func:`engcalc.diagnosis.odds.diagnosis.diagnose`.

    InputError when the case has no such record.
    """
    if record not in records(case):
        raise InputError(
            (
                InputFault(
                    f"evidence.{record}",
                    "",
                    diagnosis_texts.READINGS_ARE_NEEDED_FOR_A_DIAGNOSIS,
                ),
            )
        )
    runs = runs_of(case, record, logs)
    told = _complaint_told(case, record)
    problem = problem_of(case, *runs, uses=told.uses, own=own)
    evidence = observed(runs[0][0]).and_told(told.sights, told.unused)
    met = _rates(case, problem, {**own_rates(case.base_rates), **(rates or {})}, instead)
    return DiagnosisQuestion(problem, evidence, met, _hypotheses(problem, met))


def _complaint_told(case: Case, record: str) -> ComplaintEvidence:
    """What the customer told when the vehicle came; a repair has answered it."""
    if record == AFTER:
        return ComplaintEvidence((), (), ())
    return told_by(case.job, known_reason(case.job.reason))


def _rates(case: Case, problem: Problem, own: Mapping[str, float], instead: OtherRates | None) -> BaseRates:
    possible = [cause.key for cause in applicable(problem.layouts[0])]
    return base_rates(case.job.reason, possible, own, problem.run.name == AFTER, instead)


def _hypotheses(problem: Problem, rates: BaseRates) -> dict[Hypothesis, float]:
    return {
        Hypothesis((CAUSES[key],), i): rate * share
        for key, rate in rates.rates.items()
        for i, share in enumerate(problem.shares)
        if rate > 0.0
    }
