"""The Pareto shape of weights against scipy's generalised Pareto law: k of known laws, and against its own fit."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import stats

from engcalc.diagnosis.odds.pareto import GOOD, PRIOR_COUNT, PRIOR_K, UNTOLD, fit_pareto, pareto_k

MANY = 4000


@pytest.mark.parametrize("k", [-0.3, 0.2, 0.5, 0.9, 1.4])
def test_shape_and_scale_of_scipys_generalised_pareto_law_come_back(k: float) -> None:
    x = np.sort(stats.genpareto.rvs(k, scale=2.5, size=MANY, random_state=3))
    shape, sigma = fit_pareto(x)
    drawn = (MANY * k + PRIOR_COUNT * PRIOR_K) / (MANY + PRIOR_COUNT)
    error = (1.0 + abs(k)) / np.sqrt(MANY)  # of the likeliest k, Hosking & Wallis, Technometrics 29 (1987) 339
    assert shape == pytest.approx(drawn, abs=3.0 * error)
    assert sigma == pytest.approx(2.5, rel=0.08)


def test_the_fit_is_as_likely_as_scipys_own() -> None:
    x = np.sort(stats.genpareto.rvs(0.6, scale=1.3, size=400, random_state=8))
    shape, sigma = fit_pareto(x)
    own = (shape * (len(x) + PRIOR_COUNT) - PRIOR_COUNT * PRIOR_K) / len(x)
    best = stats.genpareto.fit(x, floc=0.0)
    found = stats.genpareto.logpdf(x, own, 0.0, sigma).sum()
    assert found == pytest.approx(stats.genpareto.logpdf(x, *best).sum(), abs=0.5)


def test_few_weights_are_drawn_towards_a_half() -> None:
    x = np.sort(stats.genpareto.rvs(1.5, size=10, random_state=2))
    k, sigma = fit_pareto(x)
    theta = np.log1p(-(-((k * 20.0 - 5.0) / 10.0) / sigma) * x).mean()
    assert k == pytest.approx((10.0 * theta + 5.0) / 20.0, rel=1e-6)


@pytest.mark.parametrize(("inside", "k"), [(1.5, 0.56), (2.0, 0.75), (3.0, 0.89)])
def test_a_normal_law_drawn_from_a_narrower_one_has_the_k_of_its_tail(inside: float, k: float) -> None:
    """Weights of N(0, s^2) over N(0, 1) are Pareto with k = 1 - 1/s^2 far out: 0.56, 0.75, 0.89."""
    assert k == pytest.approx(1.0 - 1.0 / inside**2, abs=0.006)
    found = []
    for seed in range(12):
        z = np.random.default_rng(seed).standard_normal(20_000)
        found.append(pareto_k(0.5 * z**2 * (1.0 - 1.0 / inside**2)))
    assert np.mean(found) == pytest.approx(k, abs=0.12)


def test_a_wider_proposal_is_good_and_a_far_one_is_not() -> None:
    z = np.random.default_rng(4).standard_normal(600)
    wide = 1.4 * z
    assert pareto_k(-0.5 * wide**2 + 0.5 * z**2) < 0.5
    far = -0.5 * (z - 4.0) ** 2 + 0.5 * z**2
    assert pareto_k(far) > GOOD


def test_what_cannot_be_told_is_not_believed() -> None:
    assert pareto_k(np.random.default_rng(1).standard_normal(24)) == UNTOLD
    assert pareto_k(np.zeros(0)) == UNTOLD
    assert pareto_k(np.concatenate((np.full(99, -900.0), [0.0]))) == UNTOLD
    assert pareto_k(np.zeros(50)) == -np.inf


def test_a_tail_of_equal_weights_has_a_shape_though_a_point_of_the_grid_is_the_exponential_law() -> None:
    """100 of them have 40 points, the third of which is theta = 0."""
    k, sigma = fit_pareto(np.full(100, 2.0))
    assert np.isfinite([k, sigma]).all()
    assert k < 0.0  # bounded above, as it is
