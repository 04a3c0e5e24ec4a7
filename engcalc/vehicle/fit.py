"""The vehicle's unknowns that explain a record best: most probable z by Gauss-Newton with ensemble differences.

    minimise |L^-1 (T_measured - T(z))|^2 + |z|^2,    L L^T = covariance of the errors of model and reading

That covariance is the quick part of the model's discrepancy and the noise of each reading
(:mod:`engcalc.vehicle.discrepancy`, which says why the other parts are left to z). Derivatives are regressed on a
cloud of members about the point, so that the kink where the valve opens and the hunting of a valve are smoothed (Chen &
Oliver, Computational Geosciences 17 (2013) 689); the best member of any round is kept. Gauss-Newton as the maximum a
posteriori estimate: Tarantola, Inverse Problem Theory (2005), section 3.2.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from engcalc.errors import Cancelled
from engcalc.units import Array
from engcalc.vehicle.discrepancy import ABSORBED_BY_A_FIT, NOISE, ReadAt, discrepancy, noise_of
from engcalc.vehicle.unknowns import Unknown, draw_z
from engcalc.words.texts import record_texts

EVERY = 60.0  # s; between the readings of a log that count
DRAWS = 64  # of the prior, among which the start is chosen
CLOUD = (0.6, 0.5, 0.4, 0.3, 0.3, 0.25, 0.25, 0.2)  # standard deviations about the point, round by round
MEMBERS = 40  # of a cloud; beyond the number of unknowns, so that hunting averages out
SHORTER = (1.0, 0.5, 0.2)  # of a Gauss-Newton step, tried in the next round
_SMALL_GAIN = 0.1  # of the misfit in one round
_PATIENCE = 3  # rounds in a row with less, after which it ends
_LONGEST_STEP = 2.0  # standard deviations in any one unknown


@dataclass(frozen=True, eq=False)
class FittedReadings:
    """The readings of one record that a fit sees: times [s] and temperatures [K], (n,), and L^-1, (n, n)."""

    time: Array
    T: Array
    whiten: Array


@dataclass(frozen=True, eq=False)
class Fit:
    """The most probable z, (k,), and its covariance (k, k) as far as straight lines tell."""

    z: Array
    covariance: Array


Model = Callable[[Array], Sequence[Array]]
"""z (members, k) to the predicted readings of every record, each (n, members)."""


@dataclass(frozen=True, eq=False)
class HandReadings:
    """Readings by hand beside a curve: where, temperatures [K] less the instrument's bias, and its standard noise [K];
    each (n,)."""

    at: ReadAt
    T: Array
    noise: Array


NO_HAND_READINGS = HandReadings(ReadAt(np.zeros(0), np.zeros(0), np.zeros(0)), np.zeros(0), np.zeros(0))


def sight_of(time: Array, T: Array, hands: HandReadings = NO_HAND_READINGS) -> FittedReadings:
    """What a fit sees of a curve: one reading a minute from the start on, every reading where there are fewer; then
    the readings by hand, which share the model's discrepancy with it."""
    after = np.flatnonzero(time > 0.0)
    kept: list[int] = []
    last = 0.0
    for i in after:
        if time[i] - last >= EVERY or not kept:
            kept.append(int(i))
            last = float(time[i])
    on_curve = np.ones(len(kept))
    t = np.concatenate((time[kept], hands.at.time))
    share = np.concatenate((on_curve, hands.at.share))
    error = np.concatenate((0.0 * on_curve, hands.at.error))
    noise = np.concatenate((NOISE * on_curve, hands.noise))
    of_the_model = discrepancy(ReadAt(t, share, error), absorbed=ABSORBED_BY_A_FIT)
    whiten = np.linalg.inv(np.linalg.cholesky(of_the_model + noise_of(noise)))
    return FittedReadings(t, np.concatenate((T[kept], hands.T)), whiten)


def at_times(sampled: Array, series: Array, time: Array) -> Array:
    """A series (samples, members) at ``sampled`` [s], at other times [s]: (n, members), straight lines between."""
    above = np.clip(np.searchsorted(sampled, time, side="right"), 1, sampled.size - 1)
    t0 = sampled[above - 1]
    t1 = sampled[above]
    share = np.clip((time - t0) / (t1 - t0), 0.0, 1.0)[:, None]
    return np.asarray(series[above - 1] + share * (series[above] - series[above - 1]))


