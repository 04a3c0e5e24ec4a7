"""What a bench is called in its headline: before anything is given, with one problem, with points."""

from __future__ import annotations

import pytest

from engcalc.case.case import Case
from engcalc.case.resolve import resolve
from engcalc.case.text import FORMAT, CaseText
from engcalc.diagnosis.whole_check import check_with_records
from engcalc.units import UnitSystem
from engcalc.words.answer.answer import headline
from engcalc.words.answer.plainly import BENCH_OPEN, plain

BENCH = {
    "format": FORMAT,
    "job": {"reason": "lesson"},
    "vehicle": {"class": "bench rig"},
    "hot_stream": {"fluid": "water"},
    "cold_stream": {"fluid": "water"},
    "exchanger": {"arrangement": "counterflow"},
}
FLOWS = {"hot_flow": "0.1 kg/s", "cold_flow": "0.08 kg/s", "hot_in": "60 degC", "cold_in": "15 degC"}
OUTLETS = "hot side out 42.2 °C, cold side out 37.3 °C, heat passed q 7.459 kW"
SIZED = {**FLOWS, "hot_out": "42.15 degC"}
SIZE = "37.3 °C, heat passed q 7.464 kW, UA 300.4 W/K"
SOLVED = {**FLOWS, "conductance": "300 W/K"}


def checked(**given):
    case = resolve(CaseText({**BENCH, **given}))
    assert isinstance(case, Case), case
    return check_with_records(case, {}).check


def test_a_bench_without_a_number_is_not_called_worked_out():
    empty = checked()
    assert headline(empty, UnitSystem.SI) == (
        "Nothing to work out yet. Enter measured points, or paste a table of them under Bench, or enter a problem."
    )
    assert plain(empty) is BENCH_OPEN


@pytest.mark.parametrize(
    ("problems", "said"),
    [
        ([SOLVED], f"Worked out. Problem 1: {OUTLETS}."),
        ([SOLVED, {**SIZED, "name": "Sized"}], f"Worked out. Problem 1: {OUTLETS}. Sized: cold side out {SIZE}."),
        ([SOLVED, SIZED, SOLVED], "Worked out. 3 problems are worked out in the table of problems."),
    ],
)
def test_the_answers_of_one_or_two_problems_are_told_and_more_are_counted(problems, said):
    """It said "The problem has an answer." and kept the answer to itself."""
    assert headline(checked(problems=problems), UnitSystem.SI) == said


def test_after_measured_points_several_problems_are_counted():
    point = {"hot_flow": "0.1 kg/s", "hot_in": "60 degC", "hot_out": "43 degC"}
    point |= {"cold_flow": "0.08 kg/s", "cold_in": "15 degC", "cold_out": "36 degC"}
    told = headline(checked(rig=[point], problems=[SOLVED, SOLVED]), UnitSystem.SI)
    assert told.endswith(" 2 problems are worked out in the table of problems.")
    assert headline(checked(rig=[point], problems=[SOLVED]), UnitSystem.US).endswith("25450 BTU/h.")
