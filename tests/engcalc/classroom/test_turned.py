"""A topic turned round: one of the given numbers is asked, and a result is given in its place."""

from __future__ import annotations

import math
import re

import pytest

from engcalc.classroom.as_data import key_data, sheet_data
from engcalc.classroom.class_order import ClassOrder
from engcalc.classroom.marking import sheet_name
from engcalc.classroom.problem import PosedProblem, pose
from engcalc.classroom.stated import UNKNOWN, askable, stated_numbers
from engcalc.classroom.symbols import SymbolSet
from engcalc.classroom.topics import TOPICS
from engcalc.errors import InputError
from engcalc.units import UnitSystem
from engcalc.words.lesson.classroom_words import key_lines, sheet_lines

from .test_working_holds import drifts

HARDLY_MATTER = {("fin-efficiency", "F_d_mm"), ("louvered-fin", "delta_mm")}
"""Ten per cent of these move no result by as much as its rounding: nobody can ask for them."""
ASKED = [(key, one) for key, topic in TOPICS.items() for one in askable(topic) if (key, one) not in HARDLY_MATTER]


def asked(topic: str, *typed: str, seed: int = 1, system: UnitSystem = UnitSystem.SI) -> PosedProblem:
    order = ClassOrder(TOPICS[topic], seed, system, stated=stated_numbers(TOPICS[topic], typed))
    (problem,) = order.posed()
    return problem


@pytest.mark.parametrize(("topic", "number"), ASKED, ids=lambda one: one)
def test_every_number_can_be_asked_and_gives_back_the_result_that_was_given(topic: str, number: str) -> None:
    """The answer, put into the topic as it is usually posed, gives the result within the band of that sheet."""
    for seed in (1, 2):
        turned = pose(TOPICS[topic], seed, "", UnitSystem.SI, {number: UNKNOWN})
        (answer,) = turned.asked
        assert answer.symbol == number
        assert answer.low < answer.exact < answer.high
        stated = {one.symbol: one.text for one in turned.givens}
        given = turned.rounds[-1].result.symbol
        wanted = stated.pop(given)
        forward = pose(TOPICS[topic], seed, "", UnitSystem.SI, {**stated, number: f"{answer.exact:.9g}"})
        found = next(line.result for line in forward.lines if line.line.symbol == given)
        half = next(one.half_step for one in turned.givens if one.symbol == given)
        assert found.value == pytest.approx(float(wanted), abs=1.01 * half)


@pytest.mark.parametrize("system", UnitSystem)
@pytest.mark.parametrize(("topic", "number"), ASKED, ids=lambda one: one)
def test_every_line_and_every_round_of_a_key_turned_round_holds(topic: str, number: str, system: UnitSystem) -> None:
    problem = pose(TOPICS[topic], 3, "", system, {number: UNKNOWN})
    sheet, key = sheet_data(problem, SymbolSet.A), key_data(problem, SymbolSet.A)
    guess, result = key["rounds"][-1]["guess"], key["rounds"][-1]["gives"]
    assert [one["key"] for one in key["answers"]] == [number] == [guess["key"]]
    assert number not in {one["key"] for one in (*sheet["given"], *sheet["from_tables"])}
    answers, key["answers"] = key["answers"], []
    assert list(drifts({**sheet, "given": [*sheet["given"], guess]}, key)) == []
    assert answers[0]["from"] <= float(guess["value"]) <= answers[0]["to"]
    line = next(line for line in key["working"] if line["key"] == result["key"])
    assert float(line["result"]) == pytest.approx(float(result["value"]), rel=2e-3)


def test_film_coefficient_from_the_efficiency_of_a_fin() -> None:
    """tanh(x)/x = 0.85 at x = 0.7407 (by hand); then h = x^2 k delta / (2 l^2 (1 + delta/F_d))."""
    problem = asked("fin-efficiency", "F_l=10", "delta=0.1", "F_d=30", "k_f=200", "h=?", "eta_f=0.850")
    x = 0.7407
    assert math.tanh(x) / x == pytest.approx(0.85, abs=1e-4)
    h = x**2 * 200.0 * 1e-4 / (2.0 * (5e-3 - 1e-4) ** 2 * (1.0 + 0.1 / 30.0))
    assert problem.asked[0].exact == pytest.approx(h, rel=2e-3)
    assert [round(float(one.result.text), 2) for one in problem.rounds][-1] == 0.85


