"""Terms of the classroom: each said once, each with its unit, none of a vehicle."""

from __future__ import annotations

import re

from engcalc.classroom.symbols import SymbolSet
from engcalc.words.lesson.class_terms import CLASS_TERMS, class_symbols, class_terms
from engcalc.words.terms.symbols import symbols_of_answers

VEHICLE = re.compile(r"vehicle|engine|radiator|coolant|cabin|thermostat", re.IGNORECASE)


def test_no_term_of_the_classroom_speaks_of_a_vehicle() -> None:
    assert [name for name, one in CLASS_TERMS.items() if VEHICLE.search(name + one.words)] == []
    assert len(CLASS_TERMS) > 20


def test_each_term_and_symbol_is_told_with_its_unit_once() -> None:
    for one in SymbolSet:
        terms, symbols = dict(class_terms(one)), dict(class_symbols(one))
        assert len(terms) == len(class_terms(one)) == len(CLASS_TERMS)
        assert len(symbols) == len(class_symbols(one)) > 50
        assert terms["Film coefficient"].endswith("Unit: W/(m² K).")
    assert dict(class_symbols(SymbolSet.A))["UA"] == "Conductance, W/K"
    assert dict(class_symbols(SymbolSet.A))["T_h,in"].endswith("°C")
    assert dict(class_symbols(SymbolSet.B))["kA"] == "Conductance, W/K"
    assert dict(class_terms(SymbolSet.B))["Conductance"].startswith("kA: ")


def test_the_glossary_has_letters_and_units_as_they_print_and_no_condition_of_a_formula() -> None:
    """It had eps and dT_m for ε and ΔT_m, 1/m4 for a unit, and is_willans and at_outlet for symbols."""
    told = dict(symbols_of_answers())
    assert told["ε"] == "Effectiveness, %"
    assert told["ΔT_m"] == "Margin to the limit, K"
    assert told["b_j"].endswith("1/m⁴")
    assert [words for words in told.values() if re.search(r"^1 (where|of|if) |[a-z][2-9]\b", words)] == []
    for one in SymbolSet:
        assert [words for _, words in class_symbols(one) if words.startswith("1 where")] == []
