"""The chart of F against the formula that its usual charts are drawn from, and the case's points upon it."""

from __future__ import annotations

import json
from dataclasses import replace

import numpy as np
import pytest

import worked_examples
from engcalc.case.case import Case
from engcalc.case.resolve import resolve
from engcalc.case.text import FORMAT, CaseText
from engcalc.components.two_streams import Passing
from engcalc.properties.any_fluid import oil
from engcalc.studies.bench.setup import BenchSetup
from engcalc.studies.checked import Check, check_of_bench
from engcalc.units import UnitSystem
from reports.plots.bench import bench_effectiveness, bench_profiles, bench_sizes, wilson_plot
from reports.plots.describe import Marker, Tone
from reports.plots.f_chart import LEAST_F, RATIOS, f_chart, f_of


def by_bowman(P: np.ndarray, R: float) -> np.ndarray:
    """One shell pass, two tube passes: Bowman, Mueller and Nagle, Trans. ASME 62 (1940) 283, eq. 5."""
    root = np.sqrt(R**2 + 1.0)
    counter = np.log((1.0 - P) / (1.0 - P * R)) / (R - 1.0)
    return root * counter / np.log((2.0 - P * (R + 1.0 - root)) / (2.0 - P * (R + 1.0 + root)))


@pytest.mark.parametrize("ratio", [0.2, 0.5, 2.0, 4.0])
def test_curves_are_those_of_the_published_chart(ratio: float) -> None:
    P, F = f_of(BenchSetup(oil, oil, Passing.SHELL_1_2, 1), ratio, np.array([0.2, 0.6, 1.0, 1.6]))
    assert by_bowman(P, ratio) == pytest.approx(F, rel=1e-9)


def double_pipe(arrangement: str) -> Check:
    case = json.loads((worked_examples.folder() / "double-pipe.heatcase.json").read_text(encoding="utf-8"))
    case["exchanger"]["arrangement"] = arrangement
    return check_of_bench(resolve(CaseText(case)))


def test_the_points_lie_on_the_chart_and_counterflow_has_none() -> None:
    check = double_pipe("shell and tube 1-2")
    chart = f_chart(check)
    assert len(chart.series) == len(RATIOS)
    problem = next(spot for spot in chart.spots if spot.words == "Next size")
    n = check.bench.problems[0].numbers
    R = (n["hot_in"] - n["hot_out"]) / (n["cold_out"] - n["cold_in"])
    assert problem.y == pytest.approx(float(by_bowman(np.array([problem.x]), R)[0]), rel=1e-6)
    assert all(LEAST_F <= value <= 1.0 for line in chart.series for value in line.y)
    assert f_chart(double_pipe("counterflow")) is None


def test_points_keep_their_numbers_where_one_before_them_cannot_be_sized() -> None:
    """The chart over NTU counted the points that it draws: after one that parallel flow cannot do, point 2 was "1"."""
    water, flows = {"fluid": "water"}, {"hot_flow": "0.1 kg/s", "cold_flow": "0.1 kg/s", "hot_in": "60 degC"}
    beyond = {**flows, "hot_out": "30 degC", "cold_in": "15 degC", "cold_out": "45 degC"}
    within = {**flows, "hot_out": "50 degC", "cold_in": "15 degC", "cold_out": "25 degC"}
    case = resolve(
        CaseText(
            {
                "format": FORMAT,
                "vehicle": {"class": "bench rig"},
                "hot_stream": water,
                "cold_stream": water,
                "exchanger": {"arrangement": "parallel flow"},
                "rig": [beyond, within],
            }
        )
    )
    assert isinstance(case, Case), case
    chart = bench_sizes(check_of_bench(case))
    assert chart is not None
    assert [spot.words for spot in chart.spots] == ["point 2"]


def test_the_cold_stream_is_drawn_in_the_colour_of_what_is_cold() -> None:
    """It was drawn in the colour of hot coolant, and the hot one in that of fuel."""
    chart = bench_profiles(double_pipe("counterflow"), UnitSystem.SI)
    assert chart is not None
    assert {line.name: line.tone for line in chart.series} == {"hot stream": Tone.COOLANT, "cold stream": Tone.AIR}


def test_a_point_that_is_left_out_of_the_line_is_hollow_and_named() -> None:
    check = double_pipe("counterflow")
    assert check.bench.outliers == ("rig[7]",)
    for chart in (wilson_plot(check, UnitSystem.SI), bench_effectiveness(check, UnitSystem.SI)):
        hollow = [line for line in chart.series if line.shape is Marker.RING]
        assert [line.name for line in hollow] == ["green, left out"]
        assert len(hollow[0].x) == 1
        assert sum(len(line.x) for line in chart.series if line.shape is not None) == len(check.bench.points)
    all_count = replace(check, bench=replace(check.bench, outliers=()))
    assert not [line for line in wilson_plot(all_count, UnitSystem.SI).series if line.shape is Marker.RING]


def test_the_wilson_picture_is_drawn_in_the_units_of_the_class() -> None:
    """1 BTU/h/°F is 0.527527 W/K and 1 lb/min is 0.00755987 kg/s (NIST SP 811, appendix B.8, by hand)."""
    check = double_pipe("counterflow")
    ours, theirs = (wilson_plot(check, system) for system in (UnitSystem.SI, UnitSystem.US))
    assert theirs.y.label == "1/UA, °F h/kBTU"
    assert theirs.x.label.endswith("(lb/min)⁻⁰·⁸")
    assert "°F h/kBTU" in theirs.words.alternative
    for si, us in zip(ours.series[:-1], theirs.series[:-1], strict=True):
        assert us.x == pytest.approx(si.x * 0.00755987**0.8, rel=1e-5)
        assert us.y == pytest.approx(si.y * 0.527527, rel=1e-5)
        assert us.y_error == pytest.approx(si.y_error * 0.527527, rel=1e-5)
    line = theirs.series[-1]
    fit = check.bench.fit
    assert line.y == pytest.approx(527.527 * (fit.rest + fit.slope * line.x / 0.00755987**0.8), rel=1e-5)
