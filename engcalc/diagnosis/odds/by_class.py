"""What the odds would be by the vehicle's class alone, where its own earlier record counts.

The same draws count by the class's law of the unknowns in place of the vehicle's own. That law is wider, so where the
Pareto shape of their weights is no good there are new draws about where the class's law has them.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from engcalc.diagnosis.odds.left_out import place_and_width
from engcalc.diagnosis.odds.pareto import GOOD, pareto_k
from engcalc.diagnosis.odds.sampler import MOST_SHORT, Draws, Sampler
from engcalc.diagnosis.odds.weights import cut, log_mean, tempered
from engcalc.units import Array

WORTH = 0.01  # odds by the class, from which a cause has to be told well
FEW = 60.0  # effective draws of a hypothesis by the class, under which there are more of them
EACH = 150  # draws of one hypothesis in one round
ROUNDS = 4  # at most


def odds_by_class(samplers: Sequence[Sampler]) -> dict[str, float]:
    """Probability of each cause by the class alone, the likeliest first; empty where the draws cannot tell.

    ``samplers`` have run on a problem with the vehicle's own history. Makes draws; raises Cancelled. Of a linear model
    whose odds are known it was off by 3 points in the median and by 12 at most (eighty runs);
    the history had moved them by 38.
    """
    for _ in range(ROUNDS):
        for sampler in samplers:
            few = _untold([sampler], _odds(samplers), WORTH * float(np.exp(-MOST_SHORT)), FEW)
            sampler.draw_about([(d, *place_and_width(log_w, d.z), EACH) for d, log_w in few])
    if _untold(samplers, _odds(samplers), WORTH):
        return {}
    return _odds_by_cause(samplers)


def _odds_by_cause(samplers: Sequence[Sampler]) -> dict[str, float]:
    odds: dict[str, float] = {}
    for d, p in _odds(samplers).items():
        odds[d.hypothesis.key] = odds.get(d.hypothesis.key, 0.0) + p
    return dict(sorted(odds.items(), key=lambda pair: -pair[1]))


def _odds(samplers: Sequence[Sampler]) -> dict[Draws, float]:
    draws = [(s, d) for s in samplers for d in s.draws]
    score = np.array([d.log_rate + log_mean(cut(_log_weights(s, d))) for s, d in draws])
    p = np.exp(score - score.max())
    return {d: share for (_, d), share in zip(draws, (p / p.sum()).tolist(), strict=True)}


def _untold(
    samplers: Sequence[Sampler], odds: Mapping[Draws, float], least: float, few: float = 0.0
) -> list[tuple[Draws, Array]]:
    """Hypotheses with at least such odds of which the draws cannot tell or few count, with their log weights."""
    weights = [(d, _log_weights(s, d)) for s in samplers for d in s.own if odds[d] >= least]
    return [(d, log_w) for d, log_w in weights if pareto_k(log_w) > GOOD or _effective(log_w) < few]


def _effective(log_w: Array) -> float:
    """Effective number of draws: 1/sum of squared weights."""
    return float(1.0 / (tempered(log_w, 0.0) ** 2).sum())


def _log_weights(sampler: Sampler, d: Draws) -> Array:
    """Log importance weights by the class's law: density of z over that of the standard normal u it was made from."""
    carried = sampler.problem.own[d.hypothesis.layout]
    u = d.z[:, : len(sampler.problem.unknowns)]
    z = carried.z(u)
    log_root = float(np.log(np.diag(carried.root)).sum())
    half_u = 0.5 * (u**2).sum(axis=1)
    half_z = 0.5 * (z**2).sum(axis=1)
    return np.asarray(d.uncut() + half_u - half_z + log_root)