def test_heat_capacity_from_the_time_of_a_warm_up() -> None:
    """C = UA t / ln((T_end - T_0)/(T_end - T_e)): 40 W/K, 20 min, from 0 to 80 of 150 degC."""
    problem = asked("warm-up", "C=?", "T_0=0", "q=6", "UA_s=40", "T_a=0", "T_e=80", "t_m=20.0")
    assert problem.asked[0].exact == pytest.approx(40.0 * 1200.0 / math.log(150.0 / 70.0) / 1000.0, rel=1e-6)


def test_area_from_the_outlet_in_counterflow() -> None:
    """By the logarithmic mean temperature difference, the other road, with the specific heats printed on the sheet."""
    problem = asked("counterflow", "A=?", "m_h=1.5", "m_c=1.2", "T_h,in=90", "T_c,in=20", "U=1000", "T_c,out=50.0")
    cp = {one.symbol: one.value for one in problem.looked_up}
    q = 1.2 * cp["c_c"] * 30.0
    T_h_out = 90.0 - q / (1.5 * cp["c_h"])
    mean = ((90.0 - 50.0) - (T_h_out - 20.0)) / math.log((90.0 - 50.0) / (T_h_out - 20.0))
    assert problem.asked[0].exact == pytest.approx(q / (1000.0 * mean), rel=1e-6)


def test_pressure_of_the_cap_from_the_boiling_point() -> None:
    """The tables follow the answer: the rows of the steam table lie about the pressure that is found."""
    problem = asked("boiling-point", "p_c=?", "z=1000", "T_b=125.0")
    rows = {one.symbol: one.value for one in problem.looked_up}
    found = {line.line.symbol: line.result.value for line in problem.lines}
    assert rows["p_1"] <= found["p_w"] <= rows["p_2"]
    assert rows["T_1"] <= 125.0 <= rows["T_2"]


def test_the_sheet_does_not_tell_what_it_asks() -> None:
    problem = asked("pump-system", "dp_0=?")
    sheet, key = "\n".join(sheet_lines(problem, SymbolSet.A)), "\n".join(key_lines(problem, SymbolSet.A))
    assert "A pump gives (to be found) at no flow" in sheet
    assert "Known besides: pressure, " in sheet
    assert not re.search(r"What flow settles", sheet)
    assert problem.asked[0].text not in sheet
    assert "Round 1: Δp₀ = " in key
    assert sheet_name(problem) == "pump-system-1-dp_0"


@pytest.mark.parametrize(
    ("topic", "typed", "told"),
    [
        ("turbulent-tube", ["T_b = ?"], "one of m, d can be asked"),
        ("turbulent-tube", ["m = ?", "d = ?"], "one number asked"),
        ("warm-up", ["q = ?", "t_m = 20", "tau = 1000"], "at most one result"),
        ("warm-up", ["q = ?", "tau = 1000"], "hangs on what is asked: T_end, t, t_m"),
        ("warm-up", ["t_m = 20"], "one of C, T_0"),
        ("warm-up", ["C = ?", "t_m = wide"], "a plain number"),
    ],
)
def test_what_cannot_be_asked_is_told(topic: str, typed: list[str], told: str) -> None:
    with pytest.raises(InputError, match=re.escape(told)):
        stated_numbers(TOPICS[topic], typed)


@pytest.mark.parametrize("typed", [["F_d = ?"], ["h = ?", "eta_f = 1.5"]])
def test_no_answer_is_made_up_where_there_is_none(typed: list[str]) -> None:
    with pytest.raises(InputError, match="no sensible problem"):
        asked("fin-efficiency", *typed)
