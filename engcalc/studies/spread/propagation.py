"""Propagation of laws through any model (JCGM 101:2008): as many scrambled Sobol points as the wanted digits ask for.

Independent sets of points are run; how their answers differ is the error of the whole. Sets grow twofold until every
error is below what is wanted, or the most points that are allowed are reached; the errors are stated either way.

Shares of variance of each input are those of I. M. Sobol: of first order by Saltelli et al., Comput. Phys. Commun. 181
(2010) 259, of all orders by M. J. W. Jansen, ibid. 117 (1999) 35.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from engcalc.studies.spread.sobol import scrambled_sobol
from engcalc.units import Array

SETS = 8  # independent sets, whose differences tell the error
FIRST = 64  # points of a set to begin with: 512 in all
MOST = 2048  # points of a set at most: 16,384 in all
SHARE_SETS = 4  # for the shares of variance
SHARE_POINTS = 512  # of each of these sets
SHARE_POINTS_IN_TIME = 128  # the same of a model that takes long: the errors are about twice as large, and stated

Model = Callable[[Array], Array]
"""Answers, shape (quantities, points), to uniform numbers, shape (inputs, points)."""
Statistics = Callable[[Array], Array]
"""Numbers, shape (statistics,), of the answers of some points, shape (quantities, points)."""


@dataclass(frozen=True, eq=False)
class Propagated:
    """Answers of all points, shape (quantities, points), and statistics of them with their standard errors."""

    answers: Array
    statistics: Array
    errors: Array
    settled: bool

    @property
    def points(self) -> int:
        """Points in all."""
        return int(self.answers.shape[-1])


def propagate(
    model: Model,
    inputs: int,
    statistics: Statistics,
    settled: Callable[[Array, Array], bool],
    *,
    seed: int = 1,
    most: int = MOST,
    step: Callable[[float], None] | None = None,
) -> Propagated:
    """Run a model until ``settled(statistics, errors)`` is true, or ``most`` points of each set have been run.

    ``step`` is told the share of the most points that has been run, and may raise to stop.
    """
    answers = [np.zeros((0, 0))] * SETS
    done = 0
    count = FIRST
    while True:
        added = np.concatenate(
            [scrambled_sobol(inputs, count - done, seed * SETS + k, done) for k in range(SETS)], axis=1
        )
        new = np.split(model(added), SETS, axis=-1)
        answers = [
            fresh if not done else np.concatenate([a, fresh], axis=-1) for a, fresh in zip(answers, new, strict=True)
        ]
        done = count
        each = np.stack([statistics(a) for a in answers])
        errors = each.std(axis=0, ddof=1) / np.sqrt(SETS)
        every = np.concatenate(answers, axis=-1)
        found = statistics(every)
        if step is not None:
            step(done / most)
        enough = settled(found, errors)
        if enough or done >= most:
            return Propagated(every, found, errors, enough)
        count = 2 * done


@dataclass(frozen=True, eq=False)
class Shares:
    """Shares of one quantity's variance by group of inputs [-]: alone, and with all it does together with others.

    The errors are standard errors.
    """

    first: Array
    first_error: Array
    total: Array
    total_error: Array


def variance_shares(
    model: Model,
    inputs: int,
    groups: Sequence[Sequence[int]],
    *,
    seed: int = 1,
    points: int = SHARE_POINTS,
    step: Callable[[float], None] | None = None,
) -> Shares:
    """Shares of the variance of a model's first quantity, for groups of its uniform numbers.

    ``points`` of each of the sets; ``step`` is told the share that is done, and may raise to stop.
    """
    first = []
    total = []
    for k in range(SHARE_SETS):
        both = scrambled_sobol(2 * inputs, points, (seed + 1) * 1000 + k)
        one = both[:inputs]
        other = both[inputs:]
        runs = [one, other]
        for group in groups:
            mixed = one.copy()
            mixed[list(group)] = other[list(group)]
            runs.append(mixed)
        y = model(np.concatenate(runs, axis=1))[0].reshape(len(runs), points)
        if step is not None:
            step((k + 1) / SHARE_SETS)
        y = y - y[:2].mean()
        variance = max(float(y[:2].var()), 1e-300)
        by_one = y[0]
        by_other = y[1]
        mixed = y[2:]
        first.append((by_other * (mixed - by_one)).mean(axis=1) / variance)
        total.append(((by_one - mixed) ** 2).mean(axis=1) / (2.0 * variance))
    return Shares(*_mean_and_error(first), *_mean_and_error(total))


def _mean_and_error(sets: Sequence[Array]) -> tuple[Array, Array]:
    """Mean over independent sets, and the standard error of that mean."""
    return np.mean(sets, axis=0), np.std(sets, axis=0, ddof=1) / np.sqrt(len(sets))
