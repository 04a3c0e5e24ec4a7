"""Properties as the table of a problem gives them: the engine's own, at one temperature [K] and 101.3 kPa."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from engcalc.classroom.topic import LookedUp, SiValues
from engcalc.properties.air import air_state
from engcalc.properties.coolant import Base, thermo
from engcalc.properties.fluid import Fluid
from engcalc.units import Array, UnitSystem
from engcalc.words.texts import class_texts

ATMOSPHERE = 101325.0  # Pa; standard atmosphere
HALF = 0.5  # -, glycol by volume
WATER = "water"
COOLANT = class_texts.HALF_ETHYLENE_GLYCOL
AIR = class_texts.DRY_AIR_AT_101_3_KPA

PROPERTIES = {
    "rho": ("density", "density"),
    "cp": ("specific heat", "specific heat"),
    "k": ("thermal conductivity", "conductivity"),
    "mu": ("viscosity", "viscosity"),
}
"""Label and measure of each property."""


def one(value: float) -> Array:
    """A number as the engine takes it."""
    return np.array([value])


def fluid(substance: str, kelvin: float) -> Fluid:
    """The four properties of a substance at a temperature [K]."""
    if substance == AIR:
        return air_state(one(kelvin), one(ATMOSPHERE), one(0.0))
    base = Base.WATER if substance == WATER else Base.ETHYLENE
    return thermo(one(kelvin), one(HALF), base)


def looked_up(symbol: str, name: str, substance: str, at: str) -> LookedUp:
    """Property ``name`` (rho, cp, k, mu) of a substance at the temperature whose symbol is ``at``."""
    label, measure = PROPERTIES[name]
    return LookedUp(symbol, label, measure, _reader(name, substance, at), f"{substance}, at {{{at}}}")


def _reader(name: str, substance: str, at: str) -> Callable[[SiValues, UnitSystem], float]:
    def read(si: SiValues, _system: UnitSystem) -> float:
        return float(getattr(fluid(substance, si[at]), name)[0])

    return read
