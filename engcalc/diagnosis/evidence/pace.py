"""Vehicles of one class warm up at paces that differ by more than what is drawn of them: engine size, metal, heat.

The pace multiplies all that stores heat. With heat Q and losses U the balance C dT/dt = Q - U (T - T_air) makes of a
pace exp(z PACE), z standard normal, to the first order

    T -> T - z PACE S,    dS/dt = dT/dt - S/tau,    tau = C/U

S is the rise that is not forgotten yet: much while a vehicle warms up, little once its valve holds it. That one number
is integrated in closed form, member by member (:func:`less_sure`): no draw is spent on it.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np

from engcalc.diagnosis.members.simulated import Simulated
from engcalc.units import Array

# log; by which the pace of vehicles of a class differs beside what is drawn. Chosen on 33 vehicles of a generator that
# shares nothing with the program's engine; not fitted to real cars. See tests/foreign/RESULTS.md
PACE = 0.3
FORGOTTEN = 400.0  # s; in which an engine loses what was added to it
_READ = ("shown", "coolant", "upper_hose", "lower_hose", "heater_in", "heater_out", "cabin", "vent", "block")


def unforgotten(s: Simulated) -> Simulated:
    """Members with S [K] in the place of every temperature that is read in time."""
    kept: dict[str, Any] = {name: not_forgotten(getattr(s, name), s.time) for name in _READ}
    return replace(s, **kept)


def not_forgotten(series: Array, time: Array) -> Array:
    """S [K] of a series (samples, members) at times [s], its rise taken as even between two samples."""
    kept = np.zeros(series.shape)
    passed = np.diff(time)
    left = np.exp(-passed / FORGOTTEN)
    of_rise = (1.0 - left) * FORGOTTEN / passed  # share of what came between two samples that is left at the second
    rise = np.diff(series, axis=0) * of_rise[:, None]
    for k in range(len(rise)):
        kept[k + 1] = kept[k] * left[k] + rise[k]
    return kept


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
