"""A substance by its name in CoolProp, for exchangers on a bench.

CoolProp takes seconds to import and stalls every thread meanwhile: it is imported when the first such fluid is asked
for, and not before.
"""

from __future__ import annotations

import numpy as np

from engcalc.errors import RangeError
from engcalc.properties.fluid import Fluid
from engcalc.units import Array
from engcalc.words.texts import plant_texts

_ASKED = ("D", "C", "L", "V")  # density, specific heat, conductivity, viscosity as CoolProp calls them


def named_state(name: str, pressure: float, T: Array) -> Fluid:
    """The four properties of a substance at ``pressure`` [Pa] and ``T`` [K].

    Raises RangeError where CoolProp knows no such name or has no answer there (beyond its range, or while it boils).
    """
    from CoolProp.CoolProp import PropsSI

    T = np.atleast_1d(np.asarray(T, dtype=np.float64))
    try:
        rho, cp, k, mu = (np.atleast_1d(PropsSI(key, "T", T, "P", pressure, name)) for key in _ASKED)
    except ValueError as error:
        raise RangeError(f"{name}: {_reason(str(error))}") from error
    found = Fluid(rho, cp, k, mu)
    if not all(np.all(np.isfinite(one) & (one > 0.0)) for one in (rho, cp, k, mu)):
        raise RangeError(
            plant_texts.NO_PROPERTIES_AT_TO_K_AND_PA.format(name=name, min=T.min(), max=T.max(), pressure=pressure)
        )
    return found


def _reason(told: str) -> str:
    """What CoolProp says, without the call that it repeats."""
    return told.partition(": PropsSI")[0].strip()[:200]
