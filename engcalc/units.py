"""Text with units at the edge, SI floats inside: the one place where the two meet.

The grammar is small and ours: one number, then at most one unit out of the list of the wanted kind, 200 characters at
most. The pint library converts the listed units and never sees what a person typed (its own parser would read
``1,5 bar`` as 15 bar and hang on ``9**9**8 m``). Decimal comma and decimal point both read; a text that could be
meant either way (``1,234``) is a fault that asks.

SI units used inside: K, Pa, W, m, kg, s, rad, and rev/s for rotation. Temperature differences are in K.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum
from functools import cache
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from engcalc.errors import UnitFault

if TYPE_CHECKING:
    import pint

Array = NDArray[np.float64]
"""Every number of the engine: float64, ensemble members on the last axis, one member has shape (1,)."""

LONGEST_TEXT = 200
ZERO_CELSIUS = 273.15  # K; definition of the degree Celsius


class UnitSystem(Enum):
    """The system in which numbers are shown; what is stored never changes with it."""

    SI = "SI"
    US = "US customary"


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
        return tuple(dict.fromkeys((self.si, self.us, *rest))) if self.si else tuple(rest)


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
    "m3/s": "meter**3/second",
    "m3/h": "meter**3/hour",
    "m3/min": "meter**3/minute",
    "L/s": "liter/second",
    "L/min": "liter/minute",
    "l/min": "liter/minute",
    "lpm": "liter/minute",
    "L/h": "liter/hour",
    "cfm": "foot**3/minute",
    "ft3/min": "foot**3/minute",
    "gpm": "gallon/minute",
    "gal/min": "gallon/minute",
    "US gpm": "gallon/minute",
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
}
_DELTA_WORDS = ("delta", "Δ", "diff")

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
_LISTED = {other: listed for listed, others in ALSO_WRITTEN.items() for other in others}

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
        },
        "W/K",
        "BTU/h/°F",
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
_SHOWN = sorted({u for kind in _KINDS for u in (kind.si, kind.us) if u} | {"h"}, key=len, reverse=True)
_BEFORE_UNIT = re.compile(rf"(?<=[0-9]) (?=(?:{'|'.join(map(re.escape, _SHOWN))})(?![\w/]))")

_NUMBER = re.compile(r"[+-]?(?:[0-9]+(?:[.,][0-9]*)?|[.,][0-9]+)(?:[eE][+-]?[0-9]{1,3})?")
_AMBIGUOUS_COMMA = re.compile(r"[+-]?[1-9][0-9]{0,2},[0-9]{3}")
_GROUPED = re.compile(r"[+-]?[0-9]{1,3}(?:[.,][0-9]{3})+[.,][0-9]+|[+-]?[0-9]{1,3}(?:[.,][0-9]{3}){2,}")
_SAME = str.maketrans(
    {
        "−": "-",
        "–": "-",
        "º": "°",
        "²": "2",
        "³": "3",
        "₂": "2",
        "″": '"',
        "′": "'",
        "µ": "u",
        "μ": "u",
        "\u00a0": " ",
        "\u202f": " ",
        "\u2009": " ",
        "·": " ",
    }
)


@dataclass(frozen=True)
class Quantity:
    """A read quantity: its value in SI, the unit as spelled in the list (empty for a bare number)."""

    si: float
    unit: str


@cache
def _registry() -> pint.UnitRegistry[float]:
    import pint

    return pint.UnitRegistry(autoconvert_offset_to_baseunit=False)


@cache
def _line(name: str, si_unit: str) -> tuple[float, float]:
    """Slope and intercept of the conversion from a unit that pint knows to the SI unit stored."""
    quantity = _registry().Quantity
    zero, one = (float(quantity(x, name).to(si_unit).magnitude) for x in (0.0, 1.0))
    return one - zero, zero


def parse(text: str, kind_name: str, path: str = "") -> Quantity:
    """Read one number with at most one unit of the wanted kind.

    Raises :class:`UnitFault` naming ``path``, what was given and what would do.

    >>> parse("1,5 bar", "gauge pressure").si
    150000.0
    >>> round(parse("18 /in", "pitch").si, 7)
    0.0014111
    """
    kind = KINDS[kind_name]
    number, unit = _split(text, kind, path)
    if unit == "":
        if not kind.bare:
            raise UnitFault(_short(text), f"a {kind.name} needs a unit: {_listing(kind)}", path)
        return Quantity(number, "")
    return _with_unit(number, unit, kind, text, path)


def _split(text: str, kind: QuantityKind, path: str) -> tuple[float, str]:
    """The number and the unit's text, or a fault."""
    if len(text) > LONGEST_TEXT:
        raise UnitFault(_short(text), f"at most {LONGEST_TEXT} characters: one number and one unit", path)
    plain = " ".join(text.translate(_SAME).split())
    match = _NUMBER.match(plain)
    if match is None:
        raise UnitFault(_short(text), f"one number{_and_unit(kind)} would do", path)
    if _GROUPED.match(plain):
        raise UnitFault(_short(text), "write the number without separators of thousands, such as 1234.5", path)
    digits, rest = match.group(), plain[match.end() :].strip()
    if _AMBIGUOUS_COMMA.fullmatch(digits):
        raise UnitFault(
            _short(text),
            f"is {digits.replace(',', '.')} or {digits.replace(',', '')} meant? "
            "Write it with a decimal point or without the comma",
            path,
        )
    value = float(digits.replace(",", "."))
    if not math.isfinite(value):
        raise UnitFault(_short(text), "a finite number would do", path)
    return value, rest


def _plain_name(kind: QuantityKind) -> str:
    """What a person calls the kind: its size only picks the unit that is shown."""
    name = kind.name.removeprefix("small ").removeprefix("short ")
    return f"{'an' if name[0] in 'aeiou' else 'a'} {name}"


