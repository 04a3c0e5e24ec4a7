"""Fuels: heating value, density, stoichiometric air-fuel ratio, how they ignite.

Typical values; the fuel at the pump varies by a few per cent. Heating values and densities are those of the Hydrogen
Analysis Resource Center (US Department of Energy), table "Lower and Higher Heating Values of Hydrogen and Fuels";
air-fuel ratios as each line says.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class Fuel(StrEnum):
    """What the engine burns; the values are the words of the case file."""

    PETROL = "petrol"
    PETROL_E10 = "petrol E10"
    ETHANOL_E85 = "ethanol E85"
    DIESEL = "diesel"
    LPG = "LPG"
    NATURAL_GAS = "natural gas"
    HYDROGEN = "hydrogen"


class Ignition(StrEnum):
    """Whether air flow tells the fuel flow (spark) or not (compression)."""

    SPARK = "spark"
    COMPRESSION = "compression"


@dataclass(frozen=True)
class FuelData:
    """lower_heating_value [J/kg], density [kg/m3], stoichiometric_ratio [kg air/kg fuel], ignition, source.

    Densities of liquids at 15 degC, of gases at 0 degC and 1 atm.
    """

    lower_heating_value: float
    density: float
    stoichiometric_ratio: float
    ignition: Ignition
    source: str


_HARC = "Hydrogen Analysis Resource Center, heating values"
_AFDC = "air-fuel ratio: Alternative Fuels Data Center, Properties of Fuels"
_HEYWOOD = "air-fuel ratio: Heywood (1988), Table D.4, from memory"
_PETROL = FuelData(43.438e6, 744.7, 14.7, Ignition.SPARK, f"{_HARC} (conventional gasoline); {_AFDC}")
_ETHANOL = FuelData(26.945e6, 789.3, 9.0, Ignition.SPARK, f"{_HARC}; {_AFDC}")  # neat: only a part of the blends below


def _blend(ethanol_by_volume: float, note: str) -> FuelData:
    """Petrol and ethanol mixed by volume: heating value and air need add by mass."""
    ethanol = ethanol_by_volume * _ETHANOL.density
    rho = ethanol + (1.0 - ethanol_by_volume) * _PETROL.density
    w = ethanol / rho
    return FuelData(
        w * _ETHANOL.lower_heating_value + (1.0 - w) * _PETROL.lower_heating_value,
        rho,
        w * _ETHANOL.stoichiometric_ratio + (1.0 - w) * _PETROL.stoichiometric_ratio,
        Ignition.SPARK,
        f"{note}, blended by mass from {_HARC}; {_AFDC}",
    )


FUELS: dict[Fuel, FuelData] = {
    Fuel.PETROL: _PETROL,
    Fuel.PETROL_E10: _blend(0.10, "10 % ethanol by volume"),
    Fuel.ETHANOL_E85: _blend(0.85, "85 % ethanol by volume (winter grades hold less)"),
    Fuel.DIESEL: FuelData(42.781e6, 836.6, 14.5, Ignition.COMPRESSION, f"{_HARC} (conventional diesel); {_HEYWOOD}"),
    Fuel.LPG: FuelData(46.596e6, 508.0, 15.7, Ignition.SPARK, f"{_HARC}; {_HEYWOOD} (propane)"),
    Fuel.NATURAL_GAS: FuelData(
        47.130e6, 0.777, 16.2, Ignition.SPARK, f"{_HARC}; air-fuel ratio: methane's 17.2 in proportion to heating value"
    ),
    Fuel.HYDROGEN: FuelData(119.96e6, 0.0900, 34.3, Ignition.SPARK, f"{_HARC}; {_HEYWOOD}"),
}
