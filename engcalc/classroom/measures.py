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
class Unit:
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
class Measure:
    """A kind of quantity with its unit in each system."""

    si: Unit
    us: Unit

    def unit(self, system: UnitSystem) -> Unit:
        """The unit in this system."""
        return self.si if system is UnitSystem.SI else self.us


MEASURES: Mapping[str, Measure] = {
    "number": Measure(Unit(""), Unit("")),
    "percent": Measure(Unit("%", 0.01), Unit("%", 0.01)),
    "angle": Measure(Unit("deg", 0.017453292519943295), Unit("deg", 0.017453292519943295)),
    "temperature": Measure(Unit("°C", 1.0, ZERO_CELSIUS), Unit("°F", _F, _F_ZERO)),
    "difference": Measure(Unit("K"), Unit("°F", _F)),
    "heat": Measure(Unit("W"), Unit("BTU/h", _RATE)),
    "large heat": Measure(Unit("kW", 1000.0), Unit("BTU/h", _RATE)),
    "power": Measure(Unit("kW", 1000.0), Unit("hp", _HP)),
    "small power": Measure(Unit("W"), Unit("hp", _HP)),
    "mass flow": Measure(Unit("kg/s"), Unit("lb/h", _LB / _H)),
    "fuel flow": Measure(Unit("g/s", 1e-3), Unit("lb/h", _LB / _H)),
    "mass velocity": Measure(Unit("kg/(s m2)"), Unit("lb/(h ft2)", _LB / _H / _FT**2)),
    "velocity": Measure(Unit("m/s"), Unit("ft/min", _FT / 60.0)),
    "coolant flow": Measure(Unit("L/min", 1e-3 / 60.0), Unit("gpm", _GALLON / 60.0)),
    "air flow": Measure(Unit("m3/s"), Unit("cfm", _FT**3 / 60.0)),
    "specific heat": Measure(Unit("J/(kg K)"), Unit("BTU/(lb °F)", _BTU / _LB / _F)),
    "capacity rate": Measure(Unit("W/K"), Unit("BTU/(h °F)", _RATE / _F)),
    "heat capacity": Measure(Unit("kJ/K", 1000.0), Unit("BTU/°F", _BTU / _F)),
    "film": Measure(Unit("W/(m2 K)"), Unit("BTU/(h ft2 °F)", _RATE / _FT**2 / _F)),
    "conductivity": Measure(Unit("W/(m K)"), Unit("BTU/(h ft °F)", _RATE / _FT / _F)),
    "fouling": Measure(Unit("m2 K/W"), Unit("h ft2 °F/BTU", _FT**2 * _F / _RATE)),
    "resistance": Measure(Unit("K/W"), Unit("h °F/BTU", _F / _RATE)),
    "viscosity": Measure(Unit("Pa s"), Unit("lb/(ft h)", _LB / _FT / _H)),
    "density": Measure(Unit("kg/m3"), Unit("lb/ft3", _LB / _FT**3)),
    "heating value": Measure(Unit("MJ/kg", 1e6), Unit("BTU/lb", _BTU / _LB)),
    "enthalpy": Measure(Unit("kJ/kg", 1000.0), Unit("BTU/lb", _BTU / _LB)),
    "length": Measure(Unit("m"), Unit("ft", _FT)),
    "small length": Measure(Unit("mm", 1e-3), Unit("in", _FT / 12.0)),
    "per length": Measure(Unit("1/m"), Unit("1/ft", 1.0 / _FT)),
    "area": Measure(Unit("m2"), Unit("ft2", _FT**2)),
    "pressure": Measure(Unit("kPa", 1000.0), Unit("psi", _PSI)),
    "fan pressure": Measure(Unit("Pa"), Unit("inH2O", _INH2O)),
    "flow resistance": Measure(
        Unit("kPa min2/L2", 1000.0 / (1e-3 / 60.0) ** 2), Unit("psi/gpm2", _PSI / (_GALLON / 60.0) ** 2)
    ),
    "time": Measure(Unit("s"), Unit("s")),
    "minutes": Measure(Unit("min", 60.0), Unit("min", 60.0)),
}
