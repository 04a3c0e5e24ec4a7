"""Readings as one vector, whitened at each scale that the model's discrepancy may have.

What the discrepancy is says :mod:`engcalc.vehicle.discrepancy`. A fit takes it at its usual size; odds do not know its
size and sum over scales.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from engcalc.diagnosis.evidence.pace import less_sure
from engcalc.units import Array
from engcalc.vehicle.discrepancy import DISCREPANCY

FREEDOM = 4.0  # -; degrees of freedom of the discrepancy's scale
SCALES = DISCREPANCY * np.array([0.35, 0.55, 0.8, 1.1, 1.5, 2.1, 3.0, 4.5])  # K, over which is summed


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
        residual = predicted - self.values[:, None]
        found = []
        for i, (d, w) in enumerate(zip(self.log_det, self.log_weight, strict=True)):
            found.append(w - d + less_sure(self.whitened(i, residual), self.whitened(i, by_pace)))
        return np.stack(found)


def scale_weights() -> Array:
    """Log weights of the scales: s^2 is FREEDOM DISCREPANCY^2 over a chi-squared number of FREEDOM degrees."""
    log_s = np.log(SCALES)
    density = -FREEDOM * log_s - FREEDOM * DISCREPANCY**2 / (2.0 * SCALES**2)  # of log s
    density = density + np.log(np.gradient(log_s))
    top = density.max()
    return np.asarray(density - top - np.log(np.exp(density - top).sum()))
