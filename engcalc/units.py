"""Text with units at the edge, SI floats inside: the one place where the two meet.

The grammar is small and ours: one number, then at most one unit out of the list of the wanted kind, 200 characters at
most. The pint library converts the listed units and never sees what a person typed (its own parser would read
``1,5 bar`` as 15 bar and hang on ``9**9**8 m``). Decimal comma and decimal point both read; a text that could be
meant either way (``1,234``) is a fault that asks.

Written as the trade writes it, these read too: ``2 1/4"`` and ``2¼ in``, ``1,600 cfm`` (a comma before three digits
parts thousands where the unit is a US one), ``50/50`` of a mixture, ``16 lb cap``, ``m^2`` and ``m**2``.

SI units used inside: K, Pa, W, m, kg, s, rad, and rev/s for rotation. Temperature differences are in K.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from enum import Enum
from functools import cache, lru_cache
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from engcalc.errors import UnitFault
from engcalc.quantity_kinds import ALSO_WRITTEN, KINDS, QuantityKind
from engcalc.words.texts import unit_texts

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


_POWERS = str.maketrans("2346", "²³⁴⁶")
_POWER = re.compile(r"(?<=[A-Za-z])[2346](?![0-9A-Za-z])")
_DELTA_WORDS = ("delta", "Δ", "diff")
_LISTED = {other: listed for listed, others in ALSO_WRITTEN.items() for other in others}
_SHOWN = sorted(
    {text for kind in KINDS.values() for u in (kind.si, kind.us) if u for text in (u, u.translate(_POWERS))} | {"h"},
    key=len,
    reverse=True,
)
_BEFORE_UNIT = re.compile(rf"(?<=[0-9]) (?=(?:{'|'.join(map(re.escape, _SHOWN))})(?![\w/]))")

_NUMBER = re.compile(r"[+-]?(?:[0-9]+(?:[.,][0-9]*)?|[.,][0-9]+)(?:[eE][+-]?[0-9]{1,3})?")
_ODDS = re.compile(r"([0-9]+) ?(?:in|of|out of|/) ?([1-9][0-9]*)")  # 9 in 10: a fraction as it is told
_TIMES = re.compile(r" ?(?:[xX\u00d7]|(?<!\*)\*(?!\*)) ?| by ")  # between the two sides of an area
_SQUARED = {"inch": "in2", "foot": "ft2"}  # the unit of an area whose sides are in these
_MIXED = re.compile(r"([0-9]{1,3}) ?/ ?([0-9]{1,3})")  # 50/50: parts of glycol and water that make a hundred
_FRACTION = re.compile(r"(?:([0-9]{1,4})(?: |-| - ))?([0-9]{1,2})/([1-9][0-9]?)(?![0-9])")  # 2 1/4, 2-1/4, 1/4
_VULGAR = {"¼": "1/4", "½": "1/2", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8", "⅓": "1/3", "⅔": "2/3"}
_RAISED = re.compile(r"(?:\*\*|\^) ?([23])")
_THOUSANDS = re.compile(r"[1-9][0-9]{0,2}(?:,[0-9]{3})+(?![0-9])")
_US_ONLY = {kind.us.casefold() for kind in KINDS.values() if kind.us and kind.us != kind.si} | {"rpm", "lbs", '"', "'"}
_CAP = re.compile(r" ?cap$", re.IGNORECASE)
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


@lru_cache(maxsize=4096)  # some ten cases: with each key all of one is read again
def parse(text: str, kind_name: str, path: str = "") -> Quantity:
    """Read one number with at most one unit of the wanted kind; of an area also its two sides.

    Raises :class:`UnitFault` naming ``path``, what was given and what would do.

    >>> parse("1,5 bar", "gauge pressure").si
    150000.0
    >>> round(parse("18 /in", "pitch").si, 7)
    0.0014111
    >>> parse("9 in 10", "fraction").si
    0.9
    >>> round(parse("600 x 220 mm", "area").si, 9)
    0.132
    """
    kind = KINDS[kind_name]
    if kind.name == "fraction" and (share := _share(" ".join(text.split()))) is not None:
        return Quantity(share, "")
    if kind.name == "area" and len(sides := _TIMES.split(" ".join(text[:LONGEST_TEXT].split()))) > 1:
        return _of_sides(text, sides, kind, path)
    number, unit = _split(text, kind, path)
    if unit == "":
        if not kind.bare:
            raise UnitFault(_short(text), f"a {kind.name} needs a unit: {_listing(kind)}", path)
        return Quantity(number, "")
    return _with_unit(number, unit, kind, text, path)


def has_sides(text: str) -> bool:
    """Whether an area is typed by its two sides.

    >>> has_sides("600 x 220 mm"), has_sides("0.13 m2")
    (True, False)
    """
    return len(_TIMES.split(" ".join(text[:LONGEST_TEXT].split()))) > 1


def _of_sides(text: str, sides: list[str], kind: QuantityKind, path: str) -> Quantity:
    """An area from its two sides, each with its unit or one unit at the end for both.

    Its unit is square inches or feet where the last side is in them; else that of the kind, for who reads mm2?
    """
    length = KINDS["length"]
    split = [_split(side, length, path) for side in sides if side.strip()]
    unit_at_end = split[-1][1] if split else ""
    units = [_spelling(unit or unit_at_end, length) for _, unit in split]
    if len(sides) != 2 or len(split) != 2 or None in units or min(number for number, _ in split) <= 0.0:
        raise UnitFault(_short(text), unit_texts.TWO_SIDES_WOULD_DO, path)
    area = 1.0
    for (number, _), unit in zip(split, units, strict=True):
        area *= number * _line(length.units[str(unit)], length.si_unit)[0]
    return Quantity(area, _SQUARED.get(length.units[str(units[-1])], kind.si))


def _share(plain: str) -> float | None:
    """A fraction told in two numbers: parts of a mixture that make a hundred, or so many in so many; else None."""
    mixed = _MIXED.fullmatch(plain)
    if mixed is not None and int(mixed.group(1)) + int(mixed.group(2)) == 100:
        return int(mixed.group(1)) / 100.0
    odds = _ODDS.fullmatch(plain)
    if odds is None:
        return None
    return float(odds.group(1)) / float(odds.group(2))


def _as_the_trade_writes(plain: str, kind: QuantityKind) -> str:
    """The same with powers as the lists spell them, a fraction as a decimal, and thousands parted before a US unit put
    together."""
    for sign, written in _VULGAR.items():
        plain = plain.replace(f" {sign}", f" {written}").replace(sign, f" {written}")
    plain = _RAISED.sub(r"\1", plain.strip())
    if kind.name == "gauge pressure":
        plain = _CAP.sub("", plain)
    fraction = _FRACTION.match(plain)
    if fraction is not None:
        whole, over, under = (float(part or 0.0) for part in fraction.groups())
        return f"{whole + over / under!r}{plain[fraction.end() :]}"
    grouped = _THOUSANDS.match(plain)
    if grouped is not None and plain[grouped.end() :].strip().casefold() in _US_ONLY:
        return f"{grouped.group().replace(',', '')}{plain[grouped.end() :]}"
    return plain


def _split(text: str, kind: QuantityKind, path: str) -> tuple[float, str]:
    """The number and the unit's text, or a fault."""
    if len(text) > LONGEST_TEXT:
        raise UnitFault(_short(text), unit_texts.AT_MOST_CHARACTERS.format(longest_text=LONGEST_TEXT), path)
    plain = _as_the_trade_writes(" ".join(text.translate(_SAME).split()), kind)
    match = _NUMBER.match(plain)
    if match is None:
        raise UnitFault(_short(text), unit_texts.ONE_NUMBER_WOULD_DO.format(and_unit=_and_unit(kind)), path)
    if _GROUPED.match(plain):
        raise UnitFault(_short(text), unit_texts.WRITE_THE_NUMBER_WITHOUT_SEPARATORS, path)
    digits = match.group()
    rest = plain[match.end() :].strip()
    if _AMBIGUOUS_COMMA.fullmatch(digits):
        raise UnitFault(
            _short(text),
            unit_texts.IS_OR_MEANT.format(digits=digits.replace(",", "."), digits_2=digits.replace(",", "")),
            path,
        )
    value = float(digits.replace(",", "."))
    if not math.isfinite(value):
        raise UnitFault(_short(text), unit_texts.FINITE_NUMBER_WOULD_DO, path)
    return value, rest


