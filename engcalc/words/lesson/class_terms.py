"""Terms that a class meets on bench, sheets and charts, each with its unit and one plain sentence or two."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from engcalc.classroom.symbols import SymbolSet, printed, with_symbols
from engcalc.units import raised
from engcalc.words.terms.numbers import capital
from engcalc.working.bench_chain import BENCH_TERMS


@dataclass(frozen=True)
class ClassTerm:
    """What a term means, symbols in braces, and its unit in SI (empty for a plain number or a thing)."""

    words: str
    unit: str = ""


CLASS_TERMS: Mapping[str, ClassTerm] = {
    "arrangement": ClassTerm(
        "How the two streams pass each other: along, against or across, mixed over the section or not."
    ),
    "capacity rate": ClassTerm("Mass flow times specific heat: the heat that warms the stream by one kelvin.", "W/K"),
    "capacity ratio": ClassTerm("The smaller capacity rate over the larger, from 0 to 1."),
    "Colburn factor": ClassTerm(
        "Heat transfer coefficient over mass flux and specific heat, times the Prandtl number to two thirds."
    ),
    "conductance": ClassTerm("{UA}: heat that passes for each kelvin of true mean temperature difference.", "W/K"),
    "correction factor F": ClassTerm(
        "True mean temperature difference over that of counterflow with the same four temperatures."
    ),
    "coverage factor": ClassTerm(
        "By how much a standard uncertainty is multiplied before it is shown: 1 or 2. With 2 some 95 of 100 lie inside."
    ),
    "effectiveness": ClassTerm(
        "Heat that passes over the most that could: the smaller capacity rate times the inlet difference."
    ),
    "film coefficient": ClassTerm(
        "Heat through a fluid's film at a wall, for each square metre and kelvin.", "W/(m² K)"
    ),
    "fin efficiency": ClassTerm("Heat of a fin over that of a fin as warm as its root all over."),
    "first law": ClassTerm("No energy is lost: a cold stream cannot take up more than the hot one gives."),
    "fouling": ClassTerm("Deposits on a wall, as a thermal resistance for its area.", "m² K/W"),
    "heat balance": ClassTerm("Heat of the hot stream less that of the cold one, over their mean."),
    "hydraulic diameter": ClassTerm("Four times the flow area over the wetted perimeter.", "m"),
    "Monte Carlo": ClassTerm("Uncertainty by many draws of what was measured, the formula worked with each."),
    "linear law": ClassTerm("Uncertainty by the slope of the result in each measured number, squares added."),
    "logarithmic mean temperature difference": ClassTerm(
        "Mean of the differences at both ends, for streams that run along each other.", "K"
    ),
    "number of transfer units": ClassTerm(
        "NTU: conductance over the smaller capacity rate, the size of an exchanger for its flows."
    ),
    "Nusselt number": ClassTerm("Film coefficient times diameter over conductivity."),
    "outlier": ClassTerm(
        "A point that lies off the others by far more than they scatter, and than its uncertainty explains. It is named, "
        "and left out of the line."
    ),
    "Prandtl number": ClassTerm("Viscosity times specific heat over conductivity."),
    "Reynolds number": ClassTerm(
        "Density times velocity times diameter over viscosity: laminar below some 2300, turbulent from 4000 on."
    ),
    "second law": ClassTerm("Heat passes from warm to cold only: no outlet can pass the other stream's inlet."),
    "system curve": ClassTerm(
        "Pressure that a way takes, over its flow. A pump or fan settles where its own curve meets it.", "Pa"
    ),
    "time constant": ClassTerm(
        "Time in which what is left of a change falls to 37 %: heat capacity over conductance.", "s"
    ),
    "weighted heat": ClassTerm(
        "Mean of both sides' heats, each weighted by one over the square of its uncertainty.", "W"
    ),
    "Wilson plot": ClassTerm(
        "1/{UA} over the flow to a negative power. Its line begins at the resistances that stay; its slope tells the film."
    ),
}


def class_symbols(symbols: SymbolSet) -> tuple[tuple[str, str], ...]:
    """Each symbol of the bench in this set with its meaning and unit, by the alphabet."""
    told = {
        printed(term.symbol, symbols): ", ".join(
            part for part in (capital(term.label), raised(term.unit).replace("degC", "°C")) if part
        )
        for term in BENCH_TERMS.values()
        if not term.is_condition
    }
    return tuple(sorted(told.items(), key=lambda pair: pair[0].casefold()))


def class_terms(symbols: SymbolSet) -> tuple[tuple[str, str], ...]:
    """Each term with what it means in the symbols of this set, and its unit, by the alphabet."""
    told = {
        capital(term): " ".join(
            [with_symbols(one.words, symbols), *([f"Unit: {one.unit.replace('m2', 'm²')}."] if one.unit else [])]
        )
        for term, one in CLASS_TERMS.items()
    }
    return tuple(sorted(told.items(), key=lambda pair: pair[0].casefold()))
