"""Usual duties by a word: each resolves in any case, and asks for what its name says."""

from __future__ import annotations

import pytest

import worked_examples
from engcalc.case.case import Case
from engcalc.case.file import read_case
from engcalc.case.resolve import resolve
from engcalc.case.text import FORMAT, CaseText
from engcalc.studies.duties.cycle import courses
from engcalc.studies.duties.ready_duties import READY, with_ready
from engcalc.studies.members import solve_duty
from engcalc.words.sizing.ready_words import READY_LABELS
from worked_examples.published.engine_trials import TRIALS, jacket_heat

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
    # at an even torque the power goes with the speed: from 40 to 100 % of the rated one 70 % on average
    assert float(pull.brake_power[0]) == pytest.approx(0.7 * 200e3)
    assert float(pull.engine_speed[0]) == pytest.approx(0.7 * 100.0)
    assert float(pull.headwind[0]) == pytest.approx(50.0 / 3.6)
    lap = case_of(with_ready(BARE, case_of(BARE), "hot lap and grid")).duties[0]
    assert float(lap.brake_power[0]) == pytest.approx(0.45 * 200e3)
    at_wheels = case_of(CAR).engine.rated_power[0]
    by_wheels = with_ready(CAR, case_of(CAR), "drag run").typed("duties[3].wheel_power")
    assert float(by_wheels.split()[0]) * 1e3 == pytest.approx(at_wheels, rel=1e-3)


def test_the_grid_after_the_lap_begins_where_the_lap_ends():
    case = case_of(with_ready(BARE, case_of(BARE), "hot lap and grid"))
    (course,) = courses(case)
    lap, lane, grid = course.legs
    assert lane.start == pytest.approx(lap.end)
    assert grid.start == pytest.approx(lane.end)
    assert not course.repeats


def test_a_lap_is_driven_in_the_hottest_air_and_not_in_the_frost_above_it():
    frost = CAR.with_item("duties", 3, {"name": "Frost", "ambient": "-10 degC"})
    after = case_of(with_ready(frost, case_of(frost), "hot lap and grid"))
    assert [float(duty.ambient[0]) for duty in after.duties[4:]] == pytest.approx([303.15] * 3)


def test_two_ready_duties_are_put_in_one_after_the_other():
    case = case_of(CAR)
    both = case_of(with_ready(with_ready(CAR, case, "hill climb"), case, "dyno pull"))
    assert [float(duty.ambient[0]) for duty in both.duties[3:]] == pytest.approx([303.15] * 2)


@pytest.mark.parametrize("rated", ["380 hp", "211.337 kW", "99.996 kW"])
def test_full_power_asks_for_no_more_than_the_engine_gives(rated):
    text = BARE.with_value("engine.rated_power", rated)
    run = case_of(with_ready(text, case_of(text), "drag run")).duties[0]
    power = float(case_of(text).engine.rated_power[0])
    assert power - 10.0 < float(run.brake_power[0]) <= power


def test_the_laps_heat_is_that_of_printed_engine_trials():
    """Heat into the metal over brake power, against printed trials that make a like share of their fuel.

    The trials and their pages: ``worked_examples.published.engine_trials``. Their jackets took 0.83 to 1.34 of the
    brake power where 25 to 40 % of the fuel reached the crankshaft.
    """
    case = case_of(with_ready(CAR, case_of(CAR), "hot lap and grid"))
    lap = solve_duty(case, 3)
    share = float(lap.brake_power[0] / lap.fuel_power[0])
    alike = [t for t in TRIALS if 0.25 <= t.brake / (t.fuel * t.heating_value) <= 0.40]
    ratios = [jacket_heat(t) / t.brake for t in alike]
    assert len(ratios) >= 6
    assert 0.25 <= share <= 0.40
    assert min(ratios) <= float(lap.heat_to_metal[0] / lap.brake_power[0]) <= max(ratios)
