"""The working alone: measured points and the duty that decides, without the rest of a report."""

from __future__ import annotations

from engcalc.units import UnitSystem
from reports.build import working_pages


def test_the_working_is_that_of_points_and_duty_alone_and_no_draft(example, page_texts, moment):
    one = example("bench-exchanger")
    text = " ".join(page_texts(working_pages(one.check, one.text, moment, UnitSystem.SI)))
    assert "Working of measured point 1" in text
    assert "Working: " in text
    assert "DRAFT" not in text
    assert "Inputs and where they come from" not in text


def test_where_nothing_is_solved_there_is_no_working(subject_from, moment):
    boils = {
        "format": "heatdocket-case/1",
        "radiator": {"blocked_face": "85 %"},
        "duties": [{"name": "Climb", "vehicle_speed": "90 km/h", "grade": "8 %", "ambient": "38 degC"}],
    }
    one = subject_from(boils)
    assert working_pages(one.check, one.text, moment, UnitSystem.SI) is None
