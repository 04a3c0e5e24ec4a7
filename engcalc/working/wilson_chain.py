"""The working of a Wilson plot: from the sums over a class's points to slope, intercept, band and film coefficient.

The sums stand under the table of the points, of which each column is x = m^-n, y = 1/UA or a product of both.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from engcalc.units import Array
from engcalc.working.chapters import Chapter, WorkedChapter, steps_with, worked_with
from engcalc.working.same_digits import with_same_digits
from engcalc.working.shown import Term, terms_of


@dataclass(frozen=True, eq=False)
class WilsonNumbers:
    """Where the paths of the terms begin: the points that count, and what the fit made of them. SI."""

    m: Array  # kg/s, varied flow of each point
    UA: Array  # W/K
    exponent: float  # -
    rest: float  # K/W
    rest_u: float
    slope: float  # K/W (kg/s)^n
    slope_u: float
    scatter: float  # K/W
    t: float  # -, Student's t of the band
    coverage: float  # -, k
    area: float | None  # m2

    @property
    def x(self) -> Array:
        """Flow to minus its power."""
        return np.asarray(self.m**-self.exponent)

    @property
    def y(self) -> Array:
        """Resistance of each point [K/W]."""
        return np.asarray(1.0 / self.UA)

    @property
    def off_line(self) -> Array:
        """Distance of each point from the line [K/W]."""
        return np.asarray(self.y - self.rest - self.slope * self.x)

    @property
    def count(self) -> float:
        """Points that count."""
        return float(len(self.m))

    @property
    def sum_x(self) -> float:
        """Sum of x."""
        return float(self.x.sum())

    @property
    def sum_y(self) -> float:
        """Sum of y [K/W]."""
        return float(self.y.sum())

    @property
    def mean_x(self) -> float:
        """Mean of x."""
        return float(self.x.mean())

    @property
    def mean_y(self) -> float:
        """Mean of y [K/W]."""
        return float(self.y.mean())

    @property
    def sum_xx(self) -> float:
        """Sum of the squared distances from the mean of x."""
        return float(np.sum((self.x - self.mean_x) ** 2))

    @property
    def sum_xy(self) -> float:
        """Sum of the products of both distances from their means [K/W]."""
        return float(np.sum((self.x - self.mean_x) * (self.y - self.mean_y)))

    @property
    def sum_rr(self) -> float:
        """Sum of the squared distances from the line [(K/W)2]."""
        return float(np.sum(self.off_line**2))

    @property
    def lowest(self) -> float:
        """Lowest varied flow [kg/s]."""
        return float(self.m.min())

    @property
    def highest(self) -> float:
        """Highest varied flow [kg/s]."""
        return float(self.m.max())

    @property
    def rest_expanded(self) -> float:
        """Expanded uncertainty of the intercept [K/W]."""
        return self.coverage * self.rest_u

    @property
    def slope_expanded(self) -> float:
        """Expanded uncertainty of the slope."""
        return self.coverage * self.slope_u

    @property
    def band(self) -> float:
        """Half the width of the line's band at the axis [K/W]."""
        return self.t * self.rest_u

    def _film(self, flow: float) -> float:
        return float(flow**self.exponent) / self.slope

    @property
    def film_low(self) -> float:
        """Conductance of the varied film at the lowest flow [W/K]."""
        return self._film(self.lowest)

    @property
    def film_high(self) -> float:
        """Conductance of the varied film at the highest flow [W/K]."""
        return self._film(self.highest)

    @property
    def h_low(self) -> float | None:
        """Film coefficient at the lowest flow [W/(m2 K)]; None where no area is stated."""
        if self.area is None:
            return None
        return self.film_low / self.area

    @property
    def h_high(self) -> float | None:
        """Film coefficient at the highest flow [W/(m2 K)]."""
        if self.area is None:
            return None
        return self.film_high / self.area

    @property
    def spare(self) -> float:
        """Points beyond the two that a line needs."""
        return self.count - 2.0


