"""Numbers as a person says them: whole degrees, two or three digits, odds to the nearest 5 %."""

from __future__ import annotations

from engcalc.properties.fuel import FUELS, Fuel
from engcalc.units import UnitSystem, plain_number, to_unit, unit_for

MINUS = "\u2212"  # before a number in a working; tables that are copied into others keep the hyphen
_RAISED = str.maketrans("-\u22120123456789.n", "⁻⁻⁰¹²³⁴⁵⁶⁷⁸⁹·ⁿ")
_LIQUID = 100.0  # kg/m3; the densest fuel that is sold by mass, as a gas, has less than 1


def temperature(kelvin: float, system: UnitSystem) -> str:
    """A temperature in whole degrees.

    >>> temperature(388.15, UnitSystem.SI)
    '115 °C'
    """
    unit = unit_for("temperature", system)
    return f"{_whole_number(to_unit(kelvin, unit, 'temperature'))} {unit}"


def difference(kelvin: float, system: UnitSystem) -> str:
    """The size of a temperature difference, whole degrees; below one "less than 1 K"."""
    unit = unit_for("temperature difference", system)
    size = abs(to_unit(kelvin, unit, "temperature difference"))
    return f"{_whole_number(size)} {unit}" if size >= 0.5 else f"less than 1 {unit}"


def raised_to(power: str) -> str:
    """A power above the line; its point becomes one that Unicode has there.

    >>> f"(kg/s){raised_to('-0.8')}", f"10{raised_to('3')}"
    ('(kg/s)⁻⁰·⁸', '10³')
    """
    return power.translate(_RAISED)


def span(low: float, high: float, system: UnitSystem, word: str = "to") -> str:
    """A range of temperatures: "74 to 88 °C"; one number where both round to the same."""
    first = temperature(low, system)
    last = temperature(high, system)
    return f"{first.split(' ')[0]} {word} {last}" if first != last else last


def heat(watts: float, system: UnitSystem) -> str:
    """A heat rate to two digits, three from 100 up.

    >>> heat(77_735.0, UnitSystem.US)
    '265000 BTU/h'
    """
    unit = unit_for("heat rate", system)
    shown = to_unit(watts, unit, "heat rate")
    digits = 3 if abs(shown) >= 100.0 else 2
    return f"{plain_number(float(f'{shown:.{digits}g}'), digits)} {unit}"


def share(part: float) -> str:
    """A share in whole per cent."""
    return f"{_whole_number(100.0 * part)} %"


def small_share(part: float) -> str:
    """A share in whole per cent, below one with its first decimal."""
    return share(part) if part >= 0.01 else f"{plain_number(round(100.0 * part, 1))} %"


def signed_difference(kelvin: float, system: UnitSystem) -> str:
    """A temperature difference with its sign, whole degrees."""
    unit = unit_for("temperature difference", system)
    return f"{_whole_number(to_unit(kelvin, unit, 'temperature difference'))} {unit}"


def fuel_amount(kilograms: float, fuel: Fuel, system: UnitSystem) -> str:
    """An amount of fuel, two digits: of a liquid by volume, of a gas by mass."""
    density = FUELS[fuel].density
    kind, size = ("volume", kilograms / density) if density > _LIQUID else ("mass", kilograms)
    unit = unit_for(kind, system)
    return f"{plain_number(to_unit(size, unit, kind), 2)} {unit}"


def minutes(seconds: float) -> str:
    """A time span in minutes, or in seconds below one."""
    return f"{plain_number(seconds / 60.0, 2)} min" if seconds >= 60.0 else f"{_whole_number(seconds)} s"


def chance(p: float) -> str:
    """A probability as people count it, in tenths; towards the ends in twentieths.

    >>> chance(0.84)
    'about 8 in 10'
    >>> chance(0.99)
    'over 19 in 20'
    """
    if p >= 0.975:
        return "over 19 in 20"
    if p < 0.025:
        return "under 1 in 20"
    tenths = round(10.0 * p)
    if 0.075 <= p < 0.925:
        return f"about {max(tenths, 1)} in 10"
    return "about 19 in 20" if p > 0.5 else "about 1 in 20"


def odds_error(error: float | None) -> str:
    """The standard error of a probability in points of a hundred; empty where there is none.

    >>> odds_error(0.0024)
    '± 0.2 points'
    """
    return "" if error is None else f"± {max(100.0 * error, 0.1):.1f} points"


def _whole_number(value: float) -> str:
    return f"{value:.0f}".replace("-0", "0") if abs(value) < 0.5 else f"{value:.0f}"


def capital(text: str) -> str:
    """The text as a sentence or a heading begins; what follows the first letter stays as it is."""
    return text[:1].upper() + text[1:]


def lowered(text: str) -> str:
    """The text as it goes on within a sentence; what follows the first letter stays as it is."""
    return text[:1].lower() + text[1:]
