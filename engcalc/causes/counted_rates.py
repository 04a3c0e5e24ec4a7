"""Base rates of a workshop's own: those shipped, moved by what its jobs turned out to be.

The shares of the causes are unknown; the shipped rates say what is expected of them, with the weight of a number of
jobs. That is a Dirichlet prior, and each confirmed job adds one to its cause (A. Gelman et al., Bayesian Data Analysis,
3rd ed., section 3.4): expected share = (weight of the prior x its share + count) / (weight of the prior + all counts).
By the reason for the visit; of one class of vehicle where that has enough jobs of its own, with the rates of all
classes as what is expected.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from engcalc.causes.base_rates import PER_CENT, known_reason
from engcalc.causes.catalogue import CAUSES

SHIPPED_WEIGHT = (
    40.0  # jobs; at as many confirmed ones, shipped and own rates weigh the same; common practice, no source
)
OUTSIDE_WEIGHT = 0.3  # of an outcome of another workshop beside one of one's own; common practice, no source
CLASS_ENOUGH = (
    30.0  # jobs of one class and reason from which the class has rates of its own; common practice, no source
)


@dataclass(frozen=True)
class CountedJob:
    """One confirmed job: the reason for the visit, the class of vehicle, the cause. One of another workshop is
    ``outside``, and may have a ``weight`` of less than 1."""

    reason: str
    vehicle_class: str
    cause: str
    weight: float = 1.0
    outside: bool = False


@dataclass(frozen=True)
class CountedRates:
    """Rates of every cause for one reason, summing to 1.

    ``vehicle_class`` is empty where all classes count together. ``jobs`` is the weighted number of jobs counted,
    ``of_class`` that of this class, ``outside`` that of other workshops. ``weight`` is the share of the rates that
    rests on all of them and not on the shipped rates, 0 to 1. ``counts`` holds the weighted number of each cause met.
    """

    reason: str
    vehicle_class: str
    rates: Mapping[str, float]
    counts: Mapping[str, float]
    jobs: float
    of_class: float
    outside: float
    weight: float

    @property
    def per_cent(self) -> dict[str, float]:
        """The rates as weights [per cent]."""
        return {key: 100.0 * rate for key, rate in self.rates.items()}


def shipped_rates(reason: str | None) -> dict[str, float]:
    """The shipped rates of every cause for a reason, scaled to sum to 1."""
    weights = PER_CENT[known_reason(reason)]
    total = sum(weights.values())
    return {key: weight / total for key, weight in weights.items()}


def counted_rates(jobs: Iterable[CountedJob], reason: str | None, vehicle_class: str = "") -> CountedRates:
    """The rates for a reason and class of vehicle, from the jobs counted. Jobs for another reason do not count."""
    known = known_reason(reason)
    every = [job for job in jobs if known_reason(job.reason) == known and job.cause in CAUSES]
    of_class = [job for job in every if vehicle_class and job.vehicle_class == vehicle_class]
    if _total(of_class) < CLASS_ENOUGH:
        of_class = []
        vehicle_class = ""
    others = [job for job in every if not vehicle_class or job.vehicle_class != vehicle_class]
    expected = _updated(shipped_rates(known), others)
    return CountedRates(
        reason=known,
        vehicle_class=vehicle_class,
        rates=_updated(expected, of_class),
        counts=_counts(every),
        jobs=_total(every),
        of_class=_total(of_class),
        outside=_total([job for job in every if job.outside]),
        weight=1.0 - _left_to_expected(others) * _left_to_expected(of_class),
    )


def _updated(expected: Mapping[str, float], jobs: Sequence[CountedJob]) -> dict[str, float]:
    """Means of the Dirichlet distribution after the jobs."""
    counts = _counts(jobs)
    total = SHIPPED_WEIGHT + _total(jobs)
    return {key: (SHIPPED_WEIGHT * rate + counts.get(key, 0.0)) / total for key, rate in expected.items()}


def _left_to_expected(jobs: Sequence[CountedJob]) -> float:
    """The share of the updated rates that still rests on what was expected."""
    return SHIPPED_WEIGHT / (SHIPPED_WEIGHT + _total(jobs))


def _total(jobs: Sequence[CountedJob]) -> float:
    return sum(job.weight for job in jobs)


def _counts(jobs: Sequence[CountedJob]) -> dict[str, float]:
    found: dict[str, float] = {}
    for job in jobs:
        found[job.cause] = found.get(job.cause, 0.0) + job.weight
    return found
