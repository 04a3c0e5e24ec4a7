"""Wilson plot: from measured conductances at several flows of one side to the film coefficient of that side.

1/UA = a + b m^-n, m the varied flow: what stays the same (wall, deposits, the other film) is a, and the varied film has
h A = m^n/b. E. E. Wilson, Trans. ASME 37 (1915) 47. The straight line is fitted by least squares; the band about it is
that of the line itself, two-sided 95 % by Student's t (Montgomery and Runger, Applied Statistics and Probability for
Engineers, ch. 11, Confidence interval on the mean response; from memory).

Outliers: modified z-score 0.6745 (x - median)/MAD (Iglewicz and Hoaglin, How to Detect and Handle Outliers, 1993), of
the distances from a line fitted to medians, and of the heat balances. Their limit of 3.5 is for many points: few points
that scatter without fault pass it in one class of three. The limits here grow as points are fewer. A distance that the
stated uncertainty of the point explains speaks against nothing.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from engcalc.studies.bench.points import BenchPoint
from engcalc.units import Array

LEAST_POINTS = 3
OUTLIER_POINTS = 5  # fewer cannot tell which of them lies off; common practice, no source
STEADY = 0.10  # -, of its mean, by which the flow of the other side may vary; common practice, no source
VARIED = 1.3  # -, largest over smallest flow of the varied side, at least; common practice, no source
LIMITS = (  # points; modified z of a heat balance, of a distance from the line, that one class of twenty passes
    # whose errors are normal and nothing else: by 40,000 drawn classes each
    (5, 7.8, 29.0),
    (6, 5.6, 10.8),
    (7, 5.9, 10.2),
    (8, 4.9, 6.9),
    (9, 5.0, 6.7),
    (10, 4.6, 5.7),
    (12, 4.4, 5.1),
    (16, 4.1, 4.6),
    (25, 3.9, 4.1),
    (40, 3.8, 3.9),
)
EXPLAINED = 2.0  # standard uncertainties of a point; 95 % lie within
Z_OF_MAD = 0.6745  # -; upper quartile of the normal law
LEAST_MAD = 1e-6  # -; of what agrees to the last digit nothing lies off
Z_95 = 1.959964  # -; 97.5 % quantile of the normal law
_T_95 = (
    12.706,
    4.303,
    3.182,
    2.776,
    2.571,
    2.447,
    2.365,
    2.306,
    2.262,
    2.228,
)  # -; Student's t, 97.5 %, 1 to 10 degrees


@dataclass(frozen=True, eq=False)
class WilsonFit:
    """The line through 1/UA over m^-n, and the varied side's film that comes of it."""

    side: str  # hot or cold: the side whose flow is varied
    exponent: float  # -
    paths: tuple[str, ...]  # of the points that count
    x: Array  # m^-n, SI
    y: Array  # K/W, 1/UA
    rest: float  # K/W, intercept: all resistances but the varied film's
    rest_u: float
    slope: float  # K/W (kg/s)^n
    slope_u: float
    scatter: float  # K/W, standard deviation of the points about the line
    t: float  # -, Student's, 95 %
    mean_x: float
    spread_x: float  # sum of squares about the mean

    def line(self, x: Array) -> Array:
        """1/UA [K/W] on the line."""
        return np.asarray(self.rest + self.slope * x)

    def band(self, x: Array) -> Array:
        """Half the width of the line's 95 % band [K/W]; 0 with no points to spare."""
        spare = 1.0 / len(self.paths) + (x - self.mean_x) ** 2 / self.spread_x
        return np.asarray(self.t * self.scatter * np.sqrt(spare))

    def film(self, flow: Array) -> Array:
        """h A [W/K] of the varied film at a flow [kg/s]; nothing where the slope is not positive."""
        if self.slope > 0.0:
            return np.asarray(flow**self.exponent / self.slope)
        return np.zeros(np.shape(flow))

    @property
    def flows(self) -> Array:
        """The varied flow of each point [kg/s]."""
        return np.asarray(self.x ** (-1.0 / self.exponent))

    @property
    def film_share_u(self) -> float:
        """Relative standard uncertainty of the film [-]."""
        if self.slope > 0.0:
            return self.slope_u / self.slope
        return 0.0


