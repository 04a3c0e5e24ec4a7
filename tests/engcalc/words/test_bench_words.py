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
        ([SOLVED], "Worked out. The problem has an answer."),
        ([SOLVED, SOLVED], "Worked out. 2 of 2 problems have an answer."),
    ],
)
def test_problems_are_counted_where_there_are_several(problems, said):
    assert headline(checked(problems=problems), UnitSystem.SI) == said
