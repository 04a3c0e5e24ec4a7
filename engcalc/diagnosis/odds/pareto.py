"""How far importance weights can be trusted: the shape k of a generalised Pareto law in their upper tail.

The weights beyond a cut are held to follow

    P(w - cut > x) = (1 + k x/sigma)^(-1/k)

k below 0.5: their variance is finite and the usual error holds. Up to 0.7: the mean is still good, and gets better
about as fast. Above: so few draws carry it that the mean is mostly too low, and no error told from the draws is to be
believed (Vehtari, Simpson, Gelman, Yao & Gabry, Pareto smoothed importance sampling, J. Mach. Learn. Res. 25 (2024)
no. 72).
k by the quasi-Bayesian estimate of Zhang & Stephens (Technometrics 51 (2009) 316), drawn a little towards 0.5 as there.
"""

from __future__ import annotations

import numpy as np

from engcalc.units import Array

GOOD = 0.7  # -; k up to which a mean of weights is believed; Vehtari et al. (2024), section 3.2.4
UNTOLD = np.inf  # k where there are too few draws to tell
FEWEST_OF_TAIL = 5  # weights beyond the cut from which k can be told; the same, appendix
PRIOR_K = 0.5  # k towards which it is drawn; the same, appendix
PRIOR_COUNT = 10.0  # as how many weights that counts; the same, appendix
_LEAST = 1e-300
_EXPONENTIAL = 1e-8  # -; theta times the largest x, below which the law is the exponential one to as many digits


def pareto_k(log_w: Array) -> float:
    """k of the upper tail of weights given by their logarithms (n,); ``UNTOLD`` where it cannot be told.

    Weights that are all alike have no tail: minus infinity.
    """
    n = len(log_w)
    if not n:
        return UNTOLD
    w = np.sort(np.exp(log_w - log_w.max()))
    if w[-1] - w[0] <= 1e-12:
        return -np.inf
    many = int(min(0.2 * n, 3.0 * np.sqrt(n)))
    if many < FEWEST_OF_TAIL:
        return UNTOLD
    over = w[n - many :] - w[n - many - 1]
    if over[many // 2] <= _LEAST:  # most of the tail is nothing beside its end
        return UNTOLD
    k, _ = fit_pareto(over)
    return k


def fit_pareto(x: Array) -> tuple[float, float]:
    """Shape k and scale sigma of a generalised Pareto law for sorted x >= 0, (n,), k drawn towards ``PRIOR_K``.

    Zhang & Stephens: with theta = -k/sigma, the profile likelihood averaged over a grid of theta that follows the
    largest x and the first quartile.
    """
    n = len(x)
    quartile = x[int(n / 4 + 0.5) - 1]
    points = 30 + int(np.sqrt(n))
    grid = 1.0 - np.sqrt(points / (np.arange(1, points + 1) - 0.5))
    largest = x[-1]
    spread = grid / (3.0 * max(quartile, _LEAST))
    theta = _apart_from_zero(1.0 / largest + spread, largest)
    k = np.log1p(-theta[:, None] * x).mean(axis=1)
    likelihood = n * (np.log(-theta / k) - k - 1.0)
    weight = np.exp(likelihood - likelihood.max())
    mean = float(_apart_from_zero((weight * theta).sum() / weight.sum(), x[-1]))
    shape = float(np.log1p(-mean * x).mean())
    sigma = -shape / mean
    return (n * shape + PRIOR_COUNT * PRIOR_K) / (n + PRIOR_COUNT), sigma


def _apart_from_zero(theta: Array, largest: float) -> Array:
    """theta, where it is zero a little beside it: -theta/k is 0/0 there, and 1/mean of x on either side."""
    return np.asarray(np.where(np.abs(theta) * largest < _EXPONENTIAL, _EXPONENTIAL / largest, theta))