def students_t(degrees: int) -> float:
    """The 97.5 % quantile of Student's t; beyond ten degrees of freedom by its expansion in one over them.

    Abramowitz and Stegun, 26.7.5, up to the third power.

    >>> students_t(4), round(students_t(20), 3)
    (2.776, 2.086)
    """
    if degrees < 1:
        return 0.0
    if degrees <= len(_T_95):
        return _T_95[degrees - 1]
    z = Z_95
    d = float(degrees)
    first = (z**3 + z) / 4.0
    second = (5.0 * z**5 + 16.0 * z**3 + 3.0 * z) / 96.0
    third = (3.0 * z**7 + 19.0 * z**5 + 17.0 * z**3 - 15.0 * z) / 384.0
    return z + first / d + second / d**2 + third / d**3


def wilson_fit(points: Sequence[BenchPoint], exponent: float) -> WilsonFit | None:
    """The fit over the points that some exchanger explains; None where no side's flow was varied alone."""
    good = [p for p in points if p.possible and p.UA.value > 0.0]
    side = _varied_side(good)
    if side is None:
        return None
    x = np.array([_flow(p, side) ** -exponent for p in good])
    y = np.array([1.0 / p.UA.value for p in good])
    return _fitted(side, exponent, tuple(p.path for p in good), x, y)


def _fitted(side: str, exponent: float, paths: tuple[str, ...], x: Array, y: Array) -> WilsonFit:
    mean_x = float(x.mean())
    mean_y = float(y.mean())
    spread = float(np.sum((x - mean_x) ** 2))
    slope = float(np.sum((x - mean_x) * (y - mean_y))) / spread
    rest = mean_y - slope * mean_x
    spare = len(paths) - 2
    off = y - rest - slope * x
    scatter = float(np.sqrt(np.sum(off**2) / spare)) if spare > 0 else 0.0
    return WilsonFit(
        side=side,
        exponent=exponent,
        paths=paths,
        x=x,
        y=y,
        rest=rest,
        rest_u=scatter * float(np.sqrt(1.0 / len(paths) + mean_x**2 / spread)),
        slope=slope,
        slope_u=scatter / float(np.sqrt(spread)),
        scatter=scatter,
        t=students_t(spare),
        mean_x=mean_x,
        spread_x=spread,
    )


def _flow(point: BenchPoint, side: str) -> float:
    """Mass flow [kg/s] of a side."""
    return float((point.streams.hot if side == "hot" else point.streams.cold)[0])


def _varied_side(points: Sequence[BenchPoint]) -> str | None:
    if len(points) < LEAST_POINTS:
        return None
    for side, other in (("hot", "cold"), ("cold", "hot")):
        varied = [_flow(p, side) for p in points]
        kept = [_flow(p, other) for p in points]
        steady = max(kept) - min(kept) <= 2.0 * STEADY * float(np.mean(kept))
        if steady and max(varied) >= VARIED * min(varied):
            return side
    return None


def outliers(points: Sequence[BenchPoint], fit: WilsonFit | None) -> tuple[str, ...]:
    """Paths of the points that lie off the others: by their heat balance, or by their distance from the line."""
    good = [p for p in points if p.possible]
    count, balances, distances = (np.array(column) for column in zip(*LIMITS, strict=True))
    off = _off(
        [p.path for p in good],
        np.array([p.balance.value for p in good]),
        np.array([p.balance.u for p in good]),
        float(np.interp(len(good), count, balances)),
    )
    if fit is not None:
        share = {p.path: p.UA.u / p.UA.value for p in good if p.path in fit.paths}
        off |= _off(
            list(fit.paths),
            (fit.y - _line_of_medians(fit.x, fit.y)) / fit.y,
            np.array([share[path] for path in fit.paths]),
            float(np.interp(len(fit.paths), count, distances)),
        )
    return tuple(p.path for p in points if p.path in off)


def _off(paths: Sequence[str], values: Array, u: Array, limit: float) -> set[str]:
    """The paths whose value lies off the others; ``u`` is the standard uncertainty of each value, 0 where unstated."""
    if len(paths) < OUTLIER_POINTS:
        return set()
    from_median = np.abs(values - np.median(values))
    deviation = max(float(np.median(from_median)), LEAST_MAD)
    is_off = (Z_OF_MAD * from_median / deviation > limit) & (from_median > EXPLAINED * u)
    return {path for path, off in zip(paths, is_off, strict=True) if off}


def _line_of_medians(x: Array, y: Array) -> Array:
    """A line that a few stray points do not move: median of all pairs' slopes (Sen, JASA 63 (1968) 1379)."""
    i, j = np.triu_indices(len(x), 1)
    apart = np.abs(x[i] - x[j]) > 1e-12
    rises = (y[i] - y[j])[apart]
    runs = (x[i] - x[j])[apart]
    slope = float(np.median(rises / runs))
    return np.asarray(slope * x + float(np.median(y - slope * x)))
