"""A Student's t in several dimensions, from which the sampler draws: its tails reach further than a normal law's."""

from __future__ import annotations

from dataclasses import dataclass, field
from math import lgamma, log, pi

import numpy as np

from engcalc.units import Array
from engcalc.vehicle.unknowns import stratified_z

FREEDOM = 5.0  # degrees of freedom


@dataclass(eq=False)
class StudentT:
    """One with a place ``mean`` (d,) and a root ``L`` (d, d) of its scale; ``count`` draws came from it."""

    mean: Array
    L: Array
    count: int
    inverse: Array = field(init=False)  # of L; asked for with every round's draws anew

    def __post_init__(self) -> None:
        self.inverse = np.asarray(np.linalg.inv(self.L), np.float64)

    def draw(self, rng: np.random.Generator, n: int) -> Array:
        """Draws, (n, d)."""
        normal = stratified_z(rng, n, self.mean.size)
        chi = rng.chisquare(FREEDOM, n)[:, None] / FREEDOM
        return np.asarray(self.mean + normal @ self.L.T / np.sqrt(chi))

    def log_density(self, z: Array) -> Array:
        """Log density at points (n, d)."""
        d = self.mean.size
        y = self.inverse @ (z - self.mean).T
        gammas = lgamma(0.5 * (FREEDOM + d)) - lgamma(0.5 * FREEDOM)
        constant = gammas - 0.5 * d * log(FREEDOM * pi)
        shape = 0.5 * (FREEDOM + d) * np.log1p((y**2).sum(axis=0) / FREEDOM)
        return np.asarray(constant - np.log(np.diag(self.L)).sum() - shape)