def _plain_name(kind: QuantityKind) -> str:
    """What a person calls the kind: its size only picks the unit that is shown."""
    name = kind.name.removeprefix("small ").removeprefix("short ")
    return f"{'an' if name[0] in 'aeiou' else 'a'} {name}"


def _with_unit(number: float, unit: str, kind: QuantityKind, text: str, path: str) -> Quantity:
    spelling = _spelling(unit, kind)
    if spelling is None:
        if kind.name == "temperature" and any(word in unit for word in _DELTA_WORDS):
            raise UnitFault(_short(text), unit_texts.TEMPERATURE_BELONGS_HERE, path)
        wanted = (
            _listing(kind) if kind.spellings and kind.spellings != ("",) else unit_texts.PLAIN_NUMBER_WITHOUT_A_UNIT
        )
        raise UnitFault(
            _short(text), unit_texts.UNIT_IS_NOT_ONE_FOR.format(plain_name=_plain_name(kind), wanted=wanted), path
        )
    if kind.reciprocal and spelling in kind.reciprocal:
        if number <= 0:
            raise UnitFault(_short(text), unit_texts.MORE_THAN_ZERO_PER_LENGTH_WOULD_DO, path)
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
                raise UnitFault(_short(text), unit_texts.LENGTH_WOULD_DO.format(units=", ".join(kind.units)), path)
            length = _line(kind.reciprocal[spelling], kind.si_unit)[0]
            return number * at**2 / length
    return parse(text, name, path).si


