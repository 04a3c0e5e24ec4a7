"""A maker's table of heat over both flows: the factor through it, what it misses, and where it is told."""

from __future__ import annotations

import json

import numpy as np
import pytest
from scipy.optimize import minimize_scalar

import worked_examples
from engcalc.case.case import Case
from engcalc.case.file import read_case
from engcalc.case.resolve import resolve
from engcalc.components.core import RatedPoint, evaluate
from engcalc.errors import InputError
from engcalc.studies.choice.candidates import with_part
from engcalc.studies.choice.heat_points import HeatPoints, heat_fit, heat_points
from engcalc.studies.choice.tables import parse_table
from engcalc.system.plant import at_rated_points, prepare
from ui.command.main import main

TEXT = read_case(worked_examples.folder() / "track-day-car.heatcase.json")
FLOW, AIR = np.array([1.0, 1.0, 2.5, 2.5]) * 1e-3, np.array([3.0, 8.0, 3.0, 8.0])


def case_of(text) -> Case:
    case = resolve(text)
    assert isinstance(case, Case), case
    return case


CASE = case_of(TEXT)


def points_at(factor: float, scatter=(0.0, 0.0, 0.0, 0.0)) -> HeatPoints:
    """What the core gives with a factor on its conductance, made wrong by some shares."""
    difference = np.full(4, 60.0)
    rated, arrangement = at_rated_points(CASE, RatedPoint(np.full(4, 1e4), FLOW, AIR, difference))
    Q = evaluate(rated.predicted.core, rated.predicted.flows, arrangement, factor).Q
    return HeatPoints(FLOW, AIR, Q * (1.0 + np.array(scatter)), difference)


def cell_of(points: HeatPoints) -> str:
    rows = zip(points.flow, points.velocity, points.heat, points.difference, strict=True)
    return "|".join(f"{f * 6e4:.6g} L/min@{v:g} m/s@{Q / 1e3:.7g} kW@{d:g} K" for f, v, Q, d in rows)


@pytest.mark.parametrize("factor", [0.7, 1.0, 1.25])
def test_points_of_a_known_factor_give_it_back_and_nothing_is_missed(factor):
    found = heat_fit(CASE, points_at(factor))
    assert found.factor == pytest.approx(factor, rel=1e-6)
    assert found.rms < 1e-7


def test_scattered_points_are_met_as_by_another_library():
    """scipy's bounded search over the same squares; the residuals are the points' own."""
    points = points_at(0.9, (0.04, -0.02, 0.0, -0.03))
    found = heat_fit(CASE, points)
    rated, arrangement = at_rated_points(CASE, RatedPoint(points.heat, FLOW, AIR, points.difference))

    def squares(factor: float) -> float:
        Q = evaluate(rated.predicted.core, rated.predicted.flows, arrangement, factor).Q
        return float((((points.heat - Q) / points.heat) ** 2).sum())

    best = minimize_scalar(squares, bounds=(0.5, 1.5), method="bounded", options={"xatol": 1e-9}).x
    assert found.factor == pytest.approx(best, rel=1e-5)
    assert found.rms == pytest.approx((squares(best) / 4.0) ** 0.5, rel=1e-4)
    assert found.worst == 0
    assert found.misses[0] > 0.0


def test_a_part_with_points_puts_its_factor_in_and_the_old_point_goes():
    (part,) = parse_table(f"name,heat_points,core_depth\nA,{cell_of(points_at(0.8))},42 mm\n")
    rated = TEXT.with_value("radiator.rated_heat", "60 kW")
    for name, value in (("coolant_flow", "100 L/min"), ("air_velocity", "6 m/s"), ("inlet_difference", "60 K")):
        rated = rated.with_value(f"radiator.rated_{name}", value)
    changed = with_part(rated, case_of(rated), part)
    fit = part.heat_fit_in(case_of(rated))
    assert changed.typed("radiator.rated_heat") == ""
    assert float(prepare(case_of(changed)).ua_scale[0]) == pytest.approx(fit.factor, rel=1e-6)


@pytest.mark.parametrize(
    ("cell", "said"),
    [
        ("60 L/min@3 m/s@25 kW;60 L/min@3 m/s@25 kW@60 K", "a point as in"),
        ("60 L/min@3 m/s@25 kW@60 K", "2 to 40 points"),
        ("60 L/min@3 m/s@25 kW@60 K;60 L/min@0 m/s@25 kW@60 K", "above 0"),
        ("60 L/min@3 m/s@25 kg@60 K;60 L/min@3 m/s@25 kW@60 K", "kW"),
    ],
)
def test_what_is_no_point_is_refused_in_words(cell, said):
    with pytest.raises(InputError) as raised:
        heat_points(cell, "cores.csv line 2, heat_points")
    assert said in " ".join(str(fault) for fault in raised.value.faults)


def test_points_and_another_word_on_the_same_are_refused():
    with pytest.raises(InputError, match="keep one of them"):
        parse_table(f"name,heat_points,ua_scale\nA,{cell_of(points_at(0.8))},0.9\n")


def test_the_command_line_tells_the_fit_and_each_miss(capsys, tmp_path):
    table, car = tmp_path / "cores.csv", str(worked_examples.folder() / "track-day-car.heatcase.json")
    table.write_text(f"name;heat_points\nMaker's;{cell_of(points_at(0.8, (0.05, 0.0, 0.0, 0.0)))}\n")
    assert main(["size", car, "--table", str(table), "--compare", "Maker's", "--json"]) == 0
    told = json.loads(capsys.readouterr().out)["compared"]
    fit = told["candidates"][1]["heat_fit"]
    assert len(fit["misses"]) == len(fit["heat_W"]) == 4
    assert 0.8 < fit["ua_scale"] < 0.9
    assert "most at 60 L/min and 3 m/s: there the maker states" in " ".join(told["said"])
