"""The working of a bench: every line of every arrangement comes out, no number changes its digits, 1 % is noticed."""

from __future__ import annotations

import re
from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from scipy.stats import linregress

from engcalc.case.case import Case
from engcalc.case.resolve import resolve
from engcalc.case.text import FORMAT, CaseText
from engcalc.components.two_streams import Passing
from engcalc.errors import RangeError
from engcalc.studies.bench.check import BenchCheck, check_bench
from engcalc.working.bench_chain import BENCH_TERMS, BenchNumbers, work_measured
from engcalc.working.chapters import WorkedChapter
from engcalc.working.same_digits import COMES_OUT, USUAL_DIGITS, at_printed
from engcalc.working.shown import Shown, WorkingLine, show_step
from engcalc.working.wilson_chain import CHAPTERS, WILSON_TERMS, WilsonNumbers, work_wilson
from reports.pages.bench import numbers_of_point, numbers_of_problem, worked_problem

SETUPS = [(passing.value, passes) for passing in Passing for passes in (1, 3)]
POINT = {  # every number with an uncertainty, so that no term of a sum of squares is nothing
    "hot_flow": {"value": "6 L/min", "uncertainty": "1 %"},
    "hot_in": {"value": "64.3 degC", "uncertainty": "0.1 K"},
    "hot_out": {"value": "52.1 degC", "uncertainty": "0.2 K"},
    "cold_flow": {"value": "0.07 kg/s", "uncertainty": "2 %"},
    "cold_in": {"value": "14.6 degC", "uncertainty": "0.15 K"},
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


def workings(arrangement: str, passes: int) -> list[tuple[BenchNumbers, tuple[WorkedChapter, ...]]]:
    found = bench(arrangement, passes)
    of_point = numbers_of_point(found, found.points[0])
    problems = [(numbers_of_problem(found, p), worked_problem(found, p)) for p in found.problems]
    return [(of_point, work_measured(of_point)), *problems]


def lines_of(chapters: tuple[WorkedChapter, ...]) -> list[Shown]:
    assert [words for chapter in chapters for words in chapter.failures] == []
    return [line for chapter in chapters for line in chapter.lines]


@pytest.mark.parametrize(("arrangement", "passes"), SETUPS)
def test_every_line_comes_out_at_its_printed_numbers(arrangement, passes):
    for _, chapters in workings(arrangement, passes):
        lines = lines_of(chapters)
        assert {"C_h", "C_c", "eps", "UA_lm"} <= {line.step.symbol for line in lines}
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


def test_a_measured_point_shows_where_each_number_comes_from():
    (_, chapters), *_ = workings("counterflow", 1)
    found = {line.step.symbol for line in lines_of(chapters)}
    assert {"m_h", "T_h_m", "T_c_m", "u_q_h", "u_q_c", "g_h", "q", "eps", "NTU", "UA", "u_UA", "U_UA", "U"} <= found
    assert "m_c" not in found  # given by mass


def test_what_a_line_finds_keeps_its_closing_zeros_and_what_is_given_gets_none():
    """UA was 171.0 in the table and 171 in the line."""
    (_, chapters), *_ = workings("counterflow", 1)
    for line in lines_of(chapters):
        significant = line.result.lstrip("-0.").replace(".", "")
        assert "." not in line.result or len(significant) >= USUAL_DIGITS, line
    given = {symbol: text for line in lines_of(chapters) for symbol, text in line.values.items()}
    assert (given["T_h_in"], given["T_c_out"]) == ("64.3", "31.7")


def test_a_point_that_no_size_explains_is_worked_up_to_its_effectiveness():
    of, _ = workings("counterflow", 1)[0]
    chapters = work_measured(replace(of, possible=False))
    assert [line.step.symbol for line in lines_of(chapters)][-1] == "eps"


# ---- the Wilson plot ---------------------------------------------------------------------------------------------


@cache
def plot(area: float | None = 0.11) -> WilsonNumbers:
    """Eight points about 1/UA = 0.0024 + 0.0003 m^-0.8, scattered by hand; line and scatter by scipy and by hand."""
    m = np.array([0.05, 0.06, 0.07, 0.08, 0.09, 0.1, 0.12, 0.135])
    y = 0.0024 + 0.0003 * m**-0.8 + 1e-5 * np.array([1.0, -2.0, 0.5, 1.5, -1.0, -0.5, 2.0, -1.5])
    line = linregress(m**-0.8, y)
    scatter = float(np.sqrt(np.sum((y - line.intercept - line.slope * m**-0.8) ** 2) / 6.0))
    return WilsonNumbers(
        m, 1.0 / y, 0.8, line.intercept, line.intercept_stderr, line.slope, line.stderr, scatter, 2.447, 2.0, area
    )


def test_every_line_of_a_wilson_plot_comes_out_and_one_per_cent_is_refused():
    lines = lines_of(work_wilson(plot()))
    assert [line.step.symbol for line in lines] == [step.symbol for chapter in CHAPTERS for step in chapter.steps]
    for line in lines:
        texts = {**line.values, line.step.symbol: line.result}
        assert at_printed(line, texts) == pytest.approx(float(line.result), rel=COMES_OUT), line.step
        for wrong in planted(line.step):
            with pytest.raises(RangeError):
                show_step(wrong, WILSON_TERMS, plot())


def test_a_wilson_plot_without_area_slope_or_a_point_to_spare_says_less():
    assert "h_lo" not in {line.step.symbol for line in lines_of(work_wilson(plot(None)))}
    falling = replace(plot(), slope=-plot().slope, rest=plot().mean_y + plot().slope * plot().mean_x)
    assert "hA_lo" not in {line.step.symbol for chapter in work_wilson(falling) for line in chapter.lines}
    two = replace(plot(), m=plot().m[:2], UA=plot().UA[:2])
    assert "s" not in {line.step.symbol for chapter in work_wilson(two) for line in chapter.lines}
