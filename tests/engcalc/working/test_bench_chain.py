"""The working of a bench: every line of every arrangement comes out, no number changes its digits, 1 % is noticed."""

from __future__ import annotations

import re
from dataclasses import replace
from functools import cache

import pytest

from engcalc.case.case import Case
from engcalc.case.resolve import resolve
from engcalc.case.text import FORMAT, CaseText
from engcalc.components.two_streams import Passing
from engcalc.errors import RangeError
from engcalc.studies.bench.check import BenchCheck, check_bench
from engcalc.working.bench_chain import BENCH_TERMS, BenchNumbers, work_measured
from engcalc.working.chapters import Worked
from engcalc.working.same_digits import COMES_OUT, at_printed
from engcalc.working.shown import Shown, WorkingLine, show_step
from reports.pages.bench import numbers_of_point, numbers_of_problem, worked_problem

SETUPS = [(passing.value, passes) for passing in Passing for passes in (1, 3)]
POINT = {
    "hot_flow": {"value": "0.1 kg/s", "uncertainty": "1 %"},
    "hot_in": "64.3 degC",
    "hot_out": {"value": "52.1 degC", "uncertainty": "0.2 K"},
    "cold_flow": "0.07 kg/s",
    "cold_in": "14.6 degC",
    "cold_out": {"value": "31.7 degC", "uncertainty": "0.2 K"},
}
RATING = {
    "hot_flow": "0.05 kg/s",
    "hot_in": "71 degC",
    "cold_flow": "0.08 kg/s",
    "cold_in": "16 degC",
    "conductance": "260 W/K",
}
SIZING = {key: value for key, value in RATING.items() if key != "conductance"} | {"heat": "5.1 kW"}


@cache
def bench(arrangement: str, passes: int) -> BenchCheck:
    tree = {
        "format": FORMAT,
        "hot_stream": {"fluid": "water"},
        "cold_stream": {"fluid": "water"},
        "exchanger": {"arrangement": arrangement, "passes": str(passes), "area": "0.3 m2"},
        "rig": [POINT],
        "problems": [RATING, SIZING],
    }
    case = resolve(CaseText(tree))
    assert isinstance(case, Case), case
    found = check_bench(case)
    assert found is not None
    return found


def workings(arrangement: str, passes: int) -> list[tuple[BenchNumbers, tuple[Worked, ...]]]:
    found = bench(arrangement, passes)
    of_point = numbers_of_point(found, found.points[0])
    problems = [(numbers_of_problem(found, p), worked_problem(found, p)) for p in found.problems]
    return [(of_point, work_measured(of_point)), *problems]


def lines_of(chapters: tuple[Worked, ...]) -> list[Shown]:
    assert [words for chapter in chapters for words in chapter.failures] == []
    return [line for chapter in chapters for line in chapter.lines]


@pytest.mark.parametrize(("arrangement", "passes"), SETUPS)
def test_every_line_comes_out_at_its_printed_numbers(arrangement, passes):
    for _, chapters in workings(arrangement, passes):
        lines = lines_of(chapters)
        assert {"C_hot", "C_cold", "eps", "UA_lm"} <= {line.step.symbol for line in lines}
        for line in lines:
            texts = {**line.values, line.step.symbol: line.result}
            assert at_printed(line, texts) == pytest.approx(float(line.result), rel=COMES_OUT), line.step


@pytest.mark.parametrize(("arrangement", "passes"), SETUPS)
def test_a_number_has_the_same_digits_wherever_it_stands(arrangement, passes):
    for _, chapters in workings(arrangement, passes):
        texts: dict[str, set[str]] = {}
        for line in lines_of(chapters):
            for symbol, text in (*line.values.items(), (line.step.symbol, line.result)):
                texts.setdefault(symbol, set()).add(text)
        assert {symbol: several for symbol, several in texts.items() if len(several) > 1} == {}


def planted(step: WorkingLine) -> list[WorkingLine]:
    """The step with one of its numbers 1 % off, and with its whole formula 1 % off."""
    wrong = [replace(step, formula=f"1.01*({step.formula})")]
    for match in re.finditer(r"(?<![\w.])\d+(?:\.\d+)?", step.formula):
        value = float(match.group())
        if value:
            changed = f"{step.formula[: match.start()]}{1.01 * value!r}{step.formula[match.end() :]}"
            wrong.append(replace(step, formula=changed))
    return wrong


@pytest.mark.parametrize("arrangement", [passing.value for passing in Passing])
def test_one_per_cent_off_in_any_line_is_refused(arrangement):
    """A number that only parts equal capacity rates from others is no part of a formula, and none stands in one."""
    for numbers, chapters in workings(arrangement, 1):
        for line in lines_of(chapters):
            wrongs = planted(line.step)
            for wrong in wrongs[:1] if line.step.count else wrongs:  # a series tries 200 terms before it gives up
                with pytest.raises(RangeError):
                    show_step(wrong, BENCH_TERMS, numbers)
