"""A vehicle's own history as what is expected of it next: a healthy record fitted, and what its fit says.

A record that was not healthy must never hide a fault. It counts only where a person confirmed that nothing was at fault
(or that the repair cured it), and where the odds of the record itself, by its class alone, say healthy too; and only
where no unknown had to be moved far from what is usual, for that is how a fault would look like a trait of the vehicle.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from enum import StrEnum

import numpy as np

from engcalc.case.case import Case
from engcalc.causes.catalogue.healthy import HEALTHY
from engcalc.diagnosis.members.simulated import Problem, Runner, simulate
from engcalc.diagnosis.odds.diagnosis import Diagnosis, diagnose
from engcalc.diagnosis.odds.sampler import Draws, Effort
from engcalc.logs.record import LogRecord
from engcalc.units import Array
from engcalc.vehicle.own_prior import OwnPrior, Place
from engcalc.vehicle.run import BEFORE
from engcalc.words.texts import diagnosis_texts

HEALTHY_FROM = 0.8  # probability of healthy from which a record counts as one; common practice, no source
FARTHEST = 2.0  # standard deviations of the class that an unknown of it may be moved by, at most; as above
DRAWS_EACH = 4.0  # effective draws for each unknown, from which their covariance is known well enough to draw from


class NoPrior(StrEnum):
    """Why a record that a person confirmed as healthy is not what is expected of the next one."""

    NOT_HEALTHY = diagnosis_texts.ODDS_OF_THE_RECORD_DO_NOT_SAY_HEALTHY
    FAR_OFF = diagnosis_texts.RECORD_FITS_A_HEALTHY_VEHICLE_ONLY
    TOO_FEW = diagnosis_texts.TOO_FEW_DRAWS_CARRY_THE_FIT_OF_THE_RECORD


def prior_of_record(
    case: Case,
    logs: Mapping[str, LogRecord],
    changed: float,
    *,
    seed: int = 1,
    effort: Effort | None = None,
    cancelled: Callable[[], bool] | None = None,
    progress: Callable[[float, str], None] | None = None,
    runner: Runner = simulate,
) -> tuple[OwnPrior | NoPrior, float]:
    """Fit the record ``before`` of a case as a healthy one; the prior, or why there is none, and its odds of healthy.

    ``case`` is the vehicle as it is described now, with the earlier record as its only evidence and no complaint;
    ``changed`` as of :class:`OwnPrior`. Raises Cancelled, and InputError when the case has no such record.
    """
    found = diagnose(
        case, logs, record=BEFORE, seed=seed, effort=effort, cancelled=cancelled, progress=progress, runner=runner
    )
    return prior_from(found, changed), found.probability(HEALTHY.key)


def prior_from(found: Diagnosis, changed: float) -> OwnPrior | NoPrior:
    """The prior that a diagnosis of a confirmed record leaves, or why there is none."""
    if found.probability(HEALTHY.key) < HEALTHY_FROM or not found.enough:
        return NoPrior.NOT_HEALTHY
    assert found.kept is not None  # a diagnosis that ran to its end has its draws
    problem = found.kept.problem
    own = [u for u in problem.unknowns if not u.of_record]
    by_side = {side: _place(draws, len(own)) for side, draws in _healthy_by_side(problem, found.kept.draws).items()}
    likely = {side: place for side, place in by_side.items() if place is not None}
    if not likely:
        return NoPrior.TOO_FEW
    if any(float(np.abs(place.mean).max(initial=0.0)) > FARTHEST for place in likely.values()):
        return NoPrior.FAR_OFF
    return OwnPrior(tuple(u.key for u in own), tuple(u.spread for u in own), likely, changed)


_Weighted = list[tuple[Array, Array]]  # draws of one layout: z (n, unknowns), weights (n,) with the layout's share


def _healthy_by_side(problem: Problem, draws: Sequence[Draws]) -> dict[str, _Weighted]:
    """The healthy draws for each side of the valve, over all ways in which it may have run."""
    found: dict[str, _Weighted] = {}
    healthy = [d for d in draws if d.hypothesis.key == HEALTHY.key]
    evidence = np.array([d.log_evidence() + np.log(problem.shares[d.hypothesis.layout]) for d in healthy])
    for d, share in zip(healthy, np.exp(evidence - evidence.max()).tolist(), strict=True):
        side = problem.layouts[d.hypothesis.layout].thermostat.side
        found.setdefault(side, []).append((d.z, share * d.weights()))
    return found


def _place(draws: _Weighted, size: int) -> Place | None:
    """Mean and covariance of the first ``size`` unknowns; None where too few draws carry them."""
    z = np.concatenate([z[:, :size] for z, _ in draws])
    weight = np.concatenate([w for _, w in draws])
    total = float(weight.sum())
    if total <= 0.0:
        return None
    w = weight / total
    if 1.0 / float((w**2).sum()) < DRAWS_EACH * size:
        return None
    mean = w @ z
    off = z - mean
    return Place(np.asarray(mean), np.asarray(off.T @ (off * w[:, None])))
