"""The units in which a problem is posed and worked, in both systems.

Within one problem the units fit together, so that a formula holds in them as it stands: joule, kilogram, metre and
second; or BTU, pound, foot and hour. What is given in another unit (mm, in) is brought into them by a line of its own.

Factors follow from the definitions of foot, pound and BTU (NIST Special Publication 811, appendix B.8).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from engcalc.units import ZERO_CELSIUS, UnitSystem

_FT = 0.3048  # m; definition
_LB = 0.45359237  # kg; definition
_BTU = 1055.05585262  # J; International Table, definition
_H = 3600.0  # s
_F = 5.0 / 9.0  # K; definition of the degree Fahrenheit
_F_ZERO = ZERO_CELSIUS - 32.0 * _F  # K; 0 degF
_HP = 745.69987158227  # W; 550 ft lbf/s, definition
_PSI = 6894.757293168  # Pa; lbf/in2, definition
_INH2O = 249.08891  # Pa; conventional inch of water
_GALLON = 3.785411784e-3  # m3; definition
_RATE = _BTU / _H  # W; BTU/h


@dataclass(frozen=True)
class WorkingUnit:
    """A unit: how it is written, its size in SI, and what is added for a scale with another zero [K]."""

    name: str
    size: float = 1.0
    zero: float = 0.0

    def to_si(self, value: float) -> float:
        """The SI value of a number in this unit."""
        return value * self.size + self.zero

    def from_si(self, value: float) -> float:
        """The number in this unit of an SI value."""
        return (value - self.zero) / self.size


@dataclass(frozen=True)
class UnitPair:
    """A kind of quantity with its unit in each system."""

    si: WorkingUnit
    us: WorkingUnit

    def unit(self, system: UnitSystem) -> WorkingUnit:
        """The unit in this system."""
        return self.si if system is UnitSystem.SI else self.us


MEASURES: Mapping[str, UnitPair] = {
    "number": UnitPair(WorkingUnit(""), WorkingUnit("")),
    "percent": UnitPair(WorkingUnit("%", 0.01), WorkingUnit("%", 0.01)),
    "angle": UnitPair(WorkingUnit("deg", 0.017453292519943295), WorkingUnit("deg", 0.017453292519943295)),
    "temperature": UnitPair(WorkingUnit("°C", 1.0, ZERO_CELSIUS), WorkingUnit("°F", _F, _F_ZERO)),
    "difference": UnitPair(WorkingUnit("K"), WorkingUnit("°F", _F)),
    "heat": UnitPair(WorkingUnit("W"), WorkingUnit("BTU/h", _RATE)),
    "large heat": UnitPair(WorkingUnit("kW", 1000.0), WorkingUnit("BTU/h", _RATE)),
    "power": UnitPair(WorkingUnit("kW", 1000.0), WorkingUnit("hp", _HP)),
    "small power": UnitPair(WorkingUnit("W"), WorkingUnit("hp", _HP)),
    "mass flow": UnitPair(WorkingUnit("kg/s"), WorkingUnit("lb/h", _LB / _H)),
    "fuel flow": UnitPair(WorkingUnit("g/s", 1e-3), WorkingUnit("lb/h", _LB / _H)),
    "mass velocity": UnitPair(WorkingUnit("kg/(s m2)"), WorkingUnit("lb/(h ft2)", _LB / _H / _FT**2)),
    "velocity": UnitPair(WorkingUnit("m/s"), WorkingUnit("ft/min", _FT / 60.0)),
    "coolant flow": UnitPair(WorkingUnit("L/min", 1e-3 / 60.0), WorkingUnit("gpm", _GALLON / 60.0)),
    "air flow": UnitPair(WorkingUnit("m3/s"), WorkingUnit("cfm", _FT**3 / 60.0)),
    "specific heat": UnitPair(WorkingUnit("J/(kg K)"), WorkingUnit("BTU/(lb °F)", _BTU / _LB / _F)),
    "capacity rate": UnitPair(WorkingUnit("W/K"), WorkingUnit("BTU/(h °F)", _RATE / _F)),
    "heat capacity": UnitPair(WorkingUnit("kJ/K", 1000.0), WorkingUnit("BTU/°F", _BTU / _F)),
    "film": UnitPair(WorkingUnit("W/(m2 K)"), WorkingUnit("BTU/(h ft2 °F)", _RATE / _FT**2 / _F)),
    "conductivity": UnitPair(WorkingUnit("W/(m K)"), WorkingUnit("BTU/(h ft °F)", _RATE / _FT / _F)),
    "fouling": UnitPair(WorkingUnit("m2 K/W"), WorkingUnit("h ft2 °F/BTU", _FT**2 * _F / _RATE)),
    "resistance": UnitPair(WorkingUnit("K/W"), WorkingUnit("h °F/BTU", _F / _RATE)),
    "viscosity": UnitPair(WorkingUnit("Pa s"), WorkingUnit("lb/(ft h)", _LB / _FT / _H)),
    "density": UnitPair(WorkingUnit("kg/m3"), WorkingUnit("lb/ft3", _LB / _FT**3)),
    "heating value": UnitPair(WorkingUnit("MJ/kg", 1e6), WorkingUnit("BTU/lb", _BTU / _LB)),
    "enthalpy": UnitPair(WorkingUnit("kJ/kg", 1000.0), WorkingUnit("BTU/lb", _BTU / _LB)),
    "length": UnitPair(WorkingUnit("m"), WorkingUnit("ft", _FT)),
    "small length": UnitPair(WorkingUnit("mm", 1e-3), WorkingUnit("in", _FT / 12.0)),
    "per length": UnitPair(WorkingUnit("1/m"), WorkingUnit("1/ft", 1.0 / _FT)),
    "area": UnitPair(WorkingUnit("m2"), WorkingUnit("ft2", _FT**2)),
    "pressure": UnitPair(WorkingUnit("kPa", 1000.0), WorkingUnit("psi", _PSI)),
    "fan pressure": UnitPair(WorkingUnit("Pa"), WorkingUnit("inH2O", _INH2O)),
    "flow resistance": UnitPair(
        WorkingUnit("kPa min2/L2", 1000.0 / (1e-3 / 60.0) ** 2), WorkingUnit("psi/gpm2", _PSI / (_GALLON / 60.0) ** 2)
    ),
    "time": UnitPair(WorkingUnit("s"), WorkingUnit("s")),
    "minutes": UnitPair(WorkingUnit("min", 60.0), WorkingUnit("min", 60.0)),
}
