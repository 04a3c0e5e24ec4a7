"""Terms of the classroom: each said once, each with its unit, none of a vehicle."""

from __future__ import annotations

import re

from engcalc.words.class_terms import CLASS_TERMS, class_symbols, class_terms

VEHICLE = re.compile(r"vehicle|engine|radiator|coolant|cabin|thermostat", re.IGNORECASE)


def test_no_term_of_the_classroom_speaks_of_a_vehicle() -> None:
    assert [name for name, one in CLASS_TERMS.items() if VEHICLE.search(name + one.words)] == []
    assert len(CLASS_TERMS) > 20


def test_each_term_and_symbol_is_told_with_its_unit_once() -> None:
    terms, symbols = dict(class_terms()), dict(class_symbols())
    assert len(terms) == len(class_terms()) == len(CLASS_TERMS)
    assert terms["Film coefficient"].endswith("Unit: W/(m² K).")
    assert symbols["UA"] == "Conductance, W/K"
    assert symbols["T_h_in"].endswith("°C")
