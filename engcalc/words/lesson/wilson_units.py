"""Units of a Wilson plot: thermal resistances and the flow that was varied, as table and picture show them."""

from __future__ import annotations

from dataclasses import dataclass

from engcalc.units import UnitSystem, to_unit, unit_for
from engcalc.words.terms.numbers import raised_to

THOUSAND = 1000.0  # resistances are small: they are told for a thousand units of heat rate


@dataclass(frozen=True)
class WilsonUnits:
    """What SI numbers of a Wilson line are multiplied by, and the units that then stand behind them.

    ``per_resistance`` multiplies K/W, ``per_flow`` multiplies kg/s.
    """

    per_resistance: float
    resistance: str
    per_flow: float
    flow: str

    def slope_factor(self, exponent: float) -> float:
        """What a slope in K/W (kg/s)^exponent is multiplied by."""
        of_flow: float = self.per_flow**exponent
        return self.per_resistance * of_flow

    def slope(self, exponent: str) -> str:
        """The unit of a slope, in the power of the flow that gives it."""
        return f"{self.resistance} ({self.flow}){raised_to(exponent)}"


def wilson_units(system: UnitSystem) -> WilsonUnits:
    """Resistances in K/kW or in °F h over a thousand BTU; flows as they stand elsewhere in this system."""
    flow = unit_for("mass flow", system)
    of_heat = to_unit(1.0, unit_for("conductance", system), "conductance")
    resistance = "K/kW" if system is UnitSystem.SI else "°F h/kBTU"
    return WilsonUnits(THOUSAND / of_heat, resistance, to_unit(1.0, flow, "mass flow"), flow)
