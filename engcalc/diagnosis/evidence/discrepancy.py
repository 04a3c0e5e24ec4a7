"""What the model may be wrong by, as numbers: readings as one vector, and the covariance that they share.

:mod:`engcalc.diagnosis.evidence.observations` says what these are.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from engcalc.diagnosis.evidence.pace import FORGOTTEN, less_sure
from engcalc.units import Array

MINUTE = 60.0  # s; of the wandering load
SCALE, FREEDOM = 3.0, 4.0  # K, -; scale and degrees of freedom of the discrepancy
SLOW_TIME = 600.0  # s; in which the slow part of the discrepancy grows
WANDER_MEMORY = 300.0  # s; of the wandering load
SCALES = SCALE * np.array([0.35, 0.55, 0.8, 1.1, 1.5, 2.1, 3.0, 4.5])  # K, over which is summed


@dataclass(frozen=True, eq=False)
class Vector:
    """The readings as one vector, with what whitens it at each scale of the discrepancy."""

    values: Array
    power: Array  # (n,): of each one's likelihood, given those before it
    inverse: Array  # (scales, n, n): inverse Cholesky factors
    log_det: Array  # (scales,): by the powers
    log_weight: Array  # (scales,)

    def whitened(self, scale: int, rows: Array) -> Array:
        """Rows (n, members) in standard deviations at one of the scales, by the powers."""
        return np.asarray(np.sqrt(self.power)[:, None] * (self.inverse[scale] @ rows))

    def terms(self, predicted: Array, by_pace: Array) -> Array:
        """Log likelihood at each scale, (scales, members); both (n, members)."""
        residual, found = predicted - self.values[:, None], []
        for i, (d, w) in enumerate(zip(self.log_det, self.log_weight, strict=True)):
            found.append(w - d + less_sure(self.whitened(i, residual), self.whitened(i, by_pace)))
        return np.stack(found)


def wandered(times: Array, share: Array, added: Array) -> Array:
    """Covariance [K2] of what the wandering load has added by each reading, of what it ``added`` each minute [K]."""
    minutes = MINUTE * np.arange(1, len(added) + 1)
    since = times[:, None] - minutes[None]
    kept = np.where(since >= 0.0, np.exp(-np.maximum(since, 0.0) / FORGOTTEN), 0.0) * share[:, None] * added
    memory = np.exp(-np.abs(minutes[:, None] - minutes[None]) / WANDER_MEMORY)
    return np.asarray(kept @ memory @ kept.T)


def smooth(times: Array, share: Array) -> Array:
    """Covariance of slow differences of unit size: a shift that grows, and half as much one that comes and goes."""
    x = times / SLOW_TIME
    grows, passes = share * (1.0 - np.exp(-x)), share * x * np.exp(1.0 - x)
    return np.asarray(np.outer(grows, grows) + 0.5 * np.outer(passes, passes))


def scale_weights() -> Array:
    """Log weights of the scales: s^2 is FREEDOM SCALE^2 over a chi-squared number of FREEDOM degrees."""
    log_s = np.log(SCALES)
    density = -FREEDOM * log_s - FREEDOM * SCALE**2 / (2.0 * SCALES**2)  # of log s
    density = density + np.log(np.gradient(log_s))
    top = density.max()
    return np.asarray(density - top - np.log(np.exp(density - top).sum()))
