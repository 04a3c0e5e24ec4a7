"""The next check: which look or reading settles the most for a minute of work, over the hand checks.

The result of a check is predicted in vehicles drawn from the odds as they are; what it is worth is the mutual
information of cause and result,

    I = sum over causes c and results r of P(c) P(r | c) log2(P(r | c)/P(r))

in bits. Readings are sorted into bins.
"""

from __future__ import annotations

from collections.abc import Container, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from engcalc.diagnosis.checks.hand_checks import CHECKS, Outcome, PredictedReading
from engcalc.diagnosis.checks.run_of_checks import CheckedVehicles
from engcalc.units import Array
from engcalc.vehicle.unknowns import normal_share

BINS = 8


@dataclass(frozen=True)
class CheckValue:
    """What a check is worth: bits over all causes, minutes, and whether it comes first whatever the odds."""

    key: str
    information_bits: float
    minutes: float
    first: bool

    @property
    def rate(self) -> float:
        """Bits for a minute of work."""
        return self.information_bits / self.minutes


def check_values(
    seen: CheckedVehicles, done: Container[str], side: str, first: Sequence[str]
) -> tuple[CheckValue, ...]:
    """Every check that is not done yet: those that come ``first`` whatever the odds, in that order, then by bits for a
    minute.

    ``done`` holds facts and spots that were answered; ``side`` where the valve sits.
    """
    found = []
    for check in CHECKS.values():
        if check.is_done(done) or check.valve_side not in ("", side):
            continue
        bits = information(check.outcome(seen), seen.cause, seen.weight)
        found.append(CheckValue(check.key, bits, check.minutes, check.key in first))
    return tuple(sorted(found, key=lambda v: (first.index(v.key) if v.first else len(first), -v.rate)))


def information(outcome: Outcome, cause: NDArray[np.int64], weight: Array) -> float:
    """Mutual information [bits] of cause and result, less what so few vehicles show by chance; never below 0.

    ``weight`` sums to 1.
    """
    joint = _results(outcome, weight)
    return max(_plugged_in(joint, cause, weight) - _by_chance(joint, cause, weight), 0.0)


def _results(outcome: Outcome, weight: Array) -> Array:
    """Probability of every result of a check in each member, (members, results)."""
    joint = np.ones((len(weight), 1))
    for part in outcome:
        bins = _binned(part, weight) if isinstance(part, PredictedReading) else np.stack((part, 1.0 - part), axis=1)
        joint = (joint[:, :, None] * bins[:, None, :]).reshape(len(weight), -1)
    return joint


def _plugged_in(joint: Array, cause: NDArray[np.int64], weight: Array) -> float:
    """The information where the vehicles that were drawn are taken for all there are."""
    numbers = np.unique(cause)
    of_cause = np.array([(weight[cause == c, None] * joint[cause == c]).sum(axis=0) for c in numbers])  # P(c, r)
    p_cause = of_cause.sum(axis=1, keepdims=True)
    p_result = of_cause.sum(axis=0, keepdims=True)
    some = of_cause > 1e-15
    terms = of_cause[some] * np.log2(of_cause[some] / (p_cause * p_result)[some])
    return float(terms.sum())


def _by_chance(joint: Array, cause: NDArray[np.int64], weight: Array) -> float:
    """By how much the drawn vehicles alone raise it [bits], to the second order of the error of P(r | c):

    1/(2 ln 2) sum over r of [sum over c of P(c) var(r | c) - sum over c of P(c)^2 var(r | c)]/P(r),

    var(r | c) the variance of the mean of P(r) over the vehicles of c (Miller 1955; Panzeri & Treves, Network 7 (1996)
    87, from memory, for vehicles that each have one result; here a result is a probability in each).
    """
    p_result = weight @ joint
    raised = np.zeros(joint.shape[1])
    for c in np.unique(cause):
        own = joint[cause == c]
        w = weight[cause == c]
        p = w.sum()
        share = w / w.sum()
        alike = float((share**2).sum())  # one over the effective number of vehicles
        if alike < 1.0:
            off = (own - share @ own) ** 2
            raised += p * (1.0 - p) * (share**2 @ off) / (1.0 - alike)
    some = p_result > 1e-12
    return float((raised[some] / p_result[some]).sum() / (2.0 * np.log(2.0)))


def _binned(part: PredictedReading, weight: Array) -> Array:
    """Probability of each bin in each member; the bins hold equal shares of all members."""
    order = np.argsort(part.value)
    share = np.cumsum(weight[order])
    edges = np.interp(np.arange(1, BINS) / BINS, share, part.value[order])
    below = normal_share((edges[None] - part.value[:, None]) / part.noise)
    column = (len(weight), 1)
    full = np.concatenate((np.zeros(column), below, np.ones(column)), axis=1)
    return np.asarray(np.clip(np.diff(full, axis=1), 0.0, 1.0))
