"""Where a temperature settles: the asymptote fitted to the end of a record, never its last sample.

    T(t) = T_end + A exp(-(t - t_0)/tau)

over the last part of the record, for a range of time constants. The record has settled where, among the time constants
that fit as well as the best but for the noise, one puts the asymptote where the record stands: it still rises where all
of them put it higher. A drift that the noise hides stays hidden: some 2 K where readings swing by as much.
Profile of the sum of squares: Bates & Watts, Nonlinear Regression Analysis and Its Applications (1988), section 6.1.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

import numpy as np

from engcalc.units import Array
from engcalc.words.texts import record_texts

LEAST_SPAN = 300.0  # s; of a record that can be asked whether it has settled; common practice, no source
WINDOW = 0.4  # share of the record that the asymptote is fitted to
WINDOW_LEAST = 600.0  # s; the least of it
GRID = 15.0  # s
CLOSE = 2.0  # K; within which of the asymptote the end must stand
KNOWN = 15.0  # K; range of the asymptotes that fit, beyond which none is told
NOISE = 0.3  # K; least that a record scatters: readings in whole degrees scatter by 0.29 (uniform distribution)
CORRELATED = 60.0  # s; samples closer than this tell nothing new: the drive's ups and downs
_FITS = 4.0  # rise of the sum of squares over its noise that counts as fitting as well: two standard deviations
_TAUS = np.geomspace(30.0, 7200.0, 40)  # s


class RecordEnd(Enum):
    """How a record ends."""

    SETTLED = "settled"
    RISING = "still rising"
    FALLING = "still falling"
    SHORT = record_texts.TOO_SHORT_TO_TELL
    BOILED = "boiled"


@dataclass(frozen=True)
class Settlement:
    """The end of a record. ``temperature`` [K] only where it has settled; the best asymptote [K] where it is known."""

    end: RecordEnd
    temperature: float | None
    asymptote: float | None


def settlement(time: Array, T: Array) -> Settlement:
    """Whether and where a record settles; ``time`` [s] and ``T`` [K], shape (samples,), in any spacing."""
    if time.size < 4 or time[-1] - max(time[0], 0.0) < LEAST_SPAN:
        return Settlement(RecordEnd.SHORT, None, None)
    t, x = _window(time, T)
    ends, squares = _profile(t, x)
    best = int(squares.argmin())
    allowed = _allowed(float(squares[best]), t.size)
    fitting = ends[squares <= allowed]
    last_two_minutes = x[-max(1, round(120.0 / GRID)) :]
    now = float(last_two_minutes.mean())
    nearest = float(fitting[np.abs(fitting - now).argmin()])
    asymptote = float(ends[best]) if np.ptp(fitting) <= KNOWN else None
    if abs(nearest - now) > CLOSE:
        return Settlement(RecordEnd.RISING if nearest > now else RecordEnd.FALLING, None, asymptote)
    if ((x - x.mean()) ** 2).sum() <= allowed:  # nothing but scatter about a level
        return Settlement(RecordEnd.SETTLED, float(x.mean()), float(x.mean()))
    level = float(ends[best]) if abs(ends[best] - now) <= CLOSE else nearest
    return Settlement(RecordEnd.SETTLED, level, asymptote)


def _allowed(least: float, samples: int) -> float:
    """Sum of squares [K2] up to which an end still fits the window, where the best end leaves ``least``."""
    independent = max(samples * GRID / CORRELATED, 4.0)
    noise = max(least / samples, NOISE**2)
    return least + _FITS * noise * samples / independent


def _window(time: Array, T: Array) -> tuple[Array, Array]:
    """The last stretch of a record, that counts, on an even grid [s] back from its end; T [K]."""
    first = max(float(time[0]), 0.0)
    span = float(time[-1]) - first
    begins = time[-1] - min(max(WINDOW * span, WINDOW_LEAST), span)
    grid = np.arange(float(time[-1]), begins, -GRID)[::-1]
    return grid, np.interp(grid, time, T)


def _profile(t: Array, x: Array) -> tuple[Array, Array]:
    """Asymptote and sum of squares at each time constant, A and T_end by least squares."""
    shape = np.exp(-(t - t[0])[None, :] / _TAUS[:, None])
    s = shape - shape.mean(axis=1, keepdims=True)
    y = x - x.mean()
    A = (s * y).sum(axis=1) / (s * s).sum(axis=1)
    ends = x.mean() - A * shape.mean(axis=1)
    rest = y[None, :] - A[:, None] * s
    return ends, (rest * rest).sum(axis=1)
