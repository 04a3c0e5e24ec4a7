"""Weights of draws: their mean, cut where one draw would carry all, tempered until enough of them count."""

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
