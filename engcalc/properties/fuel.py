"""Fuels: heating value, density, stoichiometric air-fuel ratio, how they ignite.

Typical values; the fuel at the pump varies by a few per cent. Source, unless a line says otherwise: Heywood, Internal
Combustion Engine Fundamentals (1988), Table D.4, from memory.
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
    """lower_heating_value [J/kg], density [kg/m3] at 15 degC, gases at 1 atm, stoichiometric_ratio [kg air/kg]."""

    lower_heating_value: float
    density: float
    stoichiometric_ratio: float
    ignition: Ignition
    source: str


_HEYWOOD = "typical; Heywood (1988), Table D.4, from memory"
_PETROL = FuelData(43.4e6, 745.0, 14.6, Ignition.SPARK, "typical; common practice and Heywood (1988), from memory")
_ETHANOL = FuelData(26.8e6, 794.0, 9.0, Ignition.SPARK, _HEYWOOD)  # neat, for the blend below


def _blend(ethanol_by_volume: float, source: str) -> FuelData:
    """Petrol and ethanol mixed by volume: heating value and air need add by mass."""
    ethanol = ethanol_by_volume * _ETHANOL.density
    petrol = (1.0 - ethanol_by_volume) * _PETROL.density
    rho = ethanol + petrol
    w = ethanol / rho
    return FuelData(
        w * _ETHANOL.lower_heating_value + (1.0 - w) * _PETROL.lower_heating_value,
        rho,
        w * _ETHANOL.stoichiometric_ratio + (1.0 - w) * _PETROL.stoichiometric_ratio,
        Ignition.SPARK,
        source,
    )


FUELS: dict[Fuel, FuelData] = {
    Fuel.PETROL: _PETROL,
    Fuel.PETROL_E10: _blend(0.10, "10 % ethanol by volume, blended by mass from petrol and ethanol"),
    Fuel.ETHANOL_E85: _blend(
        0.85, "85 % ethanol by volume, blended by mass from petrol and ethanol; winter grades hold less"
    ),
    Fuel.DIESEL: FuelData(
        42.8e6, 840.0, 14.5, Ignition.COMPRESSION, "typical; common practice and Heywood (1988), from memory"
    ),
    Fuel.LPG: FuelData(
        46.4e6, 510.0, 15.7, Ignition.SPARK, "as propane, liquid; Heywood (1988), Table D.4, from memory"
    ),
    Fuel.NATURAL_GAS: FuelData(
        50.0e6, 0.68, 17.2, Ignition.SPARK, "as methane, gas; Heywood (1988), Table D.4, from memory"
    ),
    Fuel.HYDROGEN: FuelData(120.0e6, 0.085, 34.3, Ignition.SPARK, "gas; Heywood (1988), Table D.4, from memory"),
}
