"""Inputs and results as a page shows them."""

from __future__ import annotations

import numpy as np

from engcalc.case.case import Case, Given, value_at
from engcalc.case.catalogue import entry
from engcalc.case.reading_words import instruments_with, word_of
from engcalc.quantity_kinds import KINDS
from engcalc.units import UnitSystem, parse, raised, show, to_unit, unit_for

_PRETTY = (("degC", "°C"), ("degF", "°F"), ("deg C", "°C"), ("deg F", "°F"))
TIMES = ("time", "short time")  # kinds that read well in any of their units


def pretty(text: str) -> str:
    """A typed quantity with the signs that print rather than the letters that are easy to type.

    >>> pretty("-12 degC"), pretty("1.2 m3/h"), pretty("0.0002 m2 K/W")
    ('-12 °C', '1.2 m³/h', '0.0002 m² K/W')
    """
    for typed, printed in _PRETTY:
        text = text.replace(typed, printed)
    return raised(text)


def quantity(si: float | None, kind: str, system: UnitSystem, digits: int = 3) -> str:
    """A number with its unit; empty where there is none."""
    return "" if si is None or not np.isfinite(si) else pretty(show(si, kind, system, digits))


def whole(kelvin: float, system: UnitSystem) -> str:
    """A temperature without decimals: for what nobody measured to a tenth."""
    unit = unit_for("temperature", system)
    return f"{round(to_unit(kelvin, unit, 'temperature')):d} {unit}"


def as_given(case: Case, path: str, system: UnitSystem) -> str:
    """The input at this path as typed, with the same in the system's unit where that is another; empty if absent."""
    given = case.given.get(path)
    if given is None:
        return ""
    if given.kind == "word":
        return given.text
    if given.typed:
        return _typed(given, system)
    value = value_at(case, path)
    if value is None:
        return ""
    return quantity(float(np.ravel(value)[0]), given.kind, system)


def _typed(given: Given, system: UnitSystem) -> str:
    """What was typed; of a gauge or a hand read in words, the word."""
    for instrument in instruments_with(given.text):
        return f"\u201c{word_of(instrument, given.text)}\u201d"
    kind = KINDS[given.kind]
    declared = entry(given.path).input
    text = declared.words.get(given.text) or given.text
    read = parse(text, given.kind)
    unit = unit_for(given.kind, system)
    names = {**kind.units, **(kind.reciprocal or {})}
    if given.kind in TIMES or "" in (read.unit, unit) or names[read.unit] == names[unit]:
        return pretty(given.text)
    return f"{pretty(given.text)} ({quantity(read.si, given.kind, system)})"


def uncertainty_of(case: Case, given: Given, system: UnitSystem) -> str:
    """The standard uncertainty of an input: a difference for a temperature, else a share of the value."""
    if given.uncertainty <= 0.0:
        return ""
    if "temperature" in given.kind:
        return f"± {quantity(given.uncertainty, 'temperature difference', system, 2)}"
    value = float(np.ravel(value_at(case, given.path))[0])
    if value == 0.0:
        return ""
    return f"± {100.0 * given.uncertainty / abs(value):.2g} %"


def label_of(path: str) -> str:
    """The label of the input at this path."""
    return entry(path).input.label


def symbol_of(path: str) -> str:
    """The symbol of the input at this path; empty for a word."""
    return entry(path).input.symbol
