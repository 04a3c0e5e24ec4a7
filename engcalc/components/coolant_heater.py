"""Heater in the coolant circuit, fuel-fired or electric: it warms the coolant on its way to the heater core.

With the coolant's temperature T at the engine's outlet and C the capacity rate that passes the heater,

    Q = min(P s (T_stop - T)/(T_stop - T_reduce), C (T_stop - T)),   the fraction held between 0 and 1

P is its full power and s the share of it at which it is run. Real ones burn in two stages and pause; the straight line
is their mean. The second bound keeps the coolant that leaves it under T_stop, so that it gives little where little
coolant passes. Both are common practice without a source: the maker's temperatures come first.

Arrays: float64, members on the last axis, all broadcast.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from engcalc.case.sections import Sections
from engcalc.units import Array

NOT_NOTED = 0.5  # -; share of its power in a run of which nobody noted whether it ran: midway
LEAST_SPAN = 0.1  # K; between the two temperatures of its control, in members of an ensemble that cross them
_RAN: Mapping[str, tuple[str, ...]] = {
    "fuel-fired": ("fuel-fired",),
    "electric": ("electric",),
    "both": ("fuel-fired", "electric"),
    "none": (),
    "unknown": (),
}


@dataclass(frozen=True, eq=False)
class PreparedCoolantHeater:
    """Everything of the heater that no duty changes."""

    power: Array  # W; 0 for none
    stops: Array  # K; where it gives nothing
    span: Array  # K; below that, over which it gives less and less
    pump_flow: Array  # m3/s through the heater branch while the engine's pump rests; 0 without a pump of its own

    @property
    def fitted(self) -> bool:
        """Whether there is one in any member."""
        return bool(np.any(self.power > 0.0))


def prepare_coolant_heater(case: Sections) -> PreparedCoolantHeater:
    """The coolant heater of a case; what the heater valve shuts off, its own pump does not move either."""
    h = case.heater
    there = 1.0 if case.heater.coolant_heater != "none" else 0.0
    span = np.maximum(h.coolant_heater_stops - h.coolant_heater_reduces, LEAST_SPAN)
    return PreparedCoolantHeater(
        there * h.coolant_heat, h.coolant_heater_stops, span, there * h.coolant_heater_pump * h.valve
    )


def own_flow(heater: PreparedCoolantHeater, share: Array) -> Array:
    """Flow [m3/s] of its own pump in the heater branch; 0 where the heater is switched off (``share`` 0)."""
    return np.asarray(np.where((share > 0.0) & (heater.power > 0.0), heater.pump_flow, 0.0))


def coolant_heat(heater: PreparedCoolantHeater, share: Array, T: Array, C: Array) -> Array:
    """Heat into the coolant [W] at ``share`` of its power [-], coolant at T [K], capacity rate C [W/K] passing it.

    >>> one = PreparedCoolantHeater(*(np.array([x]) for x in (5000.0, 353.15, 5.0, 1e-4)))
    >>> [float(coolant_heat(one, np.ones(1), np.array([T]), np.array([500.0]))[0]) for T in (293.15, 350.65, 360.0)]
    [5000.0, 1250.0, 0.0]
    """
    below = np.maximum(heater.stops - T, 0.0)
    on = np.minimum(below / heater.span, 1.0)
    return np.asarray(np.minimum(heater.power * share * on, C * below))


def share_run(kind: str, noted: str) -> float:
    """Share of its power at which a coolant heater of a ``kind`` ran in a record that has ``noted`` which heater ran.

    >>> share_run("fuel-fired", "both"), share_run("fuel-fired", "electric"), share_run("electric", "unknown")
    (1.0, 0.0, 0.5)
    """
    return NOT_NOTED if noted == "unknown" else float(kind in _RAN[noted])
