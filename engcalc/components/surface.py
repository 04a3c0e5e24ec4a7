"""How much more heat an engine's surface gives off in the wind of driving than standing still.

Standing, free convection and radiation give off ``STANDING``. In the wind the surface is a plate in turbulent flow:

    Nu = 0.037 Re^(4/5) Pr^(1/3)            Incropera et al., Fundamentals of Heat and Mass Transfer, 7th ed., eq. 7.38
    h^3 = h_standing^3 + h_forced^3         the same, eq. 9.64: forced and free convection together

The wind about the engine is a small share of the speed of the air that comes from the front, as it lies behind
radiator, grille and undertray.
"""

from __future__ import annotations

import numpy as np

from engcalc.units import Array

STANDING = 9.0  # W/(m2 K); free convection with radiation, some 60 K over the air; common practice, no source
WIND = 0.10  # -, of the speed of the air from the front, about the engine; common practice, no source
LENGTH = 0.4  # m, along the air; common practice, no source
AIR_K = 0.0285  # W/(m K); air of 330 K, Incropera Table A.4, from memory
AIR_NU = 19.0e-6  # m2/s; the same
AIR_PR = 0.70  # -; the same


def surface_growth(air_speed: Array) -> Array:
    """Heat loss with air against the front at a speed [m/s] over that in still air [-].

    1.2 at 50 km/h, 1.8 at 100 km/h; 1 of air from behind (negative).
    """
    Re = WIND * np.maximum(air_speed, 0.0) * LENGTH / AIR_NU
    forced = 0.037 * Re**0.8 * AIR_PR ** (1.0 / 3.0) * AIR_K / LENGTH
    return np.asarray((1.0 + (forced / STANDING) ** 3) ** (1.0 / 3.0))
