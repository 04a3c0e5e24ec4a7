"""Hoses: heat that they lose to the air through a rubber wall.

Those between engine and heater core are a part of the surface conductance of a case: what the engine's surface loses
is the rest. Where the coolant and the hoses are is common practice without a source (constants below).
"""

from __future__ import annotations

import numpy as np

from engcalc.units import Array

WALL = 4.5e-3  # m; common practice, no source
RUBBER_K = 0.25  # W/(m K); common practice, no source
AIR_FILM = 14.0  # W/(m2 K); slow air in the engine bay with radiation; common practice, no source
VOLUME_HEATER = 0.12  # share of the coolant in the heater and its hoses
HEATER_HOSE = 0.5  # share of the heater's coolant in its hoses
HEATER_HOSE_SLENDER = 100.0  # length over bore: two of 1 m of 18 mm together
HEATER_HOSE_MOST = 0.2  # share of the surface that the heater's hoses are at most


def hose_conductance(volume: Array, slender: float) -> Array:
    """Conductance [W/K] from the coolant in hoses of a volume [m3] to the air; ``slender`` is length over bore.

    U A with A = pi (d + 2 t) L of the outside and 1/U = 1/h + t/k, where V = pi d^2 L/4 and L = slender d. The film
    inside is left out: it is some tenth of the wall at the slowest flow. Some 1 W/K for the upper hose of a car.
    """
    bore = np.cbrt(4.0 * volume / (np.pi * slender))
    outside = np.pi * (bore + 2.0 * WALL) * slender * bore
    return np.asarray(outside / (1.0 / AIR_FILM + WALL / RUBBER_K))


def heater_hose_conductance(coolant_volume: Array, surface_conductance: Array) -> Array:
    """That of the heater's hoses [W/K] from all the coolant [m3] and the case's surface conductance [W/K]."""
    return np.minimum(
        hose_conductance(VOLUME_HEATER * HEATER_HOSE * coolant_volume, HEATER_HOSE_SLENDER),
        HEATER_HOSE_MOST * surface_conductance,
    )
