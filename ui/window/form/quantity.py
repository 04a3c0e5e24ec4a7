"""What a number field shows beside what was typed: units to choose, ranges, defaults. No Qt."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np

from engcalc.case.case import Case, Given, value_at
from engcalc.case.declare import Basis, Input
from engcalc.case.presets import class_value
from engcalc.errors import UnitFault
from engcalc.quantity_kinds import KINDS
from engcalc.units import UnitSystem, has_sides, parse, plain_number, show_difference, to_unit, unit_for

DIGITS = 4  # of a default or a range as shown; what is typed keeps its own
CONVERTED_DIGITS = 6  # of a typed number shown in another unit


@dataclass(frozen=True)
class Unit:
    """A unit that a person may choose: its spelling, the kind it measures, what it stands for."""

    spelling: str
    kind: str
    meaning: str


@dataclass(frozen=True)
class Filled:
    """What the program uses for a value that nobody typed: as text, in SI where it is a number, and its source."""

    text: str
    si: float | None
    source: str


@cache
def units_of(kind_name: str) -> tuple[Unit, ...]:
    """One spelling of each unit of a kind, the display units first, a bare number last where the kind allows one."""
    kind = KINDS[kind_name]
    seen: dict[str, Unit] = {}
    for spelling in kind.spellings:
        meaning = _meaning(kind_name, spelling)
        if spelling:
            seen.setdefault(meaning, Unit(spelling, kind_name, meaning))
    found = tuple(seen.values())
    return (*found, Unit("", kind_name, "")) if kind.bare and found else found


def units_offered(kinds: tuple[str, ...]) -> list[Unit]:
    """The units to choose from where any of these kinds may stand: first those in which each kind is shown."""
    every = [unit for kind in kinds for unit in units_of(kind)]
    return sorted(every, key=lambda unit: unit.spelling not in (KINDS[unit.kind].si, KINDS[unit.kind].us))


def _meaning(kind_name: str, spelling: str) -> str:
    kind = KINDS[kind_name]
    inverse = (kind.reciprocal or {}).get(spelling)
    return kind.units.get(spelling, "") if inverse is None else f"per {inverse}"


def unit_of(text: str, kinds: tuple[str, ...]) -> Unit | None:
    """The unit that a typed text carries (a bare number's is empty); None when the text does not read."""
    for kind in kinds:
        try:
            spelling = parse(text, kind).unit
        except UnitFault:
            continue
        return Unit(spelling, kind, _meaning(kind, spelling))
    return None


def completed(text: str, unit: Unit | None, kinds: tuple[str, ...], words: frozenset[str]) -> str:
    """The typed text, with the chosen unit behind it where a bare number was typed beside one."""
    plain = text.strip()
    if unit is None or not unit.spelling or plain in words or not plain:
        return "" if not plain else text
    found = unit_of(text, kinds)
    if found is not None and found.spelling:
        return text
    with_unit = f"{plain} {unit.spelling}"
    return with_unit if unit_of(with_unit, (unit.kind,)) is not None else text


def converted(text: str, unit: Unit, kinds: tuple[str, ...]) -> str | None:
    """The typed quantity in another unit of its kind; None when the text does not read or the kinds differ."""
    found = unit_of(text, kinds)
    if found is None or found.kind != unit.kind:
        return None
    return in_unit(parse(text, found.kind).si, unit, CONVERTED_DIGITS)


def in_unit(si: float, unit: Unit, digits: int = DIGITS) -> str:
    """A value in SI as text in this unit."""
    return f"{plain_number(to_unit(si, unit.spelling, unit.kind), digits)} {unit.spelling}".rstrip()


def area_words(text: str, kind: str, unit: Unit | None) -> str:
    """What the two sides of an area come to, such as ``= 0.132 m2``; empty for anything else."""
    if kind != "area" or unit is None or not has_sides(text) or unit_of(text, (kind,)) is None:
        return ""
    return f"= {in_unit(parse(text, kind).si, unit)}"


def system_unit(kind: str, system: UnitSystem, declared: Input | None = None) -> Unit | None:
    """The unit in which a kind is shown; None for plain numbers. In SI the input's own usual range sets the size."""
    usual = declared.usual if declared is not None and declared.kind == kind else None
    if usual is not None and system is UnitSystem.SI:
        return unit_of(usual[1], (kind,))
    spelling = unit_for(kind, system)
    return Unit(spelling, kind, _meaning(kind, spelling)) if spelling else None


def shown(si: float, unit: Unit | None) -> str:
    """A value as text in ``unit``, or as a plain number."""
    return plain_number(si, DIGITS) if unit is None else in_unit(si, unit)


def usual_words(declared: Input, kind: str, unit: Unit | None) -> str:
    """The usual range in words, such as ``usual 900 to 3500 kg``; empty where none is declared."""
    span = usual_span(declared, kind)
    if span is None:
        return ""
    if unit is not None and declared.usual is not None and _own_units(declared.usual, unit):
        return f"usual {declared.usual[0]} to {declared.usual[1]}"
    low, high = sorted(span, reverse=unit is not None and unit.meaning.startswith("per "))
    if unit is None or not unit.spelling:
        return f"usual {plain_number(low, DIGITS)} to {plain_number(high, DIGITS)}"
    if unit.meaning.startswith("per ") and min(span) <= 0.0:
        return ""
    return f"usual {plain_number(to_unit(low, unit.spelling, unit.kind), 3)} to {in_unit(high, unit, 3)}"


def _own_units(usual: tuple[str, str], unit: Unit) -> bool:
    """Whether a range is written with two units, such as 10 min to 24 h, of which the upper one is shown."""
    low, high = (unit_of(text, (unit.kind,)) for text in usual)
    return low is not None and high is not None and low.meaning != high.meaning == unit.meaning


def usual_span(declared: Input, kind: str) -> tuple[float, float] | None:
    """The usual range in SI; None where none is declared, it is a point, or another kind was typed."""
    if declared.usual is None or declared.usual[0] == declared.usual[1] or kind != declared.kind:
        return None
    low, high = (parse(text, kind).si for text in declared.usual)
    return low, high


def outside_usual(text: str, declared: Input, kind: str) -> bool:
    """Whether a typed value reads and lies outside the usual range."""
    span = usual_span(declared, kind)
    if span is None or unit_of(text, (kind,)) is None:
        return False
    slack = 1e-9 * max(map(abs, span))
    return not span[0] - slack <= parse(text, kind).si <= span[1] + slack


def filled(
    path: str, declared: Input, kind: str, good: Case | None, class_name: str, fuel: str | None
) -> Filled | None:
    """What stands in for an absent value: from the last good case where it was absent too, else from its sources."""
    given = good.given.get(path) if good is not None else None
    if good is not None and given is not None and not given.typed:
        return _from_case(path, given, good)
    by_class = class_value(class_name, path, fuel)
    text, source = by_class or (declared.default, _source(declared.basis))
    if text is None:
        return None
    return Filled(text, _si(declared.words.get(text) or text, kind), source)


def _from_case(path: str, given: Given, good: Case) -> Filled | None:
    if given.kind == "word":
        return Filled(given.text, None, given.source)
    value = value_at(good, path)
    if value is None or not np.all(np.isfinite(value)):
        return None
    return Filled(given.text, float(value[0]), given.source)


def _source(basis: Basis) -> str:
    return "typical, all classes" if basis is Basis.TYPICAL else "assumed"


def _si(text: str, kind: str) -> float | None:
    try:
        return parse(text, kind).si
    except (UnitFault, KeyError):
        return None


def spread_words(size: float, at: float, kind: str, system: UnitSystem) -> str:
    """An uncertainty of a value ``at``, both SI, as ``± 5 mm``; empty for none. A temperature's is a difference."""
    return f"± {show_difference(size, kind, at, system, 2)}" if size > 0.0 else ""
