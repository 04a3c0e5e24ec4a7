"""Pictures of the studies: every series, bar and mark is the study's number in the unit shown."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

import worked_examples
from engcalc.case.case import Case
from engcalc.case.file import read_case
from engcalc.case.resolve import resolve
from engcalc.studies.choice.sizing import size
from engcalc.studies.duties.cycle import cycle, legs_of
from engcalc.studies.spread.sensitivity import sensitivity
from engcalc.studies.sweeps import SweepAxis, margin_map, sweep
from engcalc.units import UnitSystem, plain_number, to_unit, unit_for
from reports.plots import studies
from reports.plots.describe import Tone, Words
from reports.plots.layout import lay_out
from reports.plots.lines import AxisQuantity, Grid, level_map
from reports.plots.registry import PICTURES

CLIMB = 5
BOTH = pytest.mark.parametrize("system", list(UnitSystem))


@pytest.fixture(scope="module")
def towing() -> Case:
    case = resolve(read_case(worked_examples.folder() / "tow-and-track.heatcase.json"))
    assert isinstance(case, Case)
    return case


@pytest.fixture(scope="module")
def swept(towing):
    return sweep(towing, CLIMB, SweepAxis.AMBIENT, np.linspace(273.15, 318.15, 31))


@pytest.fixture(scope="module")
def sized(towing):
    return size(towing)


@pytest.fixture(scope="module")
def found(towing):
    return sensitivity(towing, CLIMB)


def shown(values, kind, system):
    return [to_unit(float(v), unit_for(kind, system), kind) for v in np.ravel(values)]


@BOTH
def test_a_sweep_shows_its_numbers_and_where_the_limit_is_reached(towing, swept, system):
    chart = studies.sweep_chart(swept, system)
    assert chart.series[0].y.tolist() == pytest.approx(shown(swept.coolant_out, "temperature", system))
    assert chart.series[1].y.tolist() == pytest.approx(shown(swept.limit, "temperature", system))
    now, reached = chart.spots
    assert now.x == pytest.approx(shown([towing.duties[CLIMB].ambient[0]], "temperature", system)[0])
    kelvin = {UnitSystem.SI: reached.x + 273.15, UnitSystem.US: (reached.x + 459.67) / 1.8}[system]
    at = sweep(towing, CLIMB, SweepAxis.AMBIENT, [kelvin])
    assert at.margin[0] == pytest.approx(0.0, abs=0.02)  # K; a straight line between two points 1.5 K apart
    assert "boils" in chart.words.caption


def test_a_sweep_that_never_reaches_its_limit_says_nothing_of_it(towing):
    chart = studies.sweep_chart(sweep(towing, 0, SweepAxis.AMBIENT, [250.0, 270.0]), UnitSystem.SI)
    assert [spot.words.split(",")[0] for spot in chart.spots] == ["now"]
    assert "reached" not in chart.words.caption


def test_a_sweep_falls_as_well_as_rises(towing):
    falling = sweep(towing, CLIMB, "airflow.fan_free_flow", np.linspace(1.0, 0.4, 13))
    chart = studies.sweep_chart(falling, UnitSystem.SI)
    reached = next(s for s in chart.spots if s.words == "limit reached")
    assert 0.4 * 3600.0 < reached.x < 1.0 * 3600.0  # m3/h


@BOTH
def test_a_map_shows_the_margin_with_the_duty_on_it(towing, system):
    found = margin_map(towing, CLIMB, np.linspace(4.0, 25.0, 9), np.linspace(273.15, 313.15, 11))
    picture = studies.margin_picture(found, system)
    low, high = (shown([f(found.margin)], "temperature difference", system)[0] for f in (np.min, np.max))
    assert picture.value.limits[0] <= low < high <= picture.value.limits[1]
    assert picture.spots[0].x == pytest.approx(shown(towing.duties[CLIMB].vehicle_speed, "vehicle speed", system)[0])
    broken = round(100.0 * float(np.mean(found.margin < 0.0)))
    assert f"broken on {broken} % of the map" in picture.words.alternative
    away = margin_map(towing, CLIMB, [20.0, 25.0], [273.15, 283.15])
    assert studies.margin_picture(away, system).spots == ()


@BOTH
def test_options_are_bars_with_the_gain_wanted_as_a_line(sized, system):
    picture = studies.options_picture(sized, system)
    ranked = [o for o in sized.options if o.gain is not None][: studies.MOST_ROWS]
    kind = "temperature difference"
    for option, row in zip(ranked, picture.rows, strict=False):
        assert row.spans[0].high == pytest.approx(shown([option.gain], kind, system)[0])
        assert (row.spans[0].tone is Tone.WORK) == option.holds
    assert picture.rows[-1].spans[0].high == pytest.approx(shown([sized.together.gain], kind, system)[0])
    assert picture.marks[0].at == pytest.approx(shown([sized.wanted_margin - sized.margin], kind, system)[0])
    for row in picture.rows:
        assert (row.spans[0].high >= picture.marks[0].at) == (row.spans[0].tone is Tone.WORK)


def test_a_case_that_holds_has_no_line_of_what_is_wanted(towing):
    assert studies.options_picture(size(towing, duty_index=0), UnitSystem.SI).marks == ()


@BOTH
def test_sensitivities_are_bars_to_either_side(found, system):
    picture = studies.sensitivity_picture(found, system)
    for s, row in zip(found.ranked, picture.rows, strict=False):
        span = row.spans[0]
        assert (span.high if s.change > 0.0 else span.low) == pytest.approx(
            shown([s.change], "temperature difference", system)[0]
        )
    ambient = next(r for r in picture.rows if r.label == "Ambient temperature")
    assert ambient.spans[0].high_words.endswith({UnitSystem.SI: "per 5 K", UnitSystem.US: "per 9 °F"}[system])


def test_shares_of_the_flow_resistances_sum_to_a_hundred(found, cold_bench):
    for coolant in (True, False):
        picture = studies.flow_shares(found, coolant=coolant)
        assert sum(row.spans[0].high for row in picture.rows) == pytest.approx(100.0)
        assert studies.flow_shares(cold_bench, coolant=coolant) is None


@pytest.fixture(scope="module")
def cold_bench():
    case = resolve(read_case(worked_examples.folder() / "bench-exchanger.heatcase.json"))
    return sensitivity(case, 0)


@BOTH
def test_a_cycle_shows_its_temperatures_legs_and_lowest_limit(towing, system):
    lap = cycle(towing, legs_of(towing, [10, 11]))
    chart = studies.cycle_chart(lap, system)
    assert chart.series[0].y.tolist() == pytest.approx(shown(lap.coolant, "temperature", system))
    assert [m.words for m in chart.x_marks] == ["Track, bends"]
    assert chart.x_marks[0].at == pytest.approx(0.75)  # min
    assert chart.y_marks[0].at == pytest.approx(shown([118.0 + 273.15], "temperature", system)[0])
    open_end = studies.cycle_chart(replace(lap, closed=False), system)
    assert "has not closed" in open_end.words.caption
    once = studies.cycle_chart(cycle(towing, legs_of(towing, [10]), repeat=False), system)
    assert once.words.title == "Coolant over duties one after another"
    assert "has not closed" not in once.words.caption


def test_every_picture_can_be_laid_out_and_is_told_in_words(towing, swept, sized, found):
    grid = margin_map(towing, CLIMB, np.linspace(4.0, 25.0, 6), np.linspace(273.15, 313.15, 6))
    pictures = [
        studies.sweep_chart(swept, UnitSystem.SI),
        studies.margin_picture(grid, UnitSystem.SI),
        studies.options_picture(sized, UnitSystem.SI),
        studies.sensitivity_picture(found, UnitSystem.SI),
        studies.flow_shares(found, coolant=True),
        studies.cycle_chart(cycle(towing, legs_of(towing, [10, 11])), UnitSystem.SI),
    ]
    for picture in pictures:
        assert picture is not None
        laid = lay_out(picture, 480.0, 8.0, lambda words, size, _bold: 0.62 * size * len(words))
        assert laid.height > 50.0
        assert picture.words.title
        assert picture.words.alternative


def test_the_level_at_the_limit_stands_out_and_is_named():
    xs, ys = np.linspace(0.0, 1.0, 5), np.linspace(0.0, 1.0, 4)
    margin = np.linspace(-20.0, 20.0, 20).reshape(4, 5)
    axes = AxisQuantity("Across", "fraction"), AxisQuantity("Up", "fraction")
    value = AxisQuantity("Margin", "temperature difference")
    for system in UnitSystem:
        drawn = level_map(Words("t", "c", "a"), *axes, value, Grid(xs, ys, margin), system, limit=0.0)
        [limit] = [level for level in drawn.levels if level.limit]
        assert limit.at == 0.0
        assert limit.words == f"0 {drawn.value.unit}: limit"
        assert all(level.words == plain_number(level.at) for level in drawn.levels if not level.limit)
        plain = level_map(Words("t", "c", "a"), *axes, value, Grid(xs, ys, margin), system)
        assert not any(level.limit for level in plain.levels)


def test_changes_that_gain_nothing_are_not_drawn(sized):
    [entry] = [one for one in PICTURES if one.key == "options"]
    assert entry.screen_if(sized)
    nothing = replace(sized, limiting=replace(sized.limiting, side=None))
    assert not entry.screen_if(nothing), "bars of 0.0 K would be as long as any"
