"""How likely the evidence of a record is in each simulated vehicle.

Readings (the coolant's curve, spots, agreement at key-on) form one Gaussian vector: each has its own noise, and all
share what the model is wrong by (:mod:`engcalc.vehicle.discrepancy`, all of its parts). Its scale is itself unknown:
Student's t about 3 K, by a sum over scales. What is not in the list has a larger slow part. A vehicle warms up at
another pace than its class (:mod:`engcalc.diagnosis.evidence.pace`). A curve's samples count by a power of their
likelihood (power likelihood: Bissiri, Holmes & Walker, J. R. Statist. Soc. B 78 (2016) 1103, from memory), for what the
model is wrong by takes no such simple form: 1 for a single sample, falling to ``POWER`` for many; hand readings count
in full, given the curve, but each of them may be plain wrong. Facts seen or not seen and trouble codes are
P(seen | simulated state) with error rates of looking. A reading far over what valve and fan hold counts besides
(:mod:`engcalc.diagnosis.evidence.held`). All such numbers are common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from engcalc.diagnosis.evidence.held import held_at, log_of_so_hot
from engcalc.diagnosis.evidence.observations import Observed, ReadingGroup
from engcalc.diagnosis.evidence.pace import unforgotten, whitened_of
from engcalc.diagnosis.evidence.reading_vector import SCALES, Vector, scale_weights
from engcalc.diagnosis.evidence.sights import MISREAD
from engcalc.diagnosis.members.simulated import Hypothesis, Simulated
from engcalc.units import Array
from engcalc.vehicle.discrepancy import DISCREPANCY, PACE, ReadAt, discrepancy, noise_of, smooth

POWER = 0.5  # -; of a long curve's likelihood (see above); tuned on simulated vehicles, seeds 20000 to 20027
BROAD_PARTS = (0.0, 0.3, 1.0)  # of how far what is not in the list may differ: not at all to see, some, far
ROUGHER = 1.2  # times the discrepancy's scale for what is not in the list: other physics, less well followed
MISREAD_SPAN = 100.0  # K; anywhere within which a plain wrong reading lies, between cold and boiling; common practice
ERRATIC_NOISE = 8.0  # K; of an erratic sensor's samples
INDEPENDENT = 6.0  # jumps in a window, at most, that do not hang together


@dataclass(frozen=True, eq=False)
class _Slip:
    """One reading by hand taken for a slip: the rows of the others (readings,), these as a vector, the log weight."""

    rows: NDArray[np.bool_]
    vector: Vector
    log_weight: float


class Likelihood:
    """How likely evidence is in simulated members, for one kind of hypothesis (broad, erratic or plain)."""

    def __init__(self, evidence: Observed, broad: float = 0.0, erratic: bool = False) -> None:
        self.evidence = evidence
        self.vague = broad > 0.0 and not erratic
        self.vector = _vector_of_readings(evidence, broad, erratic)
        self.slips = _slips(evidence, broad, erratic)

    def predicted(self, s: Simulated) -> Array:
        """The vector of every reading in each member, (readings, members)."""
        rows = [r.place.predict(s, np.array(r.times)) for r in self.evidence.readings]
        return np.concatenate(rows) if rows else np.zeros((0, s.members))

    def by_pace(self, s: Simulated) -> Array:
        """By how much every reading moves in each member with one deviation of its pace [K], (readings, members)."""
        rows = []
        slower = unforgotten(s)
        for r in self.evidence.readings:
            moves = PACE if r.place.share > 0.0 else 0.0
            rows.append(moves * r.place.predict(slower, np.array(r.times)))
        return np.concatenate(rows) if rows else np.zeros((0, s.members))

    def too_hot(self, s: Simulated, predicted: Array) -> Array:
        """Log of how improbable each group of readings is for being so hot, at its first row, (readings, members).

        Nobody knows what holds the coolant where the cause is not in the list: 0 there.
        """
        counted = np.zeros(predicted.shape)
        first = 0
        for r in self.evidence.readings:
            rows = slice(first, first + len(r.times))
            if r.place.of_coolant and not self.vague:
                error = float(np.hypot(r.noise, r.place.error))
                counted[first] = log_of_so_hot(np.array(r.values), predicted[rows], held_at(s), error)
            first = rows.stop
        return counted

    def residuals(self, s: Simulated) -> Array:
        """Residuals in standard deviations, for a least-squares fit."""
        return self.whitened(self.predicted(s), self.by_pace(s))

    def whitened(self, predicted: Array, by_pace: Array) -> Array:
        """The same at the scale that is likeliest in member 0, and with that member's pace."""
        v = self.vector
        residual = predicted - v.values[:, None]
        scale = int(v.terms(predicted[:, :1], by_pace[:, :1])[:, 0].argmax()) if v.values.size else 0
        return whitened_of(v.whitened(scale, residual), v.whitened(scale, by_pace[:, :1])[:, 0])

    def of_readings(self, predicted: Array, by_pace: Array, too_hot: Array) -> Array:
        """Log likelihood of the readings, summed over the scales and over which one is a slip, (members,)."""
        if not self.vector.values.size:
            return np.zeros(predicted.shape[1])
        no_slip = len(self.slips) * float(np.log1p(-MISREAD))
        terms = [no_slip + self.vector.terms(predicted, by_pace) + too_hot.sum(axis=0)]
        for s in self.slips:
            of_others = s.vector.terms(predicted[s.rows], by_pace[s.rows]) + too_hot[s.rows].sum(axis=0)
            terms.append(s.log_weight + of_others)
        every = np.concatenate(terms)
        top = every.max(axis=0)
        return np.asarray(top + np.log(np.exp(every - top).sum(axis=0)))

    def of_sights(self, s: Simulated) -> Array:
        """Log probability of what was seen, (members,); half known only where the cause is not in the list."""
        total = np.zeros(s.members)
        for sight in self.evidence.sights:
            total = total + sight.log_likelihood(s, self.vague)
        return total

    def __call__(self, s: Simulated) -> Array:
        """Log likelihood of all the evidence, (members,)."""
        predicted = self.predicted(s)
        of_readings = self.of_readings(predicted, self.by_pace(s), self.too_hot(s, predicted))
        return np.asarray(of_readings + self.of_sights(s))


