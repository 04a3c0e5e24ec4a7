"""Duties in their time: the steady solver as the limit, chains and rounds against one another, ensembles."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from engcalc.case.resolve import Faults, resolve
from engcalc.studies.duties.course import DutiesInTime, chains, limited_in_time, timed
from engcalc.studies.duties.cycle import courses
from engcalc.studies.members import every_duty, solve_duties, some_members, stacked, varied
from engcalc.system.plant import prepare

PULL = {
    "name": "pull",
    "brake_power": "45 kW",
    "vehicle_speed": "50 km/h",
    "ambient": "35 degC",
    "fan": "on",
    "duration": "4 min",
}
REST = {"name": "rest", "ambient": "35 degC", "fan": "on", "duration": "2 min"}


def asked_of(case, members=1):
    _, conditions = every_duty(case, members)
    never = np.full(len(case.duties) * members, np.inf)
    return DutiesInTime(
        case.duties, conditions, members, never, lambda which: prepare(some_members(case, which % members))
    )


def test_a_long_duty_ends_where_the_solver_settles_and_starts_where_the_valve_opens(cases):
    case = cases("family car", duties=[{**PULL, "duration": "10 h"}])
    found = timed(asked_of(case), (0,))
    assert found.start[0] == pytest.approx(case.thermostat.start_to_open[0])
    assert found.end[0] == pytest.approx(solve_duties(case).coolant_out[0], abs=0.05)
    assert found.peak[0] == found.end[0]


def test_light_running_in_frost_settles_under_the_valve_and_so_does_the_start(cases):
    case = cases("family car", duties=[{"ambient": "-20 degC", "heater": "high", "duration": "5 min"}])
    found = timed(asked_of(case), (0,))
    settled = solve_duties(case).coolant_out[0]
    assert settled < case.thermostat.start_to_open[0] - 5.0
    assert found.start[0] == pytest.approx(settled, abs=0.05)


def test_longer_never_peaks_lower_and_hotter_air_never_does(cases):
    peaks = [
        [
            timed(asked_of(cases("family car", duties=[{**PULL, "duration": d, "ambient": a}])), (0,)).peak[0]
            for d in ("30 s", "2 min", "8 min", "40 min")
        ]
        for a in ("20 degC", "35 degC", "45 degC")
    ]
    assert np.all(np.diff(peaks, axis=0) >= -1e-9)
    assert np.all(np.diff(peaks, axis=1) >= -1e-9)


def test_two_halves_one_after_another_are_the_whole(cases):
    half = {**PULL, "duration": "2 min"}
    whole = timed(asked_of(cases("family car", duties=[PULL])), (0,))
    halves = timed(asked_of(cases("family car", duties=[half, {**half, "start": "above"}])), (0, 1))
    assert halves.start[1] == pytest.approx(halves.end[0], abs=1e-9)
    assert halves.end[1] == pytest.approx(whole.end[0], abs=0.01)  # K; short steps again at the start of the second


def test_a_stop_after_a_pull_begins_hot_climbs_by_what_the_metal_holds_and_cools(cases):
    case = cases("family car", duties=[{**PULL, "duration": "30 min"}, {**REST, "start": "above"}, REST])
    found = timed(asked_of(case), (0, 1, 2))
    assert found.start[1] == pytest.approx(solve_duties(case).coolant_out[0], abs=0.1)
    assert found.peak[1] > found.start[1] > found.end[1]
    assert found.peak[2] < found.peak[1]


def test_a_round_closes_and_is_its_own_curve(cases):
    case = cases("family car", duties=[{**PULL, "start": "round"}, {**REST, "start": "above"}])
    assert [(c.duties, c.repeats) for c in chains(case.duties)] == [((0, 1), True)]
    found, (curve,) = timed(asked_of(case), (0, 1)), courses(case)
    assert found.start[0] == pytest.approx(found.end[1], abs=0.1)
    assert found.start[1] == pytest.approx(found.end[0], abs=0.1)
    assert curve.repeats
    assert curve.closed
    assert [leg.peak for leg in curve.legs] == pytest.approx(list(found.peak), abs=0.1)
    short = [{**PULL, "duration": "40 s", "start": "round"}, {**REST, "duration": "10 s", "start": "above"}]
    lap = timed(asked_of(cases("family car", duties=short)), (0, 1))
    warm = timed(asked_of(cases("family car", duties=[{**short[0], "start": "warm"}])), (0,))
    assert lap.start[0] > warm.start[0] + 1.0  # ten seconds do not cool it down to where light running leaves it


def test_a_duty_without_a_duration_ends_settled(cases):
    long = {k: v for k, v in PULL.items() if k != "duration"}
    case = cases("family car", duties=[long, {**REST, "start": "above"}])
    assert limited_in_time(case.duties) == (1,)
    assert timed(asked_of(case), (1,)).start[0] == pytest.approx(solve_duties(case).coolant_out[0], abs=0.05)


def test_an_electric_fan_that_switches_peaks_at_the_top_of_its_cycle(cases):
    case = cases(
        "family car",
        duties=[{"ambient": "42 degC", "brake_power": "9 kW", "duration": "20 min"}],
        thermostat__rating="80 degC",
    )
    top = solve_duties(case).span_high[0]
    assert case.airflow.fan_on[0] < top < case.airflow.fan_on[0] + 1.0
    assert timed(asked_of(case), (0,)).peak[0] == pytest.approx(top, abs=0.3)


def test_the_limit_is_reached_when_the_run_gets_there(cases):
    asked = asked_of(cases("family car", duties=[PULL]))
    found = timed(replace(asked, limit=np.full(1, 372.15)), (0,), to_limit=(0,))
    seconds = float(found.to_limit[0])
    assert 10.0 < seconds < 240.0
    until = timed(asked_of(cases("family car", duties=[{**PULL, "duration": f"{seconds} s"}])), (0,))
    assert until.end[0] == pytest.approx(372.15, abs=0.1)  # other steps lie between


def test_a_limit_that_no_time_reaches_is_never_reached(cases):
    asked = asked_of(cases("family car", duties=[PULL]))
    assert timed(replace(asked, limit=np.full(1, 395.0)), (0,), to_limit=(0,)).to_limit[0] == np.inf


def test_three_unlike_members_are_three_single_runs(cases):
    """One of them boils, one is fan-switched, one regulates; a chain of two duties for each."""
    base = cases("family car", duties=[{**PULL, "fan": "auto", "duration": "20 min"}, {**REST, "start": "above"}])
    singles = [
        varied(base, {"duties[0].brake_power": np.array([p]), "coolant.volume": np.array([v])})
        for p, v in ((130e3, 5e-3), (40e3, 7e-3), (12e3, 9e-3))
    ]
    ensemble = stacked(singles)
    together = timed(asked_of(ensemble, 3), (0, 1))
    assert together.boiled[0]
    for m, single in enumerate(singles):
        alone = timed(asked_of(single), (0, 1))
        for name in ("start", "end", "peak", "boiled"):
            assert getattr(together, name)[m::3] == pytest.approx(getattr(alone, name), abs=1e-6)


def test_what_begins_where_another_ends_needs_its_duration_and_a_duty_above(cases):
    found = resolve(cases.text("family car", duties=[{"start": "above"}, {"start": "above", "duration": "1 min"}]))
    assert isinstance(found, Faults)
    assert [f.path for f in found.faults] == ["duties[0].start", "duties[0].duration"]
