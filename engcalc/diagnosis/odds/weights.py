"""Weights of draws: their mean, the largest cut, tempered until enough count, and the place that they tell."""

from __future__ import annotations

import numpy as np

from engcalc.units import Array


def log_mean(log_w: Array) -> float:
    """log of the mean of exp(log_w)."""
    top = float(log_w.max())
    return top + float(np.log(np.exp(log_w - top).mean()))


def cut(log_w: Array) -> Array:
    """Log weights, the largest cut to sqrt(draws) times their mean (truncated importance sampling: Ionides, J. Comput.
    Graph. Statist. 17 (2008) 295), so that one draw far out does not carry all."""
    return np.asarray(np.minimum(log_w, log_mean(log_w) + 0.5 * np.log(len(log_w))))


def tempered(log_w: Array, wanted: float) -> Array:
    """Weights w^b, summing to 1, with the largest b up to 1 that leaves ``wanted`` effective draws."""
    scaled = log_w - log_w.max()
    low = 0.0
    high = 1.0
    b = 1.0
    for _ in range(20):
        w = np.exp(b * scaled)
        w /= w.sum()
        enough = 1.0 / (w**2).sum() >= min(wanted, 0.5 * len(w))
        if enough and b == 1.0:
            break
        if enough:
            low = b
        else:
            high = b
        b = 0.5 * (low + high)
    return np.asarray(w)


def place_by_draws(fitted: tuple[Array, Array], mean: Array, seen: float) -> Array:
    """A fit's place moved to the mean of ``seen`` effective draws, along each axis of the fit by the share of the shift
    that is no noise: x^2/(x^2 + 1/seen), x in the fit's standard deviations. ``fitted`` is place and covariance.

    One severity may have to go far where all else stays: one share for all axes leaves it half way.
    """
    place, covariance = fitted
    variance, axes = np.linalg.eigh(covariance)
    shift = axes.T @ (mean - place)
    told = shift**2 / variance
    return np.asarray(place + axes @ (shift * told / (told + 1.0 / seen)))