def _slips(evidence: Observed, broad: float, erratic: bool) -> tuple[_Slip, ...]:
    """Each reading by hand as a slip, the others right. Two slips at once are left out: one in a thousand vehicles."""
    by_hand = [r for r in evidence.readings if r.place.by_hand]
    right = (len(by_hand) - 1) * float(np.log1p(-MISREAD))
    slipped = float(np.log(MISREAD * np.sqrt(2.0 * np.pi) / MISREAD_SPAN))  # the others' densities leave sqrt(2 pi) out
    found = []
    for r in by_hand:
        rows = np.concatenate([np.full(len(other.times), other is not r) for other in evidence.readings])
        found.append(_Slip(rows, _vector_of_readings(evidence.without(r.item), broad, erratic), right + slipped))
    return tuple(found)


def likelihood_of(evidence: Observed, hypothesis: Hypothesis) -> Likelihood:
    """The likelihood under one hypothesis."""
    return Likelihood(evidence, hypothesis.broad, hypothesis.erratic)


def _vector_of_readings(evidence: Observed, broad: float, erratic: bool) -> Vector:
    """All readings as one vector with the inverse of its covariance at each scale of the discrepancy."""
    readings = evidence.readings
    values = np.array([v for r in readings for v in r.values])
    times = np.array([t for r in readings for t in r.times])
    share = np.array([r.place.share for r in readings for _ in r.times])
    error = np.array([r.place.error for r in readings for _ in r.times])
    noise = np.array([_noise(r, erratic or evidence.jumps) for r in readings for _ in r.times])
    of_the_model = discrepancy(ReadAt(times, share, error), evidence.wandering)
    of_readings = noise_of(noise)
    slow = smooth(times, share)
    power = np.array([_power(r) for r in readings for _ in r.times])
    inverse = []
    log_det = []
    log_weight = []
    for part in BROAD_PARTS if broad > 0.0 else (0.0,):
        rougher = ROUGHER if part > 0.0 else 1.0
        for scale, weight in zip(SCALES, scale_weights().tolist(), strict=True):
            size = rougher * scale / DISCREPANCY
            covariance = of_readings + size**2 * of_the_model + (part * broad) ** 2 * slow
            L = np.linalg.cholesky(covariance) if values.size else np.zeros((0, 0))
            inverse.append(np.linalg.inv(L) if values.size else L)
            log_det.append(float(power @ np.log(np.diag(L))))
            log_weight.append(weight - (float(np.log(len(BROAD_PARTS))) if broad > 0.0 else 0.0))
    return Vector(values, power, np.array(inverse), np.array(log_det), np.array(log_weight))


def _power(reading: ReadingGroup) -> float:
    """By how much each of a reading's samples counts. The curve comes first: the others are given it."""
    return POWER + (1.0 - POWER) / len(reading.times)


def _noise(reading: ReadingGroup, erratic: bool) -> float:
    jumps = ERRATIC_NOISE / float(np.sqrt(min(reading.samples, INDEPENDENT)))
    return max(reading.noise, jumps) if erratic and reading.place.by_sensor else reading.noise
