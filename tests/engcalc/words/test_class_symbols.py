"""A radiator's working in the symbols of the class: no two alike, and a letter changes only for what it stands for."""

from __future__ import annotations

from collections import Counter

import pytest

from engcalc.case.case import Case
from engcalc.case.resolve import Faults, resolve
from engcalc.case.text import FORMAT, CaseText
from engcalc.classroom.symbols import _LETTERS, SymbolSet
from engcalc.units import UnitSystem, unit_for
from engcalc.words.answer.results import RESULTS
from engcalc.words.lesson.class_symbols import as_it_is, in_set, writes_for
from engcalc.working.rig_chain import RIG_TERMS
from engcalc.working.terms import TERMS
from reports.formulas import _GREEK


@pytest.mark.parametrize("symbols", SymbolSet)
@pytest.mark.parametrize("terms", [TERMS, RIG_TERMS], ids=["duty", "measured point"])
def test_no_two_quantities_of_a_working_are_written_alike(terms, symbols) -> None:
    write = in_set(symbols)
    times = Counter(write(term.symbol, term.unit) for term in terms.values())
    assert [symbol for symbol, count in times.items() if count > 1] == []


@pytest.mark.parametrize(
    ("symbol", "unit", "in_a", "in_b"),
    [
        ("Q_rad", "W", "q_rad", "Qdot_rad"),
        ("Q_rad", "kW", "q_rad", "Qdot_rad"),
        ("m_rad", "kg/s", "mdot_rad", "mdot_rad"),
        ("m_v", "kg", "m_v", "m_v"),
        ("V_e", "m3/s", "Vdot_e", "Vdot_e"),
        ("V_d", "m3", "V_d", "V_d"),
        ("h_a", "W/(m2 K)", "h_a", "alpha_a"),
        ("h_t", "m", "h_t", "h_t"),
        ("k_f", "W/(m K)", "k_f", "lam_f"),
        ("k_ram", "", "k_ram", "k_ram"),
        ("T_p", "m", "T_p", "T_p"),
        ("T_amb", "degC", "T_amb", "vartheta_amb"),
        ("eps", "", "eps", "Phi"),
        ("UA", "W/K", "UA", "kA"),
        ("C_min", "W/K", "C_min", "Wdot_min"),
        ("C_r", "", "C_r", "R"),
        ("R", "K/W", "R", "R_tot"),
    ],
)
def test_a_letter_changes_only_for_what_it_stands_for(symbol: str, unit: str, in_a: str, in_b: str) -> None:
    assert in_set(SymbolSet.A)(symbol, unit) == in_a
    assert in_set(SymbolSet.B)(symbol, unit) == in_b


def test_a_result_is_written_as_the_line_that_finds_it() -> None:
    write = in_set(SymbolSet.B)
    shared = [row for row in RESULTS if row.symbol in TERMS]
    assert len(shared) > 10
    for row in shared:
        assert write(row.symbol, unit_for(row.kind, UnitSystem.SI)) == write(row.symbol, TERMS[row.symbol].unit)


def resolved(reason: str, symbols: str) -> Case:
    tree = {"format": FORMAT, "job": {"reason": reason}, "exchanger": {"symbols": symbols}}
    case = resolve(CaseText({**tree, "vehicle": {"class": "bench rig"}, "radiator": {"core_width": "500 mm"}}))
    assert not isinstance(case, Faults), case.faults  # symbols alone ask for no fluids of a bench
    return case


def test_a_lesson_follows_its_class_and_any_other_job_the_program() -> None:
    assert writes_for(resolved("lesson", "B"))("Q_rad", "W") == "Qdot_rad"
    assert writes_for(resolved("lesson", "A"))("Q_rad", "W") == "q_rad"
    assert writes_for(resolved("sizing", "B")) is as_it_is


def test_every_greek_letter_of_the_plain_text_is_typeset_on_paper():
    """A line said chi and gamma in Latin letters where the sentence beside it had them in Greek."""
    greek = {name for name, letter in _LETTERS.items() if len(letter) == 1 and "α" <= letter.lower() <= "ϑ"}
    assert len(greek) > 15
    assert greek <= set(_GREEK)