def show_difference(si: float, kind_name: str, at: float, system: UnitSystem = UnitSystem.SI, digits: int = 3) -> str:
    """An uncertainty [SI] of a value ``at`` [SI] with its unit, such as ``5 mm``; a temperature's is a difference.

    In a unit that counts per length it is dn = dp L/p^2, to first order.

    >>> show_difference(0.000254, "pitch", 0.0254 / 10.0, UnitSystem.US)
    '1 /in'
    """
    kind = KINDS[kind_name]
    unit = unit_for(kind_name, system)
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
    if unit != '"':
        return f"{number} {raised(unit)}".rstrip()
    return f"{number}{unit}"


def raised(unit: str) -> str:
    """A unit as it is printed, its powers raised; what is typed is read either way.

    >>> raised("m3/h"), raised("W/(m2 K)"), raised("L/min")
    ('m³/h', 'W/(m² K)', 'L/min')
    """
    return _POWER.sub(lambda match: match[0].translate(_POWERS), unit)


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
    return "" if kind.bare else unit_texts.AND_ONE_UNIT.format(listing=_listing(kind))


def _listing(kind: QuantityKind) -> str:
    return ", ".join(kind.spellings[:10])


def _short(text: str) -> str:
    if len(text) <= 60:
        return text
    return text[:57] + "..."


_BARE_NUMBER = re.compile(r"[+-]?[\d.,]+(?:[eE][+-]?\d+)?")


def with_unit(cell: str, unit: str) -> str:
    """A cell of a table with the unit of its column's head, unless it brings one of its own."""
    return f"{cell} {unit}".strip() if _BARE_NUMBER.fullmatch(cell) else cell
