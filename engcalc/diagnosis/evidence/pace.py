"""Vehicles of one class warm up at paces that differ by more than what is drawn of them: engine size, metal, heat.

What a pace does to a course says :mod:`engcalc.vehicle.discrepancy`: T -> T - z PACE S, z standard normal. That one
number is integrated in closed form, member by member (:func:`less_sure`): no draw is spent on it.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np

from engcalc.diagnosis.members.simulated import Simulated
from engcalc.units import Array
from engcalc.vehicle.discrepancy import not_forgotten

_READ = ("shown", "coolant", "upper_hose", "lower_hose", "heater_in", "heater_out", "cabin", "vent", "block")


def unforgotten(s: Simulated) -> Simulated:
    """Members with S [K] in the place of every temperature that is read in time."""
    kept: dict[str, Any] = {name: not_forgotten(getattr(s, name), s.time) for name in _READ}
    return replace(s, **kept)


def less_sure(y: Array, a: Array) -> Array:
    """Log of the integral of exp(-|y - z a|^2/2) over a standard normal z, (members,); y and a (readings, members):

    -|y|^2/2 + (a.y)^2/(2 (1 + a.a)) - log(1 + a.a)/2
    """
    aa = (a * a).sum(axis=0)
    ay = (a * y).sum(axis=0)
    yy = (y * y).sum(axis=0)
    return np.asarray(-0.5 * (yy - ay**2 / (1.0 + aa) + np.log1p(aa)))


def whitened_of(y: Array, a: Array) -> Array:
    """y (readings, members) less what one vector a (readings,) times a standard normal number explains, so that its
    squares are those of :func:`less_sure`."""
    aa = float(a @ a)
    if aa == 0.0:
        return y
    shrinks = (1.0 - 1.0 / np.sqrt(1.0 + aa)) / aa
    return np.asarray(y - shrinks * np.outer(a, a @ y))
