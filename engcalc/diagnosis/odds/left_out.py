"""Evidence less one piece: how draws count without it, and the draws that this needs.

What a piece weighs is the integral with it against that without it. Draws that were made with all of it seldom reach
where a vehicle would be without its strongest piece: where the Pareto shape of their weights tells that, the integral
is taken again with draws made for it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from engcalc.diagnosis.evidence.likelihood import Likelihood
from engcalc.diagnosis.evidence.observations import Observed
from engcalc.diagnosis.odds.pareto import GOOD, pareto_k
from engcalc.diagnosis.odds.sampler import Draws, Sampler
from engcalc.diagnosis.odds.weights import cut, log_mean, tempered
from engcalc.units import Array

AGAIN = 100  # draws for one piece left out of one cause
MOST_AGAIN = 1200  # draws of all together, at most
LEAST_AGAIN = 40  # draws for one piece, at least
REACHED = 4.0  # effective draws for each dimension, from which their place and width are taken
MOST_PIECES = 4  # of one cause: what moves its evidence less is told by the draws for these
WIDER = 1.3  # times the width that they have: they miss the tails


@dataclass(frozen=True, eq=False)
class _Expected:
    """What every reading would be in the draws of a cause, and how likely all that was read is in them."""

    predicted: Array  # K, (readings, draws)
    by_pace: Array  # K, (readings, draws): how it moves with the pace
    too_hot: Array  # (readings, draws): log of how improbable it is for being so hot
    of_readings: Array  # (draws,): log likelihood of all readings

    @classmethod
    def of(cls, d: Draws) -> _Expected:
        simulated = d.simulated()
        law = d.likelihood
        predicted = law.predicted(simulated)
        by_pace = law.by_pace(simulated)
        too_hot = law.too_hot(simulated, predicted)
        return cls(predicted, by_pace, too_hot, law.of_readings(predicted, by_pace, too_hot))


class LeftOut:
    """Weights of draws by the evidence less one piece, each worked out once."""

    def __init__(self, evidence: Observed) -> None:
        self.evidence = evidence
        self._likelihoods: dict[tuple[str, float, bool], Likelihood] = {}
        self._expected: dict[int, tuple[int, _Expected]] = {}
        self._weights: dict[tuple[int, str], tuple[int, Array]] = {}

    def uncut(self, d: Draws, item: str) -> Array:
        """Log importance weights without a piece, (draws,)."""
        key = (id(d), item)
        many = len(d.z)
        found = self._weights.get(key)
        if found is None or found[0] != many:
            found = self._weights[key] = many, d.uncut() + self._without(d, item) - d.log_likelihood
        return found[1]

    def log_weights(self, d: Draws, item: str) -> Array:
        """The same, the largest of them cut as in :meth:`engcalc.diagnosis.odds.sampler.Draws.log_weights`."""
        return cut(self.uncut(d, item))

    def _without(self, d: Draws, item: str) -> Array:
        """Log likelihood of all but one piece."""
        sight = next((s for s in self.evidence.sights if s.item == item), None)
        if sight is not None:
            return np.asarray(d.log_likelihood - sight.log_likelihood(d.simulated(), d.likelihood.vague))
        e = self._expected_of(d)
        kept = np.concatenate([np.full(len(r.times), r.item != item) for r in self.evidence.readings])
        likelihood = self._likelihood(d, item)
        of_the_others = likelihood.of_readings(e.predicted[kept], e.by_pace[kept], e.too_hot[kept])
        return np.asarray(d.log_likelihood - e.of_readings + of_the_others)

    def _expected_of(self, d: Draws) -> _Expected:
        found = self._expected.get(id(d))
        if found is None or found[0] != len(d.z):
            found = self._expected[id(d)] = len(d.z), _Expected.of(d)
        return found[1]

    def _likelihood(self, d: Draws, item: str) -> Likelihood:
        h = d.hypothesis
        key = (item, h.broad, h.erratic)
        if key not in self._likelihoods:
            self._likelihoods[key] = Likelihood(self.evidence.without(item), h.broad, h.erratic)
        return self._likelihoods[key]


def integrate_again(sampler: Sampler, causes: Sequence[Draws], left_out: LeftOut) -> None:
    """Draws of some causes for each piece whose leaving out their draws cannot tell. Raises Cancelled.

    Where the prior itself is drawn from, it covers every piece left out as well, and more of it is drawn: a width told
    by a few dozen draws in as many dimensions is too narrow about just these, and the evidence comes out too low.
    """
    untold = [(d, _untold(d, left_out)) for d in causes]
    sampler.draw_more([(d, AGAIN) for d, found in untold if found and d.plain])
    places = [(d, *place_and_width(log_w, d.z)) for d, found in untold for log_w in found if not d.plain]
    if places:
        each = int(np.clip(MOST_AGAIN // len(places), LEAST_AGAIN, AGAIN))
        sampler.draw_about([(d, mean, spread, each) for d, mean, spread in places])


def _untold(d: Draws, left_out: LeftOut) -> list[Array]:
    """Log weights of a cause whose shape is no good: with all the evidence, and without each of the pieces that move
    its evidence most."""
    whole = d.uncut()
    without = [left_out.uncut(d, item) for item in left_out.evidence.items]
    without.sort(key=lambda log_w: -abs(log_mean(log_w) - log_mean(whole)))
    return [log_w for log_w in (whole, *without[:MOST_PIECES]) if pareto_k(log_w) > GOOD]


def place_and_width(log_w: Array, z: Array) -> tuple[Array, Array]:
    """Mean and covariance to draw about: of the draws, tempered until enough count, mixed with the prior's width."""
    size = z.shape[1]
    w = tempered(log_w, REACHED * size)
    mean = w @ z
    spread = (z - mean).T @ ((z - mean) * w[:, None])
    return mean, WIDER**2 * (0.75 * spread + 0.25 * np.eye(size))