def _with_unit(number: float, unit: str, kind: QuantityKind, text: str, path: str) -> Quantity:
    spelling = _spelling(unit, kind)
    if spelling is None:
        if kind.name == "temperature" and any(word in unit for word in _DELTA_WORDS):
            raise UnitFault(_short(text), "a temperature belongs here, not a difference of temperatures", path)
        wanted = _listing(kind) if kind.spellings and kind.spellings != ("",) else "a plain number without a unit"
        raise UnitFault(_short(text), f"the unit is not one for {_plain_name(kind)}: {wanted}", path)
    if kind.reciprocal and spelling in kind.reciprocal:
        if number <= 0:
            raise UnitFault(_short(text), "more than zero per length would do", path)
        return Quantity(_line(kind.reciprocal[spelling], kind.si_unit)[0] / number, spelling)
    slope, intercept = _line(kind.units[spelling], kind.si_unit)
    return Quantity(number * slope + intercept, spelling)


def _spelling(unit: str, kind: QuantityKind) -> str | None:
    """The listed spelling that a typed unit stands for; letter case is forgiven where that stays unambiguous."""
    listed = (*kind.units, *(kind.reciprocal or {}))
    candidate = unit.removeprefix("Δ").removeprefix("delta ").removeprefix("delta_") if kind.difference else unit
    if candidate in listed:
        return candidate
    other = _LISTED.get(" ".join(candidate.casefold().split()))
    if other in listed:
        return other
    squeezed = candidate.casefold().replace(" ", "")
    found = {x for x in listed if x.casefold().replace(" ", "") == squeezed}
    names = {kind.units.get(x, x) for x in found}
    return min(found) if len(names) == 1 else None


def parse_difference(text: str, kind_name: str, path: str = "", *, at: float | None = None) -> float:
    """Read an uncertainty of a quantity of this kind; returns SI. A temperature's uncertainty is a difference.

    ``at`` is the value [SI] that it belongs to. A unit that counts per length needs it: with n to a length L the pitch
    is p = L/n, and dp = dn p^2/L to first order.

    >>> round(parse_difference("1 /in", "pitch", at=0.0254 / 10.0), 9)
    0.000254
    """
    name = "temperature difference" if kind_name == "temperature" else kind_name
    kind = KINDS[name]
    if kind.reciprocal:
        number, unit = _split(text, kind, path)
        spelling = _spelling(unit, kind)
        if spelling is not None and spelling in kind.reciprocal:
            if at is None:
                raise UnitFault(_short(text), f"a length would do: {', '.join(kind.units)}", path)
            length = _line(kind.reciprocal[spelling], kind.si_unit)[0]
            return number * at**2 / length
    return parse(text, name, path).si


def show_difference(si: float, kind_name: str, at: float, system: UnitSystem = UnitSystem.SI, digits: int = 3) -> str:
    """An uncertainty [SI] of a value ``at`` [SI] with its unit, such as ``5 mm``; a temperature's is a difference.

    In a unit that counts per length it is dn = dp L/p^2, to first order.

    >>> show_difference(0.000254, "pitch", 0.0254 / 10.0, UnitSystem.US)
    '1 /in'
    """
    kind, unit = KINDS[kind_name], unit_for(kind_name, system)
    if not kind.reciprocal or unit not in kind.reciprocal:
        return show(si, "temperature difference" if kind_name == "temperature" else kind_name, system, digits)
    length = _line(kind.reciprocal[unit], kind.si_unit)[0]
    return f"{plain_number(si * length / at**2, digits)} {unit}"


def to_unit(si: float, unit: str, kind_name: str) -> float:
    """The number that stands before this unit for a value stored in SI."""
    kind = KINDS[kind_name]
    if unit == "":
        return si
    if kind.reciprocal and unit in kind.reciprocal:
        return _line(kind.reciprocal[unit], kind.si_unit)[0] / si
    slope, intercept = _line(kind.units[unit], kind.si_unit)
    return (si - intercept) / slope


def unit_for(kind_name: str, system: UnitSystem) -> str:
    """The unit in which this kind is shown in the chosen system."""
    kind = KINDS[kind_name]
    return kind.si if system is UnitSystem.SI else kind.us


def show(si: float, kind_name: str, system: UnitSystem = UnitSystem.SI, digits: int = 3) -> str:
    """Number and unit for a person, to ``digits`` significant digits (temperatures to 0.1; never an exponent)."""
    unit = unit_for(kind_name, system)
    number = plain_number(to_unit(float(si), unit, kind_name), digits, tenths="temperature" in kind_name)
    return f"{number} {unit}".rstrip() if unit != '"' else f"{number}{unit}"


def unbroken(text: str) -> str:
    """``text`` with a no-break space between every number and its unit, so that no line ends between them."""
    return _BEFORE_UNIT.sub("\u00a0", text)


def plain_number(value: float, digits: int = 3, tenths: bool = False) -> str:
    """A number for a person: significant digits, no exponent, no trailing ".0", a real minus is a hyphen."""
    if not math.isfinite(value):
        return "not known"
    if tenths:
        return f"{value:.1f}".replace("-0.0", "0.0")
    if value == 0.0:
        return "0"
    places = max(0, digits - 1 - math.floor(math.log10(abs(value))))
    text = f"{value:.{places}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def _and_unit(kind: QuantityKind) -> str:
    return "" if kind.bare else f" and one unit ({_listing(kind)})"


def _listing(kind: QuantityKind) -> str:
    return ", ".join(kind.spellings[:10])


def _short(text: str) -> str:
    return text if len(text) <= 60 else text[:57] + "..."
