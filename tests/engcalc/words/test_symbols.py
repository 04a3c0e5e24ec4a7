"""One meaning for each symbol, one symbol for each quantity: form, results, working and glossary together."""

from __future__ import annotations

import ast
from collections import defaultdict
from pathlib import Path

import numpy as np
import pytest

import worked_examples
from engcalc.case.case import Case, value_at
from engcalc.case.catalogue import entry
from engcalc.case.file import SUFFIX, read_case
from engcalc.case.resolve import resolve
from engcalc.classroom.symbols import in_letters
from engcalc.components.exchanger import Arrangement
from engcalc.studies.check import check
from engcalc.studies.checked import Check
from engcalc.system.state import Status
from engcalc.words.answer.results import BY_KEY, RESULTS
from engcalc.words.terms.symbols import SHARED, by_symbol, symbols_of_answers
from engcalc.working.chain import chapters_of
from engcalc.working.results import Results
from engcalc.working.shown import read
from engcalc.working.terms import TERMS

PROJECT = Path(__file__).resolve().parents[3]
EXAMPLES = ("track-day-car", "tow-and-track", "van-no-heat", "bench-exchanger")
ONE_SIZE = {  # the units of the form and of results beside those of the working
    "°C": "degC",
    "kW": "W",
    "mm": "m",
    "L": "m3",
    "%": "",
    "rpm": "1/s",
    "bar": "Pa",
    "kPa": "Pa",
    "deg": "rad",
    "km/h": "m/s",
    "m3/h": "m3/s",
    "L/h": "kg/s",
    "°F": "degC",
}
OTHER_THINGS = {  # terms that are as large as a result where
    *("C_r1", "NTU_1", "eps_1"),  # the core has one pass
    "T_wax",  # the valve is at the outlet
    "T_ci",  # the coolant loses nothing on its way from the engine to the radiator
}
SAME_SIZE_ONLY = {  # different things that are as large in these cases
    ("radiator.core_width", "L_t"),  # tubes that run across the core
    ("radiator.tube_width", "F_d"),  # one row of tubes as deep as the core
    ("radiator.core_depth", "w_t"),  # the same
    ("vehicle.mass", "m_v"),  # no trailer
    *((f"{side}_stream.pressure", "p_z") for side in ("hot", "cold")),  # standard air at sea level
    *((f"{side}_stream.concentration", "i") for side in ("hot", "cold")),  # half, and half a cycle per turn
    ("airflow.inlet_loss", "i"),  # half a head, and half a cycle per turn
    ("limits.coolant_limit", "T_lim"),  # coolant that would boil only above the limit set
}


# ---- one meaning for a symbol ---------------------------------------------------------------------------------------


def test_a_symbol_at_several_places_is_one_quantity():
    """A new place of a symbol is either the same quantity, and enters the list, or needs a symbol of its own."""
    several = {symbol: frozenset(use.place for use in uses) for symbol, uses in by_symbol().items() if len(uses) > 1}
    alone = {symbol for symbol in SHARED if len(by_symbol().get(symbol, ())) < 2}
    assert {s: places for s, places in several.items() if SHARED.get(s) != places} == {}
    # displacement and friction have one path in the case and in the prepared engine: two places by one name
    assert alone == {"V_d", "fmep"}


def test_the_places_of_a_symbol_share_a_unit():
    """Inputs and results are shown in the unit of their kind, the working in SI: one is a multiple of the other."""
    for symbol in SHARED:
        sizes = {ONE_SIZE.get(use.unit, use.unit) for use in by_symbol()[symbol]}
        assert len(sizes) == 1, (symbol, by_symbol()[symbol])


def test_an_abbreviation_in_a_formula_is_no_symbol_of_anything_else():
    chapters = [one for arrangement in Arrangement for passes in (1.0, 2.0) for one in chapters_of(arrangement, passes)]
    wrong = {
        name: step.symbol
        for chapter in chapters
        for step in chapter.steps
        for name in step.parts
        if name in by_symbol()
    }
    assert wrong == {}


def test_flows_and_depths_have_symbols_of_their_own():
    """One symbol stood for the coolant through the engine, through the radiator and the air of a rig."""
    flows = ("coolant_flow_kg_s", "radiator_flow_kg_s", "heater_flow_kg_s", "bypass_flow_kg_s")
    symbols = {BY_KEY[key].symbol for key in flows}
    symbols |= {entry(path).input.symbol for path in ("rig[].hot_flow", "rig[].cold_flow")}
    assert len(symbols) == 6
    assert entry("radiator.core_depth").input.symbol == "F_d"  # fin depth, Chang & Wang (1997), as in the working


