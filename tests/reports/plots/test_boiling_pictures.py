"""A duty that boils is drawn at its boiling point with what is missing; a sweep says which temperature it draws."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

import worked_examples
from engcalc.case.case import Case
from engcalc.case.file import read_case
from engcalc.case.resolve import resolve
from engcalc.studies.check import check
from engcalc.studies.checked import Check
from engcalc.studies.sweeps import SweepAxis, margin_map, sweep
from engcalc.system.state import Status
from engcalc.units import UnitSystem
from engcalc.words.answer.reasons import reasons
from reports.plots.balance import heat_balance
from reports.plots.studies import margin_picture, sweep_chart
from reports.plots.temperatures import margins, temperatures


@pytest.fixture(scope="module")
def hot() -> Check:
    text = read_case(worked_examples.folder() / "track-day-car.heatcase.json")
    case = resolve(text.with_value("duties[2].ambient", "45 degC"))
    assert isinstance(case, Case)
    return check(case, members=0)


def test_its_heat_balance_closes_with_what_finds_no_way_out(hot):
    lap = hot.duties[2]
    assert lap.status is Status.BOILS
    picture = heat_balance(lap, UnitSystem.SI)
    *_, out = picture.columns
    parts = {part.key: part.amount for part in out}
    point = lap.point
    comes_in = float((point.heat_to_metal + point.extra_heat + point.coolant_heater_heat)[0]) / 1000.0  # kW
    assert sum(parts.values()) == pytest.approx(comes_in, rel=2e-3)  # what is too small to draw is left out
    assert parts["stuck"] > 5.0
    assert "Drawn at its boiling point of 129 °C: 13.9 kW find no way out there." in picture.words.caption
    assert "It boils about 1.2 min after" in picture.words.caption


def test_a_duty_that_settles_has_nothing_stuck(hot):
    picture = heat_balance(hot.duties[1], UnitSystem.SI)
    assert "stuck" not in {part.key for column in picture.columns for part in column}
    assert "boiling" not in picture.words.caption


def test_what_is_missing_is_told_in_words(hot):
    told = next(r.text for r in reasons(hot) if r.code == "boils")
    assert "There 14 kW more comes in than goes out." in told
    assert "BTU/h more comes in" in next(r.text for r in reasons(hot, UnitSystem.US) if r.code == "boils")


def test_it_stands_among_the_margins(hot):
    picture = margins(hot, UnitSystem.SI)
    assert [row.label for row in picture.rows] == [duty.name for duty in hot.duties]
    assert "At boiling, where it does not settle: Track lap." in picture.words.caption


def test_among_the_margins_a_duty_in_time_is_drawn_at_its_peak_or_where_it_boils(hot):
    """Its limit and its spread are of the peak: where it would settle is another temperature."""
    lap = replace(hot.case.duties[2], duration=np.array([120.0]), ambient=np.array([300.0]))
    straight = replace(hot.case.duties[2], duration=np.array([60.0]), brake_power=np.array([160e3]), start="round")
    bend = replace(straight, brake_power=np.array([40e3]), start="above")
    found = check(replace(hot.case, duties=(*hot.case.duties[:2], lap, straight, bend)), members=0)
    timed, boiling = found.duties[2], found.duties[4]
    assert abs(timed.peak - timed.coolant_out) > 0.5
    drawn = [row.dots[0].at + 273.15 for row in margins(found, UnitSystem.SI).rows]
    assert drawn[1] == pytest.approx(found.duties[1].coolant_out)
    assert drawn[2] == pytest.approx(timed.peak)
    assert boiling.margin is None
    assert drawn[4] == pytest.approx(float(boiling.point.boiling[0]))


def test_a_sweep_of_a_duty_in_time_draws_the_peak_that_its_margin_counts(hot):
    mild = np.array([300.0])  # K; in the heat of the case it boils within the duty
    lap = replace(hot.case.duties[2], duration=np.array([90.0]), ambient=mild)
    case = replace(hot.case, duties=(*hot.case.duties[:2], lap))
    found = sweep(case, 2, SweepAxis.AMBIENT, np.array([290.0, 300.0]))
    assert found.coolant_out == pytest.approx(found.limit - found.margin)
    assert float(found.coolant_out[1]) == pytest.approx(check(case, members=0).duties[2].peak, abs=0.1)
    assert "the hottest within the duty's 1.5 min" in sweep_chart(found, UnitSystem.SI).words.caption


def test_a_duty_that_boils_in_its_time_is_not_told_to_stay_below_its_limit(hot):
    straight = replace(hot.case.duties[2], duration=np.array([60.0]), brake_power=np.array([160e3]), start="round")
    bend = replace(straight, brake_power=np.array([40e3]), start="above")
    found = check(replace(hot.case, duties=(*hot.case.duties[:2], straight, bend)), members=0).duties[3]
    assert bool(found.point.solved[0])  # alone it would settle
    assert found.margin is None  # behind the straight it boils
    caption = temperatures(found, hot.case, UnitSystem.SI).words.caption
    assert caption == "Drawn is where the coolant would settle. Within the duty's time it boils."


def test_a_sweep_of_what_settles_says_so_and_that_a_switching_fan_counts_by_its_mean(hot):
    lap = sweep(hot.case, 2, SweepAxis.AMBIENT, np.array([280.0, 285.0]))
    assert "The curve is where the coolant settles." in sweep_chart(lap, UnitSystem.SI).words.caption
    idle = sweep(hot.case, 0, SweepAxis.AMBIENT, np.array([295.0, 300.0]))
    assert "where the fan switches, its mean." in sweep_chart(idle, UnitSystem.SI).words.caption


def test_a_lap_that_goes_round_and_a_map_say_what_they_count(hot):
    legs = [
        replace(hot.case.duties[2], duration=np.array([seconds]), start=start)
        for seconds, start in ((40.0, "round"), (30.0, "above"))
    ]
    case = replace(hot.case, duties=tuple(legs))
    found = sweep(case, 0, SweepAxis.AMBIENT, np.array([285.0, 290.0]))
    assert (
        "the hottest within the duty's 40 s, gone round until it repeats."
        in sweep_chart(found, UnitSystem.SI).words.caption
    )
    grid = [np.array([20.0, 30.0]), np.array([285.0, 290.0])]
    assert "It counts from the hottest within the duty's 40 s, gone" in _map_caption(margin_map(case, 0, *grid))
    assert "It counts from where the coolant settles." in _map_caption(margin_map(hot.case, 2, *grid))
    idle = margin_map(hot.case, 0, np.array([0.0, 0.5]), np.array([295.0, 300.0]))
    assert "where the fan switches from the top of its swing." in _map_caption(idle)


def _map_caption(found):
    return margin_picture(found, UnitSystem.SI).words.caption
