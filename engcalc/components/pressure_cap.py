"""Pressure cap: the absolute pressure that a healthy system reaches, and the boiling point that comes with it.

The cap holds a gauge pressure, so that the absolute pressure falls with altitude. Pressure stands only once it was
built: a leak, a fresh fill or an open system has the atmosphere's.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from engcalc.case.sections import Sections
from engcalc.properties.air import pressure_at_altitude
from engcalc.properties.coolant import Base, boiling_point, saturation_pressure, water_mole_fraction
from engcalc.units import Array


@dataclass(frozen=True, eq=False)
class PreparedCap:
    """What of a system sets its boiling point, whatever the altitude."""

    base: Base
    concentration: Array  # -, by volume
    gauge_pressure: Array  # Pa, 0 for an open system
    at_pump: bool  # the cap's pressure stands at the pump's inlet; else on the radiator's tank, ahead of its core


def prepare_cap(case: Sections) -> PreparedCap:
    """The cap of a case; a system without a tank is open, whatever its cap says."""
    coolant = case.coolant
    gauge = np.zeros_like(coolant.cap_pressure) if coolant.tank == "none" else coolant.cap_pressure
    return PreparedCap(Base(coolant.base), coolant.concentration, gauge, coolant.tank != "overflow bottle")


def absolute_pressure(cap: PreparedCap, altitude: Array) -> Array:
    """Absolute pressure [Pa] with the cap at its opening pressure, at an altitude [m] of the standard atmosphere."""
    return np.asarray(pressure_at_altitude(altitude) + cap.gauge_pressure)


def boiling(cap: PreparedCap, altitude: Array) -> Array:
    """Boiling point [K] at the cap's pressure, on the safe side (``coolant.BOILING_UNCERTAINTY`` goes with it)."""
    return boiling_point(cap.base, cap.concentration, absolute_pressure(cap, altitude))


def over_vapour(cap: PreparedCap, altitude: Array, drop: Array, T: Array) -> Array:
    """Pressure at the pump's inlet over the coolant's vapour pressure [Pa], at the inlet's temperature T [K].

    A surge tank is led to the pump's inlet; behind a cap on the radiator, the core and its hoses take ``drop`` [Pa].
    Vapour by Raoult's law; the column of coolant over the pump is left out.
    """
    vapour = saturation_pressure(T) * water_mole_fraction(cap.base, cap.concentration)
    return np.asarray(absolute_pressure(cap, altitude) - (0.0 if cap.at_pump else 1.0) * drop - vapour)
