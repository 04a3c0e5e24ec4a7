"""The words of a radiator's working and of a report's end where it stands on a bench: no engine, no vehicle."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from engcalc.words.page.closing_words import ASSUMPTIONS, SOURCES, SPREADS_DRAWN
from engcalc.working.chapters import WorkedChapter
from engcalc.working.shown import Shown, Term

_ON_A_RIG: Mapping[str, str] = {
    "heat lost from the engine's surface": "heat lost from the rig's surface",
    "surface conductance of the engine": "surface conductance of the rig",
    "heat into the metal": "heat of burning, none on a rig",
    "energy balance of metal and coolant": "energy balance of the coolant",
    "other heat into the coolant": "heat of the rig's heater",
    "heat of the heater": "heat of a heater core, none on a rig",
    "heat lost from the heater's hoses": "heat lost from a heater core's hoses, none on a rig",
    "less what the coolant gets outside the engine": "less what the coolant gets outside the rig's heater",
    "coolant rise across the engine": "coolant rise across the rig's heater",
    "coolant flow through the engine": "coolant flow through the rig",
    "engine outlet, valve held open": "coolant out of the rig's heater",
    "engine outlet": "coolant out of the rig's heater",
    "engine inlet": "coolant into the rig's heater",
    "temperature at the valve's wax, at which the coolant's and the oil's properties count": (
        "temperature at which the coolant's properties count"
    ),
    "A temperature at the valve's wax": "A temperature of the coolant",
    "at the temperature of the wax": "at its temperature in the circuit",
    "the valve is at the outlet": "that at the heater's outlet",
    "the valve is at the inlet": "that at the heater's inlet",
    ": where the valve is fully open": "",
    ": valve held open": "",
    " with the thermostat wide open": "",
    "core, hoses and valve": "core and hoses",
    "many vehicles like this one": "many rigs like this one",
}
"""What is said of an engine with its circuit, and what is said of a rig in its place; longer phrases come first."""

_OF_A_VEHICLE = ("hoses", "trailer", "Engine:", "Air-to-boil")
"""What assumptions and sources of a vehicle alone speak of."""


def on_a_rig(text: str) -> str:
    """A text of a working, in the words of a rig.

    >>> on_a_rig("limit less engine outlet")
    "limit less coolant out of the rig's heater"
    """
    for of_an_engine, of_a_rig in _ON_A_RIG.items():
        text = text.replace(of_an_engine, of_a_rig)
    return text


def chapter_on_a_rig(chapter: WorkedChapter) -> WorkedChapter:
    """A chapter of a working, in the words of a rig."""
    return replace(chapter, title=on_a_rig(chapter.title), lines=tuple(map(_line, chapter.lines)))


def _line(line: Shown) -> Shown:
    step = line.step
    told = replace(step, label=on_a_rig(step.label), source=on_a_rig(step.source), note=on_a_rig(step.note))
    inputs = {symbol: _term(term) for symbol, term in line.inputs.items()}
    return replace(line, step=told, inputs=inputs, result_term=_term(line.result_term))


def _term(term: Term) -> Term:
    return replace(term, label=on_a_rig(term.label))


RIG_ASSUMPTIONS = tuple(one for one in ASSUMPTIONS if not any(word in one for word in _OF_A_VEHICLE))
RIG_SOURCES = tuple(one for one in SOURCES if not any(word in one for word in _OF_A_VEHICLE))
RIG_SPREADS_DRAWN = on_a_rig(SPREADS_DRAWN)
"""What a report of a rig ends with: that of every report, less what only vehicles have."""
