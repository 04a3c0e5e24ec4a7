"""The coolant circuit over a record under one cause: the middle of its members, each by its share of the odds."""

from __future__ import annotations

import numpy as np

from engcalc.diagnosis.members.simulated import Simulated
from engcalc.system.round_circuit import CircuitCourse
from engcalc.units import Array

_TEMPERATURES = ("coolant", "upper_hose", "lower_hose", "heater_in", "heater_out", "vent")
_MEANS = ("radiator_flow", "heater_flow", "bypass_flow", "opening", "fan_speed")


def middle_course(members: Simulated, weight: Array, ambient: float) -> CircuitCourse:
    """Median temperatures and mean flows over members of ``weight`` (members,), at an air of ``ambient`` [K].

    Means of flows add up at every junction as those of each member do; medians would not.
    """
    share = weight / weight.sum()
    kept = np.flatnonzero(share > 0.0)
    share = share[kept]

    def median(series: Array) -> Array:
        order = np.argsort(series, axis=1)
        reached = np.cumsum(share[order], axis=1) >= 0.5
        at = np.take_along_axis(order, reached.argmax(axis=1)[:, None], axis=1)
        return np.asarray(np.take_along_axis(series, at, axis=1)[:, 0])

    warm = {name: median(getattr(members, name)[:, kept]) for name in _TEMPERATURES}
    flows = {name: getattr(members, name)[:, kept] @ share for name in _MEANS}
    return CircuitCourse(time=members.time, sensor=median(members.shown[:, kept]), ambient=ambient, **warm, **flows)
