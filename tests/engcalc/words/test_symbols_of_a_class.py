"""A class that works in set B meets no symbol of set A: in tables, captions, charts, terms and working alike."""

from __future__ import annotations

import re
from functools import cache

import pytest

import worked_examples
from engcalc.case.file import SUFFIX, read_case
from engcalc.case.resolve import resolve
from engcalc.classroom.symbols import SymbolSet, alike, in_words, printed, written
from engcalc.studies.checked import Check, check_of_bench
from engcalc.units import UnitSystem
from engcalc.words.lesson.bench_words import bench_tables
from engcalc.words.lesson.class_terms import class_symbols
from reports.formulas import symbol_latex, symbol_markup
from reports.pages.bench import bench_chapters, bench_workings, written_by
from reports.plots.describe import Chart
from reports.plots.registry import ChosenDuty, Screen, pictures_at

SHELL = {"exchanger.arrangement": "shell and tube 1-2"}  # which has a chart of F
OF_SET_A = re.compile(r"\bUA|\bhA|\bC_|\bC[ᵣₘ]|\bCr\b|\bCmin|\bCmax|ε|\bT_[hc]|ΔT|LMTD|\bk = |\bh = |\bq_")
"""What set A writes otherwise than set B; from the two conventions themselves."""


@cache
def bench_in(symbols: str, shell: bool = False) -> Check:
    text = read_case(worked_examples.folder() / f"double-pipe{SUFFIX}").with_value("exchanger.symbols", symbols)
    for path, value in SHELL.items() if shell else ():
        text = text.with_value(path, value)
    return check_of_bench(resolve(text))


def said_in(check: Check) -> list[str]:
    """Every word of tables and pictures."""
    said = []
    for table in bench_tables(check.bench, UnitSystem.SI):
        said += [table.title, table.lead, *table.head, *(cell for row in table.rows for cell in row)]
    for entry in pictures_at(Screen.EXCHANGER):
        chart = entry.build(ChosenDuty(check, None), UnitSystem.SI)
        if isinstance(chart, Chart):
            said += [chart.words.title, chart.words.caption, chart.words.alternative, chart.x.label, chart.y.label]
            said += [series.name for series in chart.series]
    for working in bench_workings(check.bench, UnitSystem.SI):
        said += [*working.leads, *(() if working.table is None else working.table.head)]
    return said


@pytest.mark.parametrize("shell", [False, True])
def test_tables_and_pictures_of_a_class_in_set_b_hold_no_symbol_of_set_a(shell):
    found = [text for text in said_in(bench_in("B", shell)) if OF_SET_A.search(text)]
    assert found == []
    assert len([text for text in said_in(bench_in("A", shell)) if OF_SET_A.search(text)]) > 10


def test_captions_and_heads_name_what_the_working_names():
    said = "\n".join(said_in(bench_in("B", shell=True)))
    for symbol in ("kA", "Ẇₘᵢₙ", "R = 0.5", "Rₚ = 0.5", "Φ", "Δϑₗₘ", "kₚ = 2"):
        assert symbol in said, symbol


@pytest.mark.parametrize("symbols", ["A", "B"])
@pytest.mark.parametrize("shell", [False, True])
def test_no_symbol_of_a_table_or_picture_is_shown_as_it_is_typed(symbols, shell):
    """They stood as C_r, k_p and dT_lm in captions, heads of tables and beside curves."""
    said = said_in(bench_in(symbols, shell))
    assert [text for text in said if "_" in text] == []
    assert any("kₚ = 2" in text for text in said)


def test_an_index_without_letters_below_the_line_is_refused():
    """Half of an index below the line would be read as another symbol."""
    with pytest.raises(ValueError, match="T_c_out: no letters below the line for “c,out”"):
        in_words("T_c_out", SymbolSet.A)


def test_a_list_in_plain_text_writes_all_its_symbols_in_one_way():
    """Below the line where Unicode has every letter, else all as typed; half of them in each way looked like a slip."""
    both = alike(["m_h", "T_h_in", "C_min"], SymbolSet.B)
    assert [both(one) for one in ("m_h", "T_h_in", "C_min")] == ["ṁₕ", "ϑₕ,ᵢₙ", "Ẇₘᵢₙ"]
    typed = alike(["m_h", "T_c_in"], SymbolSet.A)
    assert [typed(one) for one in ("m_h", "T_c_in")] == ["ṁ_h", "T_c,in"]


def test_an_uncertainty_names_its_quantity_as_the_class_does():
    """It was u_q,h and u_UA in set B, where the heat is Q̇ and the conductance kA."""
    assert printed("u_q_h", SymbolSet.B) == "u_Q,h"
    assert printed("u_UA_T_h_in", SymbolSet.B) == "u_kA,ϑ,h,in"
    assert printed("U_UA", SymbolSet.B) == "U_kA"
    assert printed("u_eps_T_c_out", SymbolSet.A) == "u_ε,T,c,out"
    assert printed("u_a", SymbolSet.B) == "u_a"  # a speed is no uncertainty
    assert "ϑ,h,in" in symbol_markup(written("u_UA_T_h_in", SymbolSet.B))
    assert r"\vartheta " in symbol_latex(written("u_UA_T_h_in", SymbolSet.B))


def test_no_two_quantities_of_a_bench_share_a_symbol_in_either_set():
    for symbols in ("A", "B"):
        bench = bench_in(symbols).bench
        write = written_by(bench)
        terms = {
            term.symbol: write(term.symbol, term.unit)
            for chapter in bench_chapters(bench)
            for line in chapter.lines
            for term in (*line.inputs.values(), line.result_term)
        }
        assert len(set(terms.values())) == len(terms)
        assert len(dict(class_symbols(SymbolSet(symbols)))) == len(class_symbols(SymbolSet(symbols)))
