"""Propagation of distributions: the length of a gauge block, with laws of Student and an arc sine among its inputs.

Each Student's law is made of normal quantities by its definition, t = z sqrt(nu/(z1^2 + ... + z_nu^2)), so that our own
points and laws draw all of it.
"""

from __future__ import annotations

import numpy as np

from engcalc.case.declare import SpreadLaw
from engcalc.studies.spread.laws import quantile
from engcalc.studies.spread.sobol import scrambled_sobol
from engcalc.units import Array
from worked_examples.published.comparison import Answer, Example, show
from worked_examples.published.jcgm_101 import POINTS, SEED, shortest_interval

NOMINAL = 50_000_000.0  # nm
STUDENT = ((50_000_623.0, 25.0, 18), (215.0, 6.0, 24), (0.0, 4.0, 5), (0.0, 7.0, 8))  # nm, nm, degrees of freedom
NOISE = f"{POINTS:,} points in 66 dimensions, four standard errors or more"


def _student(place: float, scale: float, freedom: int, points: Array) -> Array:
    z = np.stack([quantile(SpreadLaw("normal"), 0.0, 1.0, row) for row in points])
    return np.asarray(place + scale * z[0] * np.sqrt(freedom / (z[1:] ** 2).sum(axis=0)))


def _curved(half: float, off: float, points: Array) -> Array:
    """A rectangle of half width ``half`` whose ends are known to ``off``: a rectangle within a rectangle (6.4.3)."""
    ends = half + off * (2.0 * points[0] - 1.0)
    return np.asarray(ends * (2.0 * points[1] - 1.0))


def length() -> Array:
    """Deviation of the block from its nominal length [nm]."""
    p = scrambled_sobol(sum(1 + freedom for *_, freedom in STUDENT) + 7, POINTS, SEED)
    at, parts = 0, []
    for place, scale, freedom in STUDENT:
        parts.append(_student(place, scale, freedom, p[at : at + 1 + freedom]))
        at += 1 + freedom
    rest = p[at:]
    expansion = 11.5e-6 + 2e-6 * (2.0 * rest[0] - 1.0)  # 1/K
    mean_off = quantile(SpreadLaw("normal"), -0.1, 0.2, rest[1])  # K
    swing = 0.5 * np.sin(np.pi * (rest[2] - 0.5))  # K, arc sine
    differs = _curved(1.0e-6, 0.1e-6, rest[3:5])  # 1/K
    apart = _curved(0.050, 0.025, rest[5:7])  # K
    return np.asarray(sum(parts) - parts[0] * (differs * (mean_off + swing) + expansion * apart) - NOMINAL)


def compare() -> Example:
    """Mean, standard uncertainty and the shortest interval that covers 99 %."""
    y = length()
    low, high = shortest_interval(y, 0.99)
    return Example(
        "Length of a gauge block",
        "JCGM 101:2008 (GUM Supplement 1), 9.5, tables 10 and 11 (from memory)",
        (
            Answer("deviation", "nm", "838", float(y.mean())),
            Answer("standard uncertainty", "nm", "36", float(y.std())),
            Answer("shortest interval, 99 %, lower end", "nm", "745", low, 4.0, NOISE),
            Answer("shortest interval, 99 %, upper end", "nm", "932", high, 4.0, NOISE),
        ),
    )


if __name__ == "__main__":
    show(compare())
