"""The lesson of an exchanger on a bench, on paper: what the class read, what counts, and no word of a vehicle."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from pathlib import Path

import pytest

from engcalc.units import UnitSystem
from reports.build import working_pages
from reports.kinds import ReportKind

EXAMPLES = Path(__file__).resolve().parents[3] / "worked_examples"


@pytest.fixture(scope="module")
def lesson(report: Callable[..., bytes], page_texts: Callable[[bytes], list[str]]) -> str:
    return " ".join(page_texts(report("double-pipe", ReportKind.LESSON)))


def test_the_readings_of_the_class_stand_on_paper_as_they_were_typed(lesson):
    readings = lesson.partition("Readings")[2].partition("Heat of both streams")[0]
    assert "Hot flow, L/min" in readings
    assert re.search(r"9, green\s+8\s+58\.2\s+45\.3\s+6\s+15\.1\s+32\.0", readings)
    assert "Look at point 8 (green)" in lesson


def test_nothing_is_assumed_of_another_fluid_and_no_vehicle_is_spoken_of(lesson):
    """50 % glycol was assumed of plain water."""
    inputs = lesson.partition("Inputs and where they come from")[2].partition("Assumptions")[0]
    assert "glycol" not in inputs
    assert "Exchanger on the bench" in inputs
    assert not re.search(r"vehicle|engine (?!oil)|radiator|coolant|\bcar\b", lesson, re.IGNORECASE)


def test_a_radiator_on_a_bench_is_spoken_of_without_a_vehicle(report, page_texts):
    """Its lesson ended with lifted vehicles and exhaust gas, and worked the heat of an engine's metal."""
    said = " ".join(page_texts(report("bench-exchanger", ReportKind.LESSON)))
    assert "Radiator: core width" in said
    assert "Coolant out of the rig's heater" in said
    assert "Conductance lost to uneven air" in said or "conductance lost to uneven air" in said
    assert "residual current device" in said
    found = re.findall(
        r"\b(?:vehicle|engine|cabin|thermostat|bonnet|trailer|valve held|exhaust|wheel|van|car)s?\b.{0,40}", said, re.I
    )
    assert found == []


def test_the_working_is_in_the_symbols_of_the_sheets_with_the_numbers_put_in(lesson):
    working = lesson.partition("Working of measured point 1, red")[2]
    assert re.search(r"= 205\.6 · \(58\.9 − 36\.2\)", working)
    assert "UA = 171.0 W/K" in working
    assert "Working of the Wilson plot" in working
    assert "The other points are worked in the same way: 2, 3, 4, 5, 6, 7, 9." in working
    assert "Working of measured point 8, green" in working  # for it is to be looked at


def test_rounds_are_told_without_a_computer_s_exponents(lesson):
    """ "2.5e-05 K, 2e-08 K, 1.7e-11 K" stood where all else prints a power of ten."""
    told = re.findall(r"The temperatures moved by [\d.]+ K(?:, [\d.]+ K)*, then by less than 0\.001 K\.", lesson)
    assert len(told) == 2  # one to a problem
    assert not re.search(r"\de-\d", lesson)


def test_the_second_set_of_symbols_is_chosen_in_the_case(subject_from, page_texts, moment):
    case = json.loads((EXAMPLES / "double-pipe.heatcase.json").read_text(encoding="utf-8"))
    case["exchanger"]["symbols"] = "B"
    one = subject_from(case)
    text = " ".join(page_texts(working_pages(one.check, one.text, moment, UnitSystem.SI)))
    assert "Φ = 0.5086" in text
    assert "ε" not in text


def test_a_point_against_the_second_law_is_said_and_worked_up_to_its_effectiveness(subject_from, page_texts, moment):
    case = json.loads((EXAMPLES / "double-pipe.heatcase.json").read_text(encoding="utf-8"))
    case["exchanger"]["arrangement"] = "parallel flow"
    case["rig"] = [{**case["rig"][0], "hot_out": "24 degC", "cold_out": "31.4 degC"}]
    del case["problems"]
    one = subject_from(case)
    text = " ".join(page_texts(working_pages(one.check, one.text, moment, UnitSystem.SI)))
    assert "(second law)" in text
    assert "Effectiveness" in text
    assert "Number of transfer units" not in text


def test_a_vehicles_inputs_hold_nothing_of_a_bench(report, page_texts):
    """Eight rows of a bench that is not there were listed as typical of a van."""
    inputs = " ".join(page_texts(report("van-no-heat", ReportKind.SIZING))).partition(
        "Inputs and where they come from"
    )[2]
    assert "Radiator: core width" in inputs
    assert "on the bench" not in inputs