# ---- one symbol for a quantity --------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def checks() -> list[Check]:
    found = []
    for name in EXAMPLES:
        case = resolve(read_case(worked_examples.folder() / f"{name}{SUFFIX}"))
        assert isinstance(case, Case), case
        found.append(check(case, members=0))
    return found


def results_of(checks: list[Check]):
    """Each solved duty, as results and as the working read it."""
    for one in checks:
        for duty in one.duties:
            if duty.status is Status.SOLVED:
                yield duty, Results(duty.duty, duty, one.plant)


def test_results_and_working_call_one_quantity_by_one_symbol(checks):
    """A result and a term of the working that agree to 12 digits in every duty are the same thing."""
    seen: dict[tuple[str, str], list[bool]] = defaultdict(list)
    for duty, results in results_of(checks):
        for row in RESULTS:
            value = row.getter(duty)
            for term in TERMS.values():
                if value is None or (known := read(results, term)) is None:
                    continue
                si = known + (273.15 if term.unit == "degC" else 0.0)
                seen[row.key, term.symbol].append(value != 0.0 and bool(np.isclose(value, si, rtol=1e-12, atol=0.0)))
    same = {pair for pair, agree in seen.items() if len(agree) > 5 and all(agree)}
    different = {(key, symbol) for key, symbol in same if BY_KEY[key].symbol != symbol}
    assert len(same - different) >= 20
    assert {(key, symbol) for key, symbol in different if symbol not in OTHER_THINGS} == set()


def test_shared_symbols_of_results_and_working_are_the_same_number(checks):
    for duty, results in results_of(checks):
        for row in RESULTS:
            value, term = row.getter(duty), TERMS.get(row.symbol)
            known = None if term is None else read(results, term)
            if value is None or known is None:
                continue
            si = known + (273.15 if term.unit == "degC" else 0.0)
            assert value == pytest.approx(si, rel=1e-9, abs=1e-9), (row.key, duty.name)


def test_inputs_and_working_call_one_quantity_by_one_symbol(checks):
    """Where a term of the working is the number of an input of the case, it has the input's symbol."""
    seen: dict[tuple[str, str], list[bool]] = defaultdict(list)
    for one in checks:
        results = Results(one.duties[0].duty, one.duties[0], one.plant)
        for path in one.case.given:
            if "[" in path or not entry(path).input.symbol:
                continue
            value = value_at(one.case, path)
            if not isinstance(value, np.ndarray) or value.size != 1:
                continue
            number = float(value.ravel()[0])
            for term in TERMS.values():
                if (known := read(results, term)) is not None and number not in (0.0, 1.0):
                    si = known + (273.15 if term.unit == "degC" else 0.0)
                    seen[path, term.symbol].append(bool(np.isclose(number, si, rtol=1e-12, atol=0.0)))
    same = {pair for pair, agree in seen.items() if len(agree) > 2 and all(agree)}
    assert ("radiator.core_depth", "F_d") in same
    different = {(path, symbol) for path, symbol in same if entry(path).input.symbol != symbol}
    assert different - SAME_SIZE_ONLY == set()


# ---- what a person reads --------------------------------------------------------------------------------------------


def test_the_glossary_lists_each_symbol_of_results_and_working_once():
    told = dict(symbols_of_answers())
    assert len(told) == len(symbols_of_answers())
    shown = {term.symbol for term in TERMS.values() if not term.is_condition}
    assert set(told) == {in_letters(symbol) for symbol in {row.symbol for row in RESULTS} | shown}
    assert told["UA"] == f"{BY_KEY['ua_W_K'].label}, W/K"
    assert told["η_f"] == "Fin efficiency"


# ---- class names ----------------------------------------------------------------------------------------------------


def test_no_two_classes_share_a_name():
    """A name means one thing in the whole program; a class's own nested classes count too."""
    found: dict[str, list[str]] = defaultdict(list)
    for package in ("engcalc", "ui", "reports"):
        for path in sorted((PROJECT / package).rglob("*.py")):
            for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
                if isinstance(node, ast.ClassDef):
                    found[node.name].append(path.relative_to(PROJECT).as_posix())
    assert len(found) > 200
    assert {name: places for name, places in found.items() if len(places) > 1} == {}


def test_a_degree_is_written_one_way_in_the_glossary() -> None:
    told = dict(symbols_of_answers())
    assert (told["T_amb"], told["T_eo"]) == ("Ambient, °C", "Coolant out of the engine, °C")
    assert not [meaning for meaning in told.values() if "degC" in meaning]
