"""Usual duties by a word: each resolves in any case, and asks for what its name says."""

from __future__ import annotations

import pytest

import worked_examples
from engcalc.case.case import Case
from engcalc.case.file import read_case
from engcalc.case.resolve import resolve
from engcalc.case.text import FORMAT, CaseText
from engcalc.studies.cycle import courses
from engcalc.studies.ready_duties import READY, with_ready
from engcalc.words.ready_words import READY_LABELS

CAR = read_case(worked_examples.folder() / "track-day-car.heatcase.json")  # its power is that at the wheels
BARE = CaseText({"format": FORMAT, "engine": {"rated_power": "200 kW", "rated_speed": "6000 rpm"}})


def case_of(text: CaseText) -> Case:
    case = resolve(text)
    assert isinstance(case, Case), case
    return case


def test_each_word_has_its_label():
    assert list(READY) == list(READY_LABELS)


@pytest.mark.parametrize("word", list(READY))
def test_each_goes_into_a_case_with_and_without_duties_in_the_air_of_the_one_above(word):
    legs = len(READY[word])
    assert len(case_of(with_ready(BARE, case_of(BARE), word)).duties) == legs
    before = case_of(CAR)
    after = case_of(with_ready(CAR, before, word))
    new = after.duties[len(before.duties) :]
    assert len(new) == legs
    assert [float(duty.ambient[0]) for duty in new] == pytest.approx([303.15] * legs)
    assert [duty.start for duty in new] == ["above" if leg.follows else "warm" for leg in READY[word]]


def test_powers_go_with_the_rated_one_where_it_was_measured():
    pull = case_of(with_ready(BARE, case_of(BARE), "dyno pull")).duties[-1]
    assert float(pull.brake_power[0]) == pytest.approx(200e3)
    assert float(pull.engine_speed[0]) == pytest.approx(100.0)
    assert float(pull.headwind[0]) == pytest.approx(50.0 / 3.6)
    lap = case_of(with_ready(BARE, case_of(BARE), "hot lap and grid")).duties[0]
    assert float(lap.brake_power[0]) == pytest.approx(0.45 * 200e3)
    at_wheels = case_of(CAR).engine.rated_power[0]
    by_wheels = with_ready(CAR, case_of(CAR), "drag run").typed("duties[3].wheel_power")
    assert float(by_wheels.split()[0]) * 1e3 == pytest.approx(at_wheels, rel=1e-3)


def test_the_grid_after_the_lap_begins_where_the_lap_ends():
    case = case_of(with_ready(BARE, case_of(BARE), "hot lap and grid"))
    (course,) = courses(case)
    lap, grid = course.legs
    assert grid.start == pytest.approx(lap.end)
    assert not course.repeats