def fit(
    unknowns: Sequence[Unknown],
    model: Model,
    sights: Sequence[FittedReadings],
    seed: int = 1,
    cancelled: Callable[[], bool] | None = None,
) -> Fit:
    """The most probable z given the sights. Raises Cancelled."""
    k = len(unknowns)

    def residuals(z: Array) -> Array:
        if cancelled is not None and cancelled():
            raise Cancelled(record_texts.FIT_WAS_CANCELLED)
        return _whitened(sights, model(z))

    drawn = np.concatenate((np.zeros((1, k)), draw_z(unknowns, DRAWS, seed)))
    search = _Search(drawn[0], np.inf, np.zeros(0))
    search.look(drawn, residuals(drawn))
    J: Array = np.zeros((0, k))
    step: Array = np.zeros(k)
    rng = np.random.default_rng(seed)
    idle = 0
    for spread in CLOUD:
        cost_before = search.cost
        cloud = search.z + step + _offsets(rng, k) * spread
        J = _slopes(cloud, _tried(search, step, cloud, residuals))
        step = _gauss_newton(J, search)
        gained = cost_before - search.cost
        idle = idle + 1 if gained < _SMALL_GAIN else 0
        if idle == _PATIENCE:
            break
    covariance = np.asarray(np.linalg.inv(J.T @ J + np.eye(k)))
    return Fit(search.z, covariance)


def _tried(search: _Search, step: Array, cloud: Array, residuals: Callable[[Array], Array]) -> Array:
    """Try the last step in a few lengths, and a cloud of points about its end; the residuals of the cloud."""
    along_step = search.z + np.outer(SHORTER, step)
    tried = np.concatenate((along_step, cloud))
    R = residuals(tried)
    search.look(tried, R)
    return np.asarray(R[:, len(SHORTER) :])


def _whitened(sights: Sequence[FittedReadings], modelled: Sequence[Array]) -> Array:
    """What readings differ by from the model, made independent and of variance 1: (readings of all sights, members)."""
    parts = [s.whiten @ (s.T[:, None] - T) for s, T in zip(sights, modelled, strict=True)]
    return np.concatenate(parts)


def _offsets(rng: np.random.Generator, k: int) -> Array:
    """Standard normal points in k dimensions, each with the one opposite."""
    offsets = rng.normal(size=((MEMBERS + 1) // 2, k))
    return np.concatenate((offsets, -offsets))


def _gauss_newton(J: Array, search: _Search) -> Array:
    """The step from the best member so far by the slopes J, none of it longer than ``_LONGEST_STEP``."""
    curvature = J.T @ J + np.eye(J.shape[1])
    slope = J.T @ search.r + search.z
    whole = np.linalg.solve(curvature, -slope)
    longest = max(float(np.abs(whole).max()), 1e-12)
    return np.asarray(whole * min(1.0, _LONGEST_STEP / longest))


@dataclass
class _Search:
    """The best member so far, its cost and its whitened residuals."""

    z: Array
    cost: float
    r: Array

    def look(self, z: Array, R: Array) -> None:
        """Keep the best of some members z (members, k) with their residuals, if it is better than the one so far."""
        costs = (R**2).sum(axis=0) + (z**2).sum(axis=1)
        i = int(costs.argmin())
        if costs[i] < self.cost:
            self.z = z[i]
            self.cost = float(costs[i])
            self.r = R[:, i]


def _slopes(z: Array, R: Array) -> Array:
    """Derivatives dR/dz, (n, k), regressed on a cloud; a little ridge keeps directions that it hardly spans at zero."""
    dz = z - z.mean(axis=0)
    dR = R - R.mean(axis=1, keepdims=True)
    members = z.shape[1]
    ridge = 1e-3 * float((dz * dz).sum()) / members * np.eye(members)
    return np.asarray(np.linalg.solve(dz.T @ dz + ridge, dz.T @ dR.T).T)
