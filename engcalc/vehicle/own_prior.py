"""What an earlier healthy record tells of a vehicle, as the law of its unknowns in the next record.

Before any record of its own a vehicle's unknowns are independent standard normal numbers z, as its class has them. A
fitted healthy record moves and narrows those that a vehicle keeps: it gives their mean m and covariance C. Since then
the vehicle may have changed. Each unknown is carried over as

    z_now = r z_then + sqrt(1 - r^2) e,    e standard normal,    r^2 = 1 - changed

so that its law becomes r m, r^2 C + (1 - r^2): never wider than the class's, and nothing is left of it when all may
have changed. This is the stationary autoregression of first order (Box and Jenkins, Time Series Analysis, 1970; from
memory). By how much a vehicle changes is common practice, no source.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from engcalc.units import Array
from engcalc.vehicle.unknowns import HEAT, Unknown

CHANGED_AT_ONCE = 0.20  # -; share of the class's variance that may be new at the next visit; common practice, no source
CHANGED_A_YEAR = 0.10  # -; the same for each year between two visits; common practice, no source
CHANGED_UNDATED = 0.60  # -; the same where the days of the visits cannot be read; common practice, no source
YEAR = 365.25  # d


@dataclass(frozen=True, eq=False)
class Place:
    """Where z are likely: mean (k,) and covariance (k, k)."""

    mean: Array
    covariance: Array


@dataclass(frozen=True, eq=False)
class CarriedUnknowns:
    """Standard normal u (members, unknowns) to z: z = mean + root u."""

    mean: Array  # (unknowns,)
    root: Array  # (unknowns, unknowns)

    def z(self, u: Array) -> Array:
        """The unknowns of members, (members, unknowns)."""
        return np.asarray(self.mean + u @ self.root.T)


@dataclass(frozen=True, eq=False)
class OwnPrior:
    """The unknowns of a vehicle as one healthy record left them.

    ``keys`` and ``spreads`` are of that record's unknowns, without those of the record alone; ``by_side`` has their
    place for each side on which the valve may sit; ``changed`` is the share of the class's variance, 0 to 1, by which
    each may have changed since.
    """

    keys: tuple[str, ...]
    spreads: tuple[float, ...]
    by_side: Mapping[str, Place]
    changed: float

    def carried(self, unknowns: Sequence[Unknown], side: str) -> CarriedUnknowns:
        """The law of the unknowns of another record of the vehicle, whose valve sits on ``side``.

        What this record does not tell stays as the class has it; so does everything where it tells nothing of the side.
        """
        here = {u.key: i for i, u in enumerate(unknowns) if not u.of_record}
        shared = [(i, here[key]) for i, key in enumerate(self.keys) if key in here]
        mean = np.zeros(len(unknowns))
        covariance = np.eye(len(unknowns))
        place = self.by_side.get(side)
        if place is not None and shared:
            then, now = (np.array(column) for column in zip(*shared, strict=True))
            kept = np.array([self._kept(i, unknowns[j]) for i, j in shared])
            mean[now] = kept * place.mean[then]
            narrowed = place.covariance[np.ix_(then, then)] - np.eye(len(shared))
            covariance[np.ix_(now, now)] += kept[:, None] * narrowed * kept
        return CarriedUnknowns(mean, np.asarray(np.linalg.cholesky(covariance)))

    def _kept(self, then: int, now: Unknown) -> float:
        """The correlation r of an unknown in that record with the same unknown in another one."""
        own = vehicles_part(self.keys[then], self.spreads[then]) * vehicles_part(now.key, now.spread)
        return float(np.sqrt(1.0 - self.changed)) * own

    def bits(self, unknowns: Sequence[Unknown], side: str) -> float:
        """By how many bits the unknowns are narrower than the class's: log2 of how much less room they have."""
        root = self.carried(unknowns, side).root
        return float(-np.log2(np.diag(root)).sum())

    def narrowest(self, unknowns: Sequence[Unknown], side: str) -> tuple[Unknown, float] | None:
        """The unknown that is narrowed most, with its spread over the class's; None where none is narrowed."""
        root = self.carried(unknowns, side).root
        widths = np.sqrt((root**2).sum(axis=1))
        least = int(widths.argmin()) if widths.size else 0
        if widths.size and widths[least] < 1.0 - 1e-9:
            return (unknowns[least], float(widths[least]))
        return None


@dataclass(frozen=True, eq=False)
class OwnHistory:
    """The prior of one earlier record, and where it is from. ``healthy`` is the probability that it was healthy."""

    job: int
    day: str
    record: str
    healthy: float
    prior: OwnPrior

    @property
    def told(self) -> tuple[object, ...]:
        """What tells this history from another one."""
        return self.job, self.day, self.record, self.healthy, self.prior.changed


def vehicles_part(key: str, spread: float) -> float:
    """Share of an unknown's spread that is the vehicle's: what nobody noted of the load is the record's."""
    if key == HEAT.key and spread > 0.0:
        return min(1.0, HEAT.spread / spread)
    return 1.0


def changed_since(days: float | None) -> float:
    """Share of the class's variance by which a vehicle may have changed in so many days; None: not known."""
    if days is None:
        return CHANGED_UNDATED
    return min(1.0, CHANGED_AT_ONCE + CHANGED_A_YEAR * max(days, 0.0) / YEAR)
