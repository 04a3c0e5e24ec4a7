"""The four properties of a stream that films, flows and heat rates are computed from."""

from __future__ import annotations

from dataclasses import dataclass

from engcalc.units import Array


@dataclass(frozen=True, eq=False, slots=True)
class Fluid:
    """Coolant or air at one temperature, each property of the broadcast shape of temperature and members.

    Air's specific heat counts per kilogram of moist air. Where a formula asks for it, the density is that of another
    temperature (the inlet's) than the rest (the film's): whoever makes it says so.
    """

    rho: Array  # kg/m3, density
    cp: Array  # J/(kg K), specific heat
    k: Array  # W/(m K), conductivity
    mu: Array  # Pa s, dynamic viscosity

    @property
    def Pr(self) -> Array:
        """Prandtl number mu cp / k [-]."""
        return self.mu * self.cp / self.k
