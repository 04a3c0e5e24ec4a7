"""A maker's table of a core's heat over coolant and air flow: one factor through all points, and what it misses.

Points stand in one cell, parted by semicolons or bars, each flow@air velocity@heat@difference of the inlets
(``60 L/min@3 m/s@25 kW@60 K``). The factor on the conductance that the dimensions predict is the one by which the
relative misses of the heats are least (least squares). Coolant and air of a maker's point: ``plant.rated_scale``.

One factor moves all heats together. What is left over tells how well the dimensions tell the slope over either flow.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from engcalc.case.case import Case
from engcalc.components.core import RatedPoint, evaluate
from engcalc.errors import InputError, InputFault
from engcalc.studies.choice.part_curves import read_points
from engcalc.system.plant import at_rated_points
from engcalc.units import Array
from engcalc.words.texts import study_texts

KINDS_OF_POINT = ("coolant flow", "air speed", "heat rate", "temperature difference")
FACTORS = (0.1, 10.0)  # as ``radiator.ua_scale`` accepts
_STEPS = 40  # at most, towards the logarithm of the factor
_NEAR = 1e-10  # of that logarithm, from which it is found
_MOVE = 1e-4  # of that logarithm, for its slope


@dataclass(frozen=True, eq=False)
class HeatPoints:
    """A maker's points: coolant flow [m3/s], air velocity [m/s], heat [W] and difference of the inlets [K]."""

    flow: Array
    velocity: Array
    heat: Array
    difference: Array


@dataclass(frozen=True, eq=False)
class HeatFit:
    """The points with the factor [-] through them; ``misses`` [-]: heat of each point less the computed, over it."""

    points: HeatPoints
    factor: float
    misses: Array

    @property
    def rms(self) -> float:
        """Root mean square of the relative misses [-]."""
        return float(np.sqrt(np.mean(self.misses**2)))

    @property
    def worst(self) -> int:
        """The point that is missed most."""
        return int(np.argmax(np.abs(self.misses)))


def heat_points(cell: str, where: str) -> HeatPoints:
    """The points of a cell. Raises InputError under ``where``."""
    points = HeatPoints(*read_points(cell, where, KINDS_OF_POINT, study_texts.HEAT_POINTS_EXAMPLE).T)
    if any((column <= 0.0).any() for column in vars(points).values()):
        raise InputError((InputFault(where, cell, study_texts.FLOWS_HEATS_AND_DIFFERENCES_ABOVE_0_WOULD_DO),))
    return points


def heat_fit(case: Case, points: HeatPoints) -> HeatFit:
    """The factor through a maker's points for the core of a case. RangeError for a core that cannot be built."""
    point = RatedPoint(points.heat, points.flow, points.velocity, points.difference)
    rated, arrangement = at_rated_points(case, point)

    def misses(log_factor: float) -> Array:
        found = evaluate(rated.predicted.core, rated.predicted.flows, arrangement, float(np.exp(log_factor)))
        return np.asarray((points.heat - found.Q) / points.heat)

    low, high = np.log(FACTORS)
    x = float(np.clip(np.mean(np.log(rated.ua_scale)), low, high))
    for _ in range(_STEPS):  # Gauss and Newton
        here = misses(x)
        slope = (misses(x + _MOVE) - misses(x - _MOVE)) / (2.0 * _MOVE)
        step = float(slope @ here / max(float(slope @ slope), 1e-12))
        x, before = float(np.clip(x - step, low, high)), x
        if abs(x - before) < _NEAR:
            break
    return HeatFit(points, float(np.exp(x)), misses(x))
