"""One way to the properties of whatever flows through an exchanger on a bench."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np

from engcalc.properties.air import air_state
from engcalc.properties.coolant import Base, CoolantMixture
from engcalc.properties.fluid import Fluid
from engcalc.properties.named_fluid import named_state
from engcalc.properties.oil import oil_state
from engcalc.units import Array

StateOf: TypeAlias = Callable[[Array], Fluid]
"""Properties of a stream at temperatures [K]."""


@dataclass(frozen=True)
class StatedFluid:
    """A fluid by its properties, the same at every temperature. What nobody stated is 0 and takes no part."""

    density: float  # kg/m3
    specific_heat: float  # J/(kg K)

    def __call__(self, T: Array) -> Fluid:
        """The same whatever the temperature."""
        none = np.zeros(np.shape(T))
        return Fluid(none + self.density, none + self.specific_heat, none, none)


def mixture(base: Base, volume_fraction: float) -> StateOf:
    """Water, or glycol and water, glycol by volume [-]."""
    return CoolantMixture(base, np.array([volume_fraction])).state


def dry_air(pressure: float) -> StateOf:
    """Dry air at ``pressure`` [Pa]."""
    return lambda T: air_state(T, np.array([pressure]), np.zeros(1))


def named(name: str, pressure: float) -> StateOf:
    """A substance by its name in CoolProp at ``pressure`` [Pa]; RangeError where CoolProp has no answer."""
    return lambda T: named_state(name, pressure, T)


oil: StateOf = oil_state
