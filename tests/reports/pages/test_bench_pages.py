"""The lesson of an exchanger on a bench, on paper: what the class read, what counts, and no word of a vehicle."""

from __future__ import annotations

import re
from collections.abc import Callable

import pytest

from reports.kinds import ReportKind


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