WILSON_TERMS: Mapping[str, Term] = terms_of(
    ("n", "exponent", "", "power of the flow"),
    ("N", "count", "", "points that count"),
    ("S_x", "sum_x", "", "sum of x, the flow in kg/s to minus the power n"),
    ("S_y", "sum_y", "K/W", "sum of y, one over the conductance"),
    ("S_xx", "sum_xx", "", "sum of the squared distances from the mean of x"),
    ("S_xy", "sum_xy", "K/W", "sum of the products of the distances from both means"),
    ("S_rr", "sum_rr", "", "sum of the squared distances from the line, in K/W"),
    ("x_m", "mean_x", "", "mean of x"),
    ("y_m", "mean_y", "K/W", "mean of y"),
    ("B", "slope", "", "slope of the line, in K/W (kg/s)ⁿ"),
    ("R_0", "rest", "K/W", "resistances that stay: where the line meets the axis"),
    ("s", "scatter", "K/W", "standard deviation of the points about the line"),
    ("N_spare", "spare", "", "points beyond two"),
    ("u_B", "slope_u", "", "standard uncertainty of the slope, in K/W (kg/s)ⁿ"),
    ("u_R", "rest_u", "K/W", "standard uncertainty of the resistances that stay"),
    ("k_p", "coverage", "", "coverage factor"),
    ("U_B", "slope_expanded", "", "expanded uncertainty of the slope, in K/W (kg/s)ⁿ"),
    ("U_R", "rest_expanded", "K/W", "expanded uncertainty of the resistances that stay"),
    ("t_95", "t", "", "Student's t, two-sided 95 %"),
    ("R_band", "band", "K/W", "half the width of the band where the line meets the axis"),
    ("m_lo", "lowest", "kg/s", "lowest flow"),
    ("m_hi", "highest", "kg/s", "highest flow"),
    ("hA_lo", "film_low", "W/K", "conductance of the varied film at the lowest flow"),
    ("hA_hi", "film_high", "W/K", "conductance of the varied film at the highest flow"),
    ("A", "area", "m2", "heat transfer area"),
    ("h_lo", "h_low", "W/(m2 K)", "film coefficient at the lowest flow"),
    ("h_hi", "h_high", "W/(m2 K)", "film coefficient at the highest flow"),
)
_step = steps_with(WILSON_TERMS)
_LEAST_SQUARES = "least squares"
_DEFINITION = "definition"
_BAND = "Montgomery and Runger, ch. 11; from memory"
_FILM = "Wilson, Trans. ASME 37 (1915) 47"

CHAPTERS = (
    Chapter(
        "The line",
        (
            _step("x_m", "S_x/N", _DEFINITION),
            _step("y_m", "S_y/N", _DEFINITION),
            _step("B", "S_xy/S_xx", _LEAST_SQUARES),
            _step("R_0", "y_m - B*x_m", _LEAST_SQUARES),
        ),
    ),
    Chapter(
        "How sure it is",
        (
            _step("s", "sqrt(S_rr/(N - 2))", _LEAST_SQUARES, None, "N_spare - 0.5"),
            _step("u_B", "s/sqrt(S_xx)", _BAND, None, "N_spare - 0.5"),
            _step("u_R", "s*sqrt(1/N + x_m**2/S_xx)", _BAND, None, "N_spare - 0.5"),
            _step("U_B", "k_p*u_B", "JCGM 100:2008, eq. 18", None, "N_spare - 0.5"),
            _step("U_R", "k_p*u_R", "JCGM 100:2008, eq. 18", None, "N_spare - 0.5"),
            _step("R_band", "t_95*u_R", _BAND, None, "N_spare - 0.5"),
        ),
    ),
    Chapter(
        "The film of the varied stream",
        (
            _step("hA_lo", "m_lo**n/B", _FILM, None, "B"),
            _step("hA_hi", "m_hi**n/B", _FILM, None, "B"),
            _step("h_lo", "hA_lo/A", _DEFINITION, None, "B"),
            _step("h_hi", "hA_hi/A", _DEFINITION, None, "B"),
        ),
    ),
)


def work_wilson(of: WilsonNumbers) -> tuple[WorkedChapter, ...]:
    """The chapters of the plot's working; without points to spare nothing of its uncertainty, with a slope that is not
    positive nothing of a film."""
    worked = (worked_with(chapter, WILSON_TERMS, of) for chapter in CHAPTERS)
    return with_same_digits([chapter for chapter in worked if chapter.lines or chapter.failures], of)
