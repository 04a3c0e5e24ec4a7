"""Terms of the classroom: each said once, each with its unit, none of a vehicle."""

from __future__ import annotations

import re

from engcalc.classroom.symbols import SymbolSet
from engcalc.words.lesson.class_terms import CLASS_TERMS, class_symbols, class_terms

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
