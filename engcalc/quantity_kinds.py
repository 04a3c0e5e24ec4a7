"""The kinds of quantity and the units that each may be typed or logged in, as data.

``units`` reads and shows them; the spellings stand beside the names that the pint library knows them by.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass


@dataclass(frozen=True)
class QuantityKind:
    """One kind of quantity.

    ``units`` maps each accepted spelling to the name that pint knows; ``si`` and ``us`` are the spellings used for
    display; ``si_unit`` is pint's name of the unit stored; ``reciprocal`` spellings are stored as one over the value
    (fins per inch for a pitch); ``difference`` kinds convert by the factor alone.
    """

    name: str
    si_unit: str
    units: Mapping[str, str]
    si: str
    us: str
    bare: bool = False
    difference: bool = False
    reciprocal: Mapping[str, str] | None = None

    @property
    def spellings(self) -> tuple[str, ...]:
        """Every accepted unit, the display units first."""
        rest = [u for u in (*self.units, *(self.reciprocal or {})) if u not in (self.si, self.us)]
        if self.si:
            return tuple(dict.fromkeys((self.si, self.us, *rest)))
        return tuple(rest)


_LENGTHS = {
    "m": "meter",
    "mm": "millimeter",
    "cm": "centimeter",
    "um": "micrometer",
    "km": "kilometer",
    "in": "inch",
    '"': "inch",
    "inch": "inch",
    "ft": "foot",
    "'": "foot",
    "thou": "thou",
}
_VOLUMES = {
    "L": "liter",
    "l": "liter",
    "litre": "liter",
    "mL": "milliliter",
    "m3": "meter**3",
    "cm3": "centimeter**3",
    "cc": "centimeter**3",
    "dm3": "liter",
    "gal": "gallon",
    "qt": "quart",
    "pt": "pint",
    "in3": "inch**3",
    "cu in": "inch**3",
    "ft3": "foot**3",
    "cu ft": "foot**3",
}
_FLOWS = {
    "L/min": "liter/minute",
    "l/min": "liter/minute",
    "lpm": "liter/minute",
    "L/s": "liter/second",
    "L/h": "liter/hour",
    "mL/s": "milliliter/second",
    "mL/min": "milliliter/minute",
    "m3/h": "meter**3/hour",
    "m3/s": "meter**3/second",
    "m3/min": "meter**3/minute",
    "gpm": "gallon/minute",
    "gal/min": "gallon/minute",
    "US gpm": "gallon/minute",
    "gph": "gallon/hour",
    "gal/h": "gallon/hour",
    "cfm": "foot**3/minute",
    "ft3/min": "foot**3/minute",
    "ft3/s": "foot**3/second",
}
_POWERS = {
    "W": "watt",
    "kW": "kilowatt",
    "hp": "horsepower",
    "bhp": "horsepower",
    "PS": "metric_horsepower",
    "CV": "metric_horsepower",
    "BTU/h": "Btu_it/hour",
    "BTU/hr": "Btu_it/hour",
    "btuh": "Btu_it/hour",
    "BTU/min": "Btu_it/minute",
    "kcal/h": "kilocalorie/hour",
    "MJ/h": "megajoule/hour",
}
_PRESSURES = {
    "Pa": "pascal",
    "hPa": "hectopascal",
    "kPa": "kilopascal",
    "MPa": "megapascal",
    "bar": "bar",
    "mbar": "millibar",
    "psi": "psi",
    "inH2O": "inH2O",
    "in H2O": "inH2O",
    "inHg": "inHg",
    "mmH2O": "mmH2O",
    "mmHg": "mmHg",
    "mH2O": "mH2O",
    "ftH2O": "ftH2O",
    "atm": "atm",
    "lbf/in2": "psi",
}
_SPEEDS = {
    "m/s": "meter/second",
    "km/h": "kilometer/hour",
    "kph": "kilometer/hour",
    "kmh": "kilometer/hour",
    "mph": "mile/hour",
    "ft/min": "foot/minute",
    "fpm": "foot/minute",
    "ft/s": "foot/second",
    "kn": "knot",
}
_ABSOLUTE_T = {
    "degC": "degC",
    "°C": "degC",
    "C": "degC",
    "deg C": "degC",
    "degF": "degF",
    "°F": "degF",
    "F": "degF",
    "deg F": "degF",
    "K": "kelvin",
    "°R": "degR",
    "degR": "degR",
}
_DIFFERENCE_T = {
    "K": "kelvin",
    "degC": "kelvin",
    "°C": "kelvin",
    "C": "kelvin",
    "deg C": "kelvin",
    "degF": "delta_degF",
    "°F": "delta_degF",
    "F": "delta_degF",
    "deg F": "delta_degF",
    "°R": "delta_degF",
    "degR": "delta_degF",
}

ALSO_WRITTEN: Mapping[str, tuple[str, ...]] = {
    "degC": (
        "celsius",
        "grad c",
        "degrees c",
        "degree c",
        "deg. c",
        "degc",
        "grad celsius",
        "degrees celsius",
    ),
    "degF": (
        "fahrenheit",
        "degrees f",
        "degree f",
    ),
    "K": ("kelvin",),
    "rpm": (
        "u/min",
        "min-1",
        "min^-1",
        "r/min",
        "tr/min",
        "revs/min",
        "turns/min",
        "revolutions/min",
    ),
    "km/h": (
        "km/hr",
        "kmph",
        "km/std",
    ),
    "mph": (
        "miles/h",
        "mi/h",
        "miles/hour",
    ),
    "g/s": (
        "gm/s",
        "grams/sec",
        "g/sec",
        "gps",
        "gr/s",
        "grams/s",
    ),
    "lb/min": ("lbs/min",),
    "kg/h": ("kg/hr",),
    "L/h": (
        "l/hr",
        "lph",
        "liters/hour",
        "l/std",
    ),
    "s": (
        "seconds",
        "secs",
        "sekunden",
    ),
    "min": (
        "minutes",
        "mins",
    ),
    "h": (
        "hours",
        "std",
    ),
    "hPa": ("hpa",),
    "inHg": ("in.hg",),
    "%": (
        "pct",
        "prozent",
    ),
}
"""Other ways of writing a listed unit, in lower case, as people and logs write them."""

_KINDS = (
    QuantityKind("temperature", "kelvin", _ABSOLUTE_T, "°C", "°F"),
    QuantityKind("temperature difference", "kelvin", _DIFFERENCE_T, "K", "°F", difference=True),
    QuantityKind("length", "meter", _LENGTHS, "m", "ft"),
    QuantityKind("small length", "meter", _LENGTHS, "mm", "in"),
    QuantityKind(
        "pitch",
        "meter",
        _LENGTHS,
        "mm",
        "/in",
        reciprocal={
            "/in": "inch",
            "per in": "inch",
            "per inch": "inch",
            "fpi": "inch",
            "FPI": "inch",
            "/cm": "centimeter",
            "/dm": "decimeter",
            "/m": "meter",
        },
    ),
    QuantityKind(
        "area",
        "meter**2",
        {
            "m2": "meter**2",
            "cm2": "centimeter**2",
            "dm2": "decimeter**2",
            "mm2": "millimeter**2",
            "ft2": "foot**2",
            "sq ft": "foot**2",
            "in2": "inch**2",
            "sq in": "inch**2",
        },
        "m2",
        "ft2",
    ),
    QuantityKind("volume", "meter**3", _VOLUMES, "L", "qt"),
    QuantityKind("displacement", "meter**3", _VOLUMES, "L", "in3"),
    QuantityKind("room volume", "meter**3", _VOLUMES, "m3", "ft3"),
    QuantityKind(
        "mass",
        "kilogram",
        {"kg": "kilogram", "g": "gram", "t": "metric_ton", "lb": "pound", "lbs": "pound", "oz": "ounce"},
        "kg",
        "lb",
    ),
    QuantityKind("power", "watt", _POWERS, "kW", "hp"),
    QuantityKind("heat rate", "watt", _POWERS, "kW", "BTU/h"),
    QuantityKind("small heat rate", "watt", _POWERS, "W", "BTU/h"),
    QuantityKind("coolant flow", "meter**3/second", _FLOWS, "L/min", "gpm"),
    QuantityKind("air flow", "meter**3/second", _FLOWS, "m3/h", "cfm"),
    QuantityKind(
        "mass flow",
        "kilogram/second",
        {
            "kg/s": "kilogram/second",
            "kg/min": "kilogram/minute",
            "kg/h": "kilogram/hour",
            "g/s": "gram/second",
            "g/min": "gram/minute",
            "t/h": "metric_ton/hour",
            "lb/min": "pound/minute",
            "lb/h": "pound/hour",
            "lb/s": "pound/second",
        },
        "kg/s",
        "lb/min",
    ),
    QuantityKind("pressure difference", "pascal", _PRESSURES, "Pa", "inH2O"),
    QuantityKind("mean pressure", "pascal", _PRESSURES, "bar", "psi"),
    QuantityKind("pump pressure", "pascal", _PRESSURES, "kPa", "psi"),
    QuantityKind(
        "gauge pressure",
        "pascal",
        {
            **_PRESSURES,
            "psig": "psi",
            "lb": "psi",  # as caps are stamped: 16 lb
            "barg": "bar",
            "bar g": "bar",
            "kPag": "kilopascal",
            "kPa g": "kilopascal",
            "psi g": "psi",
        },
        "bar",
        "psi",
    ),
    QuantityKind(
        "absolute pressure",
        "pascal",
        {**_PRESSURES, "psia": "psi", "bara": "bar", "bar a": "bar", "kPa a": "kilopascal", "psi a": "psi"},
        "kPa",
        "psi",
    ),
    QuantityKind(
        "rotation",
        "turn/second",
        {
            "rpm": "turn/minute",
            "1/min": "turn/minute",
            "/min": "turn/minute",
            "rev/min": "turn/minute",
            "rev/s": "turn/second",
            "Hz": "turn/second",
            "rad/s": "radian/second",
        },
        "rpm",
        "rpm",
    ),
    QuantityKind("vehicle speed", "meter/second", _SPEEDS, "km/h", "mph"),
    QuantityKind("air speed", "meter/second", _SPEEDS, "m/s", "ft/min"),
    QuantityKind(
        "time",
        "second",
        {"s": "second", "sec": "second", "min": "minute", "h": "hour", "hr": "hour", "d": "day"},
        "min",
        "min",
    ),
    QuantityKind("short time", "second", {"s": "second", "sec": "second", "min": "minute", "h": "hour"}, "s", "s"),
    QuantityKind("altitude", "meter", _LENGTHS, "m", "ft"),
    QuantityKind("angle", "radian", {"deg": "degree", "°": "degree", "rad": "radian"}, "deg", "deg"),
    QuantityKind(
        "conductance",
        "watt/kelvin",
        {
            "W/K": "watt/kelvin",
            "kW/K": "kilowatt/kelvin",
            "BTU/h/°F": "Btu_it/hour/delta_degF",
            "BTU/h/F": "Btu_it/hour/delta_degF",
            "BTU/(h °F)": "Btu_it/hour/delta_degF",
            "kcal/(h K)": "kilocalorie/hour/kelvin",
        },
        "W/K",
        "BTU/h/°F",
        difference=True,
    ),
    QuantityKind(
        "specific heat",
        "joule/kilogram/kelvin",
        {
            "J/(kg K)": "joule/kilogram/kelvin",
            "J/kg/K": "joule/kilogram/kelvin",
            "J/kgK": "joule/kilogram/kelvin",
            "kJ/(kg K)": "kilojoule/kilogram/kelvin",
            "kJ/kg/K": "kilojoule/kilogram/kelvin",
            "kJ/kgK": "kilojoule/kilogram/kelvin",
            "BTU/(lb °F)": "Btu_it/pound/delta_degF",
            "BTU/lb/F": "Btu_it/pound/delta_degF",
            "kcal/(kg K)": "kilocalorie/kilogram/kelvin",
        },
        "J/(kg K)",
        "BTU/(lb °F)",
        difference=True,
    ),
    QuantityKind(
        "density",
        "kilogram/meter**3",
        {
            "kg/m3": "kilogram/meter**3",
            "g/cm3": "gram/centimeter**3",
            "kg/L": "kilogram/liter",
            "lb/ft3": "pound/foot**3",
        },
        "kg/m3",
        "lb/ft3",
    ),
    QuantityKind(
        "film coefficient",
        "watt/meter**2/kelvin",
        {"W/(m2 K)": "watt/meter**2/kelvin", "BTU/(h ft2 °F)": "Btu_it/hour/foot**2/delta_degF"},
        "W/(m2 K)",
        "BTU/(h ft2 °F)",
        difference=True,
    ),
    QuantityKind(
        "fouling",
        "meter**2*kelvin/watt",
        {
            "m2 K/W": "meter**2*kelvin/watt",
            "m2K/W": "meter**2*kelvin/watt",
            "h ft2 °F/BTU": "hour*foot**2*delta_degF/Btu_it",
        },
        "m2 K/W",
        "h ft2 °F/BTU",
        difference=True,
    ),
    QuantityKind(
        "fraction",
        "dimensionless",
        {"%": "percent", "vol%": "percent", "vol %": "percent", "percent": "percent"},
        "%",
        "%",
        bare=True,
    ),
    QuantityKind("grade", "dimensionless", {"%": "percent", "percent": "percent"}, "%", "%", bare=True),
    QuantityKind("number", "dimensionless", {}, "", "", bare=True),
    QuantityKind("count", "dimensionless", {}, "", "", bare=True),
)
KINDS: Mapping[str, QuantityKind] = {kind.name: kind for kind in _KINDS}
